//! Small numbers with a range and a unit: tempo, meter, bars, seconds, MIDI channels and seven-bit numbers.

use std::fmt;

/// Beats (of the meter's lower figure) a minute, 20 to 400.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Tempo(f64);

/// Beats in a bar over the note that is a beat: 4/4, 6/8.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meter {
    beats: u8,
    unit: u8,
}

/// A section's length in bars, at least 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bars(u16);

/// A time in seconds, kept to the millisecond.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Seconds {
    ms: u32,
}

/// A MIDI channel, 1 to 16.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Channel(u8);

/// A MIDI data byte: a program, controller, note or value, 0 to 127.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Seven(u8);

impl Tempo {
    pub fn new(bpm: f64) -> Option<Tempo> {
        (20.0..=400.0).contains(&bpm).then_some(Tempo(bpm))
    }

    pub fn bpm(self) -> f64 {
        self.0
    }

    /// Milliseconds of a quarter note, where the beats are the meter's lower figure (quarters where there is no meter):
    /// 60000 / bpm in 4/4, twice that in 6/8.
    pub fn quarter_ms(self, meter: Option<Meter>) -> f64 {
        let unit = meter.unwrap_or(Meter::COMMON).unit;
        60_000.0 / self.0 * f64::from(unit) / 4.0
    }
}

impl Meter {
    /// 4/4, for a song that names no meter.
    pub const COMMON: Meter = Meter { beats: 4, unit: 4 };

    /// `beats` 1 to 32; `unit` a power of two up to 32.
    pub fn new(beats: u8, unit: u8) -> Option<Meter> {
        ((1..=32).contains(&beats) && unit.is_power_of_two() && unit <= 32).then_some(Meter { beats, unit })
    }

    pub fn beats(self) -> u8 {
        self.beats
    }

    pub fn unit(self) -> u8 {
        self.unit
    }

    /// MIDI clocks (24 a quarter note) in a bar.
    /// Whole for every meter but those in thirty-second notes, where a bar is counted in whole clocks of three.
    pub fn clocks_a_bar(self) -> u32 {
        u32::from(self.beats) * 96 / u32::from(self.unit)
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.beats, self.unit)
    }
}

impl Bars {
    pub const MAX: u16 = 9999;

    pub fn new(bars: u16) -> Option<Bars> {
        (1..=Self::MAX).contains(&bars).then_some(Bars(bars))
    }

    pub fn count(self) -> u32 {
        u32::from(self.0)
    }
}

impl Seconds {
    pub const NONE: Seconds = Seconds { ms: 0 };
    /// An hour is the longest gap that a file may give.
    pub(crate) const MAX_S: f64 = 3600.0;

    pub fn new(seconds: f64) -> Option<Seconds> {
        (0.0..=Self::MAX_S).contains(&seconds).then(|| Seconds {
            ms: (seconds * 1000.0).round() as u32,
        })
    }

    pub fn as_ms(self) -> u32 {
        self.ms
    }

    pub fn as_s(self) -> f64 {
        f64::from(self.ms) / 1000.0
    }
}

impl Channel {
    pub fn new(channel: i64) -> Option<Channel> {
        (1..=16).contains(&channel).then_some(Channel(channel as u8))
    }

    /// From the low four bits of a status byte.
    pub fn from_wire(nibble: u8) -> Channel {
        Channel((nibble & 0x0F) + 1)
    }

    /// 1 to 16, as people count.
    pub fn number(self) -> u8 {
        self.0
    }

    /// 0 to 15, as the wire counts.
    pub fn on_wire(self) -> u8 {
        self.0 - 1
    }
}

impl Seven {
    pub fn new(number: i64) -> Option<Seven> {
        (0..=127).contains(&number).then_some(Seven(number as u8))
    }

    /// The low seven bits of a byte.
    pub fn from_wire(byte: u8) -> Seven {
        Seven(byte & 0x7F)
    }

    pub fn number(self) -> u8 {
        self.0
    }
}
