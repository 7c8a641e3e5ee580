//! The bottom line: where in the set, the ports and whether they live, lock, notices, the measured tempo.

use crate::screen::bands::{without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::margin;
use crate::screen::theme::Ink;
use crate::sequencer::{Cue, PageCue, SectionCue, SongCue};
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

/// `facts_elsewhere` says that the page has a line of its own for bars, tempo and note.
pub(super) fn draw(canvas: &mut Canvas<'_>, row: Rect, cue: &Cue<'_>, status: &Status, facts_elsewhere: bool) {
    if row.is_empty() {
        return;
    }
    if let Some(notice) = &status.notice {
        return canvas.banner(row, &[notice]);
    }
    let mut left = margin::line(row);
    if cue.locked {
        let taken = canvas.small(left, Align::Right, "LOCKED", Ink::Changed);
        canvas.mark(without_left(left, left.width.saturating_sub(taken + 2)), 1);
        left = without_right(left, taken + 4);
    }
    let right = right_words(status, canvas.look.glyphs.is_bare());
    let taken = canvas.line(left, Align::Right, &right, Ink::Quiet);
    left = without_right(left, if taken > 0 { taken + 2 } else { 0 });
    let words = where_in_the_set(cue);
    match (&cue.page, facts_elsewhere) {
        // A low screen has no line for a section's bars and note.
        (PageCue::Section(section), false) => {
            let facts = section_facts(section);
            let facts = facts.map(|facts| listed([Some(words.as_str()), facts.as_deref()]));
            canvas.first_that_fits(left, &[&facts[0], &facts[1], &words]);
        }
        _ => {
            canvas.line(left, Align::Left, &words, Ink::Quiet);
        }
    }
}

/// The song of a section page, the set's name elsewhere.
fn where_in_the_set(cue: &Cue<'_>) -> String {
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

/// Bars, tempo and note of a section; then the same without the tempo. None where there is nothing to say.
pub(super) fn section_facts(section: &SectionCue<'_>) -> [Option<String>; 2] {
    let bars = section.bars.map(|bars| match bars.count() {
        1 => "1 bar".to_owned(),
        count => format!("{count} bars"),
    });
    let note = section.note.or(section.song.note);
    [tempo(&section.song), None].map(|tempo| {
        let facts = listed([bars.as_deref(), tempo.as_deref(), note]);
        (!facts.is_empty()).then_some(facts)
    })
}

fn right_words(status: &Status, bare: bool) -> String {
    let clock = status.measured_bpm.map(|bpm| format!("clock {bpm:.1}"));
    let ports = status.ports.iter().map(|port| {
        let sign = match (port.alive, bare) {
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

/// Delay times in milliseconds, at length and in short: a dotted eighth is three quarters of a quarter,
/// an eighth half.
pub(super) fn delays(song: &SongCue<'_>) -> Option<[String; 2]> {
    let quarter_ms = song.tempo?.quarter_ms(song.meter);
    let [quarter, dotted, eighth] = [1.0, 0.75, 0.5].map(|part| format!("{:.0}", quarter_ms * part));
    Some([
        format!("delay ms: quarter {quarter}, dotted eighth {dotted}, eighth {eighth}"),
        format!("delay {quarter} {dotted} {eighth} ms"),
    ])
}

/// What there is of it, in one line.
pub(super) fn listed<'p>(parts: impl IntoIterator<Item = Option<&'p str>>) -> String {
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
        assert_eq!(
            delays(&song).unwrap(),
            [
                "delay ms: quarter 500, dotted eighth 375, eighth 250",
                "delay 500 375 250 ms"
            ]
        );
        assert_eq!(tempo(&song).unwrap(), "120 bpm  4/4");
        let in_eighths = SongCue {
            meter: Meter::new(6, 8),
            ..song.clone()
        };
        assert_eq!(delays(&in_eighths).unwrap()[1], "delay 1000 750 500 ms");
        let bare = SongCue {
            tempo: None,
            meter: None,
            ..song
        };
        assert_eq!((delays(&bare), tempo(&bare)), (None, None));
    }
}
