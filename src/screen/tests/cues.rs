//! Pages to draw, made by hand.

use crate::music::{AskedKey, Chord, Family, Fret, Key};
use crate::screen::{Look, Screen, Status};
use crate::sequencer::{ChordCue, Cue, End, Gap, NextUp, PageCue, SectionCue, SongCue, StepCue};
use crate::setlist::{Bars, Meter, Seconds, Technique, Tempo};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

pub(super) fn key(name: &str) -> Key {
    AskedKey::parse(name).map(AskedKey::key).unwrap()
}

pub(super) fn fret(number: i64) -> Fret {
    Fret::new(number).unwrap()
}

pub(super) fn chord(number: &str, fingered: &str) -> ChordCue {
    ChordCue {
        number: number.into(),
        fingered: Chord::parse(fingered).ok(),
    }
}

pub(super) fn song(title: &str) -> SongCue<'_> {
    SongCue {
        title,
        number: 2,
        of: 9,
        key: key("Bb"),
        asked_for: None,
        capo: fret(3),
        shapes: Some(Family::G),
        tempo: Tempo::new(72.0),
        meter: Some(Meter::COMMON),
        note: Some("piano starts"),
    }
}

pub(super) fn gap<'a>(title: &'a str, step: &'a str) -> Gap<'a> {
    Gap {
        song: song(title),
        capo_now: Some(fret(1)),
        r#move: 2,
        free: Seconds::new(20.0),
        rushed: false,
        first: Some(StepCue {
            name: step,
            technique: Some(&Technique::PalmMute),
            pickup: Some("middle"),
            technique_changes: false,
            pickup_changes: false,
            key_changes: None,
        }),
        chords: vec![
            chord("1", "G"),
            chord("2-", "Am"),
            chord("3-", "Bm"),
            chord("4", "C"),
            chord("5", "D"),
            chord("6-", "Em"),
            chord("7°", "F#dim"),
        ],
    }
}

pub(super) fn section<'a>(title: &'a str, step: &'a str) -> SectionCue<'a> {
    SectionCue {
        song: song(title),
        name: step,
        times: 1,
        step: 2,
        of: 3,
        technique: Some(&Technique::DownStrokes),
        pickup: Some("bridge"),
        technique_changed: true,
        pickup_changed: false,
        key_changed: false,
        r#move: 0,
        bars: Bars::new(8),
        note: Some("dig in"),
        chords: vec![vec![chord("1", "G")], vec![chord("4", "C"), chord("5", "D")]],
        steps: vec!["Intro", step, "Outro"],
        next: NextUp::Step(StepCue {
            name: "Outro",
            technique: Some(&Technique::Diamonds),
            pickup: Some("neck"),
            technique_changes: true,
            pickup_changes: true,
            key_changes: None,
        }),
    }
}

pub(super) fn cue(page: PageCue<'_>) -> Cue<'_> {
    Cue {
        set_name: "Harvest evening",
        page,
        locked: false,
    }
}

/// A page of each kind, with these words in it.
pub(super) fn pages<'a>(title: &'a str, step: &'a str) -> [Cue<'a>; 4] {
    let pages = [
        PageCue::Gap(gap(title, step)),
        PageCue::Section(section(title, step)),
        PageCue::Peek(gap(title, step)),
        PageCue::End(End { songs: 9 }),
    ];
    pages.map(|page| Cue {
        set_name: title,
        ..cue(page)
    })
}

pub(super) fn drawn(look: Look, cue: &Cue<'_>, status: &Status, columns: u16, rows: u16) -> Buffer {
    let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
    Screen::new(look).draw(cue, status, &mut buffer);
    buffer
}
