//! The ladder of the drill that names positions: more choices and harder phrases, a rung at a time.

use super::history::{Drill, History};
use super::score::wilson;
use crate::ear::phrase::Phrase;
use std::sync::Arc;

/// How hard a question is to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rung {
    pub(super) choices: usize,
    pub(super) phrase: Phrase,
}

/// The last answers that count.
const WINDOW: usize = 20;
/// A rung up when the interval's lower end passes this: 17 of 20.
const UP: f64 = 0.6;
/// A rung down when its upper end is under this: 11 of 20.
const DOWN: f64 = 0.75;

/// The rung that the answers so far lead to, on a guitar of so many positions.
pub(super) fn rung(history: &History, positions: usize, own: bool) -> Rung {
    let rungs = rungs(positions, own);
    let mut at = 0;
    let mut counted: Vec<bool> = Vec::new();
    let is_own = |phrase: &Arc<str>| &**phrase == OWN;
    for answered in history
        .of(Drill::Name)
        .filter(|answered| is_own(&answered.phrase) == own)
    {
        counted.push(answered.is_right());
        let last = &counted[counted.len().saturating_sub(WINDOW)..];
        if last.len() < WINDOW {
            continue;
        }
        let (low, high) = wilson(last.iter().filter(|right| **right).count(), WINDOW);
        if low > UP {
            at = (at + 1).min(rungs.len() - 1);
            counted.clear();
        } else if high < DOWN {
            at = at.saturating_sub(1);
            counted.clear();
        }
    }
    rungs[at]
}

/// What stands for the phrase where the player's own recordings are played.
pub(super) const OWN: &str = "own";

/// Two choices with each phrase, then three, then all; own recordings have but one phrase.
fn rungs(positions: usize, own: bool) -> Vec<Rung> {
    let mut counts = vec![2, 3.min(positions), positions];
    counts.dedup();
    let phrases = if own { &Phrase::LADDER[..1] } else { &Phrase::LADDER[..] };
    let rung = |choices: usize| phrases.iter().map(move |&phrase| Rung { choices, phrase });
    counts.into_iter().flat_map(rung).collect()
}

#[cfg(test)]
mod tests {
    use super::super::history::tests::answered;
    use super::*;

    /// The rung after so many right answers of so many, as (choices, phrase).
    fn after(runs: &[(usize, usize)]) -> (usize, &'static str) {
        let mut history = History::default();
        for &(right, asked) in runs {
            for at in 0..asked {
                history.push(answered(Drill::Name, ["neck", "bridge"], at >= asked - right, 1));
            }
        }
        let rung = rung(&history, 6, false);
        (rung.choices, rung.phrase.name())
    }

    #[test]
    fn seventeen_of_twenty_lead_up_eleven_lead_down_and_then_all_counts_anew() {
        for (runs, wanted) in [
            (&[][..], (2, "diamonds")),
            (&[(19, 19)], (2, "diamonds")),
            (&[(16, 20)], (2, "diamonds")),
            (&[(17, 20)], (2, "arpeggio")),
            (&[(17, 20), (19, 19)], (2, "arpeggio")),
            (&[(17, 20), (12, 20)], (2, "arpeggio")),
            (&[(17, 20), (11, 20)], (2, "diamonds")),
            (&[(11, 20)], (2, "diamonds")),
            (&[(20, 20); 5], (3, "diamonds")),
            (&[(20, 20); 10], (6, "diamonds")),
            (&[(20, 20); 30], (6, "riff")),
        ] {
            assert_eq!(after(runs), wanted, "{runs:?}");
        }
    }

    #[test]
    fn two_positions_have_no_more_than_two_choices() {
        let choices: Vec<usize> = rungs(2, true).iter().map(|rung| rung.choices).collect();
        assert_eq!(choices, [2]);
        let choices: Vec<usize> = rungs(3, true).iter().map(|rung| rung.choices).collect();
        assert_eq!(choices, [2, 3]);
    }
}
