//! The player's own recordings: named after positions, cut into clips, brought to one rate.

use crate::ear::loudness::loudness;
use crate::ear::playing::fade_out;
use crate::ear::sound::{RATE, Sound};
use crate::ear::units::Chance;
use std::f64::consts::PI;

/// Clips of some positions.
#[derive(Clone, Debug, Default)]
pub struct Recordings {
    clips: Vec<(String, Sound)>,
}

/// A clip is at most so long; a longer recording gives several.
const CLIP_S: f64 = 4.0;
/// What is shorter says nothing.
const LEAST_S: f64 = 0.5;
/// Before and after what is heard so much is kept.
const MARGIN_S: f64 = 0.05;
/// What lies this far under the loudest (in dB) is silence.
const SILENCE_DB: f64 = 40.0;
const FRAME_S: f64 = 0.02;

/// The position that a file is named after, among those of the guitar: its name begins with it, and goes on, if at all,
/// with what is no letter. The longest wins.
pub fn named_after<'p>(file: &str, positions: impl Iterator<Item = &'p str>) -> Option<&'p str> {
    let file = file.to_lowercase();
    let fits = |position: &&str| {
        let rest = file.strip_prefix(&position.to_lowercase());
        rest.is_some_and(|rest| !rest.starts_with(|c: char| c.is_alphabetic() || c == '+'))
    };
    positions.filter(fits).max_by_key(|position| position.len())
}

impl Recordings {
    /// Cuts a recording of a position into clips and takes them in; how many there were.
    pub fn add(&mut self, position: &str, recording: &Sound) -> usize {
        let clips = cut(&at_rate(recording));
        let count = clips.len();
        self.clips
            .extend(clips.into_iter().map(|clip| (position.to_owned(), clip)));
        count
    }

    pub(super) fn has(&self, position: &str) -> bool {
        self.clips.iter().any(|(name, _)| name == position)
    }

    /// Positions with one clip alone: there the ear could learn the clip.
    pub fn with_one_clip(&self) -> Vec<&str> {
        let count = |name: &str| self.clips.iter().filter(|(other, _)| other == name).count();
        let names = self.clips.iter().map(|(name, _)| name.as_str());
        names.filter(|name| count(name) == 1).collect()
    }

    /// A clip of a position by chance; silence where there is none.
    pub(super) fn clip(&self, position: &str, chance: &mut Chance) -> Sound {
        let clips: Vec<&Sound> = self
            .clips
            .iter()
            .filter(|(name, _)| name == position)
            .map(|(_, clip)| clip)
            .collect();
        let silence = Sound {
            rate: RATE,
            samples: Vec::new(),
        };
        clips
            .get(chance.place(clips.len()))
            .map_or(silence, |clip| (*clip).clone())
    }
}

/// What is heard, without the silence round it, in pieces of a few seconds that fade at both ends.
fn cut(sound: &Sound) -> Vec<Sound> {
    let rate = f64::from(sound.rate);
    let frame = (FRAME_S * rate) as usize;
    let powers: Vec<f64> = sound
        .samples
        .chunks(frame.max(1))
        .map(|chunk| chunk.iter().map(|s| s * s).sum())
        .collect();
    let loudest = powers.iter().copied().fold(0.0, f64::max);
    let heard = |power: &f64| *power > loudest * 10_f64.powf(-SILENCE_DB / 10.0);
    let (Some(first), Some(last)) = (powers.iter().position(heard), powers.iter().rposition(heard)) else {
        return Vec::new();
    };
    let margin = (MARGIN_S * rate) as usize;
    let start = (first * frame).saturating_sub(margin);
    let end = ((last + 1) * frame + margin).min(sound.samples.len());
    let pieces = sound.samples[start..end].chunks((CLIP_S * rate) as usize);
    let clips = pieces.map(|piece| {
        let mut samples = piece.to_vec();
        // The end of a clip fades as a playing does; its beginning no longer than an attack may take.
        fade_out(&mut samples, 0.2);
        let attack = (0.005 * rate) as usize;
        for (at, sample) in samples.iter_mut().take(attack).enumerate() {
            *sample *= at as f64 / attack as f64;
        }
        Sound {
            rate: sound.rate,
            samples,
        }
    });
    clips
        .filter(|clip| clip.seconds() >= LEAST_S && loudness(clip).is_some())
        .collect()
}

/// The sound at the rate of all others, by a windowed sinc (J. Smith, "Digital audio resampling", from memory).
pub(super) fn at_rate(sound: &Sound) -> Sound {
    resampled(sound, RATE)
}

/// The sound at another rate.
pub(super) fn resampled(sound: &Sound, rate: u32) -> Sound {
    if sound.rate == rate || sound.samples.is_empty() {
        return sound.clone();
    }
    let kernel = Kernel::new(sound.rate, rate);
    let len = (sound.samples.len() as u64 * u64::from(rate) / u64::from(sound.rate)) as usize;
    Sound {
        rate,
        samples: (0..len).map(|at| kernel.sample(&sound.samples, at as u64)).collect(),
    }
}

