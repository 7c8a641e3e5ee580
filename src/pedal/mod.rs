//! Pedals: from MIDI bytes to actions, by machines without input or output, and the ports that bytes come from.
//!
//! Absent here: pages, drawing. The machines read no clock: every call takes the time, and each says when it wants to be
//! woken. Only `midi_ports` and `raw_port` touch the outside.

mod bindings;
mod board;
mod clock;
mod decoder;
mod line;
mod moment;
mod port;
mod raw_port;
mod sleep;
mod smf;
mod switches;
mod vigil;

pub use bindings::Bindings;
pub use board::{Board, Event, PortId, What, bar_at};
pub use decoder::{Decoder, Message};
pub use moment::Moment;
pub use port::{Chunk, News, PortEvent, Teller};
pub use raw_port::RawPort;
pub use smf::{NotAPerformance, Timed, performance};
