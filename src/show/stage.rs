//! The one loop of a running stage: whatever happens comes through one channel, and one picture answers it.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::pedal::{Bindings, MidiPorts, Moment, News, PortEvent, PortId, RawPort, Teller, Wanted};
use crate::plan::Planned;
use crate::screen::{Picture, PortStatus, Screen, Status, title};
use crate::sequencer::{By, Cue, Entered, Page, Sequencer, cue};
use crate::setlist::PedalSettings;
use crate::show::event::Event;
use crate::show::frame::{Change, Frame};
use crate::show::keys::{Ask, Keypad};
use crate::show::performance::{Cable, Done, Listener, Performance};
use crate::show::signals::Signals;
use crate::show::terminal::{ENTER, Terminal};
use crate::show::typing::Typing;
use crate::show::{errors, terminal};
use crossbeam_channel::{Receiver, Sender, at, bounded, never, select};
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGWINCH};
use std::io;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// What a stage is opened with.
pub struct Opening {
    pub planned: Planned,
    pub bindings: Bindings,
    pub pedals: PedalSettings,
    /// What draws; words that it has drawn already are at hand for the first page.
    pub screen: Screen,
    /// Raw ports to read.
    pub raw_ports: Vec<PathBuf>,
    /// MIDI ports to take.
    pub wanted: Wanted,
    /// Where the log is kept.
    pub state_folder: Option<PathBuf>,
}

/// How long a notice stands: long enough to be read between two chords.
const NOTICE: Duration = Duration::from_secs(4);
/// Events that may wait: a port that sends without end is held up, and no memory grows.
const WAITING: usize = 256;
/// A tempo that moves by less than this is not shown anew.
const BPM_STEP: f64 = 0.1;

/// Runs the show until someone leaves; the terminal is then as it was.
///
/// # Errors
/// Where there is no terminal, or it can no longer be written.
pub fn run(opening: Opening) -> io::Result<()> {
    let terminal = Terminal::take()?;
    errors::send_to_log(opening.state_folder.as_deref());
    give_back_on_panic();
    let doors = Doors {
        raw_ports: opening.raw_ports.clone(),
        wanted: opening.wanted.clone(),
    };
    let mut stage = Stage::new(opening, terminal);
    stage.warn_if_small();
    stage.draw_whole(ENTER)?;
    let (to, events) = bounded(WAITING);
    let result = stage.attend(&to, events, &doors);
    drop(stage);
    errors::give_back();
    result
}

/// A panic gives the terminal back before it speaks. In a thread beside the main one it goes to the log, and the show
/// goes on.
fn give_back_on_panic() {
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if std::thread::current().name() == Some("main") {
            terminal::give_back();
            errors::give_back();
        }
        usual(panic);
    }));
}

/// Where bytes come from.
struct Doors {
    raw_ports: Vec<PathBuf>,
    wanted: Wanted,
}

struct Stage {
    planned: Planned,
    performance: Performance,
    screen: Screen,
    status: Status,
    keypad: Keypad,
    frame: Frame,
    terminal: Terminal,
    midi: Option<MidiPorts>,
    /// What the terminal shows, and what it is to show.
    shown: Picture,
    wanted: Picture,
    title: String,
    started: Instant,
    notice_until: Option<Instant>,
    /// Something has changed since the last picture.
    stale: bool,
    over: bool,
}

/// What a performance told while it handled one event.
#[derive(Default)]
struct Heard {
    refused: Option<String>,
    done: bool,
    cables: Vec<Cable>,
    /// What was entered, in order: its messages go out.
    entered: Vec<Entered>,
}

impl Listener for Heard {
    fn done(&mut self, _: &Planned, _: &Sequencer, done: Done) {
        match done.result {
            Ok(Entered::Nothing) => (self.done, self.refused) = (true, None),
            Ok(entered) => {
                (self.done, self.refused) = (true, None);
                self.entered.push(entered);
            }
            Err(refused) => self.refused = Some(refused.to_string()),
        }
    }

    fn cable(&mut self, cable: Cable) {
        self.cables.push(cable);
    }
}

impl Stage {
    fn new(opening: Opening, terminal: Terminal) -> Stage {
        let size = terminal.size();
        let ports = opening.raw_ports.iter().map(|path| PortStatus {
            name: port_name(path),
            alive: false,
        });
        let status = Status {
            ports: ports.collect(),
            ..Status::default()
        };
        let frame = Frame::new(opening.screen.look().theme);
        Stage {
            performance: Performance::open(&opening.planned, opening.bindings, &opening.pedals),
            planned: opening.planned,
            screen: opening.screen,
            status,
            keypad: Keypad::new(Duration::from_millis(u64::from(opening.pedals.debounce_ms))),
            frame,
            terminal,
            midi: None,
            shown: Picture::new(size.width, size.height),
            wanted: Picture::new(size.width, size.height),
            title: String::new(),
            started: Instant::now(),
            notice_until: None,
            stale: false,
            over: false,
        }
    }

