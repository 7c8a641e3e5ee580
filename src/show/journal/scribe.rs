//! From notes to lines, and what is done when they cannot be written: it says so once, and tries again with the next.

use crate::plan::Planned;
use crate::show::journal::line::{Header, write_closing, write_header, write_told, write_whole};
use crate::show::journal::paper::{Failed, File, Paper};
use crate::show::journal::waiting::{Closing, Note};
use std::path::PathBuf;
use std::sync::Arc;
use std::{fs, io};

/// Actions between two whole accounts: so few lines are read again on coming back.
const ACTIONS_A_WHOLE: usize = 256;
/// Lines are kept for a disk that takes none until they are this long, in bytes.
const MOST_UNWRITTEN: usize = 1 << 16;

pub(in crate::show) struct Scribe<P> {
    paper: P,
    set: PathBuf,
    /// The set of the last header; none while the next line must be a header.
    planned: Option<Arc<Planned>>,
    /// Lines that the disk has not taken.
    unwritten: Vec<u8>,
    since_whole: usize,
    /// It was said that the disk takes nothing.
    said: bool,
}

/// What came of writing.
#[derive(Debug, Default, PartialEq)]
pub(in crate::show) struct Written {
    /// The next note is to bring a whole account.
    pub(in crate::show) wants_whole: bool,
    /// One quiet line.
    pub(in crate::show) words: Option<String>,
}

impl Scribe<File> {
    /// What it writes into; to be synced.
    pub(super) fn file(&self) -> Option<Arc<fs::File>> {
        self.paper.file().map(Arc::clone)
    }

    /// A file could not be synced: nobody knows what of it the disk has. The next note stands in a new one.
    pub(super) fn lose(&mut self, file: &Arc<fs::File>, error: io::Error) -> Written {
        if self.paper.file().is_none_or(|ours| !Arc::ptr_eq(ours, file)) {
            return Written::default();
        }
        self.paper.leave();
        self.fail(Failed::Gone(error))
    }
}

impl<P: Paper> Scribe<P> {
    pub(in crate::show) fn new(paper: P, set: PathBuf) -> Scribe<P> {
        Scribe {
            paper,
            set,
            planned: None,
            unwritten: Vec::new(),
            since_whole: 0,
            said: false,
        }
    }

    /// Writes what is in `notes`, which is empty then.
    pub(in crate::show) fn write(&mut self, notes: &mut Vec<Note>, closing: Option<&Closing>) -> Written {
        notes.drain(..).for_each(|note| self.put(&note));
        if let (Some(&Closing::Left { at, ms, over }), Some(_)) = (closing, &self.planned) {
            write_closing(&mut self.unwritten, at, ms, over);
        }
        if self.unwritten.is_empty() {
            let wants_whole = self.planned.is_none();
            return Written {
                wants_whole,
                words: None,
            };
        }
        match self.paper.append(&self.unwritten) {
            Ok(()) => {
                self.unwritten.clear();
                self.said = false;
                Written {
                    wants_whole: self.since_whole >= ACTIONS_A_WHOLE,
                    words: None,
                }
            }
            Err(failed) => self.fail(failed),
        }
    }

    fn put(&mut self, note: &Note) {
        if let Some(whole) = &note.whole
            && (whole.begins || self.planned.is_none())
        {
            self.planned = Some(Arc::clone(&whole.planned));
            write_header(&mut self.unwritten, &Header::new(note.at, &self.set, &whole.planned));
        }
        // A line before the header would belong to no show: the whole account comes with the next note.
        let Some(planned) = &self.planned else { return };
        let did = note.did.as_ref().map(|(action, by)| (action, *by));
        write_told(&mut self.unwritten, note.at, note.ms, did, planned, &note.state);
        self.since_whole += 1;
        if let Some(whole) = &note.whole {
            write_whole(&mut self.unwritten, note.at, planned, &whole.memory);
            self.since_whole = 0;
        }
    }

    fn fail(&mut self, failed: Failed) -> Written {
        let (error, is_gone) = match failed {
            Failed::Full(error) => (error, false),
            Failed::Gone(error) => (error, true),
        };
        if is_gone || self.unwritten.len() > MOST_UNWRITTEN {
            self.unwritten.clear();
            self.planned = None;
        }
        let words = format!("the journal cannot be written: {error}");
        Written {
            wants_whole: self.planned.is_none(),
            words: (!std::mem::replace(&mut self.said, true)).then_some(words),
        }
    }
}
