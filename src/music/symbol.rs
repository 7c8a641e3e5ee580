//! The grammar that letters and numbers share: a place, a quality, perhaps `/` and a bass; and errors that point.

use crate::music::Quality;
use std::fmt;

/// What is wrong in a chord symbol, a number or a chord line, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SymbolError {
    /// The first character that cannot be read, counted from 0 in characters of the text given.
    pub at: usize,
    /// How many characters it is about, at least 1 (the end of the text counts as one).
    pub len: usize,
    /// A clause a guitarist understands, the found text in backticks.
    pub message: String,
    /// A full sentence that helps, where there is one.
    pub hint: Option<String>,
}

/// A symbol taken apart: the place of its root and bass is a note or a degree.
pub(super) struct Symbol<P> {
    pub(super) root: P,
    pub(super) quality: Option<Quality>,
    pub(super) bass: Option<P>,
}

/// What is left of a symbol, and where in its characters.
pub(super) struct Reader<'a> {
    whole: &'a str,
    rest: &'a str,
}

/// As much of a wrong symbol as a message shows.
const SHOWN: usize = 24;
/// A name of so few letters is near to too many others to be suggested.
const SHORT: usize = 2;

impl<P> Symbol<P> {
    /// Reads a whole symbol whose places are read by `place`.
    pub(super) fn read(
        text: &str,
        place: impl Fn(&mut Reader<'_>) -> Result<P, SymbolError>,
    ) -> Result<Symbol<P>, SymbolError> {
        let mut reader = Reader::new(text);
        let root = place(&mut reader)?;
        let before_quality = reader.taken().len();
        let quality = reader.quality();
        if !matches!(reader.peek(), None | Some('/')) {
            return Err(reader.no_quality(before_quality));
        }
        let bass = if reader.take(&['/']) {
            Some(place(&mut reader)?)
        } else {
            None
        };
        match reader.peek() {
            None => Ok(Symbol { root, quality, bass }),
            Some(_) => Err(reader.does_not_fit()),
        }
    }
}

impl<'a> Reader<'a> {
    pub(super) fn new(text: &'a str) -> Reader<'a> {
        Reader {
            whole: text,
            rest: text,
        }
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest.chars().next()
    }

    /// Takes the next character if it is one of these.
    pub(super) fn take(&mut self, any: &[char]) -> bool {
        let Some(rest) = self.rest.strip_prefix(any) else {
            return false;
        };
        self.rest = rest;
        true
    }

    /// Takes what `read` makes of the next character, if it makes anything of it.
    pub(super) fn take_as<T>(&mut self, read: impl Fn(char) -> Option<T>) -> Option<T> {
        let mut chars = self.rest.chars();
        let taken = read(chars.next()?)?;
        self.rest = chars.as_str();
        Some(taken)
    }

    /// Takes at most one accidental: how many semitones it raises.
    pub(super) fn accidental(&mut self) -> i8 {
        if self.take(&['b', '♭']) {
            -1
        } else {
            i8::from(self.take(&['#', '♯']))
        }
    }

    /// Whether nothing has been taken yet: the root is still to come.
    pub(super) fn at_root(&self) -> bool {
        self.rest.len() == self.whole.len()
    }

    /// An error about what is left of the root and quality, or of the bass.
    pub(super) fn error(&self, message: impl FnOnce(&str) -> String, hint: Option<String>) -> SymbolError {
        let end = self.rest.char_indices().skip(1).find(|&(_, char)| char == '/');
        let found = end.map_or(self.rest, |(end, _)| &self.rest[..end]);
        SymbolError {
            at: self.taken().chars().count(),
            len: found.chars().count().max(1),
            message: message(&shown(found)),
            hint,
        }
    }

    fn quality(&mut self) -> Option<Quality> {
        let (quality, length) = Quality::at_front(self.rest)?;
        self.rest = &self.rest[length..];
        Some(quality)
    }

    fn taken(&self) -> &'a str {
        &self.whole[..self.whole.len() - self.rest.len()]
    }

    fn no_quality(&self, before: usize) -> SymbolError {
        let (place, rest) = self.whole.split_at(before);
        let quality = rest.split('/').next().unwrap_or_default();
        let hint = match near_quality(quality) {
            Some(near) => format!("Did you mean `{place}{near}{}`?", shown(&rest[quality.len()..])),
            None => {
                let suffixes: Vec<_> = Quality::all().map(Quality::suffix).collect();
                format!("The qualities are{}.", suffixes.join(" "))
            }
        };
        SymbolError {
            hint: Some(hint),
            ..self.does_not_fit()
        }
    }

    fn does_not_fit(&self) -> SymbolError {
        let before = shown(self.taken());
        self.error(|rest| format!("`{rest}` cannot be read after `{before}`"), None)
    }
}

impl fmt::Display for SymbolError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

/// The text as a message may show it: not too long, and no character that moves the cursor.
pub(super) fn shown(text: &str) -> String {
    let mut shown = String::new();
    for (index, char) in text.chars().enumerate() {
        if index == SHOWN {
            shown.push('…');
            break;
        }
        if char.is_control() {
            shown.extend(char.escape_default());
        } else {
            shown.push(char);
        }
    }
    shown
}

/// The quality that was probably meant, where one letter makes it.
fn near_quality(quality: &str) -> Option<&'static str> {
    // What is longer than every name by more than a letter is near to none.
    let short = quality.len() <= SHOWN;
    let near = |spelling: &&'static str| spelling.len() > SHORT && strsim::osa_distance(spelling, quality) == 1;
    let spellings = Quality::all()
        .flat_map(Quality::spellings)
        .filter(|name| name.is_ascii());
    short.then(|| spellings.filter(near).max_by_key(|name| name.len()))?
}
