//! Where the pickups hear nothing: the nulls, found in rendered files.

use crate::asked;
use crate::expected::{self, OPEN_HZ, SCALE_MM, all_but_places, open_index, partial_hz, t60_s};
use crate::measure::{Spectrum, position, rendered, window_sum};
use std::f64::consts::PI;

/// What the places of a position's pickups leave of each partial, measured: its index on the open string, and |S| in a
/// measure of its own. All else is taken off by formula.
fn comb(name: &str, coils: usize, string: usize, frets: std::ops::Range<u8>) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    for fret in frets {
        let pluck = 37.0;
        let samples = rendered(asked(string, fret, pluck), &position(name));
        let spectrum = Spectrum::of(&samples);
        // One note's measure is not the next one's: the first partial of each ties it to the formula.
        let measured = |n: u32| {
            let hz = partial_hz(string, fret, n);
            let rest = all_but_places(string, fret, n, pluck, coils) * window_sum(samples.len(), t60_s(string, hz));
            spectrum.peak(hz, 5.0).1 / rest.abs()
        };
        let mm: Vec<f64> = position(name).places().iter().map(|place| place.mm()).collect();
        let tie = expected::places(open_index(fret, 1), &mm).abs() / measured(1);
        points.extend((1..=14).map(|n| (open_index(fret, n), measured(n) * tie)));
    }
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points
}

/// The index at which the points near a null change sides: |S| has no sign, so each place for the change is tried, and the
/// one that makes the smoothest curve is taken.
fn null_near(points: &[(f64, f64)], index: f64) -> f64 {
    let near: Vec<_> = points
        .iter()
        .filter(|point| (point.0 / index - 1.0).abs() < 0.09)
        .collect();
    let curve = |change: usize| {
        let signed = near.iter().enumerate().map(|(at, point)| {
            let sign = if at < change { 1.0 } else { -1.0 };
            (point.0 - index, sign * point.1)
        });
        parabola(&signed.collect::<Vec<_>>())
    };
    let curves = (1..near.len()).map(curve);
    let (_, [c, b, a]) = curves.min_by(|one, other| one.0.total_cmp(&other.0)).unwrap();
    // The nearer of the two roots.
    index - 2.0 * c / (b + b.signum() * (b * b - 4.0 * a * c).sqrt())
}

/// The parabola c + bx + ax² of the least squares, and what they come to.
fn parabola(points: &[(f64, f64)]) -> (f64, [f64; 3]) {
    let mut m = [[0.0; 4]; 3];
    for &(x, y) in points {
        let row = [1.0, x, x * x];
        for i in 0..3 {
            (0..3).for_each(|j| m[i][j] += row[i] * row[j]);
            m[i][3] += row[i] * y;
        }
    }
    for i in 0..3 {
        for other in (0..3).filter(|other| *other != i) {
            let factor = m[other][i] / m[i][i];
            (0..4).for_each(|j| m[other][j] -= factor * m[i][j]);
        }
    }
    let [c, b, a] = [0, 1, 2].map(|i| m[i][3] / m[i][i]);
    let off = |&(x, y): &(f64, f64)| (c + b * x + a * x * x - y).powi(2);
    (points.iter().map(off).sum(), [c, b, a])
}

/// Whatever the fret, a null keeps its place on the string and thereby its frequency: notes at twenty frets show one.
#[test]
fn the_nulls_lie_where_the_geometry_puts_them_whatever_the_fret() {
    for (name, coils, indices) in [
        ("neck", 1, &[4.0][..]),
        ("middle", 1, &[6.6122]),
        ("bridge", 1, &[15.8049]),
        ("neck+middle", 2, &[4.985]),
        ("middle+bridge", 2, &[9.324, 11.368]),
        ("neck+bridge", 2, &[5.355, 6.384]),
    ] {
        let points = comb(name, coils, 2, 0..20);
        for &index in indices {
            let found = null_near(&points, index);
            assert!(
                (found / index - 1.0).abs() < 0.01,
                "{name}: a null at {found}, not at {index}"
            );
        }
    }
}

