//! The keys of the terminal, read by a thread of their own, which waits for the terminal and for a pipe of ours that ends
//! it.

#![allow(
    clippy::disallowed_methods,
    reason = "an outer room: it stamps keys with the clock's time"
)]

use crate::show::event::Event;
use crate::show::key_bytes::KeyBytes;
use crossbeam_channel::Sender;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::io::Errno;
use rustix::pipe::{PipeFlags, pipe_with};
use std::os::fd::OwnedFd;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// An escape that nothing follows within this time is a key: a terminal sends a whole sequence at once.
const ESCAPE: Timespec = Timespec {
    tv_sec: 0,
    tv_nsec: 50_000_000,
};
/// Half a sequence that nothing follows within this time is none, or one strange report would make all keys a part of it.
const HALF: Duration = Duration::from_millis(500);
/// More than any key's sequence, in bytes.
const AT_ONCE: usize = 256;

/// The thread; dropping it ends the reading.
pub(super) struct Typing {
    stop: Option<OwnedFd>,
    thread: Option<JoinHandle<()>>,
}

impl Typing {
    pub(super) fn start(to: Sender<Event>) -> std::io::Result<Typing> {
        let (stopped, stop) = pipe_with(PipeFlags::CLOEXEC)?;
        let thread = std::thread::Builder::new()
            .name("keys".into())
            .spawn(move || listen(&to, &stopped))?;
        Ok(Typing {
            stop: Some(stop),
            thread: Some(thread),
        })
    }
}

impl Drop for Typing {
    fn drop(&mut self) {
        self.stop = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn listen(to: &Sender<Event>, stopped: &OwnedFd) {
    let terminal = std::io::stdin();
    let mut keys = KeyBytes::default();
    let mut seen = Instant::now();
    let mut bytes = [0; AT_ONCE];
    loop {
        let mut fds = [
            PollFd::new(&terminal, PollFlags::IN),
            PollFd::new(stopped, PollFlags::IN),
        ];
        match poll(&mut fds, keys.ends_in_escape().then_some(&ESCAPE)) {
            Ok(_) => {}
            Err(Errno::INTR) => continue,
            Err(_) => break,
        }
        if !fds[1].revents().is_empty() {
            return;
        }
        let woken = fds[0].revents();
        if woken.intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL) {
            break;
        }
        let now = Instant::now();
        let typed = if woken.contains(PollFlags::IN) {
            let count = match rustix::io::read(&terminal, &mut bytes) {
                Ok(0) => break,
                Ok(count) => count,
                Err(Errno::INTR | Errno::AGAIN) => continue,
                Err(_) => break,
            };
            if now - std::mem::replace(&mut seen, now) > HALF {
                keys.forget();
            }
            keys.take(&bytes[..count])
        } else {
            keys.pause().into_iter().collect()
        };
        for key in typed {
            if to.send(Event::Key(key, now)).is_err() {
                return;
            }
        }
    }
    let _ = to.send(Event::TerminalGone);
}
