//! Voicings: the playable ways to finger a chord in low position, best first.

use crate::music::Chord;

/// Six strings fingered, low string first, counted from the capo.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Voicing {
    /// -1 muted, 0 open, 1 to 4.
    pub frets: [i8; 6],
    /// 0 none, 1 to 4.
    pub fingers: [u8; 6],
}

impl Voicing {
    pub fn open_strings(&self) -> u8 {
        self.frets.iter().filter(|&&fret| fret == 0).count() as u8
    }
}

/// The chord's first voicing by the order of preference, if it has one.
pub fn first_voicing(_chord: Chord) -> Option<Voicing> {
    todo!()
}
