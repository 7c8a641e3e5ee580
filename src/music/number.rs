//! Chords by number: how they are read in a key, and how any chord of a song is kept: above its home note.

use crate::music::symbol::{Reader, Symbol};
use crate::music::{Chord, Interval, Key, Mode, Note, Quality, SymbolError};

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

/// The major scale in fifths above its home note, with the quality of the triad on each degree.
const SCALE: [(i8, Quality); DEGREES] = [
    (0, Quality::MAJOR),
    (2, Quality::MINOR),
    (4, Quality::MINOR),
    (-1, Quality::MAJOR),
    (1, Quality::MAJOR),
    (3, Quality::MINOR),
    (5, Quality::DIMINISHED),
];
const DEGREES: usize = 7;
/// The natural minor scale is its relative major's from the sixth degree on, its chords likewise.
const MINOR_HOME: usize = 5;
/// Seven fifths up raise a degree by a semitone.
const SHARP: i8 = 7;

impl NumberChord {
    /// Reads a number (`b7`, `5/7`) or a letter chord (`F/A`) in `key`.
    ///
    /// # Errors
    /// Points at the first character that cannot be read.
    pub fn parse(text: &str, key: Key, numbering: Numbering) -> Result<NumberChord, SymbolError> {
        let mut chars = text.trim_start_matches(['b', '♭', '#', '♯']).chars();
        let is_number = chars.next().is_some_and(|char| char.is_ascii_digit()) || text.starts_with(['♭', '#', '♯']);
        if is_number {
            return read_number(text, first_degree(key, numbering), numbering.style);
        }
        Chord::parse(text).map(|chord| NumberChord::of(chord, key.relative_major().tonic()))
    }

    /// The chord by its place above `home`.
    pub fn of(chord: Chord, home: Note) -> NumberChord {
        NumberChord {
            root: chord.root.above(home),
            quality: chord.quality,
            bass: chord.bass.map(|bass| bass.above(home)),
        }
    }

    /// The chord above a home note: that of the relative major for what sounds, a family's for what is fingered.
    pub fn on(self, home: Note) -> Chord {
        Chord {
            root: home.up(self.root),
            quality: self.quality,
            bass: self.bass.map(|bass| home.up(bass)),
        }
    }

    /// The chord's notes, as they sound, that are not of the key; none where it is a chord of the key. A minor key has its
    /// leading note too, so that its fifth chord may be major.
    pub fn foreign(self, key: Key) -> Vec<Note> {
        let notes = self.on(key.relative_major().tonic()).notes().into_iter();
        notes.filter(|&note| !key.has(note)).collect()
    }

    /// The same chord over the root of another.
    pub(super) fn over(self, other: NumberChord) -> NumberChord {
        NumberChord {
            bass: Some(other.root),
            ..self
        }
    }

    /// The number as the set's numbering would write it for `key`, with signs: `6-`, `♭7`, `5/7`.
    pub fn written(self, key: Key, numbering: Numbering) -> String {
        let first = first_degree(key, numbering);
        let root = Degree::of(self.root, first);
        let taken_if_bare = root.bare_quality(first, numbering.style);
        let quality = match self.quality.suffix() {
            "" if taken_if_bare != Quality::MAJOR => "maj".into(),
            "m" => "-".into(),
            "m7b5" => "ø".into(),
            // `169` would read as well, but not at a glance.
            "69" => "6/9".into(),
            _ => self.quality.signs(),
        };
        let bass = self.bass.map(|bass| format!("/{}", Degree::of(bass, first).signs()));
        format!("{}{quality}{}", root.signs(), bass.unwrap_or_default())
    }

    /// The seven diatonic triads of a major key, 1 to 7.
    pub fn diatonic() -> [NumberChord; 7] {
        SCALE.map(|(fifths, quality)| NumberChord {
            root: Interval::fifths(fifths),
            quality,
            bass: None,
        })
    }
}

/// A degree of the key's own scale, 0 for its first, perhaps raised or lowered.
#[derive(Clone, Copy)]
struct Degree {
    index: usize,
    alteration: i8,
}

impl Degree {
    /// Where an interval above the relative major's home stands in the scale that begins on that scale's `first`.
    fn of(interval: Interval, first: usize) -> Degree {
        let natural = (interval.as_fifths() + 1).rem_euclid(SHARP) - 1;
        let in_major = SCALE
            .iter()
            .position(|&(fifths, _)| fifths == natural)
            .unwrap_or_default();
        Degree {
            index: (in_major + DEGREES - first) % DEGREES,
            alteration: (interval.as_fifths() + 1).div_euclid(SHARP),
        }
    }

