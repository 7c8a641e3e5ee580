//! What pages draw on: a buffer, the letters, and the look, with nothing ever written outside or out of control.

use crate::screen::Look;
use crate::screen::lettering::{Lettering, Word};
use crate::screen::picture::{Cell, Clusters, Picture};
use crate::screen::theme::Ink;
use ratatui::layout::Rect;
use std::borrow::Cow;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// A place to draw, for as long as a page is drawn.
pub(super) struct Canvas<'a> {
    pub(super) picture: &'a mut Picture,
    pub(super) clusters: &'a mut Clusters,
    pub(super) letters: &'a mut Lettering,
    pub(super) look: &'a Look,
    /// How high the page's most important words came out, in rows of capitals, by what they say.
    pub(super) heights: Option<&'a mut Vec<(&'static str, f64)>>,
}

/// Where words stand in their box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    Left,
    Center,
    Right,
}

/// A capital of the terminal's own text in parts of its row, about (from memory: most text fonts).
const SMALL_CAPITAL_ROWS: f64 = 0.6;

/// Columns that a mark of change takes, with the blank beside it.
pub(super) const MARK: u16 = 2;

impl Canvas<'_> {
    /// The terminal's own text, cut to `width`; control characters are left out. The columns it took.
    pub(super) fn text(&mut self, x: u16, y: u16, width: u16, text: &str, ink: Ink) -> u16 {
        let width = width.min(self.picture.width.saturating_sub(x));
        if y >= self.picture.height || width == 0 {
            return 0;
        }
        let text = self.plain(text);
        let mut taken = 0;
        let mut last: Option<(u16, usize)> = None;
        for (at, letter) in text.char_indices().filter(|(_, letter)| !letter.is_control()) {
            match letter.width().unwrap_or(0) as u16 {
                // A mark without a width of its own joins the letter that it stands on.
                0 => {
                    if let Some((column, start)) = last {
                        self.join(column, y, &text[start..at + letter.len_utf8()], ink);
                    }
                }
                wide if taken + wide > width => break,
                wide => {
                    self.dot(x + taken, y, letter, ink);
                    last = Some((x + taken, at));
                    if wide == 2
                        && let Some(cell) = self.picture.cell_mut(x + taken + 1, y)
                    {
                        *cell = Cell::COVERED;
                    }
                    taken += wide;
                }
            }
        }
        taken
    }

    fn join(&mut self, x: u16, y: u16, cluster: &str, ink: Ink) {
        if !cluster.chars().any(char::is_control)
            && let Some(place) = self.clusters.place(cluster)
            && let Some(cell) = self.picture.cell_mut(x, y)
        {
            *cell = Cell::cluster(place, ink);
        }
    }

    /// One line of the terminal's own text within `area`.
    pub(super) fn line(&mut self, area: Rect, align: Align, text: &str, ink: Ink) {
        if area.is_empty() {
            return;
        }
        let wide = text.width().min(usize::from(area.width)) as u16;
        self.text(area.x + offset(align, area.width, wide), area.y, area.width, text, ink);
    }

    /// A word as large as `area` allows; in the terminal's own text where it cannot be large.
    pub(super) fn word(&mut self, area: Rect, align: Align, text: &str, ink: Ink) {
        if area.is_empty() || text.is_empty() {
            return;
        }
        if !self.large(area, align, text, ink) {
            let middle = Rect {
                y: area.y + area.height / 2,
                height: 1,
                ..area
            };
            self.line(middle, align, text, ink);
        }
    }

    /// One of the page's most important words, whose height is noted where someone asks for it.
    pub(super) fn item(&mut self, what: &'static str, area: Rect, text: &str, ink: Ink) {
        self.word(area, Align::Left, text, ink);
        if let Some(heights) = &mut self.heights {
            let large = self
                .letters
                .fit(text, area.width, area.height)
                .map_or(SMALL_CAPITAL_ROWS, |word| word.capital_rows);
            heights.push((what, large));
        }
    }

    /// A word in large letters, where `area` has room for them.
    pub(super) fn large(&mut self, area: Rect, align: Align, text: &str, ink: Ink) -> bool {
        let Some(word) = self.letters.fit(text, area.width, area.height) else {
            return false;
        };
        self.set(area, align, &word, ink);
        true
    }

    /// A word in large letters at the left of `area`, where it has room for them; the columns they took.
    pub(super) fn large_width(&mut self, area: Rect, text: &str, ink: Ink) -> Option<u16> {
        let word = self.letters.fit(text, area.width, area.height)?;
        self.set(area, Align::Left, &word, ink);
        Some(word.width)
    }

    fn set(&mut self, area: Rect, align: Align, word: &Word, ink: Ink) {
        let left = area.x + offset(align, area.width, word.width);
        let top = area.y + (area.height - word.height.min(area.height)) / 2;
        for (row, cells) in word.cells.chunks(usize::from(word.width.max(1))).enumerate() {
            for (column, sign) in cells.iter().enumerate().filter(|(_, sign)| **sign != ' ') {
                self.dot(left + column as u16, top + row as u16, *sign, ink);
            }
        }
    }

    /// One cell.
    pub(super) fn dot(&mut self, x: u16, y: u16, sign: char, ink: Ink) {
        if let Some(cell) = self.picture.cell_mut(x, y) {
            *cell = Cell::new(sign, ink);
        }
    }

    /// The mark that says "this differs", left of `area`, seen without any colour; what is left of the area.
    pub(super) fn mark(&mut self, area: Rect, changed: bool) -> Rect {
        let taken = MARK.min(area.width);
        if changed && taken > 0 {
            let sign = if self.look.glyphs.is_ascii() { '>' } else { '▐' };
            for y in area.y..area.bottom() {
                self.dot(area.x, y, sign, Ink::Changed);
            }
        }
        Rect {
            x: area.x + taken,
            width: area.width - taken,
            ..area
        }
    }

    /// A line set apart: reversed from end to end.
    pub(super) fn banner(&mut self, area: Rect, text: &str) {
        for x in area.x..area.right() {
            self.dot(x, area.y, ' ', Ink::Notice);
        }
        self.line(area, Align::Center, text, Ink::Notice);
    }

    /// What a terminal that is not UTF-8 can show of a text.
    fn plain<'t>(&self, text: &'t str) -> Cow<'t, str> {
        if !self.look.glyphs.is_ascii() || text.is_ascii() {
            return Cow::Borrowed(text);
        }
        text.chars()
            .map(|letter| match letter {
                '♭' => 'b',
                '♯' => '#',
                '°' => 'o',
                '×' => 'x',
                '·' | '—' | '–' => '-',
                '→' => '>',
                '←' => '<',
                '\u{2018}' | '\u{2019}' => '\'',
                letter if letter.is_ascii() => letter,
                _ => '?',
            })
            .collect::<String>()
            .into()
    }
}

fn offset(align: Align, room: u16, taken: u16) -> u16 {
    let spare = room.saturating_sub(taken);
    match align {
        Align::Left => 0,
        Align::Center => spare / 2,
        Align::Right => spare,
    }
}
