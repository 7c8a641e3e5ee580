//! Tests only: the wire, byte by byte, held against the specification's tables and against another decoder.

use crate::pedal::story::{Deed, play, settings, story, told};
use crate::pedal::{Bindings, Board, Decoder, Message, Moment, PortId, What};
use crate::setlist::{Channel, Seven};
use midly::MidiMessage;
use midly::live::{LiveEvent, SystemRealtime};
use midly::num::u7;
use midly::stream::MidiStream;
use proptest::prelude::*;

fn messages(bytes: &[u8]) -> Vec<Message> {
    let mut decoder = Decoder::default();
    bytes.iter().filter_map(|byte| decoder.byte(*byte)).collect()
}

/// Bytes of a wire that breaks no rule: whole messages, running status, real-time bytes between any two, SysEx.
fn wire() -> impl Strategy<Value = Vec<u8>> {
    let data = 0..0x80_u8;
    let channel_message =
        (0x80..0xF0_u8, prop::collection::vec((data.clone(), data.clone()), 1..4)).prop_map(|(status, pairs)| {
            let one = (0xC0..0xE0).contains(&status);
            let data = pairs
                .into_iter()
                .flat_map(|(a, b)| if one { vec![a] } else { vec![a, b] });
            std::iter::once(status).chain(data).collect::<Vec<_>>()
        });
    let sysex = prop::collection::vec(data, 0..40).prop_map(|data| [vec![0xF0], data, vec![0xF7]].concat());
    let cut = (0x80..0xF0_u8).prop_map(|status| vec![status]);
    let item = prop_oneof![8 => channel_message, 1 => sysex, 1 => cut];
    let real_time = prop::sample::select(vec![None, None, None, Some(0xF8), Some(0xFA), Some(0xFE), Some(0xFF)]);
    (
        prop::collection::vec(item, 0..20),
        prop::collection::vec(real_time, 0..200),
    )
        .prop_map(|(items, real_time)| {
            let bytes = items.concat();
            let between = real_time.into_iter().chain(std::iter::repeat(None));
            bytes
                .into_iter()
                .zip(between)
                .flat_map(|(byte, after)| std::iter::once(byte).chain(after))
                .collect()
        })
}

/// A message as the other decoder has it; none for what we do not tell.
fn theirs(event: LiveEvent<'_>) -> Option<Message> {
    let seven = |number: u7| Seven::from_wire(number.as_int());
    let LiveEvent::Midi { channel, message } = event else {
        return match event {
            LiveEvent::Realtime(SystemRealtime::TimingClock) => Some(Message::Clock),
            LiveEvent::Realtime(SystemRealtime::Start) => Some(Message::Start),
            LiveEvent::Realtime(SystemRealtime::Continue) => Some(Message::Continue),
            LiveEvent::Realtime(SystemRealtime::Stop) => Some(Message::Stop),
            LiveEvent::Realtime(SystemRealtime::ActiveSensing) => Some(Message::ActiveSensing),
            LiveEvent::Realtime(SystemRealtime::Reset) => Some(Message::Reset),
            LiveEvent::Realtime(SystemRealtime::Undefined(_)) | LiveEvent::Common(_) | LiveEvent::Midi { .. } => None,
        };
    };
    let channel = Channel::from_wire(channel.as_int());
    Some(match message {
        MidiMessage::NoteOn { key, vel } if vel > 0 => Message::NoteOn {
            channel,
            note: seven(key),
            velocity: seven(vel),
        },
        MidiMessage::NoteOff { key, vel } | MidiMessage::NoteOn { key, vel } => Message::NoteOff {
            channel,
            note: seven(key),
            velocity: seven(vel),
        },
        MidiMessage::Aftertouch { key, vel } => Message::KeyPressure {
            channel,
            note: seven(key),
            pressure: seven(vel),
        },
        MidiMessage::Controller { controller, value } => Message::Control {
            channel,
            cc: seven(controller),
            value: seven(value),
        },
        MidiMessage::ProgramChange { program } => Message::Program {
            channel,
            program: seven(program),
        },
        MidiMessage::ChannelAftertouch { vel } => Message::ChannelPressure {
            channel,
            pressure: seven(vel),
        },
        MidiMessage::PitchBend { bend } => Message::PitchBend {
            channel,
            low: Seven::from_wire(bend.0.as_int() as u8),
            high: Seven::from_wire((bend.0.as_int() >> 7) as u8),
        },
    })
}

