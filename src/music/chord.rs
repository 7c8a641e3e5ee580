//! A chord as it sounds or is fingered, and the reading of letter symbols like `F/A`.

use crate::music::naming::well_spelled;
use crate::music::symbol::{Reader, Symbol};
use crate::music::{Interval, Note, PitchClass, Quality, SymbolError};
use std::fmt;

/// A chord with a spelled root. A bass that is the root is no bass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Chord {
    pub root: Note,
    pub quality: Quality,
    pub bass: Option<Note>,
}

/// A chord as the ear has it: the same for `F#` and `Gb`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Heard {
    pub root: PitchClass,
    pub quality: Quality,
    pub bass: PitchClass,
}

impl Chord {
    /// The chord, without the bass where that sounds like the root.
    pub fn new(root: Note, quality: Quality, bass: Option<Note>) -> Chord {
        Chord {
            root,
            quality,
            bass: bass.filter(|bass| bass.pitch_class() != root.pitch_class()),
        }
    }

    /// Reads a letter chord: a capital letter, at most one accidental, a quality, and perhaps a bass.
    ///
    /// # Errors
    /// Points at the first character that cannot be read.
    pub fn parse(text: &str) -> Result<Chord, SymbolError> {
        let symbol = Symbol::read(text, letter)?;
        Ok(Chord::new(
            symbol.root,
            symbol.quality.unwrap_or(Quality::MAJOR),
            symbol.bass,
        ))
    }

    /// The spelled notes, root up; a bass that is no chord tone comes first.
    pub fn notes(self) -> Vec<Note> {
        let tones = self.quality.tones().map(|tone| self.root.up(tone));
        let foreign = self
            .bass
            .filter(|bass| tones.clone().all(|tone| tone.pitch_class() != bass.pitch_class()));
        foreign.into_iter().chain(tones).collect()
    }

    /// The chord so many semitones up (or down), with the fewest signs; as it is where it does not move.
    pub fn moved(self, semitones: i32) -> Chord {
        // A semitone up is seven fifths up, by the letter.
        let up = Interval::fifths((semitones * 7).rem_euclid(12) as i8);
        match up {
            Interval::UNISON => self,
            _ => well_spelled(Chord {
                root: self.root.up(up),
                bass: self.bass.map(|bass| bass.up(up)),
                ..self
            }),
        }
    }

    /// The chord as the ear has it, whatever its notes are called.
    pub fn heard(self) -> Heard {
        Heard {
            root: self.root.pitch_class(),
            quality: self.quality,
            bass: self.bass.unwrap_or(self.root).pitch_class(),
        }
    }

    /// The chord with `♭`, `♯` and `°`; `Display` has ASCII.
    pub fn signs(self) -> impl fmt::Display {
        Signs(self)
    }
}

impl fmt::Display for Chord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bass = self.bass.map(|bass| format!("/{bass}")).unwrap_or_default();
        f.pad(&format!("{}{}{bass}", self.root, self.quality.suffix()))
    }
}

/// A chord to be written with the real signs.
struct Signs(Chord);

impl fmt::Display for Signs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Chord { root, quality, bass } = self.0;
        let bass = bass.map(|bass| format!("/{}", bass.signs())).unwrap_or_default();
        f.pad(&format!("{}{}{bass}", root.signs(), quality.signs()))
    }
}

/// A capital letter with at most one accidental.
fn letter(reader: &mut Reader<'_>) -> Result<Note, SymbolError> {
    match reader.take_as(Note::natural) {
        Some(natural) => Ok(natural.altered(reader.accidental())),
        None => Err(no_letter(reader)),
    }
}

