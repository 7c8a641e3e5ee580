//! The sequencer: a state, what `undo` can bring back, and the clock by which a step may end.

use crate::plan::Planned;
use crate::sequencer::anew::{Anew, Places};
use crate::sequencer::apply::{apply, settled};
use crate::sequencer::follow::{Follow, StepEnd};
use crate::sequencer::state::{Page, State};
use crate::sequencer::{Action, Refused};
use crate::setlist::{SongId, StepId};
use std::collections::VecDeque;

/// How many actions `undo` can take back: more than an evening has, in bounded memory. There is room for all of them from
/// the start, since growing would copy them in mid-show.
const MOST_UNDOS: usize = 1000;

/// A running show, without threads, files or a clock of its own.
#[derive(Clone, Debug)]
pub struct Sequencer {
    now: Moment,
    before: VecDeque<Moment>,
    follow: Follow,
}

/// What an accepted action has entered, whose messages then go out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entered {
    /// A song's gap page, from elsewhere than that song.
    Song(SongId),
    Step(StepId),
    Nothing,
}

/// What `undo` brings back.
#[derive(Clone, Debug)]
struct Moment {
    state: State,
    ends: StepEnd,
}

impl Moment {
    /// Room for all that `undo` can bring back. It is filled and emptied once, since a system gives memory only when it is
    /// written, and none shall be lacking in mid-show.
    fn room(&self) -> VecDeque<Moment> {
        let mut room = VecDeque::from(vec![self.clone(); MOST_UNDOS]);
        room.clear();
        room
    }
}

impl Sequencer {
    /// The opening: the first song's gap page.
    pub fn open(planned: &Planned) -> Sequencer {
        let now = Moment {
            state: State::open(planned),
            ends: StepEnd::NEVER,
        };
        Sequencer {
            before: now.room(),
            now,
            follow: Follow::default(),
        }
    }

    /// A sequencer on a page that it did not come to by itself, with what `undo` can bring back, oldest first.
    pub(super) fn standing(planned: &Planned, state: State, before: Vec<State>) -> Sequencer {
        let follow = Follow::default();
        let moment = |state: State| Moment {
            ends: end_of(&follow, planned, &state),
            state,
        };
        let now = moment(state);
        let too_many = before.len().saturating_sub(MOST_UNDOS);
        let mut known = now.room();
        known.extend(before.into_iter().skip(too_many).map(moment));
        Sequencer {
            now,
            before: known,
            follow: follow.clone(),
        }
    }

    pub fn state(&self) -> &State {
        &self.now.state
    }

    /// The state that an action would lead to; none where it is refused, or is an `undo`.
    pub fn foresee(&self, planned: &Planned, action: &Action) -> Option<State> {
        apply(planned, self.state(), action).ok()
    }

    /// What `undo` can bring back, oldest first.
    pub(super) fn undoable(&self) -> impl Iterator<Item = &State> {
        self.before.iter().map(|moment| &moment.state)
    }

    /// The clock's place is not known: the step begins anew with the first clock that comes.
    pub fn forget_clock(&mut self, planned: &Planned) {
        self.follow = Follow::default();
        self.now.ends = end_of(&self.follow, planned, &self.now.state);
    }

    /// Does an action.
    ///
    /// # Errors
    /// The refusal; nothing has changed then, a peek included.
    pub fn apply(&mut self, planned: &Planned, action: &Action) -> Result<Entered, Refused> {
        if *action == Action::Undo {
            let before = self.now.state.clone();
            self.undo(planned)?;
            return Ok(entered(
                &before,
                &self.now.state,
                before.page() != self.now.state.page(),
            ));
        }
        let state = apply(planned, &self.now.state, action)?;
        let ends = self.end_after(planned, &state, action);
        let before = std::mem::replace(&mut self.now, Moment { state, ends });
        let entered = entered(
            &before.state,
            &self.now.state,
            enters(action) && self.now.state.times <= 1,
        );
        if self.now.state.differs_from(&before.state) {
            if self.before.len() == MOST_UNDOS {
                self.before.pop_front();
            }
            self.before.push_back(before);
        }
        Ok(entered)
    }

