//! The neck as the player looks down on it: the nut, frets narrowing by the real rule, the capo now and to come.

use crate::music::Fret;
use crate::screen::canvas::Canvas;
use crate::screen::theme::Ink;
use ratatui::layout::Rect;

/// Frets that are always drawn, so that a fret keeps its place from page to page.
const LEAST_FRETS: u8 = 7;
/// The frets that bear a dot on most necks: common practice, no source.
const DOTTED: [u8; 4] = [3, 5, 7, 9];
/// Columns left of the nut, for the head.
const HEAD: u16 = 3;

/// How far fret `number` lies from the nut, as a part of the scale length.
///
/// Each fret shortens the string by the twelfth root of two, so that it stands 1/17.817 of the length that is left from
/// the one before: the luthiers' rule of eighteen, made exact for equal temperament.
pub(super) fn from_nut(number: f64) -> f64 {
    1.0 - (-number / 12.0).exp2()
}

/// The columns of a drawn neck.
struct Strip {
    area: Rect,
    frets: u8,
    left_handed: bool,
}

impl Strip {
    fn new(area: Rect, frets: u8, left_handed: bool) -> Strip {
        Strip {
            area,
            frets,
            left_handed,
        }
    }

    /// The column of a place so many frets from the nut.
    fn column(&self, fret: f64) -> u16 {
        let room = f64::from(self.area.width.saturating_sub(HEAD + 1));
        let part = from_nut(fret) / from_nut(f64::from(self.frets));
        let column = HEAD + (part * room).round() as u16;
        let column = column.min(self.area.width.saturating_sub(1));
        if self.left_handed {
            self.area.right() - 1 - column
        } else {
            self.area.x + column
        }
    }

    /// Where a capo sits: just behind its fret. Without a capo it lies off the neck, before the nut.
    fn capo(&self, fret: Fret) -> u16 {
        match fret.number() {
            0 => self.column(0.0),
            number => self.column(f64::from(number) - 0.3),
        }
    }
}

/// Draws the neck in `area`, at least 3 rows high: where the capo is, where it goes, and the way.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, now: Fret, goes: Fret) {
    let highest = now.number().max(goes.number());
    if area.height < 3 || area.width < 24 {
        return;
    }
    let strip = Strip::new(area, LEAST_FRETS.max(highest + 2), canvas.look.left_handed);
    let wood = Rect {
        height: area.height - 1,
        ..area
    };
    draw_wood(canvas, wood, &strip);
    let capo_signs = if canvas.look.glyphs.is_ascii() {
        (':', '#')
    } else {
        ('░', '█')
    };
    if now != goes {
        draw_capo(canvas, wood, &strip, now, capo_signs.0, Ink::Wood);
        draw_way(canvas, wood, &strip, now, goes);
    }
    let ink = if now == goes { Ink::Words } else { Ink::Changed };
    draw_capo(canvas, wood, &strip, goes, capo_signs.1, ink);
    draw_numbers(canvas, area.bottom() - 1, &strip, goes);
}

fn draw_wood(canvas: &mut Canvas<'_>, wood: Rect, strip: &Strip) {
    let ascii = canvas.look.glyphs.is_ascii();
    let (wire, nut, dot) = if ascii { ('|', 'H', 'o') } else { ('│', '┃', '●') };
    let (top, bottom) = if ascii { ('-', '-') } else { ('▔', '▁') };
    let (nut_at, end) = (strip.column(0.0), strip.column(f64::from(strip.frets)));
    for x in nut_at.min(end)..=nut_at.max(end) {
        canvas.dot(x, wood.y, top, Ink::Wood);
        canvas.dot(x, wood.bottom() - 1, bottom, Ink::Wood);
    }
    for number in 0..=strip.frets {
        let (sign, x) = (if number == 0 { nut } else { wire }, strip.column(f64::from(number)));
        for y in wood.y..wood.bottom() {
            canvas.dot(x, y, sign, Ink::Wood);
        }
    }
    let middle = wood.y + wood.height / 2;
    for number in DOTTED.into_iter().filter(|number| *number <= strip.frets) {
        canvas.dot(strip.column(f64::from(number) - 0.5), middle, dot, Ink::Wood);
    }
}

fn draw_capo(canvas: &mut Canvas<'_>, wood: Rect, strip: &Strip, fret: Fret, sign: char, ink: Ink) {
    if fret == Fret::OPEN {
        return;
    }
    let x = strip.capo(fret);
    for y in wood.y..wood.bottom() {
        canvas.dot(x.saturating_sub(1).max(wood.x), y, sign, ink);
        canvas.dot(x, y, sign, ink);
    }
}

fn draw_way(canvas: &mut Canvas<'_>, wood: Rect, strip: &Strip, now: Fret, goes: Fret) {
    let (from, to) = (strip.capo(now), strip.capo(goes));
    let middle = wood.y + (wood.height - 1) / 2;
    let ascii = canvas.look.glyphs.is_ascii();
    let (line, tip) = match (ascii, to > from) {
        (true, true) => ('-', '>'),
        (true, false) => ('-', '<'),
        (false, true) => ('━', '▶'),
        (false, false) => ('━', '◀'),
    };
    let (low, high) = (from.min(to) + 1, from.max(to).saturating_sub(1));
    for x in low..high {
        canvas.dot(x, middle, line, Ink::Changed);
    }
    let tip_at = if to > from { to.saturating_sub(2) } else { to + 1 };
    canvas.dot(tip_at, middle, tip, Ink::Changed);
}

fn draw_numbers(canvas: &mut Canvas<'_>, y: u16, strip: &Strip, goes: Fret) {
    for number in 1..=strip.frets {
        let ink = if number == goes.number() {
            Ink::Changed
        } else {
            Ink::Quiet
        };
        let text = number.to_string();
        let x = strip.column(f64::from(number) - 0.5);
        canvas.text(x, y, text.len() as u16, &text, ink);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: the luthiers' rule: each fret stands 1/17.817 of what is left of the scale from the one before.
    #[test]
    fn frets_narrow_by_the_rule_of_17_817() {
        let mut left = 1.0;
        for number in 1..=12 {
            left -= left / 17.817;
            let drawn = 1.0 - from_nut(f64::from(number));
            assert!((drawn - left).abs() < 1e-5, "fret {number}: {drawn} {left}");
        }
        assert!((from_nut(12.0) - 0.5).abs() < 1e-12, "the octave halves the string");
    }

    #[test]
    fn columns_keep_to_the_rule_within_half_a_column() {
        let strip = Strip::new(Rect::new(0, 0, 120, 5), 7, false);
        let room = 116.0;
        for number in 0..=7 {
            let wanted = 3.0 + room * from_nut(f64::from(number)) / from_nut(7.0);
            let drawn = f64::from(strip.column(f64::from(number)));
            assert!((drawn - wanted).abs() <= 0.5, "fret {number}: {drawn} {wanted}");
        }
    }

    #[test]
    fn a_left_handed_neck_is_the_mirror_image() {
        let area = Rect::new(4, 0, 90, 5);
        for number in 0..=7 {
            let right = Strip::new(area, 7, false).column(f64::from(number));
            let left = Strip::new(area, 7, true).column(f64::from(number));
            assert_eq!(right - area.x, area.right() - 1 - left, "fret {number}");
        }
    }
}
