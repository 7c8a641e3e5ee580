//! Where notes begin and end in a recording.

use crate::ear::sound::Sound;
use std::ops::Range;

/// Levels are taken over so long: two periods of the low E.
const FRAME_S: f64 = 0.025;
const HOP_S: f64 = 0.005;
/// A pluck raises the level by so much (in dB) within so many hops.
const RISE_DB: f64 = 6.0;
const RISE_HOPS: usize = 7;
/// No two plucks follow each other faster.
const APART_S: f64 = 0.08;
/// A note is over when it has fallen so far under its own highest level (in dB).
const OVER_DB: f64 = 40.0;
/// What never comes nearer than this to the loudest note (in dB) is no note.
const FAINT_DB: f64 = 40.0;
/// The part of the first swing's height at which a note is taken to begin.
const BEGINS: f64 = 0.2;

/// The spans of the notes, as samples: from a pluck to the next, or to where it has died away.
pub(super) fn notes(sound: &Sound) -> Vec<Range<usize>> {
    let levels = levels(sound);
    let highest = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    // Full scale is 0: what lies under -90 is the recorder's own hiss.
    let floor = (highest - FAINT_DB).max(-90.0);
    let hop = |seconds: f64| (seconds / HOP_S).round() as usize;
    let mut onsets: Vec<usize> = Vec::new();
    for at in 0..levels.len() {
        let before = &levels[at.saturating_sub(RISE_HOPS)..at];
        // Before the file begins there is silence.
        let low = before
            .iter()
            .copied()
            .fold(if at < RISE_HOPS { -120.0 } else { f64::INFINITY }, f64::min);
        let rises = levels[at] > floor && levels[at] - low.max(floor - RISE_DB) >= RISE_DB;
        let apart = onsets.last().is_none_or(|last| at - last >= hop(APART_S));
        if rises && apart {
            onsets.push(at);
        }
    }
    let spans = onsets.iter().enumerate().map(|(place, &onset)| {
        let next = onsets.get(place + 1).copied().unwrap_or(levels.len());
        let end = end(&levels, onset..next, floor);
        let samples = |hops: usize| (hops as f64 * HOP_S * f64::from(sound.rate)).round() as usize;
        begin(sound, samples(onset))..samples(end).min(sound.samples.len())
    });
    spans.filter(|span| span.start < span.end).collect()
}

/// The level of each hop's frame, which is centred on it, in dB under full scale.
fn levels(sound: &Sound) -> Vec<f64> {
    let rate = f64::from(sound.rate);
    let half = (FRAME_S * rate / 2.0) as usize;
    let hops = (sound.seconds() / HOP_S) as usize;
    let level = |hop: usize| {
        let middle = (hop as f64 * HOP_S * rate) as usize;
        let range = middle.saturating_sub(half)..(middle + half).min(sound.samples.len());
        let power: f64 = sound.samples[range].iter().map(|sample| sample * sample).sum();
        10.0 * (power / (2.0 * half as f64) + 1e-12).log10()
    };
    (0..hops).map(level).collect()
}

/// The hop at which a note is over.
fn end(levels: &[f64], span: Range<usize>, floor: f64) -> usize {
    let highest = levels[span.clone()].iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (start, last) = (span.start, span.end);
    let top = (start..last).find(|&at| levels[at] == highest).unwrap_or(start);
    let over = (top..last).find(|&at| levels[at] < (highest - OVER_DB).max(floor));
    over.unwrap_or(last)
}

/// The sample at which the pluck near a hop begins.
fn begin(sound: &Sound, near: usize) -> usize {
    let reach = |seconds: f64| (seconds * f64::from(sound.rate)) as usize;
    let range = near.saturating_sub(reach(0.02))..(near + reach(0.03)).min(sound.samples.len());
    let part = &sound.samples[range.clone()];
    let highest = part.iter().fold(0.0_f64, |highest, sample| sample.abs().max(highest));
    let first = part.iter().position(|sample| sample.abs() >= BEGINS * highest);
    range.start + first.unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Plucks at these times, which fall by `fall_db` a second.
    fn plucks(starts_s: &[f64], fall_db: f64, seconds: f64) -> Sound {
        let rate = 44_100;
        let sample = |at: usize| {
            let t = at as f64 / f64::from(rate);
            let last = starts_s.iter().rev().find(|start| **start <= t);
            last.map_or(0.0, |start| {
                let t = t - start;
                0.5 * (2.0 * PI * 110.0 * t).sin() * 10_f64.powf(-fall_db * t / 20.0)
            })
        };
        let samples = (0..(seconds * f64::from(rate)) as usize).map(sample).collect();
        Sound { rate, samples }
    }

    #[test]
    fn each_pluck_begins_a_note_that_ends_with_the_next_or_dies_away() {
        for (starts, fall_db, ends) in [
            (&[0.0][..], 20.0, &[2.0][..]),
            (&[0.3, 0.9, 1.4], 30.0, &[0.9, 1.4, 2.0]),
            (&[0.3, 1.2], 80.0, &[0.8, 1.7]),
        ] {
            let spans = notes(&plucks(starts, fall_db, 2.0));
            assert_eq!(spans.len(), starts.len(), "{starts:?}: {spans:?}");
            for ((span, start), end) in spans.iter().zip(starts).zip(ends) {
                let found = [span.start, span.end].map(|at| at as f64 / 44_100.0);
                assert!((found[0] - start).abs() < 0.005, "{starts:?}: {found:?}");
                assert!((found[1] - end).abs() < 0.04, "{starts:?}: {found:?}");
            }
        }
    }

    #[test]
    fn silence_has_no_notes() {
        for samples in [vec![0.0; 44_100], vec![1e-6; 44_100], Vec::new(), vec![0.5; 3]] {
            let len = samples.len();
            assert_eq!(notes(&Sound { rate: 44_100, samples }), [], "{len} samples");
        }
    }
}
