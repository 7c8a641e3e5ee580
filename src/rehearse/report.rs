//! What is known and what is shaky, item by item.

use crate::rehearse::item::{Item, Kind};
use crate::rehearse::memory::{Known, Memory};
use crate::rehearse::moves::usual_seconds;

/// The practice of a set so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// What its capo moves usually take, in seconds; none before there are enough of them.
    pub move_seconds: Option<f32>,
    /// In the order of the set.
    pub rows: Vec<Row>,
}

/// One item's practice.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// `move`, `recall` or `shape`.
    pub kind: &'static str,
    /// The item without its kind.
    pub item: String,
    pub asked: usize,
    pub right: usize,
    /// From question to answer, in seconds, oldest first.
    pub seconds: Vec<f32>,
    /// The chance that it is known now, 0 to 1; none before it was asked.
    pub chance: Option<f64>,
    /// When it is to be asked again, in seconds since 1970.
    pub due: Option<i64>,
    pub standing: Standing,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Not asked yet.
    New,
    /// Due, or less than nine in ten sure.
    Shaky,
    Known,
}

impl Standing {
    pub fn word(self) -> &'static str {
        match self {
            Standing::New => "new",
            Standing::Shaky => "shaky",
            Standing::Known => "known",
        }
    }
}

/// A chance below this is worth a drill: the scheduler asks again when it is reached.
const SURE: f64 = 0.9;

/// The practice of a set's items at `now`, in seconds since 1970.
pub fn report(items: &[Item], memory: &Memory, now: i64) -> Report {
    Report {
        move_seconds: usual_seconds(items, memory),
        rows: items.iter().map(|item| row(item, memory.of(&item.name), now)).collect(),
    }
}

fn row(item: &Item, known: Option<&Known>, now: i64) -> Row {
    let kind = match item.kind {
        Kind::Move { .. } => "move",
        Kind::Recall { .. } => "recall",
        Kind::Shape { .. } => "shape",
    };
    let given = known.map_or(&[][..], |known| &known.given);
    let chance = known.map(|known| known.chance(now));
    let due = known.map(Known::due);
    Row {
        kind,
        item: item.name.trim_start_matches(kind).trim_start().to_owned(),
        asked: given.len(),
        right: given.iter().filter(|given| given.right).count(),
        seconds: given.iter().map(|given| given.seconds).collect(),
        chance,
        due,
        standing: match (chance, due) {
            (Some(chance), Some(due)) if chance >= SURE && due > now => Standing::Known,
            (Some(_), _) => Standing::Shaky,
            (None, _) => Standing::New,
        },
    }
}
