//! The end page, the list of keys, and the sentence that stands where there is no room for a page.

use crate::screen::bands::{above, share, stack, without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::margin;
use crate::screen::theme::Ink;
use crate::sequencer::End;
use ratatui::layout::Rect;
use std::time::Duration;

/// The keys that stand in for pedals, with what they do.
pub const KEYS: [(&str, &str); 14] = [
    ("right, page down, space, enter", "next"),
    ("left, page up, backspace", "back"),
    ("down", "next song"),
    ("up", "previous song"),
    ("home", "top of the song"),
    ("a", "again"),
    ("u", "undo"),
    ("n", "peek at the next song"),
    ("+", "key up"),
    ("-", "key down"),
    ("l", "lock"),
    ("digits, enter", "go to a song"),
    ("?", "this list"),
    ("q, ctrl-C", "leave: once to ask, once more to go"),
];

pub(super) fn end(canvas: &mut Canvas<'_>, page: Rect, set_name: &str, end: End, elapsed: Option<Duration>) {
    let rows = share(page.height, [(0, 2), (1, 1), (2, 1), (0, 4), (1, 4), (2, 4)], [6, 3, 3]);
    let [words, name, took] = stack(margin::inside(page), rows);
    canvas.word(words, Align::Left, "the end", Ink::Words);
    canvas.word(name, Align::Left, set_name, Ink::Quiet);
    let songs = if end.songs == 1 {
        "1 song".to_owned()
    } else {
        format!("{} songs", end.songs)
    };
    let line = match elapsed {
        Some(elapsed) => format!("{songs} in {}", duration(elapsed)),
        None => songs,
    };
    canvas.word(took, Align::Left, &line, Ink::Words);
}

/// `48 min 12 s`, `1 h 12 min`.
fn duration(elapsed: Duration) -> String {
    let seconds = elapsed.as_secs();
    match (seconds / 3600, seconds / 60 % 60, seconds % 60) {
        (0, 0, seconds) => format!("{seconds} s"),
        (0, minutes, seconds) => format!("{minutes} min {seconds} s"),
        (hours, minutes, _) => format!("{hours} h {minutes} min"),
    }
}

/// What says that a page is not the one that is on: a line across the top and a hatched edge on either side. What is
/// inside is for the page.
pub(super) fn look_ahead(canvas: &mut Canvas<'_>, area: Rect) -> Rect {
    let (top, below) = above(area, 1);
    canvas.banner(top, "a look ahead: the next song");
    let hatch = if canvas.look.glyphs.is_ascii() { '%' } else { '▒' };
    for y in below.y..below.bottom() {
        canvas.sign(below.x, y, hatch, Ink::Changed);
        canvas.sign(below.right() - 1, y, hatch, Ink::Changed);
    }
    without_right(without_left(below, 1), 1)
}

/// The list of keys in as many columns as it takes, and below it what the page's words reach for the eye.
pub(super) fn keys(canvas: &mut Canvas<'_>, area: Rect, reached: Option<&str>) {
    // At least a row for each key in two columns, the rest for the report.
    let told = reached.map_or(0, |_| area.height.saturating_sub(KEYS.len() as u16).min(5));
    let (list, below) = above(area, area.height - told);
    let rows = usize::from(list.height).max(1);
    let columns = KEYS.len().div_ceil(rows) as u16;
    let width = list.width / columns;
    let widest = KEYS.iter().map(|(key, _)| key.len()).max().unwrap_or(0) as u16;
    for (place, (key, does)) in KEYS.into_iter().enumerate() {
        let at = Rect {
            x: list.x + (place / rows) as u16 * width,
            y: list.y + (place % rows) as u16,
            width: width.saturating_sub(1),
            height: 1,
        };
        let taken = canvas.small(at, Align::Left, key, Ink::Words);
        // Side by side like a table where there is room, else one after the other.
        let indent = if widest + 24 <= width { widest } else { taken };
        canvas.line(without_left(at, indent + 2), Align::Left, does, Ink::Quiet);
    }
    if let Some(reached) = reached.filter(|_| told > 1) {
        sentence(canvas, above(below, 1).1, reached);
    }
}

/// The cue in plain words over as many lines as there are.
pub(super) fn sentence(canvas: &mut Canvas<'_>, area: Rect, sentence: &str) {
    canvas.wrapped(area, sentence, Ink::Words);
}
