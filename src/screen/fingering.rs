//! Chords as diagrams side by side, each under its number and its name: to be learnt from near, not read from afar.

use crate::music::{Fret, Voicing, first_voicing};
use crate::screen::bands::{above, without_left};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::diagram::{Diagram, Form, Part, Size};
use crate::screen::theme::Ink;
use crate::sequencer::ChordCue;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

/// Columns between two diagrams, at the least.
const APART: u16 = 2;
/// Frets shown: all of low position, or one less where a row is missing.
const FRETS: [u8; 2] = [Form::FRETS, Form::FRETS - 1];

/// A chord with how it is fingered, which only a screen that has room for it looks up.
struct Shape<'c> {
    chord: &'c ChordCue,
    /// None where it cannot be fingered.
    voicing: Option<Voicing>,
}

impl Shape<'_> {
    fn of(chord: &ChordCue) -> Shape<'_> {
        let voicing = chord.fingered.and_then(first_voicing);
        Shape { chord, voicing }
    }
}

/// The family's chords, each below its name in [`chords::family`](super::chords::family).
pub(super) fn family(canvas: &mut Canvas<'_>, area: Rect, capo: Fret, chords: &[ChordCue]) {
    let Some(slot) = area.width.checked_div(chords.len() as u16).filter(|_| !area.is_empty()) else {
        return;
    };
    let all: Vec<Shape<'_>> = chords.iter().map(Shape::of).collect();
    let Some(form) = form(canvas, area, capo, &all).filter(|form| form.width() < slot) else {
        return;
    };
    for (place, shape) in (0..).zip(&all) {
        diagram(canvas, without_left(area, place * slot), &form, shape);
    }
}

/// Each of a section's chords once, under its number and name, as many as there is room for.
pub(super) fn section<'c>(canvas: &mut Canvas<'_>, area: Rect, capo: Fret, chords: impl Iterator<Item = &'c ChordCue>) {
    if area.is_empty() {
        return;
    }
    let mut distinct: Vec<Shape<'_>> = Vec::new();
    for chord in chords {
        if distinct.iter().all(|known| known.chord.fingered != chord.fingered) {
            let shape = Shape::of(chord);
            distinct.extend(shape.voicing.is_some().then_some(shape));
        }
    }
    let (mut captions, mut below) = above(area, 1);
    let Some(form) = form(canvas, below, capo, &distinct) else {
        return;
    };
    let wide = |shape: &Shape<'_>| form.width().max(caption_width(shape.chord)) + APART;
    let wanted: u16 = distinct.iter().map(wide).fold(0, u16::saturating_add);
    // Where not all have room, some is kept for the sign that says so.
    let kept = if wanted <= area.width + APART { 0 } else { 1 + APART };
    for shape in &distinct {
        let wide = wide(shape);
        if wide + kept > below.width + APART {
            canvas.line(captions, Align::Left, "+", Ink::Quiet);
            return;
        }
        caption(canvas, captions, shape.chord);
        diagram(canvas, below, &form, shape);
        (captions, below) = (without_left(captions, wide), without_left(below, wide));
    }
}

/// The largest form in which all have room; the smallest where none has; none where even a small one is too high.
fn form(canvas: &Canvas<'_>, area: Rect, capo: Fret, shapes: &[Shape<'_>]) -> Option<Form> {
    let voicings = shapes.iter().filter_map(|shape| shape.voicing.as_ref());
    let highest = voicings.flat_map(|voicing| voicing.frets).max()?;
    let enough = |frets: &u8| highest <= *frets as i8;
    let sizes = [Size::Large, Size::Wide, Size::Small];
    let forms = sizes
        .into_iter()
        .flat_map(|size| FRETS.into_iter().filter(enough).map(move |frets| (size, frets)));
    let forms = forms.map(|(size, frets)| Form {
        size,
        frets,
        capo,
        left_handed: canvas.look.left_handed,
        ascii: canvas.look.glyphs.is_ascii(),
    });
    let low_enough: Vec<Form> = forms.filter(|form| form.height() <= area.height).collect();
    let all = |form: &&Form| (form.width() + APART) * shapes.len() as u16 <= area.width + APART;
    let fits = low_enough.iter().find(all).or(low_enough.last());
    fits.copied()
}

fn caption_width(chord: &ChordCue) -> u16 {
    let name = chord.fingered.map_or(0, |chord| chord.signs().to_string().width());
    (chord.number.width() + 1 + name) as u16
}

fn caption(canvas: &mut Canvas<'_>, area: Rect, chord: &ChordCue) {
    let Some(fingered) = chord.fingered else { return };
    let taken = canvas.line(area, Align::Left, &chord.number, Ink::Quiet);
    let name = fingered.signs().to_string();
    canvas.line(without_left(area, taken + 1), Align::Left, &name, Ink::Strong);
}

fn diagram(canvas: &mut Canvas<'_>, area: Rect, form: &Form, shape: &Shape<'_>) {
    let Some(voicing) = &shape.voicing else { return };
    for (y, row) in (area.y..area.bottom()).zip(Diagram::new(voicing, form).rows()) {
        for (x, mark) in (area.x..area.right())
            .zip(row)
            .filter(|(_, mark)| mark.part != Part::Air)
        {
            canvas.sign(x, y, mark.sign, ink(mark.part));
        }
    }
}

fn ink(part: Part) -> Ink {
    match part {
        Part::Air | Part::Neck | Part::Muted => Ink::Wood,
        Part::Nut | Part::Capo | Part::Bar | Part::Open | Part::Finger => Ink::Words,
    }
}
