//! The capo plan: which fret each player takes for each song, at the least cost there is, and why.
//!
//! Absent here: files, printing, clocks.

mod called;
mod explain;
mod figures;
mod findings;
mod score;
mod solve;
mod words;

pub use called::{CalledSong, called_fret};
pub use explain::{Choice, Deciding, Why, explain};
pub use findings::{findings, unplannable};
pub use score::Cost;
pub use solve::solve;

use crate::music::{AskedKey, Family, Fret, Key};
use crate::plan::figures::{DullCache, Figures, Heart};
use crate::setlist::{Set, SongId};

/// What one player's effort is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Toil {
    pub moves: u64,
    pub frets: u64,
    pub dislikes: u64,
    pub dulls: u64,
}

/// A fret for each player and song, and what that costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    pub cost: Cost,
    /// By player.
    pub toil: Vec<Toil>,
    /// By song, then player.
    frets: Vec<Fret>,
}

/// A set with its plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    pub set: Set,
    pub plan: Plan,
}

/// Why a set has no plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CannotPlan {
    PinsUnmet(Vec<PinUnmet>),
    /// More joint choices than can be looked at.
    TooManyPlayers {
        players: usize,
        songs: usize,
    },
}

/// A pin that leaves its player no fret.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PinUnmet {
    /// A place in the set's players.
    pub player: usize,
    pub song: SongId,
}

impl Plan {
    /// Adds up what these frets (by song, then player) cost.
    fn new(set: &Set, frets: Vec<Fret>) -> Plan {
        let players = set.players.len();
        let mut plan = Plan {
            cost: Cost::default(),
            toil: vec![Toil::default(); players],
            frets,
        };
        let mut cache = DullCache::default();
        for id in set.song_ids() {
            let heart = Heart::new(set, id, 0, &mut cache);
            let row = &plan.frets[id.index() * players..][..players];
            for (index, player) in set.players.iter().enumerate() {
                let figures = Figures::new(player, &heart, row[index]);
                let moved = plan.move_into(set, id, index) != 0;
                let toil = &mut plan.toil[index];
                toil.moves += u64::from(moved);
                toil.frets += figures.frets;
                toil.dislikes += figures.dislikes;
                toil.dulls += figures.dulls;
                let rushed = moved && set.song(id).gap < player.seconds_to_move;
                plan.cost += Cost {
                    unplayable: figures.unplayable,
                    clashes: row[..index].iter().filter(|&&other| other == row[index]).count() as u64,
                    rushed: u64::from(rushed),
                    effort: figures.effort(player) + u64::from(moved) * u64::from(player.weights.r#move),
                };
            }
        }
        plan
    }

    /// A player's capo fret for a song.
    pub fn fret(&self, song: SongId, player: usize) -> Fret {
        self.frets[song.index() * self.toil.len() + player]
    }

    /// Frets that a player's capo goes up into a song, negative for down; 0 for the first.
    pub fn move_into(&self, set: &Set, song: SongId, player: usize) -> i8 {
        set.song_before(song)
            .map_or(0, |before| self.fret(song, player).move_from(self.fret(before, player)))
    }
}

/// The family of `families` (in order of liking) that sounds in `key` at `fret`.
pub fn family_of(families: &[Family], fret: Fret, key: Key) -> Option<Family> {
    Family::at(fret, key).filter(|family| families.contains(family))
}

/// The keys that a song is planned for: its own first, then those of its played steps, those with the same seven notes
/// once.
pub fn keys_of(set: &Set, song: SongId) -> Vec<AskedKey> {
    figures::song_keys(set.song(song))
}
