//! On and off in time, as one switch said them during a few presses, and what kind of switch says so.

use crate::pedal::moment::Moment;

/// What one switch has said.
#[derive(Clone, Debug, Default)]
pub(super) struct Presses {
    turns: Vec<Turn>,
}

/// What kind of switch it is by that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Said {
    Momentary {
        /// Off comes first.
        reversed: bool,
    },
    Latching,
    Single,
    TooLittle,
    NeverOn,
    Unclear,
}

/// On or off, for longer than a bounce.
#[derive(Clone, Copy, Debug)]
struct Turn {
    on: bool,
    began: Moment,
    /// The last message of it.
    last: Moment,
    /// It was off, on and off again within a bounce: a press and its release in one.
    both: bool,
}

/// A switch bounces for a few milliseconds (common practice, no source).
const BOUNCE_NS: u64 = 30_000_000;
/// Whoever presses a latching switch pauses between presses; a momentary one is down for less than this.
const DOWN_NS: u64 = 500_000_000;
/// So many presses are asked for.
const PRESSES: usize = 3;

impl Presses {
    pub(super) fn hear(&mut self, on: bool, at: Moment) {
        let before = self.turns.len().checked_sub(2).map(|place| self.turns[place].on);
        match self.turns.last_mut() {
            Some(turn) if at.since(turn.last) <= BOUNCE_NS => {
                turn.last = at;
                if turn.on && !on && before != Some(true) {
                    turn.both = true;
                }
                turn.on = on;
            }
            _ => self.turns.push(Turn {
                on,
                began: at,
                last: at,
                both: false,
            }),
        }
    }

    /// What kind of switch it is by what was heard.
    pub(super) fn said(&self) -> Said {
        let turns = self.spread();
        let alternates = turns.windows(2).all(|pair| pair[0].on != pair[1].on);
        let count = turns.len();
        match turns.first() {
            None => Said::TooLittle,
            Some(_) if turns.iter().all(|turn| turn.on) && count >= PRESSES => Said::Single,
            Some(_) if turns.iter().all(|turn| !turn.on) && count >= PRESSES => Said::NeverOn,
            Some(_) if count < PRESSES => Said::TooLittle,
            Some(_) if !alternates => Said::Unclear,
            Some(first) if count.is_multiple_of(2) && count >= 2 * PRESSES => Said::Momentary { reversed: !first.on },
            Some(_) if !count.is_multiple_of(2) && !self.has_both() && !is_held(&turns) => Said::Latching,
            Some(_) => Said::TooLittle,
        }
    }

    fn has_both(&self) -> bool {
        self.turns.iter().any(|turn| turn.both)
    }

    /// Presses and releases one by one, those apart that came as one.
    fn spread(&self) -> Vec<Turn> {
        let mut turns: Vec<Turn> = Vec::new();
        for turn in &self.turns {
            let said_on = turns.last().is_some_and(|before| before.on);
            if turn.both && !turn.on && !said_on {
                turns.push(Turn { on: true, ..*turn });
            }
            turns.push(*turn);
        }
        turns
    }
}

/// Whether these are the presses of a momentary switch that is still down: short ones, with longer pauses between.
fn is_held(turns: &[Turn]) -> bool {
    let spans: Vec<u64> = turns
        .windows(2)
        .map(|pair| pair[1].began.since(pair[0].began))
        .collect();
    let most_down = spans.iter().step_by(2).max();
    let least_up = spans.iter().skip(1).step_by(2).min();
    match (most_down, least_up) {
        (Some(&down), Some(&up)) => down < DOWN_NS && up > 2 * down,
        _ => false,
    }
}
