//! Chords as fingered, with their numbers: a section's bar by bar, a family's seven side by side.

use crate::screen::bands::{above, without_left};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::theme::Ink;
use crate::sequencer::ChordCue;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

/// Rows from which on shapes may be large.
const LARGE_ROWS: u16 = 4;

/// The shape, or the number alone where nothing is fingered.
fn shape(chord: &ChordCue) -> String {
    chord
        .fingered
        .map_or_else(String::new, |chord| chord.signs().to_string())
}

/// A section's bars: large, each in a place of its own, where they have room; else in one line of small words.
pub(super) fn bars(canvas: &mut Canvas<'_>, area: Rect, bars: &[Vec<ChordCue>]) {
    if area.is_empty() || bars.is_empty() {
        return;
    }
    let slot = area.width / bars.len().min(usize::from(u16::MAX)) as u16;
    let places = (0..).zip(bars).flat_map(|(place, bar)| {
        let wide = slot / (bar.len().max(1)) as u16;
        (0..).zip(bar).map(move |(within, chord)| {
            let part = Rect {
                x: area
                    .x
                    .saturating_add(slot.saturating_mul(place))
                    .saturating_add(wide.saturating_mul(within)),
                width: wide.saturating_sub(1),
                ..area
            };
            (part, chord)
        })
    });
    if !large(canvas, area, &places.collect::<Vec<_>>()) {
        small_bars(canvas, above(area, 2).0, bars);
    }
}

/// The family's chords, number over shape; in one row number and shape side by side.
pub(super) fn family(canvas: &mut Canvas<'_>, area: Rect, chords: &[ChordCue]) {
    if area.is_empty() || chords.is_empty() {
        return;
    }
    let wide = area.width / chords.len() as u16;
    let places = (0..).zip(chords).map(|(place, chord)| {
        let part = Rect {
            x: area.x + place * wide,
            width: wide.saturating_sub(1),
            ..area
        };
        (part, chord)
    });
    let places: Vec<_> = places.collect();
    if large(canvas, area, &places) {
        return;
    }
    for (part, chord) in places {
        let taken = canvas.line(part, Align::Left, &chord.number, Ink::Quiet);
        let below = if area.height >= 2 {
            above(part, 1).1
        } else {
            without_left(part, taken + 1)
        };
        canvas.small(above(below, 1).0, Align::Left, &shape(chord), Ink::Words);
    }
}

/// Large shapes below their small numbers, where all have room; whether they have.
fn large(canvas: &mut Canvas<'_>, area: Rect, places: &[(Rect, &ChordCue)]) -> bool {
    if area.height < LARGE_ROWS {
        return false;
    }
    let shapes: Vec<String> = places.iter().map(|(_, chord)| shape(chord)).collect();
    let words = places.iter().zip(&shapes).filter(|(_, shape)| !shape.is_empty());
    let words: Vec<(Rect, &str)> = words
        .map(|((part, _), shape)| (above(*part, 1).1, shape.as_str()))
        .collect();
    let drawn = canvas.even(&words, Ink::Words);
    if drawn {
        for (part, chord) in places {
            canvas.line(*part, Align::Left, &chord.number, Ink::Quiet);
        }
    }
    drawn
}

/// One line of bars, the numbers in a line above where there are two rows, else before each shape.
fn small_bars(canvas: &mut Canvas<'_>, area: Rect, bars: &[Vec<ChordCue>]) {
    let two = area.height >= 2;
    // In one row the shapes stand out by weight alone: another colour between any two of them is many bytes.
    let lesser = if two { Ink::Quiet } else { Ink::Words };
    let (mut numbers, mut shapes) = above(area, u16::from(two));
    for (place, bar) in bars.iter().enumerate() {
        if place > 0 {
            canvas.line(shapes, Align::Left, "|", lesser);
            (numbers, shapes) = (without_left(numbers, 2), without_left(shapes, 2));
        }
        for chord in bar {
            let shape = shape(chord);
            // What does not fit whole is left out: half a chord's name is another chord.
            let wide = if two {
                shape.width().max(chord.number.width())
            } else {
                chord.number.width() + 1 + shape.width()
            };
            if wide > usize::from(shapes.width) {
                canvas.line(shapes, Align::Left, "+", Ink::Quiet);
                return;
            }
            let taken = if two { 0 } else { chord.number.width() as u16 + 1 };
            canvas.line(if two { numbers } else { shapes }, Align::Left, &chord.number, lesser);
            canvas.small(above(without_left(shapes, taken), 1).0, Align::Left, &shape, Ink::Words);
            let taken = wide as u16 + 1;
            (numbers, shapes) = (without_left(numbers, taken), without_left(shapes, taken));
        }
    }
}