    /// Opens what may happen, and answers it until the show is over.
    fn attend(&mut self, to: &Sender<Event>, events: Receiver<Event>, doors: &Doors) -> io::Result<()> {
        let _signals = Signals::start(to.clone())?;
        let _typing = Typing::start(to.clone())?;
        let mut raw_ports = Vec::new();
        for (place, path) in doors.raw_ports.iter().enumerate() {
            let teller = Teller::patient(to.clone(), Event::Port);
            raw_ports.push(RawPort::open(path, PortId(place as u16), teller)?);
        }
        let teller = Teller::hasty(to.clone(), Event::Port);
        self.midi = Some(MidiPorts::start(
            doors.wanted.clone(),
            PortId(raw_ports.len() as u16),
            teller,
        )?);
        self.send(Entered::Song(self.planned.set.first_song()));
        let result = self.answer(&events);
        // A port that waits for room must not keep us waiting for it.
        drop(events);
        result
    }

    fn answer(&mut self, events: &Receiver<Event>) -> io::Result<()> {
        while !self.over {
            let timer = self.wake_at().map_or_else(never, at);
            select! {
                recv(events) -> event => {
                    if let Ok(event) = event {
                        self.happen(event)?;
                    }
                }
                recv(timer) -> _ => {}
            }
            // All that waits already is answered by one picture.
            for event in events.try_iter().take(WAITING) {
                self.happen(event)?;
            }
            self.pass_time(Instant::now());
            if self.stale && !self.over {
                self.draw(None)?;
            }
        }
        Ok(())
    }

    /// When something is due without anything happening.
    fn wake_at(&self) -> Option<Instant> {
        let instant = |moment: Moment| self.started + Duration::from_nanos(moment.as_ns());
        let pedals = self.performance.wake_at().map(instant);
        let clock = self
            .status
            .measured_bpm
            .and_then(|_| self.performance.clock_silent_at())
            .map(instant);
        [pedals, clock, self.notice_until].into_iter().flatten().min()
    }

    fn pass_time(&mut self, now: Instant) {
        if self.performance.wake_at().is_some_and(|due| due <= self.moment(now)) {
            let mut heard = Heard::default();
            self.performance.tick(&self.planned, self.moment(now), &mut heard);
            self.take(heard, now);
        }
        if self.notice_until.is_some_and(|until| until <= now) {
            self.notice_until = None;
            self.status.notice = None;
            self.stale = true;
        }
        if self
            .performance
            .clock_silent_at()
            .is_some_and(|due| due <= self.moment(now))
        {
            self.performance.forget_clock();
            self.stale |= self.status.measured_bpm.take().is_some();
        }
    }

    fn happen(&mut self, event: Event) -> io::Result<()> {
        match event {
            Event::Port(event) => self.port(event),
            Event::Key(key, at) => {
                if let Some(ask) = self.keypad.press(key, at.saturating_duration_since(self.started)) {
                    self.ask(ask, at)?;
                }
            }
            Event::Signal(SIGWINCH) => self.draw_whole(b"\x1b[m\x1b[2J")?,
            Event::Signal(SIGTSTP) => self.suspend()?,
            Event::Signal(SIGTERM | SIGHUP | SIGINT) | Event::TerminalGone => self.over = true,
            Event::Signal(_) => {}
        }
        Ok(())
    }

    fn port(&mut self, event: PortEvent) {
        let PortEvent { port, at, news } = event;
        let mut heard = Heard::default();
        let moment = self.moment(at);
        let Stage {
            performance, planned, ..
        } = self;
        match news {
            News::Bytes(chunk) => performance.bytes(planned, port, moment, chunk.bytes(), &mut heard),
            News::Here(name) => {
                performance.find(planned, port, moment, &mut heard);
                // A MIDI port is met when it is there; it keeps its number.
                let ports = &mut self.status.ports;
                while ports.len() <= usize::from(port.0) {
                    ports.push(PortStatus {
                        name: name.to_string(),
                        alive: false,
                    });
                }
                self.set_alive(port, true);
            }
            News::Gone => {
                performance.lose(planned, port, moment, &mut heard);
                self.set_alive(port, false);
            }
        }
        self.take(heard, at);
        self.measure();
    }

    /// Sends the messages of what was entered to the output port, which never holds anything up.
    fn send(&self, entered: Entered) {
        let (Some(midi), set) = (&self.midi, &self.planned.set) else {
            return;
        };
        let messages = match entered {
            Entered::Song(song) => &set.song(song).send,
            Entered::Step(step) => &set.section(step).send,
            Entered::Nothing => return,
        };
        messages.iter().for_each(|message| midi.send(*message));
    }

