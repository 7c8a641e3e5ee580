//! What waits to be written: notes in their order, few enough however long the disk stalls.

use crate::plan::Planned;
use crate::sequencer::{Action, By, Sequencer, State};
use std::collections::VecDeque;
use std::sync::Arc;
use std::time::SystemTime;

/// Notes that may wait for a slow disk; past that one whole account stands for them all.
const MOST_WAITING: usize = 1024;

/// Something that happened, as the loop hands it over: words are made of it later.
pub(super) struct Note {
    pub(super) at: SystemTime,
    /// Since the start.
    pub(super) ms: f64,
    /// None where the show was opened, or stands in another set.
    pub(super) did: Option<(Action, By)>,
    /// The state after it.
    pub(super) state: State,
    pub(super) whole: Option<Box<Whole>>,
}

/// Where a show stands, with all that `undo` can bring back.
pub(super) struct Whole {
    pub(super) planned: Arc<Planned>,
    pub(super) sequencer: Sequencer,
    /// Whether a header belongs before it.
    pub(super) begins: bool,
}

/// How the writing ends.
#[derive(Clone, Copy, Debug)]
pub(super) enum Closing {
    Left { at: SystemTime, ms: f64, over: bool },
    Broke,
}

#[derive(Default)]
pub(super) struct Waiting {
    notes: VecDeque<Note>,
    /// The next note is to bring a whole account.
    pub(super) wants_whole: bool,
    pub(super) closing: Option<Closing>,
}

impl Waiting {
    pub(super) fn push(&mut self, mut note: Note, planned: &Arc<Planned>, sequencer: &Sequencer) {
        let behind = self.notes.len() >= MOST_WAITING;
        if behind {
            self.notes.clear();
        }
        if (behind || self.wants_whole) && note.whole.is_none() {
            note.whole = Some(Box::new(Whole {
                planned: Arc::clone(planned),
                sequencer: sequencer.clone(),
                begins: behind,
            }));
        }
        self.wants_whole = false;
        self.notes.push_back(note);
    }

    /// Moves all notes to `notes`; whether there were any.
    pub(super) fn take(&mut self, notes: &mut Vec<Note>) -> bool {
        notes.extend(self.notes.drain(..));
        !notes.is_empty()
    }
}
