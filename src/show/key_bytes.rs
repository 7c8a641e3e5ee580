//! From a terminal's bytes to keys.
//!
//! The terminal library's own reader takes a key that comes with a change of size for lost, and waits for ever for the end
//! of a sequence that it does not know: then no key is heard any more. Here the sequences are parted by a parser of what
//! any terminal may send, and what is half done is over when nothing more comes.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use vte::{Params, Parser, Perform};

const ESCAPE: u8 = 0x1B;

/// Takes bytes as they come.
#[derive(Default)]
pub(super) struct KeyBytes {
    parser: Parser,
    found: Found,
    last: u8,
}

/// What the parser has come upon.
#[derive(Default)]
struct Found {
    keys: Vec<KeyEvent>,
    /// Between the brackets of pasted text, which is no playing.
    pasting: bool,
    /// The next letter ends a sequence that began with a single shift.
    shifted: bool,
    /// So many letters belong to the sequence before them.
    skip: u8,
}

impl KeyBytes {
    /// The keys that bytes come to.
    pub(super) fn take(&mut self, bytes: &[u8]) -> Vec<KeyEvent> {
        self.parser.advance(&mut self.found, bytes);
        self.last = bytes.last().copied().unwrap_or(self.last);
        std::mem::take(&mut self.found.keys)
    }

    /// Whether they end in an escape, which may be a key or the beginning of one.
    pub(super) fn ends_in_escape(&self) -> bool {
        self.last == ESCAPE
    }

    /// Nothing more has come for a while: an escape was a key.
    pub(super) fn pause(&mut self) -> Option<KeyEvent> {
        let escape = self.ends_in_escape() && !self.found.pasting;
        if self.ends_in_escape() {
            (self.parser, self.last) = (Parser::new(), 0);
        }
        escape.then(|| KeyEvent::new(KeyCode::Esc, KeyModifiers::NONE))
    }

    /// Nothing more has come for so long that what is half done has no other half.
    pub(super) fn forget(&mut self) {
        *self = KeyBytes::default();
    }
}

impl Found {
    fn key(&mut self, code: KeyCode, modifiers: KeyModifiers) {
        if !self.pasting {
            self.keys.push(KeyEvent::new(code, modifiers));
        }
    }

    fn letter(&mut self, letter: char, modifiers: KeyModifiers) {
        match letter {
            '\u{7F}' => self.key(KeyCode::Backspace, modifiers),
            letter => self.key(KeyCode::Char(letter), modifiers),
        }
    }
}

impl Perform for Found {
    fn print(&mut self, letter: char) {
        if self.skip > 0 {
            self.skip -= 1;
        } else if std::mem::take(&mut self.shifted) {
            if let Some(code) = by_final(letter) {
                self.key(code, KeyModifiers::NONE);
            }
        } else {
            self.letter(letter, KeyModifiers::NONE);
        }
    }

    /// Control characters are the letters that they were typed with, but for those with keys of their own.
    fn execute(&mut self, byte: u8) {
        match byte {
            b'\r' => self.key(KeyCode::Enter, KeyModifiers::NONE),
            b'\t' => self.key(KeyCode::Tab, KeyModifiers::NONE),
            8 => self.key(KeyCode::Backspace, KeyModifiers::NONE),
            1..=26 => self.key(KeyCode::Char(char::from(byte - 1 + b'a')), KeyModifiers::CONTROL),
            _ => {}
        }
    }

    fn csi_dispatch(&mut self, params: &Params, intermediates: &[u8], _: bool, last: char) {
        if !intermediates.is_empty() {
            // A report of the terminal's own.
            return;
        }
        let mut params = params.iter().map(|param| param.first().copied().unwrap_or(0));
        let first = params.next().unwrap_or(0);
        let modifiers = modifiers(params.next().unwrap_or(0));
        let code = match (last, first) {
            ('~', 200 | 201) => {
                self.pasting = first == 200;
                None
            }
            // Sources: xterm's control sequences, "PC-Style Function Keys" and "Mouse Tracking", and the console_codes
            // manual page of Linux, from memory.
            ('~', 1 | 7) => Some(KeyCode::Home),
            ('~', 3) => Some(KeyCode::Delete),
            ('~', 4 | 8) => Some(KeyCode::End),
            ('~', 5) => Some(KeyCode::PageUp),
            ('~', 6) => Some(KeyCode::PageDown),
            ('M', 0) => {
                self.skip = 3;
                None
            }
            ('[', _) => {
                self.skip = 1;
                None
            }
            _ => by_final(last),
        };
        if let Some(code) = code {
            self.key(code, modifiers);
        }
    }

    fn esc_dispatch(&mut self, _: &[u8], _: bool, byte: u8) {
        match byte {
            b'O' => self.shifted = true,
            // The end of a string.
            b'\\' => {}
            _ => self.letter(char::from(byte), KeyModifiers::ALT),
        }
    }
}

/// The keys that are told by the last letter of their sequence.
fn by_final(last: char) -> Option<KeyCode> {
    match last {
        'A' => Some(KeyCode::Up),
        'B' => Some(KeyCode::Down),
        'C' => Some(KeyCode::Right),
        'D' => Some(KeyCode::Left),
        'F' => Some(KeyCode::End),
        'H' => Some(KeyCode::Home),
        'M' => Some(KeyCode::Enter),
        'Z' => Some(KeyCode::BackTab),
        _ => None,
    }
}

