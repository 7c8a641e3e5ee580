//! A running stage: the performance, its journal and its files, and what each event does to them.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::pedal::{Bindings, MidiPorts, News, PortEvent, Wanted};
use crate::plan::Planned;
use crate::screen::Screen;
use crate::sequencer::{Action, By, Entered, Page, Sequencer};
use crate::setlist::PedalSettings;
use crate::show::attend::{Began, Ended, Running, Stand, attend, on_the_terminal, stop, stop_by_key};
use crate::show::display::{Display, Face};
use crate::show::doors::Doors;
use crate::show::files::{Files, Fresh, ShowFiles};
use crate::show::journal::{self, Back, Journal};
use crate::show::keys::{Ask, Keypad};
use crate::show::performance::{Cable, Done, Listener, Performance};
use crossterm::event::KeyEvent;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// What a stage is opened with.
pub struct Opening {
    /// The set file, by which a show that broke off is found again.
    pub set: PathBuf,
    pub planned: Planned,
    pub bindings: Bindings,
    pub pedals: PedalSettings,
    /// What draws; words that it has drawn already are at hand for the first page.
    pub screen: Screen,
    pub doors: Doors,
    /// Where the log and the journal are kept.
    pub state_folder: Option<PathBuf>,
    /// Starts over where a show could go on.
    pub fresh: bool,
    /// What is to be told after a fault when it opens.
    pub fault: Option<String>,
    /// What is to be told when it opens and there is nothing else to tell.
    pub notice: Option<String>,
    /// The files that all this was read from, to be watched.
    pub files: ShowFiles,
}

/// Runs the show until someone leaves; the terminal is then as it was.
///
/// # Errors
/// Where there is no terminal, or it can no longer be written.
pub fn run(opening: Opening) -> io::Result<Ended> {
    let state_folder = opening.state_folder.clone();
    on_the_terminal(state_folder.as_deref(), |stand| perform(opening, stand))
}

fn perform(opening: Opening, stand: Stand) -> io::Result<()> {
    let (state_folder, fresh) = (opening.state_folder.as_deref(), opening.fresh);
    let (book, back) = journal::open(state_folder, &opening.set, &opening.planned, fresh);
    let words = opening.fault.clone().or_else(|| back.as_ref().map(Back::words));
    let notice = words.or_else(|| opening.notice.clone());
    let Opening {
        planned,
        bindings,
        pedals,
        screen,
        doors,
        files,
        ..
    } = opening;
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
    let mut stage = Stage::new(planned, (bindings, &pedals), display, back, doors.wanted.clone());
    let state = stage.performance.sequencer().state();
    stage.display.warn_if_small(&stage.planned, state);
    if let Some(words) = notice {
        stage.display.notice(words, Instant::now());
    }
    stage.draw_first()?;
    let (_open, midi) = doors.open(signals, &to)?;
    stage.midi = Some(midi);
    stage.files = Some(Files::watch(files, to.clone())?);
    let sequencer = stage.performance.sequencer();
    stage.journal = Some(Journal::start(book, Arc::clone(&stage.planned), sequencer, to)?);
    stage.send_page();
    // Dropped first, whatever ends us: a port that waits for room must not keep us waiting for it.
    let events = events;
    attend(&mut stage, &events)?;
    stage.leave();
    Ok(())
}

struct Stage {
    planned: Arc<Planned>,
    performance: Performance,
    keypad: Keypad,
    display: Display,
    midi: Option<MidiPorts>,
    files: Option<Files>,
    journal: Option<Journal>,
    wanted: Wanted,
    began: Began,
    over: bool,
}

/// What a performance told while it handled one event.
#[derive(Default)]
struct Told {
    refused: Option<String>,
    done: bool,
    cables: Vec<Cable>,
    /// What was entered, in order: its messages go out.
    entered: Vec<Entered>,
}

/// Listens to a performance, and lets the journal know at once.
struct Heard<'s> {
    told: Told,
    journal: Option<&'s Journal>,
}

