//! A chord line: bars between `|`, shared evenly, `%` for the bar before, `NC` for no chord.

use crate::music::{Key, NumberChord, Numbering, SymbolError};

/// The chords of a section, bar by bar.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ChordLine {
    pub bars: Vec<Bar>,
}

/// One bar: its chords share it evenly; `None` is `NC`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bar {
    pub chords: Vec<Option<NumberChord>>,
    /// Written as `%`: the same as the bar before.
    pub repeats: bool,
}

impl ChordLine {
    /// Reads a whole line; every error of it, not the first alone.
    ///
    /// # Errors
    /// Every fault, each pointing at its character.
    pub fn parse(_text: &str, _key: Key, _numbering: Numbering) -> Result<ChordLine, Vec<SymbolError>> {
        todo!()
    }

    /// The distinct chords, in the order of first appearance.
    pub fn distinct(&self) -> Vec<NumberChord> {
        todo!()
    }
}
