//! A sitting: what is asked, what was answered, and what stands on the screen, driven by two switches.
//!
//! `next` answers "ready" and then "right"; `back` goes through the answers there are and then says "not right". Where
//! there are no answers, or no more, `back` pauses, and from there ends.

use crate::music::Fret;
use crate::pedal::Moment;
use crate::plan::{Planned, family_of};
use crate::rehearse::choose::{due, shakiest};
use crate::rehearse::item::{Item, Kind};
use crate::rehearse::memory::{Answer, Memory, Rating};
use crate::rehearse::moves::usual_seconds;

/// What a player does in a sitting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Input {
    Next,
    Back,
    /// A fret was typed as the answer.
    Fret(u32),
}

/// Where a sitting stands.
pub struct Session {
    pub(super) items: Vec<Item>,
    pub(super) memory: Memory,
    pub(super) phase: Phase,
    /// The place of the item asked last.
    last: Option<usize>,
    /// How many are asked though nothing is due, the least sure first.
    pub(super) ahead: usize,
    pub(super) asked: u32,
    pub(super) right: u32,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Phase {
    Asked {
        item: usize,
        since: Moment,
        /// The answer that would be taken, as a place among those there are.
        chosen: Option<usize>,
    },
    Told {
        item: usize,
        seconds: f32,
        /// None where the player is asked.
        right: Option<bool>,
    },
    /// The player pauses, and this is asked again or not.
    Pause { item: usize },
    /// Nothing is due and nothing is new.
    Rest,
    /// A new time for capo moves, in seconds.
    Offer(u32),
    Over {
        /// The time that was taken.
        seconds: Option<u32>,
    },
}

/// So many are asked ahead of their time before the player may end again.
const ROUND: usize = 10;
/// A shape or a fret that comes sooner than this was known at once.
const AT_ONCE_S: f32 = 3.0;

impl Session {
    /// Begins a sitting at `at`, which is `now` by the wall's clock in seconds since 1970.
    pub fn new(items: Vec<Item>, memory: Memory, at: Moment, now: i64) -> Session {
        let mut session = Session {
            items,
            memory,
            phase: Phase::Rest,
            last: None,
            ahead: 0,
            asked: 0,
            right: 0,
        };
        session.ask(at, now);
        session
    }

    pub fn is_over(&self) -> bool {
        matches!(self.phase, Phase::Over { .. })
    }

    /// The time for capo moves that the player took over, in whole seconds.
    pub fn taken_seconds(&self) -> Option<u32> {
        match self.phase {
            Phase::Over { seconds } => seconds,
            _ => None,
        }
    }

    /// How many were asked, and how many of these were right.
    pub fn score(&self) -> (u32, u32) {
        (self.asked, self.right)
    }

    /// Takes what the player did; an answer is to be kept.
    pub fn act(&mut self, planned: &Planned, input: Input, at: Moment, now: i64) -> Option<Answer<'static>> {
        match (self.phase, input) {
            (Phase::Asked { item, since, chosen }, Input::Next) => {
                let answer = chosen.and_then(|place| self.choices(planned, item).get(place).copied());
                self.tell(item, answer, seconds(since, at));
                None
            }
            (Phase::Asked { item, since, chosen }, Input::Back) => {
                let count = self.choices(planned, item).len();
                let chosen = chosen.map_or(0, |chosen| chosen + 1);
                self.phase = match chosen < count {
                    true => Phase::Asked {
                        item,
                        since,
                        chosen: Some(chosen),
                    },
                    false => Phase::Pause { item },
                };
                None
            }
            (Phase::Asked { item, since, .. }, Input::Fret(number)) => {
                let fret = Fret::new(i64::from(number)).ok();
                if let Some(fret) = fret.filter(|_| matches!(self.items[item].kind, Kind::Recall { .. })) {
                    self.tell(item, Some(fret), seconds(since, at));
                }
                None
            }
            (Phase::Told { item, seconds, right }, input) => {
                let right = match (right, input) {
                    (_, Input::Fret(_)) => return None,
                    // What was answered is known to be right or not, whatever switch goes on.
                    (Some(right), _) => right,
                    (None, input) => input == Input::Next,
                };
                self.answered(planned, item, seconds, right, at, now)
            }
            (Phase::Rest, Input::Next) => {
                self.ahead = self.items.len().min(ROUND);
                self.ask(at, now);
                None
            }
            (Phase::Pause { item }, Input::Next) => {
                self.phase = Phase::Asked {
                    item,
                    since: at,
                    chosen: None,
                };
                None
            }
            (Phase::Rest | Phase::Pause { .. }, Input::Back) => {
                self.phase = match self.offer(planned) {
                    Some(seconds) => Phase::Offer(seconds),
                    None => Phase::Over { seconds: None },
                };
                None
            }
            (Phase::Offer(seconds), Input::Next) => {
                self.phase = Phase::Over { seconds: Some(seconds) };
                None
            }
            (Phase::Offer(_), Input::Back) => {
                self.phase = Phase::Over { seconds: None };
                None
            }
            (Phase::Pause { .. } | Phase::Rest | Phase::Offer(_), Input::Fret(_)) | (Phase::Over { .. }, _) => None,
        }
    }

