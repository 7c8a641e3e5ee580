//! What a rendered note should measure, by the published formulas written down a second time, apart from the program.

use std::f64::consts::PI;

pub(crate) const SCALE_MM: f64 = 648.0;
pub(crate) const NECK: [f64; 1] = [162.0];
pub(crate) const MIDDLE: [f64; 1] = [98.0];
pub(crate) const BRIDGE: [f64; 1] = [41.0];

/// From A4 = 440, low E up.
pub(crate) const OPEN_HZ: [f64; 6] = [82.4069, 110.0, 146.8324, 195.9977, 246.9417, 329.6276];
const STIFFNESS: [f64; 6] = [1.4e-4, 6.9e-5, 5.6e-5, 1.2e-4, 4.2e-5, 1.4e-5];
const LOSS: [(f64, f64); 6] = [
    (0.03, 0.37),
    (0.05, 0.16),
    (0.04, 0.16),
    (0.09, 0.10),
    (0.10, 0.07),
    (0.12, 0.06),
];

pub(crate) fn length(fret: u8) -> f64 {
    SCALE_MM / 2_f64.powf(f64::from(fret) / 12.0)
}

pub(crate) fn partial_hz(string: usize, fret: u8, n: u32) -> f64 {
    let n = f64::from(n);
    let b = STIFFNESS[string] * 2_f64.powf(f64::from(fret) / 6.0);
    let f0 = OPEN_HZ[string] * 2_f64.powf(f64::from(fret) / 12.0);
    n * f0 * ((1.0 + b * n * n) / (1.0 + b)).sqrt()
}

pub(crate) fn t60_s(string: usize, hz: f64) -> f64 {
    let (still, per_khz) = LOSS[string];
    1.0 / (still + per_khz * hz / 1000.0)
}

/// The level of partial `n` but for what the pickups' places make of it.
pub(crate) fn all_but_places(string: usize, fret: u8, n: u32, pluck_mm: f64, coils: usize) -> f64 {
    let (order, l, hz) = (f64::from(n), length(fret), partial_hz(string, fret, n));
    let pick =
        (order * PI * pluck_mm / l).sin() / order * sinc(order * 4.0 / (2.0 * l)) / (1.0 + (hz / 2500.0).powi(2));
    pick * sinc(order * 18.0 / (2.0 * l)) * coil(hz, coils as f64)
}

/// What the places alone make of a partial whose index, counted on the open string, need not be whole.
pub(crate) fn places(index: f64, mm: &[f64]) -> f64 {
    let sum: f64 = mm.iter().map(|d| (index * PI * d / SCALE_MM).sin()).sum();
    sum / mm.len() as f64
}

/// The index on the open string of partial `n` at a fret: n L0/L.
pub(crate) fn open_index(fret: u8, n: u32) -> f64 {
    f64::from(n) * SCALE_MM / length(fret)
}

fn sinc(x: f64) -> f64 {
    (PI * x).sin() / (PI * x)
}

/// The divider of load and coil, in complex numbers written as pairs.
fn coil(hz: f64, k: f64) -> f64 {
    let w = 2.0 * PI * hz;
    let admittance = (1.0 / 111e3, w * (k * 100e-12 + 700e-12));
    let size = admittance.0 * admittance.0 + admittance.1 * admittance.1;
    let load = (admittance.0 / size, -admittance.1 / size);
    let whole = (load.0 + 6e3 / k, load.1 + w * 2.5 / k);
    load.0.hypot(load.1) / whole.0.hypot(whole.1)
}