    fn set_alive(&mut self, port: PortId, alive: bool) {
        if let Some(status) = self.status.ports.get_mut(usize::from(port.0)) {
            self.stale |= status.alive != alive;
            status.alive = alive;
        }
    }

    /// Takes what was heard while one event was handled.
    fn take(&mut self, heard: Heard, now: Instant) {
        self.stale |= heard.done;
        heard.entered.into_iter().for_each(|entered| self.send(entered));
        for cable in heard.cables {
            match cable {
                Cable::Lost(port) => self.set_alive(port, false),
                Cable::Back(port) => self.set_alive(port, true),
            }
        }
        if let Some(refused) = heard.refused {
            self.notice(refused, now);
        } else if heard.done && self.status.notice.is_some() {
            self.notice_until = None;
            self.status.notice = None;
        }
    }

    fn notice(&mut self, words: String, now: Instant) {
        self.status.notice = Some(words);
        self.notice_until = Some(now + NOTICE);
        self.stale = true;
    }

    /// Shows the measured tempo when it has moved enough to be seen.
    fn measure(&mut self) {
        let Some(bpm) = self.performance.measured_bpm() else {
            return;
        };
        let moved = self
            .status
            .measured_bpm
            .is_none_or(|shown| (shown - bpm).abs() >= BPM_STEP);
        if moved {
            self.status.measured_bpm = Some(bpm);
            self.stale = true;
        }
    }

    fn ask(&mut self, ask: Ask, at: Instant) -> io::Result<()> {
        match ask {
            Ask::Do(action) => {
                let mut heard = Heard::default();
                let moment = self.moment(at);
                self.performance.act(&self.planned, moment, action, By::Key, &mut heard);
                self.status.help = false;
                self.take(heard, at);
            }
            Ask::Help => {
                self.status.help = !self.status.help;
                self.stale = true;
            }
            Ask::Digits(number) => self.notice(format!("song {number}: enter goes there"), at),
            Ask::LeaveOnceMore => self.notice("once more leaves".into(), at),
            Ask::Leave => self.over = true,
            Ask::Suspend => self.suspend()?,
        }
        Ok(())
    }

    /// Gives the terminal back, stops, and takes it again when the shell lets us go on.
    fn suspend(&mut self) -> io::Result<()> {
        terminal::give_back();
        signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
        self.terminal.retake()?;
        self.draw_whole(ENTER)
    }

    fn moment(&self, at: Instant) -> Moment {
        Moment::from_ns(at.saturating_duration_since(self.started).as_nanos() as u64)
    }

    /// Says once where the most important words are too small to be read from where the screen stands.
    fn warn_if_small(&mut self) {
        let Some(sight) = self.screen.look().sight else { return };
        let cue = cue(&self.planned, self.performance.sequencer().state());
        let small = self.screen.legibility(&cue, self.terminal.size(), sight);
        let small = small
            .into_iter()
            .filter(|(_, reached)| *reached < crate::screen::ENOUGH_ARC_MINUTES);
        if let Some((what, reached)) = small.min_by(|a, b| a.1.total_cmp(&b.1)) {
            self.notice(
                format!("small from there: {what}, {reached:.0} of 20 minutes of arc"),
                Instant::now(),
            );
        }
    }

    /// Draws every cell anew, at the terminal's present size.
    fn draw_whole(&mut self, before: &[u8]) -> io::Result<()> {
        let size = self.terminal.size();
        self.shown = Picture::new(size.width, size.height);
        self.wanted = Picture::new(size.width, size.height);
        self.title.clear();
        self.draw(Some(before))
    }

    fn draw(&mut self, fresh: Option<&[u8]>) -> io::Result<()> {
        self.stale = false;
        let state = self.performance.sequencer().state();
        self.status.elapsed = match state.page() {
            Page::End => Some(self.status.elapsed.unwrap_or_else(|| self.started.elapsed())),
            Page::Gap(_) | Page::Section(_) => None,
        };
        let cue: Cue<'_> = cue(&self.planned, state);
        self.screen.paint(&cue, &self.status, &mut self.wanted);
        let title = title(&cue);
        let new_title = (title != self.title).then_some(title.as_str());
        let (old, new, clusters) = (&self.shown, &self.wanted, self.screen.clusters());
        let bytes = self.frame.between(
            &Change {
                old,
                new,
                clusters,
                title: new_title,
            },
            fresh,
        );
        match self.terminal.write(bytes) {
            Ok(()) => {}
            // Nobody looks any more: the show is over.
            Err(error) if error.raw_os_error() == Some(rustix::io::Errno::IO.raw_os_error()) => self.over = true,
            Err(error) => return Err(error),
        }
        if new_title.is_some() {
            self.title = title;
        }
        std::mem::swap(&mut self.shown, &mut self.wanted);
        Ok(())
    }
}

/// A raw port is known by the last part of its path.
fn port_name(path: &std::path::Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}
