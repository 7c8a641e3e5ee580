//! What a hand sounds: the tuning of the strings, and the set of notes with the lowest of them.
//!
//! The build script compiles this file too, to lay the table of all hands out by what they sound.

use super::hand::{Frets, STRINGS};
use super::pitch::PitchClass;

/// The open strings as MIDI notes, low string first: E2 A2 D3 G3 B3 E4.
pub(crate) const TUNING: [u8; STRINGS] = [40, 45, 50, 55, 59, 64];

/// The pitch classes that sound, and the lowest note's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Sound(u16);

impl Sound {
    /// The sound of these notes over that bass, which is one of them.
    pub(crate) fn new(notes: impl Iterator<Item = PitchClass>, bass: PitchClass) -> Sound {
        let set = notes.fold(1 << bass.number(), |set: u16, note| set | 1 << note.number());
        Sound(set << 4 | u16::from(bass.number()))
    }

    /// What sounds when these frets are pressed; none where every string is muted.
    pub(crate) fn of(frets: Frets) -> Option<Sound> {
        let strings = frets.into_iter().zip(TUNING).filter(|&(fret, _)| fret >= 0);
        let heights = strings.map(|(fret, open)| i32::from(open) + i32::from(fret));
        let lowest = heights.clone().min()?;
        Some(Sound::new(
            heights.map(PitchClass::above_c),
            PitchClass::above_c(lowest),
        ))
    }

    /// The lowest note.
    pub(crate) fn bass(self) -> PitchClass {
        PitchClass::above_c(i32::from(self.0 & 0xF))
    }

    pub(crate) fn has(self, note: PitchClass) -> bool {
        self.0 >> (note.number() + 4) & 1 == 1
    }

    /// The same without a note that is not the bass.
    pub(crate) fn without(self, note: PitchClass) -> Sound {
        Sound(self.0 & !(1 << (note.number() + 4)))
    }

    pub(crate) const fn bits(self) -> u16 {
        self.0
    }
}
