//! Questions: drawn from what was answered before and a seed, put together, and their answers taken down.

use super::choose::{self, Pair};
use super::history::{Answered, Drill, History};
use super::kinds::{gap, name, odd, same};
use super::ladder::{OWN, rung};
use super::staircase::Staircase;
use crate::ear::pickup::Position;
use crate::ear::repertoire::Repertoire;
use crate::ear::sound::Sound;
use crate::ear::units::Seed;

/// A question, whole: what is played, what may be answered, and what is right.
#[derive(Clone, Debug)]
pub struct Question {
    pub drill: Drill,
    /// One after another.
    pub playings: Vec<Playing>,
    /// What may be answered, in the order of the keys.
    pub choices: Vec<String>,
    pub(super) right: usize,
    pub(super) pair: [String; 2],
    pub(super) phrase: &'static str,
    pub(super) gap_mm: Option<f64>,
    pub(super) seed: Seed,
    /// The piece of the repertoire that is played.
    pub(super) piece: usize,
}

/// One playing of a question.
#[derive(Clone, Debug)]
pub struct Playing {
    pub position: Position,
    pub(super) seed: Seed,
}

/// Asks questions of one kind, and keeps what was answered.
pub struct Quiz {
    drill: Drill,
    repertoire: Repertoire,
    /// Pairs of positions from the easiest to the hardest.
    pairs: Vec<Pair>,
    history: History,
    seed: Seed,
    asked: u64,
    sitting: u64,
}

impl Quiz {
    /// A sitting that begins at `now`, in seconds since 1970.
    pub fn new(drill: Drill, repertoire: Repertoire, history: History, seed: Seed, now: u64) -> Quiz {
        Quiz {
            drill,
            pairs: repertoire.pairs(),
            repertoire,
            history,
            seed,
            asked: 0,
            sitting: now,
        }
    }

    pub fn history(&self) -> &History {
        &self.history
    }

    /// When this sitting began.
    pub fn sitting(&self) -> u64 {
        self.sitting
    }

    /// The next question.
    pub fn ask(&mut self, now: u64) -> Question {
        let seed = self.seed.part(self.asked);
        self.asked += 1;
        let mut chance = seed.chance();
        let own = self.repertoire.is_own();
        let positions = self.repertoire.positions();
        let rung = rung(&self.history, positions.len(), own);
        let (piece, phrase) = self.repertoire.piece(rung.phrase, &mut chance);
        let phrase = phrase.map_or(OWN, |phrase| phrase.name());
        let names: Vec<String> = positions.iter().map(|position| position.name.clone()).collect();
        let (one, other) = choose::draw(&self.pairs, &names, phrase, &self.history, now, &mut chance);
        // Which of the two is played is nobody's habit.
        let (one, other) = if chance.bits() & 1 == 0 {
            (one, other)
        } else {
            (other, one)
        };
        let drawn = [&positions[one], &positions[other]].map(Clone::clone);
        let frame = Question {
            drill: self.drill,
            playings: Vec::new(),
            choices: Vec::new(),
            right: 0,
            pair: [names[one].clone(), names[other].clone()],
            phrase,
            gap_mm: None,
            seed: seed.part(1),
            piece,
        };
        match self.drill {
            Drill::Name => name(frame, drawn, positions, &rung, &mut chance),
            Drill::Odd => odd(frame, drawn, &mut chance),
            Drill::Same => same(frame, drawn, &mut chance),
            Drill::Gap => gap(frame, positions, Staircase::after(&self.history).gap_mm(), &mut chance),
        }
    }

    /// Takes an answer down; what there is to write.
    pub fn answer(&mut self, question: &Question, choice: usize, now: u64) -> Answered {
        let label = |choice: usize| question.choices.get(choice).map_or("", String::as_str).into();
        let answered = Answered {
            at: now,
            sitting: self.sitting,
            drill: question.drill,
            phrase: question.phrase.into(),
            pair: [question.pair[0].as_str().into(), question.pair[1].as_str().into()],
            choices: question.choices.len() as u8,
            played: label(question.right),
            answered: label(choice),
            gap_mm: question.gap_mm,
        };
        self.history.push(answered.clone());
        answered
    }

    /// What a playing of a question sounds like.
    pub fn sound(&self, question: &Question, playing: &Playing) -> Sound {
        self.repertoire.sound(
            question.piece,
            question.phrase,
            &playing.position,
            question.seed,
            playing.seed,
        )
    }

