//! How well the levels of a note's partials fit a pickup place, whatever the pick's: the pattern of nulls alone counts.

use crate::ear::pickup::{Instrument, Position};
use crate::ear::string::Speaking;
use crate::ear::units::Millimetres;

/// How all notes together fit each position of an instrument.
pub(super) struct Tally {
    positions: Vec<Position>,
    /// S: over the notes, the partials times the mean square; one for each position.
    pub(super) scores: Vec<f64>,
    /// The same without any pickup place.
    pub(super) without_nulls: f64,
    /// The same for a single pickup at each of `distances`.
    free: Vec<f64>,
    pub(super) partials: usize,
}

/// Places where the pick may have struck, in mm: every other from here to there.
const PLUCKS: (u32, u32) = (30, 228);
/// Places where a single pickup may lie, in mm.
const PLACES: (u32, u32) = (25, 214);
/// A null is no deeper than this.
const DEEPEST: f64 = 0.03;
/// A partial that does not fit counts no more than this.
const CLIP: f64 = 1.5;
/// The rise of the score at which the reach of the free distance ends.
const REACH: f64 = 2.0;

impl Tally {
    pub(super) fn new(instrument: &Instrument) -> Tally {
        Tally {
            positions: instrument.positions.clone(),
            scores: vec![0.0; instrument.positions.len()],
            without_nulls: 0.0,
            free: vec![0.0; distances().count()],
            partials: 0,
        }
    }

    /// Adds a note by the logarithms of its partials' levels, from the first on, and by the places where it can have been
    /// played. Each position may have the place that fits it best: which of them it was is no more known than the pick's.
    /// Returns which of the places fits any position best.
    pub(super) fn add(&mut self, levels: &[f64], places: &[Speaking]) -> usize {
        let fits: Vec<Vec<f64>> = places.iter().map(|string| self.misfits(levels, string)).collect();
        let least = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::INFINITY, f64::min);
        let scores = self
            .scores
            .iter_mut()
            .chain([&mut self.without_nulls])
            .chain(&mut self.free);
        for (at, score) in scores.enumerate() {
            *score += least(&mut fits.iter().map(|misfits| misfits[at]));
        }
        self.partials += levels.len();
        let best = |at: usize| least(&mut fits[at].iter().copied().take(self.positions.len()));
        (0..fits.len())
            .min_by(|a, b| best(*a).total_cmp(&best(*b)))
            .unwrap_or(0)
    }

    /// How badly a note on this string fits each position, then no pickup place, then each of `distances`: its partials
    /// times the mean square, with the pick where that is least.
    fn misfits(&self, levels: &[f64], string: &Speaking) -> Vec<f64> {
        let basis = Basis::new(levels.len());
        let indices = || 1..=levels.len() as u32;
        let shape = |comb: &dyn Fn(u32) -> f64| basis.without(indices().map(|n| depth(comb(n))).collect());
        let heard = basis.without(levels.to_vec());
        let without_pick = |place| {
            let pick = shape(&|n| string.shape(n, place));
            heard.iter().zip(pick).map(|(heard, pick)| heard - pick).collect()
        };
        let plucked: Vec<Vec<f64>> = plucks().map(without_pick).collect();
        let misfit = |comb: &dyn Fn(u32) -> f64| {
            let place = shape(comb);
            let squares = |left: &Vec<f64>| -> f64 {
                let off = left
                    .iter()
                    .zip(&place)
                    .map(|(left, place)| (left - place).clamp(-CLIP, CLIP));
                off.map(|off| off * off).sum()
            };
            plucked.iter().map(squares).fold(f64::INFINITY, f64::min)
        };
        let positions = self
            .positions
            .iter()
            .map(|position| misfit(&|n| position.comb(n, string)));
        let free = distances().map(|place| misfit(&|n| string.shape(n, place)));
        positions.chain([misfit(&|_| 1.0)]).chain(free).collect()
    }

    /// Where a single pickup would fit best, in mm from the saddle, and how far either side it fits almost as well.
    pub(super) fn distance_mm(&self) -> Option<(f64, f64)> {
        if self.partials == 0 {
            return None;
        }
        let mm: Vec<f64> = distances().map(Millimetres::mm).collect();
        let best = (0..mm.len()).min_by(|a, b| self.free[*a].total_cmp(&self.free[*b]))?;
        let near = |at: &usize| self.free[*at] <= self.free[best] + REACH;
        let low = (0..=best).rev().take_while(near).last()?;
        let high = (best..mm.len()).take_while(near).last()?;
        Some((mm[best], ((mm[high] - mm[low]) / 2.0).max(0.5)))
    }
}

