//! What the player sees of a running stage: the picture, the notice, the marks of the ports, and when they are drawn.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads the clock")]

use crate::pedal::PortId;
use crate::plan::Planned;
use crate::screen::{ENOUGH_ARC_MINUTES, Look, PortStatus, Poster, Prompt, Screen, Status, title};
use crate::sequencer::{Page, State, cue};
use crate::show::event::Event;
use crate::show::leaf::Leaf;
use crate::show::terminal::{self, CLEAR, ENTER, Terminal, Written};
use crossbeam_channel::Sender;
use std::io;
use std::time::{Duration, Instant};

/// How long a notice stands: long enough to be read between two chords.
const NOTICE: Duration = Duration::from_secs(4);
/// A terminal that took nothing for longer than this is told of when it reads again.
const LONG_STILL: Duration = Duration::from_secs(1);
/// How often it is seen whether a shell has given the terminal back: it tells nobody.
const LOOK_AGAIN: Duration = Duration::from_millis(200);
/// A tempo that moves by less than this is not shown anew.
const BPM_STEP: f64 = 0.1;

/// What is to be seen.
pub(super) enum Face<'f> {
    /// A page of the set.
    Page(&'f Planned, &'f State),
    /// A question of the drills.
    Prompt(&'f Prompt),
    /// A page of options.
    Poster(&'f Poster),
}

/// The terminal and all that stands on it.
pub(super) struct Display {
    screen: Screen,
    status: Status,
    terminal: Terminal,
    /// What the terminal shows, and what it is to show.
    shown: Leaf,
    wanted: Leaf,
    /// What the wanted leaf was made for, where that was done before anyone asked.
    foreseen: Option<Foreseen>,
    opened: Instant,
    /// How long the show had run before that.
    run_before: Duration,
    notice_until: Option<Instant>,
    /// What is said while there is no notice.
    kept: Option<String>,
    /// Something has changed since the last picture.
    stale: bool,
    /// Since when the terminal has taken nothing; no picture is made meanwhile.
    still_since: Option<Instant>,
    /// Every cell is to be drawn, these bytes first: the terminal has another size, the picture another look, or the
    /// terminal was someone else's.
    whole: Option<&'static [u8]>,
    /// A shell has the terminal while we run on: when to see whether it is ours again. No picture is made meanwhile.
    away: Option<Instant>,
    /// Nobody looks any more.
    gone: bool,
    /// Where it is told that a terminal that stood still reads again.
    to: Sender<Event>,
}

/// A page that was drawn before anyone asked for it: right only if all that it shows is as it was foreseen.
struct Foreseen {
    state: State,
    status: Status,
}

impl Display {
    pub(super) fn new(screen: Screen, terminal: Terminal, to: Sender<Event>) -> Display {
        let [shown, wanted] = Leaf::pair(terminal.size(), screen.look().theme);
        Display {
            screen,
            status: Status::default(),
            terminal,
            shown,
            wanted,
            foreseen: None,
            opened: Instant::now(),
            run_before: Duration::ZERO,
            notice_until: None,
            kept: None,
            stale: false,
            still_since: None,
            whole: None,
            away: None,
            gone: false,
            to,
        }
    }

    /// The show has run for so long before it came here.
    pub(super) fn has_run(&mut self, before: Duration) {
        self.run_before = before;
    }

    /// What it shows is no longer so: a picture is due.
    pub(super) fn outdate(&mut self) {
        self.stale = true;
    }

    /// Whether there is anything to draw.
    pub(super) fn is_due(&self) -> bool {
        self.stale || self.whole.is_some()
    }

    /// Whether the terminal is gone for good.
    pub(super) fn is_gone(&self) -> bool {
        self.gone
    }

    /// When something on it is due without anything happening.
    pub(super) fn wake_at(&self) -> Option<Instant> {
        [self.notice_until, self.away].into_iter().flatten().min()
    }

    pub(super) fn pass_time(&mut self, now: Instant) -> io::Result<()> {
        if self.notice_until.is_some_and(|until| until <= now) {
            self.clear_notice();
        }
        if self.away.is_some_and(|look| look <= now) {
            self.come_back(now)?;
        }
        Ok(())
    }

    /// Shows one quiet line for a while.
    pub(super) fn notice(&mut self, words: String, now: Instant) {
        self.status.notice = Some(words);
        self.notice_until = Some(now + NOTICE);
        self.stale = true;
    }

    /// Shows one line until there is another.
    pub(super) fn keep_saying(&mut self, words: String) {
        self.kept = Some(words);
        self.clear_notice();
        self.stale = true;
    }

    pub(super) fn clear_notice(&mut self) {
        self.notice_until = None;
        self.stale |= self.status.notice.is_some();
        self.status.notice.clone_from(&self.kept);
    }

    /// A port is there or gone. One that is met for the first time keeps its place in the line.
    pub(super) fn port(&mut self, port: PortId, name: Option<&str>, alive: bool) {
        let ports = &mut self.status.ports;
        if let Some(name) = name {
            while ports.len() <= usize::from(port.0) {
                ports.push(PortStatus {
                    name: name.to_owned(),
                    alive: false,
                });
            }
        }
        if let Some(status) = ports.get_mut(usize::from(port.0)) {
            self.stale |= status.alive != alive;
            status.alive = alive;
        }
    }

    /// Shows the measured tempo when it has moved enough to be seen.
    pub(super) fn tempo(&mut self, bpm: f64) {
        let moved = self
            .status
            .measured_bpm
            .is_none_or(|shown| (shown - bpm).abs() >= BPM_STEP);
        if moved {
            self.status.measured_bpm = Some(bpm);
            self.stale = true;
        }
    }

    pub(super) fn shows_tempo(&self) -> bool {
        self.status.measured_bpm.is_some()
    }

    pub(super) fn clear_tempo(&mut self) {
        self.stale |= self.status.measured_bpm.take().is_some();
    }

    /// Shows the list of keys, or puts it away.
    pub(super) fn turn_help(&mut self) {
        self.status.help = !self.status.help;
        self.stale = true;
    }

    pub(super) fn close_help(&mut self) {
        self.stale |= std::mem::take(&mut self.status.help);
    }

    /// Says once where the most important words are too small to be read from where the screen stands.
    pub(super) fn warn_if_small(&mut self, planned: &Planned, state: &State) {
        let Some(sight) = self.screen.look().sight else { return };
        let cue = cue(planned, state);
        let small = self.screen.legibility(&cue, self.terminal.size(), sight);
        let small = small.into_iter().filter(|(_, reached)| *reached < ENOUGH_ARC_MINUTES);
        if let Some((what, reached)) = small.min_by(|a, b| a.1.total_cmp(&b.1)) {
            self.notice(
                format!("small from there: {what}, {reached:.0} of 20 minutes of arc"),
                Instant::now(),
            );
        }
    }

    /// Gives the terminal back for as long as `away` lasts, and takes it again.
    pub(super) fn leave_for(&mut self, away: impl FnOnce() -> io::Result<()>) -> io::Result<()> {
        terminal::give_back();
        away()?;
        self.whole = Some(ENTER);
        self.come_back(Instant::now())
    }

    /// Goes on where someone has stopped us, and may have had the terminal meanwhile.
    pub(super) fn go_on_after_stop(&mut self) -> io::Result<()> {
        self.whole.get_or_insert(CLEAR);
        if self.away.is_some() || self.terminal.is_taken_away() {
            self.come_back(Instant::now())?;
        }
        Ok(())
    }

    /// Takes the terminal again, or looks again soon where it is not ours yet.
    fn come_back(&mut self, now: Instant) -> io::Result<()> {
        self.still_since = None;
        self.away = if self.terminal.is_for_us() {
            self.terminal.retake()?;
            None
        } else {
            Some(now + LOOK_AGAIN)
        };
        Ok(())
    }

    /// Draws every cell anew, at the terminal's present size, on a terminal that was not ours until now.
    pub(super) fn draw_first(&mut self, face: &Face<'_>) -> io::Result<()> {
        self.draw_whole(face, ENTER)
    }

    /// The terminal has another size now.
    pub(super) fn resize(&mut self) {
        self.whole.get_or_insert(CLEAR);
    }

    /// The screen is to look like this from now on; words drawn already are of use while that is no change.
    pub(super) fn set_look(&mut self, look: Look) {
        if look != *self.screen.look() {
            self.screen = Screen::new(look);
            self.whole.get_or_insert(CLEAR);
        }
    }

    /// Draws what has changed, where a picture is due and the terminal would take it; every cell where it has another
    /// size now.
    pub(super) fn draw(&mut self, face: &Face<'_>) -> io::Result<()> {
        if !self.is_due() || self.still_since.is_some() || self.away.is_some() {
            return Ok(());
        }
        match self.whole {
            Some(before) => self.draw_whole(face, before),
            None => self.picture(face, None),
        }
    }

    /// The terminal takes more: the rest of the last picture goes out.
    pub(super) fn go_on(&mut self, now: Instant) -> io::Result<()> {
        let Some(since) = self.still_since.take() else {
            return Ok(());
        };
        let written = self.terminal.go_on();
        self.written(written, since)?;
        let still = now.saturating_duration_since(since);
        if self.still_since.is_none() && still >= LONG_STILL {
            self.notice(format!("this screen stood still for {} s", still.as_secs()), now);
        }
        Ok(())
    }

    fn draw_whole(&mut self, face: &Face<'_>, before: &[u8]) -> io::Result<()> {
        [self.shown, self.wanted] = Leaf::pair(self.terminal.size(), self.screen.look().theme);
        self.foreseen = None;
        self.whole = None;
        self.picture(face, Some(before))
    }

    fn picture(&mut self, face: &Face<'_>, fresh: Option<&[u8]>) -> io::Result<()> {
        self.stale = false;
        if !self.has_foreseen(face) {
            self.make(face, fresh);
        }
        self.foreseen = None;
        let written = self.terminal.write(self.wanted.bytes());
        std::mem::swap(&mut self.shown, &mut self.wanted);
        self.written(written, Instant::now())
    }

    /// Makes the leaf that is wanted.
    fn make(&mut self, face: &Face<'_>, fresh: Option<&[u8]>) {
        let title = match face {
            Face::Page(planned, state) => self.page(planned, state),
            Face::Prompt(prompt) => {
                let banner = self.status.notice.as_deref().unwrap_or_default();
                self.screen.ask(prompt, banner, &mut self.wanted.picture);
                prompt.title()
            }
            Face::Poster(poster) => {
                self.screen.poster(poster, &mut self.wanted.picture);
                poster.title()
            }
        };
        self.wanted.follow(&self.shown, title, self.screen.clusters(), fresh);
    }

    /// Draws the page that the next press is likely to ask for, while nobody waits: then it has but to be written.
    pub(super) fn foresee(&mut self, planned: &Planned, next: impl FnOnce() -> Option<State>) {
        if self.foreseen.is_some() {
            return;
        }
        // The end page tells when it was reached.
        let Some(state) = next().filter(|state| state.page() != Page::End) else {
            return;
        };
        // A press that is done puts a notice away.
        let notice = std::mem::replace(&mut self.status.notice, self.kept.clone());
        self.make(&Face::Page(planned, &state), None);
        let status = self.status.clone();
        self.foreseen = Some(Foreseen { state, status });
        self.status.notice = notice;
    }

    /// What was foreseen is no longer so, for a reason that neither place nor status tells.
    pub(super) fn forget_foreseen(&mut self) {
        self.foreseen = None;
    }

    fn has_foreseen(&self, face: &Face<'_>) -> bool {
        let Face::Page(_, state) = face else { return false };
        let foreseen = self.foreseen.as_ref();
        foreseen.is_some_and(|foreseen| foreseen.state == **state && foreseen.status == self.status)
    }

    /// Paints a page; its title.
    fn page(&mut self, planned: &Planned, state: &State) -> String {
        self.status.elapsed = match state.page() {
            Page::End => Some(
                self.status
                    .elapsed
                    .unwrap_or_else(|| self.run_before + self.opened.elapsed()),
            ),
            Page::Gap(_) | Page::Section(_) => None,
        };
        let cue = cue(planned, state);
        self.screen.paint(&cue, &self.status, &mut self.wanted.picture);
        title(&cue)
    }

    /// Takes note of how far a picture has come; `since` is when it set out.
    fn written(&mut self, written: io::Result<Written>, since: Instant) -> io::Result<()> {
        match written {
            Ok(Written::Whole) => Ok(()),
            Ok(Written::Part) => {
                self.still_since = Some(since);
                let to = self.to.clone();
                std::thread::Builder::new().name("room".into()).spawn(move || {
                    terminal::wait_for_room();
                    let _ = to.send(Event::TerminalReads);
                })?;
                Ok(())
            }
            // Nobody looks any more: the show is over.
            Err(error) if error.raw_os_error() == Some(rustix::io::Errno::IO.raw_os_error()) => {
                self.gone = true;
                Ok(())
            }
            Err(error) => Err(error),
        }
    }
}
