//! The outline fonts: each letter as an outline in ems, read once.

use crate::screen::stems::{Axis, Stem, stems};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::raw::FontRef;
use skrifa::{GlyphId, MetadataProvider};
use std::collections::HashMap;
use std::rc::Rc;

/// DejaVu Sans Condensed Bold 2.37, a subset; its licence stands beside it.
const TEXT: &[u8] = include_bytes!("fonts/text-bold.ttf");
/// `♭` and `♯` of JetBrains Mono ExtraBold 2.242, a subset: the text font's own are too thin to be read from afar.
const ACCIDENTALS: &[u8] = include_bytes!("fonts/accidentals.ttf");
/// Letters kept before all are let go: more than any set's words have, and well within a megabyte.
const MOST_LETTERS: usize = 400;

/// A place in an outline: across and up, in ems from the letter's origin on the baseline.
pub(super) type At = (f32, f32);

/// A part of an outline, from where the one before ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Stroke {
    Start(At),
    Line(At),
    Quad(At, At),
}

/// A letter's outline, and what of it must fall on whole dots.
pub(super) struct Letter {
    pub(super) advance: f32,
    pub(super) strokes: Vec<Stroke>,
    /// From the lowest and leftmost to the highest and rightmost point.
    pub(super) low: At,
    pub(super) high: At,
    pub(super) upright: Vec<Stem>,
    pub(super) level: Vec<Stem>,
}

pub(super) struct Faces {
    text: Option<FontRef<'static>>,
    accidentals: Option<FontRef<'static>>,
    read: HashMap<char, Option<Rc<Letter>>>,
}

impl Faces {
    /// The built-in fonts can be read, which the tests hold; if not, no letter is found and all words are small.
    pub(super) fn new() -> Faces {
        Faces {
            text: FontRef::new(TEXT).ok(),
            accidentals: FontRef::new(ACCIDENTALS).ok(),
            read: HashMap::new(),
        }
    }

    /// None where no font has the letter.
    pub(super) fn letter(&mut self, letter: char) -> Option<Rc<Letter>> {
        if let Some(read) = self.read.get(&letter) {
            return read.clone();
        }
        if self.read.len() >= MOST_LETTERS {
            self.read.clear();
        }
        let read = self.outline(letter).map(Rc::new);
        self.read.insert(letter, read.clone());
        read
    }

    fn outline(&self, letter: char) -> Option<Letter> {
        let font = match letter {
            '♭' | '♯' => self.accidentals.as_ref()?,
            _ => self.text.as_ref()?,
        };
        let id: GlyphId = font.charmap().map(letter).filter(|id| id.to_u32() != 0)?;
        let (size, place) = (Size::new(1.0), LocationRef::default());
        let advance = font.glyph_metrics(size, place).advance_width(id)?;
        let mut pen = Pen::default();
        let settings = DrawSettings::unhinted(size, place);
        font.outline_glyphs().get(id)?.draw(settings, &mut pen).ok()?;
        Some(pen.letter(advance))
    }
}

/// Notes an outline down.
#[derive(Default)]
struct Pen {
    strokes: Vec<Stroke>,
    start: At,
}

impl Pen {
    fn letter(self, advance: f32) -> Letter {
        let points = self.strokes.iter().map(|stroke| stroke.end());
        let bounds = points.fold(None, |bounds: Option<(At, At)>, (x, y)| {
            let ((left, bottom), (right, top)) = bounds.unwrap_or(((x, y), (x, y)));
            Some(((left.min(x), bottom.min(y)), (right.max(x), top.max(y))))
        });
        let (low, high) = bounds.unwrap_or_default();
        Letter {
            advance,
            upright: stems(&self.strokes, Axis::Across),
            level: stems(&self.strokes, Axis::Up),
            strokes: self.strokes,
            low,
            high,
        }
    }
}

impl Stroke {
    pub(super) fn end(self) -> At {
        match self {
            Stroke::Start(end) | Stroke::Line(end) | Stroke::Quad(_, end) => end,
        }
    }
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.start = (x, y);
        self.strokes.push(Stroke::Start((x, y)));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.strokes.push(Stroke::Line((x, y)));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.strokes.push(Stroke::Quad((cx, cy), (x, y)));
    }

    /// The fonts have none; its chord would do.
    fn curve_to(&mut self, _: f32, _: f32, _: f32, _: f32, x: f32, y: f32) {
        self.strokes.push(Stroke::Line((x, y)));
    }

    fn close(&mut self) {
        self.strokes.push(Stroke::Line(self.start));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_fonts_have_what_the_pages_say() {
        let mut faces = Faces::new();
        for letter in ('!'..='~').chain("♭♯°×→⊓◇·éÉßñøЖλ".chars()) {
            assert!(faces.letter(letter).is_some(), "{letter}");
        }
        for letter in ['\u{1F3B8}', '渡', '\u{301}', '\u{7}'] {
            assert!(faces.letter(letter).is_none(), "{letter:?}");
        }
    }

    #[test]
    fn what_is_kept_of_letters_is_bounded() {
        let mut faces = Faces::new();
        for letter in ('\0'..='\u{FFFF}').take(20_000) {
            faces.letter(letter);
            assert!(faces.read.len() <= MOST_LETTERS);
        }
    }
}
