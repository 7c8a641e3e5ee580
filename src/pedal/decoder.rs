//! From the bytes of a wire to whole messages, by the MIDI 1.0 detailed specification (MIDI Association).
//!
//! The wire's state is the message begun and the status that runs on. SysEx is passed over, however long it is.

use crate::setlist::{Channel, Seven};

/// A whole message, as far as a stage helper cares.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Message {
    NoteOff {
        channel: Channel,
        note: Seven,
        velocity: Seven,
    },
    /// With a velocity above 0: a Note On of velocity 0 is a Note Off.
    NoteOn {
        channel: Channel,
        note: Seven,
        velocity: Seven,
    },
    KeyPressure {
        channel: Channel,
        note: Seven,
        pressure: Seven,
    },
    Control {
        channel: Channel,
        cc: Seven,
        value: Seven,
    },
    Program {
        channel: Channel,
        program: Seven,
    },
    ChannelPressure {
        channel: Channel,
        pressure: Seven,
    },
    PitchBend {
        channel: Channel,
        low: Seven,
        high: Seven,
    },
    QuarterFrame(Seven),
    /// In MIDI beats: six clocks, a sixteenth note each.
    SongPosition(u16),
    SongSelect(Seven),
    TuneRequest,
    Clock,
    Start,
    Continue,
    Stop,
    ActiveSensing,
    Reset,
}

/// Puts messages together, byte by byte.
#[derive(Clone, Debug, Default)]
pub struct Decoder {
    /// The status that the next data byte belongs to: 0x80 to 0xF3, or none.
    status: Option<u8>,
    first: Option<Seven>,
}

impl Decoder {
    /// Takes a byte; the message that it completes.
    pub fn byte(&mut self, byte: u8) -> Option<Message> {
        match byte {
            0x00..=0x7F => self.data(Seven::from_wire(byte)),
            0x80..=0xF3 => {
                // A new status drops what was begun. SysEx (F0) takes data and never ends in a message.
                self.status = Some(byte);
                self.first = None;
                None
            }
            0xF4..=0xF7 => {
                self.status = None;
                self.first = None;
                (byte == 0xF6).then_some(Message::TuneRequest)
            }
            0xF8 => Some(Message::Clock),
            0xFA => Some(Message::Start),
            0xFB => Some(Message::Continue),
            0xFC => Some(Message::Stop),
            0xFE => Some(Message::ActiveSensing),
            0xFF => Some(Message::Reset),
            0xF9 | 0xFD => None,
        }
    }

    /// The bytes of the message that was completed last, with the status that it came under.
    pub(super) fn on_wire(&self, message: Message) -> Vec<u8> {
        let status = |otherwise: u8, channel: Channel| {
            let running = self.status.filter(|status| *status < 0xF0);
            running.unwrap_or(otherwise | channel.on_wire())
        };
        match message {
            Message::NoteOff {
                channel,
                note,
                velocity,
            } => vec![status(0x80, channel), note.number(), velocity.number()],
            Message::NoteOn {
                channel,
                note,
                velocity,
            } => vec![status(0x90, channel), note.number(), velocity.number()],
            Message::KeyPressure {
                channel,
                note,
                pressure,
            } => vec![status(0xA0, channel), note.number(), pressure.number()],
            Message::Control { channel, cc, value } => vec![status(0xB0, channel), cc.number(), value.number()],
            Message::Program { channel, program } => vec![status(0xC0, channel), program.number()],
            Message::ChannelPressure { channel, pressure } => vec![status(0xD0, channel), pressure.number()],
            Message::PitchBend { channel, low, high } => vec![status(0xE0, channel), low.number(), high.number()],
            Message::QuarterFrame(data) => vec![0xF1, data.number()],
            Message::SongPosition(place) => vec![0xF2, (place & 0x7F) as u8, (place >> 7) as u8],
            Message::SongSelect(song) => vec![0xF3, song.number()],
            Message::TuneRequest => vec![0xF6],
            Message::Clock => vec![0xF8],
            Message::Start => vec![0xFA],
            Message::Continue => vec![0xFB],
            Message::Stop => vec![0xFC],
            Message::ActiveSensing => vec![0xFE],
            Message::Reset => vec![0xFF],
        }
    }

    fn data(&mut self, data: Seven) -> Option<Message> {
        let status = self.status?;
        if status == 0xF0 {
            return None;
        }
        if data_bytes(status) == 2 && self.first.is_none() {
            self.first = Some(data);
            return None;
        }
        let first = self.first.take().unwrap_or(data);
        if status >= 0xF0 {
            // System messages do not run on.
            self.status = None;
        }
        Some(message(status, first, data))
    }
}

