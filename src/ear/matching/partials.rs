//! One note of a recording: its pitch, its stiffness, its string and fret, and the levels of its partials.

use super::Why;
use super::spectrum::{Spectrum, autocorrelation};
use crate::ear::sound::Sound;
use crate::ear::string::GuitarString;
use crate::music::Fret;
use std::ops::Range;

/// What a note shows.
pub(super) struct Read {
    /// Where in low position it can have been played, by string and fret: at least one place.
    pub(super) places: Vec<(GuitarString, u8)>,
    pub(super) pitch_hz: f64,
    /// ln of the level of each partial, from the first on.
    pub(super) levels: Vec<f64>,
}

/// Shorter notes are not used.
const LEAST_S: f64 = 0.2;
/// The pluck's own noise is over.
const AFTER_ONSET_S: f64 = 0.015;
/// The window holds so many periods, but is no longer than so many seconds.
const PERIODS: f64 = 40.0;
const LONGEST_S: f64 = 0.4;
/// With fewer the partials run into each other.
const LEAST_PERIODS: f64 = 12.0;
/// A fundamental lies between these: under the low E, and beyond low position with the highest capo.
const PITCHES_HZ: (f64, f64) = (70.0, 900.0);
const MOST_CENTS_OFF: f64 = 40.0;
/// Four fingers reach so many frets from the capo, and a stretch one more.
const LOW_POSITION: u8 = 4;
const STRETCHED: u8 = 5;
/// So much of the energy between these frequencies lies on one string's partials.
const ONE_STRING: f64 = 0.99;
const ENERGY_HZ: (f64, f64) = (60.0, 5000.0);
const MOST_PARTIALS: usize = 24;
const HIGHEST_HZ: f64 = 6000.0;
/// With fewer partials there is no pattern.
const LEAST_PARTIALS: usize = 8;
/// Nothing this far under the strongest partial is told from nothing: 60 dB.
const FAINTEST: f64 = 1e-3;
/// What stands out of the noise.
const OVER_NOISE: f64 = 1.5;

/// Pitch and stiffness: f_n = n f √(1 + B n²).
#[derive(Clone, Copy)]
struct Series {
    hz: f64,
    stiffness: f64,
}

/// The part of a note that is looked at.
pub(super) struct Stretch<'a> {
    pub(super) samples: &'a [f64],
    rate: f64,
    /// About the pitch.
    coarse_hz: f64,
}