    fn above_home(self, first: usize) -> Interval {
        let (fifths, _) = SCALE[(self.index + first) % DEGREES];
        Interval::fifths(fifths + SHARP * self.alteration)
    }

    /// What the number means when no quality is written.
    fn bare_quality(self, first: usize, style: NumberStyle) -> Quality {
        match style {
            NumberStyle::Diatonic if self.alteration == 0 => SCALE[(self.index + first) % DEGREES].1,
            NumberStyle::Diatonic | NumberStyle::Literal => Quality::MAJOR,
        }
    }

    fn signs(self) -> String {
        let sign = if self.alteration < 0 { "♭" } else { "♯" };
        let signs = sign.repeat(usize::from(self.alteration.unsigned_abs()));
        format!("{signs}{}", self.index + 1)
    }
}

/// The degree of the relative major's scale that is called 1.
fn first_degree(key: Key, numbering: Numbering) -> usize {
    match (key.mode(), numbering.minor) {
        (Mode::Minor, MinorNumbers::FromOne) => MINOR_HOME,
        (Mode::Minor, MinorNumbers::Relative) | (Mode::Major, _) => 0,
    }
}

fn read_number(text: &str, first: usize, style: NumberStyle) -> Result<NumberChord, SymbolError> {
    let symbol = Symbol::read(text, degree)?;
    let root = symbol.root.above_home(first);
    let bass = symbol.bass.map(|bass| bass.above_home(first));
    Ok(NumberChord {
        root,
        quality: symbol.quality.unwrap_or_else(|| symbol.root.bare_quality(first, style)),
        bass: bass.filter(|bass| bass.semitones() != root.semitones()),
    })
}

/// At most one accidental, then 1 to 7.
fn degree(reader: &mut Reader<'_>) -> Result<Degree, SymbolError> {
    let alteration = reader.accidental();
    let index = reader.take_as(|char| match char {
        '1'..='7' => Some(char as usize - '1' as usize),
        _ => None,
    });
    match index {
        Some(index) => Ok(Degree { index, alteration }),
        None => Err(no_degree(reader)),
    }
}

