//! What pages draw on: a buffer, the letters, and the look, with nothing ever written outside or out of control.

use crate::screen::Look;
use crate::screen::bands::above;
use crate::screen::lettering::{Lettering, Line, Word};
use crate::screen::picture::{Cell, Clusters, Picture};
use crate::screen::signs::{columns, joins, signs};
use crate::screen::theme::Ink;
use ratatui::layout::Rect;
use std::borrow::Cow;
use std::rc::Rc;

/// A place to draw, for as long as a page is drawn.
pub(super) struct Canvas<'a> {
    pub(super) picture: &'a mut Picture,
    pub(super) clusters: &'a mut Clusters,
    pub(super) letters: &'a mut Lettering,
    pub(super) look: &'a Look,
    /// How high the page's words came out, where someone asks for it.
    pub(super) heights: Option<&'a mut Vec<Height>>,
}

/// How high words came out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Height {
    /// What they say.
    pub(super) what: &'static str,
    /// Rows of a capital.
    pub(super) rows: f64,
    /// Whether they are among the page's first three items.
    pub(super) first: bool,
}

/// Where words stand in their box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    Left,
    Center,
    Right,
}

/// A capital of the terminal's own text in parts of its row, about (from memory: most text fonts).
pub(super) const SMALL_CAPITAL_ROWS: f64 = 0.6;

/// Words in a row are high enough from this part of their band on: else signs say the same, larger.
const HIGH_ENOUGH: f64 = 0.6;

