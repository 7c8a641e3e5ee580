//! A set read anew in the middle of a show: every place in the set before is found in it by name, here alone.

use crate::music::Fret;
use crate::plan::{CalledSong, Planned, called_fret, family_of};
use crate::sequencer::state::{Call, Calls, Page, State};
use crate::setlist::{Set, SongId, StepId};
use std::sync::Arc;

/// A set read anew, and its songs by title, so that places are found in it without a search through it all.
#[derive(Clone, Debug)]
pub struct Anew {
    planned: Planned,
    /// By title, those of one title in their order.
    by_title: Vec<SongId>,
}

/// Finds the places of one set in another, and remembers the keys that were called it has carried over.
pub(super) struct Places<'p> {
    old: &'p Planned,
    new: &'p Anew,
    calls: Option<(Calls, Calls)>,
}

impl Anew {
    pub fn new(planned: Planned) -> Anew {
        let mut by_title: Vec<SongId> = planned.set.song_ids().collect();
        by_title.sort_by_key(|&song| (planned.set.song(song).title.as_str(), song));
        Anew { planned, by_title }
    }

    pub fn planned(&self) -> &Planned {
        &self.planned
    }

    pub fn into_planned(self) -> Planned {
        self.planned
    }

    /// The song of this title nearest to where `old` stands in its set. Of two as near it is the one that is as many
    /// of that title into the set as `old` is into its own; of `rank` before it.
    fn titled(&self, title: &str, old: SongId, rank: impl FnOnce() -> usize) -> Option<SongId> {
        let name = |song: &SongId| self.planned.set.song(*song).title.as_str();
        let start = self.by_title.partition_point(|song| name(song) < title);
        let same = &self.by_title[start..];
        let same = &same[..same.partition_point(|song| name(song) == title)];
        let after = same.partition_point(|song| *song < old);
        let far = |song: SongId| song.index().abs_diff(old.index());
        match (
            after.checked_sub(1).map(|before| same[before]),
            same.get(after).copied(),
        ) {
            (Some(before), Some(behind)) if far(before) == far(behind) => {
                Some(if rank() >= after { behind } else { before })
            }
            (Some(before), Some(behind)) if far(before) < far(behind) => Some(before),
            (before, behind) => behind.or(before),
        }
    }
}

impl<'p> Places<'p> {
    pub(super) fn new(old: &'p Planned, new: &'p Anew) -> Places<'p> {
        let calls = None;
        Places { old, new, calls }
    }

    /// The state as it stands in the new set: the same page where there is one, everything else as it was. The fret
    /// that is on stays; on a section page for which the plan now has another one, the move to it is shown.
    pub(super) fn state(&mut self, state: &State) -> State {
        let set = &self.new.planned.set;
        let page = self.page(state.page);
        let mut after = State {
            page,
            times: if matches!(page, Page::Section(_)) {
                state.times
            } else {
                0
            },
            calls: self.calls(state),
            ..state.clone()
        };
        after.peeking = state.peeking && after.song().is_some_and(|song| set.song_after(song).is_some());
        after.called_move = match (state.page, page) {
            (Page::Section(was), Page::Section(is)) => {
                let fret = after.fret(&self.new.planned, is.song());
                match after.on {
                    Some(on) if fret != state.fret(self.old, was.song()) => fret.move_from(on),
                    _ => state.called_move,
                }
            }
            (Page::Gap(_) | Page::Section(_) | Page::End, _) => 0,
        };
        after
    }

    /// The same page, the song's gap page where its step is gone, or the gap page of the song that stands where it
    /// stood, the last one where the set ends before that.
    fn page(&self, page: Page) -> Page {
        match page {
            Page::Gap(song) => Page::Gap(self.song_or_its_place(song)),
            Page::Section(step) => match self.step(step) {
                Some(step) => Page::Section(step),
                None => Page::Gap(self.song_or_its_place(step.song())),
            },
            Page::End => Page::End,
        }
    }

    /// The song of the same title, the nearest where several share it.
    fn song(&self, old: SongId) -> Option<SongId> {
        let title = self.old.set.song(old).title.as_str();
        let before = || self.old.set.songs()[..old.index()].iter();
        self.new
            .titled(title, old, || before().filter(|song| song.title == title).count())
    }

    fn song_or_its_place(&self, old: SongId) -> SongId {
        let set = &self.new.planned.set;
        self.song(old)
            .or_else(|| set.song_numbered(old.number()))
            .unwrap_or_else(|| set.last_song())
    }

    /// The step of the same section's name, and the same time that it comes.
    fn step(&self, old: StepId) -> Option<StepId> {
        let name = self.old.set.section(old).name.as_str();
        let earlier = named(&self.old.set, old.song(), name).take_while(|&step| step != old);
        named(&self.new.planned.set, self.song(old.song())?, name).nth(earlier.count())
    }

    /// The keys that were called, each with its song; that of a song that is gone goes with it.
    fn calls(&mut self, state: &State) -> Calls {
        if let Some((old, new)) = &self.calls
            && Arc::ptr_eq(old, &state.calls)
        {
            return new.clone();
        }
        let mut after = State {
            calls: Calls::default(),
            ..state.clone()
        };
        let moved = state
            .calls
            .iter()
            .filter_map(|&(song, call)| Some((song, self.song(song)?, call)));
        for (was, is, call) in moved {
            // Where two songs of one title have become one, the first one's key stays.
            if after.call(is).is_none() {
                after.set_call(is, call);
                let fret = self.called_fret(state, &after, was, is, call);
                after.set_call(is, Call { fret, ..call });
            }
        }
        self.calls = Some((state.calls.clone(), after.calls.clone()));
        after.calls
    }

    /// The fret stays where it plays the key, or where nothing that it was chosen by has changed.
    fn called_fret(&self, state: &State, after: &State, was: SongId, is: SongId, call: Call) -> Fret {
        let planned = &self.new.planned;
        let (before, player) = (self.old.set.first_player(), planned.set.first_player());
        let (old_key, key) = (state.song_key(self.old, was), after.song_key(planned, is));
        let unchanged = key == old_key && before.shapes == player.shapes && before.highest_fret == player.highest_fret;
        let plays = call.fret <= player.highest_fret && family_of(&player.shapes, call.fret, key).is_some();
        if unchanged || plays {
            return call.fret;
        }
        let called = CalledSong {
            song: is,
            semitones: call.semitones,
            on: state.on,
            free: planned.set.song(is).gap,
            next: planned.set.song_after(is).map(|next| after.fret(planned, next)),
        };
        called_fret(planned, &called)
    }
}

fn named<'s>(set: &'s Set, song: SongId, name: &'s str) -> impl Iterator<Item = StepId> + 's {
    set.steps(song).filter(move |&step| set.section(step).name == name)
}
