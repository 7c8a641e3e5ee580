//! The terminal: taken over at the start, given back as it was whatever ends the program, and written to in one go.

use crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use ratatui::layout::Rect;
use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// The title saved, the alternate screen, no cursor, pasted text as one event.
pub(super) const ENTER: &[u8] = b"\x1b[22;2t\x1b[?1049h\x1b[?25l\x1b[?2004h\x1b[m\x1b[2J";
/// All of that undone, in the opposite order, an update that was cut short first.
const LEAVE: &[u8] = b"\x1b[?2026l\x1b[m\x1b[?2004l\x1b[?25h\x1b[?1049l\x1b[23;2t";

/// Whether the terminal is ours just now: the panic hook and the guard may both give it back.
static TAKEN: AtomicBool = AtomicBool::new(false);

/// The terminal while it is ours.
pub(super) struct Terminal(());

impl Terminal {
    /// Takes the terminal over; the picture's bytes must begin with `ENTER`.
    ///
    /// # Errors
    /// Where standard input or output is no terminal.
    pub(super) fn take() -> io::Result<Terminal> {
        if !io::stdin().is_terminal() || !io::stdout().is_terminal() {
            return Err(io::Error::other("the stage needs a terminal to show itself in"));
        }
        enable_raw_mode()?;
        TAKEN.store(true, Ordering::SeqCst);
        Ok(Terminal(()))
    }

    /// Takes it again after it was given back for a while.
    pub(super) fn retake(&mut self) -> io::Result<()> {
        enable_raw_mode()?;
        TAKEN.store(true, Ordering::SeqCst);
        Ok(())
    }

    pub(super) fn size(&self) -> Rect {
        let size = rustix::termios::tcgetwinsize(io::stdout()).ok();
        match size.filter(|size| size.ws_col > 0 && size.ws_row > 0) {
            Some(size) => Rect::new(0, 0, size.ws_col.min(MOST_COLUMNS), size.ws_row.min(MOST_ROWS)),
            None => Rect::new(0, 0, 80, 24),
        }
    }

    /// Writes a picture, whole.
    pub(super) fn write(&mut self, mut bytes: &[u8]) -> io::Result<()> {
        let out = io::stdout();
        while !bytes.is_empty() {
            match rustix::io::write(&out, bytes) {
                Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
                Ok(count) => bytes = &bytes[count..],
                Err(rustix::io::Errno::INTR) => {}
                Err(rustix::io::Errno::AGAIN) => wait_for_room(&out)?,
                Err(error) => return Err(error.into()),
            }
        }
        Ok(())
    }
}

/// Larger terminals are drawn in their upper left part.
const MOST_COLUMNS: u16 = 500;
const MOST_ROWS: u16 = 200;

/// A terminal that was left without blocking by another program says so until it takes more.
fn wait_for_room(out: &io::Stdout) -> io::Result<()> {
    let mut fds = [rustix::event::PollFd::new(out, rustix::event::PollFlags::OUT)];
    rustix::event::poll(&mut fds, None)?;
    Ok(())
}

/// Gives the terminal back as it was; each step whatever came of the one before.
pub(super) fn give_back() {
    if TAKEN.swap(false, Ordering::SeqCst) {
        let mut out = io::stdout();
        let _ = out.write_all(LEAVE).and_then(|()| out.flush());
        let _ = disable_raw_mode();
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        give_back();
    }
}
