//! Practice on a terminal: pages of options, stepped through by keys or by foot, until someone leaves.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::pedal::{Bindings, Board, MidiPorts, Moment, News, PortEvent, PortId, RawPort, Teller, Wanted, What};
use crate::screen::{Picture, Poster, Screen};
use crate::sequencer::Action;
use crate::setlist::PedalSettings;
use crate::show::event::Event;
use crate::show::frame::{Change, Frame};
use crate::show::signals::Caught;
use crate::show::terminal::{self, ENTER, Terminal, Written};
use crate::show::typing::Typing;
use crate::show::{broke, errors};
use crossbeam_channel::{Receiver, Sender, at, bounded, never, select};
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use ratatui::layout::Rect;
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGWINCH};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
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
    pub raw_ports: Vec<PathBuf>,
    pub wanted: Wanted,
    /// Where the log is kept.
    pub state_folder: Option<PathBuf>,
}

const WAITING: usize = 256;

/// Runs practice until someone leaves; the terminal is then as it was. `begin` makes what is practised once the terminal
/// is ours.
///
/// # Errors
/// Where there is no terminal, or it can no longer be written, or a thread of ours broke.
pub fn practise(opening: PracticeOpening, practice: &mut impl Practice) -> io::Result<()> {
    let signals = Caught::new()?;
    let terminal = Terminal::take()?;
    errors::send_to_log(opening.state_folder.as_deref());
    let (to, events) = bounded(WAITING);
    broke::watch(to.clone());
    let result = catch_unwind(AssertUnwindSafe(|| {
        attend(opening, terminal, signals, &to, events, practice)
    }));
    let broken = broke::end();
    errors::give_back();
    match (result, broken) {
        (Ok(result), None) => result,
        (_, words) => Err(io::Error::other(format!(
            "a fault in Footlights ended the practice: {}",
            words.unwrap_or_default()
        ))),
    }
}

fn attend(
    opening: PracticeOpening,
    terminal: Terminal,
    signals: Caught,
    to: &Sender<Event>,
    events: Receiver<Event>,
    practice: &mut impl Practice,
) -> io::Result<()> {
    let mut room = Room::new(&opening, terminal);
    room.draw(&practice.page(), Some(ENTER))?;
    let _signals = signals.listen(to.clone())?;
    let _typing = Typing::start(to.clone())?;
    let mut raw_ports = Vec::new();
    for (port, path) in (0..).map(PortId).zip(&opening.raw_ports) {
        raw_ports.push(RawPort::open(path, port, Teller::patient(to.clone(), Event::Port))?);
    }
    let first = PortId(raw_ports.len() as u16);
    let _midi_ports = MidiPorts::start(opening.wanted, first, Teller::hasty(to.clone(), Event::Port))?;
    // Dropped first, whatever ends us: a port that waits for room must not keep us waiting for it.
    let events = events;
    while !room.over && !broke::has_broken() {
        let timer = room
            .board
            .wake_at()
            .map_or_else(never, |moment| at(room.instant(moment)));
        select! {
            recv(events) -> event => if let Ok(event) = event { room.happen(event, practice)? },
            recv(timer) -> _ => {}
        }
        for event in events.try_iter().take(WAITING) {
            room.happen(event, practice)?;
        }
        room.pass_time(Instant::now(), practice);
        if room.stale && !room.over {
            room.draw(&practice.page(), None)?;
        }
    }
    Ok(())
}

/// The terminal, the pedals and the time.
struct Room {
    screen: Screen,
    frame: Frame,
    terminal: Terminal,
    shown: Picture,
    size: Rect,
    board: Board,
    debounce: Duration,
    last_key: Option<(KeyCode, Instant)>,
    started: Instant,
    stale: bool,
    over: bool,
}

impl Room {
    fn new(opening: &PracticeOpening, terminal: Terminal) -> Room {
        let size = terminal.size();
        let screen = Screen::new(opening.screen.look().clone());
        Room {
            frame: Frame::new(screen.look().theme),
            screen,
            terminal,
            shown: Picture::new(size.width, size.height),
            size,
            board: Board::new(opening.bindings.clone(), &opening.pedals),
            debounce: Duration::from_millis(u64::from(opening.pedals.debounce_ms)),
            last_key: None,
            started: Instant::now(),
            stale: false,
            over: false,
        }
    }

