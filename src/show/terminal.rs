//! The terminal: taken over at the start, given back as it was whatever ends the program, and written to without waiting.
//!
//! A terminal may stop reading in mid-show (a serial line on hold, a window that is dragged). So the picture goes out
//! through an open file of our own that never blocks; what it does not take stays here until there is room again, and
//! the show goes on meanwhile.

use crate::screen::{MOST_COLUMNS, MOST_ROWS};
use crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use ratatui::layout::Rect;
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::fs::{Mode, OFlags};
use rustix::io::Errno;
use std::io::{self, IsTerminal};
use std::os::fd::{AsFd, BorrowedFd, OwnedFd};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

/// The title saved, the alternate screen, no cursor, pasted text as one event.
pub(super) const ENTER: &[u8] = b"\x1b[22;2t\x1b[?1049h\x1b[?25l\x1b[?2004h\x1b[m\x1b[2J";
/// All of that undone, in the opposite order, an update that was cut short first.
const LEAVE: &[u8] = b"\x1b[?2026l\x1b[m\x1b[?2004l\x1b[?25h\x1b[?1049l\x1b[23;2t";

/// A blank screen in the terminal's own colours, where it was ours already.
pub(super) const CLEAR: &[u8] = b"\x1b[m\x1b[2J";

/// How long a picture may wait for a terminal that is only slow, in milliseconds: less than anyone sees.
const PATIENCE_MS: i64 = 10;
/// How long giving the terminal back may wait for one that has stopped reading, in milliseconds.
const LAST_PATIENCE_MS: i64 = 500;

/// Whether the terminal is ours just now: a panic and the guard may both give it back.
static TAKEN: AtomicBool = AtomicBool::new(false);
/// The terminal, opened once more, so that not waiting is ours alone and not the shell's too.
static OUT: OnceLock<Option<OwnedFd>> = OnceLock::new();

/// The terminal while it is ours.
pub(super) struct Terminal {
    /// What it has not taken yet.
    unsent: Vec<u8>,
}

/// How far a picture has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Written {
    Whole,
    /// The terminal has stopped reading; the rest is kept.
    Part,
}

impl Terminal {
    /// Takes the terminal over; the picture's bytes must begin with `ENTER`.
    ///
    /// # Errors
    /// Where standard input or output is no terminal.
    pub(super) fn take() -> io::Result<Terminal> {
        if !io::stdin().is_terminal() || !io::stdout().is_terminal() {
            return Err(io::Error::other("there is no terminal here to show pages in"));
        }
        enable_raw_mode()?;
        TAKEN.store(true, Ordering::SeqCst);
        Ok(Terminal { unsent: Vec::new() })
    }

    /// Takes it again after it was given back for a while.
    pub(super) fn retake(&mut self) -> io::Result<()> {
        self.unsent.clear();
        // Where a shell took it from us, the library does not know: raw mode off, then on.
        disable_raw_mode()?;
        enable_raw_mode()?;
        TAKEN.store(true, Ordering::SeqCst);
        Ok(())
    }

    /// Whether it is ours to use: a shell keeps it from a program that runs on in the background, and a program that
    /// set its modes all the same would be stopped. One that is no shell's tells of nobody in front.
    pub(super) fn is_for_us(&self) -> bool {
        let front = rustix::termios::tcgetpgrp(io::stdin());
        front.map_or(true, |front| front == rustix::process::getpgrp())
    }

    /// Whether it was taken from us behind our back: a shell sets its own modes while a program is stopped.
    pub(super) fn is_taken_away(&self) -> bool {
        let modes = rustix::termios::tcgetattr(io::stdin()).map(|settings| settings.local_modes);
        modes.is_ok_and(|modes| modes.contains(rustix::termios::LocalModes::ICANON))
    }

    pub(super) fn size(&self) -> Rect {
        let size = rustix::termios::tcgetwinsize(io::stdout()).ok();
        match size.filter(|size| size.ws_col > 0 && size.ws_row > 0) {
            Some(size) => Rect::new(0, 0, size.ws_col.min(MOST_COLUMNS), size.ws_row.min(MOST_ROWS)),
            None => Rect::new(0, 0, 80, 24),
        }
    }

    /// Writes a picture, after what is left of the one before.
    pub(super) fn write(&mut self, bytes: &[u8]) -> io::Result<Written> {
        self.unsent.extend_from_slice(bytes);
        self.go_on()
    }

    /// Goes on with what the terminal had no room for.
    pub(super) fn go_on(&mut self) -> io::Result<Written> {
        let sent = send(&self.unsent, PATIENCE_MS)?;
        self.unsent.drain(..sent);
        Ok(if self.unsent.is_empty() {
            Written::Whole
        } else {
            Written::Part
        })
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        give_back();
    }
}

/// Whether a shell has us as a job of its own, and can have us go on after a stop. Else a stop would be for good: the
/// program was started in the place of a shell.
pub(super) fn has_a_shell() -> bool {
    rustix::process::getsid(None).is_ok_and(|session| session != rustix::process::getpgrp())
}

/// Waits until the terminal takes more, or is gone.
pub(super) fn wait_for_room() {
    let out = io::stdout();
    let _ = wait(out_of_ours(&out), None);
}

/// Gives the terminal back as it was; each step whatever came of the one before.
pub(super) fn give_back() {
    if TAKEN.swap(false, Ordering::SeqCst) {
        let _ = send(LEAVE, LAST_PATIENCE_MS);
        let _ = disable_raw_mode();
    }
}

/// Writes what the terminal takes, waiting `patience_ms` for room each time there is none; gives the bytes written.
fn send(bytes: &[u8], patience_ms: i64) -> io::Result<usize> {
    let stdout = io::stdout();
    let out = out_of_ours(&stdout);
    let mut sent = 0;
    while sent < bytes.len() {
        match rustix::io::write(out, &bytes[sent..]) {
            Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
            Ok(count) => sent += count,
            Err(Errno::INTR) => {}
            Err(Errno::AGAIN) => {
                if !wait(out, Some(patience_ms))? {
                    break;
                }
            }
            Err(error) => return Err(error.into()),
        }
    }
    Ok(sent)
}

/// Waits for room, `patience_ms` or for ever; false where there was none in that time.
fn wait(out: BorrowedFd<'_>, patience_ms: Option<i64>) -> io::Result<bool> {
    let patience = patience_ms.map(|ms| Timespec {
        tv_sec: ms / 1000,
        tv_nsec: ms % 1000 * 1_000_000,
    });
    let mut fds = [PollFd::from_borrowed_fd(out, PollFlags::OUT)];
    loop {
        match poll(&mut fds, patience.as_ref()) {
            Ok(ready) => return Ok(ready > 0),
            Err(Errno::INTR) => {}
            Err(error) => return Err(error.into()),
        }
    }
}

/// Our own open file of the terminal; standard output itself where it cannot be opened again.
fn out_of_ours(stdout: &io::Stdout) -> BorrowedFd<'_> {
    let ours = OUT.get_or_init(|| {
        let name = rustix::termios::ttyname(stdout, Vec::new()).ok()?;
        let how = OFlags::WRONLY | OFlags::NOCTTY | OFlags::NONBLOCK | OFlags::CLOEXEC;
        rustix::fs::open(name, how, Mode::empty()).ok()
    });
    ours.as_ref().map_or_else(|| stdout.as_fd(), AsFd::as_fd)
}
