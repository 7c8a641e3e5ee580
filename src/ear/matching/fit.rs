//! How well the levels of the notes' partials fit a pickup place, whatever the pick's: the pattern of nulls alone counts.
//!
//! What is the recording's own and no pickup's place is taken as it fits best: for each note the pick's place, the string
//! where two have its pitch, and a tilt; for all notes together the coil's resonance and how deep its nulls are.

use super::tilt::Basis;
use crate::ear::pickup::Position;
use crate::ear::string::Speaking;
use crate::ear::units::Millimetres;

/// What a note tells.
pub(super) struct Told {
    /// ln of the level of each partial, from the first on.
    pub(super) levels: Vec<f64>,
    /// Where it can have been played; at least one.
    pub(super) places: Vec<Speaking>,
}

/// How all notes together fit each position of an instrument.
pub(super) struct Fit {
    /// S: over the notes, the partials times the mean square; one for each position.
    pub(super) scores: Vec<f64>,
    /// The same without any pickup place.
    pub(super) without_nulls: f64,
    /// The same for a single pickup wherever it fits best.
    pub(super) single: f64,
    pub(super) partials: usize,
    /// Where a single pickup would fit best, in mm from the saddle, and how far either side it fits almost as well.
    pub(super) distance_mm: Option<(f64, f64)>,
    /// For each note the one of its places that fits best.
    pub(super) places: Vec<usize>,
}

/// What all notes of a recording went through.
#[derive(Clone, Copy)]
struct Voice {
    /// Where the coil's resonance lies, in Hz, and how sharp it is; none for a flat one.
    resonance: Option<(f64, f64)>,
    /// No null is deeper than this: a second polarisation, other strings and distortion fill it.
    deepest: f64,
}

/// A resonance of a coil on its cable, as a low pass of second order.
const RESONANCES_HZ: [f64; 4] = [2000.0, 2700.0, 3600.0, 4800.0];
const SHARPNESS: [f64; 3] = [0.7, 1.5, 3.0];
/// The first is for a pickup that lies on a string's node, as one at a quarter of the open string does: nothing fills that.
const DEEPEST: [f64; 4] = [0.01, 0.03, 0.08, 0.2];
/// Places where the pick may have struck, in mm: every other from here to there.
const PLUCKS: (u32, u32) = (30, 228);
/// Places where a single pickup may lie, in mm.
const PLACES: (u32, u32) = (25, 214);
/// A partial that does not fit counts no more than this.
const CLIP: f64 = 1.5;
/// The rise of the score at which the reach of the free distance ends.
const REACH: f64 = 2.0;

impl Fit {
    pub(super) fn of(notes: &[Told], positions: &[Position]) -> Fit {
        let on = |note: &Told| -> Vec<Vec<f64>> {
            let places = note.places.iter();
            places.map(|string| misfits(note, string, positions)).collect()
        };
        // For each note, each of its places, and each voice with each position.
        let notes_misfits: Vec<Vec<Vec<f64>>> = notes.iter().map(on).collect();
        let width = positions.len() + 1;
        // Each may have the string that fits it best: which it was is no more known than where the pick was.
        let of_note = |places: &Vec<Vec<f64>>, at: usize| least(places.iter().map(|misfits| misfits[at]));
        let sum = |at: usize| notes_misfits.iter().fold(0.0, |sum, places| sum + of_note(places, at));
        let sums: Vec<f64> = (0..Voice::all().count() * width).map(sum).collect();
        let over_voices = |position: usize| least(sums.iter().copied().skip(position).step_by(width));
        let named = (0..sums.len()).filter(|at| at % width < positions.len());
        let best = named.min_by(|a, b| sums[*a].total_cmp(&sums[*b])).unwrap_or(0);
        let place = |places: &Vec<Vec<f64>>| {
            let order = |a: &usize, b: &usize| places[*a][best].total_cmp(&places[*b][best]);
            (0..places.len()).min_by(order).unwrap_or(0)
        };
        let mut fit = Fit {
            scores: (0..positions.len()).map(over_voices).collect(),
            without_nulls: over_voices(positions.len()),
            single: f64::INFINITY,
            partials: notes.iter().map(|note| note.levels.len()).sum(),
            distance_mm: None,
            places: notes_misfits.iter().map(place).collect(),
        };
        if let Some(voice) = Voice::all().nth(best / width).filter(|_| !notes.is_empty()) {
            fit.free(notes, voice);
        }
        fit
    }

    /// Finds where a single pickup fits best through this voice.
    fn free(&mut self, notes: &[Told], voice: Voice) {
        let mm: Vec<f64> = distances().map(Millimetres::mm).collect();
        let mut sums = vec![0.0; mm.len()];
        for note in notes {
            let on = |string: &Speaking| -> Vec<f64> {
                let patterns = Patterns::new(string, note.levels.len(), voice.deepest);
                let heard = patterns.basis.without(voice.through(&note.levels, string));
                let places = distances().map(|place| patterns.of(&|n| string.shape(n, place)));
                places.map(|place| patterns.misfit(&heard, &place)).collect()
            };
            let strings: Vec<Vec<f64>> = note.places.iter().map(on).collect();
            let sums = sums.iter_mut().enumerate();
            sums.for_each(|(at, sum)| *sum += least(strings.iter().map(|misfits| misfits[at])));
        }
        let Some(best) = (0..mm.len()).min_by(|a, b| sums[*a].total_cmp(&sums[*b])) else {
            return;
        };
        let near = |at: &usize| sums[*at] <= sums[best] + REACH;
        let low = (0..=best).rev().take_while(near).last().unwrap_or(best);
        let high = (best..mm.len()).take_while(near).last().unwrap_or(best);
        self.single = sums[best];
        self.distance_mm = Some((mm[best], ((mm[high] - mm[low]) / 2.0).max(0.5)));
    }
}