    fn moment(&self, at: Instant) -> Moment {
        Moment::from_ns(at.saturating_duration_since(self.started).as_nanos() as u64)
    }

    fn instant(&self, moment: Moment) -> Instant {
        self.started + Duration::from_nanos(moment.as_ns())
    }

    fn happen(&mut self, event: Event, practice: &mut impl Practice) -> io::Result<()> {
        match event {
            Event::Port(PortEvent { port, at, news }) => {
                let moment = self.moment(at);
                let mut out = Vec::new();
                match news {
                    News::Bytes(chunk) => self.board.bytes(port, moment, chunk.bytes(), &mut out),
                    News::Here(_) => self.board.back(port, moment, &mut out),
                    News::Gone => self.board.lost(port, moment, &mut out),
                }
                self.feet(out, practice);
            }
            Event::Key(key, at) => self.key(key, at, practice),
            Event::Signal(SIGWINCH) => self.draw(&practice.page(), Some(b"\x1b[m\x1b[2J"))?,
            Event::Signal(SIGTSTP) => {
                terminal::give_back();
                signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
                self.terminal.retake()?;
                self.draw(&practice.page(), Some(ENTER))?;
            }
            Event::Signal(SIGCONT) if self.terminal.is_taken_away() => {
                self.terminal.retake()?;
                self.draw(&practice.page(), Some(ENTER))?;
            }
            Event::Signal(SIGTERM | SIGHUP | SIGINT) | Event::TerminalGone => self.over = true,
            Event::Signal(_) | Event::Files(_) | Event::JournalFails(_) | Event::TerminalReads | Event::Broke => {}
        }
        Ok(())
    }

    fn pass_time(&mut self, now: Instant, practice: &mut impl Practice) {
        let now = self.moment(now);
        if self.board.wake_at().is_some_and(|due| due <= now) {
            let mut out = Vec::new();
            self.board.tick(now, &mut out);
            self.feet(out, practice);
        }
    }

    /// Two switches are enough; whoever has more uses what the words say.
    fn feet(&mut self, events: Vec<crate::pedal::Event>, practice: &mut impl Practice) {
        for event in events {
            let asked = match event.what {
                What::Act(Action::Next) => Asked::Go,
                What::Act(Action::Back) => Asked::Step,
                What::Act(Action::Again) => Asked::Again,
                _ => continue,
            };
            self.ask(asked, practice);
        }
    }

    fn key(&mut self, key: KeyEvent, at: Instant, practice: &mut impl Practice) {
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
        self.ask(asked, practice);
    }

    fn ask(&mut self, asked: Asked, practice: &mut impl Practice) {
        self.stale = true;
        self.over |= !practice.hear(asked);
    }

    /// Draws what has changed; every cell with `fresh`, at the terminal's present size.
    fn draw(&mut self, page: &Poster, fresh: Option<&[u8]>) -> io::Result<()> {
        self.stale = false;
        let size = self.terminal.size();
        let (fresh, before) = match fresh {
            None if size == self.size => (None, &self.shown),
            fresh => {
                self.shown = Picture::new(size.width, size.height);
                self.size = size;
                (fresh.or(Some(b"\x1b[m\x1b[2J")), &self.shown)
            }
        };
        let mut wanted = Picture::new(size.width, size.height);
        self.screen.poster(page, &mut wanted);
        let change = Change {
            old: before,
            new: &wanted,
            clusters: self.screen.clusters(),
            title: None,
        };
        let bytes = self.frame.between(&change, fresh);
        match self.terminal.write(bytes) {
            Ok(Written::Whole) => {}
            // At home nothing else needs us meanwhile.
            Ok(Written::Part) => {
                terminal::wait_for_room();
                self.terminal.go_on()?;
            }
            Err(error) if error.raw_os_error() == Some(rustix::io::Errno::IO.raw_os_error()) => self.over = true,
            Err(error) => return Err(error),
        }
        self.shown = wanted;
        Ok(())
    }
}
