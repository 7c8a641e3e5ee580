//! The phrases: invented, in low position, three to five seconds; and how a hand varies them.

use crate::ear::playing::{LEAD_S, Note};
use crate::ear::pluck::Pluck;
use crate::ear::string::Damping;
use crate::ear::strokes::{self, Stroke};
use crate::ear::units::{Chance, Decibels, Millimetres, Seed};
use crate::music::{Fret, Voicing};

/// A way of playing that the ear is trained on; the names are those that a set gives techniques.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phrase {
    /// Two chords, each left to ring for a bar.
    Diamonds,
    /// A chord, a string at a time.
    Arpeggio,
    /// Eighths on two strings.
    DownStrokes,
    /// One string.
    Note,
    /// Six notes on the two low strings, palm muted.
    Riff,
}

/// What the phrases are played on: chords as fingered, and the capo.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// At least one; the phrases with one chord take the first, or one by chance.
    chords: Vec<Voicing>,
    capo: Fret,
}

/// The pick wanders so far from its usual place, in millimetres, either way.
const WANDER_MM: f64 = 6.0;
/// A hand is early or late by so much, in seconds.
const TIMING_S: f64 = 0.008;
/// Strokes differ by so much either way. (Common practice, no source.)
const STRENGTH_DB: f64 = 1.5;
/// From one string of a chord to the next, in seconds. (Common practice, no source.)
const NEXT_STRING_S: (f64, f64) = (0.008, 0.025);

impl Phrase {
    /// From the easiest to tell positions by to the hardest.
    pub const LADDER: [Phrase; 5] = [
        Phrase::Diamonds,
        Phrase::Arpeggio,
        Phrase::DownStrokes,
        Phrase::Note,
        Phrase::Riff,
    ];

    pub fn name(self) -> &'static str {
        match self {
            Phrase::Diamonds => "diamonds",
            Phrase::Arpeggio => "arpeggio",
            Phrase::DownStrokes => "down strokes",
            Phrase::Note => "note",
            Phrase::Riff => "riff",
        }
    }

    pub fn parse(name: &str) -> Option<Phrase> {
        Self::LADDER.into_iter().find(|phrase| phrase.name() == name)
    }

    /// The phrase as one hand plays it. `question` settles what is played, alike for all choices of a question;
    /// `playing` how: the pick's place, the timing and the strength of every stroke, so that two playings are never
    /// equal and the ear must find the pickup, not the copy.
    pub fn played(self, material: &Material, question: Seed, playing: Seed) -> Vec<Note> {
        let strokes = self.written(material, &mut question.chance());
        let mut chance = playing.chance();
        let hands = strokes
            .iter()
            .map(|stroke| stroke.hand)
            .max()
            .map_or(0, |last| last + 1);
        let timing: Vec<f64> = (0..hands).map(|_| chance.between(-TIMING_S, TIMING_S)).collect();
        let mut notes: Vec<Note> = Vec::new();
        let mut before: Option<(usize, f64)> = None;
        for stroke in strokes {
            let start_s = match before {
                // The strings of one chord follow each other, low first.
                Some((hand, start)) if hand == stroke.hand => start + chance.between(NEXT_STRING_S.0, NEXT_STRING_S.1),
                _ => LEAD_S + stroke.start_s + TIMING_S + timing[stroke.hand],
            };
            before = Some((stroke.hand, start_s));
            notes.push(Note {
                start_s,
                end_s: LEAD_S + stroke.end_s,
                string: stroke.string,
                fret: stroke.fret + material.capo.number(),
                damping: stroke.damping,
                pluck: pluck(stroke.damping, &mut chance),
            });
        }
        damp_by_the_next(&mut notes);
        notes
    }

    fn written(self, material: &Material, chance: &mut Chance) -> Vec<Stroke> {
        match self {
            Phrase::Diamonds => strokes::diamonds(&material.chords),
            Phrase::Arpeggio => strokes::arpeggio(material.by_chance(chance)),
            Phrase::DownStrokes => strokes::down_strokes(material.by_chance(chance)),
            Phrase::Note => strokes::note(chance),
            Phrase::Riff => strokes::riff(),
        }
    }
}

