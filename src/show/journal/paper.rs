//! The file of a journal: made when the first line comes, locked for as long as the show runs, synced after each write.

#![allow(clippy::disallowed_methods, reason = "an outer room: it writes the journal")]

use crate::show::journal::line::file_name;
use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::MetadataExt;
use std::path::{Path, PathBuf};
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
    pub(in crate::show) file: fs::File,
    /// The end of its last whole line.
    pub(in crate::show) length: u64,
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

    fn make(&self) -> io::Result<Journal> {
        let Some(folder) = &self.folder else {
            let words = "neither XDG_STATE_HOME nor HOME is the path of a folder";
            return Err(io::Error::other(words));
        };
        fs::create_dir_all(folder)?;
        let path = folder.join(file_name(SystemTime::now(), std::process::id()));
        let file = OpenOptions::new().read(true).append(true).create_new(true).open(path)?;
        // Some network disks know no locks; two shows of one set at once are rarer still.
        let _ = file.lock();
        sync_names(folder);
        Ok(Journal { file, length: 0 })
    }
}

impl Paper for File {
    fn append(&mut self, lines: &[u8]) -> Result<(), Failed> {
        let journal = match &mut self.open {
            Some(journal) => journal,
            none => none.insert(
                File {
                    folder: self.folder.clone(),
                    open: None,
                }
                .make()
                .map_err(Failed::Full)?,
            ),
        };
        let gone = |error| Failed::Gone(error);
        let written = journal.file.write_all(lines).and_then(|()| journal.file.sync_data());
        if let Err(error) = written {
            // Half a line is taken back, so that the next one does not stand behind it.
            return match journal.file.set_len(journal.length) {
                Ok(()) => Err(Failed::Full(error)),
                Err(_) => {
                    self.open = None;
                    Err(gone(error))
                }
            };
        }
        journal.length += lines.len() as u64;
        // Lines in a file that has no name any more are lost with us.
        if journal.file.metadata().is_ok_and(|data| data.nlink() == 0) {
            self.open = None;
            return Err(gone(io::Error::other("its file was removed")));
        }
        Ok(())
    }
}

/// The file's name in its folder, and the folder's in those above, outlive the machine too, as far as we made them.
fn sync_names(folder: &Path) {
    for folder in folder.ancestors().take(4) {
        if let Ok(folder) = fs::File::open(folder) {
            let _ = folder.sync_all();
        }
    }
}
