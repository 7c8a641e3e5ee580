//! Chords as diagrams side by side, each under its number and its name: to be learnt from near, not read from afar.

use crate::music::Fret;
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

/// The family's chords, each below its name in [`chords::family`](super::chords::family).
pub(super) fn family(canvas: &mut Canvas<'_>, area: Rect, capo: Fret, chords: &[ChordCue]) {
    let Some(slot) = area.width.checked_div(chords.len() as u16) else {
        return;
    };
    let all: Vec<&ChordCue> = chords.iter().collect();
    let Some(form) = form(canvas, area, capo, &all).filter(|form| form.width() < slot) else {
        return;
    };
    for (place, chord) in (0..).zip(chords) {
        diagram(canvas, without_left(area, place * slot), &form, chord);
    }
}

/// Each of a section's chords once, under its number and name, as many as there is room for.
pub(super) fn section<'c>(canvas: &mut Canvas<'_>, area: Rect, capo: Fret, chords: impl Iterator<Item = &'c ChordCue>) {
    let mut distinct: Vec<&ChordCue> = Vec::new();
    for chord in chords {
        if chord.voicing.is_some() && distinct.iter().all(|known| known.fingered != chord.fingered) {
            distinct.push(chord);
        }
    }
    let (mut captions, mut below) = above(area, 1);
    let Some(form) = form(canvas, below, capo, &distinct) else {
        return;
    };
    let wide = |chord: &ChordCue| form.width().max(caption_width(chord)) + APART;
    let wanted: u16 = distinct.iter().map(|chord| wide(chord)).fold(0, u16::saturating_add);
    // Where not all have room, some is kept for the sign that says so.
    let kept = if wanted <= area.width + APART { 0 } else { 1 + APART };
    for chord in distinct {
        let wide = wide(chord);
        if wide + kept > below.width + APART {
            canvas.line(captions, Align::Left, "+", Ink::Quiet);
            return;
        }
        caption(canvas, captions, chord);
        diagram(canvas, below, &form, chord);
        (captions, below) = (without_left(captions, wide), without_left(below, wide));
    }
}

/// The largest form in which all have room; the smallest where none has; none where even a small one is too high.
fn form(canvas: &Canvas<'_>, area: Rect, capo: Fret, chords: &[&ChordCue]) -> Option<Form> {
    let voicings = chords.iter().filter_map(|chord| chord.voicing.as_ref());
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
    let all = |form: &&Form| (form.width() + APART) * chords.len() as u16 <= area.width + APART;
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

fn diagram(canvas: &mut Canvas<'_>, area: Rect, form: &Form, chord: &ChordCue) {
    let Some(voicing) = &chord.voicing else { return };
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
