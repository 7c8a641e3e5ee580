//! The capo plan: which fret each player takes for each song, at the least cost there is, and why.
//!
//! Absent here: files, printing, clocks.

mod called;
mod explain;
mod figures;
mod findings;
mod frets;
mod grid;
mod merits;
mod score;
mod solve;
mod words;

pub use called::{CalledSong, called_fret};
pub use explain::{Choice, Deciding, Keys, Rushed, Why, reasons};
pub use findings::{findings, unplannable};
pub use merits::{Merit, OpenStrings};
pub use score::Cost;
pub use solve::solve;

use crate::music::{AskedKey, Family, Fret, Key};
use crate::plan::figures::{Figures, Heart};
use crate::plan::score::Score;
use crate::plan::solve::{clashes, move_score};
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
    /// More joint choices of all players than an exact plan can look at.
    TooManyChoices,
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
    fn new(set: &Set, hearts: &[Heart], frets: Vec<Fret>) -> Plan {
        let players = set.players.len();
        let mut plan = Plan {
            cost: Cost::default(),
            toil: vec![Toil::default(); players],
            frets,
        };
        for (id, heart) in set.song_ids().zip(hearts) {
            let row = &plan.frets[id.index() * players..][..players];
            plan.cost.clashes += clashes(row);
            for (index, player) in set.players.iter().enumerate() {
                let figures = Figures::new(player, heart, plan.fret(id, index));
                let moved = plan.move_into(set, id, index) != 0;
                let r#move = if moved {
                    move_score(player, set.song(id).gap)
                } else {
                    Score::ZERO
                };
                plan.cost.unplayable += figures.unplayable;
                plan.cost.rushed += r#move.rushed();
                plan.cost.effort += r#move.effort() + figures.effort(player);
                let toil = &mut plan.toil[index];
                toil.moves += u64::from(moved);
                toil.frets += figures.frets;
                toil.dislikes += figures.dislikes;
                toil.dulls += figures.dulls;
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

/// A set that is given as text, with its plan: for the tests of other rooms.
///
/// # Panics
/// Where it cannot be read or planned.
#[cfg(test)]
#[track_caller]
pub(crate) fn planned(text: &str) -> Planned {
    let set = crate::setlist::read_text(text, None).set;
    let plan = solve(&set).unwrap_or_else(|reason| panic!("{reason:?}"));
    Planned { set, plan }
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
