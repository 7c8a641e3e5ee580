//! The voice of a plucked string at a pickup: a sum of decaying partials, each a phasor that turns.

use crate::ear::pickup::Position;
use crate::ear::pluck::Pluck;
use crate::ear::string::{Damping, Speaking};
use std::f64::consts::PI;

/// One partial at one rate: a phasor that turns and shrinks from sample to sample.
struct Partial {
    amplitude: f64,
    /// The turn of one sample, in radians.
    turn: f64,
    /// What one sample leaves of the amplitude.
    shrink: f64,
}

/// Partials go up to this part of the rate.
const HIGHEST: f64 = 0.45;
/// What lies this far under the strongest partial is left out: -120 dB.
const FAINTEST: f64 = 1e-6;
/// 60 dB in nepers: ln 1000.
const SIXTY_DB: f64 = 6.907_755_278_982_137;
/// Samples that are made of one table of turns. Longer tables fall out of the nearest memory.
const BLOCK: usize = 64;

/// Adds to `out` what a position hears of a pluck:
/// y(t) = Σ |A_n| e^(-6.9078 t/T60(f_n)) sin(2π f_n t + arg A_n), where A_n is real, so that every partial starts at
/// zero.
pub(crate) fn sing(
    string: &Speaking,
    damping: Damping,
    pluck: &Pluck,
    position: &Position,
    rate: u32,
    out: &mut [f64],
) {
    let partials = partials(string, damping, pluck, position, rate);
    let strongest = partials
        .iter()
        .fold(0.0_f64, |most, partial| most.max(partial.amplitude.abs()));
    for partial in partials {
        if partial.amplitude.abs() > strongest * FAINTEST {
            turn(&partial, strongest * FAINTEST, out);
        }
    }
}

fn partials(string: &Speaking, damping: Damping, pluck: &Pluck, position: &Position, rate: u32) -> Vec<Partial> {
    let rate = f64::from(rate);
    let all = (1..).map(|n| (n, string.partial(n)));
    let below = all.take_while(|(_, frequency)| frequency.hz() < HIGHEST * rate);
    below
        .map(|(n, frequency)| Partial {
            amplitude: pluck.partial(n, string) * position.hears(n, string),
            turn: 2.0 * PI * frequency.hz() / rate,
            shrink: (-SIXTY_DB / (string.t60_s(frequency, damping) * rate)).exp(),
        })
        .collect()
}

/// Adds one partial until it is fainter than `least`. The phasor takes a whole block at a step; within the block a table
/// of turns does, so that a sample costs two products.
fn turn(partial: &Partial, least: f64, out: &mut [f64]) {
    let (mut re, mut im) = ([0.0; BLOCK], [0.0; BLOCK]);
    let step = (partial.shrink * partial.turn.cos(), partial.shrink * partial.turn.sin());
    let mut at = (1.0, 0.0);
    for (re, im) in re.iter_mut().zip(&mut im) {
        (*re, *im) = at;
        at = product(at, step);
    }
    let block = at;
    let mut phasor = (partial.amplitude, 0.0);
    for chunk in out.chunks_mut(BLOCK) {
        for ((sample, re), im) in chunk.iter_mut().zip(&re).zip(&im) {
            *sample += phasor.0 * im + phasor.1 * re;
        }
        phasor = product(phasor, block);
        if phasor.0.hypot(phasor.1) < least {
            return;
        }
    }
}

fn product(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}
