//! The spectrum of a part of a recording under a Hann window, and its autocorrelation.

use realfft::RealFftPlanner;
use std::f64::consts::PI;

/// Magnitudes, with room between the bins that the samples resolve.
pub(super) struct Spectrum {
    bins: Vec<f64>,
    hz_a_bin: f64,
}

/// How many times finer than the samples resolve.
const FINER: usize = 4;

impl Spectrum {
    /// Under a Hann window as long as the samples.
    pub(super) fn of(samples: &[f64], rate: f64) -> Option<Spectrum> {
        let len = (samples.len() * FINER).next_power_of_two();
        let mut padded: Vec<f64> = samples.to_vec();
        for (at, sample) in padded.iter_mut().enumerate() {
            *sample *= 0.5 - 0.5 * (2.0 * PI * at as f64 / samples.len() as f64).cos();
        }
        padded.resize(len, 0.0);
        let plan = RealFftPlanner::<f64>::new().plan_fft_forward(len);
        let mut bins = plan.make_output_vec();
        plan.process(&mut padded, &mut bins).ok()?;
        Some(Spectrum {
            bins: bins.iter().map(|bin| bin.norm()).collect(),
            hz_a_bin: rate / len as f64,
        })
    }

    /// The magnitude at a frequency.
    pub(super) fn at(&self, hz: f64) -> f64 {
        let bin = (hz / self.hz_a_bin).round().max(0.0) as usize;
        self.bins.get(bin).copied().unwrap_or(0.0)
    }

    /// The highest peak within `reach` of a frequency: its own frequency and its height.
    pub(super) fn peak(&self, hz: f64, reach: f64) -> Option<(f64, f64)> {
        let bin = |hz: f64| (hz / self.hz_a_bin).round().max(1.0) as usize;
        let range = bin(hz - reach)..(bin(hz + reach) + 1).min(self.bins.len().saturating_sub(1));
        let top = range.max_by(|a, b| self.bins[*a].total_cmp(&self.bins[*b]))?;
        let [left, middle, right] = [top - 1, top, top + 1].map(|at| self.bins[at].max(1e-300).ln());
        let bend = left - 2.0 * middle + right;
        // At the edge of the range there may be a slope and no peak.
        if bend >= 0.0 || left > middle || right > middle {
            return Some((top as f64 * self.hz_a_bin, self.bins[top]));
        }
        let shift = 0.5 * (left - right) / bend;
        let height = (middle - 0.25 * (left - right) * shift).exp();
        Some(((top as f64 + shift) * self.hz_a_bin, height))
    }

    /// The energy between two frequencies.
    pub(super) fn energy(&self, from_hz: f64, to_hz: f64) -> f64 {
        let bin = |hz: f64| (hz / self.hz_a_bin).round().max(0.0) as usize;
        let range = bin(from_hz).min(self.bins.len())..bin(to_hz).min(self.bins.len());
        if range.is_empty() {
            return 0.0;
        }
        self.bins[range].iter().map(|bin| bin * bin).sum()
    }
}

/// How like itself a sound is so many samples later: 1 for lag 0; each lag is averaged over what there is of it.
pub(super) fn autocorrelation(samples: &[f64]) -> Option<Vec<f64>> {
    let len = (samples.len() * 2).next_power_of_two();
    let mut padded = samples.to_vec();
    padded.resize(len, 0.0);
    let mut planner = RealFftPlanner::<f64>::new();
    let forward = planner.plan_fft_forward(len);
    let mut bins = forward.make_output_vec();
    forward.process(&mut padded, &mut bins).ok()?;
    bins.iter_mut().for_each(|bin| *bin = bin.norm_sqr().into());
    planner.plan_fft_inverse(len).process(&mut bins, &mut padded).ok()?;
    let whole = padded.first().copied().filter(|whole| *whole > 0.0)?;
    let lags = padded.iter().take(samples.len()).enumerate();
    Some(
        lags.map(|(lag, value)| value / whole * samples.len() as f64 / (samples.len() - lag) as f64)
            .collect(),
    )
}
