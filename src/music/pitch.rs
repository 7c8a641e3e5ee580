//! Notes spelled as musicians spell them, placed on the line of fifths.

use std::fmt;

/// A spelled note without its octave: its place on the line of fifths, C at 0, G at 1, F at -1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Note(i8);

/// The way from one spelled note to another, in fifths up: 0 a unison, 1 a fifth, 4 a major third, -2 a minor seventh.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Interval(i8);

/// One of the twelve sounding pitches within an octave, C at 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PitchClass(u8);

/// The letters in their order on the line of fifths; F stands at -1.
const LETTERS: [char; 7] = ['F', 'C', 'G', 'D', 'A', 'E', 'B'];
/// Seven fifths up raise a letter by a semitone.
const SHARP: i8 = 7;

impl Note {
    pub const C: Note = Note(0);
    pub const D: Note = Note(2);
    pub const E: Note = Note(4);
    pub const G: Note = Note(1);
    pub const A: Note = Note(3);

    /// The natural note of a capital letter `A` to `G`.
    pub fn natural(letter: char) -> Option<Note> {
        let place = LETTERS.iter().position(|&l| l == letter)?;
        Some(Note(place as i8 - 1))
    }

    /// Raised by `semitones` (lowered where negative), the letter kept.
    pub(crate) fn altered(self, semitones: i8) -> Note {
        Note(self.0 + SHARP * semitones)
    }

    /// `A` to `G`.
    pub fn letter(self) -> char {
        LETTERS[(self.0 + 1).rem_euclid(SHARP) as usize]
    }

    /// How many semitones the sign raises the letter: -1 for a flat, 2 for a double sharp.
    pub fn alteration(self) -> i8 {
        (self.0 + 1).div_euclid(SHARP)
    }

    /// The place on the line of fifths, C at 0: also the number of sharps of its major key.
    pub fn fifths(self) -> i8 {
        self.0
    }

    pub fn pitch_class(self) -> PitchClass {
        PitchClass::above_c(i32::from(self.0) * 7)
    }

    pub fn up(self, interval: Interval) -> Note {
        Note(self.0 + interval.0)
    }

    /// The interval from `low` up to this note.
    pub fn above(self, low: Note) -> Interval {
        Interval(self.0 - low.0)
    }

    /// The note with `♭` and `♯`; `Display` has `b` and `#`.
    pub fn signs(self) -> impl fmt::Display {
        Signs(self)
    }

    fn write(self, f: &mut fmt::Formatter<'_>, flat: char, sharp: char) -> fmt::Result {
        write!(f, "{}", self.letter())?;
        let alteration = self.alteration();
        let sign = if alteration < 0 { flat } else { sharp };
        (0..alteration.abs()).try_for_each(|_| write!(f, "{sign}"))
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.write(f, 'b', '#')
    }
}

/// A note to be written with the real signs.
struct Signs(Note);

impl fmt::Display for Signs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.write(f, '♭', '♯')
    }
}

impl Interval {
    pub(crate) const UNISON: Interval = Interval(0);
    pub const FIFTH: Interval = Interval(1);
    pub(crate) const FOURTH: Interval = Interval(-1);
    pub(crate) const MAJOR_THIRD: Interval = Interval(4);

    /// An interval of so many fifths up.
    pub const fn fifths(fifths: i8) -> Interval {
        Interval(fifths)
    }

    /// Where the interval lies on the line of fifths.
    pub const fn as_fifths(self) -> i8 {
        self.0
    }

    /// 0 to 11 semitones up, octaves left out.
    pub fn semitones(self) -> u8 {
        PitchClass::above_c(i32::from(self.0) * 7).number()
    }
}

impl std::ops::Add for Interval {
    type Output = Interval;
    fn add(self, other: Interval) -> Interval {
        Interval(self.0 + other.0)
    }
}

impl PitchClass {
    /// The pitch so many semitones above (or below) C.
    pub const fn above_c(semitones: i32) -> PitchClass {
        PitchClass(semitones.rem_euclid(12) as u8)
    }

    /// 0 (C) to 11 (B).
    pub const fn number(self) -> u8 {
        self.0
    }

    pub const fn up(self, semitones: i32) -> PitchClass {
        PitchClass::above_c(self.0 as i32 + semitones)
    }

    /// 0 to 11 semitones from `low` up to this one.
    pub const fn semitones_above(self, low: PitchClass) -> u8 {
        (self.0 as i32 - low.0 as i32).rem_euclid(12) as u8
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_are_written_with_letter_and_signs() {
        for (note, ascii, signs, class) in [
            (Note::C, "C", "C", 0),
            (Note::natural('B').unwrap().altered(-1), "Bb", "B♭", 10),
            (Note::natural('F').unwrap().altered(2), "F##", "F♯♯", 7),
            (Note::natural('C').unwrap().altered(-1), "Cb", "C♭", 11),
        ] {
            assert_eq!(note.to_string(), ascii);
            assert_eq!(note.signs().to_string(), signs);
            assert_eq!(note.pitch_class().number(), class);
        }
    }
}
