//! The kinds of question: what is played, what may be answered, and which answer is right.

use super::ladder::Rung;
use super::question::{Playing, Question};
use super::score::{ANOTHER, SAME};
use crate::ear::pickup::Position;
use crate::ear::units::{Chance, Millimetres, Seed};

/// A pickup that moves stays within these, in mm from the saddle.
const MOVES_MM: (f64, f64) = (15.0, 260.0);
const ORDINALS: [&str; 3] = ["first", "second", "third"];

/// One playing of the first of two positions, to be named.
pub(super) fn name(
    frame: Question,
    [one, other]: [Position; 2],
    positions: &[Position],
    rung: &Rung,
    chance: &mut Chance,
) -> Question {
    let mut more: Vec<&Position> = positions
        .iter()
        .filter(|it| it.name != one.name && it.name != other.name)
        .collect();
    chance.shuffle(&mut more);
    more.truncate(rung.choices.saturating_sub(2));
    // The choices stand in the guitar's own order, so that a key is always the same position where all are asked.
    let is_choice = |it: &&Position| [&one, &other].contains(it) || more.contains(it);
    let choices: Vec<String> = positions.iter().filter(is_choice).map(|it| it.name.clone()).collect();
    Question {
        right: choices.iter().position(|choice| *choice == one.name).unwrap_or(0),
        playings: vec![playing(&one, frame.seed, 0)],
        choices,
        ..frame
    }
}

/// Three playings, one of the first position among the other.
pub(super) fn odd(frame: Question, [one, other]: [Position; 2], chance: &mut Chance) -> Question {
    let right = chance.place(ORDINALS.len());
    let playings =
        (0..ORDINALS.len()).map(|at| playing(if at == right { &one } else { &other }, frame.seed, at as u64));
    Question {
        right,
        playings: playings.collect(),
        choices: ORDINALS.map(String::from).into(),
        ..frame
    }
}

/// Two playings, of one position or of both.
pub(super) fn same(frame: Question, [one, other]: [Position; 2], chance: &mut Chance) -> Question {
    let right = chance.place(2);
    let second = if right == 0 { &one } else { &other };
    Question {
        right,
        playings: vec![playing(&one, frame.seed, 0), playing(second, frame.seed, 1)],
        choices: [SAME, ANOTHER].map(String::from).into(),
        ..frame
    }
}

/// One of the guitar's own pickups, and the same moved by so much, one way or the other.
pub(super) fn gap(frame: Question, positions: &[Position], gap_mm: f64, chance: &mut Chance) -> Question {
    let single: Vec<&Position> = positions
        .iter()
        .filter(|position| position.places().len() == 1)
        .collect();
    let one = single.get(chance.place(single.len())).copied().unwrap_or(&positions[0]);
    let from = one.mean().mm();
    let ways = if chance.bits() & 1 == 0 {
        [gap_mm, -gap_mm]
    } else {
        [-gap_mm, gap_mm]
    };
    let to = ways.map(|by| from + by);
    let to = to
        .into_iter()
        .find(|mm| (MOVES_MM.0..=MOVES_MM.1).contains(mm))
        .unwrap_or(from + gap_mm);
    let moved = Position::at(&format!("{} moved", one.name), Millimetres::new(to));
    let pair = [moved.name.clone(), one.name.clone()];
    let question = odd(frame, [moved, one.clone()], chance);
    Question {
        pair,
        gap_mm: Some(gap_mm),
        ..question
    }
}

fn playing(position: &Position, seed: Seed, number: u64) -> Playing {
    Playing {
        position: position.clone(),
        seed: seed.part(number + 2),
    }
}
