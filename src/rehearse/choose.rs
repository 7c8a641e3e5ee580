//! What is asked next: what is due first, then what is new, and where all is known what is least sure.

use crate::rehearse::item::Item;
use crate::rehearse::memory::Memory;

/// The place of the item to ask now, by its place the item asked last; none where nothing is due and nothing new.
pub(super) fn due(items: &[Item], memory: &Memory, now: i64, last: Option<usize>) -> Option<usize> {
    let other = |place: &usize| Some(*place) != last || items.len() == 1;
    let due_at = |place: &usize| memory.of(&items[*place].name).map(|known| known.due());
    let waiting = (0..items.len()).filter(other);
    let due = waiting
        .clone()
        .filter(|place| due_at(place).is_some_and(|due| due <= now));
    due.min_by_key(|place| due_at(place)).or_else(|| {
        let mut new = waiting.filter(|place| due_at(place).is_none());
        new.next()
    })
}

/// The place of the item that is least sure to be known; none where there is no item.
pub(super) fn shakiest(items: &[Item], memory: &Memory, now: i64, last: Option<usize>) -> Option<usize> {
    let chance = |place: &usize| memory.of(&items[*place].name).map_or(0.0, |known| known.chance(now));
    let others = (0..items.len()).filter(|place| Some(*place) != last || items.len() == 1);
    others.min_by(|a, b| chance(a).total_cmp(&chance(b)))
}

/// When the next item falls due, in seconds since 1970.
pub(super) fn next_due(items: &[Item], memory: &Memory) -> Option<i64> {
    let known = items.iter().filter_map(|item| memory.of(&item.name));
    known.map(|known| known.due()).min()
}

/// How many items are due or new.
pub(super) fn waiting(items: &[Item], memory: &Memory, now: i64) -> usize {
    let known = items.iter().map(|item| memory.of(&item.name));
    known
        .filter(|known| known.is_none_or(|known| known.due() <= now))
        .count()
}
