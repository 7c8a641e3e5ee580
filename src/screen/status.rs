//! The bottom line: where in the set, the ports and whether they live, lock, notices, the measured tempo.

use crate::screen::bands::{without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::margin;
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

pub(super) fn draw(canvas: &mut Canvas<'_>, row: Rect, cue: &Cue<'_>, status: &Status) {
    if row.is_empty() {
        return;
    }
    if let Some(notice) = &status.notice {
        return canvas.banner(row, notice);
    }
    let mut left = margin::line(row);
    if cue.locked {
        let taken = canvas.small(left, Align::Right, "LOCKED", Ink::Changed);
        canvas.mark(without_left(left, left.width.saturating_sub(taken + 2)), 1);
        left = without_right(left, taken + 4);
    }
    let right = right_words(status, canvas.look.glyphs.is_ascii());
    let taken = canvas.line(left, Align::Right, &right, Ink::Quiet);
    left = without_right(left, if taken > 0 { taken + 2 } else { 0 });
    canvas.line(left, Align::Left, &left_words(cue), Ink::Quiet);
}

/// Where in the set: the song of a section page, the set's name elsewhere.
fn left_words(cue: &Cue<'_>) -> String {
    match &cue.page {
        PageCue::Section(section) => {
            let song = &section.song;
            format!(
                "{}  {}/{}  sounds {}",
                song.title,
                song.number,
                song.of,
                song.key.signs()
            )
        }
        PageCue::Gap(_) | PageCue::Peek(_) | PageCue::End(_) => cue.set_name.to_owned(),
    }
}

fn right_words(status: &Status, ascii: bool) -> String {
    let clock = status.measured_bpm.map(|bpm| format!("clock {bpm:.1}"));
    let ports = status.ports.iter().map(|port| {
        let sign = match (port.alive, ascii) {
            (true, true) => "*",
            (true, false) => "●",
            (false, true) => "LOST",
            (false, false) => "○ lost",
        };
        format!("{} {sign}", port.name)
    });
    clock.into_iter().chain(ports).collect::<Vec<_>>().join("  ")
}

/// `72 bpm, 4/4`.
pub(super) fn tempo(song: &SongCue<'_>) -> Option<String> {
    let tempo = song.tempo.map(|tempo| format!("{} bpm", tempo.bpm()));
    let parts: Vec<String> = tempo
        .into_iter()
        .chain(song.meter.map(|meter| meter.to_string()))
        .collect();
    (!parts.is_empty()).then(|| parts.join("  "))
}

/// Delay times in milliseconds: a quarter is 60000 / bpm, a dotted eighth three quarters of it, an eighth half.
pub(super) fn delays(song: &SongCue<'_>) -> Option<String> {
    let quarter_ms = 60_000.0 / song.tempo?.bpm();
    let parts = [("1/4", 1.0), ("1/8.", 0.75), ("1/8", 0.5)];
    let parts = parts.map(|(name, part)| format!("{name} {:.0}", quarter_ms * part));
    Some(format!("delay ms {}", parts.join("  ")))
}

/// What there is of it, in one line.
pub(super) fn listed(parts: [Option<String>; 3]) -> String {
    parts.into_iter().flatten().collect::<Vec<_>>().join("  ·  ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::{Fret, Key};
    use crate::setlist::{Meter, Tempo};

    // Source: a quarter note at 120 beats a minute lasts half a second, by definition.
    #[test]
    fn delays_come_from_the_tempo() {
        let song = SongCue {
            title: "Seven Lamps",
            number: 1,
            of: 1,
            key: crate::music::AskedKey::parse("C").map(|asked| asked.key()).unwrap(),
            asked_for: None,
            capo: Fret::OPEN,
            shapes: None,
            tempo: Tempo::new(120.0),
            meter: Some(Meter::COMMON),
            note: None,
        };
        let _: Key = song.key;
        assert_eq!(delays(&song).unwrap(), "delay ms 1/4 500  1/8. 375  1/8 250");
        assert_eq!(tempo(&song).unwrap(), "120 bpm  4/4");
        let bare = SongCue {
            tempo: None,
            meter: None,
            ..song
        };
        assert_eq!((delays(&bare), tempo(&bare)), (None, None));
    }
}
