//! Why each player has their fret in each song: what was taken, what came second, and which cost decided, as values.
//!
//! The second best is the best plan in which that player has another fret in that song, all else being free to change.
//! It is read off the least cost up to each joint state and from it, so that all reasons together take a time that
//! grows linearly with the songs.

use crate::music::{AskedKey, Family, Fret, Key};
use crate::plan::figures::Figures;
use crate::plan::grid::{Grid, Table};
use crate::plan::merits::{Merit, Ringing, Stand, merits};
use crate::plan::score::Score;
use crate::plan::solve::{Outlook, Own, add, grids, hearts, moves_into};
use crate::plan::{Planned, family_of, keys_of};
use crate::setlist::{Player, Set, SongId};

/// A fret, and the family that it gives in the song's own key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    pub fret: Fret,
    pub shapes: Option<Family>,
}

/// Why a player has a fret in a song.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Why {
    pub taken: Choice,
    /// What came second; none where there was nothing else to take.
    pub second: Option<Choice>,
    pub deciding: Deciding,
}

/// What spoke for the fret that was taken, the first of the costs that differ.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Deciding {
    /// The set pins it.
    Pinned,
    /// The player's highest fret leaves no other.
    OnlyFret,
    /// The second best has fewer of the song's keys.
    Keys(Keys),
    /// The second best has more players at one fret in this song.
    Clashes {
        /// Who would be where this player would be, as places in the set's players; none where two others would meet.
        there: Vec<usize>,
    },
    /// The second best has more moves in gaps that are too short.
    Rushed(Rushed),
    /// The second best takes more effort over the set: what speaks most for the taken fret, and what most against it.
    Effort { merit: Merit, but: Option<Merit> },
    /// As good: the lower fret in the earlier song is taken.
    Tie,
}

/// The song's keys that have no shapes at the fret taken, and at the second best.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Keys {
    pub without: Vec<Key>,
    pub second_without: Vec<Key>,
}

/// Where the second best would have the player move in a gap that is too short, and the taken fret does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rushed {
    pub before: bool,
    pub after: bool,
}

/// The reasons of every song in turn, one for each player.
pub fn reasons(planned: &Planned) -> impl Iterator<Item = (SongId, Vec<Why>)> {
    let hearts = hearts(&planned.set);
    let grids = grids(&planned.set, &hearts).collect();
    let mut reasoning = Reasoning {
        planned,
        outlook: Outlook::new(&planned.set, hearts, grids),
        so_far: None,
        ringing: Ringing::default(),
    };
    planned.set.song_ids().map(move |song| (song, reasoning.song(song)))
}

struct Reasoning<'a> {
    planned: &'a Planned,
    outlook: Outlook,
    /// The least cost of all songs up to the one before, by its joint states.
    so_far: Option<Table>,
    ringing: Ringing,
}

/// The best plan in which one player has another fret in one song, as far as it is asked for.
struct Second {
    /// Its frets in the song before, in this one and in the next.
    before: Option<Vec<Fret>>,
    here: Vec<Fret>,
    after: Option<Vec<Fret>>,
    /// In this song: all others have as few as they can.
    clashes: u64,
    /// Over the whole set.
    score: Score,
}

