//! Finds out what a switch sends from three presses of it.
//!
//! Bytes and the time go in; when the pedal has fallen silent the verdict comes out, or what kept it from one. What a
//! bounce makes within a moment counts as one. What is said beside switches, clock and active sensing too, is passed
//! over.

use crate::pedal::moment::Moment;
use crate::pedal::presses::{Presses, Said};
use crate::pedal::switch_id::SwitchId;
use crate::pedal::{Decoder, Message, PortId, SwitchName};
use crate::setlist::{Sends, Seven, SwitchKind};
use std::collections::BTreeSet;
use std::fmt;

/// What one switch has said, as it came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Heard {
    pub port: PortId,
    pub switch: SwitchName,
    pub on: bool,
}

/// What is known of a switch after three presses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Learned {
    pub port: PortId,
    pub switch: SwitchName,
    pub sends: Sends,
    /// It says on when the foot leaves it: the action comes then.
    pub reversed: bool,
}

/// Why three presses gave no verdict: the lesson has begun anew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Puzzle {
    TooFew,
    /// Two switches, or one that says its on and its off by different numbers.
    Two(SwitchName, SwitchName),
    /// Program changes of different numbers.
    Programs(Seven, Seven),
    /// An expression pedal.
    Sweeps(SwitchName),
    /// It never says on.
    NeverOn(SwitchName),
    /// On and off in no order.
    Unclear(SwitchName),
}

/// A lesson about one switch, and then the next.
#[derive(Default)]
pub struct Lesson {
    decoders: Vec<Decoder>,
    voices: Vec<Voice>,
    /// When a switch spoke last, and how much was heard.
    last: Option<Moment>,
    count: u32,
}

/// One switch that was heard.
struct Voice {
    id: SwitchId,
    presses: Presses,
    moments: Vec<Moment>,
    /// Different values of a controller, some of them.
    values: BTreeSet<u8>,
}

/// The pedal is silent: what three presses were, is decided.
const SILENT_MS: u32 = 1500;
/// So long a next press is waited for.
const PATIENT_MS: u32 = 5000;
/// What is said so close together is said by one press: some pedals send several messages.
const TOGETHER_NS: u64 = 50_000_000;
/// A switch has two values; a few more may be told by how hard it is trodden on. A pedal that is swept has many.
const MOST_VALUES: usize = 4;
/// More than presses say, so that a pedal that never falls silent comes to an end, in bounded memory.
const MOST_HEARD: u32 = 500;
const MOST_VOICES: usize = 16;

impl Lesson {
    /// Takes bytes that came from a port.
    pub fn bytes(&mut self, port: PortId, at: Moment, bytes: &[u8], mut tell: impl FnMut(Heard)) {
        let place = usize::from(port.0);
        if place >= self.decoders.len() {
            self.decoders.resize_with(place + 1, Decoder::default);
        }
        for &byte in bytes {
            let message = self.decoders[place].byte(byte);
            if let Some((message, (id, on))) = message.and_then(|message| Some((message, SwitchId::of(port, message)?)))
            {
                self.hear(id, on, value(message), at);
                tell(Heard {
                    port,
                    switch: name(id),
                    on,
                });
            }
        }
    }

    /// A port went away: what was begun on it, and the lesson, begin anew.
    pub fn lose(&mut self, port: PortId) {
        if let Some(decoder) = self.decoders.get_mut(usize::from(port.0)) {
            *decoder = Decoder::default();
        }
        self.begin();
    }

    /// When `tick` is wanted next.
    pub fn wake_at(&self) -> Option<Moment> {
        let last = self.last?;
        if self.count >= MOST_HEARD {
            return Some(last);
        }
        let ms = if self.verdict() == Err(Puzzle::TooFew) {
            PATIENT_MS
        } else {
            SILENT_MS
        };
        Some(last.after_ms(ms))
    }

    /// The verdict, where it is due; the lesson then begins anew.
    pub fn tick(&mut self, at: Moment) -> Option<Result<Learned, Puzzle>> {
        self.wake_at().filter(|due| *due <= at)?;
        let verdict = self.verdict();
        self.begin();
        Some(verdict)
    }

