//! Reading what was typed behind a command: keys, frets and chords, with a caret under what cannot be read.

use super::Trouble;
use crate::music::{AskedKey, Chord, Fret, NotAKey, NumberChord, Numbering, SymbolError, parse_frets};
use crate::setlist::{Excerpt, escaped};

/// A text given on the command line, and the argument's name.
#[derive(Clone, Copy)]
pub(super) struct Given<'a> {
    pub(super) name: &'a str,
    pub(super) text: &'a str,
}

impl Given<'_> {
    pub(super) fn key(self) -> Result<AskedKey, Trouble> {
        AskedKey::parse(self.text).map_err(|error| {
            let len = self.text.chars().count().saturating_sub(error.at);
            self.wrong(error.at, len, &error.to_string(), Some(NotAKey::HINT))
        })
    }

    /// A capo fret.
    pub(super) fn fret(self) -> Result<Fret, Trouble> {
        let text = self.text.trim();
        let whole = self.text.chars().count();
        let number: i64 = match text.parse() {
            Ok(number) => number,
            Err(_) if !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit()) => i64::MAX,
            Err(_) => return Err(self.wrong(0, whole, "this is no fret", Some(CAPO))),
        };
        Fret::new(number).map_err(|_| self.wrong(0, whole, "the capo does not go there", Some(CAPO)))
    }

    /// Six frets, low string first.
    pub(super) fn frets(self) -> Result<[i8; 6], Trouble> {
        parse_frets(self.text).map_err(|error| self.pointed(&error))
    }

    /// A letter chord, or in a key also a number, as it sounds.
    pub(super) fn chord(self, key: Option<AskedKey>) -> Result<Chord, Trouble> {
        let text = self.text;
        let Some(key) = key else {
            return Chord::parse(text).map_err(|error| match is_number(text) {
                true => self.wrong(0, text.chars().count(), "a number is a chord of a key", Some(KEY)),
                false => self.pointed(&error),
            });
        };
        let chord = NumberChord::parse(text, key.key(), Numbering::default());
        let chord = chord.map_err(|error| self.pointed(&error))?;
        Ok(chord.on(key.key().relative_major().tonic()))
    }

    fn pointed(self, error: &SymbolError) -> Trouble {
        self.wrong(error.at, error.len, &error.message, error.hint.as_deref())
    }

    /// What is wrong with so many of its characters from the one at `start` on.
    pub(super) fn wrong(self, start: usize, len: usize, message: &str, hint: Option<&str>) -> Trouble {
        let excerpt = Excerpt {
            margin: self.name,
            line: self.text,
            start,
            len,
        };
        let message = escaped(message);
        let hint = hint
            .map(|hint| format!("hint: {}\n", escaped(hint)))
            .unwrap_or_default();
        Trouble::Usage(format!("error: {message}\n{excerpt}{hint}"))
    }
}

const CAPO: &str = "A capo fret is 0 (no capo) to 11.";
const KEY: &str = "Say which key sounds, like `--key Bb`.";

/// Whether it begins as a number does: `4`, `b7`.
fn is_number(text: &str) -> bool {
    let digits = text.trim_start_matches(['b', '♭', '#', '♯']);
    digits.starts_with(|letter: char| letter.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said<T: std::fmt::Debug>(outcome: Result<T, Trouble>) -> String {
        match outcome.unwrap_err() {
            Trouble::Usage(text) => text,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn each_argument_is_pointed_at_where_it_goes_wrong() {
        let given = |name, text| Given { name, text };
        let key = AskedKey::parse("Bb").unwrap();
        for (found, wanted) in [
            (
                said(given("SYMBOL", "H").chord(None)),
                "error: `H` is no chord\nSYMBOL | H\n       | ^\nhint: Notes are A to G: the note below C is `B`.\n",
            ),
            (
                said(given("SYMBOL", "Cmaj77").chord(None)),
                "error: `7` cannot be read after `Cmaj7`\nSYMBOL | Cmaj77\n       |      ^\nhint: Did you mean `Cmaj7`?\n",
            ),
            (
                said(given("SYMBOL", "C/").chord(None)),
                "error: there is no bass note here\nSYMBOL | C/\n       |   ^\nhint: After `/` stands the bass, like `F/A`.\n",
            ),
            (
                said(given("SYMBOL", "b7").chord(None)),
                "error: a number is a chord of a key\nSYMBOL | b7\n       | ^^\nhint: Say which key sounds, like `--key Bb`.\n",
            ),
            (
                said(given("SYMBOL", "5/8").chord(Some(key))),
                "error: `8` is no number of the scale\nSYMBOL | 5/8\n       |   ^\n\
                 hint: Numbers are 1 to 7, perhaps with an accidental before them, like `b7`.\n",
            ),
            (
                said(given("--key", "Bbb").key()),
                "error: `Bbb` is no key\n--key | Bbb\n      |   ^\n\
                 hint: A key is a letter A to G, perhaps with b or #, perhaps with m, like `Bb` or `C#m`.\n",
            ),
            (
                said(given("--capo", "40").fret()),
                "error: the capo does not go there\n--capo | 40\n       | ^^\nhint: A capo fret is 0 (no capo) to 11.\n",
            ),
            (
                said(given("--capo", "two").fret()),
                "error: this is no fret\n--capo | two\n       | ^^^\nhint: A capo fret is 0 (no capo) to 11.\n",
            ),
            (
                said(given("--frets", "x3x0z0").frets()),
                "error: `z` is no fret\n--frets | x3x0z0\n        |     ^\n\
                 hint: Six strings, low string first: `0` is open, `x` does not sound, like `x32010`.\n",
            ),
        ] {
            assert_eq!(found, wanted);
        }
    }

    #[test]
    fn what_is_very_long_is_told_of_in_few_words_and_nothing_moves_the_cursor() {
        let long = "9".repeat(1 << 20);
        let steering = "C\u{1b}[2J\u{202e}".repeat(100);
        for text in [&*long, &*steering] {
            let given = Given { name: "SYMBOL", text };
            for found in [
                said(given.chord(None)),
                said(given.chord(AskedKey::parse("C").ok())),
                said(given.key()),
                said(given.fret()),
                said(given.frets()),
            ] {
                assert!(found.len() < 1000, "{}", found.len());
                assert!(!found.contains(['\u{1b}', '\u{202e}']), "{found:?}");
            }
        }
    }
}
