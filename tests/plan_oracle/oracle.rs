//! What plans cost, worked out anew from the rules and kept slow and readable; and the best of all plans there are.

use crate::evening::{CHORDS, Evening, FAMILIES, Guitarist, KEYS, Piece};
use footlights::music::{Chord, first_voicing};
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Unplayable, clashes, rushed, effort.
pub(crate) type Figures = [u64; 4];

/// By song, then player, in one row.
pub(crate) type Frets = Vec<u8>;

const NOTES: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];

/// What each fret costs each player in each song, apart from moves and clashes: unplayable keys, and effort.
pub(crate) struct Prices {
    /// By song, player and fret.
    frets: Vec<Vec<[(u64, u64); 12]>>,
}

impl Prices {
    pub(crate) fn of(evening: &Evening) -> Prices {
        let song = |piece: &Piece| {
            evening
                .players
                .iter()
                .map(|player| std::array::from_fn(|fret| price(player, piece, fret as u8)))
                .collect()
        };
        Prices {
            frets: evening.songs.iter().map(song).collect(),
        }
    }

    /// What a whole plan costs.
    pub(crate) fn plan(&self, evening: &Evening, frets: &Frets) -> Figures {
        let players = evening.players.len();
        let mut sum = [0; 4];
        for (song, row) in frets.chunks(players).enumerate() {
            let before = song.checked_sub(1).map(|before| &frets[before * players..][..players]);
            let cost = self.song(evening, song, before, row);
            sum = std::array::from_fn(|figure| sum[figure] + cost[figure]);
        }
        sum
    }

    /// What one song costs, with the moves into it.
    pub(crate) fn song(&self, evening: &Evening, song: usize, before: Option<&[u8]>, frets: &[u8]) -> Figures {
        let [mut unplayable, mut clashes, mut rushed, mut effort] = [0; 4];
        for (index, player) in evening.players.iter().enumerate() {
            let (keys, work) = self.frets[song][index][usize::from(frets[index])];
            unplayable += keys;
            effort += work;
            clashes += frets[..index].iter().filter(|&&other| other == frets[index]).count() as u64;
            if before.is_some_and(|before| before[index] != frets[index]) {
                effort += player.weights[0];
                rushed += u64::from(evening.songs[song].gap < player.seconds_to_move);
            }
        }
        [unplayable, clashes, rushed, effort]
    }
}

fn price(player: &Guitarist, piece: &Piece, fret: u8) -> (u64, u64) {
    let played = || piece.sections.iter().filter(|part| part.played);
    let homes: BTreeSet<u8> = played()
        .map(|part| part.key)
        .chain([piece.key])
        .map(|key| KEYS[key].1)
        .collect();
    let (mut unplayable, mut dislikes) = (0, 0);
    for home in homes {
        match player
            .shapes
            .iter()
            .position(|&family| (FAMILIES[family].1 + fret) % 12 == home)
        {
            Some(place) => dislikes += place as u64,
            None => {
                unplayable += 1;
                dislikes += player.shapes.len() as u64;
            }
        }
    }
    let chords = played().flat_map(|part| &part.chords).copied();
    // Of chords that sound alike under two names, the first counts.
    let sound = |chord: usize| (CHORDS[chord].1, CHORDS[chord].2, CHORDS[chord].3);
    let chords: BTreeSet<usize> = chords
        .filter_map(|chord| (0..CHORDS.len()).find(|&first| sound(first) == sound(chord)))
        .collect();
    let dulls: u64 = chords.into_iter().map(|chord| DULLS[chord][usize::from(fret)]).sum();
    let [_, a_fret, dislike, dull] = player.weights;
    (unplayable, a_fret * u64::from(fret) + dislike * dislikes + dull * dulls)
}

/// By chord and fret.
static DULLS: LazyLock<[[u64; 12]; CHORDS.len()]> =
    LazyLock::new(|| std::array::from_fn(|chord| std::array::from_fn(|fret| dulls(chord, fret as u8))));

/// Two less the open strings of the first voicing, which other tests hold against published fingerings; none for a
/// chord of two notes.
fn dulls(chord: usize, fret: u8) -> u64 {
    let (_, root, quality, bass, three_notes) = CHORDS[chord];
    let note = |pitch: u8| NOTES[usize::from((12 + pitch - fret) % 12)];
    let bass = bass.map(|bass| format!("/{}", note(bass))).unwrap_or_default();
    let fingered = Chord::parse(&format!("{}{quality}{bass}", note(root))).unwrap();
    let open = first_voicing(fingered).map_or(0, |voicing| voicing.frets.iter().filter(|&&fret| fret == 0).count());
    if three_notes {
        2_u64.saturating_sub(open as u64)
    } else {
        0
    }
}

/// The frets that a song's pins and the players' highest frets allow, by player.
pub(crate) fn allowed(evening: &Evening, song: usize) -> Vec<Vec<u8>> {
    let piece = &evening.songs[song];
    let home = KEYS[piece.key].1;
    let players = evening.players.iter().zip(&piece.pins);
    let allowed = players.map(|(player, pin)| {
        let gives =
            |family: usize, fret: u8| player.shapes.contains(&family) && (FAMILIES[family].1 + fret) % 12 == home;
        let obeys = |fret: u8| {
            pin.is_none_or(|pin| {
                pin.fret.is_none_or(|pinned| pinned == fret) && pin.shapes.is_none_or(|family| gives(family, fret))
            })
        };
        (0..=player.highest_fret).filter(|&fret| obeys(fret)).collect()
    });
    allowed.collect()
}

/// Every choice of one from each list, in the order of a dictionary.
pub(crate) fn choices(lists: &[Vec<u8>]) -> Vec<Vec<u8>> {
    let one_more = |so_far: Vec<Vec<u8>>, list: &Vec<u8>| {
        let longer = |choice: Vec<u8>| {
            list.iter()
                .map(move |&one| choice.iter().copied().chain([one]).collect())
        };
        so_far.into_iter().flat_map(longer).collect()
    };
    lists.iter().fold(vec![Vec::new()], one_more)
}

/// Every plan there is, in the order of its frets: the first of the best is the one to take.
pub(crate) fn all_plans(evening: &Evening) -> Vec<Frets> {
    let songs = evening.songs.len();
    let frets: Vec<Vec<u8>> = (0..songs).flat_map(|song| allowed(evening, song)).collect();
    if frets.iter().any(Vec::is_empty) {
        return Vec::new();
    }
    choices(&frets)
}
