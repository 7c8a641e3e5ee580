//! The tempo measured from Timing Clock, 24 to a quarter note.

use crate::pedal::moment::Moment;
use std::collections::VecDeque;

/// Measures the tempo from the last few beats of clocks.
#[derive(Clone, Debug, Default)]
pub(super) struct Metronome {
    clocks: VecDeque<Moment>,
}

/// Two bars of four: long enough to be steady, short enough to follow.
const MOST_CLOCKS: usize = 8 * 24 + 1;
/// A beat, below which no tempo is told.
const LEAST_CLOCKS: usize = 24 + 1;
/// Clocks farther apart are no clock any more: below 20 beats a minute.
const LONGEST_GAP_NS: u64 = 125_000_000;

impl Metronome {
    pub(super) fn clock(&mut self, at: Moment) {
        if self.clocks.back().is_some_and(|last| at.since(*last) > LONGEST_GAP_NS) {
            self.clocks.clear();
        }
        if self.clocks.len() == MOST_CLOCKS {
            self.clocks.pop_front();
        }
        self.clocks.push_back(at);
    }

    /// Quarter notes a minute, by the slope of the straight line through the clocks (least squares), which evens out
    /// what single clocks are late.
    pub(super) fn bpm(&self) -> Option<f64> {
        let count = self.clocks.len();
        if count < LEAST_CLOCKS {
            return None;
        }
        let first = *self.clocks.front()?;
        let middle = (count - 1) as f64 / 2.0;
        let (mut across, mut square) = (0.0, 0.0);
        for (place, clock) in self.clocks.iter().enumerate() {
            let from_middle = place as f64 - middle;
            across += from_middle * clock.since(first) as f64;
            square += from_middle * from_middle;
        }
        let clock_ns = across / square;
        (clock_ns > 0.0).then(|| 60e9 / (24.0 * clock_ns))
    }

    /// When the clock counts as gone.
    pub(super) fn silent_at(&self) -> Option<Moment> {
        self.clocks
            .back()
            .map(|last| Moment::from_ns(last.as_ns() + LONGEST_GAP_NS))
    }

    pub(super) fn forget(&mut self) {
        self.clocks.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tempo_is_steady_to_a_tenth_within_two_bars_though_clocks_jitter() {
        for bpm in [60.0, 92.5, 128.0, 220.0] {
            let mut metronome = Metronome::default();
            let mut noise = 12345_u64;
            for clock in 0..=192 {
                noise = noise
                    .wrapping_mul(6364136223846793005)
                    .wrapping_add(1442695040888963407);
                let late_ns = (noise >> 33) % 1_000_000;
                let ns = f64::from(clock) * 60e9 / (24.0 * bpm);
                metronome.clock(Moment::from_ns(ns as u64 + late_ns));
            }
            let measured = metronome.bpm().unwrap();
            assert!((measured - bpm).abs() < 0.1, "{bpm}: {measured}");
        }
    }

    #[test]
    fn a_clock_that_pauses_is_measured_anew() {
        let mut metronome = Metronome::default();
        (0..50).for_each(|clock| metronome.clock(Moment::from_ms(clock * 20)));
        assert!(metronome.bpm().is_some());
        metronome.clock(Moment::from_ms(60_000));
        assert_eq!(metronome.bpm(), None);
    }
}