/// How many data bytes follow a status (MIDI 1.0, tables I to III).
fn data_bytes(status: u8) -> u8 {
    match status {
        0xC0..=0xDF | 0xF1 | 0xF3 => 1,
        _ => 2,
    }
}

fn message(status: u8, first: Seven, second: Seven) -> Message {
    let channel = Channel::from_wire(status);
    match status {
        0x80..=0x8F => Message::NoteOff {
            channel,
            note: first,
            velocity: second,
        },
        0x90..=0x9F if second.number() == 0 => Message::NoteOff {
            channel,
            note: first,
            velocity: second,
        },
        0x90..=0x9F => Message::NoteOn {
            channel,
            note: first,
            velocity: second,
        },
        0xA0..=0xAF => Message::KeyPressure {
            channel,
            note: first,
            pressure: second,
        },
        0xB0..=0xBF => Message::Control {
            channel,
            cc: first,
            value: second,
        },
        0xC0..=0xCF => Message::Program {
            channel,
            program: first,
        },
        0xD0..=0xDF => Message::ChannelPressure {
            channel,
            pressure: first,
        },
        0xE0..=0xEF => Message::PitchBend {
            channel,
            low: first,
            high: second,
        },
        0xF1 => Message::QuarterFrame(first),
        0xF2 => Message::SongPosition(u16::from(second.number()) << 7 | u16::from(first.number())),
        _ => Message::SongSelect(first),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn messages(bytes: &[u8]) -> Vec<Message> {
        let mut decoder = Decoder::default();
        bytes.iter().filter_map(|byte| decoder.byte(*byte)).collect()
    }

    fn cc(channel: i64, cc: i64, value: i64) -> Message {
        let seven = |number| Seven::new(number).unwrap();
        Message::Control {
            channel: Channel::new(channel).unwrap(),
            cc: seven(cc),
            value: seven(value),
        }
    }

    // Source: MIDI 1.0 detailed specification 4.2.1 (from memory), running status, System Real Time within messages,
    // undefined statuses.
    #[test]
    fn the_wire_is_read_as_the_specification_says() {
        for (what, bytes, wanted) in [
            (
                "running status",
                &[0xB0, 80, 127, 80, 0][..],
                vec![cc(1, 80, 127), cc(1, 80, 0)],
            ),
            (
                "real time anywhere",
                &[0xB0, 0xF8, 80, 0xFE, 127],
                vec![Message::Clock, Message::ActiveSensing, cc(1, 80, 127)],
            ),
            (
                "a status drops what was begun",
                &[0xB0, 80, 0xB1, 81, 5],
                vec![cc(2, 81, 5)],
            ),
            ("data without a status", &[1, 2, 3], vec![]),
            (
                "SysEx is passed over",
                &[0xF0, 1, 2, 0xF8, 3, 0xF7, 80, 127],
                vec![Message::Clock],
            ),
            (
                "SysEx cut by a status",
                &[0xF0, 1, 2, 0xB0, 80, 127],
                vec![cc(1, 80, 127)],
            ),
            (
                "a stray F7 ends running status",
                &[0xB0, 80, 127, 0xF7, 80, 0],
                vec![cc(1, 80, 127)],
            ),
            (
                "so does an undefined one",
                &[0xB0, 80, 127, 0xF4, 80, 0, 0xF5, 1],
                vec![cc(1, 80, 127)],
            ),
            (
                "undefined real time disturbs nothing",
                &[0xB0, 80, 0xF9, 0xFD, 127],
                vec![cc(1, 80, 127)],
            ),
            (
                "system messages do not run on",
                &[0xF3, 4, 5],
                vec![Message::SongSelect(Seven::new(4).unwrap())],
            ),
            (
                "song position, low byte first",
                &[0xF2, 0x10, 0x02],
                vec![Message::SongPosition(272)],
            ),
            ("a tune request stands alone", &[0xF6, 1], vec![Message::TuneRequest]),
        ] {
            assert_eq!(messages(bytes), wanted, "{what}");
        }
    }

    // Source: MIDI 1.0 detailed specification 4.2.1, tables I (status bytes) to V (from memory).
    #[test]
    fn every_status_takes_as_many_data_bytes_as_the_tables_say() {
        for status in 0x80..=0xF7_u8 {
            let wanted = match status {
                0x80..=0xBF | 0xE0..=0xEF | 0xF2 => Some(2),
                0xC0..=0xDF | 0xF1 | 0xF3 => Some(1),
                0xF6 => Some(0),
                0xF0 | 0xF4 | 0xF5 | 0xF7.. => None,
                _ => unreachable!(),
            };
            let mut decoder = Decoder::default();
            let bytes = [status, 1, 2, 3];
            let complete = bytes.iter().position(|byte| decoder.byte(*byte).is_some());
            assert_eq!(complete, wanted, "{status:02X}");
        }
    }
}