    fn ask(&mut self, at: Moment, now: i64) {
        let mut item = due(&self.items, &self.memory, now, self.last);
        if item.is_none() && self.ahead > 0 {
            self.ahead -= 1;
            item = shakiest(&self.items, &self.memory, now, self.last);
        }
        self.phase = match item {
            Some(item) => Phase::Asked {
                item,
                since: at,
                chosen: None,
            },
            None => Phase::Rest,
        };
        self.last = item.or(self.last);
    }

    /// Shows what is right; an answer that was chosen or typed is held against it.
    fn tell(&mut self, item: usize, answer: Option<Fret>, seconds: f32) {
        let right = match (&self.items[item].kind, answer) {
            (Kind::Recall { fret, .. }, Some(answer)) => Some(answer == *fret),
            _ => None,
        };
        self.phase = Phase::Told { item, seconds, right };
    }

    fn answered(
        &mut self,
        planned: &Planned,
        item: usize,
        seconds: f32,
        right: bool,
        at: Moment,
        now: i64,
    ) -> Option<Answer<'static>> {
        let rating = rating(planned, &self.items[item].kind, seconds, right);
        let answer = self.memory.rate(&self.items[item].name, rating, seconds, now);
        if let Some(answer) = &answer {
            self.memory.take(answer);
        }
        self.asked += 1;
        self.right += u32::from(right);
        self.ask(at, now);
        answer
    }

    /// The frets that would do for a song that is asked by heart, from the lowest up.
    pub(super) fn choices(&self, planned: &Planned, item: usize) -> Vec<Fret> {
        let Kind::Recall { song, .. } = self.items[item].kind else {
            return Vec::new();
        };
        let (player, key) = (planned.set.first_player(), planned.set.song(song).key.key());
        let frets = player.highest_fret.up_to();
        frets
            .filter(|&fret| family_of(&player.shapes, fret, key).is_some())
            .collect()
    }

    /// The time for capo moves that this player's plan should reckon with, where it is another than it does.
    fn offer(&self, planned: &Planned) -> Option<u32> {
        let usual = usual_seconds(&self.items, &self.memory)?.ceil().max(1.0) as u32;
        let reckoned = planned.set.first_player().seconds_to_move.as_s();
        ((f64::from(usual) - reckoned).abs() >= 1.0).then_some(usual)
    }
}

/// A move is known when it is done within the gap, and known at once in half of the time that the plan reckons with.
fn rating(planned: &Planned, kind: &Kind, seconds: f32, right: bool) -> Rating {
    let (at_once, most) = match kind {
        Kind::Move { to, .. } => {
            let needs = planned.set.first_player().seconds_to_move.as_s() / 2.0;
            (needs as f32, planned.set.song(*to).gap.as_s() as f32)
        }
        Kind::Recall { .. } | Kind::Shape { .. } => (AT_ONCE_S, f32::INFINITY),
    };
    match right {
        false => Rating::Again,
        true if seconds > most => Rating::Hard,
        true if seconds <= at_once => Rating::Easy,
        true => Rating::Good,
    }
}

fn seconds(since: Moment, at: Moment) -> f32 {
    (at.as_ns().saturating_sub(since.as_ns()) as f64 / 1e9) as f32
}
