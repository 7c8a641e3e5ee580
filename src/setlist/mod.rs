//! The set, song and player files: what they hold once read, how they are read and checked, and every fault found.
//!
//! Absent here: capo choices, pages, pedals, drawing. Only `read` touches files.

mod finding;
mod player;
mod set;
mod units;

pub use finding::{Finding, Level, Rule, Spot};
pub use player::{
    Guitar, PedalSettings, Pickup, Player, Rig, ScreenSettings, Selection, Sends, SwitchKind, SwitchLine, Weights,
};
pub use set::{Message, Pin, Section, Set, Song, SongId, StepId, Technique};
pub use units::{Bars, Channel, Meter, Seconds, Seven, Tempo};
