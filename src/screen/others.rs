//! The end page, the list of keys, and the sentence that stands where there is no room for a page.

use crate::screen::bands::share;
use crate::screen::canvas::{Align, Canvas};
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
    let [words, name, took] = share(page, &[(0, 2), (1, 1), (2, 1), (0, 4), (1, 4), (2, 4)], [6, 3, 3]);
    canvas.word(words, Align::Center, "the end", Ink::Words);
    canvas.word(name, Align::Center, set_name, Ink::Quiet);
    let songs = if end.songs == 1 {
        "1 song".to_owned()
    } else {
        format!("{} songs", end.songs)
    };
    let line = match elapsed {
        Some(elapsed) => format!("{songs} in {}", duration(elapsed)),
        None => songs,
    };
    canvas.word(took, Align::Center, &line, Ink::Words);
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

pub(super) fn keys(canvas: &mut Canvas<'_>, area: Rect) {
    let widest = KEYS.iter().map(|(key, _)| key.len()).max().unwrap_or(0) as u16;
    let left = area.x + 1;
    for (y, (key, does)) in (area.y..area.bottom()).zip(KEYS) {
        canvas.text(left, y, area.width - 1, key, Ink::Changed);
        let x = left + widest + 2;
        let x = if x + 12 < area.right() {
            x
        } else {
            left + key.len() as u16 + 2
        };
        canvas.text(x, y, area.right().saturating_sub(x), does, Ink::Words);
    }
}

/// The cue in plain words over as many lines as there are.
pub(super) fn sentence(canvas: &mut Canvas<'_>, area: Rect, sentence: &str) {
    let mut line = String::new();
    let mut y = area.y;
    for word in sentence.split_inclusive(' ') {
        if !line.is_empty() && line.chars().count() + word.trim_end().chars().count() > usize::from(area.width) {
            canvas.text(area.x, y, area.width, &line, Ink::Words);
            line.clear();
            y += 1;
        }
        line.push_str(word);
    }
    canvas.text(area.x, y, area.width, &line, Ink::Words);
}
