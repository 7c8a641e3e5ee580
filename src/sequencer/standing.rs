//! Where a show stood, by names: enough to go on in a set that has changed since.

use crate::music::Fret;
use crate::plan::{Planned, family_of};
use crate::sequencer::state::{Call, Page, State};
use crate::sequencer::{Line, Sequencer};
use crate::setlist::{Set, SongId, StepId};
use serde::{Deserialize, Serialize};

/// What a line does not say and a changed set asks for: a look ahead's line tells of the page that is looked at.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Standing {
    /// Which time the section comes in its song, from 1; 0 off a section page.
    #[serde(default, skip_serializing_if = "is_none")]
    nth: usize,
    /// The fret that is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    on: Option<u8>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    calls: Vec<CalledKey>,
    /// The page underneath a look ahead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    under: Option<Box<Line>>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct CalledKey {
    title: String,
    semitones: i32,
    upwards: bool,
    fret: u8,
}

fn is_none(count: &usize) -> bool {
    *count == 0
}

impl Standing {
    pub fn of(planned: &Planned, state: &State) -> Standing {
        let set = &planned.set;
        let nth = match state.page {
            Page::Section(here) => {
                let before = named(set, here.song(), &set.section(here).name).take_while(|&step| step != here);
                before.count() + 1
            }
            Page::Gap(_) | Page::End => 0,
        };
        let called = |(song, call): &(SongId, Call)| CalledKey {
            title: set.song(*song).title.clone(),
            semitones: call.semitones,
            upwards: call.upwards,
            fret: call.fret.number(),
        };
        Standing {
            nth,
            on: state.on.map(Fret::number),
            calls: state.calls.iter().map(called).collect(),
            under: state.is_peeking().then(|| Box::new(under(planned, state))),
        }
    }

    /// A sequencer on the page that this line and what goes with it tell of, or the nearest that the set has: the
    /// song's gap page where the step is gone, the song that stands in its place where the song is. A look ahead is
    /// over, and there is nothing to undo.
    pub fn find(&self, line: &Line, planned: &Planned) -> Sequencer {
        let set = &planned.set;
        let line = self.under.as_deref().unwrap_or(line);
        let page = self.page(line, set);
        let mut state = State {
            page,
            times: 0,
            locked: line.locked,
            on: self.on.and_then(fret),
            ..State::open(planned)
        };
        for called in &self.calls {
            if let Some(song) = titled(set, &called.title, line.song) {
                call(planned, &mut state, song, called);
            }
        }
        if let Page::Section(step) = page {
            state.times = line.times.max(1);
            let fret = state.fret(planned, step.song());
            state.called_move = state.on.map_or(0, |on| fret.move_from(on));
        }
        Sequencer::standing(planned, state, Vec::new())
    }

    fn page(&self, line: &Line, set: &Set) -> Page {
        let Some(title) = &line.title else { return Page::End };
        let song = titled(set, title, line.song);
        let step = song.zip(line.section.as_deref()).and_then(|(song, section)| {
            let nth = self.nth.checked_sub(1)?;
            named(set, song, section).nth(nth)
        });
        let in_its_place = || set.song_numbered(line.song).unwrap_or_else(|| set.last_song());
        step.map_or_else(|| Page::Gap(song.unwrap_or_else(in_its_place)), Page::Section)
    }
}

fn under(planned: &Planned, state: &State) -> Line {
    let state = State {
        peeking: false,
        ..state.clone()
    };
    Line::new(planned, &state)
}

/// The song of this title, the one nearest to that number where several share it.
fn titled(set: &Set, title: &str, number: usize) -> Option<SongId> {
    let same = set.song_ids().filter(|&song| set.song(song).title == title);
    same.min_by_key(|song| song.number().abs_diff(number))
}

fn named<'s>(set: &'s Set, song: SongId, name: &'s str) -> impl Iterator<Item = StepId> + 's {
    set.steps(song).filter(move |&step| set.section(step).name == name)
}

/// A key called before: at its fret where that still plays the key, else at the plan's.
fn call(planned: &Planned, state: &mut State, song: SongId, called: &CalledKey) {
    let mut call = Call {
        semitones: called.semitones,
        upwards: called.upwards,
        fret: planned.plan.fret(song, 0),
    };
    state.set_call(song, call);
    let shapes = &planned.set.first_player().shapes;
    let key = state.song_key(planned, song);
    if let Some(fret) = fret(called.fret).filter(|&fret| family_of(shapes, fret, key).is_some()) {
        call.fret = fret;
        state.set_call(song, call);
    }
}

fn fret(number: u8) -> Option<Fret> {
    Fret::new(number.into()).ok()
}
