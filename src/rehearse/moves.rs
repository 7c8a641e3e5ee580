//! How long a player's capo moves really take.

use crate::rehearse::item::{Item, Kind};
use crate::rehearse::memory::Memory;

/// Fewer moves than this say little.
const ENOUGH: usize = 5;
/// Of each item the last so many count: a player gets faster.
const LATEST: usize = 8;

/// The seconds that half of the latest capo moves of a set stay under; none before there are enough of them.
pub fn usual_seconds(items: &[Item], memory: &Memory) -> Option<f32> {
    let moves = items
        .iter()
        .filter(|item| matches!(item.kind, Kind::Move { capo_moves: true, .. }));
    let known = moves.filter_map(|item| memory.of(&item.name));
    let mut seconds: Vec<f32> = known
        .flat_map(|known| known.given.iter().rev().filter(|given| given.right).take(LATEST))
        .map(|given| given.seconds)
        .collect();
    if seconds.len() < ENOUGH {
        return None;
    }
    seconds.sort_by(f32::total_cmp);
    Some(seconds[seconds.len() / 2])
}
