//! What each action does from each page. The rows stand in the order of the table of actions, so that eye and document
//! go side by side.

use crate::plan::Planned;
use crate::sequencer::call;
use crate::sequencer::state::{Page, State};
use crate::sequencer::{Action, Refused};
use crate::setlist::{Set, SongId, StepId};

/// The state after an action, all but `undo`, which needs what came before.
///
/// # Errors
/// The refusal; nothing has changed then.
pub(super) fn apply(planned: &Planned, state: &State, action: &Action) -> Result<State, Refused> {
    if state.locked && *action != Action::Lock {
        return Err(Refused::Locked);
    }
    let set = &planned.set;
    let page = state.page;
    match action {
        Action::Next => Ok(enter(planned, state, next(set, page))),
        Action::Back => Ok(enter(planned, state, back(set, page))),
        Action::NextSong => Ok(enter(planned, state, next_song(set, page))),
        Action::PreviousSong => Ok(enter(planned, state, previous_song(set, page))),
        Action::Top => top(set, page).map(|page| enter(planned, state, page)),
        Action::Song(number) => song(set, *number).map(|page| enter(planned, state, page)),
        Action::Section(name) => match section(set, page, name)? {
            Named::Step(step) => Ok(enter(planned, state, Page::Section(step))),
            Named::ThisAlone => Ok(again(state)),
        },
        Action::Bar(number) => bar(set, page, *number).map(|page| enter(planned, state, page)),
        Action::Again => Ok(again(state)),
        Action::Peek => peek(set, state),
        Action::KeyUp => call::moved(planned, state, 1),
        Action::KeyDown => call::moved(planned, state, -1),
        Action::Lock => Ok(State {
            locked: !state.locked,
            ..settled(state)
        }),
        Action::Undo => Err(Refused::NothingToUndo),
    }
}

/// The state once an action is accepted: a peek and the mark of a key call are over.
pub(super) fn settled(state: &State) -> State {
    State {
        peeking: false,
        called_move: 0,
        ..state.clone()
    }
}

fn enter(planned: &Planned, state: &State, page: Page) -> State {
    let mut after = State { page, ..settled(state) };
    after.times = match page {
        Page::Section(step) => {
            after.on = Some(state.fret(planned, step.song()));
            1
        }
        Page::Gap(_) | Page::End => 0,
    };
    after
}

fn gap_or_end(song: Option<SongId>) -> Page {
    song.map_or(Page::End, Page::Gap)
}

fn next(set: &Set, page: Page) -> Page {
    let leave = |song| gap_or_end(set.song_after(song));
    match page {
        Page::Gap(song) => set.first_step(song).map_or_else(|| leave(song), Page::Section),
        Page::Section(step) => set.step_after(step).map_or_else(|| leave(step.song()), Page::Section),
        Page::End => Page::End,
    }
}

fn back(set: &Set, page: Page) -> Page {
    let last_of = |song| set.last_step(song).map_or(Page::Gap(song), Page::Section);
    match page {
        Page::Gap(song) => set.song_before(song).map_or(page, last_of),
        Page::Section(step) => set.step_before(step).map_or(Page::Gap(step.song()), Page::Section),
        Page::End => last_of(set.last_song()),
    }
}

fn next_song(set: &Set, page: Page) -> Page {
    match page {
        Page::Gap(song) => gap_or_end(set.song_after(song)),
        Page::Section(step) => gap_or_end(set.song_after(step.song())),
        Page::End => Page::End,
    }
}

fn previous_song(set: &Set, page: Page) -> Page {
    match page {
        Page::Gap(song) => set.song_before(song).map_or(page, Page::Gap),
        Page::Section(step) => Page::Gap(step.song()),
        Page::End => Page::Gap(set.last_song()),
    }
}

fn top(set: &Set, page: Page) -> Result<Page, Refused> {
    let song = song_of(page)?;
    set.first_step(song).map(Page::Section).ok_or(Refused::NoSteps)
}

fn song(set: &Set, number: u32) -> Result<Page, Refused> {
    set.song_numbered(number as usize)
        .map(Page::Gap)
        .ok_or(Refused::NoSong(number))
}

/// Where `section NAME` leads.
enum Named {
    Step(StepId),
    /// The step played is the only one of that name.
    ThisAlone,
}

fn section(set: &Set, page: Page, name: &std::sync::Arc<str>) -> Result<Named, Refused> {
    let wanted = name.to_lowercase();
    let named = |step: &StepId| set.section(*step).name.to_lowercase() == wanted;
    let song = song_of(page)?;
    let found = match page {
        Page::Section(here) => {
            let later = set.steps(song).skip(here.number()).find(named);
            later
                .or_else(|| set.steps(song).take(here.number()).find(named))
                .map(|step| {
                    if step == here {
                        Named::ThisAlone
                    } else {
                        Named::Step(step)
                    }
                })
        }
        Page::Gap(_) | Page::End => set.steps(song).find(named).map(Named::Step),
    };
    found.ok_or_else(|| Refused::NoSection(name.clone()))
}

fn bar(set: &Set, page: Page, number: u32) -> Result<Page, Refused> {
    let mut bars_left = number;
    for step in set.steps(song_of(page)?) {
        let bars = set.section(step).bars.ok_or(Refused::UncountedBars(number))?.count();
        if bars_left <= bars {
            return Ok(Page::Section(step));
        }
        bars_left -= bars;
    }
    Err(Refused::PastTheLastBar(number))
}

/// The same step once more; a gap page and the end stay.
fn again(state: &State) -> State {
    let mut after = settled(state);
    match state.page {
        Page::Section(_) => after.times = after.times.saturating_add(1),
        Page::Gap(_) | Page::End => {}
    }
    after
}

fn peek(set: &Set, state: &State) -> Result<State, Refused> {
    let song = song_of(state.page)?;
    set.song_after(song).ok_or(Refused::NoNextSong)?;
    Ok(State {
        peeking: !state.peeking,
        ..settled(state)
    })
}

fn song_of(page: Page) -> Result<SongId, Refused> {
    match page {
        Page::Gap(song) => Ok(song),
        Page::Section(step) => Ok(step.song()),
        Page::End => Err(Refused::AtTheEnd),
    }
}
