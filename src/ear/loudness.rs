//! Loudness as broadcasters measure it: ITU-R BS.1770-4, integrated, one channel.

use crate::ear::sound::Sound;
use std::f64::consts::PI;

const BLOCK_S: f64 = 0.4;
/// Blocks overlap by three quarters.
const HOP_S: f64 = 0.1;
const ABSOLUTE_GATE: f64 = -70.0;
const RELATIVE_GATE: f64 = -10.0;
/// What the standard takes off, so that the K filter's gain at 1 kHz does not count.
const OFFSET: f64 = -0.691;

/// The integrated loudness in LUFS; none for what is shorter than a block, or silent.
///
/// K filters, 400 ms blocks with 75 % overlap, gates at -70 LUFS and 10 under the mean (ITU-R BS.1770-4, read).
pub fn loudness(sound: &Sound) -> Option<f64> {
    let rate = f64::from(sound.rate);
    let weighted = filtered(&filtered(&sound.samples, &shelf(rate)), &high_pass(rate));
    let (block, hop) = ((BLOCK_S * rate).round() as usize, (HOP_S * rate).round() as usize);
    let starts = (0..)
        .map(|at| at * hop)
        .take_while(|start| start + block <= weighted.len());
    let powers: Vec<f64> = starts
        .map(|start| mean_square(&weighted[start..start + block]))
        .collect();
    let mean_over = |gate: f64| {
        let loud = powers.iter().filter(|power| lufs(**power) > gate);
        let (count, sum) = loud.fold((0, 0.0), |(count, sum), power| (count + 1, sum + power));
        (count > 0).then(|| lufs(sum / f64::from(count)))
    };
    let first = mean_over(ABSOLUTE_GATE)?;
    mean_over((first + RELATIVE_GATE).max(ABSOLUTE_GATE))
}

fn lufs(power: f64) -> f64 {
    OFFSET + 10.0 * power.log10()
}

fn mean_square(samples: &[f64]) -> f64 {
    samples.iter().map(|sample| sample * sample).sum::<f64>() / samples.len() as f64
}

/// A filter of second order, its first denominator 1.
struct Biquad {
    b: [f64; 3],
    a: [f64; 2],
}

/// The first of the K filters, a shelf for the head's own gain; written for any rate (B. De Man, "Evaluation of
/// implementations of the EBU R128 loudness measurement", AES 145, 2018, from memory).
fn shelf(rate: f64) -> Biquad {
    const GAIN_DB: f64 = 3.999_843_853_97;
    const Q: f64 = 0.707_175_236_955_419_3;
    const CENTRE_HZ: f64 = 1_681.974_450_955_532;
    let k = (PI * CENTRE_HZ / rate).tan();
    let high = 10_f64.powf(GAIN_DB / 20.0);
    let band = high.powf(0.499_666_774_155);
    let a0 = 1.0 + k / Q + k * k;
    Biquad {
        b: [
            (high + band * k / Q + k * k) / a0,
            2.0 * (k * k - high) / a0,
            (high - band * k / Q + k * k) / a0,
        ],
        a: [2.0 * (k * k - 1.0) / a0, (1.0 - k / Q + k * k) / a0],
    }
}

/// The second of the K filters, which leaves out the lowest sound.
fn high_pass(rate: f64) -> Biquad {
    const Q: f64 = 0.500_327_037_325_395_3;
    const CENTRE_HZ: f64 = 38.135_470_876_139_82;
    let k = (PI * CENTRE_HZ / rate).tan();
    let a0 = 1.0 + k / Q + k * k;
    Biquad {
        b: [1.0, -2.0, 1.0],
        a: [2.0 * (k * k - 1.0) / a0, (1.0 - k / Q + k * k) / a0],
    }
}

fn filtered(samples: &[f64], filter: &Biquad) -> Vec<f64> {
    let (mut first, mut second) = (0.0, 0.0);
    let step = |&sample: &f64| {
        let out = filter.b[0] * sample + first;
        first = filter.b[1] * sample - filter.a[0] * out + second;
        second = filter.b[2] * sample - filter.a[1] * out;
        out
    };
    samples.iter().map(step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: ITU-R BS.1770-4, tables 1 and 2, from memory.
    #[test]
    fn the_filters_are_those_of_the_standard_at_48_khz() {
        let (shelf, high_pass) = (shelf(48_000.0), high_pass(48_000.0));
        let found = [&shelf.b[..], &shelf.a, &high_pass.a].concat();
        let wanted = [
            1.535_124_859_586_97,
            -2.691_696_189_406_38,
            1.198_392_810_852_85,
            -1.690_659_293_182_41,
            0.732_480_774_215_85,
            -1.990_047_454_833_98,
            0.990_072_250_366_21,
        ];
        for (found, wanted) in found.iter().zip(wanted) {
            assert!((found - wanted).abs() < 1e-8, "{found} {wanted}");
        }
    }

    #[test]
    fn silence_and_a_click_have_no_loudness() {
        let sound = |samples| Sound { rate: 48_000, samples };
        assert_eq!(loudness(&sound(vec![0.0; 96_000])), None);
        assert_eq!(loudness(&sound(vec![0.5; 100])), None);
        assert_eq!(loudness(&sound(Vec::new())), None);
    }
}
