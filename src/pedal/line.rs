//! A path opened as a MIDI line: a device, a serial line or a named pipe, each in the way it wants.

use rustix::fs::{FileType, Mode, OFlags, fstat, open, stat};
use rustix::io::Errno;
use rustix::termios::{OptionalActions, Termios, tcgetattr, tcsetattr};
use std::fmt;
use std::io;
use std::os::fd::{AsFd, BorrowedFd, OwnedFd};
use std::path::{Path, PathBuf};

/// An open line; given back as it was found.
pub(super) struct Line {
    fd: OwnedFd,
    path: PathBuf,
    is_pipe: bool,
    /// How a serial line was set before.
    before: Option<Termios>,
}

/// A path that can never be a port.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct NotAPort {
    path: PathBuf,
    is: &'static str,
}

/// What comes of reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Read {
    Bytes(usize),
    NothingYet,
    Closed,
}

/// Says whether a path may be a port. One where nothing stands yet may become one.
///
/// # Errors
/// Where a folder or a plain file stands.
pub(super) fn may_be_a_port(path: &Path) -> Result<(), NotAPort> {
    let Ok(found) = stat(path) else {
        return Ok(());
    };
    let is = match FileType::from_raw_mode(found.st_mode) {
        FileType::Fifo | FileType::CharacterDevice => return Ok(()),
        FileType::Directory => "a folder",
        FileType::RegularFile => "a plain file",
        FileType::Symlink | FileType::Socket | FileType::BlockDevice | FileType::Unknown => "something else",
    };
    Err(NotAPort { path: path.into(), is })
}

impl Line {
    pub(super) fn open(path: &Path) -> rustix::io::Result<Line> {
        may_be_a_port(path).map_err(|_| Errno::INVAL)?;
        let is_pipe = FileType::from_raw_mode(stat(path)?.st_mode) == FileType::Fifo;
        // Not every system lets a pipe without a writer be waited on; where we could write to it ourselves it never
        // closes. A terminal line must not become ours to be stopped by.
        let is_ours_too = is_pipe && !cfg!(target_os = "linux");
        let mode = if is_ours_too { OFlags::RDWR } else { OFlags::RDONLY };
        let fd = open(
            path,
            mode | OFlags::NONBLOCK | OFlags::NOCTTY | OFlags::CLOEXEC,
            Mode::empty(),
        )?;
        let before = make_raw(&fd);
        Ok(Line {
            fd,
            path: path.into(),
            is_pipe,
            before,
        })
    }

    pub(super) fn fd(&self) -> BorrowedFd<'_> {
        self.fd.as_fd()
    }

    /// A pipe that is removed says nothing by itself and wants watching. One whose writers have all gone is closed for
    /// whoever has it open, until a writer comes; who opens it anew waits for one.
    pub(super) fn is_pipe(&self) -> bool {
        self.is_pipe
    }

    /// Whether the path still leads to what was opened.
    pub(super) fn is_in_place(&self) -> bool {
        let same = |a: rustix::fs::Stat, b: rustix::fs::Stat| (a.st_dev, a.st_ino) == (b.st_dev, b.st_ino);
        matches!((fstat(&self.fd), stat(&self.path)), (Ok(ours), Ok(there)) if same(ours, there))
    }

    pub(super) fn read(&self, into: &mut [u8]) -> Read {
        match rustix::io::read(&self.fd, into) {
            Ok(0) => Read::Closed,
            Ok(len) => Read::Bytes(len),
            Err(Errno::AGAIN | Errno::INTR) => Read::NothingYet,
            Err(_) => Read::Closed,
        }
    }
}

/// A serial line as it comes waits for the end of a line, and eats some bytes. Its speed stays as it is set.
fn make_raw(fd: &OwnedFd) -> Option<Termios> {
    let before = tcgetattr(fd).ok()?;
    let mut raw = before.clone();
    raw.make_raw();
    tcsetattr(fd, OptionalActions::Now, &raw).ok()?;
    Some(before)
}

impl Drop for Line {
    fn drop(&mut self) {
        if let Some(before) = &self.before {
            // A line that is gone needs no setting back.
            let _ = tcsetattr(&self.fd, OptionalActions::Now, before);
        }
    }
}

impl From<NotAPort> for io::Error {
    fn from(not: NotAPort) -> io::Error {
        io::Error::new(io::ErrorKind::InvalidInput, not)
    }
}

impl std::error::Error for NotAPort {}

impl fmt::Display for NotAPort {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path = self.path.display().to_string();
        write!(
            f,
            "`{}` is {}, not a MIDI device, a serial line or a named pipe",
            path.escape_debug(),
            self.is
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_and_a_plain_file_are_no_ports() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("song.mid");
        std::fs::OpenOptions::new()
            .create(true)
            .append(true)
            .open(&file)
            .unwrap();
        for (path, is) in [(folder.path(), "a folder"), (&file, "a plain file")] {
            let wanted = format!(
                "`{}` is {is}, not a MIDI device, a serial line or a named pipe",
                path.display()
            );
            assert_eq!(may_be_a_port(path).unwrap_err().to_string(), wanted);
        }
        assert_eq!(may_be_a_port(&folder.path().join("not there yet")), Ok(()));
    }
}
