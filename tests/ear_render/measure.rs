//! Measuring rendered files with a general library for Fourier transforms.

use footlights::ear::{
    Damping, GuitarString, Instrument, Millimetres, Note, Pluck, Position, RATE, Seed, match_levels, sound, write_wav,
};
use footlights::setlist::Guitar;
use realfft::RealFftPlanner;
use std::f64::consts::PI;
use std::path::Path;

/// What is asked of one note.
#[derive(Clone, Copy)]
pub(crate) struct Asked {
    pub(crate) string: usize,
    pub(crate) fret: u8,
    pub(crate) pluck_mm: f64,
    pub(crate) seconds: f64,
}

pub(crate) fn instrument() -> Instrument {
    Instrument::of(&Guitar::default())
}

pub(crate) fn position(name: &str) -> Position {
    let known = instrument().positions;
    known.into_iter().find(|position| position.name == name).unwrap()
}

/// A note rendered, levelled, dithered, written to a file and read back: its samples from the pluck on.
pub(crate) fn rendered(asked: Asked, position: &Position) -> Vec<f64> {
    // The end of a playing fades for 0.3 s.
    let last = note(asked, 0.1, asked.seconds + 0.3);
    let samples = written(&[last], position);
    samples[4800..4800 + (asked.seconds * f64::from(RATE)) as usize].to_vec()
}

/// Several short notes in one file, each stopped before the next: the samples of each before it fades.
pub(crate) fn rendered_in_turn(asked: &[Asked], position: &Position) -> Vec<Vec<f64>> {
    const FADE_S: f64 = 0.03;
    let mut start_s = 0.1;
    let mut notes = Vec::new();
    for asked in asked {
        let note = note(*asked, start_s, asked.seconds + FADE_S);
        start_s = note.end_s;
        notes.push(note);
    }
    // One more, which takes the fade of the whole playing.
    notes.extend(asked.last().map(|asked| note(*asked, start_s, 0.31)));
    let samples = written(&notes, position);
    let part = |(note, asked): (&Note, &Asked)| {
        let start = (note.start_s * f64::from(RATE)).round() as usize;
        samples[start..start + (asked.seconds * f64::from(RATE)) as usize].to_vec()
    };
    notes.iter().zip(asked).map(part).collect()
}

fn note(asked: Asked, start_s: f64, seconds: f64) -> Note {
    Note {
        start_s,
        end_s: start_s + seconds,
        string: GuitarString::at(asked.string).unwrap(),
        fret: asked.fret,
        damping: Damping::Open,
        pluck: Pluck {
            place: Millimetres::new(asked.pluck_mm),
            strength: 1.0,
        },
    }
}

fn written(notes: &[Note], position: &Position) -> Vec<f64> {
    let mut sounds = [sound(notes, &instrument(), position)];
    match_levels(&mut sounds);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("notes.wav");
    write_wav(&path, RATE, &sounds[0].sixteen_bits(Seed::new(7))).unwrap();
    read(&path)
}

pub(crate) fn read(path: &Path) -> Vec<f64> {
    let mut reader = hound::WavReader::open(path).unwrap();
    let spec = reader.spec();
    assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (1, 48_000, 16));
    reader
        .samples::<i16>()
        .map(|sample| f64::from(sample.unwrap()) / 32_767.0)
        .collect()
}

/// A spectrum under a Hann window, four bins or more to the width that the samples resolve.
pub(crate) struct Spectrum {
    bins: Vec<f64>,
    hz_a_bin: f64,
}

impl Spectrum {
    pub(crate) fn of(samples: &[f64]) -> Spectrum {
        let len = (samples.len() * 4).next_power_of_two();
        let mut padded = vec![0.0; len];
        for (at, sample) in samples.iter().enumerate() {
            padded[at] = sample * hann(at, samples.len());
        }
        let plan = RealFftPlanner::<f64>::new().plan_fft_forward(len);
        let mut bins = plan.make_output_vec();
        plan.process(&mut padded, &mut bins).unwrap();
        Spectrum {
            bins: bins.iter().map(|bin| bin.norm()).collect(),
            hz_a_bin: f64::from(RATE) / len as f64,
        }
    }

    /// The frequency and height of the highest peak within `reach` of a frequency.
    pub(crate) fn peak(&self, hz: f64, reach: f64) -> (f64, f64) {
        let bin = |hz: f64| (hz / self.hz_a_bin).round() as usize;
        let range = bin(hz - reach).max(1)..bin(hz + reach).min(self.bins.len() - 1);
        let top = range.max_by(|a, b| self.bins[*a].total_cmp(&self.bins[*b])).unwrap();
        let [left, middle, right] = [top - 1, top, top + 1].map(|at| self.bins[at].max(1e-30).ln());
        let shift = 0.5 * (left - right) / (left - 2.0 * middle + right);
        let height = (middle - 0.25 * (left - right) * shift).exp();
        ((top as f64 + shift) * self.hz_a_bin, height)
    }

    /// The centre of gravity of the power below a frequency.
    pub(crate) fn centroid(&self, below: f64) -> f64 {
        let (mut moment, mut all) = (0.0, 0.0);
        for (at, bin) in self.bins.iter().enumerate() {
            let hz = at as f64 * self.hz_a_bin;
            if hz < below {
                moment += hz * bin * bin;
                all += bin * bin;
            }
        }
        moment / all
    }
}

pub(crate) fn hann(at: usize, len: usize) -> f64 {
    0.5 - 0.5 * (2.0 * PI * at as f64 / len as f64).cos()
}

/// What the same window leaves of a partial that falls by 60 dB in `t60_s`.
pub(crate) fn window_sum(len: usize, t60_s: f64) -> f64 {
    let fall = |at: usize| (-1000_f64.ln() * at as f64 / (f64::from(RATE) * t60_s)).exp();
    (0..len).map(|at| hann(at, len) * fall(at)).sum()
}

pub(crate) fn cents(measured: f64, wanted: f64) -> f64 {
    1200.0 * (measured / wanted).log2()
}

pub(crate) fn db(ratio: f64) -> f64 {
    20.0 * ratio.abs().log10()
}
