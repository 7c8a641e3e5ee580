//! From a file's bytes to its text: not too long, UTF-8, without a byte order mark, and without control characters.

use crate::setlist::syntax::{finding, lines_and_columns};
use crate::setlist::{Finding, Spot};
use std::sync::Arc;

/// The longest file that is read: far more than any set, and bounded.
pub(super) const MOST_BYTES: usize = 16 << 20;

/// The text, or as much of it as is text, with what is wrong after that.
pub(super) fn text_of(file: u16, bytes: Vec<u8>) -> Result<Arc<str>, Box<(Arc<str>, Finding)>> {
    let whole = Spot {
        file,
        ..Spot::default()
    };
    let refused = |text: &str, spot, message: String, hint: &str| {
        let hint = Some(hint.to_owned()).filter(|hint| !hint.is_empty());
        Err(Box::new((Arc::from(text), finding(spot, message, hint))))
    };
    if bytes.len() > MOST_BYTES {
        let message = format!("this file is longer than {} MiB", MOST_BYTES >> 20);
        return refused(
            "",
            whole,
            message,
            "A set takes songs from files of their own by `use`.",
        );
    }
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return refused("", whole, "this file is UTF-16".into(), "Save it as UTF-8.");
    }
    let bytes = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(&bytes);
    let (text, odd) = match std::str::from_utf8(bytes) {
        Ok(text) => (text, None),
        Err(error) => {
            let (good, bad) = bytes.split_at(error.valid_up_to());
            (std::str::from_utf8(good).unwrap_or_default(), bad.first())
        }
    };
    let control = text.char_indices().find(|(_, letter)| is_odd(*letter));
    let end = control.map_or(text.len(), |(at, _)| at);
    let spot = || {
        let (lines, columns) = lines_and_columns(&text[..end]);
        Spot {
            file,
            line: lines + 1,
            column: columns + 1,
            len: 1,
        }
    };
    match (control, odd) {
        (Some((_, letter)), _) => {
            let message = format!("the character U+{:04X} has no place in a text file", u32::from(letter));
            refused(text, spot(), message, "")
        }
        (None, Some(byte)) => {
            let message = format!("the byte {byte:02X} is not UTF-8");
            refused(text, spot(), message, "Save the file as UTF-8.")
        }
        (None, None) => Ok(text.into()),
    }
}

/// Source: YAML 1.2.2, section 5.1: what is not printable; without the surrogates, which UTF-8 cannot have.
fn is_odd(letter: char) -> bool {
    match letter {
        '\t' | '\n' | '\r' | '\u{85}' => false,
        '\u{FFFE}' | '\u{FFFF}' => true,
        letter => letter.is_control(),
    }
}