/// Their frequencies on the open strings, stiffness left out, low E up.
#[test]
fn the_nulls_have_the_frequencies_of_the_table() {
    const HZ: [(&str, [f64; 6]); 3] = [
        ("neck", [329.6, 440.0, 587.3, 784.0, 987.8, 1318.5]),
        ("middle", [544.9, 727.3, 970.9, 1296.0, 1632.8, 2179.6]),
        ("bridge", [1302.4, 1738.5, 2320.7, 3097.7, 3902.9, 5209.7]),
    ];
    for (name, hz) in HZ {
        for string in [0, 3, 5] {
            let found = SCALE_MM / read_back(name, string) * OPEN_HZ[string];
            assert!(
                (found / hz[string] - 1.0).abs() < 0.01,
                "{name}, string {string}: {found} Hz"
            );
        }
    }
}

/// Three notes, their plucks known: the distance at which the formula fits best.
fn read_back(name: &str, string: usize) -> f64 {
    let mut notes = Vec::new();
    for (fret, pluck) in [(0, 95.0), (2, 120.0), (4, 140.0)] {
        let samples = rendered(asked(string, fret, pluck), &position(name));
        let spectrum = Spectrum::of(&samples);
        let logs = (1..=14).map(|n| {
            let hz = partial_hz(string, fret, n);
            let rest = all_but_places(string, fret, n, pluck, 1) * window_sum(samples.len(), t60_s(string, hz));
            (open_index(fret, n), (spectrum.peak(hz, 5.0).1 / rest.abs()).ln())
        });
        notes.push(logs.filter(|(_, log)| log.is_finite()).collect::<Vec<_>>());
    }
    let misfit = |mm: f64| -> f64 {
        let of_note = |note: &Vec<(f64, f64)>| {
            let log = |index: f64| ((index * PI * mm / SCALE_MM).sin().powi(2) + 1e-4).ln() / 2.0;
            let off: Vec<f64> = note.iter().map(|&(index, measured)| measured - log(index)).collect();
            let mean = off.iter().sum::<f64>() / off.len() as f64;
            off.iter().map(|off| (off - mean).powi(2).min(1.0)).sum::<f64>()
        };
        notes.iter().map(of_note).sum()
    };
    let tenths = (250..2100).map(|tenth| f64::from(tenth) / 10.0);
    tenths.min_by(|a, b| misfit(*a).total_cmp(&misfit(*b))).unwrap()
}

#[test]
fn a_pickups_distance_is_read_back_within_three_millimetres() {
    for (name, mm) in [("neck", 162.0), ("middle", 98.0), ("bridge", 41.0)] {
        for string in 0..6 {
            let found = read_back(name, string);
            assert!((found - mm).abs() < 1.0, "{name}, string {string}: {found} mm");
        }
    }
}

#[test]
fn the_levels_of_the_open_string_are_those_of_the_table() {
    const ROOT: f64 = std::f64::consts::FRAC_1_SQRT_2;
    for (name, coils, table) in [
        ("neck", 1, &[ROOT, 1.0, ROOT, 0.0, ROOT, 1.0, ROOT, 0.0][..]),
        (
            "middle",
            1,
            &[0.4574, 0.8136, 0.9894, 0.9461, 0.6933, 0.2868, 0.1832, 0.6126],
        ),
        (
            "bridge",
            1,
            &[0.1975, 0.3872, 0.5616, 0.7139, 0.8381, 0.9293, 0.9840, 0.9998],
        ),
        ("neck+middle", 2, &[0.5823, 0.9068, 0.8483, 0.4731, 0.0069, 0.3566]),
    ] {
        let points = comb(name, coils, 1, 0..1);
        for ((n, found), wanted) in points.iter().zip(table) {
            assert!(
                (found - wanted).abs() < 0.006,
                "{name}, partial {n}: {found}, not {wanted}"
            );
        }
    }
}
