//! The sounds of the ear room, measured on rendered files and held against published physics.
//!
//! Source of every figure that is not said otherwise: an independent reference of the same formulas in another language,
//! which was itself checked against finite differences of a stiff string.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "tests read files and may fail"
)]

mod command;
mod expected;
mod level;
mod measure;
mod nulls;

use expected::{BRIDGE, MIDDLE, NECK, all_but_places, open_index, partial_hz, places, t60_s};
use measure::{Asked, Spectrum, cents, db, position, rendered, rendered_in_turn, window_sum};

const WINDOW_S: f64 = 0.4;

fn asked(string: usize, fret: u8, pluck_mm: f64) -> Asked {
    Asked {
        string,
        fret,
        pluck_mm,
        seconds: WINDOW_S,
    }
}

/// The six positions of the usual guitar: name and distances.
fn positions() -> [(&'static str, Vec<f64>); 6] {
    [
        ("neck", NECK.to_vec()),
        ("middle", MIDDLE.to_vec()),
        ("bridge", BRIDGE.to_vec()),
        ("neck+middle", [NECK, MIDDLE].concat()),
        ("middle+bridge", [MIDDLE, BRIDGE].concat()),
        ("neck+bridge", [NECK, BRIDGE].concat()),
    ]
}

/// Frets 0 to 12 with the capo on 0 to 7 are frets 0 to 19 from the nut.
#[test]
fn every_note_is_in_tune_within_a_cent() {
    for string in 0..6 {
        for fret in 0..20 {
            let spectrum = Spectrum::of(&rendered(asked(string, fret, 120.0), &position("neck")));
            let wanted = partial_hz(string, fret, 1);
            let off = cents(spectrum.peak(wanted, 15.0).0, wanted);
            assert!(off.abs() < 0.5, "string {string} fret {fret}: {off} cents");
        }
    }
}

#[test]
fn the_first_twelve_partials_have_the_levels_of_pick_pickup_and_coil() {
    for (name, mm) in positions() {
        for (string, fret) in [(0, 0), (1, 3), (2, 7), (3, 0), (4, 2), (5, 12)] {
            let samples = rendered(asked(string, fret, 113.0), &position(name));
            let spectrum = Spectrum::of(&samples);
            let rows: Vec<(u32, f64, f64)> = (1..=12)
                .map(|n| {
                    let hz = partial_hz(string, fret, n);
                    let amplitude = all_but_places(string, fret, n, 113.0, mm.len()) * places(open_index(fret, n), &mm);
                    let wanted = amplitude * window_sum(samples.len(), t60_s(string, hz));
                    (n, spectrum.peak(hz, 8.0).1, wanted.abs())
                })
                .collect();
            let strongest = *rows.iter().max_by(|a, b| a.2.total_cmp(&b.2)).unwrap();
            let loud = rows.iter().filter(|row| db(row.2 / strongest.2) > -40.0);
            for (n, measured, wanted) in loud {
                let off = db(measured / strongest.1) - db(wanted / strongest.2);
                assert!(
                    off.abs() < 0.1,
                    "{name}, string {string}, fret {fret}, partial {n}: {off} dB"
                );
            }
        }
    }
}

#[test]
fn the_partials_of_a_stiff_string_are_stretched() {
    for string in 0..6 {
        let spectrum = Spectrum::of(&rendered(asked(string, 0, 120.0), &position("bridge")));
        for n in [2, 5, 9, 12] {
            let wanted = partial_hz(string, 0, n);
            let off = cents(spectrum.peak(wanted, 10.0).0, wanted);
            assert!(off.abs() < 1.0, "string {string} partial {n}: {off} cents");
        }
    }
}

#[test]
fn an_open_string_at_the_neck_lacks_every_fourth_partial() {
    for string in 0..6 {
        let spectrum = Spectrum::of(&rendered(asked(string, 0, 120.0), &position("neck")));
        let level = |n| spectrum.peak(partial_hz(string, 0, n), 5.0).1;
        let strongest = (1..=12).map(level).fold(0.0, f64::max);
        for n in [4, 8, 12] {
            let under = db(level(n) / strongest);
            assert!(under < -50.0, "string {string} partial {n}: {under} dB");
        }
    }
}

#[test]
fn partials_die_away_in_their_time() {
    /// T60 in seconds of the first partial, and of the one nearest 1 kHz, low E up.
    const T60_S: [(f64, f64); 6] = [
        (16.5, 2.5),
        (14.8, 4.8),
        (15.8, 5.0),
        (9.1, 5.3),
        (8.5, 5.9),
        (7.2, 5.6),
    ];
    for (string, (first, at_1_khz)) in T60_S.into_iter().enumerate() {
        let long = Asked {
            seconds: 2.4,
            ..asked(string, 0, 110.0)
        };
        let samples = rendered(long, &position("bridge"));
        let half = samples.len() / 2;
        let (early, late) = (Spectrum::of(&samples[..half]), Spectrum::of(&samples[half..]));
        let near_1_khz = (1..40)
            .min_by(|a, b| {
                let off = |n| (partial_hz(string, 0, n) - 1000.0).abs();
                off(*a).total_cmp(&off(*b))
            })
            .unwrap();
        for (n, wanted) in [(1, first), (near_1_khz, at_1_khz)] {
            let hz = partial_hz(string, 0, n);
            let fallen = db(early.peak(hz, 8.0).1 / late.peak(hz, 8.0).1);
            let t60 = 60.0 / fallen * 1.2;
            assert!(
                (t60 / wanted - 1.0).abs() < 0.05,
                "string {string} partial {n}: {t60} s, not {wanted}"
            );
        }
    }
}

/// By power and not by amplitude, by which it would fail in some cases.
#[test]
fn at_the_onset_the_bridge_is_brighter_than_the_middle_and_that_than_the_neck() {
    let plucks: Vec<f64> = (80..=180).step_by(10).map(f64::from).collect();
    let mut cases = 0;
    for string in 0..6 {
        for fret in 0..5 {
            let onset = |pluck: &f64| Asked {
                seconds: 0.08,
                ..asked(string, fret, *pluck)
            };
            let onsets: Vec<Asked> = plucks.iter().map(onset).collect();
            let centroids = |name| -> Vec<f64> {
                let notes = rendered_in_turn(&onsets, &position(name));
                notes.iter().map(|note| Spectrum::of(note).centroid(8000.0)).collect()
            };
            let [neck, middle, bridge] = ["neck", "middle", "bridge"].map(centroids);
            for (at, pluck) in plucks.iter().enumerate() {
                let say = format!("string {string}, fret {fret}, pluck {pluck}");
                assert!(neck[at] < middle[at] && middle[at] < bridge[at], "{say}");
                cases += 1;
            }
        }
    }
    assert_eq!(cases, 330);
}
