//! The letters of the sheets: which font has each, how wide words are, and how they are made to fit.

use crate::sheet::NotMade;
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::raw::FontRef;
use skrifa::{GlyphId, MetadataProvider};

/// DejaVu Sans Condensed 2.37, a subset; its licence stands beside it.
const TEXT: &[u8] = include_bytes!("fonts/text.ttf");
/// Its Bold, which the screen has too.
const BOLD: &[u8] = include_bytes!("../screen/fonts/text-bold.ttf");
/// `♭` and `♯` of JetBrains Mono ExtraBold 2.242: those of the bold face are hairlines that are lost from afar.
const ACCIDENTALS: &[u8] = include_bytes!("../screen/fonts/accidentals.ttf");

/// How high a capital of either face stands, in ems.
pub(super) const CAPITAL: f32 = 0.729;
/// From one line of words to the next, in ems.
pub(super) const LINE: f32 = 1.2;
/// The blank at which no line is broken.
pub(super) const TIED: char = '\u{a0}';
/// What stands for a letter that no font has.
const UNKNOWN: char = '?';
/// More than a page holds of the largest of what is made to fit.
const MOST_LETTERS: usize = 4000;
/// Steps in which words are made smaller, in points.
const STEP: f32 = 0.5;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Face {
    Text,
    Bold,
}

/// One of the fonts that are embedded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FontId {
    Text,
    Bold,
    Accidentals,
}

/// A letter as it is drawn: its font, its place there, and its width in ems.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Glyph {
    pub(super) font: FontId,
    pub(super) id: GlyphId,
    pub(super) advance: f32,
    pub(super) letter: char,
}

/// Words with the size and the lines in which they fit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fitted {
    pub(super) size: f32,
    pub(super) lines: Vec<String>,
}

/// The room that words have, in points, and the sizes they may take.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub(super) width: f32,
    pub(super) height: f32,
    pub(super) most: f32,
    pub(super) least: f32,
}

pub(super) struct Letters {
    text: OneFont,
    bold: OneFont,
    accidentals: OneFont,
}

struct OneFont {
    letters: Charmap<'static>,
    widths: GlyphMetrics<'static>,
}

impl FontId {
    pub(super) const ALL: [FontId; 3] = [FontId::Text, FontId::Bold, FontId::Accidentals];

    pub(super) fn bytes(self) -> &'static [u8] {
        match self {
            FontId::Text => TEXT,
            FontId::Bold => BOLD,
            FontId::Accidentals => ACCIDENTALS,
        }
    }
}

impl OneFont {
    fn read(id: FontId) -> Result<OneFont, NotMade> {
        let font = FontRef::new(id.bytes()).map_err(|error| NotMade::new(format!("a font cannot be read: {error}")))?;
        Ok(OneFont {
            letters: font.charmap(),
            widths: font.glyph_metrics(Size::new(1.0), LocationRef::default()),
        })
    }
}

impl Letters {
    /// # Errors
    /// Where a built-in font cannot be read.
    pub(super) fn new() -> Result<Letters, NotMade> {
        Ok(Letters {
            text: OneFont::read(FontId::Text)?,
            bold: OneFont::read(FontId::Bold)?,
            accidentals: OneFont::read(FontId::Accidentals)?,
        })
    }

    /// Whether a font has the letter.
    pub(super) fn has(&self, face: Face, letter: char) -> bool {
        self.glyph(face, letter).is_some()
    }

    /// The words letter by letter, as they are drawn: what no font has, stands as `?`.
    pub(super) fn glyphs<'a>(&'a self, face: Face, words: &'a str) -> impl Iterator<Item = Glyph> + 'a {
        let glyph = move |letter| self.glyph(face, letter).or_else(|| self.glyph(face, UNKNOWN));
        words.chars().filter_map(glyph)
    }

    fn glyph(&self, face: Face, letter: char) -> Option<Glyph> {
        let font = match (face, letter) {
            (Face::Bold, '♭' | '♯') => FontId::Accidentals,
            (Face::Bold, _) => FontId::Bold,
            (Face::Text, _) => FontId::Text,
        };
        let one = match font {
            FontId::Text => &self.text,
            FontId::Bold => &self.bold,
            FontId::Accidentals => &self.accidentals,
        };
        let id = one.letters.map(letter).filter(|id| id.to_u32() != 0)?;
        let advance = one.widths.advance_width(id)?;
        Some(Glyph {
            font,
            id,
            advance,
            letter,
        })
    }

    /// In points.
    pub(super) fn width(&self, face: Face, size: f32, words: &str) -> f32 {
        size * self.glyphs(face, words).map(|glyph| glyph.advance).sum::<f32>()
    }

    /// The size, at most `most`, in which the words are no wider than `width`.
    pub(super) fn shrunk(&self, face: Face, most: f32, width: f32, words: &str) -> f32 {
        let at_most = self.width(face, most, words);
        if at_most <= width { most } else { most * width / at_most }
    }

    /// The words in lines no wider than `width`, broken at blanks and, where one word is wider than that, within it.
    pub(super) fn wrapped(&self, face: Face, size: f32, width: f32, words: &str) -> Vec<String> {
        let mut lines = vec![String::new()];
        let mut taken = 0.0;
        let blank = self.width(face, size, " ");
        for word in parted(words) {
            let wide = self.width(face, size, word);
            let before = if taken > 0.0 { taken + blank } else { 0.0 };
            if before + wide <= width || (taken == 0.0 && wide <= width) {
                append(&mut lines, before > 0.0, word);
                taken = before + wide;
                continue;
            }
            if taken > 0.0 {
                lines.push(String::new());
            }
            taken = self.broken(face, size, width, word, &mut lines);
        }
        lines
    }

