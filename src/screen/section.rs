//! The section page: what the hands do in this step, and what comes next.

use crate::screen::bands::{share, split, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::theme::Ink;
use crate::screen::{pickups, status, technique};
use crate::sequencer::{ChordCue, NextUp, SectionCue, StepCue};
use ratatui::layout::Rect;

/// The bands from top to bottom.
const NAME: usize = 0;
const TECHNIQUE: usize = 1;
const PICKUP: usize = 2;
const NEXT: usize = 3;
const CAPO: usize = 4;
const CHORDS: usize = 5;
const STEPS: usize = 6;
const FACTS: usize = 7;

pub(super) fn draw(canvas: &mut Canvas<'_>, page: Rect, section: &SectionCue<'_>) {
    let least = canvas
        .look
        .sight
        .map_or(0, |sight| sight.rows_for_enough(canvas.picture.height));
    let has_technique = u16::from(section.technique.is_some());
    let has_pickup = u16::from(section.pickup.is_some());
    let has_chords = u16::from(!section.chords.is_empty());
    let wishes = [
        (NAME, 2),
        (TECHNIQUE, has_technique),
        (PICKUP, has_pickup),
        (NEXT, 1),
        (CAPO, 1),
        (NAME, 5.max(least)),
        (TECHNIQUE, 4.max(least) * has_technique),
        (PICKUP, 4.max(least) * has_pickup),
        (NEXT, 4),
        (CAPO, 4),
        (CHORDS, has_chords),
        (STEPS, 1),
        (FACTS, 1),
        (CHORDS, 2 * has_chords),
    ];
    let bands = share(page, &wishes, [8, 5, 5, 4, 4, 0, 0, 0]);
    name(canvas, bands[NAME], section);
    let hand = canvas.mark(bands[TECHNIQUE], section.technique_changed);
    technique::draw(
        canvas,
        without_right(hand, 1),
        section.technique,
        ink(section.technique_changed),
    );
    pickup(canvas, bands[PICKUP], section);
    next(canvas, bands[NEXT], section);
    capo(canvas, bands[CAPO], section);
    chords(canvas, bands[CHORDS], &section.chords);
    steps(canvas, bands[STEPS], section);
    facts(canvas, bands[FACTS], section);
}

fn ink(changed: bool) -> Ink {
    if changed { Ink::Changed } else { Ink::Words }
}

fn name(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    let again = section.times > 1;
    let area = without_right(canvas.mark(area, again), 1);
    if !again {
        return canvas.item("step", area, section.name, Ink::Words);
    }
    let (name, times) = split(area, 76);
    canvas.item("step", name, section.name, Ink::Words);
    canvas.word(times, Align::Right, &format!("×{}", section.times), Ink::Changed);
}

fn pickup(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    let area = without_right(canvas.mark(area, section.pickup_changed), 1);
    let Some(selected) = section.pickup else { return };
    let (words, row) = split(area, 56);
    canvas.item("pickup", without_right(words, 2), selected, ink(section.pickup_changed));
    pickups::draw(canvas, row, Some(selected), ink(section.pickup_changed));
}

/// The next step's name and what changes at it, or the next song and where its capo goes.
fn next(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    let area = without_right(canvas.mark(area, false), 1);
    match &section.next {
        NextUp::Step(step) => next_step(canvas, area, step),
        NextUp::Song {
            title, capo, r#move, ..
        } => {
            let capo = match capo.number() {
                0 => "no capo".into(),
                fret => format!("capo {fret}"),
            };
            let (name, news) = split(area, 62);
            next_name(canvas, name, title);
            let news = canvas.mark(news, *r#move != 0);
            canvas.word(
                news,
                Align::Left,
                &capo,
                if *r#move != 0 { Ink::Changed } else { Ink::Quiet },
            );
        }
        NextUp::End => next_name(canvas, area, "the end"),
    }
}

fn next_name(canvas: &mut Canvas<'_>, area: Rect, name: &str) {
    let arrow = if canvas.look.glyphs.is_ascii() { ">" } else { "→" };
    canvas.word(
        without_right(area, 2),
        Align::Left,
        &format!("{arrow} {name}"),
        Ink::Quiet,
    );
}

/// The step to come: what changes at it as words or, where those would be small, as the signs of this page.
fn next_step(canvas: &mut Canvas<'_>, area: Rect, step: &StepCue<'_>) {
    let technique = step.technique.filter(|_| step.technique_changes);
    let pickup = step.pickup.filter(|_| step.pickup_changes);
    let news = [technique.is_some(), pickup.is_some(), step.key_changes.is_some()];
    let count = news.iter().filter(|news| **news).count() as u16;
    if count == 0 {
        return next_name(canvas, area, step.name);
    }
    let (name, news) = split(area, 46);
    next_name(canvas, name, step.name);
    let news = canvas.mark(news, true);
    let mut part = Rect {
        width: news.width / count,
        ..news
    };
    if let Some(technique) = technique {
        technique::draw_brief(canvas, without_right(part, 2), technique, Ink::Changed);
        part.x += part.width;
    }
    if let Some(selected) = pickup {
        let area = without_right(part, 1);
        if !canvas.large(area, Align::Left, selected, Ink::Changed) {
            pickups::draw(canvas, area, Some(selected), Ink::Changed);
        }
        part.x += part.width;
    }
    if let Some(key) = step.key_changes {
        canvas.word(part, Align::Left, &format!("in {}", key.signs()), Ink::Changed);
    }
}

/// Capo fret, family and key; after a key call that moves the capo, how it goes.
fn capo(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    let song = &section.song;
    let moves = section.r#move != 0;
    let fret = match (song.capo.number(), section.r#move) {
        (0, 0) => "no capo".into(),
        (0, _) => "take capo off".into(),
        (fret, 0) => format!("capo {fret}"),
        (fret, up @ 1..) => format!("capo up {up} to {fret}"),
        (fret, down) => format!("capo down {} to {fret}", -down),
    };
    let shapes = song
        .shapes
        .map_or_else(|| "no shapes".into(), |family| format!("{family} shapes"));
    let area = without_right(canvas.mark(area, moves || section.key_changed), 1);
    let (left, right) = split(area, if moves { 60 } else { 36 });
    canvas.word(without_right(left, 2), Align::Left, &fret, ink(moves));
    let (shapes_area, key) = split(right, 64);
    canvas.word(without_right(shapes_area, 2), Align::Left, &shapes, Ink::Words);
    canvas.word(
        key,
        Align::Right,
        &song.key.signs().to_string(),
        ink(section.key_changed),
    );
}

/// The chords as fingered, bar by bar, with their numbers above them where there is a row for those.
fn chords(canvas: &mut Canvas<'_>, area: Rect, bars: &[Vec<ChordCue>]) {
    if area.height == 0 {
        return;
    }
    let numbers = area.height >= 2;
    let mut x = area.x + 2.min(area.width);
    for bar in bars {
        for chord in bar {
            let shape = chord
                .fingered
                .map_or_else(|| chord.number.clone(), |chord| chord.signs().to_string());
            let text = if numbers {
                shape
            } else {
                format!("{} {shape}", chord.number)
            };
            let room = area.right().saturating_sub(x);
            if room < 2 {
                return;
            }
            let taken = canvas.text(x, area.bottom() - 1, room, &text, Ink::Words);
            let above = if numbers {
                canvas.text(x, area.y, room, &chord.number, Ink::Quiet)
            } else {
                0
            };
            x += taken.max(above) + 2;
        }
        x += canvas.text(
            x.saturating_sub(1),
            area.bottom() - 1,
            area.right().saturating_sub(x),
            "|",
            Ink::Wood,
        ) + 1;
    }
}

/// The song's steps as one line, this one marked; it begins late enough for this one to be seen.
fn steps(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    if area.height == 0 {
        return;
    }
    let here = section.step - 1;
    let wide = |name: &str| unicode_width::UnicodeWidthStr::width(name) as u16 + 2;
    let mut first = here;
    let mut room = area.width.saturating_sub(wide(section.name) + 3) / 2;
    while let Some(before) = first
        .checked_sub(1)
        .filter(|&before| wide(section.steps[before]) <= room)
    {
        room -= wide(section.steps[before]);
        first = before;
    }
    let mut x = area.x;
    for (place, name) in section.steps.iter().enumerate().skip(first) {
        let this = place == here;
        let (text, ink) = if this {
            (format!("[{name}]"), Ink::Changed)
        } else {
            (format!(" {name} "), Ink::Quiet)
        };
        x += canvas.text(x, area.y, area.right().saturating_sub(x), &text, ink);
    }
}

fn facts(canvas: &mut Canvas<'_>, area: Rect, section: &SectionCue<'_>) {
    let bars = section.bars.map(|bars| match bars.count() {
        1 => "1 bar".to_owned(),
        count => format!("{count} bars"),
    });
    let facts = Some(status::facts(&section.song)).filter(|facts| !facts.is_empty());
    let note = section.note.or(section.song.note).map(str::to_owned);
    let line = [bars, facts, note]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join("  ·  ");
    canvas.line(
        Rect {
            x: area.x + 1.min(area.width),
            width: area.width.saturating_sub(1),
            ..area
        },
        Align::Left,
        &line,
        Ink::Quiet,
    );
}
