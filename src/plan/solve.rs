//! The exact solver: the least cost over all plans, ties to the lower fret in the earlier song.
//!
//! Unplayable keys and clashes arise within one song, whatever its neighbours do. So each song first keeps the frets
//! that leave each player the fewest keys unplayable, then the joint states of those with the fewest clashes; no
//! better plan is lost by that. Rushed moves and effort are then carried from the last song backwards.

use crate::music::Fret;
use crate::plan::figures::{FRETS, Figures, Heart, Rings};
use crate::plan::frets::Frets;
use crate::plan::grid::{Grid, Table};
use crate::plan::score::Score;
use crate::plan::{CannotPlan, PinUnmet, Plan};
use crate::setlist::{Player, Seconds, Set, SongId};

/// Joint states of one song beyond which a set is refused: five players who have all twelve frets to choose from are
/// within it, and twelve with three each.
const MOST_STATES: usize = 1 << 20;
/// Joint states of all songs together beyond which a set is refused: their scores fill a quarter of a gigabyte.
const MOST_STATES_IN_ALL: usize = 1 << 24;

/// The plan of least cost.
///
/// # Errors
/// The pins that cannot be met, or that there is too much to choose from for an exact plan.
pub fn solve(set: &Set) -> Result<Plan, CannotPlan> {
    let hearts = hearts(set);
    let unmet: Vec<PinUnmet> = unmet_pins(set, &hearts).collect();
    if !unmet.is_empty() {
        return Err(CannotPlan::PinsUnmet(unmet));
    }
    let grids: Vec<Grid> = grids(set, &hearts).collect();
    if too_many(&grids) {
        return Err(CannotPlan::TooManyChoices);
    }
    let outlook = Outlook::new(set, hearts, grids);
    let frets = outlook.best_frets(set);
    Ok(Plan::new(set, &outlook.hearts, frets))
}

pub(super) fn hearts(set: &Set) -> Vec<Heart> {
    let mut rings = Rings::default();
    set.songs().iter().map(|song| Heart::new(song, 0, &mut rings)).collect()
}

fn unmet_pins(set: &Set, hearts: &[Heart]) -> impl Iterator<Item = PinUnmet> {
    set.song_ids().zip(hearts).flat_map(move |(song, heart)| {
        let pins = set.players.iter().zip(&set.song(song).pins).enumerate();
        pins.filter(move |(_, (player, pin))| heart.allowed(player, **pin).is_empty())
            .map(move |(player, _)| PinUnmet { player, song })
    })
}

/// By song, what is worth choosing from: the frets a pin allows that leave the fewest keys unplayable.
pub(super) fn grids(set: &Set, hearts: &[Heart]) -> impl Iterator<Item = Grid> {
    set.songs().iter().zip(hearts).map(|(song, heart)| {
        let frets = set.players.iter().zip(&song.pins);
        let axes = frets.map(|(player, &pin)| heart.most_playable(player, heart.allowed(player, pin)));
        Grid { axes: axes.collect() }
    })
}

fn too_many(grids: &[Grid]) -> bool {
    let states = |grid: &Grid| grid.states().filter(|&states| states <= MOST_STATES);
    let all = grids
        .iter()
        .try_fold(0, |sum, grid| states(grid).map(|states| sum + states));
    all.is_none_or(|all| all > MOST_STATES_IN_ALL)
}

/// The songs of a set, and what is to come from each of their joint states.
pub(super) struct Outlook {
    pub(super) hearts: Vec<Heart>,
    /// By song, the least cost of it and all songs after it.
    pub(super) to_come: Vec<Table>,
}

impl Outlook {
    pub(super) fn new(set: &Set, hearts: Vec<Heart>, grids: Vec<Grid>) -> Outlook {
        let mut to_come: Vec<Table> = Vec::with_capacity(grids.len());
        for (id, grid) in set.song_ids().zip(grids).rev() {
            let mut scores = Own::new(set, &hearts[id.index()], &grid).scores;
            if let (Some(next), Some(table)) = (set.song_after(id), to_come.last()) {
                add(&mut scores, &table.carried(&grid, &moves_into(set, next)));
            }
            to_come.push(Table { grid, scores });
        }
        to_come.reverse();
        Outlook { hearts, to_come }
    }

    /// The frets of the best plan, by song, then player: the lowest there are, from the first song on.
    fn best_frets(&self, set: &Set) -> Vec<Fret> {
        let mut frets = Vec::with_capacity(set.songs().len() * set.players.len());
        let mut state = vec![Fret::OPEN; set.players.len()];
        for (id, table) in set.song_ids().zip(&self.to_come) {
            state = table.nearest(&state, &moves_into(set, id)).0;
            frets.extend_from_slice(&state);
        }
        frets
    }
}

