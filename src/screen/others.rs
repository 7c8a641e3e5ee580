//! The end page, the frame of a look ahead, and the sentence that stands where there is no room for a page.

use crate::screen::bands::{above, share, stack, without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::margin;
use crate::screen::theme::Ink;
use crate::sequencer::End;
use ratatui::layout::Rect;
use std::time::Duration;

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

/// `under a minute`, `48 min 12 s`, `1 h 12 min`.
fn duration(elapsed: Duration) -> String {
    let seconds = elapsed.as_secs();
    match (seconds / 3600, seconds / 60 % 60, seconds % 60) {
        (0, 0, _) => "under a minute".into(),
        (0, minutes, seconds) => format!("{minutes} min {seconds} s"),
        (hours, minutes, _) => format!("{hours} h {minutes} min"),
    }
}

/// What says that a page is not the one that is on: a line across the top and a hatched edge on either side. What is
/// inside is for the page.
pub(super) fn look_ahead(canvas: &mut Canvas<'_>, area: Rect) -> Rect {
    let (top, below) = above(area, 1);
    canvas.banner(top, &["a look ahead: the next song", "a look ahead"]);
    for x in [below.x, below.right() - 1] {
        canvas.hatch(Rect { x, width: 1, ..below });
    }
    without_right(without_left(below, 1), 1)
}

/// The cue in plain words over as many lines as there are.
pub(super) fn sentence(canvas: &mut Canvas<'_>, area: Rect, sentence: &str) {
    canvas.wrapped(area, sentence, Ink::Words);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_show_is_as_long_as_one_says_it_was() {
        for (seconds, wanted) in [(7, "under a minute"), (2892, "48 min 12 s"), (4320, "1 h 12 min")] {
            assert_eq!(duration(Duration::from_secs(seconds)), wanted, "{seconds}");
        }
    }
}
