//! The picking hand's signs, as the trade writes them: `⊓`, `P.M.` with its dashes, `◇`, a rising wave.

use crate::screen::bands::{split, without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::lettering::{Line, descent};
use crate::screen::plate::Plate;
use crate::screen::theme::Ink;
use crate::setlist::Technique;
use ratatui::layout::Rect;

/// From this width on the sign has a place of its own beside the words.
const WIDE: u16 = 56;
/// The words' part of that width, in hundredths; the rest is the sign's.
const WORDS_PERCENT: u16 = 62;

/// The sign in letters, where the trade has one that is written so.
fn sign(technique: &Technique) -> Option<&'static str> {
    match technique {
        Technique::PalmMute => Some("P.M."),
        Technique::DownStrokes => Some("⊓"),
        Technique::Diamonds => Some("◇"),
        Technique::Arpeggio | Technique::Strum | Technique::Tacet | Technique::Other(_) => None,
    }
}

/// The technique in words as large as `area` allows, its sign beside them.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, technique: Option<&Technique>, ink: Ink) {
    let Some(technique) = technique else { return };
    if area.width < WIDE || area.height < 3 {
        let taken = small_sign(canvas, area, technique, ink);
        canvas.item(
            "technique",
            without_left(area, taken),
            Line::Words,
            technique.words(),
            ink,
        );
        return;
    }
    let (words, place) = split(area, WORDS_PERCENT);
    let words = without_right(words, 2);
    // Words that would be small go over the sign's place: they come before it.
    if canvas
        .letters
        .fit(technique.words(), words.width, words.height, Line::Words)
        .is_none()
    {
        canvas.item("technique", area, Line::Words, technique.words(), ink);
        return;
    }
    canvas.item("technique", words, Line::Words, technique.words(), ink);
    draw_sign(canvas, place, technique, ink);
}

/// Before words of one row: the sign in the terminal's own text.
fn small_sign(canvas: &mut Canvas<'_>, area: Rect, technique: &Technique, ink: Ink) -> u16 {
    match sign(technique) {
        Some(sign) if area.height == 1 && !canvas.look.glyphs.is_bare() => {
            canvas.line(area, Align::Left, sign, ink) + 1
        }
        _ => 0,
    }
}

/// The technique in brief, for a step to come: its words where they are high enough, else its sign.
pub(super) fn draw_brief(canvas: &mut Canvas<'_>, area: Rect, technique: &Technique, ink: Ink) {
    if !canvas.row(area, &[technique.words()], ink) && (area.height < 3 || draw_sign(canvas, area, technique, ink) == 0)
    {
        canvas.word(area, Align::Left, technique.words(), ink);
    }
}

/// Draws the sign at the left of `area`, if the technique has one; the columns it took.
fn draw_sign(canvas: &mut Canvas<'_>, area: Rect, technique: &Technique, ink: Ink) -> u16 {
    match technique {
        Technique::PalmMute => {
            let taken = canvas.large(area, Align::Left, "P.M.", Line::Words, ink).unwrap_or(0);
            if taken > 0 {
                dashes(canvas, without_left(area, taken + 1), ink);
            }
            taken
        }
        Technique::DownStrokes => drawn(canvas, area, ink, down_strokes),
        Technique::Diamonds => drawn(canvas, area, ink, diamonds),
        Technique::Arpeggio => drawn(canvas, area, ink, wave),
        Technique::Strum | Technique::Tacet | Technique::Other(_) => 0,
    }
}

/// Has a sign drawn that is as high as the words of the area, whose last dots are for letters that hang.
fn drawn(canvas: &mut Canvas<'_>, area: Rect, ink: Ink, sign: fn(&mut Plate, Size, Ink) -> i32) -> u16 {
    let mut plate = Plate::new(canvas, area);
    let (across, down) = canvas.look.glyphs.dots();
    let size = Size {
        high: plate.down() - i32::from(descent(plate.down() as u16 * 7 / 8)),
        cell: across as i32,
        square: 2.0 * across as f64 / down as f64,
    };
    let taken = sign(&mut plate, size, ink);
    plate.print(canvas, area);
    (taken / size.cell + 1) as u16
}

