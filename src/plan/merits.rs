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
    /// The other songs, or the other players, have less effort.
    Elsewhere,
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

/// The parts of the effort, the ones that say most first.
#[derive(Clone, Copy)]
enum Part {
    Dulls,
    Moves,
    Dislikes,
    Frets,
    Elsewhere,
}

/// What speaks most for `taken` against `second`, and what most against it, where `saved` is the effort saved in all.
pub(super) fn merits(
    player: &Player,
    taken: &Stand,
    second: &Stand,
    saved: i64,
    mut ringing: impl FnMut(Fret, Fret) -> Merit,
) -> (Merit, Option<Merit>) {
    let part = |of: fn(&Stand) -> u64, weight: u16| (of(second) as i64 - of(taken) as i64) * i64::from(weight);
    let mut parts = [
        (part(|stand| stand.figures.dulls, player.weights.dull), Part::Dulls),
        (part(|stand| stand.moves, player.weights.r#move), Part::Moves),
        (
            part(|stand| stand.figures.dislikes, player.weights.dislike),
            Part::Dislikes,
        ),
        (part(|stand| stand.figures.frets, player.weights.fret), Part::Frets),
        (saved, Part::Elsewhere),
    ];
    parts[4].0 -= parts[..4].iter().map(|(saved, _)| saved).sum::<i64>();
    let mut merit = |part: Part, fret: &Stand, other: &Stand| match part {
        Part::Dulls => ringing(fret.fret, other.fret),
        Part::Moves => Merit::Moves {
            fewer: other.moves - fret.moves,
        },
        Part::Dislikes => Merit::Liked,
        Part::Frets => Merit::Lower {
            frets: other.figures.frets - fret.figures.frets,
        },
        Part::Elsewhere => Merit::Elsewhere,
    };
    // A stable sort: of parts that save as much, the first stays first.
    parts.sort_by_key(|&(saved, _)| -saved);
    let (_, best) = parts[0];
    let (lost, worst) = parts[4];
    let best = merit(best, taken, second);
    (best, (lost < 0).then(|| merit(worst, second, taken)))
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
