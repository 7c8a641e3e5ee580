//! The phrases as they are written: which string is struck when, at which fret, and until when it sounds.

use crate::ear::string::{Damping, GuitarString};
use crate::ear::units::Chance;
use crate::music::Voicing;

/// A stroke as it is written, before a hand varies it.
#[derive(Clone, Copy)]
pub(super) struct Stroke {
    pub(super) start_s: f64,
    pub(super) end_s: f64,
    pub(super) string: GuitarString,
    /// From the capo.
    pub(super) fret: u8,
    pub(super) damping: Damping,
    /// The stroke begins where the hand is: all strokes of one chord come together.
    pub(super) hand: usize,
}

pub(super) fn diamonds(chords: &[Voicing]) -> Vec<Stroke> {
    const BAR_S: f64 = 2.2;
    let chords = chords.iter().cycle().take(2).enumerate();
    let strokes = chords.flat_map(|(hand, chord)| {
        strings(chord).map(move |(string, fret)| Stroke {
            start_s: hand as f64 * BAR_S,
            end_s: (hand + 1) as f64 * BAR_S,
            string,
            fret,
            damping: Damping::Open,
            hand,
        })
    });
    strokes.collect()
}

pub(super) fn arpeggio(chords: &[Voicing]) -> Vec<Stroke> {
    const STEP_S: f64 = 0.35;
    const END_S: f64 = 3.8;
    let strings: Vec<_> = chords.iter().take(1).flat_map(strings).collect();
    // Up, and down again to the lowest.
    let down = strings.iter().rev().skip(1);
    let strokes = strings.iter().chain(down).take(9).enumerate();
    strokes
        .map(|(hand, &(string, fret))| Stroke {
            start_s: hand as f64 * STEP_S,
            end_s: END_S,
            string,
            fret,
            damping: Damping::Open,
            hand,
        })
        .collect()
}

pub(super) fn down_strokes(chords: &[Voicing]) -> Vec<Stroke> {
    const EIGHTH_S: f64 = 0.27;
    const COUNT: usize = 12;
    let low: Vec<_> = chords.iter().take(1).flat_map(|chord| strings(chord).take(2)).collect();
    let strokes = (0..COUNT).flat_map(|hand| {
        low.iter().map(move |&(string, fret)| Stroke {
            start_s: hand as f64 * EIGHTH_S,
            end_s: COUNT as f64 * EIGHTH_S + 0.3,
            string,
            fret,
            damping: Damping::Open,
            hand,
        })
    });
    strokes.collect()
}

pub(super) fn note(chance: &mut Chance) -> Vec<Stroke> {
    let string = GuitarString::at(chance.place(GuitarString::COUNT)).unwrap_or(GuitarString::LOW_E);
    vec![Stroke {
        start_s: 0.0,
        end_s: 3.2,
        string,
        fret: chance.place(4) as u8,
        damping: Damping::Open,
        hand: 0,
    }]
}

pub(super) fn riff() -> Vec<Stroke> {
    /// When, on which of the two low strings, at which fret.
    const NOTES: [(f64, usize, u8); 6] = [
        (0.0, 0, 0),
        (0.36, 0, 0),
        (0.72, 1, 2),
        (1.44, 0, 3),
        (1.80, 1, 0),
        (2.16, 1, 2),
    ];
    let strokes = NOTES
        .into_iter()
        .enumerate()
        .filter_map(|(hand, (start_s, string, fret))| {
            Some(Stroke {
                start_s,
                end_s: 3.0,
                string: GuitarString::at(string)?,
                fret,
                damping: Damping::PalmMute,
                hand,
            })
        });
    strokes.collect()
}

/// The sounding strings of a chord with their frets, low first.
fn strings(chord: &Voicing) -> impl Iterator<Item = (GuitarString, u8)> {
    let strings = GuitarString::all().zip(chord.frets);
    strings.filter_map(|(string, fret)| Some((string, u8::try_from(fret).ok()?)))
}
