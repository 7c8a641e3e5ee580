//! The capo plan: which fret each player takes for each song, at the least cost there is, and why.
//!
//! Absent here: files, printing, clocks.

use crate::music::{Family, Fret, Key};
use crate::setlist::{Set, SongId};

/// The four figures, compared in this order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    pub unplayable: u64,
    pub clashes: u64,
    pub rushed: u64,
    pub effort: u64,
}

/// What one player's effort is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Toil {
    pub moves: u64,
    pub frets: u64,
    pub dislikes: u64,
    pub dulls: u64,
}

/// A fret for each player and song.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    pub cost: Cost,
    /// By player.
    pub toil: Vec<Toil>,
    /// By song, then player.
    frets: Vec<Fret>,
    players: usize,
}

/// A set with its plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    pub set: Set,
    pub plan: Plan,
}

impl Plan {
    pub fn fret(&self, song: SongId, player: usize) -> Fret {
        self.frets[song.index() * self.players + player]
    }
}

/// The family of `families` (in order of liking) that sounds in `key` at `fret`.
pub fn family_of(families: &[Family], fret: Fret, key: Key) -> Option<Family> {
    Family::at(fret, key).filter(|family| families.contains(family))
}
