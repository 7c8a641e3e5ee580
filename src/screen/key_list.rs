//! The list of keys, as large as it can be: who asks for it stands at the pedals.

use crate::screen::bands::{above, without_left};
use crate::screen::canvas::{Align, Canvas, lines};
use crate::screen::others::sentence;
use crate::screen::theme::Ink;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

/// A key or several that stand in for a pedal, the one that is named where there is little room, and what they do.
type Key = (&'static str, &'static str, &'static str);

const KEYS: [Key; 14] = [
    ("right, page down, space, enter", "right", "next"),
    ("left, page up, backspace", "left", "back"),
    ("down", "down", "next song"),
    ("up", "up", "song back"),
    ("home", "home", "song's top"),
    ("a", "a", "again"),
    ("u", "u", "undo"),
    ("n", "n", "peek ahead"),
    ("+", "+", "key up"),
    ("-", "-", "key down"),
    ("l", "l", "lock"),
    ("digits, enter", "3 ent", "song 3"),
    ("?, escape", "? esc", "this list"),
    ("q, ctrl-C", "q q", "leave"),
];

/// Rows of a line in large words, at the least.
const LARGE_ROWS: u16 = 3;
/// Columns that a key and what it does take in small words.
const SHORT_WIDTH: u16 = 18;

pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, reached: Option<&str>) {
    // Nothing is marked here, so that words begin at the edge.
    let area = without_left(area, 1);
    let spare = area.height.saturating_sub(KEYS.len() as u16);
    let told = reached.map_or(0, |reached| lines(reached, area.width).min(spare));
    let (list, below) = above(area, area.height - told);
    if !large(canvas, list) {
        // A row stays blank between small words and others.
        let apart = u16::from(told > 0 && told < spare);
        small(canvas, above(list, list.height - apart).0);
    }
    if let Some(reached) = reached {
        sentence(canvas, below, reached);
    }
}

/// In large words, in the columns that make them largest; whether there is room.
fn large(canvas: &mut Canvas<'_>, area: Rect) -> bool {
    let lines = KEYS.map(|(_, key, does)| format!("{key}: {does}"));
    let ways = (1..=3).map(|columns| -> Vec<(Rect, &str)> {
        let places = places(area, columns);
        places.into_iter().zip(lines.iter().map(String::as_str)).collect()
    });
    let ways = ways.filter(|words| words.first().is_some_and(|(place, _)| place.height >= LARGE_ROWS));
    let mut best = (0, Vec::new());
    for words in ways {
        let rows = canvas.even_rows(&words);
        if rows > best.0 {
            best = (rows, words);
        }
    }
    canvas.even(&best.1, Ink::Words)
}

/// In small words: a table of all keys where it is wide enough, else in as many columns as hold the short names.
fn small(canvas: &mut Canvas<'_>, area: Rect) {
    let most = (area.width / SHORT_WIDTH).clamp(1, 4);
    let wanted = KEYS.len().div_ceil(usize::from(area.height.max(1))) as u16;
    let columns = wanted.clamp(1, most);
    let widest = |name: fn(&Key) -> &'static str| KEYS.iter().map(|key| name(key).width()).max().unwrap_or(0) as u16;
    let at_length = widest(|key| key.0) + 2 + widest(|key| key.2) <= area.width / columns;
    let keys = if at_length {
        widest(|key| key.0)
    } else {
        widest(|key| key.1)
    };
    for (place, (long, short, does)) in places(area, columns).into_iter().zip(KEYS) {
        canvas.line(place, Align::Left, if at_length { long } else { short }, Ink::Strong);
        canvas.line(without_left(place, keys + 1), Align::Left, does, Ink::Quiet);
    }
}

/// A place for each key, column by column; as high as all have room for.
fn places(area: Rect, columns: u16) -> Vec<Rect> {
    let rows = (KEYS.len() as u16).div_ceil(columns);
    let (height, width) = ((area.height / rows).max(1), area.width / columns);
    let places = (0..KEYS.len() as u16).map(|place| Rect {
        x: area.x + place / rows * width,
        y: area.y + place % rows * height,
        width: width.saturating_sub(2),
        height,
    });
    places.map(|place| place.intersection(area)).collect()
}
