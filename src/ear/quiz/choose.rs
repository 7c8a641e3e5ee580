//! What to ask next: what is shaky more often, what has rested too long again, what is new from the easy end.

use super::history::History;
use crate::ear::units::Chance;
use std::sync::Arc;

/// A pair of positions, as places in a list of names.
pub(super) type Pair = (usize, usize);

/// The last answers that count.
const WINDOW: usize = 20;
/// How many pairs that were never asked are open at once.
const NEW_ONES: usize = 3;
/// One draw in so many takes every open pair alike.
const UNIFORM: u64 = 5;
/// Days until a pair is due again (Leitner's boxes, from memory).
const INTERVALS_DAYS: [u64; 5] = [1, 2, 4, 8, 16];
const DAY_S: u64 = 86_400;
/// A sitting moves the interval only with so many answers.
const LEAST_ANSWERS: usize = 6;

/// How a pair stands.
#[derive(Debug, PartialEq)]
struct Standing {
    weight: f64,
    asked: bool,
}

/// Draws a pair by weight. `pairs` come from the easiest to the hardest; `names` are those of the positions.
pub(super) fn draw(
    pairs: &[Pair],
    names: &[String],
    phrase: &str,
    history: &History,
    now: u64,
    chance: &mut Chance,
) -> Pair {
    let mut new_ones = 0;
    let open = pairs.iter().filter_map(|&pair| {
        let standing = standing([&names[pair.0], &names[pair.1]], phrase, history, now);
        new_ones += usize::from(!standing.asked);
        (standing.asked || new_ones <= NEW_ONES).then_some((pair, standing.weight))
    });
    let (open, mut weights): (Vec<Pair>, Vec<f64>) = open.unzip();
    if chance.bits().is_multiple_of(UNIFORM) {
        weights.fill(1.0);
    }
    let drawn = chance.weighted(&weights).and_then(|place| open.get(place).copied());
    drawn.or(pairs.first().copied()).unwrap_or((0, 0))
}

/// (wrong + 1)/(asked + 2) over the last answers, twice that where the pair has rested longer than its interval.
fn standing(pair: [&String; 2], phrase: &str, history: &History, now: u64) -> Standing {
    let is_pair = |have: &[Arc<str>; 2]| {
        let [a, b] = pair.map(String::as_str);
        (&*have[0], &*have[1]) == (a, b) || (&*have[0], &*have[1]) == (b, a)
    };
    let answers = history.answers().iter();
    let answers: Vec<_> = answers
        .filter(|it| &*it.phrase == phrase && is_pair(&it.pair))
        .collect();
    let last = &answers[answers.len().saturating_sub(WINDOW)..];
    let wrong = last.iter().filter(|answered| !answered.is_right()).count();
    let weight = (wrong as f64 + 1.0) / (last.len() as f64 + 2.0);
    let mut step: usize = 0;
    for sitting in answers.chunk_by(|a, b| a.sitting == b.sitting) {
        let right = sitting.iter().filter(|answered| answered.is_right()).count();
        if right * 10 < sitting.len() * 6 {
            step = 0;
        } else if sitting.len() >= LEAST_ANSWERS && right * 10 >= sitting.len() * 9 {
            step = (step + 1).min(INTERVALS_DAYS.len() - 1);
        }
    }
    let rested = |at: u64| now.saturating_sub(at) > INTERVALS_DAYS[step] * DAY_S;
    let overdue = answers.last().is_some_and(|answered| rested(answered.at));
    Standing {
        weight: if overdue { 2.0 * weight } else { weight },
        asked: !answers.is_empty(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::history::Drill;
    use super::super::history::tests::answered;
    use super::*;
    use crate::ear::units::Seed;

    /// A history of sittings: on which day, how many right, of how many.
    fn sittings(sittings: &[(u64, usize, usize)]) -> History {
        let mut history = History::default();
        for &(day, right, asked) in sittings {
            (0..asked).for_each(|at| history.push(answered(Drill::Name, ["neck", "bridge"], at < right, day)));
        }
        history
    }

    #[test]
    fn a_pair_weighs_by_its_wrong_answers_and_twice_when_it_has_rested_too_long() {
        let pair = ["bridge".to_owned(), "neck".to_owned()];
        for (history, today, weight) in [
            (&[][..], 100, 0.5),
            (&[(100, 2, 4)], 100, 0.5),
            (&[(100, 4, 4)], 100, 1.0 / 6.0),
            (&[(100, 4, 4)], 102, 2.0 / 6.0),
            // A sitting of six, nine in ten right, doubles the rest; a bad one takes it back.
            (&[(100, 6, 6)], 102, 1.0 / 8.0),
            (&[(100, 6, 6)], 103, 2.0 / 8.0),
            (&[(100, 6, 6), (101, 6, 6)], 105, 1.0 / 14.0),
            (&[(100, 6, 6), (101, 6, 6), (102, 1, 2)], 104, 4.0 / 16.0),
            // Only the last twenty answers count.
            (&[(100, 0, 30), (101, 20, 20)], 101, 1.0 / 22.0),
        ] {
            let found = standing([&pair[0], &pair[1]], "diamonds", &sittings(history), today * DAY_S);
            assert!(
                (found.weight - weight).abs() < 1e-12,
                "{history:?} on day {today}: {found:?}"
            );
        }
    }

    #[test]
    fn new_pairs_open_from_the_easy_end_and_shaky_ones_come_more_often() {
        let names: Vec<String> = ["neck", "bridge", "c", "d", "e"].map(String::from).into();
        let pairs = [(0, 1), (1, 2), (2, 3), (3, 4), (0, 4)];
        let mut chance = Seed::new(1).chance();
        let history = sittings(&[(100, 18, 20)]);
        let mut drawn = [0; 5];
        for _ in 0..4000 {
            let pair = draw(&pairs, &names, "diamonds", &history, 100 * DAY_S, &mut chance);
            drawn[pairs.iter().position(|known| *known == pair).unwrap()] += 1;
        }
        assert_eq!(drawn[4], 0, "three new ones are open, not four: {drawn:?}");
        // Weights 3/22 and three times 1/2, four draws in five; the fifth is uniform: 467 and three times 1178 of 4000.
        assert!((380..560).contains(&drawn[0]), "{drawn:?}");
        assert!(
            drawn[1..4].iter().all(|count| (1060..1300).contains(count)),
            "{drawn:?}"
        );
    }
}
