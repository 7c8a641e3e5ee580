//! The line that `replay` prints for an opening or an action: the page in plain facts.

use crate::plan::Planned;
use crate::sequencer::state::{Shown, State};
use crate::setlist::{SongId, StepId};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// A page's facts, in the order and by the names of the replay's JSON.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// `gap`, `section`, `peek` or `end`.
    pub page: Cow<'static, str>,
    /// From 1; 0 at the end.
    pub song: usize,
    pub title: Option<String>,
    /// From 1; 0 off a section page.
    pub step: usize,
    /// How many steps the song has; 0 at the end.
    pub of: usize,
    pub section: Option<String>,
    pub times: u32,
    /// The key that sounds on this page.
    pub key: Option<String>,
    pub fret: Option<u8>,
    pub shapes: Option<Cow<'static, str>>,
    pub technique: Option<String>,
    pub pickup: Option<String>,
    /// Frets up, negative for down.
    pub r#move: i8,
    pub locked: bool,
}

impl Line {
    pub fn new(planned: &Planned, state: &State) -> Line {
        let line = match state.shown(planned) {
            Shown::Gap { song, capo_now } => Line {
                page: "gap".into(),
                r#move: state.r#move(planned, song, capo_now),
                ..of_song(planned, state, song)
            },
            Shown::Peek { song, capo_now } => Line {
                page: "peek".into(),
                r#move: state.r#move(planned, song, capo_now),
                ..of_song(planned, state, song)
            },
            Shown::Section(step) => of_step(planned, state, step),
            Shown::End => Line {
                page: "end".into(),
                ..Line::default()
            },
        };
        Line {
            locked: state.is_locked(),
            ..line
        }
    }
}

fn of_song(planned: &Planned, state: &State, id: SongId) -> Line {
    let song = planned.set.song(id);
    let key = state.song_key(planned, id);
    Line {
        song: id.number(),
        title: Some(song.title.clone()),
        of: song.steps.len(),
        key: Some(key.to_string()),
        fret: Some(state.fret(planned, id).number()),
        shapes: state.shapes(planned, id, key).map(|family| family.letter().into()),
        ..Line::default()
    }
}

fn of_step(planned: &Planned, state: &State, id: StepId) -> Line {
    let section = planned.set.section(id);
    let key = state.step_key(planned, id);
    Line {
        page: "section".into(),
        step: id.number(),
        section: Some(section.name.clone()),
        times: state.times,
        key: Some(key.to_string()),
        shapes: state
            .shapes(planned, id.song(), key)
            .map(|family| family.letter().into()),
        technique: section.technique.as_ref().map(|technique| technique.words().into()),
        pickup: section.pickup.clone(),
        r#move: state.called_move,
        ..of_song(planned, state, id.song())
    }
}
