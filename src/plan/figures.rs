//! What each fret of each player costs in each song, apart from moves and clashes.

use crate::music::{AskedKey, Chord, Family, Fret, Heard, Interval, Note, PitchClass, first_voicing};
use crate::plan::frets::Frets;
use crate::setlist::{Pin, Player, Section, Song};
use std::collections::HashMap;

/// An open string fewer than this many in a chord's first voicing is a dull.
const OPEN_STRINGS_WANTED: u8 = 2;
/// How many frets a capo may sit at, none included.
pub(super) const FRETS: usize = Fret::MAX.number() as usize + 1;

/// A player's figures for one song at one fret.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Figures {
    pub(super) unplayable: u64,
    pub(super) frets: u64,
    pub(super) dislikes: u64,
    pub(super) dulls: u64,
}

/// A song as the plan sees it: its distinct keys, and the dulls of the distinct chords that sound in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heart {
    /// The home note of the song's own key (of its relative major).
    own: PitchClass,
    /// The home notes of all its keys, a bit each.
    homes: u16,
    /// By fret, over all chords.
    dulls: [u32; FRETS],
}

/// How the chords met so far ring, by fret: a set has few distinct chords and many songs.
#[derive(Default)]
pub(super) struct Rings(HashMap<Heard, [Ring; FRETS]>);

/// How a chord rings: in the open strings of its first voicing, none where it has no voicing.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Ring {
    pub(super) open_strings: u8,
}

impl Figures {
    pub(super) fn new(player: &Player, heart: &Heart, fret: Fret) -> Figures {
        let mut figures = Figures {
            unplayable: u64::from(heart.homes.count_ones()),
            frets: u64::from(fret.number()),
            dulls: u64::from(heart.dulls[usize::from(fret.number())]),
            dislikes: 0,
        };
        for (place, family) in (0..).zip(&player.shapes) {
            if heart.homes >> family.sounds(fret).number() & 1 == 1 {
                figures.unplayable -= 1;
                figures.dislikes += place;
            }
        }
        figures.dislikes += figures.unplayable * player.shapes.len() as u64;
        figures
    }

    pub(super) fn effort(&self, player: &Player) -> u64 {
        let weights = player.weights;
        u64::from(weights.fret) * self.frets
            + u64::from(weights.dislike) * self.dislikes
            + u64::from(weights.dull) * self.dulls
    }
}

impl Heart {
    /// The song as written, or `semitones` higher.
    pub(super) fn new(song: &Song, semitones: i32, rings: &mut Rings) -> Heart {
        let home = |asked: AskedKey| asked.key().relative_major().tonic().pitch_class().up(semitones);
        let own = home(song.key);
        let homes = played(song).fold(1 << own.number(), |homes, section| {
            homes | 1 << home(section.key).number()
        });
        let mut dulls = [0; FRETS];
        for chord in sounding_chords(song, semitones) {
            for (sum, ring) in dulls.iter_mut().zip(rings.by_fret(chord)) {
                *sum += u32::from(ring.dulls());
            }
        }
        Heart { own, homes, dulls }
    }

    /// The frets that a pin leaves a player for this song.
    pub(super) fn allowed(&self, player: &Player, pin: Option<Pin>) -> Frets {
        let gives = |shapes: Family, fret| player.shapes.contains(&shapes) && shapes.sounds(fret) == self.own;
        let obeys = |pin: Pin, fret: Fret| {
            pin.fret.is_none_or(|pinned| pinned == fret) && pin.shapes.is_none_or(|shapes| gives(shapes, fret))
        };
        let frets = player.highest_fret.up_to();
        frets.filter(|&fret| pin.is_none_or(|pin| obeys(pin, fret))).collect()
    }

    /// Of these frets, those that leave a player the fewest of the song's keys unplayable.
    pub(super) fn most_playable(&self, player: &Player, frets: Frets) -> Frets {
        frets.least_by(|fret| Figures::new(player, self, fret).unplayable)
    }
}

/// The keys of a song, its own first, then those of its played steps; keys with the same seven notes count once.
pub(super) fn song_keys(song: &Song) -> Vec<AskedKey> {
    let mut keys = vec![song.key];
    for section in song.steps.iter().map(|&section| &song.sections[section]) {
        if keys
            .iter()
            .all(|known| !known.key().shares_notes_with(section.key.key()))
        {
            keys.push(section.key);
        }
    }
    keys
}

/// The sections that are played, each once.
fn played(song: &Song) -> impl Iterator<Item = &Section> {
    let mut played = vec![false; song.sections.len()];
    song.steps.iter().for_each(|&section| played[section] = true);
    let sections = song.sections.iter().zip(played);
    sections.filter(|(_, played)| *played).map(|(section, _)| section)
}

/// Every distinct chord of the played steps that a capo can help: none of two notes.
fn sounding_chords(song: &Song, semitones: i32) -> Vec<Heard> {
    let mut chords: Vec<Heard> = Vec::new();
    for section in played(song) {
        let home = section.key.key().relative_major().tonic();
        let all = section.chords.bars.iter().flat_map(|bar| bar.chords.iter().flatten());
        let heard = all.map(|chord| transposed(chord.on(home).heard(), semitones));
        chords.extend(heard.filter(|&chord| counts(chord)));
    }
    chords.sort_unstable();
    chords.dedup();
    chords
}

/// Whether a chord's ringing counts: that of a chord of two notes does not.
pub(super) fn counts(chord: Heard) -> bool {
    chord.quality.tones().len() > 2
}

fn transposed(chord: Heard, semitones: i32) -> Heard {
    Heard {
        root: chord.root.up(semitones),
        bass: chord.bass.up(semitones),
        ..chord
    }
}

impl Rings {
    /// By fret, how what is fingered there for `sounding` rings.
    pub(super) fn by_fret(&mut self, sounding: Heard) -> &[Ring; FRETS] {
        self.0.entry(sounding).or_insert_with(|| {
            let mut rings = [Ring::default(); FRETS];
            for (capo, ring) in (0..).zip(&mut rings) {
                let voicing = first_voicing(spelled(transposed(sounding, -capo)));
                ring.open_strings = voicing.map_or(0, |voicing| voicing.open_strings());
            }
            rings
        })
    }
}

impl Ring {
    pub(super) fn dulls(self) -> u8 {
        OPEN_STRINGS_WANTED.saturating_sub(self.open_strings)
    }
}

/// Any spelling will do: only the sound is asked for.
fn spelled(heard: Heard) -> Chord {
    let note = |pitch: PitchClass| Note::C.up(Interval::fifths((pitch.number() * 7 % 12) as i8));
    Chord::new(note(heard.root), heard.quality, Some(note(heard.bass)))
}
