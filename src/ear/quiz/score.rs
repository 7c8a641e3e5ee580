//! The score: right of asked with its interval, and what was taken for what.

use super::history::{Answered, Drill, History};
use super::staircase::Staircase;
use serde::Serialize;
use std::collections::BTreeMap;

/// Right of asked for one kind of question with so many choices.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tally {
    pub drill: Drill,
    pub choices: u8,
    pub right: usize,
    pub asked: usize,
    /// The Wilson interval of 95 %.
    pub low: f64,
    pub high: f64,
    /// What guessing gets.
    pub chance: f64,
    /// Only where the whole interval lies above chance.
    pub better_than_chance: bool,
}

/// How often what was played was taken for what.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Confusion {
    pub played: String,
    pub answered: String,
    pub times: usize,
}

/// The whole score.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    pub answers: usize,
    pub tallies: Vec<Tally>,
    pub confusions: Vec<Confusion>,
    /// The least move of a pickup that is heard, in mm; none where there are too few answers.
    pub gap_mm: Option<f64>,
    /// Of the drill same or another: z(hits) - z(false alarms).
    pub d_prime: Option<f64>,
}

/// The standard normal's 97.5th percentile.
const Z: f64 = 1.959_963_984_540_054;

/// The Wilson interval of 95 % for `right` of `asked` (E. Wilson, JASA 22, 1927, read); all of 0 to 1 for nothing asked.
pub fn wilson(right: usize, asked: usize) -> (f64, f64) {
    if asked == 0 {
        return (0.0, 1.0);
    }
    let (n, share) = (asked as f64, right as f64 / asked as f64);
    let centre = share + Z * Z / (2.0 * n);
    let reach = Z * (share * (1.0 - share) / n + Z * Z / (4.0 * n * n)).sqrt();
    let whole = 1.0 + Z * Z / n;
    ((centre - reach) / whole, (centre + reach) / whole)
}

/// The score of all answers, or of one sitting's alone.
pub fn report(history: &History, sitting: Option<u64>) -> Report {
    let counted = |answered: &&Answered| sitting.is_none_or(|sitting| answered.sitting == sitting);
    let answers: Vec<&Answered> = history.answers().iter().filter(counted).collect();
    let mut right: BTreeMap<(Drill, u8), (usize, usize)> = BTreeMap::new();
    let mut confused: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for answered in &answers {
        let (right, asked) = right.entry((answered.drill, answered.choices)).or_default();
        *right += usize::from(answered.is_right());
        *asked += 1;
        if answered.drill == Drill::Name {
            *confused.entry((&answered.played, &answered.answered)).or_default() += 1;
        }
    }
    let confusions = confused.into_iter().map(|((played, answered), times)| Confusion {
        played: played.into(),
        answered: answered.into(),
        times,
    });
    Report {
        answers: answers.len(),
        tallies: right.into_iter().map(|(kind, counts)| tally(kind, counts)).collect(),
        confusions: confusions.collect(),
        gap_mm: Staircase::after(history).estimate_mm(),
        d_prime: d_prime(&answers),
    }
}

fn tally((drill, choices): (Drill, u8), (right, asked): (usize, usize)) -> Tally {
    let (low, high) = wilson(right, asked);
    let chance = 1.0 / f64::from(choices.max(1));
    Tally {
        drill,
        choices,
        right,
        asked,
        low,
        high,
        chance,
        better_than_chance: low > chance,
    }
}

/// d' = z(hits) - z(false alarms) with the log-linear correction: half an answer more of each kind (M. Hautus, 1995, from
/// memory).
fn d_prime(answers: &[&Answered]) -> Option<f64> {
    let share = |played: &str| {
        let asked: Vec<_> = answers
            .iter()
            .filter(|answered| answered.drill == Drill::Same && &*answered.played == played)
            .collect();
        let said = asked.iter().filter(|answered| &*answered.answered == ANOTHER).count();
        (!asked.is_empty()).then(|| (said as f64 + 0.5) / (asked.len() as f64 + 1.0))
    };
    Some(normal_quantile(share(ANOTHER)?) - normal_quantile(share(SAME)?))
}