fn no_letter(reader: &Reader<'_>) -> SymbolError {
    let hint = match reader.peek() {
        Some('H') => "Notes are A to G: the note below C is `B`.".into(),
        Some(small @ 'a'..='g') => format!(
            "A letter chord begins with a capital: `{}`.",
            small.to_ascii_uppercase()
        ),
        _ if reader.at_root() => {
            "A chord is a letter like `Bb`, `Gm7`, `F/A`, or a number like `1`, `6-`, `5/7`.".into()
        }
        Some('0'..='9') => "The bass of a letter chord is a letter too, like `F/A`.".into(),
        _ => "After `/` stands the bass, like `F/A`.".into(),
    };
    let wanted = if reader.at_root() { "chord" } else { "bass note" };
    let message = |rest: &str| match rest {
        "" => format!("there is no {wanted} here"),
        _ => format!("`{rest}` is no {wanted}"),
    };
    reader.error(message, Some(hint))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letter_chords_are_read_and_written_both_ways() {
        for (text, ascii, signs, notes) in [
            ("Bb", "Bb", "B♭", "Bb D F"),
            ("B♭-7", "Bbm7", "B♭m7", "Bb Db F Ab"),
            ("F/A", "F/A", "F/A", "F A C"),
            ("C/D", "C/D", "C/D", "D C E G"),
            ("Cm7b5", "Cm7b5", "Cm7♭5", "C Eb Gb Bb"),
            ("F#°7/A", "F#dim7/A", "F♯°7/A", "F# A C Eb"),
            ("Gbm7♭5/F", "Gbm7b5/F", "G♭m7♭5/F", "F Gb Bbb Dbb Fb"),
            ("C6/9", "C69", "C69", "C E G A D"),
            ("E6/9/E", "E69", "E69", "E G# B C# F#"),
            ("Db/C#", "Db", "D♭", "Db F Ab"),
            ("G7b9", "G7b9", "G7♭9", "G B D F Ab"),
            ("A7#9/G", "A7#9/G", "A7♯9/G", "A C# E G B#"),
        ] {
            let chord = Chord::parse(text).unwrap();
            assert_eq!(chord.to_string(), ascii, "{text}");
            assert_eq!(chord.signs().to_string(), signs, "{text}");
            assert_eq!(Chord::parse(ascii), Ok(chord), "{text}");
            assert_eq!(Chord::parse(signs), Ok(chord), "{text}");
            let found: Vec<_> = chord.notes().iter().map(Note::to_string).collect();
            assert_eq!(found.join(" "), notes, "{text}");
        }
    }

    #[test]
    fn a_chord_is_moved_by_semitones_and_named_with_the_fewest_signs() {
        for (chord, semitones, moved) in [
            ("Bb", -3, "G"),
            ("Bb/D", -1, "A/C#"),
            ("C#m7", -1, "Cm7"),
            ("C", 1, "Db"),
            ("Am/C#", 1, "Bbm/D"),
            ("F#", 0, "F#"),
            ("Gb", 12, "Gb"),
            ("C/D", 11, "B/C#"),
        ] {
            assert_eq!(
                Chord::parse(chord).unwrap().moved(semitones).to_string(),
                moved,
                "{chord} {semitones}"
            );
        }
    }

    #[test]
    fn an_error_points_at_the_first_character_that_cannot_be_read() {
        for (text, at, len, message, hint) in [
            (
                "H",
                0,
                1,
                "`H` is no chord",
                "Notes are A to G: the note below C is `B`.",
            ),
            (
                "Cmaj77",
                5,
                1,
                "`7` cannot be read after `Cmaj7`",
                "Did you mean `Cmaj7`?",
            ),
            (
                "Csuss4",
                4,
                2,
                "`s4` cannot be read after `Csus`",
                "Did you mean `Csus4`?",
            ),
            (
                "Bbmi7/F",
                3,
                2,
                "`i7` cannot be read after `Bbm`",
                "Did you mean `Bbmin7/F`?",
            ),
            (
                "am",
                0,
                2,
                "`am` is no chord",
                "A letter chord begins with a capital: `A`.",
            ),
            (
                "",
                0,
                1,
                "there is no chord here",
                "A chord is a letter like `Bb`, `Gm7`, `F/A`, or a number like `1`, `6-`, `5/7`.",
            ),
            (
                "C/",
                2,
                1,
                "there is no bass note here",
                "After `/` stands the bass, like `F/A`.",
            ),
            (
                "C/3",
                2,
                1,
                "`3` is no bass note",
                "The bass of a letter chord is a letter too, like `F/A`.",
            ),
            ("C/E/G", 3, 2, "`/G` cannot be read after `C/E`", ""),
            ("C\u{1b}[2J", 1, 4, "`\\u{1b}[2J` cannot be read after `C`", QUALITIES),
            ("Bbb", 2, 1, "`b` cannot be read after `Bb`", QUALITIES),
        ] {
            let wanted = SymbolError {
                at,
                len,
                message: message.into(),
                hint: Some(hint.into()).filter(|hint: &String| !hint.is_empty()),
            };
            assert_eq!(Chord::parse(text), Err(wanted), "{text}");
        }
    }

    const QUALITIES: &str = "The qualities are m 7 m7 maj7 5 sus4 sus2 add9 7sus4 6 m6 dim aug dim7 m7b5 9 m9 maj9 69 \
                             madd9 add4 mmaj7 11 m11 13 7#9 7b9 7b5 7#5.";
}
