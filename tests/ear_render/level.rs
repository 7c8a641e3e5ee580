//! The level of what is rendered.

use footlights::ear::{Sound, loudness};
use std::f64::consts::PI;

/// Decaying sines, added up: amplitude, frequency, decay in 1/s.
fn tones(rate: u32, seconds: f64, parts: &[(f64, f64, f64)]) -> Sound {
    let sample = |at: usize| {
        let t = at as f64 / f64::from(rate);
        let part =
            |&(amplitude, hz, decay): &(f64, f64, f64)| amplitude * (2.0 * PI * hz * t).sin() * (-decay * t).exp();
        parts.iter().map(part).sum()
    };
    let samples = (0..(seconds * f64::from(rate)) as usize).map(sample).collect();
    Sound { rate, samples }
}

/// Source: pyloudnorm 0.2.0, filters `DeMan`.
#[test]
fn loudness_is_that_of_another_meter() {
    let sine = &[(1.0, 997.0, 0.0)][..];
    let fading = &[(0.5, 110.0, 1.5), (0.3, 2200.0, 3.0), (0.05, 7000.0, 0.0)];
    let low = &[(0.2, 82.4, 0.7)];
    for (rate, seconds, parts, lufs) in [
        (48_000, 4.0, sine, -3.010_270),
        (48_000, 4.0, fading, -20.087_794),
        (48_000, 3.0, low, -25.902_611),
        (44_100, 4.0, sine, -3.007_508),
        (44_100, 4.0, fading, -20.083_624),
        (96_000, 4.0, fading, -20.110_870),
        (96_000, 3.0, low, -25.924_276),
    ] {
        let found = loudness(&tones(rate, seconds, parts)).unwrap();
        assert!((found - lufs).abs() < 0.001, "{rate}, {parts:?}: {found}, not {lufs}");
    }
}
