//! The system's signals, handed to the loop by a thread of their own.

use crate::show::event::Event;
use crossbeam_channel::Sender;
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGUSR1, SIGUSR2, SIGWINCH};
use signal_hook::iterator::{Handle, Signals as Waiting};
use std::thread::JoinHandle;

/// In builds for tests these two signals break the loop and a thread beside it: nothing else can be made to.
pub(super) const FAULT: i32 = SIGUSR1;
const FAULT_BESIDE: i32 = SIGUSR2;

/// Signals that wait for someone to hear them. Taken before the terminal is, so that none ends us without giving it back.
pub(super) struct Caught(Waiting);

/// The thread that hears them; dropping it ends the waiting.
pub(super) struct Signals {
    handle: Handle,
    thread: Option<JoinHandle<()>>,
}

impl Caught {
    pub(super) fn new() -> std::io::Result<Caught> {
        let signals = Waiting::new([SIGTERM, SIGINT, SIGHUP, SIGTSTP, SIGCONT, SIGWINCH])?;
        if cfg!(debug_assertions) {
            signals.add_signal(FAULT)?;
            signals.add_signal(FAULT_BESIDE)?;
        }
        Ok(Caught(signals))
    }

    pub(super) fn listen(self, to: Sender<Event>) -> std::io::Result<Signals> {
        let Caught(mut signals) = self;
        let handle = signals.handle();
        let thread = std::thread::Builder::new().name("signals".into()).spawn(move || {
            for signal in signals.forever() {
                assert!(signal != FAULT_BESIDE, "a fault was asked for beside the loop");
                if to.send(Event::Signal(signal)).is_err() {
                    return;
                }
            }
        })?;
        Ok(Signals {
            handle,
            thread: Some(thread),
        })
    }
}

impl Drop for Signals {
    fn drop(&mut self) {
        self.handle.close();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}