pub(super) const SAME: &str = "same";
pub(super) const ANOTHER: &str = "another";

/// The inverse of the standard normal distribution, by halving: the distribution itself is summed as a series
/// (Abramowitz and Stegun 26.2.10, from memory).
fn normal_quantile(share: f64) -> f64 {
    let (mut low, mut high) = (-6.0, 6.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if normal(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

fn normal(z: f64) -> f64 {
    let mut term = z;
    let mut sum = z;
    for n in 1..120 {
        term *= -z * z / (2.0 * f64::from(n));
        sum += term / f64::from(2 * n + 1);
    }
    0.5 + sum / (2.0 * std::f64::consts::PI).sqrt()
}

#[cfg(test)]
mod tests {
    use super::super::history::tests::answered;
    use super::*;

    /// Source: statsmodels 0.15.0, `proportion_confint(method="wilson")`.
    #[test]
    fn the_wilson_interval_is_that_of_a_statistics_library() {
        for (right, asked, low, high) in [(8, 10, 0.490_162, 0.943_318), (3, 10, 0.107_791, 0.603_222)] {
            let (found_low, found_high) = wilson(right, asked);
            assert!(
                (found_low - low).abs() < 1e-6 && (found_high - high).abs() < 1e-6,
                "{right} of {asked}"
            );
        }
    }

    /// Source: an independent reference: 9 of 10 and 15 of 20 for two choices, 7 and 11 for three, 5 and 8 for five.
    #[test]
    fn better_than_chance_is_said_from_so_many_right_on() {
        for (choices, asked, least) in [(2, 10, 9), (2, 20, 15), (3, 10, 7), (3, 20, 11), (5, 10, 5), (5, 20, 8)] {
            let better = |right| tally((Drill::Name, choices), (right, asked)).better_than_chance;
            assert!(better(least) && !better(least - 1), "{choices} choices, {asked} asked");
        }
    }

    #[test]
    fn the_score_counts_each_kind_apart_and_a_sitting_alone() {
        let mut history = History::default();
        for (drill, pair, right, day) in [
            (Drill::Name, ["neck", "bridge"], true, 1),
            (Drill::Name, ["neck", "bridge"], false, 2),
            (Drill::Odd, ["neck", "bridge"], true, 2),
        ] {
            history.push(answered(drill, pair, right, day));
        }
        let all = report(&history, None);
        let counts: Vec<_> = all
            .tallies
            .iter()
            .map(|tally| (tally.drill, tally.right, tally.asked))
            .collect();
        assert_eq!(counts, [(Drill::Name, 1, 2), (Drill::Odd, 1, 1)]);
        let confusions: Vec<_> = all
            .confusions
            .iter()
            .map(|c| (&*c.played, &*c.answered, c.times))
            .collect();
        assert_eq!(confusions, [("neck", "bridge", 1), ("neck", "neck", 1)]);
        assert_eq!(report(&history, Some(86_400)).answers, 1);
    }

    /// Source: the standard normal's table (from memory): z(.975) = 1.959964.
    #[test]
    fn d_prime_is_the_distance_of_hits_and_false_alarms() {
        assert!((normal_quantile(0.975) - 1.959_964).abs() < 1e-5);
        let mut history = History::default();
        for (played, said, times) in [
            ("another", "another", 15),
            ("another", "same", 4),
            ("same", "another", 4),
            ("same", "same", 15),
        ] {
            for _ in 0..times {
                let mut answer = answered(Drill::Same, ["neck", "bridge"], true, 1);
                (answer.played, answer.answered) = (played.into(), said.into());
                history.push(answer);
            }
        }
        // 15.5 of 20 and 4.5 of 20: z(.775) - z(.225).
        let found = report(&history, None).d_prime.unwrap();
        assert!((found - 2.0 * 0.755_415).abs() < 1e-4, "{found}");
    }
}
