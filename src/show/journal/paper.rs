//! The file of a journal: made when the first line comes, locked for as long as the show runs, synced after each write.
//!
//! Syncs have a thread of their own: while a slow disk takes its time over one, the next line is written already, so that
//! a program that is killed loses nothing, and a machine that dies only what was not synced.

#![allow(clippy::disallowed_methods, reason = "an outer room: it writes the journal")]

use crate::show::journal::line::file_name;
use crossbeam_channel::{Sender, bounded};
use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{Builder, JoinHandle};
use std::time::SystemTime;

/// What takes lines.
pub(in crate::show) trait Paper {
    /// Appends lines so that they outlive the machine, or takes none of them.
    ///
    /// # Errors
    /// Where they could not be written whole.
    fn append(&mut self, lines: &[u8]) -> Result<(), Failed>;
}

/// Why lines were not taken.
#[derive(Debug)]
pub(in crate::show) enum Failed {
    /// They may be offered again as they are.
    Full(io::Error),
    /// With all that was written before; what comes next must stand by itself.
    Gone(io::Error),
}

pub(in crate::show) struct File {
    /// None where the system names no folder for it.
    folder: Option<PathBuf>,
    open: Option<Journal>,
}

/// An open journal that nobody else writes.
pub(in crate::show) struct Journal {
    pub(in crate::show) file: Arc<fs::File>,
    path: PathBuf,
    /// The end of its last whole line.
    pub(in crate::show) length: u64,
    syncs: Option<Syncs>,
}

/// The thread that syncs.
struct Syncs {
    /// Room for one: what is written before a sync begins is in it.
    wanted: Option<Sender<()>>,
    failed: Arc<Mutex<Option<io::Error>>>,
    thread: Option<JoinHandle<()>>,
}

impl Journal {
    pub(in crate::show) fn new(file: fs::File, path: PathBuf, length: u64) -> Journal {
        Journal {
            file: Arc::new(file),
            path,
            length,
            syncs: None,
        }
    }

    /// Writes lines, and sees to it that they are synced before long.
    fn append(&mut self, lines: &[u8]) -> Result<(), Failed> {
        let syncs = match &mut self.syncs {
            Some(syncs) => syncs,
            none => none.insert(Syncs::start(Arc::clone(&self.file)).map_err(Failed::Full)?),
        };
        if let Some(error) = syncs.failed.lock().unwrap_or_else(PoisonError::into_inner).take() {
            // Nobody knows what of it the disk has.
            return Err(Failed::Gone(error));
        }
        if let Err(error) = (&*self.file).write_all(lines) {
            // Half a line is taken back, so that the next one does not stand behind it.
            return Err(match self.file.set_len(self.length) {
                Ok(()) => Failed::Full(error),
                Err(_) => Failed::Gone(error),
            });
        }
        self.length += lines.len() as u64;
        if let Some(wanted) = &syncs.wanted {
            // No room means that a sync is asked for that has not begun.
            let _ = wanted.try_send(());
        }
        Ok(())
    }

    /// Whether coming back would not find it, or find another one: removed, or in a folder that was moved.
    fn is_lost(&self) -> bool {
        let mark = |data: fs::Metadata| (data.dev(), data.ino());
        match (self.file.metadata(), fs::metadata(&self.path)) {
            (Ok(ours), Ok(there)) => mark(ours) != mark(there),
            (Ok(_), Err(_)) => true,
            (Err(_), _) => false,
        }
    }
}

impl Syncs {
    fn start(file: Arc<fs::File>) -> io::Result<Syncs> {
        let (wanted, asked) = bounded(1);
        let failed = Arc::new(Mutex::new(None));
        let told = Arc::clone(&failed);
        let thread = Builder::new().name("sync".into()).spawn(move || {
            for () in asked {
                if let Err(error) = file.sync_data() {
                    *told.lock().unwrap_or_else(PoisonError::into_inner) = Some(error);
                }
            }
        })?;
        Ok(Syncs {
            wanted: Some(wanted),
            failed,
            thread: Some(thread),
        })
    }
}

impl Drop for Syncs {
    fn drop(&mut self) {
        self.wanted = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl File {
    /// A file that is still to be made.
    pub(in crate::show) fn new(folder: Option<PathBuf>) -> File {
        File { folder, open: None }
    }

    /// A file to go on with.
    pub(in crate::show) fn found(folder: PathBuf, journal: Option<Journal>) -> File {
        File {
            folder: Some(folder),
            open: journal,
        }
    }
}

impl Paper for File {
    fn append(&mut self, lines: &[u8]) -> Result<(), Failed> {
        let journal = match &mut self.open {
            Some(journal) => journal,
            none => none.insert(make(self.folder.as_deref()).map_err(Failed::Full)?),
        };
        let result = match journal.append(lines) {
            // Lines in a file that is not in its place any more are lost with us.
            Ok(()) if journal.is_lost() => Err(Failed::Gone(io::Error::other("its file was removed or moved"))),
            result => result,
        };
        if let Err(Failed::Gone(_)) = result {
            self.open = None;
        }
        result
    }
}

/// A new journal, and the folders that it is in.
fn make(folder: Option<&Path>) -> io::Result<Journal> {
    let Some(folder) = folder else {
        let words = "neither XDG_STATE_HOME nor HOME is the path of a folder";
        return Err(io::Error::other(words));
    };
    fs::create_dir_all(folder)?;
    let path = folder.join(file_name(SystemTime::now(), std::process::id()));
    let file = OpenOptions::new()
        .read(true)
        .append(true)
        .create_new(true)
        .open(&path)?;
    // Some network disks know no locks; two shows of one set at once are rarer still.
    let _ = file.lock();
    sync_names(folder);
    Ok(Journal::new(file, path, 0))
}

/// The file's name in its folder, and the folder's in those above, outlive the machine too, as far as we made them.
fn sync_names(folder: &Path) {
    for folder in folder.ancestors().take(4) {
        if let Ok(folder) = fs::File::open(folder) {
            let _ = folder.sync_all();
        }
    }
}
