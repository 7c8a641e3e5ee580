//! Keys: how they are read, how those with too many accidentals are respelled, and what they share.

use crate::music::symbol::shown;
use crate::music::{Interval, Note};
use std::fmt;

/// Major or minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    Major,
    Minor,
}

/// A key with at most seven sharps or flats.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    tonic: Note,
    mode: Mode,
}

/// A key as someone asked for it: perhaps under a name with more than seven accidentals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AskedKey {
    key: Key,
    tonic_asked: Note,
}

/// What was given where a key was wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAKey {
    /// As a message shows it.
    text: String,
    /// The first character that cannot be read, counted from 0 in characters.
    pub at: usize,
}

/// A minor tonic lies three fifths above the tonic of the major key with the same notes.
const RELATIVE: Interval = Interval::fifths(-3);
/// Twelve fifths up is the same pitch under another name.
const ENHARMONIC: i8 = 12;
/// The major scale in semitones above its home note.
const SCALE: [u8; 7] = [0, 2, 4, 5, 7, 9, 11];
/// A leading note is a semitone below the tonic.
const LEADING: u8 = 11;
/// A key signature holds at most seven sharps or flats.
const MOST_ACCIDENTALS: i8 = 7;

impl Key {
    pub fn tonic(self) -> Note {
        self.tonic
    }

    pub fn mode(self) -> Mode {
        self.mode
    }

    /// Sharps in the signature; flats are negative. -7 to 7.
    pub fn sharps(self) -> i8 {
        self.relative_tonic().fifths()
    }

    /// The major key with the same seven notes: the key itself where it is major.
    pub fn relative_major(self) -> Key {
        Key {
            tonic: self.relative_tonic(),
            mode: Mode::Major,
        }
    }

    /// The minor key with the same seven notes: the key itself where it is minor.
    pub fn relative_minor(self) -> Key {
        Key {
            tonic: self.relative_tonic().up(Interval::fifths(-RELATIVE.as_fifths())),
            mode: Mode::Minor,
        }
    }

    /// The twelve major keys from C up, each by its name with the fewest accidentals; of F# and Gb the flat one.
    pub fn majors() -> [Key; 12] {
        let c = Key {
            tonic: Note::C,
            mode: Mode::Major,
        };
        std::array::from_fn(|semitones| c.transposed(semitones as i32, false))
    }

    /// The same key by its other name, where that has at most seven accidentals too: C♭ for B.
    pub fn respelled(self) -> Option<Key> {
        let fewer = if self.sharps() > 0 { -ENHARMONIC } else { ENHARMONIC };
        let other = Key {
            tonic: self.tonic.up(Interval::fifths(fewer)),
            mode: self.mode,
        };
        (other.sharps().abs() <= MOST_ACCIDENTALS).then_some(other)
    }

    /// Whether both have the same seven sounding notes, like G and Em, or F# and Gb.
    pub fn shares_notes_with(self, other: Key) -> bool {
        self.relative_tonic().pitch_class() == other.relative_tonic().pitch_class()
    }

    /// The key with `♭` and `♯` (`B♭m`); `Display` has `b` and `#`.
    pub fn signs(self) -> impl fmt::Display {
        Signs(self.tonic, self.mode)
    }

    /// The key `semitones` higher (or lower), named with the fewest accidentals; of F# and Gb the sharp one where
    /// `sharps` says so.
    pub fn transposed(self, semitones: i32, sharps: bool) -> Key {
        // A semitone up is seven fifths up, by the letter; then the name with the fewest accidentals.
        let fifths = (i32::from(self.sharps()) + 7 * semitones).rem_euclid(12) as i8;
        let fifths = match fifths {
            6 if !sharps => -6,
            0..=6 => fifths,
            _ => fifths - ENHARMONIC,
        };
        let home = Note::C.up(Interval::fifths(fifths));
        let tonic = match self.mode {
            Mode::Major => home,
            Mode::Minor => home.up(Interval::fifths(-RELATIVE.as_fifths())),
        };
        Key { tonic, mode: self.mode }
    }

    /// Whether the note is one of the key's seven or, in a minor key, the leading note below its tonic (that of the major
    /// chord on its fifth): by the ear, whatever the note is called.
    pub fn has(self, note: Note) -> bool {
        let above_home = note.above(self.relative_tonic()).semitones();
        let leading = self.mode == Mode::Minor && note.above(self.tonic).semitones() == LEADING;
        leading || SCALE.contains(&above_home)
    }

    fn relative_tonic(self) -> Note {
        match self.mode {
            Mode::Major => self.tonic,
            Mode::Minor => self.tonic.up(RELATIVE),
        }
    }
}

impl AskedKey {
    /// Reads a key: a letter in either case, at most one accidental as a sign or a word, then nothing, `major`, or a
    /// word for minor.
    ///
    /// # Errors
    /// Where the text is no key; [`NotAKey::HINT`] says what one looks like.
    pub fn parse(text: &str) -> Result<AskedKey, NotAKey> {
        let not_at = |rest: &str| NotAKey {
            text: shown(text),
            at: text[..text.len() - rest.len()].chars().count(),
        };
        read(text)
            .map(|(tonic, mode)| AskedKey::new(tonic, mode))
            .map_err(not_at)
    }

    fn new(tonic_asked: Note, mode: Mode) -> AskedKey {
        let mut key = Key {
            tonic: tonic_asked,
            mode,
        };
        let fewer = if key.sharps() > 0 { -ENHARMONIC } else { ENHARMONIC };
        while key.sharps().abs() > MOST_ACCIDENTALS {
            key.tonic = key.tonic.up(Interval::fifths(fewer));
        }
        AskedKey { key, tonic_asked }
    }

    pub fn key(self) -> Key {
        self.key
    }

