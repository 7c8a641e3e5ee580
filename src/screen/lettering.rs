//! Large words: the largest setting of a word that fits a box, drawn once and kept as cells.

use crate::screen::face::{Faces, Letter};
use crate::screen::glyphs::Glyphs;
use crate::screen::typeset::{self, CAPITAL, Dots, Setting};
use ab_glyph_rasterizer::Rasterizer;
use std::collections::HashMap;
use std::rc::Rc;

/// A word as cells, row by row.
pub(super) struct Word {
    pub(super) width: u16,
    pub(super) height: u16,
    pub(super) cells: Vec<char>,
    /// A capital's height in rows.
    pub(super) capital_rows: f64,
}

/// What a line holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Line {
    /// Words, whose letters may hang below it: the baseline stays where it is for those that do not.
    Words,
    /// Figures and capitals alone, which fill it from top to bottom.
    Figures,
}

/// Draws words and keeps them: a set has few, and each comes back with its page.
pub(super) struct Lettering {
    faces: Faces,
    raster: Rasterizer,
    glyphs: Glyphs,
    /// By box, then word.
    kept: HashMap<Place, HashMap<Box<str>, Option<Rc<Word>>>>,
    kept_words: usize,
    kept_cells: usize,
}

/// The width and height of a box, and what stands in it.
type Place = (u16, u16, Line);

/// Cells kept before all are let go: a few hundred words, within half a megabyte.
const MOST_CELLS: usize = 100_000;
/// Words kept before all are let go, those among them that fitted nowhere.
const MOST_WORDS: usize = 1_000;
/// Longer words, in bytes, are never read at a glance, and need not be measured.
const LONGEST: usize = 80;
/// A cell is about twice as high as it is wide.
const CELL_SHAPE: f32 = 2.0;
/// By how much, and how often, it is tried narrower.
const NARROWER: f32 = 0.04;
const STEPS_NARROWER: u8 = 10;
/// An accent over a capital reaches so far above it, as a part of the capital.
const ACCENT: f32 = 0.28;

impl Lettering {
    pub(super) fn new(glyphs: Glyphs) -> Lettering {
        Lettering {
            faces: Faces::new(),
            raster: Rasterizer::new(0, 0),
            glyphs,
            kept: HashMap::new(),
            kept_words: 0,
            kept_cells: 0,
        }
    }

    /// The word as large as `width` x `height` cells allow; none where it would be too small to be read from afar.
    pub(super) fn fit(&mut self, word: &str, width: u16, height: u16, line: Line) -> Option<Rc<Word>> {
        let place = (width, height, line);
        if let Some(kept) = self.kept.get(&place).and_then(|words| words.get(word)) {
            return kept.clone();
        }
        let drawn = self.draw(word, width, height, line).map(Rc::new);
        if self.kept_cells > MOST_CELLS || self.kept_words > MOST_WORDS {
            self.kept.clear();
            (self.kept_words, self.kept_cells) = (0, 0);
        }
        self.kept_words += 1;
        self.kept_cells += drawn.as_ref().map_or(0, |word| word.cells.len());
        let words = self.kept.entry(place).or_default();
        words.insert(word.into(), drawn.clone());
        drawn
    }

    fn draw(&mut self, word: &str, width: u16, height: u16, line: Line) -> Option<Word> {
        if word.is_empty() || word.len() > LONGEST {
            return None;
        }
        let letters = typeset::letters(&mut self.faces, word)?;
        let setting = self.setting(&letters, width, height, line)?;
        let dots = typeset::draw(&letters, setting, &mut self.raster);
        Some(self.cells(&dots, setting))
    }

    fn cells(&self, dots: &Dots, setting: Setting) -> Word {
        let (across, down) = self.glyphs.dots();
        let (columns, rows) = (dots.across.div_ceil(across), dots.down.div_ceil(down));
        let mut cells = Vec::with_capacity(columns * rows);
        for row in 0..rows {
            for column in 0..columns {
                let mut pattern = 0;
                for dot in 0..across * down {
                    let (x, y) = (column * across + dot % across, row * down + dot / across);
                    let inked = x < dots.across && y < dots.down && dots.ink[y * dots.across + x];
                    pattern |= u8::from(inked) << dot;
                }
                cells.push(self.glyphs.sign(pattern));
            }
        }
        Word {
            width: columns as u16,
            height: rows as u16,
            cells,
            capital_rows: f64::from(setting.capital) / down as f64,
        }
    }

