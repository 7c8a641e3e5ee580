//! All that can happen to a running stage.

use crate::pedal::PortEvent;
use crate::show::files::Fresh;
use crossterm::event::KeyEvent;
use std::time::Instant;

#[derive(Debug)]
pub(super) enum Event {
    Port(PortEvent),
    Key(KeyEvent, Instant),
    /// A signal of the system, by its number.
    Signal(i32),
    /// The show's files have changed: what they say now, or what is wrong with them.
    Files(Result<Box<Fresh>, String>),
    /// The terminal, which took nothing for a while, takes more.
    TerminalReads,
    /// A thread has broken: a fault of ours.
    Broke,
    /// The journal takes nothing, in one quiet line. The show goes on.
    JournalFails(String),
    /// The terminal is gone: nobody looks any more.
    TerminalGone,
}
