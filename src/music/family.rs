//! The five families of open shapes, and the keys that each gives under a capo.

use crate::music::{Fret, Key, Note, PitchClass};
use std::fmt;

/// A family of open shapes, named by its home chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Family {
    C,
    A,
    G,
    E,
    D,
}

impl Family {
    pub const ALL: [Family; 5] = [Family::C, Family::A, Family::G, Family::E, Family::D];

    /// The home note of the shapes as fingered.
    pub const fn tonic(self) -> Note {
        match self {
            Family::C => Note::C,
            Family::A => Note::A,
            Family::G => Note::G,
            Family::E => Note::E,
            Family::D => Note::D,
        }
    }

    /// The family named by one letter in either case.
    pub fn parse(text: &str) -> Option<Family> {
        Family::ALL
            .into_iter()
            .find(|family| family.letter().eq_ignore_ascii_case(text.trim()))
    }

    /// `C`, `A`, `G`, `E` or `D`.
    pub const fn letter(self) -> &'static str {
        match self {
            Family::C => "C",
            Family::A => "A",
            Family::G => "G",
            Family::E => "E",
            Family::D => "D",
        }
    }

    /// The pitch of the home chord with the capo at `fret`.
    pub fn sounds(self, fret: Fret) -> PitchClass {
        self.tonic().pitch_class().up(i32::from(fret.number()))
    }

    /// The family that sounds in `key` (its relative major) with the capo at `fret`, if there is one.
    pub fn at(fret: Fret, key: Key) -> Option<Family> {
        let home = key.relative_major().tonic().pitch_class();
        Family::ALL.into_iter().find(|family| family.sounds(fret) == home)
    }
}

impl fmt::Display for Family {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.letter())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Common practice, no source: with the capo at 4 at most, each key has two options and E has three.
    #[test]
    fn every_key_has_two_options_up_to_the_fourth_fret_and_e_has_three() {
        for number in 0..12 {
            let home = PitchClass::above_c(number);
            let options = Fret::new(4)
                .unwrap()
                .up_to()
                .flat_map(|fret| Family::ALL.map(|family| family.sounds(fret)));
            let wanted = if home == Note::E.pitch_class() { 3 } else { 2 };
            assert_eq!(options.filter(|&pitch| pitch == home).count(), wanted, "{home:?}");
        }
    }
}