impl Default for Material {
    /// The open chords E and A.
    fn default() -> Material {
        let shapes = [[0, 2, 2, 1, 0, 0], [-1, 0, 2, 2, 2, 0]];
        Material {
            chords: shapes.into_iter().filter_map(Voicing::fingered).collect(),
            capo: Fret::OPEN,
        }
    }
}

impl Material {
    /// These chords; the usual ones where there are none.
    pub fn new(chords: Vec<Voicing>, capo: Fret) -> Material {
        let chords = if chords.is_empty() {
            Material::default().chords
        } else {
            chords
        };
        Material { chords, capo }
    }

    pub fn capo(&self) -> Fret {
        self.capo
    }

    fn by_chance(&self, chance: &mut Chance) -> &[Voicing] {
        let place = chance.place(self.chords.len());
        &self.chords[place..]
    }
}

fn pluck(damping: Damping, chance: &mut Chance) -> Pluck {
    let place = match damping {
        Damping::Open => Pluck::USUAL_PLACE,
        Damping::PalmMute => Pluck::MUTED_PLACE,
    };
    Pluck {
        place: Millimetres::new(place.mm() + chance.between(-WANDER_MM, WANDER_MM)),
        strength: Decibels::new(chance.between(-STRENGTH_DB, STRENGTH_DB)).amplitude(),
    }
}

/// A string sounds one note at a time.
fn damp_by_the_next(notes: &mut [Note]) {
    for at in 0..notes.len() {
        let next = notes[at + 1..].iter().find(|next| next.string == notes[at].string);
        if let Some(next) = next.map(|next| next.start_s) {
            notes[at].end_s = notes[at].end_s.min(next);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_phrase_lasts_three_to_five_seconds_and_no_string_sounds_two_notes() {
        for phrase in Phrase::LADDER {
            for seed in 0..20 {
                let notes = phrase.played(&Material::default(), Seed::new(seed), Seed::new(seed + 100));
                let end = notes.iter().map(|note| note.end_s).fold(0.0, f64::max);
                assert!((3.0..=5.0).contains(&end), "{}: {end} s", phrase.name());
                for (at, note) in notes.iter().enumerate() {
                    assert!(
                        note.start_s >= LEAD_S && note.start_s < note.end_s,
                        "{}: {note:?}",
                        phrase.name()
                    );
                    let later = notes[at + 1..].iter().filter(|later| later.string == note.string);
                    later.for_each(|later| assert!(later.start_s >= note.end_s, "{}: {later:?}", phrase.name()));
                }
            }
        }
    }

    #[test]
    fn two_playings_of_one_question_differ_in_touch_alone() {
        for phrase in Phrase::LADDER {
            let play = |playing| phrase.played(&Material::default(), Seed::new(5), Seed::new(playing));
            let (one, other) = (play(1), play(2));
            let what = |notes: &[Note]| notes.iter().map(|note| (note.string, note.fret)).collect::<Vec<_>>();
            assert_eq!(what(&one), what(&other), "{}", phrase.name());
            for (a, b) in one.iter().zip(&other) {
                assert!(a.pluck != b.pluck && a.start_s != b.start_s, "{}", phrase.name());
                assert!((a.pluck.place.mm() - b.pluck.place.mm()).abs() <= 2.0 * WANDER_MM);
            }
            assert_eq!(play(1), one, "the same seed");
        }
    }

    #[test]
    fn a_capo_raises_every_note() {
        let capo = Fret::new(3).unwrap();
        let high = Material::new(Vec::new(), capo);
        for phrase in Phrase::LADDER {
            let frets = |material: &Material| -> Vec<u8> {
                let notes = phrase.played(material, Seed::new(5), Seed::new(6));
                notes.into_iter().map(|note| note.fret).collect()
            };
            let raised: Vec<u8> = frets(&Material::default()).into_iter().map(|fret| fret + 3).collect();
            assert_eq!(frets(&high), raised, "{}", phrase.name());
        }
    }
}
