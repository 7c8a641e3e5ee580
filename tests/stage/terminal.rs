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
use std::process::{Child, ExitStatus};
use std::time::Duration;

/// Columns and rows.
pub(crate) type Cells = (u16, u16);

/// A running program and its terminal.
pub(crate) struct Terminal {
    pty: Pty,
    /// Kept open so that the terminal outlives the program and can be asked how it was left.
    pts: Pts,
    running: Running,
    /// How the terminal stood before the program came.
    found: String,
}

/// A process that does not outlive this.
pub(crate) struct Running(Child);

impl Terminal {
    /// Starts a program in a new session on a terminal of this size, in UTF-8 and with 256 colours. It finds no
    /// settings but those in `home`.
    pub(crate) fn start<S: AsRef<OsStr>>(
        program: &OsStr,
        args: &[S],
        home: &Path,
        cells: Cells,
    ) -> io::Result<Terminal> {
        let (pty, pts) = open().map_err(io::Error::other)?;
        pty.resize(Size::new(cells.1, cells.0)).map_err(io::Error::other)?;
        let found = settings(&pts)?;
        let mut command = Command::new(program)
            .args(args)
            .env("TERM", "xterm-256color")
            .env("LC_ALL", "C.UTF-8");
        for name in ["NO_COLOR", "LESS", "LESSOPEN"] {
            command = command.env_remove(name);
        }
        for name in ["HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"] {
            command = command.env(name, home);
        }
        let running = Running(command.spawn_borrowed(&pts).map_err(io::Error::other)?);
        Ok(Terminal {
            pty,
            pts,
            running,
            found,
        })
    }

    /// What the program has written, as much as one read gives; 0 where nothing came in that time.
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

    pub(crate) fn resize(&mut self, cells: Cells) -> io::Result<()> {
        self.pty.resize(Size::new(cells.1, cells.0)).map_err(io::Error::other)
    }

    /// Whether echo, line editing and all else stand as they did before the program came.
    pub(crate) fn is_as_found(&self) -> io::Result<bool> {
        Ok(settings(&self.pts)? == self.found)
    }

    /// Sets it as a shell does while a program is stopped.
    pub(crate) fn cook(&self) -> io::Result<()> {
        let mut settings = rustix::termios::tcgetattr(&self.pts)?;
        settings.local_modes |= rustix::termios::LocalModes::ICANON | rustix::termios::LocalModes::ECHO;
        Ok(rustix::termios::tcsetattr(
            &self.pts,
            rustix::termios::OptionalActions::Now,
            &settings,
        )?)
    }

    pub(crate) fn is_cooked(&self) -> io::Result<bool> {
        let settings = rustix::termios::tcgetattr(&self.pts)?;
        Ok(settings.local_modes.contains(rustix::termios::LocalModes::ICANON))
    }

    pub(crate) fn pid(&self) -> u32 {
        self.running.0.id()
    }

    /// The exit status, once the program has ended.
    pub(crate) fn ended(&mut self) -> io::Result<Option<ExitStatus>> {
        self.running.ended()
    }

    /// kill -9; what it did is done when this is back.
    pub(crate) fn kill(&mut self) {
        // It may have gone by itself.
        let _ = self.running.0.kill();
        let _ = self.running.0.wait();
    }

    /// Takes the terminal away from under the program, as when its window is closed.
    pub(crate) fn close(self) -> Running {
        self.running
    }
}

impl Running {
    /// The exit status, once the program has ended.
    pub(crate) fn ended(&mut self) -> io::Result<Option<ExitStatus>> {
        self.0.try_wait()
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // It may have gone by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn settings(terminal: &Pts) -> io::Result<String> {
    Ok(format!("{:?}", rustix::termios::tcgetattr(terminal)?))
}

/// A named pipe, as `--raw-midi` takes one. It stays open for writing while this lives.
pub(crate) struct Pedal {
    path: PathBuf,
    pipe: File,
}

impl Pedal {
    /// The pipe in that folder, made where there is none yet. It is opened for reading too, since opening would wait
    /// for a reader otherwise.
    pub(crate) fn new(folder: &Path) -> io::Result<Pedal> {
        let path = folder.join("pedal");
        match mkfifoat(CWD, &path, Mode::RUSR | Mode::WUSR) {
            Ok(()) | Err(Errno::EXIST) => {}
            Err(error) => return Err(error.into()),
        }
        let pipe = OpenOptions::new().read(true).write(true).open(&path)?;
        Ok(Pedal { path, pipe })
    }

    pub(crate) fn path(&self) -> &OsStr {
        self.path.as_os_str()
    }

    /// Sends bytes in one write.
    pub(crate) fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.pipe.write_all(bytes)
    }
}
