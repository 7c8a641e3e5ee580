//! A poster: a question with a few options in large words, for practice; one of them is chosen.

use crate::screen::bands::{above, share, stack};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::theme::Ink;
use crate::screen::title::harmless;
use crate::screen::{Picture, Screen, margin, others, too_small};
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

/// What a poster says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Poster {
    pub heading: String,
    /// Whether the heading is the news of the page.
    pub news: bool,
    /// Each has its number before it.
    pub options: Vec<String>,
    /// The place of the one that is chosen.
    pub chosen: usize,
    /// In the terminal's own text, below.
    pub note: String,
}

impl Poster {
    /// The window's title: what is asked, and what is chosen.
    pub fn title(&self) -> String {
        let chosen = self.options.get(self.chosen).map_or("", String::as_str);
        harmless(&format!("{}: {chosen}", self.heading))
    }
}

/// Rows that the note may take.
const NOTE_ROWS: u16 = 4;
/// No more options than have keys.
const MOST_OPTIONS: usize = 9;

impl Screen {
    /// Paints a poster over the whole picture.
    pub fn poster(&mut self, poster: &Poster, picture: &mut Picture) {
        let mut canvas = self.canvas(picture, None);
        canvas.picture.clear();
        let area = canvas.picture.area();
        if too_small(area) {
            return others::sentence(&mut canvas, area, &poster.title());
        }
        draw(&mut canvas, area, poster);
    }
}

fn draw(canvas: &mut Canvas<'_>, area: Rect, poster: &Poster) {
    let count = poster.options.len().clamp(1, MOST_OPTIONS) as u16;
    let width = margin::inside(area).width.max(1);
    let note = ((poster.note.width() as u16).div_ceil(width) + 1).min(NOTE_ROWS);
    let wishes = [(1, count), (0, 1), (2, 1), (0, 2), (2, note), (0, 4)];
    let rows = share(area.height, wishes, [3, 2 * count, 0]);
    let [heading, options, below] = stack(area, rows);
    let ink = if poster.news { Ink::Changed } else { Ink::Words };
    canvas.word(margin::inside(heading), Align::Left, &poster.heading, ink);
    let each = (options.height / count).max(1);
    let mut rest = options;
    let mut places = Vec::new();
    for (at, option) in poster.options.iter().take(MOST_OPTIONS).enumerate() {
        let (band, left) = above(rest, each);
        rest = left;
        let inside = margin::marked(canvas, band, at == poster.chosen);
        places.push((inside, format!("{}  {option}", at + 1)));
    }
    let words: Vec<(Rect, &str)> = places.iter().map(|(place, text)| (*place, text.as_str())).collect();
    if !canvas.even(&words, Ink::Words) {
        for (at, (place, text)) in words.iter().enumerate() {
            let ink = if at == poster.chosen { Ink::Strong } else { Ink::Quiet };
            canvas.line(*place, Align::Left, text, ink);
        }
    }
    canvas.wrapped(margin::inside(below), &poster.note, Ink::Quiet);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::{Glyphs, Look};
    use ratatui::buffer::Buffer;

    /// The rows of a poster in the terminal's own letters.
    fn rows(width: u16, height: u16, chosen: usize) -> Vec<String> {
        let look = Look {
            glyphs: Glyphs::Letters,
            ..Look::default()
        };
        let mut screen = Screen::new(look);
        let mut picture = Picture::new(width, height);
        let poster = Poster {
            heading: "which position?".into(),
            options: ["neck", "bridge", "hear it again"].map(String::from).into(),
            chosen,
            note: "1 of 2 right".into(),
            news: false,
        };
        screen.poster(&poster, &mut picture);
        let mut buffer = Buffer::empty(Rect::new(0, 0, width, height));
        picture.to_buffer(screen.look().theme, screen.clusters(), &mut buffer);
        let row = |y: u16| {
            (0..width)
                .map(|x| buffer[(x, y)].symbol().to_owned())
                .collect::<String>()
        };
        (0..height).map(row).map(|row| row.trim_end().to_owned()).collect()
    }

    #[test]
    fn every_option_stands_with_its_number_and_the_chosen_one_is_marked() {
        let small = rows(20, 6, 1);
        let said = [
            " which position?",
            " 1  neck",
            "#2  bridge",
            " 3  hear it again",
            " 1 of 2 right",
        ];
        let found: Vec<&str> = small.iter().map(String::as_str).filter(|row| !row.is_empty()).collect();
        assert_eq!(found, said);
        for (width, height) in [(80, 24), (40, 12), (20, 6), (200, 50)] {
            let marked = |chosen| -> Vec<usize> {
                let rows = rows(width, height, chosen);
                let at = (0..rows.len()).filter(|row| rows[*row].starts_with('#'));
                at.collect()
            };
            let [one, two, three] = [0, 1, 2].map(marked);
            assert!(
                !one.is_empty() && one.last() < two.first() && two.last() < three.first(),
                "{width} x {height}"
            );
        }
        assert!(rows(10, 3, 1).join(" ").contains("which"));
    }
}
