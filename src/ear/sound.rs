//! Sound as samples, and its way to sixteen bits.

use crate::ear::loudness::loudness;
use crate::ear::units::{Decibels, Seed};

/// Samples a second of all that is rendered.
pub const RATE: u32 = 48_000;
/// The loudness of everything that is played or rendered, in LUFS.
const LEVEL_LUFS: f64 = -23.0;
/// No peak is higher than this, in dBFS.
const PEAK_DBFS: f64 = -3.0;

/// One channel of sound; full scale is 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Sound {
    pub rate: u32,
    pub samples: Vec<f64>,
}

impl Sound {
    pub fn seconds(&self) -> f64 {
        self.samples.len() as f64 / f64::from(self.rate)
    }

    /// The highest sample.
    pub fn peak(&self) -> Decibels {
        Decibels::of_amplitude(self.samples.iter().fold(0.0, |peak, sample| sample.abs().max(peak)))
    }

    pub(crate) fn louder(&mut self, by: Decibels) {
        let factor = by.amplitude();
        self.samples.iter_mut().for_each(|sample| *sample *= factor);
    }

    /// As sixteen bits with triangular dither from the seed; the first and the last sample are 0.
    ///
    /// Dither of two uniform numbers makes the error of rounding a steady hiss (S. Lipshitz, R. Wannamaker,
    /// J. Vanderkooy, "Quantization and dither: a theoretical survey", JAES 40(5), 1992, from memory).
    pub fn sixteen_bits(&self, seed: Seed) -> Vec<i16> {
        let mut chance = seed.chance();
        let last = self.samples.len().saturating_sub(1);
        let steps = self.samples.iter().enumerate().map(|(at, sample)| {
            let dither = chance.unit() - chance.unit();
            let step = (sample * f64::from(i16::MAX) + dither).round();
            if at == 0 || at == last { 0 } else { step as i16 }
        });
        steps.collect()
    }
}

/// Brings the choices of one question to one loudness: -23 LUFS, or less for all of them where a peak would be too high.
/// Unmatched, the level would be the answer. A sound without any loudness stays as it is.
pub fn match_levels(sounds: &mut [Sound]) {
    for sound in sounds.iter_mut() {
        if let Some(lufs) = loudness(sound) {
            sound.louder(Decibels::new(LEVEL_LUFS - lufs));
        }
    }
    let highest = sounds
        .iter()
        .map(|sound| sound.peak().db())
        .fold(f64::NEG_INFINITY, f64::max);
    if highest > PEAK_DBFS {
        let by = Decibels::new(PEAK_DBFS - highest - 0.01);
        sounds.iter_mut().for_each(|sound| sound.louder(by));
    }
}
