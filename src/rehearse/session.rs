//! A sitting: what is asked, what was answered, and what stands on the screen, driven by two switches.
//!
//! `next` answers "ready" and then "right"; `back` goes through the answers there are and then says "not right".

use crate::music::{Fret, first_voicing};
use crate::pedal::Moment;
use crate::plan::{Planned, family_of};
use crate::rehearse::choose::{due, next_due, shakiest};
use crate::rehearse::item::{Item, Kind};
use crate::rehearse::memory::{Answer, Memory, Rating};
use crate::rehearse::moves::usual_seconds;
use crate::screen::Prompt;
use crate::sequencer::{Action, Sequencer, State};
use crate::setlist::SongId;

/// What a player does in a sitting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Input {
    Next,
    Back,
    /// A fret was typed as the answer.
    Fret(u32),
}

/// What stands on the screen.
#[derive(Debug, PartialEq)]
pub enum Face {
    /// A page of the set as the stage shows it.
    Page(Box<State>),
    Prompt(Box<Prompt>),
}

/// Where a sitting stands.
pub struct Session {
    items: Vec<Item>,
    memory: Memory,
    phase: Phase,
    /// The place of the item asked last.
    last: Option<usize>,
    /// How many are asked though nothing is due, the least sure first.
    ahead: usize,
    asked: u32,
    right: u32,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Phase {
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
                let chosen = Some(chosen.map_or(0, |chosen| chosen + 1)).filter(|&chosen| chosen < count);
                self.phase = Phase::Asked { item, since, chosen };
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
                    (Some(right), Input::Next) => right,
                    (None, Input::Next) => true,
                    (_, Input::Back) => false,
                    (_, Input::Fret(_)) => return None,
                };
                self.answered(planned, item, seconds, right, at, now)
            }
            (Phase::Rest, Input::Next) => {
                self.ahead = self.items.len().min(ROUND);
                self.ask(at, now);
                None
            }
            (Phase::Rest, Input::Back) => {
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
            (Phase::Rest | Phase::Offer(_), Input::Fret(_)) | (Phase::Over { .. }, _) => None,
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
    fn choices(&self, planned: &Planned, item: usize) -> Vec<Fret> {
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

    /// What stands on the screen, and what the switches do now.
    pub fn face(&self, planned: &Planned, now: i64) -> (Face, String) {
        match self.phase {
            Phase::Asked { item, chosen, .. } => self.question(planned, item, chosen),
            Phase::Told { item, seconds, right } => self.answer(planned, item, seconds, right),
            Phase::Rest => self.rest(now),
            Phase::Offer(seconds) => offer(planned, seconds),
            Phase::Over { .. } => (Face::Prompt(Box::default()), String::new()),
        }
    }

    fn question(&self, planned: &Planned, item: usize, chosen: Option<usize>) -> (Face, String) {
        match &self.items[item].kind {
            Kind::Move { to, .. } => (
                Face::Page(page_before(planned, *to)),
                "make the change to the next song, then `next`".into(),
            ),
            Kind::Recall { song, .. } => {
                let song = planned.set.song(*song);
                let player = planned.set.first_player();
                let choices = self.choices(planned, item).into_iter().filter_map(|fret| {
                    let family = family_of(&player.shapes, fret, song.key.key())?;
                    Some(format!("{fret} {family}"))
                });
                let prompt = Prompt {
                    topic: "which fret, which shapes?".into(),
                    ask: song.title.clone(),
                    given: vec![format!("sounds {}", song.key.key().signs())],
                    choices: choices.collect(),
                    chosen,
                    count: self.count(),
                    ..Prompt::default()
                };
                let banner = match chosen {
                    None => "say it, then `next`; or `back` goes through the answers",
                    Some(_) => "`next` takes this answer, `back` goes on to another",
                };
                (Face::Prompt(prompt.into()), banner.into())
            }
            Kind::Shape {
                number, family, fret, ..
            } => {
                let prompt = Prompt {
                    topic: "finger this chord".into(),
                    ask: number.clone(),
                    given: vec![format!("{family} shapes"), capo(*fret)],
                    count: self.count(),
                    ..Prompt::default()
                };
                (Face::Prompt(prompt.into()), "finger it, then `next`".into())
            }
        }
    }

    fn answer(&self, planned: &Planned, item: usize, seconds: f32, right: Option<bool>) -> (Face, String) {
        let asks = "were you right? `next` yes, `back` no";
        match &self.items[item].kind {
            Kind::Move { to, .. } => (Face::Page(first_page(planned, *to)), format!("{seconds:.0} s; {asks}")),
            Kind::Recall { song, .. } => {
                let banner = match right {
                    None => asks.to_owned(),
                    Some(true) => "right; `next` goes on".into(),
                    Some(false) => "not right; `next` goes on".into(),
                };
                (Face::Page(gap_page(planned, *song)), banner)
            }
            Kind::Shape {
                number,
                family,
                fret,
                fingered,
            } => {
                let prompt = Prompt {
                    topic: format!("{number} in {family} shapes"),
                    ask: fingered.signs().to_string(),
                    given: vec![number.clone()],
                    chord: first_voicing(*fingered).map(|voicing| (voicing, *fret)),
                    count: self.count(),
                    ..Prompt::default()
                };
                (Face::Prompt(prompt.into()), asks.into())
            }
        }
    }

    fn rest(&self, now: i64) -> (Face, String) {
        let given = match next_due(&self.items, &self.memory) {
            None => "this set has nothing to drill".to_owned(),
            Some(due) => format!("the next is due {}", in_time(due - now)),
        };
        let prompt = Prompt {
            topic: "practice".into(),
            ask: "nothing is due".into(),
            given: vec![given],
            count: self.count(),
            ..Prompt::default()
        };
        let banner = "`next` goes on with what is least sure, `back` ends";
        (Face::Prompt(prompt.into()), banner.into())
    }

    fn count(&self) -> String {
        format!("{} of {} right", self.right, self.asked)
    }
}

fn offer(planned: &Planned, seconds: u32) -> (Face, String) {
    let prompt = Prompt {
        topic: "your capo moves".into(),
        ask: format!("{seconds} s"),
        given: vec![format!(
            "the plan reckons with {} s",
            planned.set.first_player().seconds_to_move.as_s()
        )],
        ..Prompt::default()
    };
    let banner = "`next` writes this time into your player file, `back` leaves it";
    (Face::Prompt(prompt.into()), banner.into())
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

/// The state after these actions from the opening; one that is refused is passed over.
fn state(planned: &Planned, actions: &[Action]) -> Box<State> {
    let mut sequencer = Sequencer::open(planned);
    for action in actions {
        let _refused = sequencer.apply(planned, action);
    }
    Box::new(sequencer.state().clone())
}

/// The last page before a song: where the song before it has no sections, its gap page.
fn page_before(planned: &Planned, to: SongId) -> Box<State> {
    match planned.set.song_before(to) {
        Some(from) if planned.set.last_step(from).is_none() => gap_page(planned, from),
        _ => state(planned, &[Action::Song(to.number() as u32), Action::Back]),
    }
}

/// A song's first page to play from: where it has no sections, its gap page.
fn first_page(planned: &Planned, to: SongId) -> Box<State> {
    match planned.set.first_step(to) {
        Some(_) => state(planned, &[Action::Song(to.number() as u32), Action::Next]),
        None => gap_page(planned, to),
    }
}

/// A song's gap page, coming from the song before.
fn gap_page(planned: &Planned, song: SongId) -> Box<State> {
    let number = song.number() as u32;
    match number {
        1 => state(planned, &[]),
        _ => state(planned, &[Action::Song(number - 1), Action::Next, Action::Song(number)]),
    }
}

fn seconds(since: Moment, at: Moment) -> f32 {
    (at.as_ns().saturating_sub(since.as_ns()) as f64 / 1e9) as f32
}

fn capo(fret: Fret) -> String {
    match fret.number() {
        0 => "no capo".into(),
        fret => format!("capo {fret}"),
    }
}

/// `in 8 minutes`, `in 3 days`.
fn in_time(seconds: i64) -> String {
    const UNITS: [(i64, &str); 3] = [(86_400, "day"), (3_600, "hour"), (60, "minute")];
    let unit = UNITS.iter().find(|(length, _)| seconds >= *length);
    match unit.map(|(length, name)| ((seconds + length / 2) / length, name)) {
        None => "now".into(),
        Some((1, name)) => format!("in 1 {name}"),
        Some((count, name)) => format!("in {count} {name}s"),
    }
}
