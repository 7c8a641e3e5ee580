//! A chord line: bars between `|`, shared evenly, `%` for the bar before, `NC` for no chord.

use crate::music::{Key, NumberChord, Numbering, SymbolError};
use std::collections::HashSet;

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

/// A chord of a line, where it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placed<'t> {
    pub chord: NumberChord,
    /// As written.
    pub text: &'t str,
    /// Its first character, counted from 0 in characters of the line.
    pub at: usize,
}

/// One for each sixteenth of a bar of 4/4, so that `%` cannot make a short line of much.
const MOST_IN_A_BAR: usize = 16;
/// Longer than any section that is played; a line beyond it is a file gone wrong.
const MOST_BARS: usize = 1000;
const NO_CHORD: &str = "NC";
const REPEAT: &str = "%";

impl ChordLine {
    /// Reads a whole line, and gives every chord that is written with its place. A blank line has no bars.
    ///
    /// # Errors
    /// Every fault, not the first alone, each pointing at its character.
    pub fn parse(text: &str, key: Key, numbering: Numbering) -> Result<(ChordLine, Vec<Placed<'_>>), Vec<SymbolError>> {
        let mut line = ChordLine::default();
        let mut written = Written::default();
        if text.trim().is_empty() {
            return Ok((line, written.placed));
        }
        let (inner, mut at) = inside_outer_bar_lines(text);
        for span in inner.split('|') {
            if line.bars.len() == MOST_BARS {
                let message = format!("a chord line has {MOST_BARS} bars at most");
                let hint = "A section this long is better cut in two.";
                written.errors.push(error(at, 1, message, hint));
                break;
            }
            let read = |symbol: &str| NumberChord::parse(symbol, key, numbering);
            let bar = read_bar(span, at, line.bars.last(), read, &mut written);
            line.bars.push(bar);
            at += span.chars().count() + 1;
        }
        if written.errors.is_empty() {
            Ok((line, written.placed))
        } else {
            Err(written.errors)
        }
    }

    /// The distinct chords, in the order of first appearance.
    pub fn distinct(&self) -> Vec<NumberChord> {
        let mut seen = HashSet::new();
        let chords = self.bars.iter().flat_map(|bar| bar.chords.iter().flatten());
        chords.copied().filter(|&chord| seen.insert(chord)).collect()
    }
}

/// The line without the bar lines at its ends, which may be left out, and where it begins in characters.
fn inside_outer_bar_lines(text: &str) -> (&str, usize) {
    let trimmed = text.trim_start();
    let inner = trimmed.strip_prefix('|').unwrap_or(trimmed);
    let before = &text[..text.len() - inner.len()];
    let end = inner.trim_end();
    (end.strip_suffix('|').unwrap_or(end), before.chars().count())
}

/// What a line has beside its bars.
#[derive(Default)]
struct Written<'t> {
    placed: Vec<Placed<'t>>,
    errors: Vec<SymbolError>,
}

/// Reads what stands between two bar lines, the first of its characters being the line's `at`.
fn read_bar<'t>(
    span: &'t str,
    at: usize,
    before: Option<&Bar>,
    read: impl Fn(&str) -> Result<NumberChord, SymbolError>,
    written: &mut Written<'t>,
) -> Bar {
    let Written { placed, errors } = written;
    let mut bar = Bar {
        chords: Vec::new(),
        repeats: span.trim() == REPEAT,
    };
    if span.trim().is_empty() {
        let hint = "`%` repeats the bar before, `NC` is a bar without a chord.";
        errors.push(error(at, 1, "this bar is empty".into(), hint));
    }
    for (index, (at, word)) in words(span, at).enumerate() {
        if index == MOST_IN_A_BAR {
            let message = format!("a bar holds {MOST_IN_A_BAR} chords at most");
            errors.push(error(
                at,
                word.chars().count(),
                message,
                "A `|` is missing between two bars.",
            ));
            break;
        }
        match word {
            REPEAT if bar.repeats => match before {
                Some(before) => bar.chords.clone_from(&before.chords),
                None => errors.push(error(at, 1, "there is no bar before this `%`".into(), REPEAT_HINT)),
            },
            REPEAT => errors.push(error(at, 1, "`%` stands beside a chord".into(), REPEAT_HINT)),
            NO_CHORD => bar.chords.push(None),
            _ => match read(word) {
                Ok(chord) => {
                    bar.chords.push(Some(chord));
                    placed.push(Placed { chord, text: word, at });
                }
                Err(found) => errors.push(in_line(found, word, at)),
            },
        }
    }
    bar
}

const REPEAT_HINT: &str = "`%` repeats the whole bar before it and stands alone between its bar lines.";

/// The symbols between blanks, each with its place in characters of the line.
fn words(span: &str, mut at: usize) -> impl Iterator<Item = (usize, &str)> {
    let mut rest = span;
    std::iter::from_fn(move || {
        let start = rest.trim_start();
        at += rest[..rest.len() - start.len()].chars().count();
        let (word, after) = start.split_at(start.find(char::is_whitespace).unwrap_or(start.len()));
        let found = (at, word);
        at += word.chars().count();
        rest = after;
        (!word.is_empty()).then_some(found)
    })
}

fn error(at: usize, len: usize, message: String, hint: &str) -> SymbolError {
    SymbolError {
        at,
        len,
        message,
        hint: Some(hint.into()),
    }
}

