//! A sitting of practice on the terminal: the same pedals, keys and pages as the stage, with questions between them.

#![allow(
    clippy::disallowed_methods,
    reason = "an outer room: it reads the clock and keeps the history"
)]

use crate::pedal::{Bindings, Event as Heard, Moment, News, PortEvent, What};
use crate::plan::Planned;
use crate::rehearse::{Face as Shown, History, Input, Item, Memory, Session};
use crate::screen::Screen;
use crate::sequencer::Action;
use crate::setlist::PedalSettings;
use crate::show::attend::{Began, Ended, Running, Stand, attend, on_the_terminal, stop_by_key};
use crate::show::display::{Display, Face};
use crate::show::doors::Doors;
use crate::show::feet::Feet;
use crate::show::keys::{Ask, Keypad};
use crossterm::event::KeyEvent;
use std::io;
use std::path::PathBuf;
use std::time::{Instant, SystemTime, UNIX_EPOCH};

/// What `?` says: a question is on the page, and no list is to lie over it.
const KEYS: &str = "right: next   left: back   digits, enter: a fret   q q: leave";

/// What a sitting is opened with.
pub struct Sitting {
    pub planned: Planned,
    pub items: Vec<Item>,
    pub memory: Memory,
    pub history: History,
    pub bindings: Bindings,
    pub pedals: PedalSettings,
    pub screen: Screen,
    pub doors: Doors,
    pub state_folder: Option<PathBuf>,
}

/// What has come of a sitting.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Score {
    pub asked: u32,
    pub right: u32,
    /// The whole seconds for a capo move that the player took over.
    pub seconds_to_move: Option<u32>,
}

/// Drills until the player has had enough; the terminal is then as it was.
///
/// # Errors
/// Where there is no terminal, or it can no longer be written.
pub fn rehearse(sitting: Sitting) -> io::Result<(Ended, Score)> {
    let mut score = Score::default();
    let state_folder = sitting.state_folder.clone();
    let ended = on_the_terminal(state_folder.as_deref(), |stand| perform(sitting, stand, &mut score))?;
    Ok((ended, score))
}

fn perform(sitting: Sitting, stand: Stand, score: &mut Score) -> io::Result<()> {
    let Sitting {
        planned,
        items,
        memory,
        history,
        bindings,
        pedals,
        screen,
        doors,
        ..
    } = sitting;
    let Stand {
        terminal,
        signals,
        to,
        events,
    } = stand;
    let mut display = Display::new(screen, terminal, to.clone());
    doors
        .names()
        .for_each(|(port, name)| display.port(port, Some(&name), false));
    let session = Session::new(items, memory, Moment::from_ns(0), now());
    let (shown, banner) = session.face(&planned, now());
    display.keep_saying(banner);
    let began = Began::now();
    let mut rehearsal = Rehearsal {
        session,
        planned,
        history,
        feet: Feet::new(began, bindings, &pedals),
        keypad: Keypad::new(pedals.debounce()),
        display,
        shown,
        began,
        over: false,
    };
    rehearsal.draw_first()?;
    // Practice sends nothing, but the ports are kept open.
    let _open = doors.open(signals, &to)?;
    // Dropped first, whatever ends us: a port that waits for room must not keep us waiting for it.
    let events = events;
    let result = attend(&mut rehearsal, &events);
    let (asked, right) = rehearsal.session.score();
    *score = Score {
        asked,
        right,
        seconds_to_move: rehearsal.session.taken_seconds(),
    };
    result
}

struct Rehearsal {
    planned: Planned,
    session: Session,
    history: History,
    feet: Feet,
    keypad: Keypad,
    display: Display,
    shown: Shown,
    began: Began,
    over: bool,
}

impl Running for Rehearsal {
    fn port(&mut self, event: PortEvent) {
        match &event.news {
            News::Bytes(_) => {}
            News::Here(name) => self.display.port(event.port, Some(name), true),
            News::Gone => self.display.port(event.port, None, false),
        }
        let heard = self.feet.hear(&event);
        self.hear(heard);
    }

    fn key(&mut self, key: KeyEvent, at: Instant) -> io::Result<()> {
        match self.keypad.press(key, self.began.since(at)) {
            Some(ask) => self.ask(ask, at),
            None => Ok(()),
        }
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
        self.hear(heard);
    }

    fn is_over(&self) -> bool {
        self.over || self.session.is_over() || self.display.is_gone()
    }

    fn draw(&mut self) -> io::Result<()> {
        let (display, face) = self.face();
        display.draw(&face)
    }

    fn draw_first(&mut self) -> io::Result<()> {
        let (display, face) = self.face();
        display.draw_first(&face)
    }
}

impl Rehearsal {
    /// What is to be seen, and where.
    fn face(&mut self) -> (&mut Display, Face<'_>) {
        let face = match &self.shown {
            Shown::Page(state) => Face::Page(&self.planned, state),
            Shown::Prompt(prompt) => Face::Prompt(prompt),
        };
        (&mut self.display, face)
    }

    /// Takes what the pedals say; the clock and the song messages of a sequencer are not for practice.
    fn hear(&mut self, heard: Vec<Heard>) {
        for Heard { at, what } in heard {
            if let What::Act(action) = what {
                self.answer(&action, at, false);
            }
        }
    }

    fn ask(&mut self, ask: Ask, at: Instant) -> io::Result<()> {
        match ask {
            Ask::Do(action) => self.answer(&action, self.began.moment(at), true),
            Ask::Digits(number) => self.display.notice(format!("fret {number}: enter answers"), at),
            Ask::LeaveOnceMore => self.display.notice("once more leaves".into(), at),
            Ask::Leave => self.over = true,
            Ask::Suspend => stop_by_key(self, at)?,
            Ask::Help => self.display.notice(KEYS.into(), at),
            Ask::Close => {}
        }
        Ok(())
    }

    /// Answers with an action: two of them are enough. A song's number that was typed is a fret here.
    fn answer(&mut self, action: &Action, at: Moment, typed: bool) {
        let input = match action {
            Action::Next => Input::Next,
            Action::Back => Input::Back,
            Action::Song(number) if typed => Input::Fret(*number),
            _ => return,
        };
        let answer = self.session.act(&self.planned, input, at, now());
        self.turn();
        // A history that cannot be written ends no practice.
        if let Some(Err(error)) = answer.map(|answer| self.history.keep(&answer)) {
            self.display
                .notice(format!("the history cannot be written: {error}"), Instant::now());
        }
    }

    /// Turns to what the session shows now.
    fn turn(&mut self) {
        let (face, banner) = self.session.face(&self.planned, now());
        self.shown = face;
        self.display.keep_saying(banner);
    }
}

/// Seconds since 1970, by the wall's clock.
fn now() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| i64::try_from(since.as_secs()).unwrap_or_default())
}
