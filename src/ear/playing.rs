//! A playing: notes in time, and the sound that they make at one position of the selector.

use crate::ear::pickup::{Instrument, Position};
use crate::ear::pluck::Pluck;
use crate::ear::sound::{RATE, Sound};
use crate::ear::string::{Damping, GuitarString};
use crate::ear::voice::sing;
use std::f64::consts::PI;

/// One note of a playing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Note {
    /// Seconds from the first sample.
    pub start_s: f64,
    /// When a finger or the next stroke stops it.
    pub end_s: f64,
    pub string: GuitarString,
    /// From the nut, the capo's included.
    pub fret: u8,
    pub damping: Damping,
    pub pluck: Pluck,
}

/// Silence before the first note.
pub(crate) const LEAD_S: f64 = 0.1;
/// A damped note fades so long.
const NOTE_FADE_S: f64 = 0.03;
/// The end of a playing fades so long.
const LAST_FADE_S: f64 = 0.3;

/// What a position of the guitar makes of the notes. Its level is in a measure of its own, before any matching.
pub fn sound(notes: &[Note], instrument: &Instrument, position: &Position) -> Sound {
    let end = notes.iter().map(|note| note.end_s).fold(0.0, f64::max);
    let mut samples = vec![0.0; at(end)];
    let mut one = Vec::new();
    for note in notes {
        let range = at(note.start_s)..at(note.end_s).max(at(note.start_s));
        one.clear();
        one.resize(range.len(), 0.0);
        let string = note.string.at_fret(note.fret, instrument.scale);
        sing(&string, note.damping, &note.pluck, position, RATE, &mut one);
        // What rings to the end of the playing fades with it.
        if note.end_s < end {
            fade_out(&mut one, NOTE_FADE_S);
        }
        samples[range]
            .iter_mut()
            .zip(&one)
            .for_each(|(sum, sample)| *sum += sample);
    }
    fade_out(&mut samples, LAST_FADE_S);
    Sound { rate: RATE, samples }
}

/// A raised cosine over the last seconds, down to nothing at the last sample.
pub(crate) fn fade_out(samples: &mut [f64], seconds: f64) {
    let len = ((seconds * f64::from(RATE)) as usize).min(samples.len());
    for (left, sample) in samples.iter_mut().rev().take(len).enumerate() {
        *sample *= 0.5 - 0.5 * (PI * left as f64 / len as f64).cos();
    }
}

/// The sample at a time.
fn at(seconds: f64) -> usize {
    (seconds * f64::from(RATE)).round().max(0.0) as usize
}
