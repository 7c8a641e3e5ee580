//! Voicings: the playable ways to finger a chord in low position, best first.

use crate::music::hand::{self, Order, STRINGS};
use crate::music::sound::{Sound, TUNING};
use crate::music::{Chord, Fret};
use std::fmt;

/// Six strings fingered, low string first, counted from the capo.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Voicing {
    /// -1 muted, 0 open, 1 to 4.
    pub frets: [i8; STRINGS],
    /// 0 none, 1 to 4.
    pub fingers: [u8; STRINGS],
}

impl Voicing {
    /// These frets as a hand lies on them, where one can press them.
    pub fn fingered(frets: [i8; STRINGS]) -> Option<Voicing> {
        let fingers = hand::fingering(frets)?;
        Some(Voicing { frets, fingers })
    }

    pub fn open_strings(&self) -> u8 {
        self.frets.iter().filter(|&&fret| fret == 0).count() as u8
    }

    /// How many sounding strings are as they were in another voicing.
    pub fn kept_from(&self, before: &Voicing) -> usize {
        let strings = self.frets.iter().zip(&before.frets);
        strings.filter(|(fret, before)| fret == before && **fret >= 0).count()
    }

    /// The sounding notes as MIDI numbers with the capo on, low string first.
    pub fn midi(&self, capo: Fret) -> impl Iterator<Item = u8> {
        sounding(self.frets, capo)
    }

    pub(super) fn order(&self) -> Order {
        hand::order(self.frets)
    }
}

/// The notes of these frets (-1 muted) as MIDI numbers with the capo on, low string first.
pub fn sounding(frets: [i8; STRINGS], capo: Fret) -> impl Iterator<Item = u8> {
    let strings = frets.into_iter().zip(TUNING);
    strings.filter_map(move |(fret, open)| Some(open + capo.number() + u8::try_from(fret).ok()?))
}

/// `x32010`: the frets from the low string.
impl fmt::Display for Voicing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.frets.iter().try_for_each(|&fret| match fret {
            0.. => write!(f, "{fret}"),
            _ => f.write_str("x"),
        })
    }
}

/// The chord's first voicing by the order of preference, if it has one.
pub fn first_voicing(chord: Chord) -> Option<Voicing> {
    groups(chord)
        .filter_map(|group| group.first().copied().and_then(unpacked))
        .min_by_key(Voicing::order)
}

/// Every voicing of the chord, in the order of preference.
pub fn voicings(chord: Chord) -> Vec<Voicing> {
    let mut voicings: Vec<Voicing> = groups(chord).flatten().copied().filter_map(unpacked).collect();
    voicings.sort_by_cached_key(Voicing::order);
    voicings
}

/// Every hand that can be pressed, by what it sounds: made by the build script.
struct Hands {
    /// Six frets each, as digits to the base of 6, muted as 0; each sound's hands in the order of preference.
    frets: &'static [u16],
    /// Each sound, rising, with the place of its first hand.
    sounds: &'static [(u16, u16)],
}

include!(concat!(env!("OUT_DIR"), "/hands.rs"));

impl Hands {
    fn sounding(&self, sound: Sound) -> &'static [u16] {
        let Ok(found) = self.sounds.binary_search_by_key(&sound.bits(), |&(sound, _)| sound) else {
            return &[];
        };
        let place = |at: usize| {
            self.sounds
                .get(at)
                .map_or(self.frets.len(), |&(_, place)| usize::from(place))
        };
        &self.frets[place(found)..place(found + 1)]
    }
}

/// The hands that sound the chord, in one group for each choice of the notes left out.
fn groups(chord: Chord) -> impl Iterator<Item = &'static [u16]> {
    // Three strings are enough for a chord of two notes.
    let tables = match chord.quality.tones().len() {
        2 => &TABLES[..],
        _ => &TABLES[..1],
    };
    let sounds = sounds(chord).into_iter();
    sounds.flat_map(|sound| tables.iter().map(move |hands| hands.sounding(sound)))
}

/// What the chord may sound: all of its notes over its bass, less any of those that it can spare.
pub(super) fn sounds(chord: Chord) -> Vec<Sound> {
    let bass = chord.bass.unwrap_or(chord.root).pitch_class();
    let pitch = |tone| chord.root.up(tone).pitch_class();
    let tones = chord.quality.tones();
    let mut sounds = vec![Sound::new(tones.clone().map(pitch), bass)];
    for spared in tones.filter(|&tone| chord.quality.spares(tone) && pitch(tone) != bass) {
        let without: Vec<Sound> = sounds.iter().map(|sound| sound.without(pitch(spared))).collect();
        sounds.extend(without);
    }
    sounds
}

/// The hand that the build script packed.
fn unpacked(code: u16) -> Option<Voicing> {
    let mut left = code;
    let mut frets = [0; STRINGS];
    for fret in frets.iter_mut().rev() {
        *fret = (left % 6) as i8 - 1;
        left /= 6;
    }
    Voicing::fingered(frets)
}
