//! A Standard MIDI File as a pedal performance: its bytes on one wire, each at its moment.

use crate::pedal::moment::Moment;
use midly::{MetaMessage, Smf, Timing, TrackEventKind};
use std::fmt;

/// Bytes and when they come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Timed {
    pub at: Moment,
    pub bytes: Vec<u8>,
}

/// Why a file is no performance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAPerformance(String);

impl fmt::Display for NotAPerformance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A quarter note where the file sets no tempo: 120 a minute (Standard MIDI Files 1.0).
const USUAL_QUARTER_US: u64 = 500_000;

/// What happens at a tick: bytes, or a new length of the quarter note.
enum Happens {
    Bytes(Vec<u8>),
    QuarterUs(u64),
}

/// All tracks merged by time, at equal times in track order; channel messages, SysEx and escapes as they stand on the
/// wire.
///
/// # Errors
/// Where the bytes are no Standard MIDI File, or its division is 0.
pub fn performance(file: &[u8]) -> Result<Vec<Timed>, NotAPerformance> {
    let smf = Smf::parse(file).map_err(|error| NotAPerformance(format!("this is no Standard MIDI File: {error}")))?;
    let mut events = Vec::new();
    for track in &smf.tracks {
        let mut tick = 0_u64;
        for event in track {
            tick += u64::from(event.delta.as_int());
            events.extend(happens(&event.kind).map(|happens| (tick, happens)));
        }
    }
    // A stable sort keeps the tracks' order at equal times.
    events.sort_by_key(|(tick, _)| *tick);
    let mut clock = match smf.header.timing {
        Timing::Metrical(division) => Ticks::metrical(u64::from(division.as_int()))?,
        Timing::Timecode(frames, subframes) => Ticks::timecode(frames, u64::from(subframes))?,
    };
    let mut performance = Vec::new();
    for (tick, happens) in events {
        match happens {
            Happens::Bytes(bytes) => performance.push(Timed {
                at: clock.moment(tick),
                bytes,
            }),
            Happens::QuarterUs(us) => clock.set_quarter(tick, us),
        }
    }
    Ok(performance)
}

fn happens(event: &TrackEventKind<'_>) -> Option<Happens> {
    match event {
        TrackEventKind::Midi { channel, message } => {
            let mut bytes = Vec::with_capacity(3);
            let live = midly::live::LiveEvent::Midi {
                channel: *channel,
                message: *message,
            };
            live.write(&mut bytes).ok()?;
            Some(Happens::Bytes(bytes))
        }
        TrackEventKind::SysEx(data) => Some(Happens::Bytes([&[0xF0], *data].concat())),
        TrackEventKind::Escape(data) => Some(Happens::Bytes(data.to_vec())),
        TrackEventKind::Meta(MetaMessage::Tempo(us)) => Some(Happens::QuarterUs(u64::from(us.as_int()))),
        TrackEventKind::Meta(_) => None,
    }
}

/// From ticks to moments, counted from the last tempo change so that no rounding adds up.
struct Ticks {
    /// Nanoseconds of `per` ticks.
    ns: u128,
    per: u128,
    /// The last tempo change, and its moment in nanoseconds times `per` of its time.
    since_tick: u64,
    since_ns: f64,
    metrical: bool,
}

impl Ticks {
    fn metrical(division: u64) -> Result<Ticks, NotAPerformance> {
        if division == 0 {
            return Err(NotAPerformance(
                "this Standard MIDI File has no ticks in a quarter note".into(),
            ));
        }
        let ns = u128::from(USUAL_QUARTER_US) * 1000;
        Ok(Ticks {
            ns,
            per: u128::from(division),
            since_tick: 0,
            since_ns: 0.0,
            metrical: true,
        })
    }

    fn timecode(frames: midly::Fps, subframes: u64) -> Result<Ticks, NotAPerformance> {
        if subframes == 0 {
            return Err(NotAPerformance(
                "this Standard MIDI File has no ticks in a frame".into(),
            ));
        }
        // 29 stands for drop frame, 30 / 1.001 a second.
        let (ns, frames) = match frames {
            midly::Fps::Fps24 => (1_000_000_000, 24),
            midly::Fps::Fps25 => (1_000_000_000, 25),
            midly::Fps::Fps29 => (1_001_000_000, 30),
            midly::Fps::Fps30 => (1_000_000_000, 30),
        };
        Ok(Ticks {
            ns,
            per: frames * u128::from(subframes),
            since_tick: 0,
            since_ns: 0.0,
            metrical: false,
        })
    }

    fn ns(&self, tick: u64) -> f64 {
        let ticks = u128::from(tick - self.since_tick);
        self.since_ns + (ticks * self.ns) as f64 / self.per as f64
    }

    fn moment(&self, tick: u64) -> Moment {
        Moment::from_ns(self.ns(tick).round() as u64)
    }

    fn set_quarter(&mut self, tick: u64, us: u64) {
        if self.metrical {
            self.since_ns = self.ns(tick);
            self.since_tick = tick;
            self.ns = u128::from(us) * 1000;
        }
    }
}
