//! The pedal board: every port's wire, every switch and its alarms, as one machine without input or output.
//!
//! Bytes and the time go in, events come out. What is due at or before a message's time comes before the message.

use crate::pedal::alarms::{Alarms, Ticket};
use crate::pedal::bindings::Bindings;
use crate::pedal::clock::Metronome;
use crate::pedal::decoder::{Decoder, Message};
use crate::pedal::moment::Moment;
use crate::pedal::switch_id::SwitchId;
use crate::pedal::switches::{Alarm, Gesture, Manner, Switch, Timing};
use crate::sequencer::Action;
use crate::setlist::PedalSettings;
use std::collections::HashMap;

/// A port that bytes come from, in the order in which ports were met.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PortId(pub u16);

/// What comes of the bytes and of time, with its moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    pub at: Moment,
    pub what: What,
}

/// What has come.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// A switch was pressed or held.
    Act(Action),
    /// Song Select: a song counted from 1.
    SongSelect(u32),
    Start,
    Stop,
    Continue,
    /// Song Position Pointer, in sixteenth notes.
    Position(u16),
    Clock,
    /// A port went away, or a cable fell silent that had promised not to.
    CableLost(PortId),
    CableBack(PortId),
}

/// All switches on all ports.
pub struct Board {
    bindings: Bindings,
    timing: Timing,
    switches: HashMap<SwitchId, Kept>,
    wires: Vec<Wire>,
    alarms: Alarms<Due>,
    metronome: Metronome,
    now: Moment,
}

/// A switch, and the alarm at which its press becomes a hold.
#[derive(Debug)]
struct Kept {
    switch: Switch,
    holds: Option<Ticket>,
}

/// One port's wire.
#[derive(Debug, Default)]
struct Wire {
    decoder: Decoder,
    /// The alarm that silence sets off, since Active Sensing was seen.
    silence: Option<Ticket>,
    lost: bool,
}

/// Silence that counts as a lost cable once Active Sensing was seen (MIDI 1.0, Active Sensing).
const SENSING_MS: u32 = 300;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Due {
    Switch(SwitchId, Alarm),
    Silence(PortId),
}

impl Board {
    pub fn new(bindings: Bindings, settings: &PedalSettings) -> Board {
        Board {
            bindings,
            timing: Timing::of(settings),
            switches: HashMap::new(),
            wires: Vec::new(),
            alarms: Alarms::default(),
            metronome: Metronome::default(),
            now: Moment::START,
        }
    }

    /// Takes bytes that came from a port at `at`. What was due before comes out first. Ports stamp their bytes in
    /// threads of their own: what comes here late, with an earlier stamp than what came before, counts as coming now.
    pub fn bytes(&mut self, port: PortId, at: Moment, bytes: &[u8], out: &mut Vec<Event>) {
        for &byte in bytes {
            let at = self.pass_time(at, out);
            self.is_there(port, at, out);
            let message = self.wire(port).decoder.byte(byte);
            let sensing = message == Some(Message::ActiveSensing);
            self.watch(port, at, sensing);
            if let Some(message) = message {
                self.message(port, at, message, out);
            }
        }
    }

    /// Lets time pass: whatever is due by `at` comes out.
    pub fn tick(&mut self, at: Moment, out: &mut Vec<Event>) {
        self.pass_time(at, out);
    }

    /// As `tick`; the moment that it is then.
    fn pass_time(&mut self, at: Moment, out: &mut Vec<Event>) -> Moment {
        self.now = self.now.max(at);
        self.ring_until(self.now, out);
        self.now
    }

    fn ring_until(&mut self, now: Moment, out: &mut Vec<Event>) {
        while let Some((at, due)) = self.alarms.take_due(now) {
            match due {
                Due::Switch(id, alarm) => {
                    let Some(kept) = self.switches.get_mut(&id) else {
                        continue;
                    };
                    let gesture = kept.switch.alarm(alarm);
                    kept.let_go(&mut self.alarms);
                    self.act(id, at, gesture, out);
                }
                Due::Silence(port) => self.is_gone(port, at, out),
            }
        }
    }

    /// When `tick` is wanted next.
    pub fn wake_at(&self) -> Option<Moment> {
        self.alarms.next()
    }

    /// Takes other bindings and times. A switch that is bound as before goes on as it stands; where it is read otherwise
    /// now, a press that waited to become a hold does nothing any more.
    pub fn rebind(&mut self, bindings: Bindings, settings: &PedalSettings) {
        self.timing = Timing::of(settings);
        self.bindings = bindings;
        let Board {
            bindings,
            switches,
            alarms,
            ..
        } = self;
        switches.retain(|id, kept| {
            let place = bindings.find(id.kind, id.channel, id.number);
            match place {
                Some(place) => kept.switch.read_as(Manner::of(bindings.get(place))),
                None => kept.switch.lost(),
            }
            kept.let_go(alarms);
            place.is_some()
        });
    }

    /// A port went away at `at`. What was due before comes out first; then its held switches count as released, firing
    /// nothing, and its wire begins anew.
    pub fn lost(&mut self, port: PortId, at: Moment, out: &mut Vec<Event>) {
        let at = self.pass_time(at, out);
        self.wire(port).decoder = Decoder::default();
        self.is_gone(port, at, out);
    }

