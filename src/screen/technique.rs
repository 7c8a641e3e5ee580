//! The picking hand's signs, as the trade writes them: `⊓`, `P.M.`, `◇`, a rising wave.

use crate::screen::canvas::{Align, Canvas};
use crate::screen::theme::Ink;
use crate::setlist::Technique;
use ratatui::layout::Rect;

/// Columns that a sign takes for each row of its height.
const SIGN_SHAPE: u16 = 2;

/// The sign in letters, where the trade has one that is written so.
fn sign(technique: &Technique) -> Option<&'static str> {
    match technique {
        Technique::PalmMute => Some("P.M.--"),
        Technique::DownStrokes => Some("⊓"),
        Technique::Diamonds => Some("◇"),
        Technique::Arpeggio | Technique::Strum | Technique::Tacet | Technique::Other(_) => None,
    }
}

/// The technique in words with its sign before them, as large as `area` allows.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, technique: Option<&Technique>, ink: Ink) {
    let Some(technique) = technique else { return };
    let ascii = canvas.look.glyphs.is_ascii();
    let words = technique.words();
    let sign_width = match (technique, sign(technique)) {
        (Technique::PalmMute, _) => area.height * SIGN_SHAPE * 2,
        (Technique::Arpeggio, _) | (_, Some(_)) => area.height * SIGN_SHAPE,
        (_, None) => 0,
    };
    if sign_width == 0 || ascii || area.height < 2 || sign_width * 3 > area.width {
        return canvas.item("technique", area, words, ink);
    }
    let box_for_sign = Rect {
        width: sign_width,
        ..area
    };
    match sign(technique) {
        Some(sign) => {
            canvas.large(box_for_sign, Align::Left, sign, ink);
        }
        None => wave(canvas, box_for_sign, ink),
    }
    let rest = Rect {
        x: area.x + sign_width + 1,
        width: area.width - sign_width - 1,
        ..area
    };
    canvas.item("technique", rest, words, ink);
}

/// A wave that rises from the lowest string to the highest, with its arrow.
fn wave(canvas: &mut Canvas<'_>, area: Rect, ink: Ink) {
    let middle = area.x + area.width / 2 - 1;
    for (row, y) in (area.y..area.bottom()).enumerate() {
        let (left, right) = match row {
            0 => ('◢', '◣'),
            row if row % 2 == 1 => ('▐', '▌'),
            _ => ('▌', ' '),
        };
        canvas.dot(middle, y, left, ink);
        canvas.dot(middle + 1, y, right, ink);
        if row > 0 && row % 2 == 0 {
            canvas.dot(middle, y, ' ', ink);
            canvas.dot(middle + 1, y, '▐', ink);
            canvas.dot(middle + 2, y, '▌', ink);
        }
    }
}
