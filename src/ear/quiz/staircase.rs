//! The drill of gaps: how far the pickup moves next, and the least move that is heard.

use super::history::{Drill, History};

/// A weighted staircase on the logarithm of the gap: right goes down a step, wrong goes up three, so that it settles where
/// three of four answers are right (C. Kaernbach, "Simple adaptive testing with the weighted up-down method", Percept.
/// Psychophys. 49(3), 1991, abstract read; the ratio follows from balance).
#[derive(Clone, Debug)]
pub(super) struct Staircase {
    /// log2 of the gap in mm.
    level: f64,
    rising: Option<bool>,
    /// The levels at which the direction turned.
    turns: Vec<f64>,
    answers: usize,
}

/// A quarter of an octave.
const STEP: f64 = 0.25;
/// p/(1 - p) for p = 3/4.
const UP_STEPS: f64 = 3.0;
const START_MM: f64 = 64.0;
const LEAST_MM: f64 = 2.0;
const MOST_MM: f64 = 121.0;
/// The first turns are on the way from the start.
const TURNS_LEFT_OUT: usize = 4;
/// Fewer answers are too few to tell.
const LEAST_ANSWERS: usize = 20;

impl Staircase {
    /// Where the answers so far have led.
    pub(super) fn after(history: &History) -> Staircase {
        let mut staircase = Staircase {
            level: START_MM.log2(),
            rising: None,
            turns: Vec::new(),
            answers: 0,
        };
        for answered in history.of(Drill::Gap) {
            staircase.answer(answered.is_right());
        }
        staircase
    }

    pub(super) fn gap_mm(&self) -> f64 {
        self.level.exp2()
    }

    fn answer(&mut self, right: bool) {
        let rises = !right;
        if self.rising.is_some_and(|rising| rising != rises) {
            self.turns.push(self.level);
        }
        self.rising = Some(rises);
        self.answers += 1;
        let step = if right { -STEP } else { STEP * UP_STEPS };
        self.level = (self.level + step).clamp(LEAST_MM.log2(), MOST_MM.log2());
    }

    /// The mean of an even number of turns after the fourth; none while there are too few answers or turns.
    pub(super) fn estimate_mm(&self) -> Option<f64> {
        let turns = self.turns.get(TURNS_LEFT_OUT..)?;
        let turns = &turns[turns.len() % 2..];
        if self.answers < LEAST_ANSWERS || turns.is_empty() {
            return None;
        }
        Some((turns.iter().sum::<f64>() / turns.len() as f64).exp2())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::units::Seed;

    /// A listener who guesses one in three below hearing, and hears three of four at 20 mm.
    fn hears(gap_mm: f64) -> f64 {
        // 1/3 + 2/3 F, where F is 5/8 at the threshold, a logistic curve over octaves.
        let octaves = (gap_mm / 20.0).log2();
        let offset = (0.625_f64 / 0.375).ln();
        1.0 / 3.0 + 2.0 / 3.0 / (1.0 + (-(octaves * 3.0 + offset)).exp())
    }

    /// Source: the figures of an independent simulation of another listener: bias .1, deviation .33 octave.
    #[test]
    fn forty_answers_find_what_a_listener_hears() {
        let mut chance = Seed::new(9).chance();
        let mut errors = Vec::new();
        for _ in 0..400 {
            let mut staircase = Staircase::after(&History::default());
            for _ in 0..40 {
                let right = chance.unit() < hears(staircase.gap_mm());
                staircase.answer(right);
            }
            errors.extend(staircase.estimate_mm().map(|mm| (mm / 20.0).log2()));
        }
        let mean = errors.iter().sum::<f64>() / errors.len() as f64;
        let deviation = (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / errors.len() as f64).sqrt();
        assert!(
            errors.len() > 380 && mean.abs() < 0.25 && deviation < 0.5,
            "{mean} {deviation}"
        );
    }

    #[test]
    fn it_starts_at_64_mm_stays_in_its_bounds_and_says_nothing_too_early() {
        let mut staircase = Staircase::after(&History::default());
        assert!((staircase.gap_mm() - 64.0).abs() < 1e-9 && staircase.estimate_mm().is_none());
        staircase.answer(true);
        assert!((staircase.gap_mm() - 64.0 / 2_f64.powf(0.25)).abs() < 1e-9);
        (0..60).for_each(|_| staircase.answer(true));
        assert!((staircase.gap_mm() - 2.0).abs() < 1e-9 && staircase.estimate_mm().is_none());
        (0..60).for_each(|_| staircase.answer(false));
        assert!((staircase.gap_mm() - 121.0).abs() < 1e-9);
    }
}
