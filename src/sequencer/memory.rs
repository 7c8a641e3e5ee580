//! A sequencer as plain numbers that a file can keep, undo and all, and made whole again from them.
//!
//! The numbers are places in one set: whoever keeps them sees to it that they are read with the same one.

use crate::music::Fret;
use crate::plan::Planned;
use crate::sequencer::Sequencer;
use crate::sequencer::state::{Call, Page, State};
use crate::setlist::{Set, SongId};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// All that a sequencer knows but the clock's place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Memory {
    now: Stood,
    /// What `undo` can bring back, oldest first.
    before: Vec<Stood>,
}

/// A state: song (0 at the end), step (0 on a gap page), times, peeking, locked, the fret that is on, the mark of a
/// key call, and the keys called where they differ from the state before.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Stood(
    usize,
    usize,
    u32,
    bool,
    bool,
    Option<u8>,
    i8,
    Option<Vec<(usize, i32, bool, u8)>>,
);

impl Memory {
    pub fn of(sequencer: &Sequencer) -> Memory {
        let mut calls = Arc::default();
        let before = sequencer.undoable().map(|state| stood(state, &mut calls)).collect();
        Memory {
            before,
            now: stood(sequencer.state(), &mut calls),
        }
    }

    /// The sequencer as it was, in the set that it was in; none where that set has no such place.
    pub fn restore(&self, planned: &Planned) -> Option<Sequencer> {
        let mut calls = Arc::default();
        let mut state = |stood: &Stood| state(&planned.set, stood, &mut calls);
        let before = self.before.iter().map(&mut state).collect::<Option<Vec<State>>>()?;
        Some(Sequencer::standing(planned, state(&self.now)?, before))
    }
}

fn stood(state: &State, calls: &mut Arc<[(SongId, Call)]>) -> Stood {
    let (song, step) = match state.page {
        Page::Gap(song) => (song.number(), 0),
        Page::Section(step) => (step.song().number(), step.number()),
        Page::End => (0, 0),
    };
    let changed = !Arc::ptr_eq(calls, &state.calls) && **calls != *state.calls;
    *calls = state.calls.clone();
    let listed = |(song, call): &(SongId, Call)| (song.number(), call.semitones, call.upwards, call.fret.number());
    Stood(
        song,
        step,
        state.times,
        state.peeking,
        state.locked,
        state.on.map(Fret::number),
        state.called_move,
        changed.then(|| state.calls.iter().map(listed).collect()),
    )
}

fn state(set: &Set, stood: &Stood, calls: &mut Arc<[(SongId, Call)]>) -> Option<State> {
    let &Stood(song, step, times, peeking, locked, on, called_move, ref called) = stood;
    let fret = |number: u8| Fret::new(number.into()).ok();
    let page = match (song, step) {
        (0, _) => Page::End,
        (song, 0) => Page::Gap(set.song_numbered(song)?),
        (song, step) => Page::Section(set.steps(set.song_numbered(song)?).nth(step - 1)?),
    };
    if let Some(called) = called {
        let call = |&(song, semitones, upwards, at): &(usize, i32, bool, u8)| {
            let fret = fret(at)?;
            let call = Call {
                semitones,
                upwards,
                fret,
            };
            Some((set.song_numbered(song)?, call))
        };
        let mut list = called.iter().map(call).collect::<Option<Vec<_>>>()?;
        list.sort_unstable_by_key(|(song, _)| *song);
        *calls = list.into();
    }
    Some(State {
        page,
        times,
        peeking,
        locked,
        on: match on {
            Some(number) => Some(fret(number)?),
            None => None,
        },
        called_move,
        calls: calls.clone(),
    })
}