/// From the second parameter, which counts from 1.
fn modifiers(parameter: u16) -> KeyModifiers {
    let bits = parameter.saturating_sub(1);
    [
        (1, KeyModifiers::SHIFT),
        (2, KeyModifiers::ALT),
        (4, KeyModifiers::CONTROL),
    ]
    .into_iter()
    .filter(|(bit, _)| bits & bit != 0)
    .fold(KeyModifiers::NONE, |all, (_, modifier)| all | modifier)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn told(keys: &[KeyEvent]) -> Vec<String> {
        let told = |key: &KeyEvent| match key.modifiers {
            KeyModifiers::NONE => format!("{:?}", key.code),
            modifiers => format!("{:?} {:?}", modifiers, key.code),
        };
        keys.iter().map(told).collect()
    }

    fn one(code: KeyCode) -> Vec<KeyEvent> {
        vec![KeyEvent::new(code, KeyModifiers::NONE)]
    }

    #[test]
    fn keys_are_told_by_their_bytes_however_they_are_parted() {
        let (alt, control) = (KeyModifiers::ALT, KeyModifiers::CONTROL);
        for (bytes, wanted) in [
            ("n", one(KeyCode::Char('n'))),
            ("é", one(KeyCode::Char('é'))),
            ("\r", one(KeyCode::Enter)),
            ("\t", one(KeyCode::Tab)),
            ("\x7f", one(KeyCode::Backspace)),
            ("\x08", one(KeyCode::Backspace)),
            ("\x03", vec![KeyEvent::new(KeyCode::Char('c'), control)]),
            ("\x1a", vec![KeyEvent::new(KeyCode::Char('z'), control)]),
            ("\x1b[A", one(KeyCode::Up)),
            ("\x1bOB", one(KeyCode::Down)),
            ("\x1b[C", one(KeyCode::Right)),
            ("\x1bOD", one(KeyCode::Left)),
            ("\x1b[H", one(KeyCode::Home)),
            ("\x1b[1~", one(KeyCode::Home)),
            ("\x1b[5~", one(KeyCode::PageUp)),
            ("\x1b[6~", one(KeyCode::PageDown)),
            ("\x1b[1;5C", vec![KeyEvent::new(KeyCode::Right, control)]),
            ("\x1bn", vec![KeyEvent::new(KeyCode::Char('n'), alt)]),
        ] {
            assert_eq!(
                told(&KeyBytes::default().take(bytes.as_bytes())),
                told(&wanted),
                "{bytes:?}"
            );
            let mut parted = KeyBytes::default();
            let keys: Vec<KeyEvent> = bytes.bytes().flat_map(|byte| parted.take(&[byte])).collect();
            assert_eq!(told(&keys), told(&wanted), "{bytes:?} byte by byte");
        }
    }

    /// Reports of the terminal, of a mouse and of other programs' doing, answers to what nobody has asked, pasted text.
    #[test]
    fn what_is_no_key_is_none_and_the_key_after_it_is_heard() {
        for bytes in [
            "\x1b[?997;1n",
            "\x1b[?2026;2$y",
            "\x1b[?62;4c",
            "\x1b[12;40R",
            "\x1b[<0;1;1M",
            "\x1b[<0;1;1m",
            "\x1b[M !!",
            "\x1b[I",
            "\x1b[O",
            "\x1b[[A",
            "\x1b]11;rgb:0000/0000/0000\x07",
            "\x1b]11;rgb:0000/0000/0000\x1b\\",
            "\x1bP1$r0m\x1b\\",
            "\x1bOP",
            "\x1b[15~",
            "\x1b[200~q\r\x1b[A\x1b[201~",
        ] {
            let keys = KeyBytes::default().take(format!("{bytes}n").as_bytes());
            assert_eq!(told(&keys), told(&one(KeyCode::Char('n'))), "{bytes:?}");
        }
    }

    #[test]
    fn an_escape_alone_is_a_key_when_nothing_more_comes_and_half_a_sequence_is_over() {
        let mut bytes = KeyBytes::default();
        assert!(bytes.take(b"\x1b").is_empty() && bytes.ends_in_escape());
        assert_eq!(bytes.pause().map(|key| key.code), Some(KeyCode::Esc));
        assert_eq!(told(&bytes.take(b"[")), ["Char('[')"]);
        for half in [
            "\x1b[",
            "\x1b[<0;",
            "\x1bO",
            "\x1b]11;",
            "\x1bP",
            "\x1b[200~",
            "\x1b[M",
            "\u{e9}",
        ] {
            let half = if half == "\u{e9}" {
                &half.as_bytes()[..1]
            } else {
                half.as_bytes()
            };
            let mut bytes = KeyBytes::default();
            assert!(bytes.take(half).is_empty(), "{half:?}");
            bytes.forget();
            assert_eq!(told(&bytes.take(b"q")), ["Char('q')"], "{half:?}");
        }
    }

    proptest! {
        #[test]
        fn whatever_came_before_a_pause_the_next_key_is_heard(bytes in prop::collection::vec(any::<u8>(), 0..40)) {
            let mut keys = KeyBytes::default();
            keys.take(&bytes);
            keys.forget();
            prop_assert_eq!(told(&keys.take(b"\x1b[A")), ["Up"]);
        }
    }
}