/// A symbol's error, in the line where the symbol begins at `at`.
fn in_line(found: SymbolError, word: &str, at: usize) -> SymbolError {
    let letters = word.chars().filter(|char| !matches!(char, '.' | '/'));
    let hint = match letters.collect::<String>().eq_ignore_ascii_case(NO_CHORD) {
        true => Some("No chord is written `NC`.".into()),
        false => roman(word).or(found.hint),
    };
    SymbolError {
        at: found.at + at,
        hint,
        ..found
    }
}

/// The hint for a number in Roman figures: the longest that the symbol begins with; in small letters, a minor chord.
fn roman(word: &str) -> Option<String> {
    const NUMERALS: [(&str, u8); 7] = [
        ("VII", 7),
        ("III", 3),
        ("VI", 6),
        ("IV", 4),
        ("II", 2),
        ("V", 5),
        ("I", 1),
    ];
    NUMERALS.iter().find_map(|(numeral, number)| {
        let written = word.get(..numeral.len())?;
        let minor = match written {
            _ if written == *numeral => "",
            _ if written == numeral.to_lowercase() => "-",
            _ => return None,
        };
        Some(format!(
            "Numbers are written in figures: `{written}` is `{number}{minor}`."
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::{AskedKey, Note};

    fn read(text: &str) -> Result<ChordLine, Vec<SymbolError>> {
        let key = AskedKey::parse("C").unwrap().key();
        ChordLine::parse(text, key, Numbering::default()).map(|(line, _)| line)
    }

    #[test]
    fn bars_share_their_chords_and_a_percent_repeats_the_last() {
        for (text, bars) in [
            ("1 | 5/7 | 6- | 4", "C|G/B|Am|F"),
            ("| 1 |", "C"),
            ("1|4", "C|F"),
            ("|1 4\t5\n|", "C F G"),
            ("NC | % | 1 NC | %", "NC|=NC|C NC|=C NC"),
            ("1 Gm7 | % | %", "C Gm7|=C Gm7|=C Gm7"),
            ("", ""),
            (" \t ", ""),
        ] {
            let line = read(text).unwrap();
            let bars_read = line.bars.iter().map(|bar| {
                let chords = bar.chords.iter().map(|chord| match chord {
                    Some(chord) => chord.on(Note::C).to_string(),
                    None => "NC".into(),
                });
                let sign = if bar.repeats { "=" } else { "" };
                format!("{sign}{}", chords.collect::<Vec<_>>().join(" "))
            });
            assert_eq!(bars_read.collect::<Vec<_>>().join("|"), bars, "{text}");
        }
    }

    #[test]
    fn every_error_of_a_line_is_told_with_its_place() {
        for (text, errors) in [
            (
                "1 | H | 4 | Cmaj77",
                "4 `H` is no chord; 17 `7` cannot be read after `Cmaj7`",
            ),
            ("|", "1 this bar is empty"),
            ("||", "1 this bar is empty"),
            ("1 |  | 4", "3 this bar is empty"),
            ("1 || 4 ||", "3 this bar is empty; 8 this bar is empty"),
            ("% | 1", "0 there is no bar before this `%`"),
            ("1 | 4 %", "6 `%` stands beside a chord"),
            ("1 | % %", "4 `%` stands beside a chord; 6 `%` stands beside a chord"),
            ("♭7 | ♭8", "6 `8` is no number of the scale"),
            ("H | %", "0 `H` is no chord"),
            ("vi IV", "0 `vi` is no chord; 3 `IV` is no chord"),
            ("1\u{0}", "1 `\\u{0}` cannot be read after `1`"),
        ] {
            let found = read(text).unwrap_err();
            let found: Vec<_> = found.iter().map(|error| format!("{} {error}", error.at)).collect();
            assert_eq!(found.join("; "), errors, "{text}");
        }
    }

    #[test]
    fn every_chord_that_is_written_has_its_place() {
        let key = AskedKey::parse("C").unwrap().key();
        let (_, placed) = ChordLine::parse(" | ♭7  1 | NC | % | F/A |", key, Numbering::default()).unwrap();
        let placed: Vec<_> = placed.iter().map(|placed| (placed.text, placed.at)).collect();
        assert_eq!(placed, [("♭7", 3), ("1", 7), ("F/A", 20)]);
    }

    #[test]
    fn other_ways_to_write_no_chord_are_told_the_one_that_is_read() {
        for text in ["nc", "N.C.", "n/c"] {
            let errors = read(text).unwrap_err();
            assert_eq!(errors[0].hint.as_deref(), Some("No chord is written `NC`."), "{text}");
        }
    }

    #[test]
    fn a_line_gone_wrong_stays_small() {
        let long = "1 ".repeat(500_000);
        let errors = read(&long).unwrap_err();
        assert_eq!((errors.len(), errors[0].at), (1, 2 * MOST_IN_A_BAR));

        let long = format!("{} |{}", "1 ".repeat(MOST_IN_A_BAR), "%|".repeat(500_000));
        let errors = read(&long).unwrap_err();
        assert_eq!(errors.len(), 1);
        assert_eq!(errors[0].to_string(), "a chord line has 1000 bars at most");

        let errors = read(&"x".repeat(1 << 20)).unwrap_err();
        assert_eq!(errors[0].message, "`xxxxxxxxxxxxxxxxxxxxxxxx…` is no chord");
    }

    #[test]
    fn distinct_chords_come_once_in_their_order() {
        let line = read("1 4 | % | 5 1 | G/B NC").unwrap();
        let chords: Vec<_> = line.distinct().iter().map(|c| c.on(Note::C).to_string()).collect();
        assert_eq!(chords, ["C", "F", "G", "G/B"]);
    }
}
