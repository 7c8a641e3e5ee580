//! The keys of the terminal, read by a thread of their own.
//!
//! It never waits inside the terminal library's own reading, which would spin for ever once the terminal is gone; it
//! waits for the terminal and for a pipe of ours that ends it.

#![allow(
    clippy::disallowed_methods,
    reason = "an outer room: it stamps keys with the clock's time"
)]

use crate::show::event::Event;
use crossbeam_channel::Sender;
use crossterm::event::{Event as Typed, poll as typed, read};
use rustix::event::{PollFd, PollFlags, poll};
use rustix::io::Errno;
use rustix::pipe::{PipeFlags, pipe_with};
use std::os::fd::OwnedFd;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// What the library waits for keys that are at hand; it looks at none in no time at all.
const AT_HAND: Duration = Duration::from_millis(1);

/// The thread; dropping it ends the reading.
pub(super) struct Typing {
    stop: Option<OwnedFd>,
    thread: Option<JoinHandle<()>>,
}

impl Typing {
    pub(super) fn start(to: Sender<Event>) -> std::io::Result<Typing> {
        let (stopped, stop) = pipe_with(PipeFlags::CLOEXEC)?;
        let thread = std::thread::Builder::new()
            .name("keys".into())
            .spawn(move || listen(&to, &stopped))?;
        Ok(Typing {
            stop: Some(stop),
            thread: Some(thread),
        })
    }
}

impl Drop for Typing {
    fn drop(&mut self) {
        self.stop = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn listen(to: &Sender<Event>, stopped: &OwnedFd) {
    let terminal = std::io::stdin();
    loop {
        let mut fds = [
            PollFd::new(&terminal, PollFlags::IN),
            PollFd::new(stopped, PollFlags::IN),
        ];
        match poll(&mut fds, None) {
            Ok(_) | Err(Errno::INTR) => {}
            Err(_) => break,
        }
        if !fds[1].revents().is_empty() {
            return;
        }
        if fds[0]
            .revents()
            .intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL)
        {
            break;
        }
        while typed(AT_HAND).unwrap_or(false) {
            match read() {
                Ok(Typed::Key(key)) => {
                    if to.send(Event::Key(key, Instant::now())).is_err() {
                        return;
                    }
                }
                // Pasted text is no playing; the size comes by signal.
                Ok(Typed::Paste(_) | Typed::Resize(..) | Typed::FocusGained | Typed::FocusLost | Typed::Mouse(_)) => {}
                Err(_) => break,
            }
        }
    }
    let _ = to.send(Event::TerminalGone);
}
