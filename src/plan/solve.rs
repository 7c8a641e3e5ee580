//! The exact solver: the least cost over all plans, ties to the lower fret in the earlier song.
//!
//! A joint state is a fret for every player. From the last song backwards, each joint state learns the least cost of
//! all that comes. Moving is paid player by player, so the least over the next song's states is taken one player's
//! axis at a time, and along an axis it is either staying or the axis's own least plus one move: no pair of joint
//! states is ever looked at.

use crate::music::Fret;
use crate::plan::figures::{DullCache, Figures, Heart, allowed};
use crate::plan::score::{Cost, Score};
use crate::plan::{CannotPlan, PinUnmet, Plan};
use crate::setlist::{Player, Set, Song, SongId};

/// Joint states beyond which a set is refused: eight players with five frets each are within it.
const MOST_STATES: usize = 1 << 19;
/// Bytes of choices beyond which a set is refused.
const MOST_CHOICES: usize = 1 << 30;

/// The plan of least cost.
///
/// # Errors
/// The pins that cannot be met, or that there are too many players to plan for exactly.
pub fn solve(set: &Set) -> Result<Plan, CannotPlan> {
    let unmet: Vec<PinUnmet> = set.song_ids().flat_map(|song| unmet_pins(set, song)).collect();
    if !unmet.is_empty() {
        return Err(CannotPlan::PinsUnmet(unmet));
    }
    let neck = Neck::new(&set.players, set.songs().len())?;
    let choices = Choices::all(set, &neck);
    Ok(Plan::new(set, choices.walk(&neck)))
}

fn unmet_pins(set: &Set, song: SongId) -> impl Iterator<Item = PinUnmet> {
    let pins = set.players.iter().zip(&set.song(song).pins).enumerate();
    pins.filter(move |(_, (player, pin))| allowed(player, set.song(song), **pin).next().is_none())
        .map(move |(player, _)| PinUnmet { player, song })
}

/// The joint states: an axis for each player, as long as that player has frets; the last player's varies fastest.
struct Neck {
    axes: Vec<Axis>,
    /// The pairs of players at the same fret, by joint state.
    clashes: Vec<Score>,
}

#[derive(Clone, Copy)]
struct Axis {
    frets: usize,
    /// How far apart two joint states lie that differ by one fret of this player.
    stride: usize,
}

impl Neck {
    fn new(players: &[Player], songs: usize) -> Result<Neck, CannotPlan> {
        let frets = |player: &Player| usize::from(player.highest_fret.number()) + 1;
        let states = players
            .iter()
            .try_fold(1_usize, |all, player| all.checked_mul(frets(player)));
        let states = states.filter(|&states| {
            states <= MOST_STATES && states.saturating_mul(songs).saturating_mul(players.len()) <= MOST_CHOICES
        });
        let states = states.ok_or(CannotPlan::TooManyPlayers {
            players: players.len(),
            songs,
        })?;
        let mut stride = states;
        let axes: Vec<Axis> = players
            .iter()
            .map(|player| {
                stride /= frets(player);
                Axis {
                    frets: frets(player),
                    stride,
                }
            })
            .collect();
        let clashes = (0..states).map(|state| clashes_of(&axes, state)).collect();
        Ok(Neck { axes, clashes })
    }

    fn states(&self) -> usize {
        self.clashes.len()
    }
}

impl Axis {
    fn fret(self, state: usize) -> usize {
        state / self.stride % self.frets
    }

    fn with_fret(self, state: usize, fret: usize) -> usize {
        state - self.fret(state) * self.stride + fret * self.stride
    }

    /// The first joint state of each line along this axis.
    fn lines(self, states: usize) -> impl Iterator<Item = usize> {
        let block = self.frets * self.stride;
        (0..states)
            .step_by(block)
            .flat_map(move |start| start..start + self.stride)
    }
}

fn clashes_of(axes: &[Axis], state: usize) -> Score {
    let frets = |axes: &[Axis]| axes.iter().map(|axis| axis.fret(state)).collect::<Vec<_>>();
    let frets = frets(axes);
    let pairs = frets
        .iter()
        .enumerate()
        .map(|(i, fret)| frets[..i].iter().filter(|&other| other == fret).count());
    Score::new(Cost {
        clashes: pairs.sum::<usize>() as u64,
        ..Cost::default()
    })
}