impl Canvas<'_> {
    /// One line of the terminal's own text at the top of `area`; the columns it took. What is too long is cut, with a
    /// sign that says so: half a name may be another name.
    pub(super) fn line(&mut self, area: Rect, align: Align, text: &str, ink: Ink) -> u16 {
        let area = area.intersection(self.picture.area());
        if area.is_empty() {
            return 0;
        }
        let text = self.plain(text, area.width);
        if columns(text.trim_end()) > usize::from(area.width) {
            let kept = self.text(area.x, area.y, area.width - 1, &text, ink);
            self.sign(area.x + kept, area.y, self.look.glyphs.letter('…'), ink);
            return area.width;
        }
        let x = match align {
            Align::Left => area.x,
            Align::Center | Align::Right => {
                area.x + offset(align, area.width, columns(&text).min(usize::from(area.width)) as u16)
            }
        };
        self.text(x, area.y, area.right() - x, &text, ink)
    }

    /// The first of `texts` that fits whole in one small line, else the last, cut.
    pub(super) fn first_that_fits(&mut self, area: Rect, texts: &[&str]) {
        self.line(area, Align::Left, that_fits(area, texts), Ink::Quiet);
    }

    /// What may be shown, sign by sign; the columns it took.
    fn text(&mut self, x: u16, y: u16, width: u16, text: &str, ink: Ink) -> u16 {
        let mut taken = 0;
        for (sign, wide) in signs(text) {
            if taken + wide > width {
                break;
            }
            self.cluster(x + taken, y, sign, ink);
            if wide == 2
                && let Some(cell) = self.picture.cell_mut(x + taken + 1, y)
            {
                *cell = Cell::COVERED;
            }
            taken += wide;
        }
        taken
    }

    /// One letter, with its marks where it has any.
    fn cluster(&mut self, x: u16, y: u16, cluster: &str, ink: Ink) {
        let mut letters = cluster.chars();
        let Some(letter) = letters.next() else { return };
        self.sign(x, y, letter, ink);
        if letters.next().is_some()
            && let Some(place) = self.clusters.place(cluster)
            && let Some(cell) = self.picture.cell_mut(x, y)
        {
            *cell = Cell::cluster(place, ink);
        }
    }

    /// A word as large as `area` allows; in the terminal's own text where it cannot be large. The columns it took.
    pub(super) fn word(&mut self, area: Rect, align: Align, text: &str, ink: Ink) -> u16 {
        if let Some(taken) = self.large(area, align, text, Line::Words, ink) {
            return taken;
        }
        self.small(area, align, text, ink)
    }

    /// A word in the terminal's own text, in the middle of `area`; over several lines where it must be.
    pub(super) fn small(&mut self, area: Rect, align: Align, text: &str, ink: Ink) -> u16 {
        let ink = if ink == Ink::Words { Ink::Strong } else { ink };
        if area.height > 1 && columns(text) > usize::from(area.width) {
            return self.wrapped(area, text, ink);
        }
        let middle = above(area, area.height.saturating_sub(1) / 2).1;
        self.line(middle, align, text, ink)
    }

    /// Text over as many lines as there are, parted between words, the last line cut; the columns it took.
    pub(super) fn wrapped(&mut self, area: Rect, text: &str, ink: Ink) -> u16 {
        let mut rest = area;
        let mut left = text;
        while rest.height > 1 {
            let (line, after) = first_line(left, area.width);
            if after.is_empty() {
                break;
            }
            self.line(rest, Align::Left, line, ink);
            left = after;
            rest = above(rest, 1).1;
        }
        let taken = self.line(rest, Align::Left, left, ink);
        if rest.y == area.y { taken } else { area.width }
    }

    /// One of the page's first three items, on two lines where it is larger so.
    pub(super) fn item(&mut self, what: &'static str, area: Rect, line: Line, text: &str, ink: Ink) {
        let large = self.letters.fit(text, area.width, area.height, line);
        let rows = large.as_ref().map_or(0.0, |word| word.capital_rows);
        if let Some([first, second]) = self.on_two_lines(area, text, rows) {
            self.note(what, true, Some(&first));
            let (upper, lower) = above(area, area.height / 2);
            self.set(upper, Align::Left, &first, ink);
            self.set(lower, Align::Left, &second, ink);
            return;
        }
        self.note(what, true, large.as_deref());
        match large {
            Some(word) => self.set(area, Align::Left, &word, ink),
            None => self.small(area, Align::Left, text, ink),
        };
    }

    /// A text of several words parted near its middle, where its capitals are then higher than so many rows.
    fn on_two_lines(&mut self, area: Rect, text: &str, rows: f64) -> Option<[Rc<Word>; 2]> {
        if rows * 2.0 > f64::from(area.height) / 1.5 {
            return None;
        }
        let blanks = text.match_indices(' ').map(|(at, _)| at);
        let at = blanks.min_by_key(|at| (2 * at).abs_diff(text.len()))?;
        let (upper, lower) = above(area, area.height / 2);
        let first = self.letters.fit(&text[..at], upper.width, upper.height, Line::Words)?;
        let second = self
            .letters
            .fit(&text[at + 1..], lower.width, lower.height, Line::Words)?;
        (first.capital_rows.min(second.capital_rows) > rows).then_some([first, second])
    }

    /// One of the items after those: the first of `texts` that can be large, else the first in the terminal's own
    /// text. The columns it took.
    pub(super) fn later(&mut self, what: &'static str, area: Rect, align: Align, texts: &[&str], ink: Ink) -> u16 {
        let mut fit = |text: &&str| self.letters.fit(text, area.width, area.height, Line::Words);
        let large = texts.iter().find_map(&mut fit);
        self.note(what, false, large.as_deref());
        match (large, texts) {
            (Some(word), _) => self.set(area, align, &word, ink),
            (None, [text, ..]) => self.small(area, align, text, ink),
            (None, []) => 0,
        }
    }

    fn note(&mut self, what: &'static str, first: bool, large: Option<&Word>) {
        if let Some(heights) = &mut self.heights {
            let rows = large.map_or(SMALL_CAPITAL_ROWS, |word| word.capital_rows);
            heights.push(Height { what, rows, first });
        }
    }

    /// A word in large letters, where `area` has room for them; the columns they took.
    pub(super) fn large(&mut self, area: Rect, align: Align, text: &str, line: Line, ink: Ink) -> Option<u16> {
        let word = self.letters.fit(text, area.width, area.height, line)?;
        Some(self.set(area, align, &word, ink))
    }

    /// Several words in one line, all of one size, where `area` has room to make them about as high as it is; whether
    /// it has.
    pub(super) fn row(&mut self, area: Rect, words: &[&str], ink: Ink) -> bool {
        let text = words.join("   ");
        let word = self.letters.fit(&text, area.width, area.height, Line::Words);
        let Some(word) = word.filter(|word| word.capital_rows >= HIGH_ENOUGH * f64::from(area.height)) else {
            return false;
        };
        self.set(area, Align::Left, &word, ink);
        true
    }

    /// The most rows in which words, each in a place of its own, are all of one size; 0 where they cannot be large.
    pub(super) fn even_rows(&mut self, places: &[(Rect, &str)]) -> u16 {
        let highest = places.iter().map(|(place, _)| place.height).min().unwrap_or(0);
        let all_fit = |letters: &mut Lettering, rows: u16| {
            let mut capital = None;
            places.iter().all(|(place, text)| {
                let word = letters.fit(text, place.width, rows, Line::Words);
                word.is_some_and(|word| *capital.get_or_insert(word.capital_rows) == word.capital_rows)
            })
        };
        (1..=highest)
            .rev()
            .find(|&rows| all_fit(self.letters, rows))
            .unwrap_or(0)
    }

    /// Words each in a place of its own, all of one size, the largest that all have room for; whether there is one.
    pub(super) fn even(&mut self, places: &[(Rect, &str)], ink: Ink) -> bool {
        let rows = self.even_rows(places);
        if rows == 0 {
            return false;
        }
        for (place, text) in places {
            self.large(Rect { height: rows, ..*place }, Align::Left, text, Line::Words, ink);
        }
        true
    }

    fn set(&mut self, area: Rect, align: Align, word: &Word, ink: Ink) -> u16 {
        let left = area.x + offset(align, area.width, word.width);
        let top = area.y + (area.height - word.height.min(area.height)) / 2;
        for (y, row) in (top..).zip(word.cells.chunks(usize::from(word.width.max(1)))) {
            for (x, sign) in (left..).zip(row).filter(|(_, sign)| **sign != ' ') {
                self.sign(x, y, *sign, ink);
            }
        }
        word.width
    }

    /// One cell. Blanks are all the same but where they are reversed.
    pub(super) fn sign(&mut self, x: u16, y: u16, sign: char, ink: Ink) {
        if let Some(cell) = self.picture.cell_mut(x, y) {
            *cell = if sign == ' ' && ink != Ink::Notice {
                Cell::BLANK
            } else {
                Cell::new(sign, ink)
            };
        }
    }

    /// The mark that says "this differs", at the left edge of `area`, seen without any colour.
    pub(super) fn mark(&mut self, area: Rect, width: u16) {
        let sign = if self.look.glyphs.is_ascii() { '#' } else { '█' };
        for y in area.y..area.bottom() {
            for x in area.x..area.right().min(area.x + width) {
                self.sign(x, y, sign, Ink::Changed);
            }
        }
    }

    /// A hatched column: what is not yet.
    pub(super) fn hatch(&mut self, area: Rect) {
        let sign = if self.look.glyphs.is_ascii() { '%' } else { '▒' };
        for y in area.y..area.bottom() {
            for x in area.x..area.right() {
                self.sign(x, y, sign, Ink::Changed);
            }
        }
    }

    /// A line set apart, reversed from end to end: the first of `texts` that fits.
    pub(super) fn banner(&mut self, area: Rect, texts: &[&str]) {
        for x in area.x..area.right() {
            self.sign(x, area.y, ' ', Ink::Notice);
        }
        self.line(area, Align::Center, that_fits(area, texts), Ink::Notice);
    }

    /// What may be shown of a text: nothing that steers the terminal or turns the line round, and on a terminal that
    /// is not UTF-8 nothing but ASCII; no more of it than can be seen in so many columns.
    fn plain<'t>(&self, text: &'t str, width: u16) -> Cow<'t, str> {
        let most = usize::from(width) * SIGNS_A_COLUMN;
        if text.len() <= most && text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
            return Cow::Borrowed(text);
        }
        let harmless = text
            .chars()
            .take(most)
            .filter(|&letter| !steers(letter) && !joins(letter));
        let glyphs = self.look.glyphs;
        if glyphs.is_ascii() {
            let harmless: String = harmless.collect();
            // A letter without its mark is better than two that say nothing.
            let letters = signs(&harmless).filter_map(|(sign, _)| sign.chars().next());
            letters.map(|letter| glyphs.letter(letter)).collect()
        } else {
            harmless.map(|letter| glyphs.letter(letter)).collect()
        }
    }
}

