//! Where a show stands: the page, how often it was played, the keys that were called, the fret that is on.

use crate::music::{AskedKey, Family, Fret, Key};
use crate::plan::{Planned, family_of};
use crate::setlist::{SongId, StepId};
use std::sync::Arc;

/// A page of the set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// Before a song: what to set up.
    Gap(SongId),
    /// A step of a song.
    Section(StepId),
    /// After the last song.
    End,
}

/// What the screen shows: a peek is the next song's gap page, seen from the page underneath.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shown {
    Gap { song: SongId, capo_now: Option<Fret> },
    Peek { song: SongId, capo_now: Option<Fret> },
    Section(StepId),
    End,
}

/// A key called on stage: it belongs to its song for the rest of the show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Call {
    /// From the file's keys.
    pub(super) semitones: i32,
    /// Whether the last call went up: names of six accidentals are then sharp.
    pub(super) upwards: bool,
    /// The first player's fret for the song since.
    pub(super) fret: Fret,
}

/// The keys called, by song, in order. One word long, since every state that `undo` keeps has one.
pub(super) type Calls = Arc<Vec<(SongId, Call)>>;

/// Where a show stands. Small, so that `undo` keeps a thousand of them.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    pub(super) page: Page,
    /// How many times the step was played in a row by `again`; 0 off a section page.
    pub(super) times: u32,
    /// The next song's gap page is shown instead.
    pub(super) peeking: bool,
    pub(super) locked: bool,
    /// The fret of the section page shown last.
    pub(super) on: Option<Fret>,
    /// How a key call in the song moved the capo, until the next accepted action.
    pub(super) called_move: i8,
    /// Shared between the states that `undo` keeps.
    pub(super) calls: Calls,
}

impl State {
    /// The opening: the first song's gap page.
    pub fn open(planned: &Planned) -> State {
        State {
            page: Page::Gap(planned.set.first_song()),
            times: 0,
            peeking: false,
            locked: false,
            on: None,
            called_move: 0,
            calls: Calls::default(),
        }
    }

    /// The page that actions act from; a peek looks past it.
    pub fn page(&self) -> Page {
        self.page
    }

    pub fn is_peeking(&self) -> bool {
        self.peeking
    }

    pub fn is_locked(&self) -> bool {
        self.locked
    }

    /// The song of the page, a peek aside.
    pub fn song(&self) -> Option<SongId> {
        match self.page {
            Page::Gap(song) => Some(song),
            Page::Section(step) => Some(step.song()),
            Page::End => None,
        }
    }

    pub(super) fn shown(&self, planned: &Planned) -> Shown {
        if self.peeking
            && let Some(under) = self.song()
            && let Some(song) = planned.set.song_after(under)
        {
            let capo_now = Some(self.fret(planned, under));
            return Shown::Peek { song, capo_now };
        }
        match self.page {
            Page::Gap(song) => Shown::Gap {
                song,
                capo_now: self.on,
            },
            Page::Section(step) => Shown::Section(step),
            Page::End => Shown::End,
        }
    }

    pub(super) fn call(&self, song: SongId) -> Option<Call> {
        let place = self.calls.binary_search_by_key(&song, |(song, _)| *song).ok()?;
        Some(self.calls[place].1)
    }

    pub(super) fn set_call(&mut self, song: SongId, call: Call) {
        let calls = Arc::make_mut(&mut self.calls);
        match calls.binary_search_by_key(&song, |(song, _)| *song) {
            Ok(place) => calls[place].1 = call,
            Err(place) => calls.insert(place, (song, call)),
        }
    }

    /// Whether page, count or keys differ: what `undo` takes back.
    pub(super) fn differs_from(&self, other: &State) -> bool {
        self.page != other.page || self.times != other.times || self.calls != other.calls
    }

    /// The first player's fret for a song, as planned or as called since.
    pub(super) fn fret(&self, planned: &Planned, song: SongId) -> Fret {
        self.call(song)
            .map_or_else(|| planned.plan.fret(song, 0), |call| call.fret)
    }

    /// A key of the file as it sounds now that its song may have been called elsewhere.
    pub(super) fn sounding(&self, song: SongId, written: AskedKey) -> Key {
        match self.call(song) {
            Some(call) if call.semitones.rem_euclid(12) != 0 => written.key().transposed(call.semitones, call.upwards),
            _ => written.key(),
        }
    }

    /// The key that sounds on a song's gap page.
    pub(super) fn song_key(&self, planned: &Planned, song: SongId) -> Key {
        self.sounding(song, planned.set.song(song).key)
    }

    /// The key that sounds in a step.
    pub(super) fn step_key(&self, planned: &Planned, step: StepId) -> Key {
        self.sounding(step.song(), planned.set.section(step).key)
    }

    /// The first player's family for a key of a song, if the fret gives one.
    pub(super) fn shapes(&self, planned: &Planned, song: SongId, key: Key) -> Option<Family> {
        family_of(&planned.set.first_player().shapes, self.fret(planned, song), key)
    }

    /// How far the capo moves to a song's fret. Before the first section page no capo is on: it is put where the page
    /// says.
    pub(super) fn r#move(&self, planned: &Planned, song: SongId, capo_now: Option<Fret>) -> i8 {
        let fret = self.fret(planned, song);
        fret.move_from(capo_now.unwrap_or(fret))
    }
}