    /// Goes on in a set that was read anew, on the same page; what `undo` can bring back goes along, but for what would
    /// be the same as what came after it. Nothing is entered by it.
    pub fn move_to(&mut self, old: &Planned, new: &Anew) {
        let mut places = Places::new(old, new);
        self.now = self.moved(&mut places, &self.now, old, new);
        let mut before = self.now.room();
        for moment in self.before.iter().rev() {
            let moment = self.moved(&mut places, moment, old, new);
            if moment.state.differs_from(&before.front().unwrap_or(&self.now).state) {
                before.push_front(moment);
            }
        }
        self.before = before;
    }

    fn moved(&self, places: &mut Places<'_>, moment: &Moment, old: &Planned, new: &Anew) -> Moment {
        let state = places.state(&moment.state);
        let ends = match (moment.state.page(), state.page()) {
            (Page::Section(was), Page::Section(is)) => {
                let (was, is) = ((&old.set, was), (&new.planned().set, is));
                self.follow.end_moved(was, is, moment.ends, moment.state.times)
            }
            (Page::Gap(_) | Page::Section(_) | Page::End, _) => StepEnd::NEVER,
        };
        Moment { state, ends }
    }

    /// Counts a MIDI clock; whether the step is over with it, so that `next` is due.
    pub fn clock(&mut self) -> bool {
        self.follow.clock();
        self.follow.is_due(self.now.ends)
    }

    /// The clock's next place is 0.
    pub fn clock_starts(&mut self) {
        self.follow.start();
    }

    /// The clock's place is frozen.
    pub fn clock_stops(&mut self) {
        self.follow.stop();
    }

    /// The clock's place runs on.
    pub fn clock_continues(&mut self) {
        self.follow.resume();
    }

    fn undo(&mut self, planned: &Planned) -> Result<(), Refused> {
        if self.now.state.is_locked() {
            return Err(Refused::Locked);
        }
        let Moment { state, ends } = self.before.pop_back().ok_or(Refused::NothingToUndo)?;
        let ends = match state.page() {
            Page::Section(step) => self.follow.end_again(&planned.set, step, ends),
            Page::Gap(_) | Page::End => StepEnd::NEVER,
        };
        self.now = Moment {
            state: settled(&state),
            ends,
        };
        Ok(())
    }

    fn end_after(&self, planned: &Planned, after: &State, action: &Action) -> StepEnd {
        let Page::Section(step) = after.page() else {
            return StepEnd::NEVER;
        };
        let before = &self.now;
        if enters(action) && after.times <= 1 {
            return self.follow.end_of(&planned.set, step);
        }
        let again = after.times > before.state.times;
        if again {
            before.ends.later(&planned.set, step)
        } else {
            before.ends
        }
    }
}

/// Where a step that begins now ends by the clock.
fn end_of(follow: &Follow, planned: &Planned, state: &State) -> StepEnd {
    match state.page() {
        Page::Section(step) => follow.end_of(&planned.set, step),
        Page::Gap(_) | Page::End => StepEnd::NEVER,
    }
}

/// Whether the action goes to a page, be it the one that is on. A step that is counted more than once was not entered
/// but played again.
fn enters(action: &Action) -> bool {
    match action {
        Action::Next
        | Action::Back
        | Action::NextSong
        | Action::PreviousSong
        | Action::Top
        | Action::Song(_)
        | Action::Section(_)
        | Action::Bar(_) => true,
        Action::Again | Action::Peek | Action::KeyUp | Action::KeyDown | Action::Lock | Action::Undo => false,
    }
}

fn entered(before: &State, after: &State, enters: bool) -> Entered {
    match after.page() {
        Page::Gap(song) if enters && before.song() != Some(song) => Entered::Song(song),
        Page::Section(step) if enters => Entered::Step(step),
        Page::Gap(_) | Page::Section(_) | Page::End => Entered::Nothing,
    }
}