impl<'a> Stretch<'a> {
    pub(super) fn of(sound: &'a Sound, span: &Range<usize>) -> Result<Stretch<'a>, Why> {
        let rate = f64::from(sound.rate);
        let seconds = |samples: usize| samples as f64 / rate;
        if seconds(span.len()) < LEAST_S {
            return Err(Why::Short);
        }
        let note = &sound.samples[span.start + (AFTER_ONSET_S * rate) as usize..span.end];
        let longest = &note[..note.len().min((LONGEST_S * rate) as usize)];
        let coarse_hz = pitch(longest, rate).ok_or(Why::NoPitch)?;
        let periods = ((PERIODS / coarse_hz).min(LONGEST_S) * rate) as usize;
        let samples = &longest[..longest.len().min(periods)];
        if seconds(samples.len()) * coarse_hz < LEAST_PERIODS {
            return Err(Why::Short);
        }
        Ok(Stretch {
            samples,
            rate,
            coarse_hz,
        })
    }

    /// The part of the energy that would lie beside the partials if the samples were these; all of it for silence.
    pub(super) fn beside(&self, samples: &[f64]) -> f64 {
        let tone = Tone::of(&Stretch { samples, ..*self });
        tone.map_or(1.0, |tone| 1.0 - tone.on_partials())
    }
}

pub(super) fn read(sound: &Sound, span: &Range<usize>, capo: Fret) -> Result<Read, Why> {
    let stretch = Stretch::of(sound, span)?;
    // An attack that clips before the stretch does no harm.
    if is_clipped(stretch.samples) {
        return Err(Why::Clipped);
    }
    let tone = Tone::of(&stretch).ok_or(Why::NoPitch)?;
    if tone.on_partials() < ONE_STRING {
        return Err(Why::SeveralStrings);
    }
    let places = places(tone.series.hz * (1.0 + tone.series.stiffness).sqrt(), capo)?;
    let levels = tone.levels(stretch.rate);
    if levels.len() < LEAST_PARTIALS {
        return Err(Why::OutOfPosition);
    }
    Ok(Read {
        places,
        pitch_hz: tone.series.hz,
        levels,
    })
}

/// Whether the tops of a part of a note are flat: several stretches of three samples or more at one and the same highest value.
fn is_clipped(part: &[f64]) -> bool {
    /// A step and a half of sixteen bits.
    const ALIKE: f64 = 1.5 / 32_768.0;
    const STRETCH: usize = 3;
    const STRETCHES: usize = 4;
    let peak = part.iter().fold(0.0_f64, |peak, sample| sample.abs().max(peak));
    // Close to nothing, many samples are alike without any fault.
    if peak < 0.05 {
        return false;
    }
    let mut stretches = 0;
    let mut len = 0;
    for sample in part {
        len = if sample.abs() >= peak - ALIKE { len + 1 } else { 0 };
        stretches += usize::from(len == STRETCH);
    }
    stretches >= STRETCHES
}

/// The pitch by autocorrelation: the shortest lag at which the sound is nearly as like itself as at any.
fn pitch(samples: &[f64], rate: f64) -> Option<f64> {
    const NEARLY: f64 = 0.9;
    const LIKE: f64 = 0.5;
    let likeness = autocorrelation(samples)?;
    let (least, most) = ((rate / PITCHES_HZ.1) as usize, (rate / PITCHES_HZ.0) as usize);
    // Late lags are averaged over too little.
    let most = most.min(samples.len() / 2);
    let is_top = |lag: &usize| likeness[*lag] >= likeness[*lag - 1] && likeness[*lag] > likeness[*lag + 1];
    let tops: Vec<usize> = (least.max(1)..most.saturating_sub(1)).filter(is_top).collect();
    let highest = tops.iter().map(|lag| likeness[*lag]).fold(0.0, f64::max);
    let lag = tops
        .into_iter()
        .find(|lag| likeness[*lag] >= NEARLY * highest && likeness[*lag] >= LIKE)?;
    let [left, middle, right] = [lag - 1, lag, lag + 1].map(|lag| likeness[lag]);
    let shift = 0.5 * (left - right) / (left - 2.0 * middle + right);
    Some(rate / (lag as f64 + shift))
}

/// Pitch and stiffness by least squares on (f_n/n)² = f² (1 + B n²), in rounds that reach further up each.
fn series(spectrum: &Spectrum, coarse: f64, width: f64) -> Series {
    /// Plausible for a guitar's string.
    const STIFFEST: f64 = 2e-3;
    let mut series = Series {
        hz: coarse,
        stiffness: 0.0,
    };
    for reach in [4, 8, 12, 18, 24, 30] {
        let found: Vec<(f64, f64, f64)> = (1..=reach)
            .filter(|n| series.partial(*n) < HIGHEST_HZ)
            .filter_map(|n| {
                let (hz, height) = spectrum.peak(series.partial(n), 1.5 * width)?;
                Some((f64::from(n), hz, height))
            })
            .collect();
        let strongest = found.iter().map(|found| found.2).fold(0.0, f64::max);
        // A partial in a null has no peak of its own.
        let clear = found
            .iter()
            .filter(|found| found.2 > strongest * 10_f64.powf(-45.0 / 20.0));
        let sums = clear.fold([0.0; 5], |sums, &(n, hz, _)| {
            // f_n is known equally well for each n, (f_n/n)² the better the higher.
            let (x, y, weight) = (n * n, (hz / n).powi(2), n * n);
            let row = [weight, weight * x, weight * x * x, weight * y, weight * x * y];
            std::array::from_fn(|at| sums[at] + row[at])
        });
        let [w, x, xx, y, xy] = sums;
        let spread = w * xx - x * x;
        let slope = if spread > 0.0 { (w * xy - x * y) / spread } else { 0.0 };
        let slope = slope.clamp(0.0, STIFFEST * series.hz * series.hz);
        let square = (y - slope * x) / w;
        if w > 0.0 && square > 0.0 {
            series = Series {
                hz: square.sqrt(),
                stiffness: slope / square,
            };
        }
    }
    series
}

impl Series {
    fn partial(self, n: u32) -> f64 {
        let n = f64::from(n);
        n * self.hz * (1.0 + self.stiffness * n * n).sqrt()
    }
}

/// A stretch's spectrum, and the series that its partials make in it.
struct Tone {
    spectrum: Spectrum,
    series: Series,
    /// Of a line in the spectrum, in Hz.
    width: f64,
}

impl Tone {
    fn of(stretch: &Stretch) -> Option<Tone> {
        let spectrum = Spectrum::of(stretch.samples, stretch.rate)?;
        let width = stretch.rate / stretch.samples.len() as f64;
        let series = series(&spectrum, stretch.coarse_hz, width);
        Some(Tone {
            spectrum,
            series,
            width,
        })
    }

