//! What each fret of each player costs in each song, apart from moves and clashes.

use crate::music::{AskedKey, Chord, Fret, Heard, Interval, Key, Note, first_voicing};
use crate::plan::family_of;
use crate::plan::score::{Cost, Score};
use crate::setlist::{Pin, Player, Set, Song, SongId};
use std::collections::HashMap;

/// An open string fewer than this many in a chord's first voicing is a dull.
const OPEN_STRINGS_WANTED: u8 = 2;

/// Every player's figures for one song at one fret.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Figures {
    pub(super) unplayable: u64,
    pub(super) frets: u64,
    pub(super) dislikes: u64,
    pub(super) dulls: u64,
}

/// A song as the plan sees it: its distinct keys and the distinct chords that sound in it, each with its dulls by fret.
pub(super) struct Heart {
    /// The song's own key first.
    pub(super) keys: Vec<Key>,
    /// By fret, the dulls of all chords.
    dulls: [u64; FRETS],
}

const FRETS: usize = Fret::MAX.number() as usize + 1;

/// The dulls of chords met so far: a set has few distinct chords and many songs.
#[derive(Default)]
pub(super) struct DullCache(HashMap<Heard, u8>);

impl Figures {
    pub(super) fn new(player: &Player, heart: &Heart, fret: Fret) -> Figures {
        let mut figures = Figures {
            frets: u64::from(fret.number()),
            dulls: heart.dulls[usize::from(fret.number())],
            ..Figures::default()
        };
        for &key in &heart.keys {
            match liking(player, fret, key) {
                Some(place) => figures.dislikes += place as u64,
                None => {
                    figures.unplayable += 1;
                    figures.dislikes += player.shapes.len() as u64;
                }
            }
        }
        figures
    }

    pub(super) fn score(&self, player: &Player) -> Score {
        Score::new(Cost {
            unplayable: self.unplayable,
            effort: self.effort(player),
            ..Cost::default()
        })
    }

    pub(super) fn effort(&self, player: &Player) -> u64 {
        let weights = player.weights;
        u64::from(weights.fret) * self.frets
            + u64::from(weights.dislike) * self.dislikes
            + u64::from(weights.dull) * self.dulls
    }
}

/// The place in the player's list of the family that gives `key` at `fret`.
fn liking(player: &Player, fret: Fret, key: Key) -> Option<usize> {
    let family = family_of(&player.shapes, fret, key)?;
    player.shapes.iter().position(|&liked| liked == family)
}

impl Heart {
    /// The song as written, or `semitones` higher.
    pub(super) fn new(set: &Set, id: SongId, semitones: i32, cache: &mut DullCache) -> Heart {
        let song = set.song(id);
        let mut chords = sounding_chords(song, semitones);
        chords.sort_unstable();
        chords.dedup();
        let mut dulls = [0; FRETS];
        for chord in chords {
            for (fret, sum) in Fret::MAX.up_to().zip(&mut dulls) {
                *sum += u64::from(cache.dulls(fingered(chord, fret)));
            }
        }
        let keys = song_keys(song)
            .into_iter()
            .map(|asked| moved(asked.key(), semitones))
            .collect();
        Heart { keys, dulls }
    }
}

/// The keys of a song, its own first, then those of its played steps; keys with the same seven notes count once.
pub(super) fn song_keys(song: &Song) -> Vec<AskedKey> {
    let mut keys = vec![song.key];
    for &section in &song.steps {
        let key = song.sections[section].key;
        if keys.iter().all(|known| !known.key().shares_notes_with(key.key())) {
            keys.push(key);
        }
    }
    keys
}

fn moved(key: Key, semitones: i32) -> Key {
    if semitones == 0 {
        key
    } else {
        key.transposed(semitones, semitones > 0)
    }
}

/// Every chord of the played steps that the capo can help: none of two notes.
fn sounding_chords(song: &Song, semitones: i32) -> Vec<Heard> {
    let mut played = vec![false; song.sections.len()];
    song.steps.iter().for_each(|&section| played[section] = true);
    let sections = song.sections.iter().zip(played).filter(|(_, played)| *played);
    let mut chords = Vec::new();
    for (section, _) in sections {
        let home = section.key.key().relative_major().tonic();
        let all = section.chords.bars.iter().flat_map(|bar| bar.chords.iter().flatten());
        chords.extend(
            all.map(|chord| chord.on(home).heard())
                .filter(|chord| chord.quality.tones().len() > 2),
        );
    }
    for chord in &mut chords {
        chord.root = chord.root.up(semitones);
        chord.bass = chord.bass.up(semitones);
    }
    chords
}

/// The chord as fingered behind a capo.
pub(super) fn fingered(sounding: Heard, capo: Fret) -> Heard {
    let down = -i32::from(capo.number());
    Heard {
        root: sounding.root.up(down),
        bass: sounding.bass.up(down),
        ..sounding
    }
}

impl DullCache {
    /// How many open strings the chord's first voicing lacks; the most where it has no voicing.
    pub(super) fn dulls(&mut self, fingered: Heard) -> u8 {
        *self.0.entry(fingered).or_insert_with(|| {
            let open = first_voicing(spelled(fingered)).map_or(0, |voicing| voicing.open_strings());
            OPEN_STRINGS_WANTED.saturating_sub(open)
        })
    }
}

/// Any spelling will do: only the sound is asked for.
fn spelled(heard: Heard) -> Chord {
    let note = |pitch: crate::music::PitchClass| Note::C.up(Interval::fifths((pitch.number() * 7 % 12) as i8));
    Chord::new(note(heard.root), heard.quality, Some(note(heard.bass)))
}

/// The frets that a pin leaves a player for a song.
pub(super) fn allowed<'a>(player: &'a Player, song: &Song, pin: Option<Pin>) -> impl Iterator<Item = Fret> + use<'a> {
    let key = song.key.key();
    player.highest_fret.up_to().filter(move |&fret| {
        pin.is_none_or(|pin| {
            pin.fret.is_none_or(|pinned| pinned == fret)
                && pin
                    .shapes
                    .is_none_or(|shapes| family_of(&player.shapes, fret, key) == Some(shapes))
        })
    })
}
