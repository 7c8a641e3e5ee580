//! The one loop of whatever runs on the terminal: events come through one channel, and one picture answers them all.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::show::event::Event;
use crate::show::signals::Caught;
use crate::show::terminal::Terminal;
use crate::show::{broke, errors};
use crossbeam_channel::{Receiver, Sender, at, bounded, never, select};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::Instant;

/// What runs: it answers events and draws.
pub(super) trait Running {
    fn happen(&mut self, event: Event) -> io::Result<()>;

    /// When something is due without anything happening.
    fn wake_at(&self) -> Option<Instant>;

    fn pass_time(&mut self, now: Instant);

    fn is_over(&self) -> bool;

    /// Draws what has changed, where a picture is due.
    fn draw(&mut self) -> io::Result<()>;
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
        let timer = running.wake_at().map_or_else(never, at);
        select! {
            recv(events) -> event => {
                if let Ok(event) = event {
                    running.happen(event)?;
                }
            }
            recv(timer) -> _ => {}
        }
        // All that waits already is answered by one picture.
        for event in events.try_iter().take(WAITING) {
            running.happen(event)?;
        }
        running.pass_time(Instant::now());
        if !running.is_over() {
            running.draw()?;
        }
    }
    Ok(())
}