    /// The part of the energy that lies on the partials.
    fn on_partials(&self) -> f64 {
        /// A window's own width, and what a decay adds.
        const WIDTHS: f64 = 3.0;
        let all = self.spectrum.energy(ENERGY_HZ.0, ENERGY_HZ.1);
        let below = (1..).map(|n| self.series.partial(n)).take_while(|hz| *hz < ENERGY_HZ.1);
        let reach = WIDTHS * self.width;
        let on: f64 = below
            .map(|hz| {
                self.spectrum
                    .energy((hz - reach).max(ENERGY_HZ.0), (hz + reach).min(ENERGY_HZ.1))
            })
            .sum();
        if all > 0.0 { on / all } else { 0.0 }
    }

    /// y_n = ln max(X_n, 1.5 noise, max X - 60 dB), up to the last partial that stands out: a tone control can cut off all
    /// that lies above, and what is not there has no nulls.
    fn levels(&self, rate: f64) -> Vec<f64> {
        let highest = HIGHEST_HZ.min(0.45 * rate);
        let frequencies = (1..=MOST_PARTIALS as u32).map(|n| self.series.partial(n));
        let heights: Vec<f64> = frequencies
            .take_while(|hz| *hz <= highest)
            .map(|hz| self.spectrum.peak(hz, 0.6 * self.width).map_or(0.0, |peak| peak.1))
            .collect();
        let strongest = heights.iter().copied().fold(0.0, f64::max);
        let floor = |at: usize| (OVER_NOISE * self.noise(at as u32 + 1)).max(strongest * FAINTEST);
        let floors: Vec<f64> = (0..heights.len()).map(floor).collect();
        let last = heights.iter().zip(&floors).rposition(|(height, floor)| height > floor);
        let count = last.map_or(0, |last| last + 1).max(LEAST_PARTIALS).min(heights.len());
        let parts = heights.iter().zip(&floors).take(count);
        parts
            .map(|(height, floor)| height.max(*floor).max(f64::MIN_POSITIVE).ln())
            .collect()
    }

    /// The noise round partial `n`: the middle one of the magnitudes halfway between its neighbours.
    fn noise(&self, n: u32) -> f64 {
        let places = n.saturating_sub(3).max(1)..=n + 3;
        let halfway = |n: u32| 0.5 * (self.series.partial(n) + self.series.partial(n + 1));
        let mut between: Vec<f64> = places.map(|n| self.spectrum.at(halfway(n))).collect();
        between.sort_by(f64::total_cmp);
        between[between.len() / 2]
    }
}

/// Strings and frets of a pitch in low position. The pitch alone does not tell the string: four frets up the G string lies
/// the open B string's note. A stretch is taken for one only where there is no other way.
fn places(hz: f64, capo: Fret) -> Result<Vec<(GuitarString, u8)>, Why> {
    let midi = 69.0 + 12.0 * (hz / 440.0).log2();
    if (midi - midi.round()).abs() * 100.0 > MOST_CENTS_OFF {
        return Err(Why::OutOfTune);
    }
    let capo = capo.number();
    let place = |string: GuitarString| {
        let fret = midi.round() - f64::from(string.open_midi());
        (f64::from(capo)..=f64::from(capo + STRETCHED))
            .contains(&fret)
            .then_some((string, fret as u8))
    };
    let mut places: Vec<(GuitarString, u8)> = GuitarString::all().filter_map(place).collect();
    if places.iter().any(|(_, fret)| *fret <= capo + LOW_POSITION) {
        places.retain(|(_, fret)| *fret <= capo + LOW_POSITION);
    }
    if places.is_empty() {
        Err(Why::OutOfPosition)
    } else {
        Ok(places)
    }
}