    fn begin(&mut self) {
        self.voices.clear();
        (self.last, self.count) = (None, 0);
    }

    fn hear(&mut self, id: SwitchId, on: bool, value: Option<Seven>, at: Moment) {
        self.count += 1;
        self.last = Some(at);
        if self.count > MOST_HEARD {
            return;
        }
        let known = self.voices.iter().position(|voice| voice.id == id);
        let place = match known {
            Some(place) => place,
            None if self.voices.len() == MOST_VOICES => return,
            None => {
                self.voices.push(Voice::new(id));
                self.voices.len() - 1
            }
        };
        let voice = &mut self.voices[place];
        voice.presses.hear(on, at);
        voice.moments.push(at);
        if voice.values.len() <= MOST_VALUES {
            voice.values.extend(value.map(Seven::number));
        }
    }

    /// What can be said by now.
    fn verdict(&self) -> Result<Learned, Puzzle> {
        if let Some(swept) = self.voices.iter().find(|voice| voice.values.len() > MOST_VALUES) {
            return Err(Puzzle::Sweeps(swept.name()));
        }
        let Some(first) = self.voices.first() else {
            return Err(Puzzle::TooFew);
        };
        // Of several messages a press the first one counts that a switch can be told by.
        let main = self
            .voices
            .iter()
            .find(|voice| voice.learned().is_ok())
            .unwrap_or(first);
        match self.voices.iter().find(|voice| !voice.goes_with(main)) {
            Some(other) if main.id.kind == SwitchKind::Program && other.id.kind == SwitchKind::Program => {
                Err(Puzzle::Programs(main.id.number, other.id.number))
            }
            Some(other) => Err(Puzzle::Two(main.name(), other.name())),
            None => main.learned(),
        }
    }
}

impl Voice {
    fn new(id: SwitchId) -> Voice {
        Voice {
            id,
            presses: Presses::default(),
            moments: Vec::new(),
            values: BTreeSet::new(),
        }
    }

    fn name(&self) -> SwitchName {
        name(self.id)
    }

    /// Whether all that it said was said along with the other.
    fn goes_with(&self, other: &Voice) -> bool {
        let along = |at: &Moment| {
            let near = |of: &Moment| at.since(*of).max(of.since(*at)) <= TOGETHER_NS;
            other.moments.iter().any(near)
        };
        self.moments.iter().all(along)
    }

    fn learned(&self) -> Result<Learned, Puzzle> {
        let (sends, reversed) = match self.presses.said() {
            Said::Momentary { reversed } => (Sends::Momentary, reversed),
            Said::Latching => (Sends::Latching, false),
            Said::Single => (Sends::Single, false),
            Said::TooLittle => return Err(Puzzle::TooFew),
            Said::NeverOn => return Err(Puzzle::NeverOn(self.name())),
            Said::Unclear => return Err(Puzzle::Unclear(self.name())),
        };
        Ok(Learned {
            port: self.id.port,
            switch: self.name(),
            sends,
            reversed,
        })
    }
}

fn name(id: SwitchId) -> SwitchName {
    SwitchName {
        kind: id.kind,
        number: id.number,
        channel: id.channel,
    }
}

/// A controller's value.
fn value(message: Message) -> Option<Seven> {
    if let Message::Control { value, .. } = message {
        Some(value)
    } else {
        None
    }
}

impl fmt::Display for Puzzle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Puzzle::TooFew => f.write_str("fewer than three presses were heard"),
            Puzzle::Two(one, other) => write!(f, "two switches were heard, {one} and {other}"),
            Puzzle::Programs(one, other) => write!(
                f,
                "programs {} and {} were heard; a pedal that sends another program at each press opens songs with \
                 `{{ program: any, do: song }}`",
                one.number(),
                other.number()
            ),
            Puzzle::Sweeps(name) => write!(
                f,
                "{name} goes through many values, as an expression pedal does, not a switch"
            ),
            Puzzle::NeverOn(name) => write!(f, "{name} never says on (a value from 64 up)"),
            Puzzle::Unclear(name) => write!(f, "{name} says on and off in no order that a switch has"),
        }
    }
}
