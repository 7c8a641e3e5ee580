//! A key called on stage: the first player's option chosen anew between the fret that is on and the next song's.

use crate::music::Fret;
use crate::plan::figures::{Figures, Heart, Rings};
use crate::plan::score::Score;
use crate::plan::solve::move_score;
use crate::plan::{Cost, Planned};
use crate::setlist::{Player, Seconds, SongId};

/// A song whose key was called, and what stands around it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CalledSong {
    pub song: SongId,
    /// From the file's keys.
    pub semitones: i32,
    /// The fret that is on; none where there is no move to pay for yet.
    pub on: Option<Fret>,
    /// The time free for a move.
    pub free: Seconds,
    /// The next song's fret, which stays as it is.
    pub next: Option<Fret>,
}

/// The first player's fret of least cost, by the plan's own order; ties to the lower fret. The other players keep their
/// shapes; one whose fret would leave the neck is left out of the count.
pub fn called_fret(planned: &Planned, called: &CalledSong) -> Fret {
    let set = &planned.set;
    let player = set.first_player();
    let heart = Heart::new(set.song(called.song), called.semitones, &mut Rings::default());
    let next_gap = set
        .song_after(called.song)
        .map_or(Seconds::NONE, |next| set.song(next).gap);
    let cost = |fret: Fret| {
        let others = (1..set.players.len()).filter_map(|other| other_fret(planned, called, other));
        let figures = Figures::new(player, &heart, fret);
        let into = way(player, called.on, fret, called.free);
        let moves = into.plus(way(player, called.next, fret, next_gap));
        Cost {
            unplayable: figures.unplayable,
            clashes: others.filter(|&other| other == fret).count() as u64,
            rushed: moves.rushed(),
            effort: figures.effort(player) + moves.effort(),
        }
    };
    player
        .highest_fret
        .up_to()
        .min_by_key(|&fret| cost(fret))
        .unwrap_or_default()
}

/// What it costs that the capo is at `fret` and, before or after that, at `other`.
fn way(player: &Player, other: Option<Fret>, fret: Fret, free: Seconds) -> Score {
    match other {
        Some(other) if other != fret => move_score(player, free),
        _ => Score::ZERO,
    }
}

/// Another player's fret, moved with the key, where that is still on the player's neck.
fn other_fret(planned: &Planned, called: &CalledSong, other: usize) -> Option<Fret> {
    let fret = i64::from(planned.plan.fret(called.song, other).number()) + i64::from(called.semitones);
    Fret::new(fret)
        .ok()
        .filter(|&fret| fret <= planned.set.players[other].highest_fret)
}
