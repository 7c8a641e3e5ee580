//! The bottom line: where in the set, the ports and whether they live, lock, notices, the measured tempo.

use crate::screen::canvas::{Align, Canvas};
use crate::screen::theme::Ink;
use crate::sequencer::{Cue, PageCue, SongCue};
use ratatui::layout::Rect;
use std::time::Duration;

/// What the running show knows beside the cue.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Status {
    pub ports: Vec<PortStatus>,
    /// One quiet line, gone after a while.
    pub notice: Option<String>,
    /// Beats a minute by the clock that comes in.
    pub measured_bpm: Option<f64>,
    /// How long the show took, for the end page.
    pub elapsed: Option<Duration>,
    /// The list of keys stands instead of the page.
    pub help: bool,
}

/// A pedal's port.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PortStatus {
    pub name: String,
    pub alive: bool,
}

pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, cue: &Cue<'_>, status: &Status) {
    if let Some(notice) = &status.notice {
        return canvas.banner(area, notice);
    }
    let right = right_words(cue.locked, status, canvas.look.glyphs.is_ascii());
    let right_width = unicode_width::UnicodeWidthStr::width(right.as_str()) as u16;
    let left = match &cue.page {
        PageCue::Section(section) => format!("{}/{} {}", section.song.number, section.song.of, section.song.title),
        PageCue::Gap(_) | PageCue::Peek(_) | PageCue::End(_) => cue.set_name.to_owned(),
    };
    let room = area.width.saturating_sub(right_width + 2);
    canvas.text(area.x + 1, area.y, room.min(area.width - 1), &left, Ink::Quiet);
    let ink = if cue.locked { Ink::Changed } else { Ink::Quiet };
    let right_area = Rect {
        width: area.width - 1,
        ..area
    };
    canvas.line(right_area, Align::Right, &right, ink);
}

fn right_words(locked: bool, status: &Status, ascii: bool) -> String {
    let mut words = Vec::new();
    if locked {
        words.push("LOCKED".to_owned());
    }
    if let Some(bpm) = status.measured_bpm {
        words.push(format!("clock {bpm:.1}"));
    }
    for port in &status.ports {
        let sign = match (port.alive, ascii) {
            (true, true) => "*",
            (true, false) => "●",
            (false, true) => "LOST",
            (false, false) => "○ lost",
        };
        words.push(format!("{} {sign}", port.name));
    }
    words.join("  ")
}

/// Tempo, meter and delay times: quarter, dotted eighth and eighth of the song's beat.
pub(super) fn facts(song: &SongCue<'_>) -> String {
    let tempo = song.tempo.map(|tempo| {
        let quarter_ms = 60_000.0 / tempo.bpm();
        let delays = [("1/4", 1.0), ("1/8.", 0.75), ("1/8", 0.5)];
        let delays = delays
            .map(|(name, part)| format!("{name} {:.0}", quarter_ms * part))
            .join("  ");
        format!("{} bpm  ·  delay ms {delays}", tempo.bpm())
    });
    let meter = song.meter.map(|meter| meter.to_string());
    [meter, tempo].into_iter().flatten().collect::<Vec<_>>().join("  ·  ")
}
