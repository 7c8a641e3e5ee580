//! Chords by number: how they are read in a key, and how any chord of a song is kept: above its home note.

use crate::music::{AskedKey, Chord, Interval, Key, Note, Quality, SymbolError};

/// Whether a bare number takes the key's own quality.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum NumberStyle {
    #[default]
    Diatonic,
    Literal,
}

/// Where the numbers of a minor key count from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MinorNumbers {
    /// From the relative major: the home chord of E minor is 6-.
    #[default]
    Relative,
    /// From the minor tonic, by the natural minor scale.
    FromOne,
}

/// How a set writes its numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Numbering {
    pub style: NumberStyle,
    pub minor: MinorNumbers,
}

/// A chord kept by its place above the home note of the relative major, so that it can be heard in any key and fingered
/// in any family.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NumberChord {
    root: Interval,
    quality: Quality,
    bass: Option<Interval>,
}

impl NumberChord {
    /// Reads a number (`b7`, `5/7`) or a letter chord (`F/A`) in `key`.
    ///
    /// # Errors
    /// Points at the first character that cannot be read.
    pub fn parse(_text: &str, _key: Key, _numbering: Numbering) -> Result<NumberChord, SymbolError> {
        todo!()
    }

    /// The chord above a home note: that of the relative major for what sounds, a family's for what is fingered.
    pub fn on(self, home: Note) -> Chord {
        Chord {
            root: home.up(self.root),
            quality: self.quality,
            bass: self.bass.map(|bass| home.up(bass)),
        }
    }

    /// The number as the set's numbering would write it for `key`, with signs: `6-`, `♭7`, `5/7`.
    pub fn written(self, _key: Key, _numbering: Numbering) -> String {
        todo!()
    }

    /// The seven diatonic triads of a major key, 1 to 7.
    pub fn diatonic() -> [NumberChord; 7] {
        todo!()
    }
}

const _: Option<AskedKey> = None;
