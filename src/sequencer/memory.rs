//! A sequencer as plain numbers that a file can keep, undo and all, and made whole again from them.
//!
//! The numbers are places in one set: whoever keeps them sees to it that they are read with the same one.

use crate::music::Fret;
use crate::plan::Planned;
use crate::sequencer::Sequencer;
use crate::sequencer::state::{Call, Calls, Page, State};
use crate::setlist::{Set, SongId};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// All that a sequencer knows but the clock's place. Small: it is made in mid-show.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Memory {
    now: Stood,
    peeking: bool,
    locked: bool,
    called_move: i8,
    /// What `undo` can bring back, oldest first: neither a look ahead nor a lock is among it.
    before: Vec<Stood>,
    /// The keys called, from the state of this place in `before` on; behind its end is `now`.
    calls: Vec<(usize, Vec<Called>)>,
}

/// Song (0 at the end page), step (0 on a gap page), times, and the fret that is on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
struct Stood(u32, u32, u32, Option<u8>);

/// A song's number, semitones, whether upwards, and the fret since.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
struct Called(u32, i32, bool, u8);

impl Memory {
    pub fn of(sequencer: &Sequencer) -> Memory {
        let now = sequencer.state();
        let mut calls = Vec::new();
        let mut known = Calls::default();
        let states = sequencer.undoable().chain([now]);
        for (place, state) in states.enumerate() {
            if !Arc::ptr_eq(&known, &state.calls) && known != state.calls {
                calls.push((place, state.calls.iter().map(called).collect()));
            }
            known.clone_from(&state.calls);
        }
        Memory {
            now: stood(now),
            peeking: now.peeking,
            locked: now.locked,
            called_move: now.called_move,
            before: sequencer.undoable().map(stood).collect(),
            calls,
        }
    }

    /// The sequencer as it was, in the set that it was in; none where that set has no such place.
    pub fn restore(&self, planned: &Planned) -> Option<Sequencer> {
        let set = &planned.set;
        let (mut known, mut calls) = (Calls::default(), self.calls.iter().peekable());
        let mut states = Vec::with_capacity(self.before.len());
        for (place, stood) in self.before.iter().chain([&self.now]).enumerate() {
            if let Some((_, called)) = calls.next_if(|(from, _)| *from == place) {
                known = calls_of(set, called)?;
            }
            states.push(state(set, *stood, &known)?);
        }
        let now = State {
            peeking: self.peeking,
            locked: self.locked,
            called_move: self.called_move,
            ..states.pop()?
        };
        Some(Sequencer::standing(planned, now, states))
    }
}

fn stood(state: &State) -> Stood {
    let (song, step) = match state.page {
        Page::Gap(song) => (song.number(), 0),
        Page::Section(step) => (step.song().number(), step.number()),
        Page::End => (0, 0),
    };
    Stood(song as u32, step as u32, state.times, state.on.map(Fret::number))
}

fn called((song, call): &(SongId, Call)) -> Called {
    Called(song.number() as u32, call.semitones, call.upwards, call.fret.number())
}

fn state(set: &Set, stood: Stood, calls: &Calls) -> Option<State> {
    let Stood(song, step, times, on) = stood;
    let page = match (song as usize, step as usize) {
        (0, _) => Page::End,
        (song, 0) => Page::Gap(set.song_numbered(song)?),
        (song, step) => Page::Section(set.steps(set.song_numbered(song)?).nth(step - 1)?),
    };
    let on = match on {
        Some(number) => Some(fret(number)?),
        None => None,
    };
    Some(State {
        page,
        times,
        peeking: false,
        locked: false,
        on,
        called_move: 0,
        calls: calls.clone(),
    })
}

fn calls_of(set: &Set, called: &[Called]) -> Option<Calls> {
    let call = |&Called(song, semitones, upwards, at): &Called| {
        let fret = fret(at)?;
        let call = Call {
            semitones,
            upwards,
            fret,
        };
        Some((set.song_numbered(song as usize)?, call))
    };
    let mut calls = called.iter().map(call).collect::<Option<Vec<_>>>()?;
    calls.sort_unstable_by_key(|(song, _)| *song);
    Some(calls.into())
}

fn fret(number: u8) -> Option<Fret> {
    Fret::new(number.into()).ok()
}
