//! What is known of each item, by a published scheduler of spaced repetition, and when it is to be asked again.
//!
//! Source: FSRS-5 with its 19 default weights, as rs-fsrs 1.2 has it (open-spaced-repetition); an item is due when it
//! would be remembered with a chance of nine in ten.

use chrono::{DateTime, Utc};
use rs_fsrs::{Card, FSRS, State};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::HashMap;

pub(super) use rs_fsrs::Rating;

/// An answer and what it made of its item: a line of the history.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Answer<'n> {
    /// Seconds since 1970, UTC.
    pub at: i64,
    /// The item's name.
    #[serde(borrow)]
    pub item: Cow<'n, str>,
    /// 1 not known, 2 with trouble, 3 known, 4 known at once.
    pub rating: u8,
    /// From the question to the answer.
    pub seconds: f32,
    /// When it is to be asked again, in seconds since 1970.
    pub due: i64,
    /// Days until the chance to know it falls to nine in ten.
    pub stability: f64,
    /// 1 to 10.
    pub difficulty: f64,
    pub reps: i32,
    pub lapses: i32,
    /// 1 being learned, 2 to be kept, 3 being learned again.
    pub state: u8,
}

/// All that was answered, by item.
#[derive(Debug, Default)]
pub struct Memory {
    items: HashMap<Box<str>, Known>,
    scheduler: FSRS,
}

/// What is known of one item.
#[derive(Clone, Debug)]
pub(super) struct Known {
    card: Card,
    pub(super) given: Vec<Given>,
}

/// An answer as it is remembered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Given {
    pub(super) right: bool,
    pub(super) seconds: f32,
}

impl Memory {
    /// Takes in an answer of the history. One that cannot have been written by this program is passed over.
    pub fn take(&mut self, answer: &Answer<'_>) {
        let (Some(card), Some(rating)) = (card(answer), rating(answer.rating)) else {
            return;
        };
        let given = Given {
            right: rating != Rating::Again,
            seconds: answer.seconds,
        };
        match self.items.get_mut(&*answer.item) {
            Some(known) => {
                known.card = card;
                known.given.push(given);
            }
            None => {
                let known = Known {
                    card,
                    given: vec![given],
                };
                self.items.insert(answer.item.as_ref().into(), known);
            }
        }
    }

    /// What an answer given now makes of its item; the line to keep.
    pub(super) fn rate(&self, item: &str, rating: Rating, seconds: f32, now: i64) -> Option<Answer<'static>> {
        let at = DateTime::from_timestamp(now, 0)?;
        let card = self.items.get(item).map_or_else(
            || Card {
                due: at,
                last_review: at,
                ..Card::default()
            },
            |known| known.card.clone(),
        );
        let card = self.scheduler.next(card, at, rating).card;
        Some(Answer {
            at: now,
            item: Cow::Owned(item.to_owned()),
            rating: rating as u8,
            seconds,
            due: card.due.timestamp(),
            stability: card.stability,
            difficulty: card.difficulty,
            reps: card.reps,
            lapses: card.lapses,
            state: card.state as u8,
        })
    }

    pub(super) fn of(&self, item: &str) -> Option<&Known> {
        self.items.get(item)
    }
}

impl Known {
    /// When it is to be asked again, in seconds since 1970.
    pub(super) fn due(&self) -> i64 {
        self.card.due.timestamp()
    }

    /// The chance that it is known now, 0 to 1.
    pub(super) fn chance(&self, now: i64) -> f64 {
        DateTime::from_timestamp(now, 0).map_or(0.0, |now| self.card.get_retrievability(now))
    }
}

fn card(answer: &Answer<'_>) -> Option<Card> {
    let in_reason = answer.stability.is_finite() && answer.stability > 0.0 && answer.difficulty.is_finite();
    let time = |at: i64| -> Option<DateTime<Utc>> { DateTime::from_timestamp(at, 0) };
    Some(Card {
        due: time(answer.due)?,
        last_review: time(answer.at)?,
        stability: Some(answer.stability).filter(|_| in_reason)?,
        difficulty: answer.difficulty,
        reps: answer.reps,
        lapses: answer.lapses,
        state: match answer.state {
            1 => State::Learning,
            2 => State::Review,
            3 => State::Relearning,
            _ => return None,
        },
        ..Card::default()
    })
}

fn rating(number: u8) -> Option<Rating> {
    Rating::iter().copied().find(|rating| *rating as u8 == number)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: rs-fsrs 1.2.1, `test_basic_scheduler_interval` in its `src/tests.rs`: the days to wait after each answer,
    /// each given when it falls due. Here every card goes through a line of the history between two answers.
    #[test]
    fn items_come_back_as_the_published_scheduler_has_them() {
        use Rating::{Again, Good};
        let ratings = [
            Good, Good, Good, Good, Good, Good, Again, Again, Good, Good, Good, Good, Good,
        ];
        let days = [0, 4, 15, 48, 136, 351, 0, 0, 7, 13, 24, 43, 77];
        // 2022-11-29 12:30:00 UTC, as there.
        let (mut memory, mut now) = (Memory::default(), 1_669_725_000);
        for (place, (rating, days)) in ratings.into_iter().zip(days).enumerate() {
            let answer = memory.rate("move", rating, 1.0, now).unwrap();
            assert_eq!((answer.due - now) / 86_400, days, "answer {place}");
            let line = serde_json::to_string(&answer).unwrap();
            memory.take(&serde_json::from_str(&line).unwrap());
            now = answer.due;
        }
        assert_eq!(memory.of("move").unwrap().given.len(), 13);
    }

    #[test]
    fn the_chance_to_know_falls_to_nine_in_ten_when_its_stability_in_days_is_over() {
        let mut memory = Memory::default();
        let answer = memory.rate("shape", Rating::Easy, 1.0, 0).unwrap();
        memory.take(&answer);
        let days = answer.stability.round() as i64;
        let chance = memory.of("shape").unwrap().chance(days * 86_400);
        assert!((chance - 0.9).abs() < 0.01, "{chance}");
    }

    #[test]
    fn a_line_that_no_scheduler_wrote_is_passed_over() {
        let mut memory = Memory::default();
        let good = memory.rate("shape", Rating::Good, 1.0, 0).unwrap();
        for bad in [
            Answer {
                rating: 0,
                ..good.clone()
            },
            Answer {
                state: 0,
                ..good.clone()
            },
            Answer {
                stability: -1.0,
                ..good.clone()
            },
            Answer { due: i64::MAX, ..good },
        ] {
            memory.take(&bad);
            assert!(memory.of("shape").is_none(), "{bad:?}");
        }
    }
}