/// The weights of the samples round every place that a sample of the other rate can have between two of this one.
struct Kernel {
    /// Places between two samples, and how many of them one step of the other rate takes.
    places: u64,
    step: u64,
    /// Samples to either side.
    reach: isize,
    weights: Vec<Vec<f64>>,
}

impl Kernel {
    /// Zero crossings of the sinc on either side.
    const CROSSINGS: f64 = 24.0;

    fn new(from: u32, to: u32) -> Kernel {
        let common = common_divisor(from, to);
        let (places, step) = (u64::from(to / common), u64::from(from / common));
        // Going down, all that the lower rate cannot hold is left out.
        let pass = (f64::from(to) / f64::from(from)).min(1.0) * 0.95;
        let wide = Self::CROSSINGS / pass;
        let reach = wide.floor() as isize;
        let weigh = |off: f64| {
            let x = PI * off * pass;
            let sinc = if x.abs() < 1e-9 { 1.0 } else { x.sin() / x };
            let window = if off.abs() < wide {
                0.5 + 0.5 * (PI * off / wide).cos()
            } else {
                0.0
            };
            pass * sinc * window
        };
        let at_place = |place: u64| {
            let between = place as f64 / places as f64;
            (-reach..=reach).map(|off| weigh(between - off as f64)).collect()
        };
        Kernel {
            places,
            step,
            reach,
            weights: (0..places).map(at_place).collect(),
        }
    }

    /// The sample so numbered of the other rate.
    fn sample(&self, samples: &[f64], at: u64) -> f64 {
        let exact = at * self.step;
        let weights = &self.weights[(exact % self.places) as usize];
        let first = (exact / self.places) as isize - self.reach;
        // Before the first sample and after the last there is silence.
        let skipped = (-first).max(0) as usize;
        let there = samples.iter().skip(first.max(0) as usize);
        weights
            .iter()
            .skip(skipped)
            .zip(there)
            .map(|(weight, sample)| weight * sample)
            .sum()
    }
}

fn common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(rate: u32, hz: f64, from_s: f64, to_s: f64, seconds: f64) -> Sound {
        let sample = |at: usize| {
            let t = at as f64 / f64::from(rate);
            if (from_s..to_s).contains(&t) {
                0.3 * (2.0 * PI * hz * t).sin()
            } else {
                0.0
            }
        };
        let samples = (0..(seconds * f64::from(rate)) as usize).map(sample).collect();
        Sound { rate, samples }
    }

    #[test]
    fn a_file_is_named_after_the_longest_position_that_it_begins_with() {
        let positions = ["neck", "neck+middle", "bridge"];
        for (file, wanted) in [
            ("neck", Some("neck")),
            ("Neck 2", Some("neck")),
            ("neck+middle", Some("neck+middle")),
            ("neck+middle-take3", Some("neck+middle")),
            ("bridge_1", Some("bridge")),
            ("bridges", None),
            ("neck+bridge", None),
            ("my neck", None),
        ] {
            assert_eq!(named_after(file, positions.into_iter()), wanted, "{file}");
        }
    }

    #[test]
    fn silence_is_cut_off_and_a_long_recording_gives_several_clips() {
        let mut recordings = Recordings::default();
        assert_eq!(recordings.add("neck", &tone(44_100, 200.0, 1.0, 2.5, 4.0)), 1);
        assert_eq!(recordings.add("bridge", &tone(48_000, 200.0, 0.5, 9.5, 11.0)), 3);
        assert_eq!(
            recordings.add("middle", &tone(48_000, 200.0, 2.0, 2.1, 4.0)),
            0,
            "too short"
        );
        assert_eq!(
            recordings.add("middle", &tone(48_000, 200.0, 2.0, 2.0, 4.0)),
            0,
            "silence"
        );
        assert_eq!(recordings.with_one_clip(), ["neck"]);
        let neck = &recordings.clips[0].1;
        assert_eq!(neck.rate, RATE);
        assert!((neck.seconds() - 1.6).abs() < 0.05, "{} s", neck.seconds());
        assert_eq!(neck.samples.first(), Some(&0.0));
    }

    #[test]
    fn another_rate_keeps_the_tone_and_its_level() {
        for (from, hz) in [(44_100, 1000.0), (96_000, 5000.0), (32_000, 220.0)] {
            let there = at_rate(&tone(from, hz, 0.0, 1.0, 1.0));
            let wanted = tone(RATE, hz, 0.0, 1.0, 1.0);
            let pairs = there.samples.iter().zip(&wanted.samples).skip(4800).take(38_000);
            let worst = pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            assert!(worst < 0.002, "{from} to {RATE} at {hz} Hz: {worst}");
        }
    }
}
