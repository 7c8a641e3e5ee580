//! What an answer in words is printed on: so many columns, with real signs or plain letters, for a right or a left hand.

use super::terminal::{columns, is_utf8, term};
use crate::music::{Chord, Fret, Note, Voicing};
use crate::screen::{Diagram, Form, Glyphs, Size};
use crate::setlist::Rig;
use std::io::{self, Write};
use unicode_width::UnicodeWidthStr;

pub(super) struct Paper {
    pub(super) columns: usize,
    pub(super) ascii: bool,
    /// Names have no sign that a bare console's font lacks.
    pub(super) bare: bool,
    pub(super) left_handed: bool,
}

/// Blanks between what stands side by side.
const APART: usize = 2;
/// A neck with fewer frets is not known for one.
const FEWEST_FRETS: u8 = 3;

impl Paper {
    /// The terminal, as this player holds the guitar.
    pub(super) fn new(rig: &Rig) -> Paper {
        let wanted = rig.screen.glyphs.as_deref().and_then(Glyphs::parse);
        let glyphs = wanted.unwrap_or_else(|| Glyphs::for_terminal(&term(), is_utf8()));
        Paper {
            columns: columns(),
            ascii: glyphs.is_ascii(),
            bare: glyphs.is_bare(),
            left_handed: rig.left_handed,
        }
    }

    /// `B♭m7`, or `Bbm7` in plain letters.
    pub(super) fn chord(&self, chord: Chord) -> String {
        if self.bare {
            chord.to_string()
        } else {
            chord.signs().to_string()
        }
    }

    pub(super) fn notes(&self, notes: impl IntoIterator<Item = Note>) -> String {
        let notes = notes.into_iter();
        let notes: Vec<String> = match self.bare {
            true => notes.map(|note| note.to_string()).collect(),
            false => notes.map(|note| note.signs().to_string()).collect(),
        };
        notes.join(" ")
    }

    /// Words that may hold the signs of music.
    pub(super) fn words(&self, words: &str) -> String {
        match self.bare {
            true => words
                .replace('♭', "b")
                .replace('♯', "#")
                .replace('°', "dim")
                .replace('ø', "m7b5"),
            false => words.to_owned(),
        }
    }

    /// Diagrams of one height for all of these.
    pub(super) fn form(&self, size: Size, capo: Fret, voicings: &[Voicing]) -> Form {
        let highest = voicings
            .iter()
            .flat_map(|voicing| voicing.frets)
            .max()
            .unwrap_or_default();
        Form {
            size,
            frets: u8::try_from(highest).unwrap_or_default().max(FEWEST_FRETS),
            capo,
            left_handed: self.left_handed,
            ascii: self.ascii,
        }
    }

    /// A diagram's lines, below its heading and above its foot.
    pub(super) fn diagram(&self, head: Vec<String>, voicing: &Voicing, form: &Form, foot: Vec<String>) -> Vec<String> {
        let lines = Diagram::new(voicing, form);
        head.into_iter().chain(lines.lines()).chain(foot).collect()
    }

    /// Blocks of lines side by side, as many as fit, and a blank line between their rows.
    pub(super) fn write_blocks(&self, blocks: &[Vec<String>], out: &mut impl Write) -> io::Result<()> {
        let width = blocks.iter().flatten().map(|line| line.width()).max().unwrap_or(0);
        let fit = ((self.columns + APART) / (width + APART)).max(1);
        for (place, row) in blocks.chunks(fit).enumerate() {
            if place > 0 {
                writeln!(out)?;
            }
            for line in 0..row.iter().map(Vec::len).max().unwrap_or(0) {
                let parts = row.iter().map(|block| block.get(line).map_or("", String::as_str));
                let parts = parts.map(|part| format!("{part}{}", " ".repeat(width + APART - part.width())));
                writeln!(out, "{}", parts.collect::<String>().trim_end())?;
            }
        }
        Ok(())
    }

    /// Words in lines of the paper's width, those after the first further in.
    pub(super) fn write_wrapped(&self, text: &str, out: &mut impl Write) -> io::Result<()> {
        let mut line = String::new();
        for word in text.split(' ') {
            let blank = usize::from(!line.is_empty());
            if !line.trim().is_empty() && line.width() + blank + word.width() > self.columns {
                writeln!(out, "{line}")?;
                line = " ".repeat(APART);
            } else if blank == 1 {
                line.push(' ');
            }
            line.push_str(word);
        }
        writeln!(out, "{line}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paper(columns: usize) -> Paper {
        Paper {
            columns,
            ascii: true,
            bare: true,
            left_handed: false,
        }
    }

    fn blocks(columns: usize) -> String {
        let mut out = Vec::new();
        let block = |lines: [&str; 2]| lines.map(str::to_owned).to_vec();
        let blocks = [block(["one", "1"]), block(["four", "4444"]), block(["six", ""])];
        paper(columns).write_blocks(&blocks, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn blocks_stand_side_by_side_as_far_as_there_is_room() {
        assert_eq!(blocks(16), "one   four  six\n1     4444\n");
        assert_eq!(blocks(15), "one   four\n1     4444\n\nsix\n\n");
        assert_eq!(blocks(1), "one\n1\n\nfour\n4444\n\nsix\n\n");
    }

    #[test]
    fn words_are_wrapped_between_them_alone() {
        let mut out = Vec::new();
        paper(12)
            .write_wrapped("the capo is at fret eleven andmoreandmore", &mut out)
            .unwrap();
        assert_eq!(
            String::from_utf8(out).unwrap(),
            "the capo is\n  at fret\n  eleven\n  andmoreandmore\n"
        );
    }
}