    /// The highest capitals at which the word fits, its letters as wide as then possible.
    fn setting(&self, letters: &[Rc<Letter>], width: u16, height: u16, line: Line) -> Option<Setting> {
        let (across, down) = self.glyphs.dots();
        let most_across = f32::from(width) * across as f32;
        let most_down = height * down as u16;
        // Dots are not square: as many more across as a cell is higher than wide.
        let square = CELL_SHAPE * across as f32 / down as f32;
        let accents = letters
            .iter()
            .any(|letter| letter.high.1 > CAPITAL * (1.0 + ACCENT / 2.0));
        let ems: f32 = letters.iter().map(|letter| letter.advance).sum();
        let least = self.glyphs.least_capital();
        (least..=most_down).rev().find_map(|capital| {
            let setting = Setting {
                capital,
                descent: if line == Line::Words { descent(capital) } else { 0 },
                headroom: if accents {
                    (f32::from(capital) * ACCENT).ceil() as u16
                } else {
                    0
                },
                across: f32::from(capital) / CAPITAL * square,
            };
            if setting.headroom + capital + setting.descent > most_down {
                return None;
            }
            let widest = (most_across / (ems * setting.across)).min(1.0);
            // Whole dots may take a little more than their share.
            (0..STEPS_NARROWER)
                .map(|step| widest - f32::from(step) * NARROWER)
                .take_while(|share| *share >= self.glyphs.narrowest())
                .map(|share| Setting {
                    across: setting.across * share,
                    ..setting
                })
                .find(|setting| typeset::width(letters, *setting) <= most_across)
        })
    }
}

/// Dots below the baseline for a capital so many dots high: short tails where dots are dear.
pub(super) fn descent(capital: u16) -> u16 {
    match capital {
        0..=7 => 1,
        8..=10 => 2,
        capital => (f32::from(capital) * 0.285).round() as u16,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(word: &str, glyphs: Glyphs) -> Vec<String> {
        let word = Lettering::new(glyphs).fit(word, 80, 4, Line::Words).unwrap();
        let rows = word.cells.chunks(usize::from(word.width));
        rows.map(|row| row.iter().collect::<String>().trim_end().to_owned())
            .collect()
    }

    #[test]
    fn words_as_they_are_seen() {
        let quarters = [
            "▜█  ▗█▘",
            " █▙ █▛ ▗▟▀▀▙▖ █▙▀▘▟▛▀▀ ▄▛▀▜▄",
            " ▝█▟█  ▐█▀▀▀▘ █▌  ▝▀▀█▖█▛▀▀▀",
            "  ▀▀▘   ▝▀▀▀▘ ▀▘  ▀▀▀▀  ▀▀▀▀",
        ];
        assert_eq!(seen("Verse", Glyphs::Quarters), quarters);
        let letters = [
            r##"##  o#"##,
            r##" #o ##  o"""o  #"" #""" o"""o"##,
            r##"  ###   #""""  #   """# #""""  "##.trim_end(),
            r##"  """    """"  "   """"  """""##,
        ];
        assert_eq!(seen("Verse", Glyphs::Letters), letters);
    }

    #[test]
    fn a_word_is_never_larger_than_its_box() {
        let mut lettering = Lettering::new(Glyphs::Quarters);
        for word in ["3", "no capo", "Second part", "ÉÄ gjpq", "B♭", "⊓"] {
            for width in 1..60 {
                for height in 1..14 {
                    for line in [Line::Words, Line::Figures] {
                        if let Some(drawn) = lettering.fit(word, width, height, line) {
                            assert!(
                                drawn.width <= width && drawn.height <= height,
                                "{word} in {width} x {height}"
                            );
                            assert_eq!(drawn.cells.len(), usize::from(drawn.width * drawn.height));
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn what_is_kept_is_bounded() {
        let mut lettering = Lettering::new(Glyphs::Sixths);
        for number in 0..3_000 {
            lettering.fit(&format!("Verse {number}"), 90, 9, Line::Words);
            let kept: usize = lettering.kept.values().map(HashMap::len).sum();
            assert!(kept <= MOST_WORDS + 1 && lettering.kept_cells <= MOST_CELLS + 90 * 9);
        }
    }

    #[test]
    fn a_word_with_a_letter_that_no_font_has_is_not_drawn() {
        for word in ["渡し船", "Fog \u{1F32B}", "e\u{301}", "שלום", ""] {
            assert!(
                Lettering::new(Glyphs::Quarters)
                    .fit(word, 200, 20, Line::Words)
                    .is_none(),
                "{word}"
            );
        }
    }
}
