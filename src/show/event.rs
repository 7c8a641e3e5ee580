//! All that can happen to a running stage.

use crate::pedal::PortEvent;
use crossterm::event::KeyEvent;
use std::time::Instant;

#[derive(Debug)]
pub(super) enum Event {
    Port(PortEvent),
    Key(KeyEvent, Instant),
    /// A signal of the system, by its number.
    Signal(i32),
    /// The terminal, which took nothing for a while, takes more.
    TerminalReads,
    /// A thread has broken: a fault of ours.
    Broke,
    /// The terminal is gone: nobody looks any more.
    TerminalGone,
}
