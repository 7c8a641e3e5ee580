//! A Standard MIDI File as a pedal performance: its bytes on one wire, each at its moment.

use crate::pedal::Moment;
use crate::setlist::broken_track;
use midly::live::LiveEvent;
use midly::{Fps, MetaMessage, Smf, Timing, TrackEventKind};
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

/// All tracks merged by time, at equal times in track order; channel messages, SysEx and escapes as they stand on the
/// wire.
///
/// # Errors
/// Where the bytes are no Standard MIDI File, its header gives time no measure, or a track breaks off: half a
/// performance is none.
pub fn performance(file: &[u8]) -> Result<Vec<Timed>, NotAPerformance> {
    if has_no_rate(file) {
        let why = "this Standard MIDI File counts its time in frames of no rate that there is";
        return Err(NotAPerformance(why.into()));
    }
    let smf = Smf::parse(file).map_err(|error| NotAPerformance(format!("this is no Standard MIDI File: {error}")))?;
    if let Some(number) = broken_track(file) {
        let why = format!("this Standard MIDI File is damaged: track {number} cannot be read to its end");
        return Err(NotAPerformance(why));
    }
    let mut clock = Ticks::new(smf.header.timing)?;
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
    let mut performance = Vec::with_capacity(events.len());
    for (tick, happens) in events {
        clock.run_to(tick);
        match happens {
            Happens::Bytes(bytes) => performance.push(Timed {
                at: clock.moment(),
                bytes,
            }),
            Happens::QuarterUs(us) => clock.set_quarter(us),
        }
    }
    Ok(performance)
}

/// Whether a header counts -128 frames a second, at which midly 0.5.3 panics in a build that watches its sums.
fn has_no_rate(file: &[u8]) -> bool {
    // The division's first byte comes behind the chunk's name, its length, the format and the number of tracks.
    let header = |bytes: &[u8]| bytes.starts_with(b"MThd") && bytes[12] == 0x80;
    file.windows(13).any(header)
}

/// What happens at a tick: bytes, or a new length of the quarter note in microseconds.
enum Happens {
    Bytes(Vec<u8>),
    QuarterUs(u32),
}

fn happens(event: &TrackEventKind<'_>) -> Option<Happens> {
    match event {
        TrackEventKind::Midi { channel, message } => {
            let mut bytes = Vec::with_capacity(3);
            let live = LiveEvent::Midi {
                channel: *channel,
                message: *message,
            };
            live.write(&mut bytes).ok()?;
            Some(Happens::Bytes(bytes))
        }
        TrackEventKind::SysEx(data) => Some(Happens::Bytes([&[0xF0], *data].concat())),
        TrackEventKind::Escape(data) => Some(Happens::Bytes(data.to_vec())),
        TrackEventKind::Meta(MetaMessage::Tempo(us)) => Some(Happens::QuarterUs(us.as_int())),
        TrackEventKind::Meta(_) => None,
    }
}

/// From ticks to moments. Time is kept as a whole number of parts of a nanosecond, so that no rounding adds up.
struct Ticks {
    tick: u64,
    /// In nanoseconds times `parts`.
    passed: u128,
    parts: u128,
    /// How much each tick adds to `passed`.
    tick_lasts: u128,
    obeys_tempo: bool,
}

/// The quarter note where the file sets no tempo: 120 a minute (Standard MIDI Files 1.0, Set Tempo).
const USUAL_QUARTER_US: u32 = 500_000;

impl Ticks {
    fn new(timing: Timing) -> Result<Ticks, NotAPerformance> {
        let (parts, tick_lasts, obeys_tempo) = match timing {
            Timing::Metrical(division) => (u128::from(division.as_int()), ns(USUAL_QUARTER_US), true),
            Timing::Timecode(frames, subframes) => {
                // A second is so many frames; 29 stands for drop frame, 30 in 1.001 seconds.
                let (frames, second_ns) = match frames {
                    Fps::Fps24 => (24, 1_000_000_000),
                    Fps::Fps25 => (25, 1_000_000_000),
                    Fps::Fps29 => (30, 1_001_000_000),
                    Fps::Fps30 => (30, 1_000_000_000),
                };
                (frames * u128::from(subframes), second_ns, false)
            }
        };
        if parts == 0 {
            let unit = if obeys_tempo { "quarter note" } else { "frame" };
            let why = format!("this Standard MIDI File says that a {unit} has no ticks, so its events have no time");
            return Err(NotAPerformance(why));
        }
        Ok(Ticks {
            tick: 0,
            passed: 0,
            parts,
            tick_lasts,
            obeys_tempo,
        })
    }

    fn run_to(&mut self, tick: u64) {
        self.passed += u128::from(tick - self.tick) * self.tick_lasts;
        self.tick = tick;
    }

    fn set_quarter(&mut self, us: u32) {
        if self.obeys_tempo {
            self.tick_lasts = ns(us);
        }
    }

    /// To the nearest nanosecond.
    fn moment(&self) -> Moment {
        let ns = (self.passed + self.parts / 2) / self.parts;
        Moment::from_ns(u64::try_from(ns).unwrap_or(u64::MAX))
    }
}

