//! Pedals: from MIDI bytes to actions, by machines without input or output, and the ports that bytes come from.
//!
//! Absent here: pages, drawing. The machines read no clock: every call takes the time, and each says when it wants to be
//! woken. Only the ports touch the outside: `raw_port`, `midi_ports`, and what they stand on.

#![deny(clippy::wildcard_enum_match_arm)]

mod alarms;
mod bindings;
mod board;
mod clock;
mod decoder;
mod ear;
mod lesson;
mod line;
mod midi_ports;
mod midi_system;
mod moment;
mod patchbay;
mod port;
mod presses;
mod raw_port;
mod sleep;
mod smf;
mod switch_id;
mod switches;
mod vigil;

#[cfg(test)]
mod story;
#[cfg(test)]
mod tests_bytes;
#[cfg(test)]
mod tests_gestures;
#[cfg(test)]
mod tests_lesson;

pub use bindings::Bindings;
pub use board::{Board, Event, PortId, What, bar_at};
pub use decoder::{Decoder, Message};
pub use ear::{Ear, SwitchName, Told, word};
pub use lesson::{Heard, Learned, Lesson, Puzzle};
pub use midi_ports::{MidiPorts, PortNames, port_names};
pub use moment::Moment;
pub use patchbay::Wanted;
pub use port::{Chunk, News, PortEvent, Teller};
pub use raw_port::RawPort;
pub use smf::{NotAPerformance, Timed, performance};
