//! The guitar's row of pickups between the end of the neck and the bridge, at their real distances, those in use filled.

use crate::screen::canvas::Canvas;
use crate::screen::theme::Ink;
use crate::setlist::Guitar;
use ratatui::layout::Rect;

/// Millimetres drawn beyond the pickup that is farthest from the bridge.
const MARGIN_MM: f64 = 24.0;
/// Columns of a pickup.
const WIDE: u16 = 5;

/// The places in `guitar.pickups` that a selector position named `selected` turns on; empty where there is none.
fn in_use<'g>(guitar: &'g Guitar, selected: Option<&str>) -> &'g [usize] {
    let position = guitar
        .selector
        .iter()
        .find(|position| Some(position.name.as_str()) == selected);
    position.map_or(&[], |position| &position.pickups)
}

/// Draws the row in `area`, at least 2 rows high.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, selected: Option<&str>, ink: Ink) {
    if area.height < 2 || area.width < 16 {
        return;
    }
    let look = canvas.look;
    let longest = look
        .guitar
        .pickups
        .iter()
        .map(|pickup| pickup.from_bridge_mm)
        .fold(0.0, f64::max)
        + MARGIN_MM;
    let column = |mm: f64| {
        let right = ((1.0 - mm / longest) * f64::from(area.width - 1)).round() as u16;
        let right = right.min(area.width - 1);
        if look.left_handed {
            area.right() - 1 - right
        } else {
            area.x + right
        }
    };
    draw_strings(canvas, area);
    let filled = in_use(&look.guitar, selected);
    for (place, pickup) in look.guitar.pickups.iter().enumerate() {
        let left = column(pickup.from_bridge_mm)
            .saturating_sub(WIDE / 2)
            .clamp(area.x, area.right() - WIDE);
        let coil = Rect {
            x: left,
            width: WIDE,
            ..area
        };
        if filled.contains(&place) {
            fill(canvas, coil, ink)
        } else {
            outline(canvas, coil)
        }
    }
    let bridge = if look.glyphs.is_ascii() { 'H' } else { '▓' };
    for y in area.y..area.bottom() {
        canvas.dot(column(0.0), y, bridge, Ink::Wood);
    }
}

fn draw_strings(canvas: &mut Canvas<'_>, area: Rect) {
    let sign = if canvas.look.glyphs.is_ascii() { '-' } else { '─' };
    for y in area.y..area.bottom() {
        for x in area.x..area.right() {
            canvas.dot(x, y, sign, Ink::Wood);
        }
    }
}

fn fill(canvas: &mut Canvas<'_>, coil: Rect, ink: Ink) {
    let sign = if canvas.look.glyphs.is_ascii() { '#' } else { '█' };
    for y in coil.y..coil.bottom() {
        for x in coil.x..coil.right() {
            canvas.dot(x, y, sign, ink);
        }
    }
}

fn outline(canvas: &mut Canvas<'_>, coil: Rect) {
    let sides = if canvas.look.glyphs.is_ascii() {
        ['[', ']']
    } else {
        ['▏', '▕']
    };
    for y in coil.y..coil.bottom() {
        for x in coil.x..coil.right() {
            canvas.dot(x, y, ' ', Ink::Wood);
        }
        canvas.dot(coil.x, y, sides[0], Ink::Quiet);
        canvas.dot(coil.right() - 1, y, sides[1], Ink::Quiet);
    }
}
