//! The edge of a page: a blank at either side, and at the left the mark of what differs from before.

use crate::screen::bands::{without_left, without_right};
use crate::screen::canvas::Canvas;
use ratatui::layout::Rect;

/// Below so many columns none is wasted.
const NARROW: u16 = 30;

/// Columns left of the words, and those of a mark in them.
fn columns(width: u16) -> (u16, u16) {
    match width {
        0..NARROW => (1, 1),
        NARROW..48 => (2, 1),
        48..100 => (4, 2),
        _ => (width / 40 + 3, width / 40),
    }
}

/// What is inside the margins of a band.
pub(super) fn inside(band: Rect) -> Rect {
    let (left, _) = columns(band.width);
    without_right(without_left(band, left), u16::from(band.width >= NARROW))
}

/// What is inside the margins of a line that is never marked: on a narrow screen it needs none.
pub(super) fn line(row: Rect) -> Rect {
    if row.width < NARROW { row } else { inside(row) }
}

/// What is inside the margins of a band that is marked where it differs from before. Without any colour the mark is
/// what says so.
pub(super) fn marked(canvas: &mut Canvas<'_>, band: Rect, differs: bool) -> Rect {
    if differs {
        let (_, wide) = columns(band.width);
        // A row stays blank between the marks of two bands.
        let height = band.height - u16::from(band.height > 2);
        canvas.mark(Rect { height, ..band }, wide);
    }
    inside(band)
}
