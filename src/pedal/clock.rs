//! The tempo measured from Timing Clock, 24 to a quarter note (MIDI 1.0 detailed specification, Timing Clock).

use crate::pedal::{Moment, PortId};
use std::collections::VecDeque;

/// Clocks in a quarter note.
const BEAT: usize = 24;
/// Two bars of four: long enough to be steady to a tenth of a beat a minute, short enough to follow.
const MOST_CLOCKS: usize = 8 * BEAT + 1;
/// Clocks farther apart than this are no clock any more: below 20 quarter notes a minute.
const SILENCE_NS: u64 = 125_000_000;
/// A last beat that differs by more than this share from what was measured is a new tempo, and no jitter.
const NEW_TEMPO: f64 = 0.02;

/// Measures the tempo of the clock of one port, the first to send one; another is taken when that falls silent.
#[derive(Clone, Debug)]
pub(super) struct Metronome {
    port: Option<PortId>,
    clocks: VecDeque<Moment>,
}

impl Default for Metronome {
    fn default() -> Metronome {
        Metronome {
            port: None,
            clocks: VecDeque::with_capacity(MOST_CLOCKS),
        }
    }
}

impl Metronome {
    /// Takes a clock; whether it is one of the clock that is followed, and not one that another port sends beside it.
    pub(super) fn clock(&mut self, port: PortId, at: Moment) -> bool {
        if self.silent_at().is_some_and(|silent| silent <= at) {
            self.forget();
        }
        if *self.port.get_or_insert(port) != port {
            return false;
        }
        if self.clocks.len() == MOST_CLOCKS {
            self.clocks.pop_front();
        }
        self.clocks.push_back(at);
        self.follow_a_new_tempo();
        true
    }

    /// Quarter notes a minute; none before a beat has been heard.
    pub(super) fn bpm(&self) -> Option<f64> {
        self.bpm_of_last(self.clocks.len())
    }

    /// When the clock counts as gone, if there is one.
    pub(super) fn silent_at(&self) -> Option<Moment> {
        self.clocks.back().map(|last| last.after_ns(SILENCE_NS))
    }

    /// The clock has gone.
    pub(super) fn forget(&mut self) {
        self.clocks.clear();
        self.port = None;
    }

    fn follow_a_new_tempo(&mut self) {
        let last_beat = BEAT + 1;
        if let (Some(all), Some(now)) = (self.bpm(), self.bpm_of_last(last_beat))
            && (now / all - 1.0).abs() > NEW_TEMPO
        {
            self.clocks.drain(..self.clocks.len() - last_beat);
        }
    }

    /// By the slope of the straight line through the clocks (least squares), which evens out what single clocks are
    /// late.
    fn bpm_of_last(&self, count: usize) -> Option<f64> {
        if count <= BEAT || count > self.clocks.len() {
            return None;
        }
        let clocks = || self.clocks.range(self.clocks.len() - count..);
        let first = *clocks().next()?;
        let middle = (count - 1) as f64 / 2.0;
        let (across, square) = clocks()
            .enumerate()
            .fold((0.0, 0.0), |(across, square), (place, clock)| {
                let from_middle = place as f64 - middle;
                (
                    across + from_middle * clock.since(first) as f64,
                    square + from_middle * from_middle,
                )
            });
        let clock_ns = across / square;
        (clock_ns > 0.0).then(|| 60e9 / (BEAT as f64 * clock_ns))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PORT: PortId = PortId(0);

    /// Sends clocks at a tempo from a moment, each late by up to `jitter_us`; when the last one was due.
    fn send(metronome: &mut Metronome, from: Moment, bpm: f64, clocks: u32, jitter_us: u64) -> Moment {
        let mut noise = 12345_u64;
        let due = |clock: u32| from.after_ns((f64::from(clock) * 60e9 / (24.0 * bpm)) as u64);
        for clock in 1..=clocks {
            // Source: the multiplier and increment of Knuth's MMIX generator, from memory; any noise does.
            noise = noise
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            metronome.clock(PORT, due(clock).after_ns((noise >> 33) % (jitter_us * 1000 + 1)));
        }
        due(clocks)
    }

    #[test]
    fn the_tempo_is_steady_to_a_tenth_within_two_bars_though_clocks_jitter() {
        for bpm in [40.0, 60.0, 92.5, 128.0, 220.0, 400.0] {
            let mut metronome = Metronome::default();
            let mut at = send(&mut metronome, Moment::START, bpm, 193, 1000);
            for bar in 0..8 {
                at = send(&mut metronome, at, bpm, 96, 1000);
                let measured = metronome.bpm().unwrap();
                assert!((measured - bpm).abs() < 0.1, "{bpm}, bar {bar}: {measured}");
            }
        }
    }

    #[test]
    fn a_new_tempo_is_shown_within_two_bars() {
        let mut metronome = Metronome::default();
        let at = send(&mut metronome, Moment::START, 120.0, 400, 500);
        send(&mut metronome, at, 90.0, 192, 500);
        let measured = metronome.bpm().unwrap();
        assert!((measured - 90.0).abs() < 0.1, "{measured}");
    }

    #[test]
    fn a_clock_that_falls_silent_is_forgotten_and_measured_anew() {
        let mut metronome = Metronome::default();
        let at = send(&mut metronome, Moment::START, 100.0, 60, 0);
        assert!(metronome.bpm().is_some());
        let silent = metronome.silent_at().unwrap();
        assert_eq!(silent, at.after_ns(SILENCE_NS));
        metronome.forget();
        assert_eq!((metronome.bpm(), metronome.silent_at()), (None, None));
        send(&mut metronome, silent, 100.0, 24, 0);
        assert_eq!(metronome.bpm(), None, "a beat is 24 clocks and the one that ends it");
    }

    #[test]
    fn a_second_port_with_a_clock_does_not_double_the_tempo() {
        let mut metronome = Metronome::default();
        for clock in 0..100 {
            let at = Moment::START.after_ms(clock * 20);
            assert!(metronome.clock(PORT, at));
            assert!(!metronome.clock(PortId(1), at.after_ms(10)));
        }
        assert_eq!(metronome.bpm().map(f64::round), Some(125.0));
        assert!(metronome.clock(PortId(1), Moment::START.after_ms(5000)));
    }
}
