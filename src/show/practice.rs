//! Practice on a terminal: pages of options, stepped through by keys or by foot, until someone leaves.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::pedal::{Bindings, Event as Heard, PortEvent, What};
use crate::screen::{Poster, Screen};
use crate::sequencer::Action;
use crate::setlist::PedalSettings;
use crate::show::attend::{Began, Ended, Running, Stand, attend, on_the_terminal};
use crate::show::display::{Display, Face};
use crate::show::doors::Doors;
use crate::show::feet::Feet;
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
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
        feet: Feet::new(Began::now(), opening.bindings, &opening.pedals),
        debounce: opening.pedals.debounce(),
        last_key: None,
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
    feet: Feet,
    debounce: Duration,
    last_key: Option<(KeyCode, Instant)>,
    over: bool,
    practice: &'p mut P,
}

impl<P: Practice> Running for Room<'_, P> {
    fn port(&mut self, event: PortEvent) {
        let heard = self.feet.hear(&event);
        self.take(heard);
    }

    fn key(&mut self, key: KeyEvent, at: Instant) -> io::Result<()> {
        // A held key repeats: it is measured from when it was seen last.
        let before = self.last_key.replace((key.code, at));
        let held =
            before.is_some_and(|(code, seen)| code == key.code && at.saturating_duration_since(seen) < self.debounce);
        if key.kind != KeyEventKind::Press || held {
            return Ok(());
        }
        match key.code {
            KeyCode::Char('c') if key.modifiers.contains(KeyModifiers::CONTROL) => self.over = true,
            KeyCode::Char('q') | KeyCode::Esc => self.over = true,
            KeyCode::Char(digit @ '1'..='9') => self.ask(Asked::Option(digit as usize - '1' as usize)),
            KeyCode::Right | KeyCode::PageDown | KeyCode::Enter => self.ask(Asked::Go),
            KeyCode::Left | KeyCode::PageUp | KeyCode::Down | KeyCode::Tab | KeyCode::Backspace => {
                self.ask(Asked::Step);
            }
            KeyCode::Char(' ' | 'a') => self.ask(Asked::Again),
            _ => {}
        }
        Ok(())
    }

    fn display(&mut self) -> &mut Display {
        &mut self.display
    }

    fn end(&mut self) {
        self.over = true;
    }

    fn wake_at(&self) -> Option<Instant> {
        self.feet.wake_at()
    }

    fn pass_time(&mut self, now: Instant) {
        let heard = self.feet.over(now);
        self.take(heard);
    }

    fn is_over(&self) -> bool {
        self.over || self.display.is_gone()
    }

    fn draw(&mut self) -> io::Result<()> {
        self.display.draw(&Face::Poster(&self.practice.page()))
    }

    fn draw_first(&mut self) -> io::Result<()> {
        self.display.draw_first(&Face::Poster(&self.practice.page()))
    }
}

impl<P: Practice> Room<'_, P> {
    /// Two switches are enough; whoever has more uses what the words say.
    fn take(&mut self, heard: Vec<Heard>) {
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

    fn ask(&mut self, asked: Asked) {
        self.over |= !self.practice.hear(asked);
        self.display.outdate();
    }
}