impl<'s> Heard<'s> {
    fn new(journal: Option<&'s Journal>) -> Heard<'s> {
        Heard {
            told: Told::default(),
            journal,
        }
    }
}

impl Listener for Heard<'_> {
    fn done(&mut self, _: &Planned, sequencer: &Sequencer, done: Done) {
        let told = &mut self.told;
        match done.result {
            Ok(entered) => {
                (told.done, told.refused) = (true, None);
                if entered != Entered::Nothing {
                    told.entered.push(entered);
                }
                if let Some(journal) = self.journal {
                    journal.note(done.at.as_ms(), &done.action, done.by, sequencer);
                }
            }
            Err(refused) => told.refused = Some(refused.to_string()),
        }
    }

    fn cable(&mut self, cable: Cable) {
        self.told.cables.push(cable);
    }
}

impl Running for Stage {
    fn port(&mut self, event: PortEvent) {
        let PortEvent { port, at, news } = event;
        let moment = self.began.moment(at);
        let mut heard = Heard::new(self.journal.as_ref());
        let Stage {
            performance, planned, ..
        } = self;
        match news {
            News::Bytes(chunk) => performance.bytes(planned, port, moment, chunk.bytes(), &mut heard),
            News::Here(name) => {
                performance.find(planned, port, moment, &mut heard);
                self.display.port(port, Some(&name), true);
            }
            News::Gone => {
                performance.lose(planned, port, moment, &mut heard);
                self.display.port(port, None, false);
            }
        }
        let told = heard.told;
        self.take(told, at);
        if let Some(bpm) = self.performance.measured_bpm() {
            self.display.tempo(bpm);
        }
    }

    fn key(&mut self, key: KeyEvent, at: Instant) -> io::Result<()> {
        match self.keypad.press(key, self.began.since(at)) {
            Some(ask) => self.ask(ask, at),
            None => Ok(()),
        }
    }

    fn take_up(&mut self, read: Result<Box<Fresh>, String>) {
        match read {
            Ok(fresh) => self.go_on_in(*fresh),
            Err(words) => self.display.notice(format!("not taken: {words}"), Instant::now()),
        }
    }

    fn journal_fails(&mut self, words: String) {
        let now = Instant::now();
        self.display.notice(words, now);
        if let Some(journal) = &self.journal {
            journal.make_up_for_loss(self.began.moment(now).as_ms(), self.performance.sequencer());
        }
    }

    fn display(&mut self) -> &mut Display {
        &mut self.display
    }

    fn end(&mut self) {
        self.over = true;
    }

    fn suspend(&mut self) -> io::Result<()> {
        if let Some(journal) = &self.journal {
            journal.write_on();
        }
        stop(self)
    }

    fn wake_at(&self) -> Option<Instant> {
        let instant = |moment| self.began.instant(moment);
        let pedals = self.performance.wake_at().map(instant);
        let clock = self.performance.clock_silent_at();
        let clock = clock.filter(|_| self.display.shows_tempo()).map(instant);
        [pedals, clock].into_iter().flatten().min()
    }

    fn pass_time(&mut self, now: Instant) {
        if self
            .performance
            .wake_at()
            .is_some_and(|due| due <= self.began.moment(now))
        {
            let moment = self.began.moment(now);
            let mut heard = Heard::new(self.journal.as_ref());
            self.performance.tick(&self.planned, moment, &mut heard);
            let told = heard.told;
            self.take(told, now);
        }
        if self
            .performance
            .clock_silent_at()
            .is_some_and(|due| due <= self.began.moment(now))
        {
            self.performance.forget_clock();
            self.display.clear_tempo();
        }
    }

    fn is_over(&self) -> bool {
        self.over || self.display.is_gone()
    }

    fn draw(&mut self) -> io::Result<()> {
        let due = self.display.is_due();
        let sequencer = self.performance.sequencer();
        let drawn = self.display.draw(&Face::Page(&self.planned, sequencer.state()));
        if let Some(journal) = &self.journal {
            journal.write_on();
        }
        if !due {
            self.display
                .foresee(&self.planned, || sequencer.foresee(&self.planned, &Action::Next));
        }
        drawn
    }

