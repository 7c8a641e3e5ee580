//! The running stage: threads, the terminal, the one loop; and the performance that it runs.
//!
//! Absent here: what a page holds, and how it looks. Nothing is decided here but when to draw.

mod attend;
mod broke;
mod display;
mod doors;
pub(crate) mod errors;
mod escape;
mod event;
mod feet;
mod files;
mod folders;
mod frame;
mod journal;
mod key_bytes;
mod keys;
mod leaf;
mod pens;
mod performance;
mod practice;
mod rehearsal;
mod settling;
mod signals;
#[cfg(test)]
mod simulator;
mod stage;
mod terminal;
mod typing;

pub use attend::Ended;
pub use doors::Doors;
pub use files::{Fresh, ReadAnew, ShowFiles};
pub(crate) use journal::{Past, PlayedSection, PlayedSong, past_shows};
pub use performance::{Cable, Done, Listener, Performance};
pub use practice::{Asked, Practice, PracticeOpening, practise};
pub use rehearsal::{Score, Sitting, rehearse};
pub use stage::{Opening, run};
