//! The guitar across the page: a stretch of its neck with the capo, a break, and its body with the pickups.

use crate::music::Fret;
use crate::screen::bands::{above, without_left};
use crate::screen::canvas::Canvas;
use crate::screen::neck::{Capo, Neck};
use crate::screen::pickups;
use crate::screen::strip::Strip;
use crate::screen::theme::Ink;
use ratatui::layout::Rect;

/// What is on the guitar.
pub(super) struct Guitar<'a> {
    pub(super) capo: Capo,
    pub(super) pickup: Option<&'a str>,
    pub(super) pickup_ink: Ink,
}

/// The least that a guitar can be drawn in, in cells.
const LEAST_WIDTH: u16 = 20;
const LEAST_HEIGHT: u16 = 2;
/// The neck's part of the width, in hundredths.
const NECK_PERCENT: u32 = 62;
/// Columns between neck and body.
const BREAK: u16 = 2;

/// Where the guitar goes in its band, and what is beside it for words; no guitar where there is no room for one.
pub(super) fn beside(band: Rect) -> (Option<Rect>, Rect) {
    let words = (band.width * 3 / 8).max(13);
    let width = band.width.saturating_sub(words + 2);
    if band.height < LEAST_HEIGHT || width < LEAST_WIDTH {
        return (None, band);
    }
    (Some(Rect { width, ..band }), without_left(band, width + 2))
}

/// Draws the guitar in `area`, the numbers of the frets below it where there is a row for them.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, guitar: &Guitar<'_>) {
    let (drawn, below) = above(area, area.height - u16::from(area.height >= 4));
    let look = canvas.look;
    let columns = (u32::from(area.width) * NECK_PERCENT / 100) as u16;
    let neck = Neck::new(columns, guitar.capo);
    let mut strip = Strip::new(canvas, drawn);
    neck.draw(&mut strip, guitar.capo);
    // Two slanted strokes: what is between neck and body is left out, as draughtsmen show it.
    strip.fill(columns, BREAK, '/', Ink::Wood);
    pickups::draw(
        &mut strip,
        columns + BREAK,
        &look.guitar,
        guitar.pickup,
        guitar.pickup_ink,
    );
    if !below.is_empty() {
        let mut row = Strip::new(canvas, below);
        number(&mut row, &neck, guitar.capo.goes);
    }
}

/// The frets' numbers, that of the capo's fret before all.
fn number(row: &mut Strip<'_, '_>, neck: &Neck, goes: Fret) {
    let mut free = 0;
    for number in 1..=neck.frets {
        let text = number.to_string();
        let wide = text.len() as u16;
        let left = neck.column(f64::from(number) - 0.5).saturating_sub(wide / 2);
        if left >= free {
            let ink = if number == goes.number() {
                Ink::Words
            } else {
                Ink::Quiet
            };
            row.text(left, &text, ink);
            free = left + wide + 1;
        }
    }
}
