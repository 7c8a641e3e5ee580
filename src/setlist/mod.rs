//! The set, song and player files: what they hold once read, how they are read and checked, and every fault found.
//!
//! Absent here: capo choices, pages, pedals, drawing. Only `read` touches files.

mod checks;
mod finding;
mod node;
mod order;
mod pins;
mod player;
mod player_file;
mod read;
mod report;
mod set;
mod song;
mod switches;
mod units;
mod values;
mod walk;
mod yaml;

pub use finding::{Finding, Level, Rule, Spot};
pub use pins::{pin_line, same_but_for_pins, with_pins};
pub use player::{
    Guitar, PedalSettings, Pickup, Player, Rig, ScreenSettings, Selection, Sends, SwitchKind, SwitchLine, Weights,
};
#[cfg(test)]
pub(crate) use read::read_text;
pub use read::{Reading, read, read_as, read_player_file, usual_player_file};
pub use report::{Report, Sources};
pub use set::{Message, Pin, Section, Set, Song, SongId, StepId, Technique};
pub use units::{Bars, Channel, Meter, Seconds, Seven, Tempo};
