//! The journal: every accepted action in a file of the state folder, so that a show that died comes back to its page.
//!
//! The loop pushes a small value and goes on; threads of the journal's own write the lines and sync them. What a disk does
//! not take in time is told by one whole account of where the show stands, so that memory stays bounded however long it
//! stalls.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

pub(super) mod back;
mod desk;
mod find;
mod identity;
mod line;
pub(super) mod paper;
mod past;
pub(super) mod scribe;
#[cfg(test)]
mod tests;
pub(super) mod waiting;

pub(crate) use past::{Past, PlayedSection, PlayedSong, past_shows};

use crate::plan::Planned;
use crate::sequencer::{Action, By, Memory, Sequencer};
use crate::show::event::Event;
use crate::show::journal::back::{Restored, restore};
use crate::show::journal::desk::{Desk, Work};
use crate::show::journal::find::Found;
use crate::show::journal::paper::File;
use crate::show::journal::scribe::{Scribe, Written};
use crate::show::journal::waiting::{Closing, Note, Whole};
use crossbeam_channel::{Receiver, Sender, bounded};
use std::cell::Cell;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, SystemTime};

/// How long leaving waits for a disk that stalls.
const LAST_PATIENCE: Duration = Duration::from_secs(2);

/// The loop's end of the journal.
pub(super) struct Journal {
    desk: Arc<Desk>,
    planned: Arc<Planned>,
    /// Something was noted since `write_on`.
    noted: Cell<bool>,
    /// Hangs up when the threads have ended.
    ended: Receiver<()>,
}

/// A show that was not over, found again.
pub(super) struct Back {
    pub(super) sequencer: Sequencer,
    /// Whether the set is the one that it was.
    pub(super) exact: bool,
    /// Since its last line.
    pub(super) ago: Duration,
    /// Since the show was opened.
    pub(super) elapsed: Duration,
}

impl Back {
    /// What the player is told on coming back.
    pub(super) fn words(&self) -> String {
        words(self.exact, self.ago)
    }
}

/// All of it is to fit into eighty columns.
fn words(exact: bool, ago: Duration) -> String {
    let minutes = ago.as_secs() / 60;
    let ago = match (minutes / 60, minutes % 60) {
        (0, 0) => "just now".to_owned(),
        (0, minutes) => format!("{minutes} min ago"),
        (hours, minutes) => format!("{hours} h {minutes} min ago"),
    };
    let place = if exact {
        "back where the show broke off"
    } else {
        "back in a changed set where it broke off"
    };
    format!("{place}, {ago}; `--fresh` starts over")
}

/// The file to write into: the one of a show that has come back, or a new one.
pub(super) struct Book {
    file: File,
    /// The set's own path.
    set: PathBuf,
}

/// Looks for a show of this set that died, or was left, less than six hours ago. With `fresh` those there are count as
/// over.
pub(super) fn open(state_folder: Option<&Path>, set: &Path, planned: &Planned, fresh: bool) -> (Book, Option<Back>) {
    let set = set.canonicalize().unwrap_or_else(|_| set.to_path_buf());
    let folder = state_folder.map(|state| journals(state).join(identity::folder_name(&set)));
    let now = SystemTime::now();
    let book = |file| Book { file, set };
    let anew = File::new(folder.clone());
    let Some(shows) = &folder else {
        return (book(anew), None);
    };
    if fresh {
        find::abandon(shows, now);
        return (book(anew), None);
    }
    let Some(Found {
        journal,
        text,
        ago,
        elapsed,
    }) = find::latest(shows, now)
    else {
        return (book(anew), None);
    };
    let Some(Restored { sequencer, exact }) = restore(planned, &text) else {
        return (book(anew), None);
    };
    let back = Back {
        sequencer,
        exact,
        ago,
        elapsed,
    };
    (book(File::found(shows.clone(), journal)), Some(back))
}

/// The folder of all journals, within the state folder: a folder a set, so that no other show is looked through on
/// opening one.
pub(super) fn journals(state_folder: &Path) -> PathBuf {
    state_folder.join("journal")
}

