//! Text from elsewhere, whatever wrote it: bytes to letters without refusing any, and letters fit for one line.

use std::borrow::Cow;

/// What the bytes 80 to 9F stand for on Windows; the unused ones stand for themselves.
///
/// Source: the Unicode Consortium's mapping table of Windows code page 1252 (CP1252.TXT, version 2.01), from memory.
const WINDOWS: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}', '‘', '’',
    '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// UTF-8 where it is that, UTF-16 where a byte order mark says so, and else Latin-1 as Windows writes it.
pub(super) fn decode(bytes: &[u8]) -> Cow<'_, str> {
    let bytes = match bytes {
        [0xFF, 0xFE, rest @ ..] => return utf16(rest, u16::from_le_bytes).into(),
        [0xFE, 0xFF, rest @ ..] => return utf16(rest, u16::from_be_bytes).into(),
        [0xEF, 0xBB, 0xBF, rest @ ..] => rest,
        _ => bytes,
    };
    match std::str::from_utf8(bytes) {
        Ok(text) => text.into(),
        Err(_) => bytes.iter().map(|&byte| latin(byte)).collect::<String>().into(),
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> String {
    let units = bytes.chunks_exact(2).map(|pair| unit([pair[0], pair[1]]));
    char::decode_utf16(units)
        .map(|letter| letter.unwrap_or(char::REPLACEMENT_CHARACTER))
        .collect()
}

fn latin(byte: u8) -> char {
    match byte {
        0x80..=0x9F => WINDOWS[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

/// One line without control characters, without marks that are not seen, and with single blanks.
pub(super) fn tidy(text: &str) -> String {
    let blank = |letter: char| if letter.is_control() { ' ' } else { letter };
    let seen: String = text.chars().filter(|&letter| !is_unseen(letter)).map(blank).collect();
    seen.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Marks without width, those that turn the direction of writing, and what no text may hold.
pub(super) fn is_unseen(letter: char) -> bool {
    matches!(
        letter,
        '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{fe0f}' | '\u{feff}'
            | '\u{fffe}' | '\u{ffff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whatever_wrote_a_text_it_is_read() {
        for (bytes, text) in [
            (&b"B\xe2\x99\xad"[..], "B♭"),
            (b"\xef\xbb\xbfLamps", "Lamps"),
            (b"Caf\xe9 \x96 \x93Lamps\x94", "Café – “Lamps”"),
            (b"\xff\xfeB\0\x6d\x26", "B♭"),
            (b"\xfe\xff\0B\x26\x6d", "B♭"),
        ] {
            assert_eq!(decode(bytes), text, "{bytes:x?}");
        }
    }

    #[test]
    fn a_line_has_no_control_characters() {
        assert_eq!(
            tidy(" Seven\u{7}\tLamps\u{1b}[2J \r\n x\u{200b}y\0"),
            "Seven Lamps [2J xy"
        );
    }
}