/// How many lines a text takes, parted between words.
pub(super) fn lines(text: &str, width: u16) -> u16 {
    let mut lines = 1;
    let mut left = first_line(text, width).1;
    while !left.is_empty() {
        lines += 1;
        left = first_line(left, width).1;
    }
    lines
}

/// The words that fit in so many columns, one at the least, and what is left.
fn first_line(text: &str, width: u16) -> (&str, &str) {
    let mut end = 0;
    for word in text.split_inclusive(' ') {
        if end > 0 && columns(text[..end + word.len()].trim_end()) > usize::from(width) {
            break;
        }
        end += word.len();
    }
    text.split_at(end)
}

/// The first that fits whole in one small line, else the last.
fn that_fits<'t>(area: Rect, texts: &[&'t str]) -> &'t str {
    let fits = texts.iter().find(|text| columns(text) <= usize::from(area.width));
    fits.or(texts.last()).copied().unwrap_or_default()
}

/// Characters that may share a column: a letter and what stands over and under it.
const SIGNS_A_COLUMN: usize = 8;

/// Whether a character would do something to the terminal or to the text around it instead of being seen.
pub(crate) fn steers(letter: char) -> bool {
    letter.is_control()
        || matches!(letter, '\u{2028}' | '\u{2029}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}')
}

fn offset(align: Align, room: u16, taken: u16) -> u16 {
    let spare = room.saturating_sub(taken);
    match align {
        Align::Left => 0,
        Align::Center => spare / 2,
        Align::Right => spare,
    }
}
