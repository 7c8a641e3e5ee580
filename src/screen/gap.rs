//! The gap page: what to set up before a song, the capo fret above all.

use crate::music::Fret;
use crate::screen::bands::{share, split, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::theme::Ink;
use crate::screen::{neck, pickups, status, technique};
use crate::sequencer::{Gap, StepCue};
use ratatui::layout::Rect;

/// The bands from top to bottom.
const CAPO: usize = 0;
const NECK: usize = 1;
const TITLE: usize = 2;
const STEP: usize = 3;
const TECHNIQUE: usize = 4;
const FACTS: usize = 5;
const CHORDS: usize = 6;
const NOTE: usize = 7;

/// Wide enough for fret and family side by side.
const WIDE: u16 = 44;

pub(super) fn draw(canvas: &mut Canvas<'_>, page: Rect, gap: &Gap<'_>) {
    let least = canvas
        .look
        .sight
        .map_or(0, |sight| sight.rows_for_enough(canvas.picture.height));
    let has_step = u16::from(gap.first.is_some());
    let has_chords = if gap.chords.is_empty() { 0 } else { 2 };
    let wishes = [
        (CAPO, 3),
        (TITLE, 1),
        (STEP, has_step),
        (TECHNIQUE, has_step),
        (NECK, 3),
        (CAPO, 8.max(2 * least)),
        (TITLE, 4),
        (STEP, 4 * has_step),
        (TECHNIQUE, 4 * has_step),
        (FACTS, 1),
        (NECK, 4),
        (CHORDS, has_chords),
        (NOTE, u16::from(gap.song.note.is_some())),
        (CAPO, 10),
    ];
    let bands = share(page, &wishes, [14, 5, 5, 5, 5, 0, 0, 0]);
    capo(canvas, bands[CAPO], gap);
    neck::draw(
        canvas,
        bands[NECK],
        gap.capo_now.unwrap_or(gap.song.capo),
        gap.song.capo,
    );
    title(canvas, bands[TITLE], gap);
    if let Some(step) = &gap.first {
        first_step(canvas, bands[STEP], bands[TECHNIQUE], step);
    }
    canvas.line(bands[FACTS], Align::Left, &status::facts(&gap.song), Ink::Quiet);
    chords(canvas, bands[CHORDS], gap);
    if let Some(note) = gap.song.note {
        canvas.line(bands[NOTE], Align::Left, note, Ink::Words);
    }
}

/// The fret as large as can be, then how it moves, the family, and the key that sounds.
fn capo(canvas: &mut Canvas<'_>, area: Rect, gap: &Gap<'_>) {
    let moves = gap.r#move != 0;
    let ink = if moves { Ink::Changed } else { Ink::Words };
    let area = canvas.mark(area, moves);
    let (left, right) = split(area, if area.width >= WIDE { 34 } else { 45 });
    // A row stays free below, so that the figure does not run into the neck.
    let figure = Rect {
        height: left.height - u16::from(left.height > 4),
        ..left
    };
    fret(canvas, without_right(figure, 1), gap.song.capo, ink);
    let sounds = format!("sounds {}", gap.song.key.signs());
    let shapes = gap
        .song
        .shapes
        .map_or_else(|| "no shapes".into(), |family| format!("{family} shapes"));
    let asked = gap
        .song
        .asked_for
        .as_ref()
        .map(|asked| format!("asked for as {asked}"))
        .unwrap_or_default();
    if area.height < 6 {
        let lines = [move_words(gap), shapes, sounds, asked];
        for (y, line) in (right.y..right.bottom()).zip(lines.iter().filter(|line| !line.is_empty())) {
            let ink = if y == right.y && moves {
                Ink::Changed
            } else {
                Ink::Words
            };
            canvas.line(Rect { y, height: 1, ..right }, Align::Left, line, ink);
        }
        return;
    }
    let asked_rows = u16::from(!asked.is_empty());
    let upper = Rect {
        height: (right.height - asked_rows) / 2,
        ..right
    };
    let lower = Rect {
        y: upper.bottom(),
        height: right.height - asked_rows - upper.height,
        ..right
    };
    let (shapes_area, move_area) = split(upper, 54);
    canvas.item("shapes", without_right(shapes_area, 2), &shapes, Ink::Words);
    let moves = move_words(gap);
    if !moves.is_empty() {
        canvas.item("move", without_right(move_area, 1), &moves, ink);
    }
    canvas.item("key", without_right(lower, 1), &sounds, Ink::Words);
    canvas.line(
        Rect {
            y: lower.bottom(),
            height: asked_rows,
            ..right
        },
        Align::Left,
        &asked,
        Ink::Quiet,
    );
}

/// The fret's number, or `no capo` on two lines.
fn fret(canvas: &mut Canvas<'_>, area: Rect, fret: Fret, ink: Ink) {
    if fret != Fret::OPEN {
        return canvas.item("capo fret", area, &fret.to_string(), ink);
    }
    if area.height < 8 {
        return canvas.item("capo fret", area, "no capo", ink);
    }
    let upper = Rect {
        height: area.height / 2,
        ..area
    };
    let lower = Rect {
        y: upper.bottom(),
        height: area.height - upper.height,
        ..area
    };
    canvas.word(upper, Align::Left, "no", ink);
    canvas.item("capo fret", lower, "capo", ink);
}

/// How the capo gets to its fret.
pub(super) fn move_words(gap: &Gap<'_>) -> String {
    match (gap.capo_now.map(Fret::number), gap.song.capo.number()) {
        (None | Some(0), 0) => String::new(),
        (None | Some(0), _) => "put on".into(),
        (Some(_), 0) => "take off".into(),
        (Some(_), _) => match gap.r#move {
            0 => "stay".into(),
            up @ 1.. => format!("up {up}"),
            down => format!("down {}", -down),
        },
    }
}