/// What the joint states of one song cost in themselves; those with more clashes than need be are forbidden.
pub(super) struct Own {
    pub(super) clashes: u64,
    pub(super) scores: Vec<Score>,
}

impl Own {
    pub(super) fn new(set: &Set, heart: &Heart, grid: &Grid) -> Own {
        let players = set.players.iter().zip(&grid.axes);
        let efforts: Vec<[u64; FRETS]> = players.map(|(player, &axis)| efforts(player, heart, axis)).collect();
        let mut costs: Vec<(u64, u64)> = Vec::new();
        grid.each(|frets| {
            let effort = frets
                .iter()
                .zip(&efforts)
                .map(|(fret, by_fret)| by_fret[at(*fret)])
                .sum();
            costs.push((clashes(frets), effort));
        });
        let fewest = costs.iter().map(|&(clashes, _)| clashes).min().unwrap_or(0);
        let score = |(clashes, effort)| match clashes == fewest {
            true => Score::new(0, effort),
            false => Score::FORBIDDEN,
        };
        Own {
            clashes: fewest,
            scores: costs.into_iter().map(score).collect(),
        }
    }
}

fn efforts(player: &Player, heart: &Heart, frets: Frets) -> [u64; FRETS] {
    let mut by_fret = [0; FRETS];
    for fret in frets.iter() {
        by_fret[at(fret)] = Figures::new(player, heart, fret).effort(player);
    }
    by_fret
}

/// The pairs of players at one fret.
pub(super) fn clashes(frets: &[Fret]) -> u64 {
    let mut players = [0; FRETS];
    let with_those_before = frets.iter().map(|&fret| {
        players[at(fret)] += 1;
        players[at(fret)] - 1
    });
    with_those_before.sum()
}

fn at(fret: Fret) -> usize {
    usize::from(fret.number())
}

/// What a capo move into a song costs each player: nothing into the first.
pub(super) fn moves_into(set: &Set, song: SongId) -> Vec<Score> {
    let price = |player: &Player| match set.song_before(song) {
        Some(_) => move_score(player, set.song(song).gap),
        None => Score::ZERO,
    };
    set.players.iter().map(price).collect()
}

/// What a capo move costs a player who has these seconds free for it.
pub(super) fn move_score(player: &Player, free: Seconds) -> Score {
    Score::new(
        u64::from(free < player.seconds_to_move),
        u64::from(player.weights.r#move),
    )
}

pub(super) fn add(scores: &mut [Score], others: &[Score]) {
    scores
        .iter_mut()
        .zip(others)
        .for_each(|(score, other)| *score = score.plus(*other));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setlist::read_text;

    /// A set with so many players, all with the frets up to `highest`, and these lines of songs.
    fn set(players: usize, highest: u8, songs: &[&str]) -> Set {
        let player = |number| format!("  - {{ name: P{number}, highest_fret: {highest} }}\n");
        let players: String = (0..players).map(player).collect();
        let songs: String = songs.iter().map(|song| format!("  - {{ {song} }}\n")).collect();
        read_text(&format!("set: S\nplayers:\n{players}songs:\n{songs}"), None).set
    }

    #[test]
    fn a_large_band_is_planned_and_one_too_large_is_refused() {
        let e_and_c = ["song: A, key: E", "song: B, key: C"];
        let set_of = |players, highest| set(players, highest, &e_and_c);
        let plan = solve(&set_of(10, 4)).unwrap();
        // Ten players share E's three frets as 4, 3 and 3, and C's two as 5 and 5.
        assert_eq!(plan.cost.clashes, 6 + 3 + 3 + 10 + 10);
        assert_eq!(solve(&set_of(12, 11)), Err(CannotPlan::TooManyChoices));
    }

    #[test]
    fn every_pin_that_cannot_be_met_is_named_with_its_reason() {
        for (song, wanted) in [
            (
                "song: A, key: B, pin: { P0: { shapes: E } }",
                "E shapes give B at fret 7, above the highest fret, 4",
            ),
            (
                "song: A, key: B, pin: { P0: { fret: 5 } }",
                "fret 5 is above the highest fret, 4",
            ),
            (
                "song: A, key: B, pin: { P0: { fret: 3, shapes: G } }",
                "G shapes at fret 3 do not give B",
            ),
            (
                "song: A, key: Cb, pin: { P0: { fret: 0, shapes: G } }",
                "G shapes at fret 0 do not give C♭",
            ),
        ] {
            let set = set(1, 4, &["song: Z, key: C", song]);
            let error = solve(&set).unwrap_err();
            let whole = format!("the pin of `P0` in `A` cannot be met: {wanted}");
            assert_eq!(error.clauses(&set), whole, "{song}");
        }
    }
}
