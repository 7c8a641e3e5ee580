//! The section page: what the hands do in this step, and what comes next.

use crate::screen::bands::{Bands, split, without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::guitar::{self, Guitar};
use crate::screen::lettering::Line;
use crate::screen::neck::Capo;
use crate::screen::signs::columns;
use crate::screen::theme::Ink;
use crate::screen::{chords, fingering, margin, next, status, technique};
use crate::sequencer::SectionCue;
use ratatui::layout::Rect;

pub(super) fn draw(canvas: &mut Canvas<'_>, bands: &Bands, section: &SectionCue<'_>) {
    name(canvas, bands.name, section);
    // No mark stands beside a blank: what the song no longer names is not news to act on.
    let differs = section.technique.is_some() && section.technique_changed;
    let technique = margin::marked(canvas, bands.technique, differs);
    technique::draw(canvas, technique, section.technique, ink(section.technique_changed));
    let differs = section.pickup.is_some() && section.pickup_changed;
    let pickup = margin::marked(canvas, bands.pickup, differs);
    if let Some(selected) = section.pickup {
        canvas.item("pickup", pickup, Line::Words, selected, ink(section.pickup_changed));
    }
    chords::bars(canvas, margin::inside(bands.chords), &section.chords);
    let distinct = section.chords.iter().flatten();
    fingering::section(canvas, margin::inside(bands.diagrams), section.song.capo, distinct);
    capo(canvas, bands.guitar, section);
    next::draw(canvas, margin::inside(bands.next), &section.next);
    steps(canvas, margin::inside(bands.steps), section);
    facts(canvas, margin::inside(bands.facts), section);
}

fn ink(changed: bool) -> Ink {
    if changed { Ink::Changed } else { Ink::Words }
}

/// The step's name, and how many times it has come when it comes again.
fn name(canvas: &mut Canvas<'_>, band: Rect, section: &SectionCue<'_>) {
    let again = section.times > 1;
    let area = margin::marked(canvas, band, again);
    if !again {
        canvas.item("step", area, Line::Words, section.name, Ink::Words);
        return;
    }
    let (name, times) = split(area, 76);
    canvas.item("step", without_right(name, 1), Line::Words, section.name, Ink::Words);
    canvas.word(times, Align::Right, &format!("×{}", section.times), Ink::Changed);
}

/// Capo and family beside the guitar; after a key call that moves the capo, how it goes.
fn capo(canvas: &mut Canvas<'_>, band: Rect, section: &SectionCue<'_>) {
    let song = &section.song;
    let moved = section.r#move != 0;
    let now = song.capo.shifted(-section.r#move).unwrap_or(song.capo);
    let marked = margin::marked(canvas, band, moved || section.key_changed);
    let (drawn, words) = guitar::beside(marked);
    if let Some(drawn) = drawn {
        let guitar = Guitar {
            capo: Capo { now, goes: song.capo },
            pickup: section.pickup,
            pickup_ink: ink(section.pickup_changed),
        };
        guitar::draw(canvas, drawn, &guitar);
    }
    let capo = Capo { now, goes: song.capo };
    let shapes = song
        .shapes
        .map_or_else(|| "no shapes".into(), |family| family.to_string());
    let (text, short) = match (moved, song.capo.number()) {
        (true, 0) => (format!("{}, {shapes}", capo.words()), capo.words()),
        (true, fret) => (format!("{}: {fret} {shapes}", capo.words()), capo.words()),
        (false, 0) => (format!("no capo {shapes}"), "no capo".into()),
        (false, fret) => (format!("capo {fret} {shapes}"), format!("{fret} {shapes}")),
    };
    canvas.later("capo", words, Align::Left, &[&text, &short], ink(moved));
}

/// The song's steps as one line, this one marked; it begins late enough for this one to be seen.
fn steps(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    if area.is_empty() {
        return;
    }
    let here = section.step.saturating_sub(1);
    let wide = |name: &str| u16::try_from(columns(name)).unwrap_or(u16::MAX).saturating_add(2);
    let mut first = here;
    let mut room = area.width.saturating_sub(wide(section.name)) / 2;
    while let Some(before) = first
        .checked_sub(1)
        .filter(|&before| wide(section.steps[before]) <= room)
    {
        room -= wide(section.steps[before]);
        first = before;
    }
    let mut rest = area;
    for (place, name) in section.steps.iter().enumerate().skip(first) {
        if rest.is_empty() {
            return;
        }
        let taken = if place == here {
            canvas.small(rest, Align::Left, &format!("[{name}]"), Ink::Words)
        } else {
            canvas.line(rest, Align::Left, &format!(" {name} "), Ink::Quiet)
        };
        rest = without_left(rest, taken);
    }
}

fn facts(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    let facts = status::section_facts(section).map(Option::unwrap_or_default);
    canvas.first_that_fits(area, &[&facts[0], &facts[1]]);
}
