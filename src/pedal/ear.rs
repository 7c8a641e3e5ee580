//! Says in words what comes from a pedal: each message, its bytes, the switch it is, and what that switch is bound to.

use crate::pedal::PortId;
use crate::pedal::bindings::Bindings;
use crate::pedal::board::bar_at;
use crate::pedal::decoder::{Decoder, Message};
use crate::pedal::switch_id::{SwitchId, is_on};
use crate::sequencer::Action;
use crate::setlist::{Channel, Meter, Seven, SwitchKind};
use std::fmt;

/// A message as it is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    pub words: String,
    /// As on the wire, the status included where it ran on.
    pub bytes: Vec<u8>,
    /// The switch that said it, where it is one.
    pub switch: Option<SwitchName>,
    /// What a press of that switch does, or what the message itself does.
    pub press: Option<Action>,
    /// What holding that switch does.
    pub hold: Option<Action>,
}

/// A switch as a player's file names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SwitchName {
    pub kind: SwitchKind,
    pub number: Seven,
    pub channel: Channel,
}

/// Listens on every port.
pub struct Ear {
    bindings: Bindings,
    wires: Vec<Wire>,
}

/// One port's wire.
#[derive(Default)]
struct Wire {
    decoder: Decoder,
    sysex: Option<SysEx>,
}

/// A system exclusive message that has begun.
#[derive(Default)]
struct SysEx {
    len: u64,
    first: Vec<u8>,
}

/// Bytes of a system exclusive message that are told: enough to see whose it is.
const SYSEX_TOLD: usize = 16;

impl Ear {
    pub fn new(bindings: Bindings) -> Ear {
        Ear {
            bindings,
            wires: Vec::new(),
        }
    }

    /// Takes bytes that came from a port, and tells each message that they complete.
    pub fn hear(&mut self, port: PortId, bytes: &[u8], mut tell: impl FnMut(Told)) {
        let place = usize::from(port.0);
        if place >= self.wires.len() {
            self.wires.resize_with(place + 1, Wire::default);
        }
        let wire = &mut self.wires[place];
        for &byte in bytes {
            if let Some((len, bytes)) = wire.sysex(byte) {
                tell(Told::sysex(len, bytes));
            }
            if let Some(message) = wire.decoder.byte(byte) {
                let bytes = wire.decoder.on_wire(message);
                tell(told(&self.bindings, message, bytes));
            }
        }
    }

    /// A port went away: what was begun on it is dropped.
    pub fn lose(&mut self, port: PortId) {
        if let Some(wire) = self.wires.get_mut(usize::from(port.0)) {
            *wire = Wire::default();
        }
    }
}

impl Wire {
    /// Follows a system exclusive message; its length and first bytes when it ends.
    fn sysex(&mut self, byte: u8) -> Option<(u64, Vec<u8>)> {
        if byte >= 0xF8 {
            // System real time may stand within it.
            return None;
        }
        let ended = if byte >= 0x80 { self.sysex.take() } else { None };
        if byte == 0xF0 {
            self.sysex = Some(SysEx::default());
        }
        let closed = ended.map(|mut sysex| {
            if byte == 0xF7 {
                sysex.take(byte);
            }
            (sysex.len, sysex.first)
        });
        if let Some(sysex) = &mut self.sysex {
            sysex.take(byte);
        }
        closed
    }
}

impl SysEx {
    fn take(&mut self, byte: u8) {
        self.len += 1;
        if self.first.len() < SYSEX_TOLD {
            self.first.push(byte);
        }
    }
}

impl Told {
    fn sysex(len: u64, bytes: Vec<u8>) -> Told {
        let more = if len > bytes.len() as u64 {
            ", of which the first are told"
        } else {
            ""
        };
        Told::message(format!("system exclusive of {len} bytes{more}"), bytes)
    }

    fn message(words: String, bytes: Vec<u8>) -> Told {
        Told {
            words,
            bytes,
            switch: None,
            press: None,
            hold: None,
        }
    }
}

fn told(bindings: &Bindings, message: Message, bytes: Vec<u8>) -> Told {
    // Whichever port it came from, it is bound alike.
    let switch = SwitchId::of(PortId(0), message).map(|(id, _)| SwitchName {
        kind: id.kind,
        number: id.number,
        channel: id.channel,
    });
    let bound = switch.and_then(|name| {
        let place = bindings.find(name.kind, name.channel, name.number)?;
        Some((bindings.get(place), name.number))
    });
    Told {
        switch,
        press: bound
            .map(|(bound, number)| bound.press.action(number))
            .or(itself(message)),
        hold: bound.and_then(|(bound, _)| bound.hold.clone()),
        ..Told::message(words(message), bytes)
    }
}

