//! What makes one fret less effort than another for one player in one song: fewer moves, a lower fret, better liked
//! shapes, more open strings, or what it brings elsewhere.

use crate::music::{Fret, Heard};
use crate::plan::figures::{Figures, Rings, counts};
use crate::setlist::{Player, Set, SongId};

/// One thing that speaks for a fret and against another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Merit {
    /// The song's chords have more open strings, all in all.
    Rings { more: OpenStrings, less: OpenStrings },
    /// Fewer capo moves into this song and out of it.
    Moves { fewer: u64 },
    /// The shapes stand earlier in the player's list.
    Liked,
    /// So many frets lower on the neck.
    Lower { frets: u64 },
    /// Another player (a place in the set's players) has less effort in this song.
    Other { player: usize },
    /// The other songs have less effort.
    OtherSongs,
}

/// Open strings that some chords have more than they would at the other fret, none where there are no such chords.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OpenStrings {
    pub strings: u64,
    /// By number, in the order in which they are played.
    pub chords: Vec<String>,
}

/// A player at a fret in a song, with the moves into it and out of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stand {
    pub(super) fret: Fret,
    pub(super) moves: u64,
    pub(super) figures: Figures,
}

/// A part of the effort.
#[derive(Clone, Copy)]
enum Part {
    Dulls,
    Moves,
    Dislikes,
    Frets,
    Other(usize),
    OtherSongs,
}

/// What speaks most for `taken` against `second`, and what most against it: by player, where each stands in the song.
/// `saved` is the effort saved in all.
pub(super) fn merits(
    players: &[Player],
    player: usize,
    taken: &[Stand],
    second: &[Stand],
    saved: i64,
    mut ringing: impl FnMut(Fret, Fret) -> Merit,
) -> (Merit, Option<Merit>) {
    let mut parts = parts(players, player, taken, second);
    let here: i64 = parts.iter().map(|(saved, _)| saved).sum();
    parts.push((saved - here, Part::OtherSongs));
    let mut merit = |part: Part, stand: &Stand, other: &Stand| match part {
        Part::Dulls => ringing(stand.fret, other.fret),
        Part::Moves => Merit::Moves {
            fewer: other.moves - stand.moves,
        },
        Part::Dislikes => Merit::Liked,
        Part::Frets => Merit::Lower {
            frets: other.figures.frets - stand.figures.frets,
        },
        Part::Other(player) => Merit::Other { player },
        Part::OtherSongs => Merit::OtherSongs,
    };
    let (taken, second) = (&taken[player], &second[player]);
    // Of parts that save as much, the first says more.
    let best = parts.iter().rev().max_by_key(|(saved, _)| *saved);
    let worst = parts
        .iter()
        .min_by_key(|(saved, _)| *saved)
        .filter(|(saved, _)| *saved < 0);
    let best = best.map_or(Merit::OtherSongs, |&(_, part)| merit(part, taken, second));
    (best, worst.map(|&(_, part)| merit(part, second, taken)))
}

/// The effort that each part saves in this song, the parts that say most first.
fn parts(players: &[Player], player: usize, taken: &[Stand], second: &[Stand]) -> Vec<(i64, Part)> {
    let saved = |of: fn(&Stand) -> u64, weight: u16| {
        let figures = |stands: &[Stand]| of(&stands[player]) as i64;
        (figures(second) - figures(taken)) * i64::from(weight)
    };
    let weights = players[player].weights;
    let own = [
        (saved(|stand| stand.figures.dulls, weights.dull), Part::Dulls),
        (saved(|stand| stand.moves, weights.r#move), Part::Moves),
        (saved(|stand| stand.figures.dislikes, weights.dislike), Part::Dislikes),
        (saved(|stand| stand.figures.frets, weights.fret), Part::Frets),
    ];
    let others = (0..players.len()).filter(|&other| other != player);
    let others = others.map(|other| {
        let effort = |stands: &[Stand]| stands[other].effort(&players[other]) as i64;
        (effort(second) - effort(taken), Part::Other(other))
    });
    own.into_iter().chain(others).collect()
}

impl Stand {
    fn effort(&self, player: &Player) -> u64 {
        self.figures.effort(player) + self.moves * u64::from(player.weights.r#move)
    }
}

/// Compares how the chords of songs ring.
#[derive(Default)]
pub(super) struct Ringing(Rings);

impl Ringing {
    /// What the song's chords gain and lose in open strings at `fret` against `other`.
    pub(super) fn compared(&mut self, set: &Set, song: SongId, fret: Fret, other: Fret) -> Merit {
        let (mut more, mut less) = (OpenStrings::default(), OpenStrings::default());
        let mut seen: Vec<Heard> = Vec::new();
        for section in set.steps(song).map(|step| set.section(step)) {
            let key = section.key.key();
            for chord in section.chords.distinct() {
                let heard = chord.on(key.relative_major().tonic()).heard();
                if !counts(heard) || seen.contains(&heard) {
                    continue;
                }
                seen.push(heard);
                let rings = self.0.by_fret(heard);
                let [here, there] = [fret, other].map(|fret| rings[usize::from(fret.number())]);
                let side = match here.dulls().cmp(&there.dulls()) {
                    std::cmp::Ordering::Less => &mut more,
                    std::cmp::Ordering::Equal => continue,
                    std::cmp::Ordering::Greater => &mut less,
                };
                side.strings += u64::from(here.open_strings.abs_diff(there.open_strings));
                side.chords.push(chord.written(key, set.numbering));
            }
        }
        Merit::Rings { more, less }
    }
}
