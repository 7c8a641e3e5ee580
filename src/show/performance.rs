//! A performance: pedals, sequencer and clock together, as one machine without input or output.
//!
//! The stage, the replay and the tests all run this; only where the bytes and the time come from differs.

use crate::pedal::{Bindings, Board, Event, Moment, PortId, What, bar_at};
use crate::plan::Planned;
use crate::sequencer::{Action, Anew, By, Entered, Refused, Sequencer};
use crate::setlist::{Meter, PedalSettings};

/// A running performance of a set.
pub struct Performance {
    board: Board,
    sequencer: Sequencer,
    follows_clock: bool,
    events: Vec<Event>,
}

/// Something that was asked for, and what came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    pub at: Moment,
    pub action: Action,
    pub by: By,
    pub result: Result<Entered, Refused>,
}

/// What a performance tells while it runs, besides what was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cable {
    Lost(PortId),
    Back(PortId),
}

/// Takes what a performance has to tell, in the order in which it happens.
pub trait Listener {
    /// An action was done or refused.
    fn done(&mut self, planned: &Planned, sequencer: &Sequencer, done: Done);

    /// A cable fell silent or speaks again.
    fn cable(&mut self, _cable: Cable) {}
}

impl Performance {
    pub fn open(planned: &Planned, bindings: Bindings, settings: &PedalSettings) -> Performance {
        Performance::resume(Sequencer::open(planned), bindings, settings)
    }

    /// Goes on where a sequencer stands already.
    pub fn resume(sequencer: Sequencer, bindings: Bindings, settings: &PedalSettings) -> Performance {
        Performance {
            board: Board::new(bindings, settings),
            sequencer,
            follows_clock: settings.follow_clock,
            events: Vec::new(),
        }
    }

    pub fn sequencer(&self) -> &Sequencer {
        &self.sequencer
    }

    /// Goes on in a set that was read anew, on the same page, with the pedals as they are set now. Nothing is entered.
    pub fn move_to(&mut self, planned: &Planned, anew: &Anew, bindings: Bindings, settings: &PedalSettings) {
        self.sequencer.move_to(planned, anew);
        self.board.rebind(bindings, settings);
        self.follows_clock = settings.follow_clock;
    }

    /// A port went away: what was due before happens, then what is held on it counts as released.
    pub fn lose(&mut self, planned: &Planned, port: PortId, at: Moment, listener: &mut impl Listener) {
        self.ask(planned, listener, |board, events| board.lost(port, at, events));
    }

    /// A port is there, for the first time or again.
    pub fn find(&mut self, planned: &Planned, port: PortId, at: Moment, listener: &mut impl Listener) {
        self.ask(planned, listener, |board, events| board.back(port, at, events));
    }

    /// The tempo of the clock that comes in.
    pub fn measured_bpm(&self) -> Option<f64> {
        self.board.measured_bpm()
    }

    /// When the clock that comes in counts as gone.
    pub fn clock_silent_at(&self) -> Option<Moment> {
        self.board.clock_silent_at()
    }

    /// The clock that came in has gone.
    pub fn forget_clock(&mut self) {
        self.board.forget_clock();
    }

    /// Bytes have come from a port.
    pub fn bytes(&mut self, planned: &Planned, port: PortId, at: Moment, bytes: &[u8], listener: &mut impl Listener) {
        self.ask(planned, listener, |board, events| board.bytes(port, at, bytes, events));
    }

    /// Time has passed.
    pub fn tick(&mut self, planned: &Planned, at: Moment, listener: &mut impl Listener) {
        self.ask(planned, listener, |board, events| board.tick(at, events));
    }

    /// When `tick` is wanted next.
    pub fn wake_at(&self) -> Option<Moment> {
        self.board.wake_at()
    }

    /// Does an action that comes from elsewhere, a key say.
    pub fn act(&mut self, planned: &Planned, at: Moment, action: Action, by: By, listener: &mut impl Listener) {
        let result = self.sequencer.apply(planned, &action);
        listener.done(planned, &self.sequencer, Done { at, action, by, result });
    }

    /// Asks the board, and does what comes of it; the list of events is kept from time to time.
    fn ask(&mut self, planned: &Planned, listener: &mut impl Listener, ask: impl FnOnce(&mut Board, &mut Vec<Event>)) {
        let mut events = std::mem::take(&mut self.events);
        ask(&mut self.board, &mut events);
        for Event { at, what } in events.drain(..) {
            match what {
                What::Act(action) => self.act(planned, at, action, By::Switch, listener),
                What::SongSelect(song) => self.act(planned, at, Action::Song(song), By::System, listener),
                What::Start => {
                    // Even a Start that is refused sets the clock's place.
                    self.sequencer.clock_starts();
                    self.act(planned, at, Action::Top, By::System, listener);
                }
                What::Stop => self.sequencer.clock_stops(),
                What::Continue => self.sequencer.clock_continues(),
                What::Position(sixteenths) => {
                    let bar = bar_at(sixteenths, self.meter(planned));
                    self.act(planned, at, Action::Bar(bar), By::System, listener);
                }
                What::Clock => {
                    if self.sequencer.clock() && self.follows_clock {
                        self.act(planned, at, Action::Next, By::Clock, listener);
                    }
                }
                What::CableLost(port) => listener.cable(Cable::Lost(port)),
                What::CableBack(port) => listener.cable(Cable::Back(port)),
            }
        }
        self.events = events;
    }

    /// The meter of the song that is on.
    fn meter(&self, planned: &Planned) -> Meter {
        let song = self.sequencer.state().song();
        song.and_then(|song| planned.set.song(song).meter)
            .unwrap_or(Meter::COMMON)
    }
}