/// What a message of the system does without being bound. A bar is counted in 4/4: here no song is on.
fn itself(message: Message) -> Option<Action> {
    match message {
        Message::SongSelect(song) => Some(Action::Song(u32::from(song.number()) + 1)),
        Message::SongPosition(sixteenths) => Some(Action::Bar(bar_at(sixteenths, Meter::COMMON))),
        Message::Start => Some(Action::Top),
        Message::NoteOn { .. }
        | Message::NoteOff { .. }
        | Message::Control { .. }
        | Message::Program { .. }
        | Message::KeyPressure { .. }
        | Message::ChannelPressure { .. }
        | Message::PitchBend { .. }
        | Message::QuarterFrame(_)
        | Message::TuneRequest
        | Message::Clock
        | Message::Continue
        | Message::Stop
        | Message::ActiveSensing
        | Message::Reset => None,
    }
}

fn words(message: Message) -> String {
    match message {
        Message::NoteOn {
            channel,
            note,
            velocity,
        } => format!(
            "note {} on, velocity {}, {}",
            note.number(),
            velocity.number(),
            on(channel)
        ),
        Message::NoteOff {
            channel,
            note,
            velocity,
        } => format!(
            "note {} off, velocity {}, {}",
            note.number(),
            velocity.number(),
            on(channel)
        ),
        Message::KeyPressure {
            channel,
            note,
            pressure,
        } => format!(
            "key pressure {} on note {}, {}",
            pressure.number(),
            note.number(),
            on(channel)
        ),
        Message::Control { channel, cc, value } => {
            let state = if is_on(value) { "on" } else { "off" };
            let (cc, value) = (cc.number(), value.number());
            format!("control change {cc}, value {value} ({state}), {}", on(channel))
        }
        Message::Program { channel, program } => format!("{}, {}", program_words(program), on(channel)),
        Message::ChannelPressure { channel, pressure } => {
            format!("channel pressure {}, {}", pressure.number(), on(channel))
        }
        Message::PitchBend { channel, low, high } => {
            // 14 bits around a middle of 8192.
            let bend = (i32::from(high.number()) << 7 | i32::from(low.number())) - 8192;
            format!("pitch bend {bend:+}, {}", on(channel))
        }
        Message::QuarterFrame(data) => format!("time code quarter frame {}", data.number()),
        Message::SongPosition(sixteenths) => {
            let bar = bar_at(sixteenths, Meter::COMMON);
            format!("song position {sixteenths} sixteenths (bar {bar} in 4/4)")
        }
        Message::SongSelect(song) => format!("song select {}", song.number()),
        Message::TuneRequest => "tune request".into(),
        Message::Clock => "timing clock".into(),
        Message::Start => "start".into(),
        Message::Continue => "continue".into(),
        Message::Stop => "stop".into(),
        Message::ActiveSensing => "active sensing".into(),
        Message::Reset => "system reset".into(),
    }
}

fn on(channel: Channel) -> String {
    format!("channel {}", channel.number())
}

fn program_words(program: Seven) -> String {
    let number = program.number();
    format!("program {number} (shown as {} on many pedals)", u16::from(number) + 1)
}

impl fmt::Display for SwitchName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", word(self.kind), self.number.number())
    }
}