fn plucks() -> impl Iterator<Item = Millimetres> {
    (PLUCKS.0..=PLUCKS.1)
        .step_by(2)
        .map(|mm| Millimetres::new(f64::from(mm)))
}

fn distances() -> impl Iterator<Item = Millimetres> {
    (PLACES.0..=PLACES.1).map(|mm| Millimetres::new(f64::from(mm)))
}

/// ½ ln(s² + ε²): the logarithm of a level that no null makes endless.
fn depth(s: f64) -> f64 {
    0.5 * (s * s + DEEPEST * DEEPEST).ln()
}

/// What a quadratic in ln n can be: tone control, pick and amplifier tilt levels, and none of that counts.
struct Basis([Vec<f64>; 3]);

impl Basis {
    /// Three directions, each at right angles to the others.
    fn new(count: usize) -> Basis {
        let powers = [0, 1, 2].map(|power| (1..=count).map(|n| (n as f64).ln().powi(power)).collect());
        let mut made: [Vec<f64>; 3] = Default::default();
        for (at, power) in powers.into_iter().enumerate() {
            let mut rest: Vec<f64> = power;
            made[..at].iter().for_each(|direction| take_off(&mut rest, direction));
            let len = dot(&rest, &rest).sqrt();
            rest.iter_mut().for_each(|value| *value /= len);
            made[at] = rest;
        }
        Basis(made)
    }

    /// What is left of values after the best quadratic.
    fn without(&self, mut values: Vec<f64>) -> Vec<f64> {
        self.0.iter().for_each(|direction| take_off(&mut values, direction));
        values
    }
}

fn take_off(values: &mut [f64], direction: &[f64]) {
    let along = dot(values, direction);
    values
        .iter_mut()
        .zip(direction)
        .for_each(|(value, part)| *value -= along * part);
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::string::GuitarString;
    use crate::setlist::Guitar;

    #[test]
    fn a_quadratic_in_ln_n_does_not_count() {
        let tilted: Vec<f64> = (1..=20)
            .map(|n| f64::from(n).ln())
            .map(|x| 3.0 - 2.0 * x + 0.7 * x * x)
            .collect();
        let left = Basis::new(20).without(tilted);
        assert!(left.iter().all(|left| left.abs() < 1e-9), "{left:?}");
    }

    /// The formula's own levels fit their own position best, and the free distance finds it.
    #[test]
    fn levels_made_by_the_formula_fit_where_they_were_made() {
        let instrument = Instrument::of(&Guitar::default());
        let place = Millimetres::new(98.0);
        let mut tally = Tally::new(&instrument);
        for (string, pluck) in GuitarString::all().zip([70.0, 90.0, 110.0, 130.0, 150.0, 170.0]) {
            let string = string.at_fret(2, instrument.scale);
            let pluck = Millimetres::new(pluck);
            let level = |n| depth(string.shape(n, place)) + depth(string.shape(n, pluck)) - 2.0 * f64::from(n).ln();
            let levels: Vec<f64> = (1..=16).map(level).collect();
            tally.add(&levels, &[string]);
        }
        let best = (0..6)
            .min_by(|a, b| tally.scores[*a].total_cmp(&tally.scores[*b]))
            .unwrap();
        assert_eq!(instrument.positions[best].name, "middle");
        assert!(tally.scores[best] < 1e-6 && tally.without_nulls > 1.0);
        let (mm, reach) = tally.distance_mm().unwrap();
        assert!((mm - 98.0).abs() < 0.1 && reach < 10.0, "{mm} {reach}");
    }
}
