//! The ear: the sound of the player's own guitar as a model, the quiz that trains on it, and which position a recording
//! was played on.
//!
//! Absent here: pages, drawing, the terminal. The model and the quiz read no clock and no file; chance comes in as a
//! seed. Only `files` touches files, and only `speaker` makes a sound.
//!
//! Honest are the pitches, the nulls of the pickups, the levels of the partials, joined positions, capo and fret,
//! stiffness and decay; half honest are pick, coil and palm mute: plausible figures, not this player's. There is no
//! amplifier, loudspeaker or room, no second polarisation, no distortion: these sounds have your guitar's pickup places,
//! not its voice.

mod files;
mod loudness;
mod matching;
mod phrase;
mod pickup;
mod playing;
mod pluck;
mod quiz;
mod recordings;
mod render;
mod repertoire;
mod sound;
mod speaker;
mod string;
mod strokes;
mod tap;
mod units;
mod voice;

pub use files::{HistoryFile, NoSound, read_wav, write_wav, write_whole};
pub use loudness::loudness;
pub use matching::{Answer, CannotTell, Evidence, Heard, Score, Skipped, Why, identify, too_close};
pub use phrase::{Material, Phrase};
pub use pickup::{Instrument, Position};
pub use playing::{Note, sound};
pub use pluck::Pluck;
pub use quiz::{
    Answered, Ask, Confusion, Done, Drill, History, Page, Play, Question, Quiz, Report, Sitting, Tally, report, wilson,
};
pub use recordings::{Recordings, named_after};
pub use render::{Key, KeyNote, Rendered, choices};
pub use repertoire::{Piece, Repertoire, TooFewPositions};
pub use sound::{RATE, Sound, match_levels};
pub use speaker::{NoSpeaker, Speaker};
pub use string::{Damping, GuitarString, Speaking};
pub use units::{Decibels, Hertz, Millimetres, Seed};
