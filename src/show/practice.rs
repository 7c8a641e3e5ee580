//! Practice on a terminal: pages of options, stepped through by keys or by foot, until someone leaves.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::pedal::{Bindings, Board, Event as Heard, Moment, News, PortEvent, What};
use crate::screen::{Poster, Screen};
use crate::sequencer::Action;
use crate::setlist::PedalSettings;
use crate::show::attend::{Ended, Running, Stand, attend, on_the_terminal};
use crate::show::display::{Display, Face};
use crate::show::doors::Doors;
use crate::show::event::Event;
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGWINCH};
use std::io;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// What is practised: it shows a page, and hears what a key or a switch asks.
pub trait Practice {
    fn page(&self) -> Poster;

    /// Does what was asked; whether practice goes on.
    fn hear(&mut self, asked: Asked) -> bool;
}

/// What the player asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// The other option next: the switch for `back`, or a key.
    Step,
    /// Do what is chosen: the switch for `next`, or a key.
    Go,
    /// The option so numbered, from 0.
    Option(usize),
    /// Hear it again.
    Again,
}

/// What practice is opened with.
pub struct PracticeOpening {
    pub screen: Screen,
    pub bindings: Bindings,
    pub pedals: PedalSettings,
    pub doors: Doors,
    /// Where the log is kept.
    pub state_folder: Option<PathBuf>,
}

/// Runs practice until someone leaves; the terminal is then as it was.
///
/// # Errors
/// Where there is no terminal, or it can no longer be written, or a thread of ours broke.
pub fn practise(opening: PracticeOpening, practice: &mut impl Practice) -> io::Result<()> {
    let state_folder = opening.state_folder.clone();
    match on_the_terminal(state_folder.as_deref(), |stand| perform(opening, stand, practice))? {
        Ended::Left => Ok(()),
        Ended::Broke(words) => Err(io::Error::other(format!(
            "a fault in Footlights ended the practice: {words}"
        ))),
    }
}

fn perform(opening: PracticeOpening, stand: Stand, practice: &mut impl Practice) -> io::Result<()> {
    let Stand {
        terminal,
        signals,
        to,
        events,
    } = stand;
    let mut room = Room {
        display: Display::new(opening.screen, terminal, to.clone()),
        board: Board::new(opening.bindings, &opening.pedals),
        debounce: Duration::from_millis(u64::from(opening.pedals.debounce_ms)),
        last_key: None,
        started: Instant::now(),
        over: false,
        practice,
    };
    room.draw_first()?;
    let _open = opening.doors.open(signals, &to)?;
    // Dropped first, whatever ends us: a port that waits for room must not keep us waiting for it.
    let events = events;
    attend(&mut room, &events)
}

/// The terminal, the pedals and the time.
struct Room<'p, P> {
    display: Display,
    board: Board,
    debounce: Duration,
    last_key: Option<(KeyCode, Instant)>,
    started: Instant,
    over: bool,
    practice: &'p mut P,
}

impl<P: Practice> Running for Room<'_, P> {
    fn happen(&mut self, event: Event) -> io::Result<()> {
        match event {
            Event::Port(event) => self.port(event),
            Event::Key(key, at) => self.key(key, at),
            Event::Signal(SIGWINCH) => self.display.resize(),
            Event::TerminalReads => self.display.go_on(Instant::now())?,
            Event::Signal(SIGTSTP) => {
                self.display
                    .leave_for(|| signal_hook::low_level::emulate_default_handler(SIGTSTP))?;
                self.draw_first()?;
            }
            Event::Signal(SIGCONT) => self.display.go_on_after_stop()?,
            Event::Signal(SIGTERM | SIGHUP | SIGINT) | Event::TerminalGone => self.over = true,
            Event::Signal(_) | Event::Files(_) | Event::JournalFails(_) | Event::Broke => {}
        }
        Ok(())
    }

    fn wake_at(&self) -> Option<Instant> {
        let moment = self.board.wake_at()?;
        Some(self.started + Duration::from_nanos(moment.as_ns()))
    }

    fn pass_time(&mut self, now: Instant) {
        let now = self.moment(now);
        if self.board.wake_at().is_some_and(|due| due <= now) {
            let mut heard = Vec::new();
            self.board.tick(now, &mut heard);
            self.feet(heard);
        }
    }

    fn is_over(&self) -> bool {
        self.over || self.display.is_gone()
    }

    fn draw(&mut self) -> io::Result<()> {
        self.display.draw(&Face::Poster(&self.practice.page()))
    }
}

impl<P: Practice> Room<'_, P> {
    fn port(&mut self, event: PortEvent) {
        let PortEvent { port, at, news } = event;
        let moment = self.moment(at);
        let mut heard = Vec::new();
        match news {
            News::Bytes(chunk) => self.board.bytes(port, moment, chunk.bytes(), &mut heard),
            News::Here(_) => self.board.back(port, moment, &mut heard),
            News::Gone => self.board.lost(port, moment, &mut heard),
        }
        self.feet(heard);
    }

    /// Two switches are enough; whoever has more uses what the words say.
    fn feet(&mut self, heard: Vec<Heard>) {
        for Heard { what, .. } in heard {
            let asked = match what {
                What::Act(Action::Next) => Asked::Go,
                What::Act(Action::Back) => Asked::Step,
                What::Act(Action::Again) => Asked::Again,
                _ => continue,
            };
            self.ask(asked);
        }
    }

    fn key(&mut self, key: KeyEvent, at: Instant) {
        // A held key repeats: it is measured from when it was seen last.
        let before = self.last_key.replace((key.code, at));
        let held =
            before.is_some_and(|(code, seen)| code == key.code && at.saturating_duration_since(seen) < self.debounce);
        if key.kind != KeyEventKind::Press || held {
            return;
        }
        let control = key.modifiers.contains(KeyModifiers::CONTROL);
        let asked = match key.code {
            KeyCode::Char('c') if control => return self.over = true,
            KeyCode::Char('q') | KeyCode::Esc => return self.over = true,
            KeyCode::Char(digit @ '1'..='9') => Asked::Option(digit as usize - '1' as usize),
            KeyCode::Right | KeyCode::PageDown | KeyCode::Enter => Asked::Go,
            KeyCode::Left | KeyCode::PageUp | KeyCode::Down | KeyCode::Tab | KeyCode::Backspace => Asked::Step,
            KeyCode::Char(' ' | 'a') => Asked::Again,
            _ => return,
        };
        self.ask(asked);
    }

    fn ask(&mut self, asked: Asked) {
        self.over |= !self.practice.hear(asked);
        self.display.outdate();
    }

    fn draw_first(&mut self) -> io::Result<()> {
        self.display.draw_first(&Face::Poster(&self.practice.page()))
    }

    fn moment(&self, at: Instant) -> Moment {
        Moment::from_ns(at.saturating_duration_since(self.started).as_nanos() as u64)
    }
}