proptest! {
    /// Source: midly 0.5.3, `MidiStream`: another decoder, written by others.
    #[test]
    fn our_messages_are_those_of_another_decoder(bytes in wire()) {
        let mut wanted = Vec::new();
        let mut stream = MidiStream::new();
        stream.feed(&bytes, |event| wanted.extend(theirs(event)));
        prop_assert_eq!(messages(&bytes), wanted);
    }

    /// However a wire's bytes are parted, and with clock bytes between any two, the same gestures come.
    #[test]
    fn how_the_bytes_are_parted_changes_nothing(
        words in prop::collection::vec(
            prop::sample::select(vec![
                "80+", "80-", "81+", "81-", "2/80+", "n60+", "n60-", "82+", "82-", "p3", "xF0", "xF7", "x40", "xB0",
                "10ms", "80ms", "200ms", "500ms", "lost",
            ]),
            0..60,
        )
    ) {
        let settings = settings(&["80 next, hold next-song", "81 back", "82 latching again", "n* single top", "p* song"]);
        let whole = story(&words.join(" "));
        let parted = |clocks: &[u8]| -> Vec<(Moment, Deed)> {
            whole
                .iter()
                .flat_map(|(at, deed)| match deed {
                    Deed::Bytes(port, bytes) => bytes
                        .iter()
                        .map(|byte| (*at, Deed::Bytes(*port, [&[*byte], clocks].concat())))
                        .collect(),
                    Deed::Lost | Deed::Back => vec![(*at, deed.clone())],
                })
                .collect()
        };
        let gestures = |deeds: &[(Moment, Deed)]| {
            let mut events = play(&settings, deeds);
            events.retain(|event| event.what != What::Clock);
            told(&events)
        };
        let wanted = gestures(&whole);
        for between in [&[][..], &[0xF8]] {
            prop_assert_eq!(&gestures(&parted(between)), &wanted, "with {:02X?} between any two", between);
        }
    }
}

/// A minute of noise from two ports at the speed of a MIDI cable: whatever comes, little is remembered.
#[test]
fn a_minute_of_garbage_is_borne_in_bounded_memory() {
    let settings = settings(&["* next, hold back", "n* latching again", "p* song"]);
    let mut board = Board::new(Bindings::read(&settings).unwrap(), &settings);
    let mut out = Vec::new();
    let mut noise = 1_u64;
    // Source: MIDI 1.0: 31,250 bits a second, ten a byte: a byte each 320 microseconds.
    for byte in 0..187_500_u64 {
        noise = noise
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let port = PortId((noise >> 62) as u16 & 1);
        board.bytes(port, Moment::from_ns(byte * 320_000), &[(noise >> 40) as u8], &mut out);
        out.clear();
        // Two ports, three kinds, each channel and number; two alarms each, and one for the wire.
        let most = 2 * (2 * 3 * 16 * 128 + 1);
        assert!(
            board.remembered().into_iter().all(|count| count <= most),
            "{:?}",
            board.remembered()
        );
    }
    while let Some(at) = board.wake_at() {
        board.tick(at, &mut out);
    }
    assert_eq!(board.remembered()[1], 0, "every alarm comes to its end");
}

/// A few clocks after a silence make no tempo yet, and the old one is to be put away though: the silence is told of.
#[test]
fn a_clock_that_sends_a_few_more_after_a_silence_still_counts_as_gone() {
    let settings = settings(&["* next"]);
    let mut board = Board::new(Bindings::read(&settings).unwrap(), &settings);
    let at_ms = |ms: u64| Moment::from_ns(ms * 1_000_000);
    let mut out = Vec::new();
    for clock in 0..48 {
        board.bytes(PortId(0), at_ms(clock * 20), &[0xF8], &mut out);
    }
    assert!(board.measured_bpm().is_some());
    for clock in 0..3 {
        board.bytes(PortId(0), at_ms(2000 + clock * 20), &[0xF8], &mut out);
    }
    assert_eq!(board.measured_bpm(), None);
    assert!(board.clock_silent_at().is_some_and(|silent| silent > at_ms(2040)));
}