    /// What is heard after an answer: what was played, and what it was taken for or could have been.
    pub fn compared(&self, question: &Question, choice: usize) -> Vec<Playing> {
        let Some(first) = question.playings.first() else {
            return Vec::new();
        };
        match question.drill {
            Drill::Name => {
                let wrong = question.choices.get(choice).filter(|_| choice != question.right);
                let other = wrong.unwrap_or(&question.pair[1]);
                let position = self
                    .repertoire
                    .positions()
                    .iter()
                    .find(|position| position.name == *other);
                let other = position.map(|position| Playing {
                    position: position.clone(),
                    seed: question.seed.part(9),
                });
                [Some(first.clone()), other].into_iter().flatten().collect()
            }
            Drill::Odd | Drill::Gap => {
                let odd = question.playings.get(question.right);
                let other = question.playings.get(usize::from(question.right == 0));
                [odd, other].into_iter().flatten().cloned().collect()
            }
            Drill::Same => question.playings.clone(),
        }
    }
}

impl Question {
    pub(crate) fn is_right(&self, choice: usize) -> bool {
        choice == self.right
    }

    /// The right answer in words.
    pub fn answer(&self) -> String {
        let [one, other] = &self.pair;
        let right = &self.choices[self.right];
        match (self.drill, self.gap_mm) {
            (Drill::Name, _) => right.clone(),
            (Drill::Odd, _) => format!("the {right}: {one} among {other}"),
            (Drill::Gap, Some(gap)) => format!("the {right}: moved by {gap:.0} mm"),
            (Drill::Gap, None) => right.clone(),
            (Drill::Same, _) if self.right == 0 => format!("same: {one} twice"),
            (Drill::Same, _) => format!("another: {one}, then {other}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::pickup::Instrument;
    use crate::setlist::Guitar;
    use std::collections::BTreeSet;

    fn quiz(drill: Drill, seed: u64) -> Quiz {
        let repertoire = Repertoire::of_guitar(Instrument::of(&Guitar::default()));
        Quiz::new(drill, repertoire, History::default(), Seed::new(seed), 86_400)
    }

    #[test]
    fn a_seed_asks_the_same_questions_and_another_other_ones() {
        let asked = |seed| -> Vec<(Vec<String>, usize)> {
            let mut quiz = quiz(Drill::Name, seed);
            (0..20)
                .map(|_| quiz.ask(86_400))
                .map(|question| (question.choices, question.right))
                .collect()
        };
        assert_eq!(asked(1), asked(1));
        assert_ne!(asked(1), asked(2));
    }

    #[test]
    fn every_choice_is_right_in_its_turn_and_three_alike_in_a_row_are_no_hint() {
        for (drill, choices) in [(Drill::Name, 2), (Drill::Odd, 3), (Drill::Same, 2), (Drill::Gap, 3)] {
            let mut quiz = quiz(drill, 3);
            let right: Vec<usize> = (0..200)
                .map(|_| quiz.ask(86_400))
                .map(|it| {
                    assert_eq!(it.choices.len(), choices, "{drill:?}");
                    it.right
                })
                .collect();
            let times = |choice| right.iter().filter(|right| **right == choice).count();
            for choice in 0..choices {
                assert!(
                    times(choice) * choices > 120,
                    "{drill:?}, choice {choice}: {} of 200",
                    times(choice)
                );
            }
            assert!(
                right.windows(3).any(|run| run[0] == run[1] && run[1] == run[2]),
                "{drill:?}"
            );
        }
    }

    #[test]
    fn the_odd_one_alone_is_from_another_position_and_no_two_playings_share_their_touch() {
        for drill in [Drill::Odd, Drill::Gap] {
            let mut quiz = quiz(drill, 5);
            for _ in 0..50 {
                let question = quiz.ask(86_400);
                let odd = &question.playings[question.right].position;
                let others: Vec<&Position> = question
                    .playings
                    .iter()
                    .map(|playing| &playing.position)
                    .filter(|position| *position != odd)
                    .collect();
                assert!(others.len() == 2 && others[0] == others[1], "{question:?}");
                let seeds: BTreeSet<u64> = question.playings.iter().map(|playing| playing.seed.number()).collect();
                assert_eq!(seeds.len(), 3);
                if drill == Drill::Gap {
                    let moved = (odd.mean().mm() - others[0].mean().mm()).abs();
                    assert!((moved - 64.0).abs() < 1e-9, "{moved}");
                }
            }
        }
    }

    #[test]
    fn an_answer_is_taken_down_with_what_was_played() {
        let mut quiz = quiz(Drill::Name, 1);
        let question = quiz.ask(86_400);
        let wrong = 1 - question.right;
        let answered = quiz.answer(&question, wrong, 86_500);
        assert!(!answered.is_right() && !question.is_right(wrong));
        assert_eq!(*answered.played, question.choices[question.right]);
        assert_eq!(*answered.answered, question.choices[wrong]);
        assert_eq!((answered.at, answered.sitting), (86_500, 86_400));
        assert_eq!(quiz.history().answers(), std::slice::from_ref(&answered));
        let compared: Vec<String> = quiz
            .compared(&question, wrong)
            .into_iter()
            .map(|it| it.position.name)
            .collect();
        assert_eq!(compared, [&*answered.played, &*answered.answered]);
    }
}