fn ns(us: u32) -> u128 {
    u128::from(us) * 1000
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file of one division and some tracks, each given without its end.
    fn file(division: [u8; 2], tracks: &[&[u8]]) -> Vec<u8> {
        let format = u8::from(tracks.len() > 1);
        let mut file = b"MThd\0\0\0\x06".to_vec();
        file.extend([0, format, 0, tracks.len() as u8]);
        file.extend(division);
        for track in tracks {
            let track = [track, &[0, 0xFF, 0x2F, 0][..]].concat();
            file.extend(b"MTrk\0\0\0");
            file.push(track.len() as u8);
            file.extend(track);
        }
        file
    }

    #[track_caller]
    fn check(division: [u8; 2], tracks: &[&[u8]], wanted: &[(u64, &[u8])]) {
        let wanted: Vec<_> = wanted
            .iter()
            .map(|(ns, bytes)| Timed {
                at: Moment::from_ns(*ns),
                bytes: bytes.to_vec(),
            })
            .collect();
        assert_eq!(performance(&file(division, tracks)), Ok(wanted));
    }

    /// Source: Standard MIDI Files 1.0 (MIDI Association), from memory: delta times, Set Tempo, the two kinds of SysEx
    /// event; 500,000 microseconds a quarter note where none is set.
    #[test]
    fn tracks_are_merged_and_tempo_changes_obeyed() {
        let tempo_track = &[96, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40][..];
        let first = &[0, 0xB0, 80, 127, 96, 80, 0, 96, 0xC1, 4];
        let second = &[96, 0x90, 60, 1];
        let wanted: &[(u64, &[u8])] = &[
            (0, &[0xB0, 80, 127]),
            (500_000_000, &[0xB0, 80, 0]),
            (500_000_000, &[0x90, 60, 1]),
            (1_500_000_000, &[0xC1, 4]),
        ];
        check([0, 96], &[tempo_track, first, second], wanted);
    }

    #[test]
    fn sysex_and_escapes_stand_as_on_the_wire() {
        let track = &[
            0, 0xF0, 2, 1, 2, 1, 0xF7, 2, 3, 0xF7, 1, 0xF7, 1, 0xFA, 1, 0xF7, 2, 0xB0, 80,
        ];
        let ms = 500_000_000 / 100;
        check(
            [0, 100],
            &[track],
            &[
                (0, &[0xF0, 1, 2]),
                (ms, &[3, 0xF7]),
                (2 * ms, &[0xFA]),
                (3 * ms, &[0xB0, 80]),
            ],
        );
    }

    /// A tick that is no whole number of nanoseconds, ten thousand times: the last moment is as exact as the first.
    #[test]
    fn no_rounding_adds_up() {
        // 333,333 microseconds a quarter note, 7 ticks in it.
        let tempo = &[0, 0xFF, 0x51, 3, 0x05, 0x16, 0x15][..];
        let mut bytes = file([0, 7], &[]);
        let mut track = tempo.to_vec();
        (0..10_000).for_each(|_| track.extend([1, 0xC0, 4]));
        track.extend([0, 0xFF, 0x2F, 0]);
        bytes[11] = 1;
        bytes.extend(b"MTrk");
        bytes.extend((track.len() as u32).to_be_bytes());
        bytes.extend(track);
        let performance = performance(&bytes).unwrap();
        for (tick, timed) in (1..).zip(&performance) {
            let exact = (tick * 333_333_000 + 3) / 7;
            assert_eq!(timed.at, Moment::from_ns(exact), "tick {tick}");
        }
        assert_eq!(performance.len(), 10_000);
    }

    /// Source: Standard MIDI Files 1.0, division (from memory): the upper byte is minus the frames a second, 29 for
    /// drop frame, which is 30 frames in 1.001 s.
    #[test]
    fn time_code_goes_by_the_second_whatever_the_tempo() {
        let track = &[0, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40, 100, 0xF7, 1, 0xFA];
        for (frames, ns) in [
            (-24_i8, 416_666_667_u64),
            (-25, 400_000_000),
            (-29, 333_666_667),
            (-30, 333_333_333),
        ] {
            check([frames as u8, 10], &[track], &[(ns, &[0xFA])]);
        }
    }

    #[test]
    fn a_track_that_breaks_off_is_no_performance() {
        let whole = file([0, 96], &[&[0, 0xC0, 1], &[0, 0xC0, 2, 1, 0xC0, 3]]);
        let with_status_gone = file([0, 96], &[&[0, 0xC0, 1, 0, 0xFF, 1, 0, 1, 2]]);
        let words = |bytes: &[u8]| performance(bytes).unwrap_err().to_string();
        let damaged =
            |track: u8| format!("this Standard MIDI File is damaged: track {track} cannot be read to its end");
        assert_eq!(performance(&whole).unwrap().len(), 3);
        assert_eq!(words(&whole[..whole.len() - 5]), damaged(2), "cut within an event");
        // Source: Standard MIDI Files 1.0 (from memory): a meta event ends running status.
        assert_eq!(words(&with_status_gone), damaged(1), "data without a status");
        // What stands behind a track's end is no part of it.
        let mut padded = file([0, 96], &[&[0, 0xC0, 1], &[]]);
        let length = padded.len();
        padded[length - 5] += 2;
        padded.extend([0, 0]);
        assert_eq!(performance(&padded).unwrap().len(), 1);
    }

    #[test]
    fn what_gives_no_time_is_refused_in_words() {
        let words = |bytes: &[u8]| performance(bytes).unwrap_err().to_string();
        for (division, unit) in [([0, 0], "quarter note"), ([-25_i8 as u8, 0], "frame")] {
            let wanted = format!("this Standard MIDI File says that a {unit} has no ticks, so its events have no time");
            assert_eq!(words(&file(division, &[&[]])), wanted);
        }
        assert!(words(b"MThd").starts_with("this is no Standard MIDI File: "));
        assert!(words(b"").starts_with("this is no Standard MIDI File: "));
    }
}
