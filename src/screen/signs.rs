//! A text as a terminal sets it, sign by sign: a letter with the marks on it, and the columns that it takes.
//!
//! Terminals part ways over pictures that are put together of several: one sets a family as one sign, another as four.
//! Here each is a sign of its own, and what only joins or colours them is left out, so that what is measured, what is
//! drawn and what is seen have one width.

use unicode_width::UnicodeWidthChar;

/// What is seen of a text, sign by sign, each with its columns: 1 or 2.
pub(super) struct Signs<'t>(&'t str);

pub(super) fn signs(text: &str) -> Signs<'_> {
    Signs(text)
}

/// The columns that a text takes.
pub(super) fn columns(text: &str) -> usize {
    if text.bytes().all(is_common) {
        return text.len();
    }
    signs(text).map(|(_, columns)| usize::from(columns)).sum()
}

/// Whether a character only joins pictures, colours one or chooses its style: without it the pictures are still seen.
pub(super) fn joins(letter: char) -> bool {
    matches!(letter, '\u{200D}' | '\u{FE0E}' | '\u{FE0F}' | '\u{1F3FB}'..='\u{1F3FF}')
}

impl<'t> Iterator for Signs<'t> {
    type Item = (&'t str, u16);

    fn next(&mut self) -> Option<(&'t str, u16)> {
        // Nearly all that is written, and known to take no mark.
        if let [first, rest @ ..] = self.0.as_bytes()
            && is_common(*first)
            && rest.first().is_none_or(|&second| is_common(second))
        {
            let (sign, rest) = self.0.split_at(1);
            self.0 = rest;
            return Some((sign, 1));
        }
        let mut letters = self.0.char_indices();
        // A mark that stands on nothing is not seen.
        let (start, first) = letters.find(|&(_, letter)| own_columns(letter) > 0)?;
        let second_of_flag = |letter: char| is_half_flag(first) && is_half_flag(letter);
        let mut rest = letters.clone();
        if letters.next().is_some_and(|(_, letter)| second_of_flag(letter)) {
            rest.next();
        }
        let end = rest.find(|&(_, letter)| own_columns(letter) > 0);
        let end = end.map_or(self.0.len(), |(end, _)| end);
        let sign = &self.0[start..end];
        self.0 = &self.0[end..];
        Some((sign, own_columns(first)))
    }
}

/// Whether a byte is a sign of ASCII, a blank included.
fn is_common(byte: u8) -> bool {
    (b' '..=b'~').contains(&byte)
}

/// Columns of a character by itself; none of a mark, which joins the letter that it stands on.
fn own_columns(letter: char) -> u16 {
    match letter {
        _ if joins(letter) => 0,
        _ if is_half_flag(letter) => 2,
        _ => letter.width().unwrap_or(0) as u16,
    }
}

/// Two letters of a land's name are its flag; one alone is as wide on some terminals.
fn is_half_flag(letter: char) -> bool {
    matches!(letter, '\u{1F1E6}'..='\u{1F1FF}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_keeps_its_marks_and_pictures_stand_side_by_side() {
        for (text, wanted) in [
            ("", ""),
            ("Fog", "F1 o1 g1"),
            ("Cafe\u{301}!", "C1 a1 f1 e\u{301}1 !1"),
            ("\u{301}a", "a1"),
            ("渡し", "渡2 し2"),
            ("ש\u{5C1}ל", "ש\u{5C1}1 ל1"),
            ("☀\u{FE0F}ab", "☀\u{FE0F}1 a1 b1"),
            ("👨\u{200D}👩x", "👨\u{200D}2 👩2 x1"),
            ("👍\u{1F3FD}!", "👍\u{1F3FD}2 !1"),
            ("🇩🇪🇫🇷🇮a", "🇩🇪2 🇫🇷2 🇮2 a1"),
            ("1\u{FE0F}\u{20E3}2", "1\u{FE0F}\u{20E3}1 21"),
        ] {
            let found: Vec<_> = signs(text).map(|(sign, columns)| format!("{sign}{columns}")).collect();
            assert_eq!(found.join(" "), wanted, "{text}");
            let sum: usize = signs(text).map(|(_, columns)| usize::from(columns)).sum();
            assert_eq!(columns(text), sum, "{text}");
        }
    }
}