/// How badly a note on this string fits through each voice, there each position and then no pickup place: its partials
/// times the mean square, with the pick where that is least.
fn misfits(note: &Told, string: &Speaking, positions: &[Position]) -> Vec<f64> {
    let mut all = Vec::new();
    for deepest in DEEPEST {
        let patterns = Patterns::new(string, note.levels.len(), deepest);
        let positions = positions
            .iter()
            .map(|position| patterns.of(&|n| position.comb(n, string)));
        let places: Vec<Vec<f64>> = positions.chain([vec![0.0; note.levels.len()]]).collect();
        for voice in Voice::all().filter(|voice| voice.deepest == deepest) {
            let heard = patterns.basis.without(voice.through(&note.levels, string));
            all.extend(places.iter().map(|place| patterns.misfit(&heard, place)));
        }
    }
    all
}

impl Voice {
    fn all() -> impl Iterator<Item = Voice> {
        let resonances = || {
            let sharp = |hz| SHARPNESS.into_iter().map(move |q| Some((hz, q)));
            [None].into_iter().chain(RESONANCES_HZ.into_iter().flat_map(sharp))
        };
        let voices = move |deepest| resonances().map(move |resonance| Voice { resonance, deepest });
        DEEPEST.into_iter().flat_map(voices)
    }

    /// The levels of a string's partials as they were before the coil.
    fn through(self, levels: &[f64], string: &Speaking) -> Vec<f64> {
        let gain = |n: u32| match self.resonance {
            None => 0.0,
            Some((hz, q)) => {
                let x = string.partial(n).hz() / hz;
                -0.5 * ((1.0 - x * x).powi(2) + (x / q).powi(2)).ln()
            }
        };
        (1..).zip(levels).map(|(n, level)| level - gain(n)).collect()
    }
}

/// What the pick can make of a note's partials.
struct Patterns {
    basis: Basis,
    plucked: Vec<Vec<f64>>,
    deepest: f64,
}

impl Patterns {
    fn new(string: &Speaking, partials: usize, deepest: f64) -> Patterns {
        let mut patterns = Patterns {
            basis: Basis::new(partials),
            plucked: Vec::new(),
            deepest,
        };
        let plucked = plucks().map(|place| patterns.of(&|n| string.shape(n, place))).collect();
        patterns.plucked = plucked;
        patterns
    }

    /// The pattern of a comb: ½ ln(s² + ε²), the logarithm of a level that no null makes endless, without its tilt.
    fn of(&self, comb: &dyn Fn(u32) -> f64) -> Vec<f64> {
        let depth = |n| 0.5 * (comb(n).powi(2) + self.deepest.powi(2)).ln();
        let partials = self.basis.len() as u32;
        self.basis.without((1..=partials).map(depth).collect())
    }

    /// The sum of the squares that are left of what was heard, with the pick where it is least.
    fn misfit(&self, heard: &[f64], place: &[f64]) -> f64 {
        let left: Vec<f64> = heard.iter().zip(place).map(|(heard, place)| heard - place).collect();
        let mut least = f64::INFINITY;
        for pick in &self.plucked {
            let mut sum = 0.0;
            for (left, pick) in left.iter().zip(pick) {
                let off = (left - pick).clamp(-CLIP, CLIP);
                sum += off * off;
                if sum >= least {
                    break;
                }
            }
            least = least.min(sum);
        }
        least
    }
}

fn least(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(f64::INFINITY, f64::min)
}

fn plucks() -> impl Iterator<Item = Millimetres> {
    (PLUCKS.0..=PLUCKS.1)
        .step_by(2)
        .map(|mm| Millimetres::new(f64::from(mm)))
}

fn distances() -> impl Iterator<Item = Millimetres> {
    (PLACES.0..=PLACES.1).map(|mm| Millimetres::new(f64::from(mm)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::pickup::Instrument;
    use crate::ear::string::GuitarString;
    use crate::setlist::Guitar;

    /// The formula's own levels fit their own position best, and the free distance finds it.
    #[test]
    fn levels_made_by_the_formula_fit_where_they_were_made() {
        let instrument = Instrument::of(&Guitar::default());
        let place = Millimetres::new(98.0);
        let mut notes = Vec::new();
        for (string, pluck) in GuitarString::all().zip([70.0, 90.0, 110.0, 130.0, 150.0, 170.0]) {
            let string = string.at_fret(2, instrument.scale);
            let pluck = Millimetres::new(pluck);
            let depth = |s: f64| 0.5 * (s * s + DEEPEST[0] * DEEPEST[0]).ln();
            let level = |n| depth(string.shape(n, place)) + depth(string.shape(n, pluck)) - 2.0 * f64::from(n).ln();
            let levels: Vec<f64> = (1..=16).map(level).collect();
            notes.push(Told {
                levels,
                places: vec![string],
            });
        }
        let fit = Fit::of(&notes, &instrument.positions);
        let best = (0..6).min_by(|a, b| fit.scores[*a].total_cmp(&fit.scores[*b])).unwrap();
        assert_eq!(instrument.positions[best].name, "middle");
        assert!(fit.scores[best] < 1e-6 && fit.without_nulls > 1.0);
        let (mm, reach) = fit.distance_mm.unwrap();
        assert!((mm - 98.0).abs() < 0.1 && reach < 10.0, "{mm} {reach}");
    }
}