fn title(canvas: &mut Canvas<'_>, area: Rect, gap: &Gap<'_>) {
    let place = format!("{}/{}", gap.song.number, gap.song.of);
    let room = place.len() as u16 + 1;
    let area = Rect {
        x: area.x + 2.min(area.width),
        width: area.width.saturating_sub(2),
        ..area
    };
    canvas.word(without_right(area, room), Align::Left, gap.song.title, Ink::Words);
    if area.height > 0 {
        canvas.line(Rect { height: 1, ..area }, Align::Right, &place, Ink::Quiet);
    }
}

fn first_step(canvas: &mut Canvas<'_>, names: Rect, hand: Rect, step: &StepCue<'_>) {
    let inset = |area: Rect| Rect {
        x: area.x + 2.min(area.width),
        width: area.width.saturating_sub(2),
        ..area
    };
    let (name, pickup) = split(inset(names), 52);
    canvas.word(without_right(name, 1), Align::Left, step.name, Ink::Words);
    if let Some(selected) = step.pickup {
        canvas.word(without_right(pickup, 1), Align::Left, selected, Ink::Words);
    }
    let (words, row) = if hand.width >= 100 {
        split(inset(hand), 60)
    } else {
        (inset(hand), Rect { width: 0, ..hand })
    };
    technique::draw(canvas, words, step.technique, Ink::Words);
    pickups::draw(canvas, row, step.pickup, Ink::Words);
}

/// The family's seven chords, number over shape.
fn chords(canvas: &mut Canvas<'_>, area: Rect, gap: &Gap<'_>) {
    if area.height < 2 || gap.chords.is_empty() {
        return;
    }
    let wide = (area.width / gap.chords.len() as u16).min(14);
    for (place, chord) in gap.chords.iter().enumerate() {
        let x = area.x + place as u16 * wide;
        canvas.text(x, area.y, wide.saturating_sub(1), &chord.number, Ink::Quiet);
        let shape = chord
            .fingered
            .map(|chord| chord.signs().to_string())
            .unwrap_or_default();
        canvas.text(x, area.y + 1, wide.saturating_sub(1), &shape, Ink::Words);
    }
}
