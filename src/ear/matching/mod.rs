//! Which position of a guitar a clean recording most resembles, or why that cannot be told.
//!
//! After Z. Mohamad, S. Dixon, C. Harte, "Pickup position and plucking point estimation on an electric guitar via
//! autocorrelation", JASA 142(6), 2017 (abstract read; the method in the first author's published code). Their
//! autocorrelation is a linear map of the logarithms of the partials' levels, so those are fitted themselves, and only
//! for the positions that this guitar has.

mod drive;
mod fit;
mod onsets;
mod partials;
mod spectrum;
mod tilt;
mod verdict;
mod words;

use crate::ear::pickup::Instrument;
use crate::ear::sound::Sound;
use crate::music::Fret;
pub use verdict::{Answer, CannotTell, Score, too_close};

/// A note that was used.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    /// The recording it stands in, as a place in the list given.
    pub recording: usize,
    pub start_s: f64,
    /// 0 is the low E; where the pitch is that of two strings, the one that fits better.
    pub string: usize,
    /// From the nut.
    pub fret: u8,
    pub pitch_hz: f64,
    pub partials: usize,
}

/// A note that was not used, and why.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skipped {
    pub recording: usize,
    pub start_s: f64,
    pub why: Why,
}

/// Why a note says nothing about the position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    Clipped,
    /// Under 0.2 s, or too short for its pitch.
    Short,
    NoPitch,
    /// More than 40 cents from any note.
    OutOfTune,
    /// Below the low string at the capo, or beyond low position on the high one.
    OutOfPosition,
    /// Too much of its energy lies beside its partials.
    SeveralStrings,
}

/// All that recordings of one position say.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    pub answer: Answer,
    /// One for each position, in their order.
    pub scores: Vec<Score>,
    /// How a guitar without any pickup place would fit.
    pub without_nulls: f64,
    pub notes: Vec<Heard>,
    pub skipped: Vec<Skipped>,
    /// Where a single pickup would fit best, and the reach of that: millimetres from the saddle. None without notes.
    pub distance_mm: Option<(f64, f64)>,
}

/// Says which position of the instrument the recordings, all of one position, were played on.
pub fn identify(recordings: &[Sound], instrument: &Instrument, capo: Fret) -> Evidence {
    let mut read = Vec::new();
    let mut told = Vec::new();
    let mut skipped = Vec::new();
    for (recording, sound) in recordings.iter().enumerate() {
        let spans = onsets::notes(sound);
        let straight = drive::before(sound, &spans);
        let sound = straight.as_ref().unwrap_or(sound);
        for span in spans {
            let start_s = span.start as f64 / f64::from(sound.rate);
            match partials::read(sound, &span, capo) {
                Ok(note) => {
                    let places = note.places.iter();
                    let places = places
                        .map(|(string, fret)| string.at_fret(*fret, instrument.scale))
                        .collect();
                    let levels = note.levels.clone();
                    told.push(fit::Told { levels, places });
                    read.push((recording, start_s, note));
                }
                Err(why) => skipped.push(Skipped {
                    recording,
                    start_s,
                    why,
                }),
            }
        }
    }
    let fit = fit::Fit::of(&told, &instrument.positions);
    let notes = read
        .into_iter()
        .zip(&fit.places)
        .map(|((recording, start_s, note), &place)| {
            let (string, fret) = note.places[place];
            Heard {
                recording,
                start_s,
                string: string.place(),
                fret,
                pitch_hz: note.pitch_hz,
                partials: note.levels.len(),
            }
        });
    verdict::weigh(instrument, &fit, notes.collect(), skipped)
}
