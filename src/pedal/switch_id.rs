//! Which switch a message is of, and whether it says on.

use crate::pedal::{Message, PortId};
use crate::setlist::{Channel, Seven, SwitchKind};

/// A switch is told by its port, kind, channel and number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct SwitchId {
    pub(super) port: PortId,
    pub(super) kind: SwitchKind,
    pub(super) channel: Channel,
    pub(super) number: Seven,
}

/// A switch controller is on from here (MIDI 1.0, table of controller numbers: 0 to 63 off, 64 to 127 on).
const ON_FROM: u8 = 64;

/// Whether a controller's value is on.
pub(super) fn is_on(value: Seven) -> bool {
    value.number() >= ON_FROM
}

impl SwitchId {
    /// The switch that a message is of, and whether it says on.
    pub(super) fn of(port: PortId, message: Message) -> Option<(SwitchId, bool)> {
        let (kind, channel, number, on) = match message {
            Message::NoteOn { channel, note, .. } => (SwitchKind::Note, channel, note, true),
            Message::NoteOff { channel, note, .. } => (SwitchKind::Note, channel, note, false),
            Message::Control { channel, cc, value } => (SwitchKind::Control, channel, cc, is_on(value)),
            Message::Program { channel, program } => (SwitchKind::Program, channel, program, true),
            Message::KeyPressure { .. }
            | Message::ChannelPressure { .. }
            | Message::PitchBend { .. }
            | Message::QuarterFrame(_)
            | Message::SongPosition(_)
            | Message::SongSelect(_)
            | Message::TuneRequest
            | Message::Clock
            | Message::Start
            | Message::Continue
            | Message::Stop
            | Message::ActiveSensing
            | Message::Reset => return None,
        };
        let id = SwitchId {
            port,
            kind,
            channel,
            number,
        };
        Some((id, on))
    }
}