    /// A port is there. Where it was not lost nothing comes of it.
    pub fn back(&mut self, port: PortId, at: Moment, out: &mut Vec<Event>) {
        let at = self.pass_time(at, out);
        self.is_there(port, at, out);
    }

    fn is_gone(&mut self, port: PortId, at: Moment, out: &mut Vec<Event>) {
        self.release_port(port);
        let silence = self.wire(port).silence.take();
        silence.into_iter().for_each(|ticket| self.alarms.cancel(ticket));
        let wire = self.wire(port);
        if !std::mem::replace(&mut wire.lost, true) {
            let what = What::CableLost(port);
            out.push(Event { at, what });
        }
    }

    fn is_there(&mut self, port: PortId, at: Moment, out: &mut Vec<Event>) {
        if std::mem::take(&mut self.wire(port).lost) {
            let what = What::CableBack(port);
            out.push(Event { at, what });
        }
    }

    /// The tempo of the clock that comes in, by its last two bars.
    pub fn measured_bpm(&self) -> Option<f64> {
        self.metronome.bpm()
    }

    /// When the clock counts as gone, if there is one.
    pub fn clock_silent_at(&self) -> Option<Moment> {
        self.metronome.silent_at()
    }

    /// The clock has gone.
    pub fn forget_clock(&mut self) {
        self.metronome.forget();
    }

    /// How many switches and alarms are remembered.
    #[cfg(test)]
    pub(super) fn remembered(&self) -> [usize; 2] {
        [self.switches.len(), self.alarms.len()]
    }

    fn wire(&mut self, port: PortId) -> &mut Wire {
        let place = usize::from(port.0);
        if place >= self.wires.len() {
            self.wires.resize_with(place + 1, Wire::default);
        }
        &mut self.wires[place]
    }

    /// Any byte proves that the cable is there, once Active Sensing has said that silence would mean it is not.
    fn watch(&mut self, port: PortId, at: Moment, sensing: bool) {
        let before = self.wire(port).silence;
        if sensing || before.is_some() {
            before.into_iter().for_each(|ticket| self.alarms.cancel(ticket));
            let silence = self.alarms.set(at.after_ms(SENSING_MS), Due::Silence(port));
            self.wire(port).silence = Some(silence);
        }
    }

    fn message(&mut self, port: PortId, at: Moment, message: Message, out: &mut Vec<Event>) {
        let what = match message {
            Message::NoteOn { .. } | Message::NoteOff { .. } | Message::Control { .. } | Message::Program { .. } => {
                if let Some((id, on)) = SwitchId::of(port, message) {
                    self.says(id, on, at, out);
                }
                return;
            }
            Message::SongSelect(song) => What::SongSelect(u32::from(song.number()) + 1),
            Message::SongPosition(sixteenths) => What::Position(sixteenths),
            Message::Start => What::Start,
            Message::Stop => What::Stop,
            Message::Continue => What::Continue,
            Message::Clock if self.metronome.clock(port, at) => What::Clock,
            Message::Clock
            | Message::KeyPressure { .. }
            | Message::ChannelPressure { .. }
            | Message::PitchBend { .. }
            | Message::QuarterFrame(_)
            | Message::TuneRequest
            | Message::ActiveSensing
            | Message::Reset => return,
        };
        out.push(Event { at, what });
    }

    fn says(&mut self, id: SwitchId, on: bool, at: Moment, out: &mut Vec<Event>) {
        let Some(binding) = self.bindings.find(id.kind, id.channel, id.number) else {
            return;
        };
        let manner = Manner::of(self.bindings.get(binding));
        let kept = self.switches.entry(id).or_insert_with(|| Kept {
            switch: Switch::new(manner),
            holds: None,
        });
        let (gesture, accepted) = kept.switch.says(on, at, self.timing);
        kept.let_go(&mut self.alarms);
        if accepted {
            for (due, alarm) in self.timing.alarms(at, manner) {
                let ticket = self.alarms.set(due, Due::Switch(id, alarm));
                if alarm == Alarm::Holds {
                    kept.holds = Some(ticket);
                }
            }
        }
        self.act(id, at, gesture, out);
    }

    fn act(&mut self, id: SwitchId, at: Moment, gesture: Option<Gesture>, out: &mut Vec<Event>) {
        let (Some(gesture), Some(binding)) = (gesture, self.bindings.find(id.kind, id.channel, id.number)) else {
            return;
        };
        let binding = self.bindings.get(binding);
        let action = match gesture {
            Gesture::Press => Some(binding.press.action(id.number)),
            Gesture::Hold => binding.hold.clone(),
        };
        out.extend(action.map(|action| Event {
            at,
            what: What::Act(action),
        }));
    }

    fn release_port(&mut self, port: PortId) {
        for (_, kept) in self.switches.iter_mut().filter(|(id, _)| id.port == port) {
            kept.switch.lost();
            kept.let_go(&mut self.alarms);
        }
    }
}

impl Kept {
    /// Cancels the alarm of a press that has become something else.
    fn let_go(&mut self, alarms: &mut Alarms<Due>) {
        if !self.switch.is_holding() {
            self.holds.take().into_iter().for_each(|ticket| alarms.cancel(ticket));
        }
    }
}

/// The bar, from 1, in which a Song Position Pointer lies: a MIDI beat is a sixteenth note.
pub fn bar_at(sixteenths: u16, meter: crate::setlist::Meter) -> u32 {
    u32::from(sixteenths) * 6 / meter.clocks_a_bar() + 1
}
