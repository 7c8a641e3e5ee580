//! The file of a journal: made when the first line comes, and locked for as long as the show runs.

#![allow(clippy::disallowed_methods, reason = "an outer room: it writes the journal")]

use crate::show::journal::line::file_name;
use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

/// What takes lines.
pub(in crate::show) trait Paper {
    /// Appends lines so that they outlive the program, or takes none of them.
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
    /// The disk and its number there, by which it is known among all files.
    number: (u64, u64),
    /// The end of its last whole line.
    length: u64,
}

impl Journal {
    /// # Errors
    /// Where nothing can be learnt of an open file.
    pub(in crate::show) fn new(file: fs::File, path: PathBuf, length: u64) -> io::Result<Journal> {
        Ok(Journal {
            number: number(&file.metadata()?),
            file: Arc::new(file),
            path,
            length,
        })
    }

    fn append(&mut self, lines: &[u8]) -> Result<(), Failed> {
        if let Err(error) = (&*self.file).write_all(lines) {
            // Half a line is taken back, so that the next one does not stand behind it.
            return Err(match self.file.set_len(self.length) {
                Ok(()) => Failed::Full(error),
                Err(_) => Failed::Gone(error),
            });
        }
        self.length += lines.len() as u64;
        Ok(())
    }

    /// Whether coming back would not find it, or find another one: removed, or in a folder that was moved.
    fn is_lost(&self) -> bool {
        fs::metadata(&self.path).map_or(true, |there| number(&there) != self.number)
    }
}

fn number(data: &fs::Metadata) -> (u64, u64) {
    (data.dev(), data.ino())
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

    /// The open file.
    pub(in crate::show) fn file(&self) -> Option<&Arc<fs::File>> {
        self.open.as_ref().map(|journal| &journal.file)
    }

    /// Leaves the open file; the next lines go into a new one.
    pub(in crate::show) fn leave(&mut self) {
        self.open = None;
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
    Journal::new(file, path, 0)
}

/// The file's name in its folder, and the folder's in those above, outlive the machine too, as far as we made them.
fn sync_names(folder: &Path) {
    for folder in folder.ancestors().take(4) {
        if let Ok(folder) = fs::File::open(folder) {
            let _ = folder.sync_all();
        }
    }
}
