//! The cue in plain words: the window's title, and a drawn page as lines of text.

use crate::music::{Family, Fret};
use crate::screen::canvas::steers;
use crate::sequencer::{Cue, PageCue};
use ratatui::buffer::Buffer;

/// The longest title of a window, in characters: more says no more, and is not for the terminal to swallow.
const LONGEST: usize = 500;

/// The window's title, which a screen reader and a window list can say.
pub fn title(cue: &Cue<'_>) -> String {
    let title = match &cue.page {
        PageCue::Gap(gap) => format!("{}: {}", setting(gap.song.capo, gap.song.shapes), gap.song.title),
        PageCue::Peek(gap) => format!("Next: {}: {}", setting(gap.song.capo, gap.song.shapes), gap.song.title),
        PageCue::Section(section) => {
            let times = if section.times > 1 {
                format!(" x{}", section.times)
            } else {
                String::new()
            };
            let setting = setting(section.song.capo, section.song.shapes);
            format!("{setting}: {}, {}{times}", section.song.title, section.name)
        }
        PageCue::End(_) => format!("The end: {}", cue.set_name),
    };
    harmless(&title)
}

/// A title is sent to the terminal between control characters: it must not hold any itself.
pub(super) fn harmless(title: &str) -> String {
    title.chars().filter(|&letter| !steers(letter)).take(LONGEST).collect()
}

/// `Capo 3, G shapes`.
fn setting(capo: Fret, shapes: Option<Family>) -> String {
    let capo = match capo.number() {
        0 => "No capo".into(),
        fret => format!("Capo {fret}"),
    };
    match shapes {
        Some(family) => format!("{capo}, {family} shapes"),
        None => format!("{capo}, no shapes"),
    }
}

/// A drawn page as text, a line a row, without blanks at the ends.
pub fn as_text(buffer: &Buffer) -> String {
    let width = usize::from(buffer.area.width).max(1);
    let mut text = String::new();
    for row in buffer.content.chunks(width) {
        let line: String = row.iter().map(|cell| cell.symbol()).collect();
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}