fn no_degree(reader: &Reader<'_>) -> SymbolError {
    let hint = match reader.peek() {
        Some('b' | '♭' | '#' | '♯') => "A number has one accidental at most, like `b7`.",
        Some('A'..='G') => "The bass of a number is a number too, like `5/7`.",
        _ => "Numbers are 1 to 7, perhaps with an accidental before them, like `b7`.",
    };
    let message = |rest: &str| match rest {
        "" => "a number is missing here".into(),
        _ => format!("`{rest}` is no number of the scale"),
    };
    reader.error(message, Some(hint.into()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::AskedKey;

    fn key(text: &str) -> Key {
        AskedKey::parse(text).unwrap().key()
    }

    const DIATONIC: Numbering = Numbering {
        style: NumberStyle::Diatonic,
        minor: MinorNumbers::Relative,
    };
    const LITERAL: Numbering = Numbering {
        style: NumberStyle::Literal,
        ..DIATONIC
    };
    const FROM_ONE: Numbering = Numbering {
        minor: MinorNumbers::FromOne,
        ..DIATONIC
    };

    #[track_caller]
    fn check(numbering: Numbering, key_text: &str, text: &str, sounds: &str, written: &str) {
        let key = key(key_text);
        let chord = NumberChord::parse(text, key, numbering).unwrap();
        let sounding = chord.on(key.relative_major().tonic());
        assert_eq!(sounding.to_string(), sounds, "{text} in {key_text}");
        assert_eq!(chord.written(key, numbering), written, "{text} in {key_text}");
        assert_eq!(NumberChord::parse(written, key, numbering), Ok(chord), "{written}");
        assert_eq!(NumberChord::parse(sounds, key, numbering), Ok(chord), "{sounds}");
    }

    #[test]
    fn a_bare_number_takes_the_keys_own_quality() {
        for (text, sounds, written) in [
            ("1", "Bb", "1"),
            ("2", "Cm", "2-"),
            ("7", "Adim", "7°"),
            ("2maj", "C", "2maj"),
            ("b7", "Ab", "♭7"),
            ("#4", "E", "♯4"),
            ("5/7", "F/A", "5/7"),
            ("1/b7", "Bb/Ab", "1/♭7"),
            ("3/5", "Dm/F", "3-/5"),
        ] {
            check(DIATONIC, "Bb", text, sounds, written);
        }
    }

    #[test]
    fn a_literal_bare_number_is_major() {
        for (text, sounds, written) in [
            ("2", "A", "2"),
            ("2-", "Am", "2-"),
            ("7", "F#", "7"),
            ("6maj", "E", "6"),
            ("7dim", "F#dim", "7°"),
            ("b7", "F", "♭7"),
        ] {
            check(LITERAL, "G", text, sounds, written);
        }
    }

    #[test]
    fn digits_after_the_number_are_its_quality() {
        for (text, sounds, written) in [
            ("57", "G7", "57"),
            ("27", "D7", "27"),
            ("15", "C5", "15"),
            ("42", "Fadd9", "4add9"),
            ("69", "A9", "69"),
            ("16/9", "C69", "16/9"),
            ("169", "C69", "16/9"),
            ("16/3", "C6/E", "16/3"),
            ("16/9/3", "C69/E", "16/9/3"),
            ("57/2", "G7/D", "57/2"),
            ("113", "C13", "113"),
            ("6min7", "Am7", "6m7"),
            ("2-7", "Dm7", "2m7"),
            ("4M9", "Fmaj9", "4maj9"),
            ("1Δ", "Cmaj7", "1maj7"),
            ("3mmaj7", "Emmaj7", "3mmaj7"),
            ("b7maj", "Bb", "♭7"),
            ("#4dim", "F#dim", "♯4°"),
            ("7ø", "Bm7b5", "7ø"),
            ("2add9/2", "Dadd9", "2add9"),
            ("1/b2", "C/Db", "1/♭2"),
        ] {
            check(DIATONIC, "C", text, sounds, written);
        }
    }

    #[test]
    fn a_minor_key_counts_from_its_relative_major_or_from_its_own_scale() {
        check(DIATONIC, "Em", "6", "Em", "6-");
        check(DIATONIC, "Em", "1/3", "G/B", "1/3");
        for (text, sounds, written) in [
            ("1", "Em", "1-"),
            ("2", "F#dim", "2°"),
            ("3", "G", "3"),
            ("4", "Am", "4-"),
            ("5", "Bm", "5-"),
            ("6", "C", "6"),
            ("7", "D", "7"),
            ("57", "B7", "57"),
            ("5maj", "B", "5maj"),
            ("#7dim", "D#dim", "♯7°"),
            ("b2", "F", "♭2"),
            ("1/b3", "Em/Gb", "1-/♭3"),
            ("1/3", "Em/G", "1-/3"),
        ] {
            check(FROM_ONE, "Em", text, sounds, written);
        }
        // It changes nothing for a major key.
        check(FROM_ONE, "G", "6", "Em", "6-");
    }

    #[test]
    fn a_chord_of_the_key_has_no_note_foreign_to_it() {
        for (key_text, text, foreign) in [
            ("C", "1", ""),
            ("C", "57", ""),
            ("C", "7ø", ""),
            ("C", "4maj7", ""),
            ("C", "b7", "Bb"),
            ("C", "4-", "Ab"),
            ("C", "17", "Bb"),
            ("C", "2maj", "F#"),
            ("C", "C/Bb", "Bb"),
            ("C", "Eaug", "G#"),
            ("Gb", "B", ""),
            ("Em", "6", ""),
            ("Em", "B7", ""),
            ("Em", "D#dim7", ""),
            ("Em", "B7#9", ""),
            ("G", "B7", "D#"),
            ("Em", "Dm", "F"),
        ] {
            let key = key(key_text);
            let chord = NumberChord::parse(text, key, DIATONIC).unwrap();
            let found: Vec<_> = chord.foreign(key).iter().map(Note::to_string).collect();
            assert_eq!(found.join(" "), foreign, "{text} in {key_text}");
        }
    }

    #[test]
    fn an_error_points_at_the_character() {
        for (text, at, len, message) in [
            ("8", 0, 1, "`8` is no number of the scale"),
            ("1/8", 2, 1, "`8` is no number of the scale"),
            ("5/", 2, 1, "a number is missing here"),
            ("#", 1, 1, "a number is missing here"),
            ("bb7", 1, 2, "`b7` is no number of the scale"),
            ("1/E", 2, 1, "`E` is no number of the scale"),
            ("177", 2, 1, "`7` cannot be read after `17`"),
            ("6x", 1, 1, "`x` cannot be read after `6`"),
            ("b", 0, 1, "`b` is no chord"),
            ("#m", 1, 1, "`m` is no number of the scale"),
        ] {
            let error = NumberChord::parse(text, key("C"), DIATONIC).unwrap_err();
            assert_eq!((error.at, error.len, &*error.message), (at, len, message), "{text}");
        }
    }
}