/// What a sign is drawn by.
#[derive(Clone, Copy)]
struct Size {
    /// Its height in dots.
    high: i32,
    /// Dots across in a cell.
    cell: i32,
    /// How many dots across are as long as one is high.
    square: f64,
}

impl Size {
    fn across(self, down: f64) -> i32 {
        (down * self.square).round() as i32
    }
}

/// Three signs of a bow drawn down, as pickers borrowed them; the dots they take.
fn down_strokes(plate: &mut Plate, size: Size, ink: Ink) -> i32 {
    let wide = size.across(f64::from(size.high) * 0.8).max(4);
    let thick = size.across(f64::from(size.high) * 0.16).max(size.cell);
    let step = wide + wide / 2;
    let count = ((plate.across() + step - wide) / step).min(3);
    for x in (0..count).map(|place| place * step) {
        plate.fill(x, 0, wide, (size.high / 4).max(1), Some(ink));
        plate.fill(x, 0, thick, size.high, Some(ink));
        plate.fill(x + wide - thick, 0, thick, size.high, Some(ink));
    }
    count * step
}

/// Two diamond heads: chords that are held; the dots they take.
fn diamonds(plate: &mut Plate, size: Size, ink: Ink) -> i32 {
    let middle = f64::from(size.high - 1) / 2.0;
    let reach = size.across(middle + 0.5);
    let thick = size.across(f64::from(size.high) * 0.22).max(size.cell);
    let step = 2 * reach + reach / 2;
    let count = ((plate.across() + step - 2 * reach) / step).min(2);
    for x in (0..count).map(|place| place * step) {
        for y in 0..size.high {
            let half = reach - size.across((f64::from(y) - middle).abs());
            plate.fill(x + reach - half, y, 2 * half, 1, Some(ink));
            plate.fill(x + reach - half + thick, y, 2 * (half - thick), 1, None);
        }
    }
    count * step
}

/// The dashes that follow `P.M.` for as long as it lasts.
fn dashes(canvas: &mut Canvas<'_>, area: Rect, ink: Ink) {
    let mut plate = Plate::new(canvas, area);
    let cell = canvas.look.glyphs.dots().0 as i32;
    let (wide, thick) = (3 * cell, (plate.down() / 7).max(1));
    let middle = plate.down() * 7 / 16 - thick / 2;
    for x in (0..=plate.across() - wide).step_by(2 * wide as usize) {
        plate.fill(x, middle, wide, thick, Some(ink));
    }
    plate.print(canvas, area);
}

/// A wave that rises from the lowest string to the highest, with its tip; the dots it takes.
fn wave(plate: &mut Plate, size: Size, ink: Ink) -> i32 {
    let tip = (size.high * 2 / 7).max(2);
    let (reach, thick) = (
        size.across(f64::from(tip)),
        size.across(f64::from(size.high) * 0.16).max(size.cell),
    );
    let swing = (f64::from(reach) * 0.6).max(f64::from(thick));
    for y in 0..size.high {
        if y < tip {
            let half = size.across(f64::from(y) + 0.5).max(thick / 2);
            plate.fill(reach - half, y, 2 * half, 1, Some(ink));
        } else {
            // To and fro, straight: a finer curve would be lost in the dots.
            let quarter = (size.high / 6).max(1);
            let at = (y - tip + quarter) % (4 * quarter);
            let part = f64::from((at - 2 * quarter).abs() - quarter) / f64::from(quarter);
            plate.fill(
                reach - thick / 2 + (swing * part).round() as i32,
                y,
                thick,
                1,
                Some(ink),
            );
        }
    }
    2 * reach
}
