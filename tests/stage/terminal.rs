//! A program on a real pseudo-terminal, and the named pipe that stands for its pedal.

use pty_process::Size;
use pty_process::blocking::{Command, Pts, Pty, open};
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::fs::{CWD, Mode, mkfifoat};
use rustix::io::Errno;
use std::ffi::OsStr;
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::process::Child;
use std::time::Duration;

/// Columns and rows.
pub(crate) type Cells = (u16, u16);

/// A running program and its terminal. Dropped, the program is killed.
pub(crate) struct Terminal {
    pty: Pty,
    /// Kept open so that the terminal outlives the program and can be asked how it was left.
    pts: Pts,
    child: Child,
}

impl Terminal {
    /// Starts a program in a new session on a terminal of this size, in UTF-8 and with 256 colours.
    pub(crate) fn start<S: AsRef<OsStr>>(
        program: &OsStr,
        args: &[S],
        home: &Path,
        cells: Cells,
    ) -> io::Result<Terminal> {
        let (pty, pts) = open().map_err(io::Error::other)?;
        pty.resize(Size::new(cells.1, cells.0)).map_err(io::Error::other)?;
        let mut command = Command::new(program)
            .args(args)
            .env_remove("NO_COLOR")
            .env_remove("LESS")
            .env_remove("LESSOPEN")
            .env("TERM", "xterm-256color")
            .env("LC_ALL", "C.UTF-8")
            .env("HOME", home)
            .env("XDG_CONFIG_HOME", home)
            .env("XDG_STATE_HOME", home);
        let child = command.spawn_borrowed(&pts).map_err(io::Error::other)?;
        Ok(Terminal { pty, pts, child })
    }

    /// What the program has written, as much as one read gives; 0 where nothing came in that time or it has gone.
    pub(crate) fn read(&mut self, into: &mut [u8], wait: Duration) -> io::Result<usize> {
        let wait = Timespec {
            tv_sec: wait.as_secs() as i64,
            tv_nsec: i64::from(wait.subsec_nanos()),
        };
        let mut ready = [PollFd::new(&self.pty, PollFlags::IN)];
        poll(&mut ready, Some(&wait))?;
        if ready[0].revents().contains(PollFlags::IN) {
            self.pty.read(into)
        } else {
            Ok(0)
        }
    }

    /// Types bytes.
    pub(crate) fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.pty.write_all(bytes)
    }

    pub(crate) fn pid(&self) -> u32 {
        self.child.id()
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        // It may have gone by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A named pipe, as `--raw-midi` takes one. It stays open for writing while this lives.
pub(crate) struct Pedal {
    path: PathBuf,
    pipe: File,
}

impl Pedal {
    pub(crate) fn new(folder: &Path) -> io::Result<Pedal> {
        let path = folder.join("pedal");
        match mkfifoat(CWD, &path, Mode::RUSR | Mode::WUSR) {
            Ok(()) | Err(Errno::EXIST) => {}
            Err(error) => return Err(error.into()),
        }
        let pipe = Self::open(&path)?;
        Ok(Pedal { path, pipe })
    }

    /// Open for reading too, so that opening waits for no reader.
    fn open(path: &Path) -> io::Result<File> {
        OpenOptions::new().read(true).write(true).open(path)
    }

    pub(crate) fn path(&self) -> &OsStr {
        self.path.as_os_str()
    }

    /// Sends bytes in one write.
    pub(crate) fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.pipe.write_all(bytes)
    }
}
