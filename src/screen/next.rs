//! What comes next, below the guitar: a step and what changes at it, or a song and where its capo goes.

use crate::screen::bands::{split, without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::neck::Capo;
use crate::screen::pickups;
use crate::screen::technique;
use crate::screen::theme::Ink;
use crate::sequencer::{NextUp, StepCue};
use crate::setlist::Technique;
use ratatui::layout::Rect;

/// The name's part of the width, in hundredths; then what the picking hand does, then the pickups.
const NAME_PERCENT: u16 = 46;

/// From so many columns on a thick mark has room.
const ROOMY: u16 = 48;

/// From a section page: the step or the song after it.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, next: &NextUp<'_>) {
    match next {
        NextUp::Step(step) => changes(canvas, area, step),
        NextUp::Song {
            title, capo, r#move, ..
        } => {
            let now = capo.shifted(-*r#move).unwrap_or(*capo);
            let words = Capo { now, goes: *capo }.words();
            let (name, news) = split(area, 62);
            arrow(canvas, without_right(name, 2), title);
            if *r#move == 0 {
                canvas.word(news, Align::Left, &words, Ink::Quiet);
            } else {
                let news = differs(canvas, news);
                canvas.word(news, Align::Left, &words, Ink::Changed);
            }
        }
        NextUp::End => {
            arrow(canvas, area, "the end");
        }
    }
}

/// From a gap page: the song's first step, whole.
pub(super) fn first(canvas: &mut Canvas<'_>, area: Rect, step: &StepCue<'_>) {
    if area.height < 3 {
        let words = [Some(step.name), step.technique.map(Technique::words), step.pickup];
        let words: Vec<&str> = words.into_iter().flatten().collect();
        canvas.small(area, Align::Left, &words.join(", "), Ink::Words);
        return;
    }
    let (name, rest) = split(area, 38);
    canvas.later(
        "first step",
        without_right(name, 2),
        Align::Left,
        &[step.name],
        Ink::Words,
    );
    parts(canvas, rest, step.technique, step.pickup, None, Ink::Words);
}

/// The name, and what is new.
fn changes(canvas: &mut Canvas<'_>, area: Rect, step: &StepCue<'_>) {
    let technique = step.technique.filter(|_| step.technique_changes);
    let pickup = step.pickup.filter(|_| step.pickup_changes);
    let key = step.key_changes.map(|key| format!("in {}", key.signs()));
    if technique.is_none() && pickup.is_none() && key.is_none() {
        arrow(canvas, area, step.name);
        return;
    }
    if area.height < 3 {
        let taken = arrow(canvas, area, step.name);
        let news = differs(canvas, without_left(area, taken + 2));
        let words = [technique.map(Technique::words), pickup, key.as_deref()];
        let words: Vec<&str> = words.into_iter().flatten().collect();
        canvas.small(news, Align::Left, &words.join(", "), Ink::Changed);
        return;
    }
    let (name, news) = split(area, NAME_PERCENT);
    arrow(canvas, without_right(name, 2), step.name);
    let news = differs(canvas, news);
    parts(canvas, news, technique, pickup, key.as_deref(), Ink::Changed);
}

/// What the hands do, in words of one size where they fit, else each in a part of its own, by its sign if it must.
fn parts(
    canvas: &mut Canvas<'_>,
    area: Rect,
    technique: Option<&Technique>,
    pickup: Option<&str>,
    key: Option<&str>,
    ink: Ink,
) {
    let words: Vec<&str> = [technique.map(Technique::words), pickup, key]
        .into_iter()
        .flatten()
        .collect();
    if words.is_empty() || canvas.row(area, &words, ink) {
        return;
    }
    let width = area.width / words.len() as u16;
    let mut rest = area;
    let mut part = || {
        let part = Rect {
            width: width.min(rest.width),
            ..rest
        };
        rest = without_left(rest, width);
        without_right(part, 2)
    };
    if let Some(technique) = technique {
        technique::draw_brief(canvas, part(), technique, ink);
    }
    if let Some(selected) = pickup {
        selection(canvas, part(), selected, ink);
    }
    if let Some(key) = key {
        canvas.word(part(), Align::Left, key, ink);
    }
}

/// A pickup position by name where that is high enough, else as a row of pickups.
fn selection(canvas: &mut Canvas<'_>, area: Rect, selected: &str, ink: Ink) {
    if !canvas.row(area, &[selected], ink) && pickups::sign(canvas, without_last_row(area), selected, ink) == 0 {
        canvas.word(area, Align::Left, selected, ink);
    }
}

/// The row that words leave to letters that hang.
fn without_last_row(area: Rect) -> Rect {
    Rect {
        height: area.height - u16::from(area.height > 2),
        ..area
    }
}

/// The mark that what follows will differ from what is on now; the area right of it. It is hatched: what is not yet, and
/// no stroke of a letter.
fn differs(canvas: &mut Canvas<'_>, area: Rect) -> Rect {
    let width = if area.width >= ROOMY { 2 } else { 1 };
    let place = without_last_row(area);
    canvas.hatch(Rect {
        width: width.min(place.width),
        ..place
    });
    without_left(area, 2 * width)
}

fn arrow(canvas: &mut Canvas<'_>, area: Rect, name: &str) -> u16 {
    let ascii = canvas.look.glyphs.is_ascii();
    let arrow = if ascii { "> " } else { "→ " };
    canvas.later(
        "next",
        area,
        Align::Left,
        &[&format!("{arrow}{name}"), name],
        Ink::Quiet,
    )
}
