//! A line of text with a caret under what is meant: short enough for a screen, and nothing in it that a terminal obeys.

use crate::setlist::words::is_unseen;
use std::fmt::{self, Write};
use unicode_width::UnicodeWidthChar;

/// A line and what of it is meant, in characters; two lines when it is written.
pub(crate) struct Excerpt<'a> {
    /// What stands before the line: its number, or the name of what was given.
    pub(crate) margin: &'a str,
    pub(crate) line: &'a str,
    /// Counted from 0.
    pub(crate) start: usize,
    pub(crate) len: usize,
}

/// Columns of a line that are shown, so that one long line does not fill the screen.
const SHOWN: usize = 100;
/// Of these, before the caret where the line is too long to be shown from its start.
const LEAD: usize = 40;

/// The line and a caret under what is meant; a long line from a little before it.
impl fmt::Display for Excerpt<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let &Excerpt {
            margin, line, start, ..
        } = self;
        let len = self.len.clamp(1, SHOWN - LEAD);
        let skipped = if start + len > SHOWN {
            start - start.min(LEAD)
        } else {
            0
        };
        let mut shown = String::new();
        let (mut before, mut under) = (0, 0);
        for (place, letter) in line.chars().enumerate().skip(skipped).take(SHOWN) {
            let letter = visible(letter);
            shown.push(letter);
            let width = letter.width().unwrap_or(0);
            before += if place < start { width } else { 0 };
            under += if (start..start + len).contains(&place) {
                width
            } else {
                0
            };
        }
        let head = if skipped > 0 { "…" } else { "" };
        let tail = if line.chars().nth(skipped + SHOWN).is_some() {
            "…"
        } else {
            ""
        };
        writeln!(f, "{margin} | {head}{}{tail}", shown.trim_end())?;
        let margin = " ".repeat(margin.len());
        let before = " ".repeat(before + head.chars().count());
        writeln!(f, "{margin} | {before}{}", "^".repeat(under.max(1)))
    }
}

/// Text for one line of a message, characters that a terminal would obey or hide made visible.
pub(crate) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        if is_unseen(letter) {
            let _ = write!(safe, "{}", letter.escape_unicode());
        } else {
            safe.push(letter);
        }
    }
    safe
}

/// A character as an excerpt shows it: one that moves the cursor becomes one that does not.
fn visible(letter: char) -> char {
    match letter {
        '\t' => ' ',
        letter if is_unseen(letter) => '\u{fffd}',
        letter => letter,
    }
}
