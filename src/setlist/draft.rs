//! Sets and songs yet to be written down: what is known of them, as the text of a file with comments for the player.

use crate::music::{AskedKey, Key};
use crate::setlist::decode::tidy;
use crate::setlist::quote::scalar;
use crate::setlist::{Meter, Tempo};
use std::fmt::Write;

/// A song as far as it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct SongDraft {
    pub title: String,
    /// Where it is not known, `STAND_IN` is written in its place and a comment says so.
    pub key: Option<AskedKey>,
    pub tempo: Option<Tempo>,
    pub meter: Option<Meter>,
    pub note: Option<String>,
    pub sections: Vec<SectionDraft>,
    /// Places in `sections`, and how often in a row each is played.
    pub order: Vec<(usize, usize)>,
    /// Comments, a line each, above the song.
    pub remarks: Vec<String>,
    /// A comment beside the tempo.
    pub tempo_remark: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct SectionDraft {
    pub name: String,
    /// 1 to 9999.
    pub bars: u16,
    /// Where it is not the song's.
    pub key: Option<Key>,
}

/// A set as far as it is known; at least one song.
#[derive(Clone, Debug, PartialEq)]
pub struct SetDraft {
    pub name: String,
    pub songs: Vec<SongDraft>,
}

/// Stands in for a key that is not known: the set then opens all the same, and the player is told.
pub const STAND_IN: &str = "C";

/// Where the comments beside short fields begin.
const COMMENT_COLUMN: usize = 31;

const HEAD: &str = "\
# A set for Footlights. Lines and words behind a # are for you; the rest is read.
# What each field means, and what else there is: `footlights schema set`.
";
const WHOLE_SET: &str = "\
# date: 2026-10-10
gap: 20                        # seconds free between songs, where a song does not say
# players:                     # all who share the plan; the first is the one whose screen this is
#   - name: Wren
#   - { name: Sam, highest_fret: 5, shapes: [G, C, D] }
";
const SECTIONS: &str = r#"    # The sections of a song, to be filled in and set free of their #; numbers are chords of the key:
    # sections:
    #   Verse:  { bars: 8, technique: palm mute, pickup: neck, chords: "1 | 4 | 6- | 5" }
    #   Chorus: { bars: 8, technique: down strokes, pickup: bridge, chords: "4 | 1 | 5 | 6-", note: dig in }
    # order: [Verse, Chorus, Verse, Chorus x2]
"#;
const STARTER: &str = include_str!("starter.yaml");

/// A set to start from: two songs that show what a set can say.
pub fn starter_set(name: &str) -> String {
    format!("{HEAD}set: {}\n{WHOLE_SET}{STARTER}", scalar(&set_name(name)))
}

/// A player file to start from: what is usual, and more as comments.
pub fn starter_player() -> &'static str {
    include_str!("player_starter.yaml")
}

impl SetDraft {
    /// The text of the set's file.
    pub fn text(&self) -> String {
        let mut text = format!("{HEAD}set: {}\n{WHOLE_SET}songs:\n", scalar(&set_name(&self.name)));
        for (place, song) in self.songs.iter().enumerate() {
            for (number, line) in song.lines().iter().enumerate() {
                let begin = match (line.starts_with('#'), number == song.remarks.len()) {
                    (true, false) => "  ",
                    (_, true) => "  - ",
                    (false, false) => "    ",
                };
                let _ = writeln!(text, "{begin}{line}");
            }
            text += if place == 0 { SECTIONS } else { "" };
        }
        text
    }
}

impl SongDraft {
    /// A song of which no more is known than this.
    pub(super) fn new(title: String, key: Option<AskedKey>) -> SongDraft {
        SongDraft {
            title,
            key,
            tempo: None,
            meter: None,
            note: None,
            sections: Vec::new(),
            order: Vec::new(),
            remarks: Vec::new(),
            tempo_remark: None,
        }
    }

    /// The text of a song file.
    pub fn text(&self) -> String {
        self.lines().iter().map(|line| format!("{line}\n")).collect()
    }

    /// The remarks first, then `song`.
    fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = self.remarks.iter().map(|remark| format!("# {remark}")).collect();
        lines.push(format!("song: {}", scalar(&self.title)));
        lines.push(match self.key {
            Some(key) => format!("key: {}", written(key)),
            None => remarked(format!("key: {STAND_IN}"), Some("not known: write the right one here")),
        });
        if let Some(tempo) = self.tempo {
            lines.push(remarked(
                format!("tempo: {}", tempo.bpm()),
                self.tempo_remark.as_deref(),
            ));
        }
        lines.extend(self.meter.map(|meter| format!("meter: {meter}")));
        lines.extend(self.note.as_ref().map(|note| format!("note: {}", scalar(note))));
        if !self.sections.is_empty() {
            lines.push("sections:".into());
            lines.extend(self.sections.iter().map(SectionDraft::line));
        }
        if !self.order.is_empty() {
            let steps: Vec<String> = self.order.iter().map(|&step| self.step(step)).collect();
            lines.push(format!("order: [{}]", steps.join(", ")));
        }
        lines
    }

    fn step(&self, (place, times): (usize, usize)) -> String {
        let name = &self.sections[place].name;
        match times {
            1 => scalar(name),
            _ => scalar(&format!("{name} x{times}")),
        }
    }
}

impl SectionDraft {
    fn line(&self) -> String {
        let key = self.key.map(|key| format!(", key: {key}")).unwrap_or_default();
        format!("  {}: {{ bars: {}{key} }}", scalar(&self.name), self.bars)
    }
}

/// A key as it was asked for, in a form that a set reads.
fn written(key: AskedKey) -> String {
    match key.asked_signs() {
        Some(asked) => asked.to_string(),
        None => key.key().to_string(),
    }
}

/// A set cannot be without a name.
fn set_name(name: &str) -> String {
    match tidy(name) {
        name if name.is_empty() => "A set".into(),
        name => name,
    }
}

fn remarked(line: String, remark: Option<&str>) -> String {
    match remark {
        Some(remark) => format!("{line:<COMMENT_COLUMN$}# {remark}"),
        None => line,
    }
}