impl Reasoning<'_> {
    fn song(&mut self, song: SongId) -> Vec<Why> {
        let set = &self.planned.set;
        let grid = self.outlook.to_come[song.index()].grid.clone();
        let own = Own::new(set, &self.outlook.hearts[song.index()], &grid);
        let reasons = (0..set.players.len()).map(|player| self.why(song, player, &grid, own.clashes));
        let reasons = reasons.collect();
        let mut scores = own.scores;
        if let Some(so_far) = &self.so_far {
            add(&mut scores, &so_far.carried(&grid, &moves_into(set, song)));
        }
        self.so_far = Some(Table { grid, scores });
        reasons
    }

    fn why(&mut self, song: SongId, player: usize, grid: &Grid, clashes: u64) -> Why {
        let set = &self.planned.set;
        let who = &set.players[player];
        let fret = self.planned.plan.fret(song, player);
        let choice = |fret| Choice {
            fret,
            shapes: family_of(&who.shapes, fret, set.song(song).key.key()),
        };
        let only = |deciding| Why {
            taken: choice(fret),
            second: None,
            deciding,
        };
        let heart = self.outlook.hearts[song.index()];
        if set.song(song).pins[player].is_some() {
            return only(Deciding::Pinned);
        }
        let others = heart.allowed(who, None).without(fret);
        if others.is_empty() {
            return only(Deciding::OnlyFret);
        }
        let mut elsewhere = grid.clone();
        elsewhere.axes[player] = heart.most_playable(who, others);
        let second = self.second(song, elsewhere);
        Why {
            taken: choice(fret),
            second: Some(choice(second.here[player])),
            deciding: self.decide(song, player, &second, clashes),
        }
    }

    /// The best plan that has one of these joint states in this song.
    fn second(&self, song: SongId, grid: Grid) -> Second {
        let set = &self.planned.set;
        let Own { clashes, mut scores } = Own::new(set, &self.outlook.hearts[song.index()], &grid);
        let moves = moves_into(set, song);
        let next = set.song_after(song);
        let after = next.map(|next| (&self.outlook.to_come[next.index()], moves_into(set, next)));
        if let Some(so_far) = &self.so_far {
            add(&mut scores, &so_far.carried(&grid, &moves));
        }
        if let Some((to_come, moves)) = &after {
            add(&mut scores, &to_come.carried(&grid, moves));
        }
        let stay = vec![Score::ZERO; set.players.len()];
        let (here, score) = Table { grid, scores }.nearest(&vec![Fret::OPEN; stay.len()], &stay);
        Second {
            before: self.so_far.as_ref().map(|so_far| so_far.nearest(&here, &moves).0),
            after: after.map(|(to_come, moves)| to_come.nearest(&here, &moves).0),
            here,
            clashes,
            score,
        }
    }

    fn decide(&mut self, song: SongId, player: usize, second: &Second, clashes: u64) -> Deciding {
        let plan = &self.planned.plan;
        let set = &self.planned.set;
        let who = &set.players[player];
        let (fret, other) = (plan.fret(song, player), second.here[player]);
        let without = keys_without(set, song, who, fret);
        let second_without = keys_without(set, song, who, other);
        if without.len() != second_without.len() {
            return Deciding::Keys(Keys {
                without,
                second_without,
            });
        }
        if clashes != second.clashes {
            let there = (0..set.players.len()).filter(|&who| who != player && second.here[who] == other);
            return Deciding::Clashes { there: there.collect() };
        }
        let taken = plan_around(self.planned, song);
        let second_around: Vec<Around> = (0..set.players.len()).map(|player| second.around(player)).collect();
        if second.score.rushed() != plan.cost.rushed {
            return Deciding::Rushed(rushed(set, song, player, taken[player], second_around[player]));
        }
        if second.score.effort() == plan.cost.effort {
            return Deciding::Tie;
        }
        let heart = self.outlook.hearts[song.index()];
        let stand = |(player, around): (&Player, &Around)| Stand {
            fret: around.here,
            moves: u64::from(around.moves_before()) + u64::from(around.moves_after()),
            figures: Figures::new(player, &heart, around.here),
        };
        let stands = |all: &[Around]| set.players.iter().zip(all).map(stand).collect::<Vec<_>>();
        let saved = second.score.effort() as i64 - plan.cost.effort as i64;
        let ringing = |fret, other| self.ringing.compared(set, song, fret, other);
        let (taken, second) = (stands(&taken), stands(&second_around));
        let (merit, but) = merits(&set.players, player, &taken, &second, saved, ringing);
        Deciding::Effort { merit, but }
    }
}

/// A player's fret in a song and in those beside it.
#[derive(Clone, Copy)]
struct Around {
    before: Option<Fret>,
    here: Fret,
    after: Option<Fret>,
}

impl Around {
    fn moves_before(self) -> bool {
        self.before.is_some_and(|before| before != self.here)
    }

    fn moves_after(self) -> bool {
        self.after.is_some_and(|after| after != self.here)
    }
}

impl Second {
    fn around(&self, player: usize) -> Around {
        Around {
            before: self.before.as_ref().map(|frets| frets[player]),
            here: self.here[player],
            after: self.after.as_ref().map(|frets| frets[player]),
        }
    }
}

/// By player, the plan's frets in a song and beside it.
fn plan_around(planned: &Planned, song: SongId) -> Vec<Around> {
    let set = &planned.set;
    let around = |player| Around {
        before: set.song_before(song).map(|before| planned.plan.fret(before, player)),
        here: planned.plan.fret(song, player),
        after: set.song_after(song).map(|after| planned.plan.fret(after, player)),
    };
    (0..set.players.len()).map(around).collect()
}

/// The keys of a song for which a fret gives a player no shapes.
fn keys_without(set: &Set, song: SongId, player: &Player, fret: Fret) -> Vec<Key> {
    let keys = keys_of(set, song).into_iter().map(AskedKey::key);
    keys.filter(|&key| family_of(&player.shapes, fret, key).is_none())
        .collect()
}

fn rushed(set: &Set, song: SongId, player: usize, taken: Around, second: Around) -> Rushed {
    let short = |song| set.song(song).gap < set.players[player].seconds_to_move;
    Rushed {
        before: short(song) && second.moves_before() && !taken.moves_before(),
        after: set.song_after(song).is_some_and(short) && second.moves_after() && !taken.moves_after(),
    }
}