/// What to take next: by song (but the first), player and joint state of the song before (with the frets of the players
/// up to this one already taken), this player's fret in the song.
struct Choices {
    /// By song, player and state.
    frets: Vec<u8>,
    /// The best joint state of the first song.
    first: usize,
    songs: usize,
}

impl Choices {
    fn all(set: &Set, neck: &Neck) -> Choices {
        let songs = set.songs().len();
        let row = neck.states() * neck.axes.len();
        let mut frets = vec![0; row * (songs - 1)];
        let mut cache = DullCache::default();
        let mut to_come = vec![Score::ZERO; neck.states()];
        let mut lines = Vec::new();
        for id in set.song_ids().rev() {
            add_song(set, id, neck, &mut cache, &mut to_come, &mut lines);
            if let Some(before) = id.index().checked_sub(1) {
                let row = &mut frets[before * row..][..row];
                take_moves(set, set.song(id), neck, &mut to_come, row);
            }
        }
        let mut first = 0;
        for state in 1..to_come.len() {
            if to_come[state] < to_come[first] {
                first = state;
            }
        }
        Choices { frets, first, songs }
    }

    /// The frets of the best plan, by song, then player.
    fn walk(&self, neck: &Neck) -> Vec<Fret> {
        let states = neck.states();
        let row = states * neck.axes.len();
        let mut state = self.first;
        let mut frets = Vec::with_capacity(self.songs * neck.axes.len());
        for song in 0..self.songs {
            if let Some(before) = song.checked_sub(1) {
                for (player, axis) in neck.axes.iter().enumerate() {
                    let fret = self.frets[before * row + player * states + state];
                    state = axis.with_fret(state, usize::from(fret));
                }
            }
            frets.extend(
                neck.axes
                    .iter()
                    .filter_map(|axis| Fret::new(axis.fret(state) as i64).ok()),
            );
        }
        frets
    }
}

/// Adds what a song costs in itself to the cost of all that comes.
fn add_song(
    set: &Set,
    id: SongId,
    neck: &Neck,
    cache: &mut DullCache,
    to_come: &mut [Score],
    by_fret: &mut Vec<Score>,
) {
    let song = set.song(id);
    let heart = Heart::new(set, id, 0, cache);
    for (player, axis, pin) in set
        .players
        .iter()
        .zip(&neck.axes)
        .zip(&song.pins)
        .map(|((p, a), pin)| (p, a, pin))
    {
        by_fret.clear();
        by_fret.resize(axis.frets, Score::FORBIDDEN);
        for fret in allowed(player, song, *pin) {
            by_fret[usize::from(fret.number())] = Figures::new(player, &heart, fret).score(player);
        }
        for (fret, run) in to_come.chunks_mut(axis.stride).enumerate() {
            let here = by_fret[fret % axis.frets];
            run.iter_mut().for_each(|score| *score = score.plus(here));
        }
    }
    if neck.axes.len() > 1 {
        to_come
            .iter_mut()
            .zip(&neck.clashes)
            .for_each(|(score, clashes)| *score = score.plus(*clashes));
    }
}

/// Turns the cost from each joint state *in* `song` into the least cost from each joint state *before* it, one player
/// at a time from the last to the first, and notes each player's fret.
fn take_moves(set: &Set, song: &Song, neck: &Neck, to_come: &mut [Score], choices: &mut [u8]) {
    let states = neck.states();
    for (index, (player, axis)) in set.players.iter().zip(&neck.axes).enumerate().rev() {
        let choices = &mut choices[index * states..][..states];
        let r#move = move_score(player, song);
        for start in axis.lines(states) {
            let at = |fret: usize| start + fret * axis.stride;
            let mut best = 0;
            for fret in 1..axis.frets {
                if to_come[at(fret)] < to_come[at(best)] {
                    best = fret;
                }
            }
            let moving = to_come[at(best)].plus(r#move);
            for fret in 0..axis.frets {
                let staying = to_come[at(fret)];
                let stays = staying < moving || staying == moving && fret <= best;
                choices[at(fret)] = if stays { fret } else { best } as u8;
                to_come[at(fret)] = staying.min(moving);
            }
        }
    }
}

/// What a capo move into `song` costs a player.
pub(super) fn move_score(player: &Player, song: &Song) -> Score {
    let rushed = u64::from(song.gap < player.seconds_to_move);
    Score::new(Cost {
        rushed,
        effort: u64::from(player.weights.r#move),
        ..Cost::default()
    })
}