    fn draw_first(&mut self) -> io::Result<()> {
        let state = self.performance.sequencer().state();
        self.display.draw_first(&Face::Page(&self.planned, state))
    }
}

impl Stage {
    fn new(
        planned: Planned,
        (bindings, pedals): (Bindings, &PedalSettings),
        mut display: Display,
        back: Option<Back>,
        wanted: Wanted,
    ) -> Stage {
        let (sequencer, run_before) = match back {
            Some(back) => (back.sequencer, back.elapsed),
            None => (Sequencer::open(&planned), Duration::ZERO),
        };
        display.has_run(run_before);
        Stage {
            performance: Performance::resume(sequencer, bindings, pedals),
            planned: Arc::new(planned),
            keypad: Keypad::new(pedals.debounce()),
            display,
            midi: None,
            files: None,
            journal: None,
            wanted,
            began: Began::now(),
            over: false,
        }
    }

    /// Goes on in the set as it was read anew.
    fn go_on_in(&mut self, fresh: Fresh) {
        let Fresh {
            anew,
            bindings,
            pedals,
            look,
            wanted,
            but,
        } = fresh;
        self.performance.move_to(&self.planned, &anew, bindings, &pedals);
        let old = std::mem::replace(&mut self.planned, Arc::new(anew.into_planned()));
        if let Some(journal) = &mut self.journal {
            let ms = self.began.moment(Instant::now()).as_ms();
            journal.change(ms, Arc::clone(&self.planned), self.performance.sequencer());
        }
        if let Some(files) = &self.files {
            files.discard(old);
        }
        self.keypad.set_debounce(pedals.debounce());
        self.display.forget_foreseen();
        self.display.set_look(look);
        let words = match but {
            Some(but) => format!("read anew, but {but}"),
            None if wanted == self.wanted => "the set was read anew".into(),
            None => "the set was read anew; other ports are taken when the show is opened again".into(),
        };
        self.display.notice(words, Instant::now());
    }

    /// Someone has left: at the end page the show is over.
    fn leave(&self) {
        let over = self.performance.sequencer().state().page() == Page::End;
        if let Some(journal) = &self.journal {
            journal.close(self.began.moment(Instant::now()).as_ms(), over);
        }
    }

    /// Sends what belongs to the page that the show opens at. Where it has come back that is the song's and the step's:
    /// what listens at the other end may have lost its power too.
    fn send_page(&self) {
        let state = self.performance.sequencer().state();
        if let Some(song) = state.song() {
            self.send(Entered::Song(song));
        }
        if let Page::Section(step) = state.page() {
            self.send(Entered::Step(step));
        }
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

    /// Takes what was heard while one event was handled.
    fn take(&mut self, told: Told, now: Instant) {
        if told.done {
            self.display.outdate();
        }
        told.entered.into_iter().for_each(|entered| self.send(entered));
        for cable in told.cables {
            match cable {
                Cable::Lost(port) => self.display.port(port, None, false),
                Cable::Back(port) => self.display.port(port, None, true),
            }
        }
        if let Some(refused) = told.refused {
            self.display.notice(refused, now);
        } else if told.done {
            self.display.clear_notice();
        }
    }

    fn ask(&mut self, ask: Ask, at: Instant) -> io::Result<()> {
        match ask {
            Ask::Do(action) => self.act(action, at),
            Ask::Help => self.display.turn_help(),
            Ask::Close if self.performance.sequencer().state().is_peeking() => self.act(Action::Peek, at),
            Ask::Close => self.display.close_help(),
            Ask::Digits(number) => self.display.notice(format!("song {number}: enter goes there"), at),
            Ask::LeaveOnceMore => self.display.notice("once more leaves".into(), at),
            Ask::Leave => self.over = true,
            Ask::Suspend => stop_by_key(self, at)?,
        }
        Ok(())
    }

    fn act(&mut self, action: Action, at: Instant) {
        let moment = self.began.moment(at);
        let mut heard = Heard::new(self.journal.as_ref());
        self.performance.act(&self.planned, moment, action, By::Key, &mut heard);
        let told = heard.told;
        self.display.close_help();
        self.take(told, at);
    }
}