    pub fn is_respelled(self) -> bool {
        self.key.tonic != self.tonic_asked
    }

    /// The name that was asked for, with `♭` and `♯`, where the key had to be respelled.
    pub fn asked_signs(self) -> Option<impl fmt::Display> {
        self.is_respelled().then_some(Signs(self.tonic_asked, self.key.mode))
    }
}

/// Or what is left where it cannot be read on.
fn read(text: &str) -> Result<(Note, Mode), &str> {
    let text = text.trim_start();
    let mut rest = text.chars();
    let tonic = rest
        .next()
        .and_then(|letter| Note::natural(letter.to_ascii_uppercase()))
        .ok_or(text)?;
    let (alteration, rest) = accidental(rest.as_str());
    let rest = rest.trim_start();
    let mode = match rest.trim_end() {
        "" | "major" => Mode::Major,
        "m" | "-" | "min" | "minor" => Mode::Minor,
        _ => return Err(rest),
    };
    Ok((tonic.altered(alteration), mode))
}

/// At most one accidental at the front: how far it alters, and what is left.
fn accidental(text: &str) -> (i8, &str) {
    for (sign, alteration) in [("b", -1), ("♭", -1), ("#", 1), ("♯", 1)] {
        if let Some(rest) = text.strip_prefix(sign) {
            return (alteration, rest);
        }
    }
    for (word, alteration) in [("flat", -1), ("sharp", 1)] {
        if let Some(rest) = text.trim_start().strip_prefix(word) {
            return (alteration, rest);
        }
    }
    (0, text)
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minor = if self.mode == Mode::Minor { "m" } else { "" };
        f.pad(&format!("{}{minor}", self.tonic))
    }
}

/// `C (asked for as B♯)` where it was respelled, else the key alone.
impl fmt::Display for AskedKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.asked_signs() {
            Some(asked) => write!(f, "{} (asked for as {asked})", self.key.signs()),
            None => write!(f, "{}", self.key.signs()),
        }
    }
}

/// A key to be written with the real signs.
struct Signs(Note, Mode);

impl fmt::Display for Signs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minor = if self.1 == Mode::Minor { "m" } else { "" };
        write!(f, "{}{minor}", self.0.signs())
    }
}

impl NotAKey {
    pub const HINT: &str = "A key is a letter A to G, perhaps with b or #, perhaps with m, like `Bb` or `C#m`.";
}

impl fmt::Display for NotAKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is no key", self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_read_in_every_spelling_that_a_leader_writes() {
        for (text, key) in [
            ("Bb", "Bb"),
            ("B♭", "Bb"),
            ("b flat", "Bb"),
            ("bb", "Bb"),
            ("C#m", "C#m"),
            ("Eb minor", "Ebm"),
            ("e♭m", "Ebm"),
            ("Eb-", "Ebm"),
            ("C flat min", "Cbm"),
            ("B♯", "B#"),
            ("a sharp minor", "A#m"),
            ("G major", "G"),
        ] {
            let asked = AskedKey::parse(text).unwrap();
            let minor = if asked.key.mode == Mode::Minor { "m" } else { "" };
            assert_eq!(format!("{}{minor}", asked.tonic_asked), key, "{text}");
        }
        for (text, at) in [
            ("H", 0),
            ("", 0),
            ("Bbb", 2),
            ("Cmaj", 1),
            ("C# #", 3),
            ("♭", 0),
            ("B♯b", 2),
            ("Am7", 1),
        ] {
            assert_eq!(AskedKey::parse(text).unwrap_err().at, at, "{text}");
        }
    }

    #[test]
    fn a_key_with_too_many_accidentals_is_respelled_once() {
        assert_eq!(AskedKey::parse("B#").unwrap().to_string(), "C (asked for as B♯)");
        assert_eq!(AskedKey::parse("Cb").unwrap().to_string(), "C♭");
    }

    // Source: the circle of fifths of any handbook, from memory.
    #[test]
    fn the_twelve_keys_have_their_usual_names_and_three_have_another() {
        let names = Key::majors().map(|key| {
            let other = key.respelled().map(|other| format!("={other}")).unwrap_or_default();
            format!("{key}{other} {}", key.relative_minor())
        });
        assert_eq!(
            names.join(", "),
            "C Am, Db=C# Bbm, D Bm, Eb Cm, E C#m, F Dm, Gb=F# Ebm, G Em, Ab Fm, A F#m, Bb Gm, B=Cb G#m"
        );
    }

    #[test]
    fn a_called_key_has_the_fewest_accidentals_and_the_sign_of_its_direction() {
        let key = |text| AskedKey::parse(text).unwrap().key();
        for (from, by, to) in [
            ("F", 1, "F#"),
            ("G", -1, "Gb"),
            ("Dm", 1, "D#m"),
            ("Em", -1, "Ebm"),
            ("C", 1, "Db"),
            ("Bb", 1, "B"),
            ("C#", 1, "D"),
        ] {
            assert_eq!(key(from).transposed(by, by > 0), key(to), "{from} {by}");
        }
    }

    #[test]
    fn a_minor_key_has_its_leading_note_too() {
        let missing = |text: &str| -> Vec<String> {
            let key = AskedKey::parse(text).unwrap().key();
            let notes = (-5..=6).map(|fifths| Note::C.up(Interval::fifths(fifths)));
            notes
                .filter(|&note| !key.has(note))
                .map(|note| note.to_string())
                .collect()
        };
        assert_eq!(missing("C"), ["Db", "Ab", "Eb", "Bb", "F#"]);
        assert_eq!(missing("Am"), ["Db", "Eb", "Bb", "F#"]);
        assert_eq!(missing("Gb"), ["C", "G", "D", "A", "E"]);
    }
}
