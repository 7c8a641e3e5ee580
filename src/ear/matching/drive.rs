//! How hard an amplifier was driven, and a recording as it was before.
//!
//! A string's partials are stretched by its stiffness; what a bent curve adds to them lies beside. So the curve that, bent
//! back, leaves the least beside the partials is the one the recording went through, whatever the pickup. The curve is
//! tanh, the usual model of a soft clipper (J. Pakarinen and D. Yeh, "A review of digital techniques for modeling
//! vacuum-tube guitar amplifiers", Computer Music Journal 33(2), 2009; from memory).

use super::partials::Stretch;
use crate::ear::sound::Sound;
use std::ops::Range;

/// What stands in tanh at the highest peak. With more, sixteen bits keep nothing of the peaks.
const DRIVES: [f64; 11] = [0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0];
/// A recording counts as driven where bending back takes away so much of what lies beside, in nepers of energy.
const CLEARLY: f64 = 0.1;
/// Less beside the partials than this part of the energy is nothing.
const NOTHING: f64 = 1e-6;

/// The recording as it went into the amplifier, or none where it seems to have gone through nothing bent.
pub(super) fn before(sound: &Sound, notes: &[Range<usize>]) -> Option<Sound> {
    let peak = sound
        .samples
        .iter()
        .fold(0.0_f64, |peak, sample| sample.abs().max(peak));
    let notes: Vec<Stretch> = notes.iter().filter_map(|note| Stretch::of(sound, note).ok()).collect();
    let beside = |bend: &dyn Fn(&[f64]) -> Vec<f64>| -> f64 {
        let parts = notes
            .iter()
            .map(|note| note.beside(&bend(note.samples)).max(NOTHING).ln());
        parts.sum::<f64>() / notes.len() as f64
    };
    let tries = DRIVES.map(|drive| (beside(&|samples| bent_back(samples, peak, drive)), drive));
    let (least, drive) = tries.into_iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
    (least < beside(&<[f64]>::to_vec) - CLEARLY).then(|| Sound {
        rate: sound.rate,
        samples: bent_back(&sound.samples, peak, drive),
    })
}

fn bent_back(samples: &[f64], peak: f64, drive: f64) -> Vec<f64> {
    let scale = drive.tanh() / peak;
    samples.iter().map(|sample| (sample * scale).atanh() / drive).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A stiff string twice, one after the other, where every fourth partial is in a null; its partials do not peak together.
    fn notes() -> (Sound, [Range<usize>; 2]) {
        let partial = |n: f64, at: f64| {
            let hz = n * 82.4 * (1.0 + 1.4e-4 * n * n).sqrt();
            (n * PI / 4.0).sin() / n * (2.0 * PI * hz * at + n * n).sin() * (-0.2 * n * at).exp()
        };
        let sample = |at: u32| {
            (1..=24)
                .map(|n| partial(f64::from(n), f64::from(at) / 48e3))
                .sum::<f64>()
        };
        let note: Vec<f64> = (0..24_000).map(sample).collect();
        let samples = [note.clone(), note].concat();
        let sound = Sound { rate: 48_000, samples };
        (sound, [0..24_000, 24_000..48_000])
    }

    fn driven(sound: &Sound, drive: f64) -> Sound {
        let peak = sound
            .samples
            .iter()
            .fold(0.0_f64, |peak, sample| sample.abs().max(peak));
        let samples = sound.samples.iter().map(|sample| 0.8 * (drive * sample / peak).tanh());
        Sound {
            rate: sound.rate,
            samples: samples.collect(),
        }
    }

    /// What a recording was before differs from what was driven by its height alone.
    #[test]
    fn a_driven_recording_is_bent_back_to_what_it_was() {
        let (sound, notes) = notes();
        for drive in [1.0, 2.0, 5.0] {
            let straight = before(&driven(&sound, drive), &notes).unwrap();
            let pairs = straight.samples.iter().zip(&sound.samples);
            let (with, of) = pairs.fold((0.0, 0.0), |(with, of), (a, b)| (with + a * b, of + b * b));
            let scale = with / of;
            let off = straight.samples.iter().zip(&sound.samples);
            let off = off.fold(0.0_f64, |off, (a, b)| (a / scale - b).abs().max(off));
            assert!(off < 1e-6, "{drive}: {off}");
        }
    }

    #[test]
    fn a_clean_recording_and_silence_are_left_as_they_are() {
        let (sound, notes) = notes();
        assert_eq!(before(&sound, &notes).map(|_| ()), None);
        let silence = Sound {
            rate: 48_000,
            samples: vec![0.0; 48_000],
        };
        assert_eq!(before(&silence, &notes).map(|_| ()), None);
        assert_eq!(before(&silence, &[]).map(|_| ()), None);
    }
}
