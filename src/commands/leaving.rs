//! The end that a signal asks for: in order where that is possible, and soon in any case.

use super::Status;
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
use std::io;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

/// How long a command has for leaving in order.
pub(super) const PATIENCE: Duration = Duration::from_millis(400);

/// Held while something is done that no end may cut short.
static UNCUT: Mutex<()> = Mutex::new(());

/// Does what no end may cut short: a file is written, or the terminal is not as it was found.
pub(super) fn uncut<T>(work: impl FnOnce() -> T) -> T {
    let _held = hold();
    work()
}

/// Calls once when a signal asks for the end, from a thread that sleeps until then; it must not take longer than
/// `PATIENCE`. A command that has not left a little later is ended with this status.
///
/// A terminal that has stopped reading holds whoever prints for ever, deep in the system, where no channel is heard. A
/// printing that never blocks would lose words wherever a reader is only slow; so printing stays as it is, and this
/// thread, which prints nothing, has the last word.
pub(super) fn when_asked_to_end(status: Status, tell: impl FnOnce() + Send + 'static) -> io::Result<()> {
    let mut signals = signal_hook::iterator::Signals::new([SIGINT, SIGTERM, SIGHUP])?;
    thread::Builder::new().name("signals".into()).spawn(move || {
        if signals.forever().next().is_some() {
            tell();
            // Only from then on can it leave.
            drop(hold());
            thread::sleep(PATIENCE);
            let _held = hold();
            // At once, with nothing tidied up: what is to be kept is kept, and tidying up may wait for that terminal.
            signal_hook::low_level::exit(i32::from(status.code()));
        }
    })?;
    Ok(())
}

fn hold() -> MutexGuard<'static, ()> {
    UNCUT.lock().unwrap_or_else(PoisonError::into_inner)
}
