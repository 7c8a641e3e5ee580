//! A string of another kind than the program's: finite differences of the stiff string's equation, read at the pickups'
//! places, through a coil, a tone and a noise that are nobody's settings.
//!
//! Source: the explicit scheme for a stiff string with two losses in S. Bilbao, "Numerical sound synthesis", 2009,
//! chapter 7 (from memory).

use std::f64::consts::PI;

/// How one note is played, and through what.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Played {
    pub(crate) open_hz: f64,
    pub(crate) fret: u8,
    pub(crate) pluck_mm: f64,
    /// Half of the width over which the pick rounds the string.
    pub(crate) round_mm: f64,
    pub(crate) stiffness: f64,
    /// In which seconds the lowest partials fall by 60 dB, and those at 2 kHz.
    pub(crate) t60_s: f64,
    pub(crate) t60_2khz_s: f64,
}

/// What the signal goes through behind the string.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Through {
    pub(crate) coil_hz: f64,
    pub(crate) coil_q: f64,
    /// How far under the loudest sample the hiss lies.
    pub(crate) noise_db: f64,
}

/// A generator of numbers by chance: xorshift64* (S. Vigna, 2016, from memory).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        least + (most - least) * bits as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.between(0.0, count as f64) as usize).min(count - 1)
    }
}

pub(crate) const SCALE_MM: f64 = 648.0;

/// The velocity of the string at each of `places_mm`, `seconds` long, at `rate`.
pub(crate) fn velocities(played: &Played, places_mm: &[f64], seconds: f64, rate: f64) -> Vec<Vec<f64>> {
    let length = SCALE_MM / 2_f64.powf(f64::from(played.fret) / 12.0);
    let f0 = played.open_hz * 2_f64.powf(f64::from(played.fret) / 12.0);
    let k = 1.0 / rate;
    // Lengths in strings: the speed is then 2 f0 strings a second. Stiffness lifts the first partial a little.
    let c = 2.0 * f0 / (1.0 + played.stiffness).sqrt();
    let kappa = played.stiffness.sqrt() * c / PI;
    let sigma = |t60: f64| 3.0 * 10_f64.ln() / t60;
    let omega = 2.0 * PI * 2000.0;
    let s0 = sigma(played.t60_s);
    let s1 = (sigma(played.t60_2khz_s) - s0).max(0.0) * (c / omega).powi(2);
    let near = c * c * k * k + 4.0 * s1 * k;
    let least = ((near + (near * near + 16.0 * kappa * kappa * k * k).sqrt()) / 2.0).sqrt();
    let count = (1.0 / least).floor() as usize;
    let h = 1.0 / count as f64;
    let (lambda2, mu2) = ((c * k / h).powi(2), (kappa * k / (h * h)).powi(2));
    let loss = 2.0 * s1 * k / (h * h);
    let mut now = triangle(count, played.pluck_mm / length, played.round_mm / length);
    let mut before = now.clone();
    let mut next = now.clone();
    // Two points beyond each end, which mirror the string: it is held, but free to tilt.
    let readers: Vec<(usize, [f64; 4])> = places_mm.iter().map(|mm| reader(mm / length, count)).collect();
    let mut out = vec![Vec::new(); places_mm.len()];
    for _ in 0..(seconds * rate) as usize {
        let n = now.len();
        now[1] = -now[3];
        now[n - 2] = -now[n - 4];
        before[1] = -before[3];
        before[n - 2] = -before[n - 4];
        for i in 3..n - 3 {
            let bend = now[i + 1] - 2.0 * now[i] + now[i - 1];
            let bend_before = before[i + 1] - 2.0 * before[i] + before[i - 1];
            let stiff = now[i + 2] - 4.0 * now[i + 1] + 6.0 * now[i] - 4.0 * now[i - 1] + now[i - 2];
            next[i] = (2.0 * now[i] - before[i] + lambda2 * bend - mu2 * stiff
                + s0 * k * before[i]
                + loss * (bend - bend_before))
                / (1.0 + s0 * k);
        }
        for (out, (at, weights)) in out.iter_mut().zip(&readers) {
            let moved = |u: &[f64]| -> f64 { weights.iter().zip(&u[*at..]).map(|(weight, u)| weight * u).sum() };
            out.push((moved(&next) - moved(&now)) * rate);
        }
        (before, now, next) = (now, next, before);
    }
    out
}

/// The string as the pick lets it go: a triangle, its corner rounded. Index 2 is the saddle.
fn triangle(count: usize, pluck: f64, round: f64) -> Vec<f64> {
    let height = |x: f64| {
        if x < pluck {
            x / pluck
        } else {
            (1.0 - x) / (1.0 - pluck)
        }
    };
    let mut u = vec![0.0; count + 5];
    for i in 1..count {
        let x = i as f64 / count as f64;
        let steps = (-4..=4).map(|step| height((x + round * f64::from(step) / 4.0).clamp(0.0, 1.0)));
        u[i + 2] = 1e-3 * steps.sum::<f64>() / 9.0;
    }
    u
}

/// Reads between points by the cubic through four of them.
fn reader(place: f64, count: usize) -> (usize, [f64; 4]) {
    let exact = place * count as f64 + 2.0;
    let at = exact.floor();
    let t = exact - at;
    let weights = [
        -t * (t - 1.0) * (t - 2.0) / 6.0,
        (t + 1.0) * (t - 1.0) * (t - 2.0) / 2.0,
        -(t + 1.0) * t * (t - 2.0) / 2.0,
        (t + 1.0) * t * (t - 1.0) / 6.0,
    ];
    (at as usize - 1, weights)
}

/// The signal behind coil, tone and hiss; its peak is a half.
pub(crate) fn through(signal: &[f64], through: &Through, rate: f64, dice: &mut Dice) -> Vec<f64> {
    // A resonant low pass of second order (R. Bristow-Johnson's cookbook, from memory).
    let w = 2.0 * PI * through.coil_hz / rate;
    let alpha = w.sin() / (2.0 * through.coil_q);
    let (a0, a1, a2) = (1.0 + alpha, -2.0 * w.cos(), 1.0 - alpha);
    let (b0, b1) = ((1.0 - w.cos()) / 2.0, 1.0 - w.cos());
    let mut state = [0.0; 4];
    let mut out: Vec<f64> = Vec::with_capacity(signal.len());
    for &x in signal {
        let y = (b0 * x + b1 * state[0] + b0 * state[1] - a1 * state[2] - a2 * state[3]) / a0;
        state = [x, state[0], y, state[2]];
        out.push(y);
    }
    let peak = out.iter().fold(0.0_f64, |peak, y| y.abs().max(peak));
    let hiss = 10_f64.powf(-through.noise_db / 20.0);
    out.iter_mut()
        .for_each(|y| *y = 0.5 * (*y / peak + hiss * dice.between(-1.0, 1.0)));
    out
}
