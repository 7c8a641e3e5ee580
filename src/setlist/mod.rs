//! The set, song and player files: what they hold once read, how they are read and checked, and every fault found.
//!
//! Absent here: capo choices, pages, pedals, drawing. Only `read` touches files.

mod bytes;
mod checks;
mod chords;
mod decode;
mod draft;
mod edit;
mod excerpt;
mod finding;
mod guitar;
mod list;
mod list_line;
mod list_parts;
mod list_table;
mod list_words;
mod midi_bars;
mod midi_song;
mod order;
mod pins;
mod player;
mod player_file;
mod player_shapes;
mod quote;
mod read;
mod report;
mod scalar;
mod schema;
mod seconds_edit;
mod sections;
mod set;
mod set_file;
mod set_shapes;
mod shape;
mod shelf;
mod song;
mod switch_edit;
mod switches;
mod syntax;
mod tree;
mod units;
mod walk;
mod words;

pub use draft::{STAND_IN, SectionDraft, SetDraft, SongDraft, starter_player, starter_set};
pub(crate) use excerpt::{Excerpt, escaped};
pub use finding::{Finding, Level, Rule, Spot};
pub use list::{LeadersList, ListRemark, read_list};
pub use midi_song::{MidiSong, NotASong, broken_track, midi_song};
pub use pins::{pin_line, same_but_for_pins, with_pins};
pub use player::{
    Guitar, PedalSettings, Pickup, Player, Rig, ScreenSettings, Selection, Sends, SwitchKind, SwitchLine, Weights,
};
#[cfg(test)]
pub(crate) use read::read_text;
pub use read::{Reading, because, read, read_as, read_player_as, read_player_file, usual_player_file};
pub use report::{Report, Sources};
pub use schema::{FileKind, schema};
pub use seconds_edit::{same_but_for_seconds, with_seconds_to_move};
pub use set::{Message, Pin, Section, Set, Song, SongId, StepId, Technique};
pub use switch_edit::{NewSwitch, new_player_file, same_but_for_switches, switch_line, with_switches};
pub use units::{Bars, Channel, Meter, Seconds, Seven, Tempo};