impl Journal {
    /// Starts the threads, and writes down where the show begins.
    pub(super) fn start(
        book: Book,
        planned: Arc<Planned>,
        sequencer: &Sequencer,
        to: Sender<Event>,
    ) -> io::Result<Journal> {
        let desk = Arc::new(Desk::default());
        let (end, ended) = bounded(0);
        let scribe = Arc::new(Mutex::new(Scribe::new(book.file, book.set)));
        for name in ["journal", "journal too"] {
            let hand = Hand {
                desk: Arc::clone(&desk),
                scribe: Arc::clone(&scribe),
                to: to.clone(),
            };
            let end: Sender<()> = end.clone();
            std::thread::Builder::new().name(name.into()).spawn(move || {
                let _end = end;
                hand.work();
            })?;
        }
        let journal = Journal {
            desk,
            planned,
            noted: Cell::default(),
            ended,
        };
        journal.begin(0.0, sequencer);
        Ok(journal)
    }

    /// Takes note of an accepted action, `ms` after the start. It is written once `write_on` is called.
    pub(super) fn note(&self, ms: f64, action: &Action, by: By, sequencer: &Sequencer) {
        let note = Note {
            at: SystemTime::now(),
            ms,
            did: Some((action.clone(), by)),
            state: sequencer.state().clone(),
            whole: None,
        };
        self.desk.push(note, &self.planned, sequencer);
        self.noted.set(true);
    }

    /// Has what was noted written: after the picture, which nothing is to hold up.
    pub(super) fn write_on(&self) {
        if self.noted.take() {
            self.desk.call();
        }
    }

    /// The set was read anew: the show stands in another one from here on.
    pub(super) fn change(&mut self, ms: f64, planned: Arc<Planned>, sequencer: &Sequencer) {
        self.planned = planned;
        self.begin(ms, sequencer);
    }

    /// Somebody has left, `ms` after the start; at the end page the show is over then.
    pub(super) fn close(&self, ms: f64, over: bool) {
        let at = SystemTime::now();
        self.desk.close(Closing::Left { at, ms, over });
    }

    /// Where a file was lost, with it perhaps all that there was, another gets the whole account now and not with the
    /// next press. A disk that is full has lost nothing: what waits for it is kept.
    pub(super) fn make_up_for_loss(&self, ms: f64, sequencer: &Sequencer) {
        if self.desk.wants_whole() {
            self.begin(ms, sequencer);
        }
    }

    fn begin(&self, ms: f64, sequencer: &Sequencer) {
        let whole = Whole {
            planned: Arc::clone(&self.planned),
            memory: Memory::of(sequencer),
            begins: true,
        };
        let note = Note {
            at: SystemTime::now(),
            ms,
            did: None,
            state: sequencer.state().clone(),
            whole: Some(Box::new(whole)),
        };
        self.desk.push(note, &self.planned, sequencer);
        self.desk.call();
    }
}

impl Drop for Journal {
    fn drop(&mut self) {
        self.desk.close(Closing::Broke);
        self.desk.call();
        // It hangs up when all is written and synced. A disk that stalls is not waited for.
        let _ = self.ended.recv_timeout(LAST_PATIENCE);
    }
}

/// One of the two that write and sync. Where one breaks, nothing more is written.
struct Hand {
    desk: Arc<Desk>,
    scribe: Arc<Mutex<Scribe<File>>>,
    to: Sender<Event>,
}

impl Hand {
    fn work(&self) {
        let mut notes = Vec::new();
        while let Some(work) = self.desk.next(&mut notes) {
            match work {
                Work::Write(closing) => {
                    let (written, file) = self.with_scribe(|scribe| {
                        let written = scribe.write(&mut notes, closing.as_ref());
                        (written, scribe.file())
                    });
                    self.tell(written);
                    self.desk.written(file, closing.is_some());
                }
                Work::Sync(file) => {
                    if let Err(error) = file.sync_data() {
                        self.tell(self.with_scribe(|scribe| scribe.lose(&file, error)));
                    }
                    self.desk.synced();
                }
            }
        }
    }

    fn with_scribe<R>(&self, work: impl FnOnce(&mut Scribe<File>) -> R) -> R {
        work(&mut self.scribe.lock().unwrap_or_else(PoisonError::into_inner))
    }

    fn tell(&self, written: Written) {
        if written.wants_whole {
            self.desk.want_whole();
        }
        if let Some(words) = written.words {
            // A loop with so much waiting has other worries.
            let _ = self.to.try_send(Event::JournalFails(words));
        }
    }
}

impl Drop for Hand {
    fn drop(&mut self) {
        if std::thread::panicking() {
            self.desk.give_up();
        }
    }
}
