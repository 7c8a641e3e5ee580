//! What waits to be written: notes in their order, few enough however long the disk stalls.

use crate::plan::Planned;
use crate::sequencer::{Action, By, Memory, Sequencer, State};
use std::collections::VecDeque;
use std::sync::Arc;
use std::time::SystemTime;

/// Notes that may wait for a slow disk; past that one whole account stands for them all.
const MOST_WAITING: usize = 1024;

/// Something that happened, as the loop hands it over: words are made of it later.
pub(in crate::show) struct Note {
    pub(in crate::show) at: SystemTime,
    /// Since the start.
    pub(in crate::show) ms: f64,
    /// None where the show was opened, or stands in another set.
    pub(in crate::show) did: Option<(Action, By)>,
    /// The state after it.
    pub(in crate::show) state: State,
    pub(in crate::show) whole: Option<Box<Whole>>,
}

/// Where a show stands, with all that `undo` can bring back.
pub(in crate::show) struct Whole {
    pub(in crate::show) planned: Arc<Planned>,
    pub(in crate::show) memory: Memory,
    /// Whether a header belongs before it.
    pub(in crate::show) begins: bool,
}

/// How the writing ends.
#[derive(Clone, Copy, Debug)]
pub(in crate::show) enum Closing {
    Left { at: SystemTime, ms: f64, over: bool },
    Broke,
}

#[derive(Default)]
pub(in crate::show) struct Waiting {
    notes: VecDeque<Note>,
    /// The next note is to bring a whole account.
    pub(in crate::show) wants_whole: bool,
    pub(in crate::show) closing: Option<Closing>,
}

impl Waiting {
    pub(in crate::show) fn push(&mut self, mut note: Note, planned: &Arc<Planned>, sequencer: &Sequencer) {
        let behind = self.notes.len() >= MOST_WAITING;
        if behind {
            self.notes.clear();
        }
        if (behind || self.wants_whole) && note.whole.is_none() {
            note.whole = Some(Box::new(Whole {
                planned: Arc::clone(planned),
                memory: Memory::of(sequencer),
                begins: behind,
            }));
        }
        self.wants_whole = false;
        self.notes.push_back(note);
    }

    /// Moves all notes to `notes`; whether there were any.
    pub(in crate::show) fn take(&mut self, notes: &mut Vec<Note>) -> bool {
        notes.extend(self.notes.drain(..));
        !notes.is_empty()
    }
}
