//! The desk of the journal: what waits to be written and what to be synced, and two hands that see to it.
//!
//! A hand that is free writes, and then has the disk sync what it wrote. While a slow disk takes its time over that, the
//! other hand writes the next lines already, so that a program that is killed loses nothing, and a machine that dies only
//! what was not synced. On a disk that is quick one hand does it all, and a press wakes no other thread.

use crate::plan::Planned;
use crate::sequencer::Sequencer;
use crate::show::journal::waiting::{Closing, Note, Waiting};
use std::fs;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

#[derive(Default)]
pub(super) struct Desk {
    tray: Mutex<Tray>,
    more: Condvar,
}

#[derive(Default)]
struct Tray {
    waiting: Waiting,
    /// Written since its last sync began.
    unsynced: Option<Arc<fs::File>>,
    /// What the hands are at: one at most writes, so that lines stand in their order, and one at most syncs.
    writing: bool,
    syncing: bool,
    /// The closing line is written.
    closed: bool,
}

/// What a hand is to do.
pub(super) enum Work {
    /// Write the notes that it was given, and the closing line where there is one.
    Write(Option<Closing>),
    Sync(Arc<fs::File>),
}

impl Desk {
    /// Leaves a note, which is written once `call` is heard, or earlier.
    pub(super) fn push(&self, note: Note, planned: &Arc<Planned>, sequencer: &Sequencer) {
        self.tray().waiting.push(note, planned, sequencer);
    }

    /// Calls a hand.
    pub(super) fn call(&self) {
        self.more.notify_one();
    }

    /// Has the last line written when all else is, if nobody has asked for another one.
    pub(super) fn close(&self, closing: Closing) {
        self.tray().waiting.closing.get_or_insert(closing);
    }

    /// Waits for something to do; what is to be written comes in `notes`. None when all is done.
    pub(super) fn next(&self, notes: &mut Vec<Note>) -> Option<Work> {
        let mut tray = self.tray();
        loop {
            if !tray.writing && !tray.closed {
                let closing = tray.waiting.closing;
                if tray.waiting.take(notes) || closing.is_some() {
                    tray.writing = true;
                    return Some(Work::Write(closing));
                }
            }
            if !tray.syncing
                && let Some(file) = tray.unsynced.take()
            {
                tray.syncing = true;
                return Some(Work::Sync(file));
            }
            if tray.closed {
                return None;
            }
            tray = self.more.wait(tray).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// A hand has written: into this file, which is to be synced.
    pub(super) fn written(&self, file: Option<Arc<fs::File>>, closed: bool) {
        let mut tray = self.tray();
        tray.writing = false;
        tray.unsynced = file.or(tray.unsynced.take());
        tray.closed = closed;
        if closed {
            self.more.notify_all();
        }
    }

    /// A hand has seen a sync to its end.
    pub(super) fn synced(&self) {
        self.tray().syncing = false;
    }

    /// The next note is to bring a whole account.
    pub(super) fn want_whole(&self) {
        self.tray().waiting.wants_whole = true;
    }

    /// Whether the next note is still to bring a whole account.
    pub(super) fn wants_whole(&self) -> bool {
        self.tray().waiting.wants_whole
    }

    /// Nothing more is to be done.
    pub(super) fn give_up(&self) {
        let mut tray = self.tray();
        (tray.closed, tray.unsynced) = (true, None);
        self.more.notify_all();
    }

    fn tray(&self) -> MutexGuard<'_, Tray> {
        self.tray.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file() -> Arc<fs::File> {
        Arc::new(tempfile::tempfile().unwrap())
    }

    #[test]
    fn one_hand_writes_while_the_other_syncs_and_what_it_wrote_is_synced_after() {
        let (desk, mut notes) = (Desk::default(), Vec::new());
        desk.close(Closing::Broke);
        assert!(matches!(desk.next(&mut notes), Some(Work::Write(Some(Closing::Broke)))));
        desk.written(Some(file()), false);
        // Asked for in one order by either hand: what is to be written goes first.
        assert!(matches!(desk.next(&mut notes), Some(Work::Write(_))));
        assert!(matches!(desk.next(&mut notes), Some(Work::Sync(_))));
        desk.written(Some(file()), true);
        desk.synced();
        assert!(matches!(desk.next(&mut notes), Some(Work::Sync(_))));
        assert!(desk.next(&mut notes).is_none());
    }
}