/// A kind of switch as a player's file has it.
pub fn word(kind: SwitchKind) -> &'static str {
    match kind {
        SwitchKind::Control => "cc",
        SwitchKind::Note => "note",
        SwitchKind::Program => "program",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setlist::PedalSettings;

    /// What an ear with the usual bindings tells of bytes, a line a message.
    fn told(bytes: &[u8]) -> Vec<String> {
        let mut ear = Ear::new(Bindings::read(&PedalSettings::default()).unwrap());
        let mut lines = Vec::new();
        ear.hear(PortId(0), bytes, |told| {
            let part = |name: &str, what: Option<String>| what.map_or(String::new(), |what| format!("; {name} {what}"));
            lines.push(format!(
                "{:02X?} {}{}{}",
                told.bytes,
                told.words,
                part("switch", told.switch.map(|switch| switch.to_string())),
                part("does", told.press.map(|action| action.to_string())),
            ));
        });
        lines
    }

    #[test]
    fn each_message_is_told_in_words_with_its_bytes_its_switch_and_its_action() {
        for (bytes, wanted) in [
            (
                &[0xB0, 80, 127][..],
                "[B0, 50, 7F] control change 80, value 127 (on), channel 1; switch cc 80; does next",
            ),
            (
                &[0xBF, 80, 63],
                "[BF, 50, 3F] control change 80, value 63 (off), channel 16; switch cc 80; does next",
            ),
            (
                &[0xB0, 7, 64],
                "[B0, 07, 40] control change 7, value 64 (on), channel 1; switch cc 7",
            ),
            (
                &[0x91, 60, 100],
                "[91, 3C, 64] note 60 on, velocity 100, channel 2; switch note 60",
            ),
            (
                &[0x91, 60, 0],
                "[91, 3C, 00] note 60 off, velocity 0, channel 2; switch note 60",
            ),
            (
                &[0x81, 60, 0],
                "[81, 3C, 00] note 60 off, velocity 0, channel 2; switch note 60",
            ),
            (
                &[0xC0, 4],
                "[C0, 04] program 4 (shown as 5 on many pedals), channel 1; switch program 4; does song 5",
            ),
            (&[0xA0, 60, 5], "[A0, 3C, 05] key pressure 5 on note 60, channel 1"),
            (&[0xD0, 5], "[D0, 05] channel pressure 5, channel 1"),
            (&[0xE0, 0, 0], "[E0, 00, 00] pitch bend -8192, channel 1"),
            (&[0xE0, 127, 127], "[E0, 7F, 7F] pitch bend +8191, channel 1"),
            (&[0xF1, 3], "[F1, 03] time code quarter frame 3"),
            (
                &[0xF2, 16, 2],
                "[F2, 10, 02] song position 272 sixteenths (bar 18 in 4/4); does bar 18",
            ),
            (&[0xF3, 2], "[F3, 02] song select 2; does song 3"),
            (&[0xF6], "[F6] tune request"),
            (&[0xF8], "[F8] timing clock"),
            (&[0xFA], "[FA] start; does top"),
            (&[0xFB], "[FB] continue"),
            (&[0xFC], "[FC] stop"),
            (&[0xFE], "[FE] active sensing"),
            (&[0xFF], "[FF] system reset"),
        ] {
            assert_eq!(told(bytes), [wanted], "{bytes:02X?}");
        }
    }

    #[test]
    fn a_status_that_runs_on_is_told_with_each_message() {
        let told = told(&[0x90, 60, 1, 0xF8, 60, 0]);
        assert!(told[0].starts_with("[90, 3C, 01] note 60 on"), "{told:?}");
        assert!(told[1].starts_with("[F8]"), "{told:?}");
        assert!(told[2].starts_with("[90, 3C, 00] note 60 off"), "{told:?}");
    }

    #[test]
    fn a_system_exclusive_message_is_told_when_it_ends_however_it_ends() {
        let long: Vec<u8> = [&[0xF0][..], &[1; 100_000], &[0xF7]].concat();
        for (bytes, wanted) in [
            (
                &[0xF0, 0x7D, 0xF8, 1, 0xF7][..],
                "[F0, 7D, 01, F7] system exclusive of 4 bytes",
            ),
            (&[0xF0, 0x7D, 0xF6], "[F0, 7D] system exclusive of 2 bytes"),
            (&[0xF0, 0x7D, 0xF0], "[F0, 7D] system exclusive of 2 bytes"),
            (
                &long,
                "[F0, 01, 01, 01, 01, 01, 01, 01, 01, 01, 01, 01, 01, 01, 01, 01] system exclusive of 100002 bytes, of \
                 which the first are told",
            ),
        ] {
            let told = told(bytes);
            assert!(told.iter().any(|line| line == wanted), "{told:?}");
        }
        assert_eq!(
            told(&[0xF7, 0xF0, 1, 2]),
            [""; 0],
            "a stray end, and one that has not ended"
        );
    }

    #[test]
    fn a_port_that_goes_drops_what_it_had_begun() {
        let mut ear = Ear::new(Bindings::read(&PedalSettings::default()).unwrap());
        ear.hear(PortId(1), &[0xB0, 80], |_| panic!("not whole yet"));
        ear.lose(PortId(1));
        ear.lose(PortId(7));
        ear.hear(PortId(1), &[127], |_| panic!("its beginning was lost"));
    }
}
