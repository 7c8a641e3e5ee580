//! Music as the player reads it: notes, keys, chords, numbers, shape families and voicings.
//!
//! Absent here: files, clocks, threads, printing. Everything is a value made from text or from other values.
//! The table of all playable hands is made by the build script from `hand`, `pitch` and `sound`, which therefore name no
//! other module by way of the crate.
//!
//! Spelling is arithmetic on the line of fifths; the keyboard's twelve numbers appear only where sound does.

mod chord;
mod family;
mod fret;
mod fretted;
mod hand;
mod key;
mod line;
mod naming;
mod near;
mod number;
mod pitch;
mod quality;
mod shapes;
mod sound;
mod symbol;
mod voicing;

pub use chord::{Chord, Heard};
pub use family::Family;
pub use fret::{Fret, NotAFret};
pub use fretted::{parse_frets, place_of_fret};
pub use key::{AskedKey, Key, Mode, NotAKey};
pub use line::{Bar, ChordLine, Placed};
pub use naming::names;
pub use near::{Change, near};
pub use number::{MinorNumbers, NumberChord, NumberStyle, Numbering};
pub use pitch::{Interval, Note, PitchClass};
pub use quality::Quality;
pub use shapes::{DegreeShapes, Shape};
pub(crate) use sound::TUNING;
pub use symbol::SymbolError;
pub use voicing::{Voicing, first_voicing, sounding, voicings};
