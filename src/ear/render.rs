//! Rendering: every phrase at every position, with the key that says what was played.

use crate::ear::phrase::{Material, Phrase};
use crate::ear::pickup::{Instrument, Position};
use crate::ear::playing::{Note, sound};
use crate::ear::sound::{RATE, Sound, match_levels};
use crate::ear::string::Damping;
use crate::ear::units::Seed;
use serde::Serialize;

/// One phrase at one position, ready to be written.
pub struct Rendered {
    pub phrase: Phrase,
    pub position: String,
    pub samples: Vec<i16>,
    pub key: Key,
}

/// What any analyser needs to check a rendered file.
#[derive(Clone, Debug, Serialize)]
pub struct Key {
    pub seed: u64,
    pub phrase: &'static str,
    pub position: String,
    /// Each pickup that sounds, from the saddle.
    pub distances_mm: Vec<f64>,
    pub scale_mm: f64,
    pub capo: u8,
    pub rate: u32,
    pub notes: Vec<KeyNote>,
}

#[derive(Clone, Debug, Serialize)]
pub struct KeyNote {
    pub start_s: f64,
    pub end_s: f64,
    /// 0 is the low E, 5 the high one.
    pub string: usize,
    /// From the nut, the capo's included.
    pub fret: u8,
    pub pluck_mm: f64,
    pub palm_mute: bool,
}

/// A phrase at several positions as the choices of one question: each its own playing, all at one loudness.
pub fn choices(
    phrase: Phrase,
    material: &Material,
    instrument: &Instrument,
    positions: &[&Position],
    seed: Seed,
) -> Vec<Rendered> {
    let takes = positions.iter().zip(0..).map(|(position, number)| {
        let playing = seed.part(number);
        let notes = phrase.played(material, seed, playing);
        let sound = sound(&notes, instrument, position);
        (notes, sound, playing)
    });
    let (mut keys, mut sounds): (Vec<_>, Vec<Sound>) = takes.map(|(notes, sound, seed)| ((notes, seed), sound)).unzip();
    match_levels(&mut sounds);
    let parts = positions.iter().zip(keys.drain(..)).zip(sounds);
    parts
        .map(|((position, (notes, playing)), sound)| Rendered {
            phrase,
            position: position.name.clone(),
            samples: sound.sixteen_bits(playing),
            key: key(phrase, material, instrument, position, &notes, playing),
        })
        .collect()
}

impl Rendered {
    /// The file's name without its ending: `down-strokes-neck+middle`.
    pub fn name(&self) -> String {
        let safe = |c: char| if c.is_alphanumeric() || c == '+' { c } else { '-' };
        format!("{}-{}", self.phrase.name(), self.position)
            .chars()
            .map(safe)
            .collect()
    }
}

fn key(
    phrase: Phrase,
    material: &Material,
    instrument: &Instrument,
    position: &Position,
    notes: &[Note],
    seed: Seed,
) -> Key {
    let notes = notes.iter().map(|note| KeyNote {
        start_s: note.start_s,
        end_s: note.end_s,
        string: note.string.place(),
        fret: note.fret,
        pluck_mm: note.pluck.place.mm(),
        palm_mute: note.damping == Damping::PalmMute,
    });
    Key {
        seed: seed.number(),
        phrase: phrase.name(),
        position: position.name.clone(),
        distances_mm: position.places().iter().map(|place| place.mm()).collect(),
        scale_mm: instrument.scale.mm(),
        capo: material.capo().number(),
        rate: RATE,
        notes: notes.collect(),
    }
}
