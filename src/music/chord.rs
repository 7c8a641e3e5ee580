//! A chord as it sounds or is fingered, and the reading of letter symbols like `F/A`.

use crate::music::{Note, Quality};
use std::fmt;

/// A chord with a spelled root. A bass that is the root is no bass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Chord {
    pub root: Note,
    pub quality: Quality,
    pub bass: Option<Note>,
}

/// What is wrong in a chord symbol, a number or a chord line, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SymbolError {
    /// The first character that cannot be read, counted from 0 in characters of the text given.
    pub at: usize,
    /// How many characters it is about, at least 1 (the end of the text counts as one).
    pub len: usize,
    /// A clause a guitarist understands, the found text in backticks.
    pub message: String,
    /// A full sentence that helps, where there is one.
    pub hint: Option<String>,
}

impl Chord {
    /// Reads a letter chord: a capital letter, at most one accidental, a quality, and perhaps a bass.
    ///
    /// # Errors
    /// Points at the first character that cannot be read.
    pub fn parse(_text: &str) -> Result<Chord, SymbolError> {
        todo!()
    }

    /// The spelled notes, root up; a bass that is no chord tone comes first.
    pub fn notes(self) -> Vec<Note> {
        todo!()
    }

    /// The chord with `♭`, `♯` and `°`; `Display` has ASCII.
    pub fn signs(self) -> impl fmt::Display {
        String::new()
    }
}

impl fmt::Display for Chord {
    fn fmt(&self, _f: &mut fmt::Formatter<'_>) -> fmt::Result {
        todo!()
    }
}
