//! The joint states of one song, where every player has one fret, and tables of costs over them.
//!
//! Moving is paid player by player, so the least over another song's states is taken one player's axis at a time:
//! along an axis it is either staying, or the least of the axis plus one move. No pair of joint states is looked at.

use crate::music::Fret;
use crate::plan::frets::Frets;
use crate::plan::score::Score;

/// An axis for each player, as long as that player has frets to choose from; the last player's varies fastest.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    pub(super) axes: Vec<Frets>,
}

/// A cost for each joint state of a grid.
#[derive(Clone, Debug)]
pub(super) struct Table {
    pub(super) grid: Grid,
    pub(super) scores: Vec<Score>,
}

impl Grid {
    /// How many joint states there are; none where that cannot be counted.
    pub(super) fn states(&self) -> Option<usize> {
        self.axes
            .iter()
            .try_fold(1_usize, |all, axis| all.checked_mul(axis.len()))
    }

    /// Shows `see` every joint state in order: lexicographically by the players' frets.
    pub(super) fn each(&self, mut see: impl FnMut(&[Fret])) {
        let axes: Vec<Vec<Fret>> = self.axes.iter().map(|axis| axis.iter().collect()).collect();
        let mut places = vec![0; axes.len()];
        let Some(mut frets) = axes
            .iter()
            .map(|axis| axis.first().copied())
            .collect::<Option<Vec<_>>>()
        else {
            return;
        };
        loop {
            see(&frets);
            let Some(turning) = (0..axes.len())
                .rev()
                .find(|&player| places[player] + 1 < axes[player].len())
            else {
                return;
            };
            places[turning] += 1;
            places[turning + 1..].fill(0);
            for player in turning..axes.len() {
                frets[player] = axes[player][places[player]];
            }
        }
    }
}

impl Table {
    /// The least cost, from each state of `to`, of a plan that goes on (or comes) from this table's states, where
    /// `moves` is what a move costs each player.
    pub(super) fn carried(&self, to: &Grid, moves: &[Score]) -> Vec<Score> {
        let mut axes = self.grid.axes.clone();
        let mut scores = self.scores.clone();
        let shrinks = |player: usize| to.axes[player].len() <= self.grid.axes[player].len();
        let players = 0..axes.len();
        // The axes that grow come last, so that nothing in between is larger than both ends.
        for player in players
            .clone()
            .filter(|&p| shrinks(p))
            .chain(players.filter(|&p| !shrinks(p)))
        {
            let within = axes[player + 1..].iter().map(|axis| axis.len()).product();
            scores = along(&scores, within, axes[player], to.axes[player], moves[player]);
            axes[player] = to.axes[player];
        }
        scores
    }

    /// The state of least cost once the way from `frets` has been paid, and that cost: the first of several.
    pub(super) fn nearest(&self, frets: &[Fret], moves: &[Score]) -> (Vec<Fret>, Score) {
        let mut best = (Vec::new(), Score::FORBIDDEN);
        let mut scores = self.scores.iter();
        self.grid.each(|state| {
            let way = state.iter().zip(frets).zip(moves).filter(|((to, from), _)| to != from);
            let score = scores.next().copied().unwrap_or(Score::FORBIDDEN);
            let score = way.fold(score, |sum, (_, &r#move)| sum.plus(r#move));
            if score < best.1 {
                best = (state.to_vec(), score);
            }
        });
        best
    }
}

/// The table with one axis of frets `from` turned into one of frets `to`; `within` is the size of a step along it.
fn along(scores: &[Score], within: usize, from: Frets, to: Frets, r#move: Score) -> Vec<Score> {
    let mut turned = Vec::with_capacity(scores.len() / from.len().max(1) * to.len());
    let mut moving = vec![Score::FORBIDDEN; within];
    for block in scores.chunks_exact(from.len() * within) {
        moving.fill(Score::FORBIDDEN);
        for run in block.chunks_exact(within) {
            moving
                .iter_mut()
                .zip(run)
                .for_each(|(least, &score)| *least = score.min(*least));
        }
        moving.iter_mut().for_each(|least| *least = least.plus(r#move));
        for fret in to.iter() {
            match from.place(fret) {
                Some(place) => {
                    let staying = &block[place * within..][..within];
                    turned.extend(
                        staying
                            .iter()
                            .zip(&moving)
                            .map(|(&staying, &moving)| staying.min(moving)),
                    );
                }
                None => turned.extend_from_slice(&moving),
            }
        }
    }
    turned
}
