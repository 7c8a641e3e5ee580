//! The one loop of whatever runs on the terminal: events come through one channel, and one picture answers them all.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::pedal::{Moment, PortEvent};
use crate::show::display::Display;
use crate::show::event::Event;
use crate::show::files::Fresh;
use crate::show::signals::{self, Caught};
use crate::show::terminal::{self, Terminal};
use crate::show::{broke, errors};
use crossbeam_channel::{Receiver, Sender, bounded};
use crossterm::event::KeyEvent;
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGWINCH};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

/// What runs: it answers events and draws.
pub(super) trait Running {
    fn port(&mut self, event: PortEvent);

    fn key(&mut self, key: KeyEvent, at: Instant) -> io::Result<()>;

    /// Its files have changed. Practice goes on with what was read.
    fn take_up(&mut self, _read: Result<Box<Fresh>, String>) {}

    /// Its journal takes nothing. Practice has none.
    fn journal_fails(&mut self, _words: String) {}

    fn display(&mut self) -> &mut Display;

    /// Someone wants it to end.
    fn end(&mut self);

    /// When something is due without anything happening, but for what is due on the display.
    fn wake_at(&self) -> Option<Instant>;

    fn pass_time(&mut self, now: Instant);

    fn is_over(&self) -> bool;

    /// Draws what has changed, where a picture is due.
    fn draw(&mut self) -> io::Result<()>;

    /// Draws all, on a terminal that shows nothing of it.
    fn draw_first(&mut self) -> io::Result<()>;

    fn suspend(&mut self) -> io::Result<()>
    where
        Self: Sized,
    {
        stop(self)
    }
}

/// When it began, by the machine's clock: the moment 0 of all that is pure.
#[derive(Clone, Copy)]
pub(super) struct Began(Instant);

impl Began {
    pub(super) fn now() -> Began {
        Began(Instant::now())
    }

    pub(super) fn since(self, at: Instant) -> Duration {
        at.saturating_duration_since(self.0)
    }

    pub(super) fn moment(self, at: Instant) -> Moment {
        Moment::from_ns(self.since(at).as_nanos() as u64)
    }

    pub(super) fn instant(self, moment: Moment) -> Instant {
        self.0 + Duration::from_nanos(moment.as_ns())
    }
}

/// How it has ended.
pub enum Ended {
    /// Someone left, or the terminal is gone.
    Left,
    /// A thread broke: a fault of ours, in its own words. The report stands in the log.
    Broke(String),
}

/// What it is given to begin with.
pub(super) struct Stand {
    pub(super) terminal: Terminal,
    pub(super) signals: Caught,
    pub(super) to: Sender<Event>,
    pub(super) events: Receiver<Event>,
}

/// Events that may wait: a port that sends without end is held up, and no memory grows.
const WAITING: usize = 256;

/// Takes the terminal, performs, and gives the terminal back as it was whatever has come of it.
///
/// # Errors
/// Where there is no terminal, or it can no longer be written.
pub(super) fn on_the_terminal(
    state_folder: Option<&Path>,
    perform: impl FnOnce(Stand) -> io::Result<()>,
) -> io::Result<Ended> {
    let signals = Caught::new()?;
    let terminal = Terminal::take()?;
    errors::send_to_log(state_folder);
    let (to, events) = bounded(WAITING);
    broke::watch(to.clone());
    let stand = Stand {
        terminal,
        signals,
        to,
        events,
    };
    // All that it holds is dropped within, so that nothing half done is seen after a panic.
    let result = catch_unwind(AssertUnwindSafe(|| perform(stand)));
    let broken = broke::end();
    errors::give_back();
    match (result, broken) {
        (Err(_), words) => Ok(Ended::Broke(words.unwrap_or_default())),
        (Ok(_), Some(words)) => Ok(Ended::Broke(words)),
        (Ok(result), None) => result.map(|()| Ended::Left),
    }
}

/// Answers what happens until it is over.
pub(super) fn attend(running: &mut impl Running, events: &Receiver<Event>) -> io::Result<()> {
    while !running.is_over() && !broke::has_broken() {
        let due = [running.wake_at(), running.display().wake_at()];
        let event = match due.into_iter().flatten().min() {
            Some(due) => events.recv_deadline(due).ok(),
            None => events.recv().ok(),
        };
        // All that waits already is answered by one picture.
        for event in event.into_iter().chain(events.try_iter().take(WAITING)) {
            answer(running, event)?;
        }
        let now = Instant::now();
        running.pass_time(now);
        running.display().pass_time(now)?;
        if !running.is_over() {
            running.draw()?;
        }
    }
    Ok(())
}

/// Gives the terminal back, stops, and takes it again when the shell lets us go on in front of it.
pub(super) fn stop(running: &mut impl Running) -> io::Result<()> {
    running
        .display()
        .leave_for(|| signal_hook::low_level::emulate_default_handler(SIGTSTP))
}

/// Stops as a key asks for it, where that is not for good.
pub(super) fn stop_by_key(running: &mut impl Running, now: Instant) -> io::Result<()> {
    if terminal::has_a_shell() {
        return running.suspend();
    }
    let words = "no shell has started this, so none could bring it back: it goes on";
    running.display().notice(words.into(), now);
    Ok(())
}

/// What happens to the terminal is answered alike by all that run on it.
fn answer(running: &mut impl Running, event: Event) -> io::Result<()> {
    match event {
        Event::Signal(SIGWINCH) => running.display().resize(),
        Event::Signal(SIGTSTP) => running.suspend()?,
        Event::Signal(SIGCONT) => running.display().go_on_after_stop()?,
        Event::Signal(SIGTERM | SIGHUP | SIGINT) | Event::TerminalGone => running.end(),
        Event::TerminalReads => running.display().go_on(Instant::now())?,
        // Asked for by the tests, in builds for them alone.
        Event::Signal(signals::FAULT) if cfg!(debug_assertions) => panic!("a fault was asked for"),
        // The loop sees for itself that a thread broke.
        Event::Signal(_) | Event::Broke => {}
        Event::Port(event) => running.port(event),
        Event::Key(key, at) => running.key(key, at)?,
        Event::Files(read) => running.take_up(read),
        Event::JournalFails(words) => running.journal_fails(words),
    }
    Ok(())
}
