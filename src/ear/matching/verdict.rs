//! The verdict: the position that the notes speak for, or the reason why they speak for none.

use super::fit::Fit;
use super::{Evidence, Heard, Skipped, Why};
use crate::ear::pickup::{Instrument, Position};

/// Which position, or why not.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    Position { name: String, confidence: f64 },
    CannotTell(CannotTell),
}

/// Why no position is named.
#[derive(Clone, Debug, PartialEq)]
pub enum CannotTell {
    /// Fewer single notes than are needed; why most of the others could not be used, if there were any.
    TooFewNotes { used: usize, mostly: Option<Why> },
    /// Two positions fit almost alike.
    TwoAlike(String, String),
    /// No position of this guitar fits.
    NoneFits,
    /// No null of any pickup is to be heard.
    NoNull,
}

/// How one position fits.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    pub position: String,
    /// S, the less the better.
    pub score: f64,
    /// Of all positions together 1.
    pub posterior: f64,
}

/// From one or two notes nothing is said: a pick at one place looks like a pickup at another.
const LEAST_NOTES: usize = 3;
/// The thresholds were set on synthetic notes.
const MOST_MISFIT: f64 = 0.32;
const LEAST_POSTERIOR: f64 = 0.9;
/// A pickup's place leaves at most so much of what is left without any: what explains less is no pickup's.
const MOST_OF_NO_NULL: f64 = 0.8;
/// Positions that differ by less than this in mean and in gap are not told apart. (A guess, not measured.)
const TOO_CLOSE_MM: f64 = 8.0;

pub(super) fn weigh(instrument: &Instrument, fit: &Fit, notes: Vec<Heard>, skipped: Vec<Skipped>) -> Evidence {
    let least = fit.scores.iter().copied().fold(f64::INFINITY, f64::min);
    let weights: Vec<f64> = fit.scores.iter().map(|score| (-(score - least) / 2.0).exp()).collect();
    let all: f64 = weights.iter().sum();
    let parts = instrument.positions.iter().zip(&fit.scores).zip(&weights);
    let scores: Vec<Score> = parts
        .map(|((position, score), weight)| Score {
            position: position.name.clone(),
            score: *score,
            posterior: weight / all,
        })
        .collect();
    Evidence {
        answer: answer(instrument, &scores, fit, notes.len(), &skipped),
        scores,
        without_nulls: fit.without_nulls,
        notes,
        skipped,
        distance_mm: fit.distance_mm,
    }
}

fn answer(instrument: &Instrument, scores: &[Score], fit: &Fit, used: usize, skipped: &[Skipped]) -> Answer {
    if used < LEAST_NOTES {
        let mostly = most_common(skipped);
        return Answer::CannotTell(CannotTell::TooFewNotes { used, mostly });
    }
    let mut order: Vec<&Score> = scores.iter().collect();
    order.sort_by(|a, b| a.score.total_cmp(&b.score));
    let (best, partials) = (order[0], fit.partials as f64);
    let explains = |score: f64| score <= MOST_OF_NO_NULL * fit.without_nulls;
    // A null that is heard, but is no position's, is that of a pickup that lies elsewhere.
    if !explains(best.score) && !explains(fit.single) {
        return Answer::CannotTell(CannotTell::NoNull);
    }
    if !explains(best.score) || best.score / partials > MOST_MISFIT {
        return Answer::CannotTell(CannotTell::NoneFits);
    }
    let close = too_close(instrument);
    let beside = |score: &&&Score| {
        let names = [&best.position, &score.position];
        close
            .iter()
            .any(|(one, other)| names.contains(&&one.name) && names.contains(&&other.name))
    };
    let second = order.get(1).filter(|_| best.posterior < LEAST_POSTERIOR);
    // Pickups are measured no better than such positions differ.
    match second.or(order[1..].iter().find(beside)) {
        Some(second) => {
            let [one, other] = [best, second].map(|score| score.position.clone());
            Answer::CannotTell(CannotTell::TwoAlike(one, other))
        }
        None => Answer::Position {
            name: best.position.clone(),
            confidence: best.posterior,
        },
    }
}

fn most_common(skipped: &[Skipped]) -> Option<Why> {
    let count = |why: Why| skipped.iter().filter(|skipped| skipped.why == why).count();
    skipped
        .iter()
        .map(|skipped| skipped.why)
        .max_by_key(|why| (count(*why), *why))
}

/// The pairs of positions that no recording tells apart.
pub fn too_close(instrument: &Instrument) -> Vec<(&Position, &Position)> {
    let positions = &instrument.positions;
    let pairs = positions
        .iter()
        .enumerate()
        .flat_map(|(at, one)| positions[at + 1..].iter().map(move |other| (one, other)));
    let close = |a: f64, b: f64| (a - b).abs() < TOO_CLOSE_MM;
    pairs
        .filter(|(one, other)| close(one.mean().mm(), other.mean().mm()) && close(one.gap().mm(), other.gap().mm()))
        .collect()
}
