//! Large words: the largest setting of a word that fits a box, drawn once and kept as cells.

use crate::screen::face::{CAPITAL, Faces, Setting, descent, hangs};
use crate::screen::glyphs::Glyphs;
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

/// Draws words and keeps them: a set has few, and each comes back with its page.
pub(super) struct Lettering {
    faces: Option<Faces>,
    glyphs: Glyphs,
    /// By box, then word.
    kept: HashMap<(u16, u16), Words>,
    kept_words: usize,
    kept_cells: usize,
}

/// The words drawn for one box; none where a word is too long for it.
type Words = HashMap<Box<str>, Option<Rc<Word>>>;

/// Cells kept before all are let go: a few hundred words, within a megabyte.
const MOST_CELLS: usize = 100_000;
/// Words kept before all are let go, those among them that fitted nowhere.
const MOST_WORDS: usize = 2_000;
/// Longer words are never read at a glance, and need not be measured.
const LONGEST: usize = 80;
/// A cell is about twice as high as it is wide.
const CELL_SHAPE: usize = 2;
/// Words may be set this much narrower than they were designed before they lose height, in hundredths.
const NARROWEST: u16 = 66;

impl Lettering {
    pub(super) fn new(glyphs: Glyphs) -> Lettering {
        Lettering {
            faces: Faces::new(),
            glyphs,
            kept: HashMap::new(),
            kept_words: 0,
            kept_cells: 0,
        }
    }

    /// The word as large as `width` x `height` cells allow; none where it would be too small to be read from afar.
    pub(super) fn fit(&mut self, word: &str, width: u16, height: u16) -> Option<Rc<Word>> {
        if let Some(kept) = self.kept.get(&(width, height)).and_then(|words| words.get(word)) {
            return kept.clone();
        }
        let drawn = self.draw(word, width, height).map(Rc::new);
        if self.kept_cells > MOST_CELLS || self.kept_words > MOST_WORDS {
            self.kept.clear();
            (self.kept_words, self.kept_cells) = (0, 0);
        }
        self.kept_words += 1;
        self.kept_cells += drawn.as_ref().map_or(0, |word| word.cells.len());
        self.kept
            .entry((width, height))
            .or_default()
            .insert(word.into(), drawn.clone());
        drawn
    }

    fn draw(&self, word: &str, width: u16, height: u16) -> Option<Word> {
        let setting = self.setting(word, width, height)?;
        let dots = self.faces.as_ref()?.draw(word, setting)?;
        let (across, down) = self.glyphs.dots();
        let columns = dots.across.div_ceil(across).min(usize::from(width));
        let rows = dots.down.div_ceil(down);
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
        let capital_rows = f64::from(setting.capital) / down as f64;
        Some(Word {
            width: columns as u16,
            height: rows as u16,
            cells,
            capital_rows,
        })
    }

    /// The highest capitals at which the word fits, its letters as wide as then possible.
    fn setting(&self, word: &str, width: u16, height: u16) -> Option<Setting> {
        if word.is_empty() || word.len() > LONGEST {
            return None;
        }
        let (across, down) = self.glyphs.dots();
        let faces = self.faces.as_ref()?;
        let most_across = f32::from(width) * across as f32 - 1.0;
        let most_down = usize::from(height) * down;
        // Dots are not square: as many more across as a cell is higher than wide.
        let square = (CELL_SHAPE * across * 100 / down) as u16;
        let fits = |capital: &u16| usize::from(*capital) + if hangs(word) { descent(*capital) } else { 0 } <= most_down;
        let largest = (1..=most_down as u16).rev().find(fits)?;
        let least = (LEAST_ROWS[down - 1] * down as f32).ceil() as u16;
        (least..=largest).rev().find_map(|capital| {
            let natural = faces.width(word, capital)? * f32::from(capital) / CAPITAL * f32::from(square) / 100.0;
            let percent = (100.0 * most_across / natural).min(100.0) as u16;
            (percent >= NARROWEST).then(|| Setting {
                capital,
                across_percent: (u32::from(square) * u32::from(percent) / 100) as u16,
            })
        })
    }
}

/// How many rows a capital needs to be read, by the dots that a cell has from top to bottom.
const LEAST_ROWS: [f32; 3] = [5.0, 3.0, 2.0];