    /// Puts a word on the last line, which is empty, and on as many more as it takes; the width of the last.
    fn broken(&self, face: Face, size: f32, width: f32, word: &str, lines: &mut Vec<String>) -> f32 {
        let mut taken = 0.0;
        for letter in word.chars() {
            let wide = self.width(face, size, letter.encode_utf8(&mut [0; 4]));
            if taken > 0.0 && taken + wide > width {
                lines.push(String::new());
                taken = 0.0;
            }
            if let Some(line) = lines.last_mut() {
                line.push(letter);
            }
            taken += wide;
        }
        taken
    }

    /// The words in lines, at most so many of them: more are cut.
    pub(super) fn lines(&self, face: Face, size: f32, width: f32, most: usize, words: &str) -> Vec<String> {
        let mut lines = self.wrapped(face, size, width, begin_of(words));
        self.cut(face, size, width, most, &mut lines);
        lines
    }

    /// The words as large as the room allows, on as many lines as that takes; in their least size they are cut where
    /// they are still too long.
    pub(super) fn fit(&self, face: Face, room: Room, words: &str) -> Fitted {
        let words = begin_of(words);
        let mut size = room.most;
        loop {
            let mut lines = self.wrapped(face, size, room.width, words);
            let may = ((room.height / (size * LINE)) as usize).max(1);
            if lines.len() <= may && !self.breaks_a_word(face, size, room.width, words) {
                return Fitted { size, lines };
            }
            if size - STEP < room.least {
                self.cut(face, size, room.width, may, &mut lines);
                return Fitted { size, lines };
            }
            size -= STEP;
        }
    }

    fn breaks_a_word(&self, face: Face, size: f32, width: f32, words: &str) -> bool {
        parted(words).any(|word| self.width(face, size, word) > width)
    }

    /// Leaves so many lines, the last with an ellipsis where more stood below it.
    fn cut(&self, face: Face, size: f32, width: f32, may: usize, lines: &mut Vec<String>) {
        if lines.len() <= may {
            return;
        }
        lines.truncate(may);
        if let Some(last) = lines.last_mut() {
            while !last.is_empty() && self.width(face, size, last) + self.width(face, size, "…") > width {
                last.pop();
            }
            last.truncate(last.trim_end().len());
            last.push('…');
        }
    }
}

/// Where lines may be broken: at every blank but those that hold words together.
fn parted(words: &str) -> impl Iterator<Item = &str> {
    let parts = words.split(|letter: char| letter.is_whitespace() && letter != TIED);
    parts.filter(|word| !word.is_empty())
}

/// As much of the words as may fit anywhere: a title of a megabyte is not measured whole, time and again.
fn begin_of(words: &str) -> &str {
    words
        .char_indices()
        .nth(MOST_LETTERS)
        .map_or(words, |(end, _)| &words[..end])
}

fn append(lines: &mut [String], after_another: bool, word: &str) {
    if let Some(line) = lines.last_mut() {
        if after_another {
            line.push(' ');
        }
        line.push_str(word);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_that_a_sheet_writes_is_in_both_faces() {
        let letters = Letters::new().unwrap();
        for face in [Face::Text, Face::Bold] {
            for letter in ('!'..='~').chain("♭♯°ø△·×→↑↓…⊓◇–’éÉßñøЖλ".chars()) {
                assert!(letters.has(face, letter), "{face:?} {letter}");
            }
        }
        let found: String = letters
            .glyphs(Face::Text, "A渡\u{7}B")
            .map(|glyph| glyph.letter)
            .collect();
        assert_eq!(found, "A??B");
    }

    #[test]
    fn words_never_leave_the_room_they_have() {
        let letters = Letters::new().unwrap();
        let long = "The miller's daughter counts the lanterns on the water until they are all out ".repeat(4);
        let one_word = "Windwheel".repeat(40);
        for words in ["Reeds", &long, &one_word, "", "a b", "B♭ F♯m"] {
            for (width, height) in [(400.0, 60.0), (90.0, 40.0), (30.0, 200.0), (12.0, 10.0)] {
                let room = Room {
                    width,
                    height,
                    most: 40.0,
                    least: 9.0,
                };
                let fitted = letters.fit(Face::Bold, room, words);
                assert!(!fitted.lines.is_empty() && fitted.size >= 9.0, "{words} {width}");
                let high = fitted.size * LINE * fitted.lines.len() as f32;
                assert!(high <= height || fitted.lines.len() == 1, "{words} {width}: {high}");
                for line in &fitted.lines {
                    assert!(
                        letters.width(Face::Bold, fitted.size, line) <= width + 0.01,
                        "{line} {width}"
                    );
                }
            }
            let lines = letters.wrapped(Face::Text, 10.0, 80.0, words);
            let letters_of = |text: &str| {
                text.chars()
                    .filter(|letter| !letter.is_whitespace())
                    .collect::<String>()
            };
            assert_eq!(letters_of(&lines.concat()), letters_of(words), "nothing is lost");
        }
    }
}
