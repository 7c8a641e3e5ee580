//! The cue: all that a screen must show, and nothing about how.

use crate::music::{Chord, Family, Fret, Key};
use crate::setlist::{Bars, Meter, Seconds, Technique, Tempo};

/// One page, whole. It borrows its words from the set.
#[derive(Clone, Debug, PartialEq)]
pub struct Cue<'a> {
    pub set_name: &'a str,
    pub page: PageCue<'a>,
    pub locked: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub enum PageCue<'a> {
    /// Before a song: what to set up.
    Gap(Gap<'a>),
    /// A step of a song.
    Section(SectionCue<'a>),
    /// A look ahead at the next song's gap page.
    Peek(Gap<'a>),
    End(End),
}

/// The set is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct End {
    pub songs: usize,
}

/// What is true of a song on each of its pages.
#[derive(Clone, Debug, PartialEq)]
pub struct SongCue<'a> {
    pub title: &'a str,
    /// Its place in the set, from 1, of so many.
    pub number: usize,
    pub of: usize,
    /// The key that sounds on this page.
    pub key: Key,
    /// The name that was asked for (`B♯`), where the key was respelled and not called anew.
    pub asked_for: Respelled,
    /// Where the capo belongs on this page, 0 for none.
    pub capo: Fret,
    /// The family at that fret; none where unplayable.
    pub shapes: Option<Family>,
    pub tempo: Option<Tempo>,
    pub meter: Option<Meter>,
    pub note: Option<&'a str>,
}

/// The name asked for, with signs, where it differs.
pub type Respelled = Option<String>;

#[derive(Clone, Debug, PartialEq)]
pub struct Gap<'a> {
    pub song: SongCue<'a>,
    /// Where the capo is now (on a peek: where it is on the page underneath); none before the first section page.
    pub capo_now: Option<Fret>,
    /// How many frets it moves up, negative for down; 0 stays.
    pub r#move: i8,
    /// The seconds free before the song; none before the first.
    pub free: Option<Seconds>,
    /// The capo moves, and in less time than the player needs.
    pub rushed: bool,
    /// The song's first step; none where it has no sections.
    pub first: Option<StepCue<'a>>,
    /// The seven chords of the family, 1 to 7, as fingered; empty where unplayable.
    pub chords: Vec<ChordCue>,
}

/// A step in brief, for looking ahead.
#[derive(Clone, Debug, PartialEq)]
pub struct StepCue<'a> {
    pub name: &'a str,
    pub technique: Option<&'a Technique>,
    /// A position of the selector, as written.
    pub pickup: Option<&'a str>,
    /// Whether each differs from the step on this page; on a gap page both are false.
    pub technique_changes: bool,
    pub pickup_changes: bool,
    pub key_changes: Option<Key>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct SectionCue<'a> {
    pub song: SongCue<'a>,
    pub name: &'a str,
    /// How many times it has been played in a row by `again`, from 1.
    pub times: u32,
    /// Its place in the order, from 1, of so many.
    pub step: usize,
    pub of: usize,
    pub technique: Option<&'a Technique>,
    pub pickup: Option<&'a str>,
    /// Whether each differs from the step before it in the order (for the first step: false).
    pub technique_changed: bool,
    pub pickup_changed: bool,
    /// Whether the key differs from the step before it (or, for the first step, from the song's own).
    pub key_changed: bool,
    /// The way the capo must go after a key call in the song, until the next action; else 0.
    pub r#move: i8,
    pub bars: Option<Bars>,
    pub note: Option<&'a str>,
    /// The section's chords bar by bar; an empty bar list where the file gives none.
    pub chords: Vec<Vec<ChordCue>>,
    /// The names of all steps of the song's order.
    pub steps: Vec<&'a str>,
    pub next: NextUp<'a>,
}

/// What comes after this step.
#[derive(Clone, Debug, PartialEq)]
pub enum NextUp<'a> {
    Step(StepCue<'a>),
    Song {
        title: &'a str,
        capo: Fret,
        r#move: i8,
        shapes: Option<Family>,
        key: Key,
    },
    End,
}

/// A chord by number and as fingered; `NC` where there is no chord.
#[derive(Clone, Debug, PartialEq)]
pub struct ChordCue {
    /// `6-`, `♭7`, `5/7`, `NC`.
    pub number: String,
    /// As fingered in the family, or as it sounds where there is none.
    pub fingered: Option<Chord>,
}
