//! The picking hand's signs, as the trade writes them: `⊓`, `P.M.`, `◇`, a rising wave.

use crate::screen::canvas::{Align, Canvas};
use crate::screen::theme::Ink;
use crate::setlist::Technique;
use ratatui::layout::Rect;

/// The sign in letters, where the trade has one that is written so.
fn sign(technique: &Technique) -> Option<&'static str> {
    match technique {
        Technique::PalmMute => Some("P.M."),
        Technique::DownStrokes => Some("⊓"),
        Technique::Diamonds => Some("◇"),
        Technique::Arpeggio | Technique::Strum | Technique::Tacet | Technique::Other(_) => None,
    }
}

/// The technique in words with its sign before them, as large as `area` allows.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, technique: Option<&Technique>, ink: Ink) {
    let Some(technique) = technique else { return };
    let taken = draw_sign(
        canvas,
        Rect {
            width: area.width / 3,
            ..area
        },
        technique,
        ink,
    );
    let rest = Rect {
        x: area.x + taken,
        width: area.width - taken,
        ..area
    };
    canvas.item("technique", rest, technique.words(), ink);
}

/// The technique in brief, for a step to come: its words where they can be large, else its sign.
pub(super) fn draw_brief(canvas: &mut Canvas<'_>, area: Rect, technique: &Technique, ink: Ink) {
    if !canvas.large(area, Align::Left, technique.words(), ink) && draw_sign(canvas, area, technique, ink) == 0 {
        canvas.word(area, Align::Left, technique.words(), ink);
    }
}

/// Draws the sign at the left of `area`, if it has one and room for it; the columns it takes, with a blank.
fn draw_sign(canvas: &mut Canvas<'_>, area: Rect, technique: &Technique, ink: Ink) -> u16 {
    if area.height < 3 || canvas.look.glyphs.is_ascii() {
        return 0;
    }
    // The sign stands on the line that the words stand on, whose letters may hang below it.
    let rows = area.height - area.height / 4;
    let area = Rect { height: rows, ..area };
    match sign(technique) {
        Some(sign) => canvas.large_width(area, sign, ink).map_or(0, |width| width + 2),
        None if *technique == Technique::Arpeggio => wave(canvas, area, ink),
        None => 0,
    }
}

/// A wave that rises from the lowest string to the highest, with its arrow; the columns it takes.
fn wave(canvas: &mut Canvas<'_>, area: Rect, ink: Ink) -> u16 {
    if area.width < 6 {
        return 0;
    }
    let turns = [[' ', '▟', '▛'], ['▐', '▌', ' '], [' ', '▜', '▙'], [' ', '▐', '▌']];
    for (row, y) in (area.y..area.bottom()).enumerate() {
        let signs = if row == 0 {
            ['▗', '█', '▖']
        } else {
            turns[row % turns.len()]
        };
        for (x, sign) in (area.x..).zip(signs).filter(|(_, sign)| *sign != ' ') {
            canvas.dot(x, y, sign, ink);
        }
    }
    6
}
