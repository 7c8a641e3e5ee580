//! What stands on the screen in a sitting, and what the two switches do there.

use crate::music::{Fret, first_voicing};
use crate::plan::{Planned, family_of};
use crate::rehearse::choose::{next_due, waiting};
use crate::rehearse::item::Kind;
use crate::rehearse::session::{Phase, Session};
use crate::screen::Prompt;
use crate::sequencer::{Action, Sequencer, State};
use crate::setlist::SongId;

/// What stands on the screen.
#[derive(Debug, PartialEq)]
pub enum Face {
    /// A page of the set as the stage shows it.
    Page(Box<State>),
    Prompt(Box<Prompt>),
}

impl Session {
    /// What stands on the screen, and what the switches do now.
    pub fn face(&self, planned: &Planned, now: i64) -> (Face, String) {
        match self.phase {
            Phase::Asked { item, chosen, .. } => self.question(planned, item, chosen, now),
            Phase::Told { item, seconds, right } => self.answer(planned, item, (seconds, right), now),
            Phase::Pause { .. } => self.pause(now),
            Phase::Rest => self.rest(now),
            Phase::Offer(seconds) => offer(planned, seconds),
            Phase::Over { .. } => (Face::Prompt(Box::default()), String::new()),
        }
    }

    fn question(&self, planned: &Planned, item: usize, chosen: Option<usize>, now: i64) -> (Face, String) {
        match &self.items[item].kind {
            Kind::Move { to, .. } => (
                Face::Page(page_before(planned, *to)),
                "the clock runs: set up for the next song, then `next`; `back` pauses".into(),
            ),
            Kind::Recall { song, .. } => {
                let song = planned.set.song(*song);
                let player = planned.set.first_player();
                let choices = self.choices(planned, item);
                let count = choices.len();
                let choices = choices.into_iter().filter_map(|fret| {
                    let family = family_of(&player.shapes, fret, song.key.key())?;
                    Some(format!("{fret} {family}"))
                });
                let prompt = Prompt {
                    topic: "which fret, which shapes?".into(),
                    ask: song.title.clone(),
                    given: vec![format!("sounds {}", song.key.key().signs())],
                    choices: choices.collect(),
                    chosen,
                    count: self.count(now),
                    ..Prompt::default()
                };
                let banner = match chosen {
                    None => "say it, then `next`; or `back` goes through the answers",
                    Some(last) if last + 1 >= count => "`next` takes this answer, `back` pauses",
                    Some(_) => "`next` takes this answer, `back` goes on to another",
                };
                (Face::Prompt(prompt.into()), banner.into())
            }
            Kind::Shape {
                number,
                family,
                fret,
                sounds,
                ..
            } => {
                let heard = runs_together(number).then(|| format!("sounds {}", sounds.signs()));
                let prompt = Prompt {
                    topic: "finger this chord".into(),
                    ask: number.clone(),
                    given: [format!("{family} shapes"), capo(*fret)]
                        .into_iter()
                        .chain(heard)
                        .collect(),
                    count: self.count(now),
                    ..Prompt::default()
                };
                (
                    Face::Prompt(prompt.into()),
                    "finger it, then `next`; `back` pauses".into(),
                )
            }
        }
    }

    fn answer(
        &self,
        planned: &Planned,
        item: usize,
        (seconds, right): (f32, Option<bool>),
        now: i64,
    ) -> (Face, String) {
        let asks = "were you right? `next` yes, `back` no";
        match &self.items[item].kind {
            Kind::Move { to, .. } => (
                Face::Page(first_page(planned, *to)),
                format!("{seconds:.0} s; was all in place? `next` yes, `back` no"),
            ),
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
                ..
            } => {
                let prompt = Prompt {
                    topic: format!("{number} in {family} shapes"),
                    ask: fingered.signs().to_string(),
                    given: vec![number.clone()],
                    chord: first_voicing(*fingered).map(|voicing| (voicing, *fret)),
                    count: self.count(now),
                    ..Prompt::default()
                };
                (Face::Prompt(prompt.into()), asks.into())
            }
        }
    }

    fn pause(&self, now: i64) -> (Face, String) {
        let prompt = Prompt {
            topic: "a pause".into(),
            ask: "enough for now?".into(),
            given: vec!["no clock runs".into()],
            count: self.count(now),
            ..Prompt::default()
        };
        let banner = "`next` asks once more, `back` ends";
        (Face::Prompt(prompt.into()), banner.into())
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
            count: self.count(now),
            ..Prompt::default()
        };
        let banner = "`next` goes on with what is least sure, `back` ends";
        (Face::Prompt(prompt.into()), banner.into())
    }

    /// How it goes, and how much is still waiting.
    fn count(&self, now: i64) -> String {
        let to_go = waiting(&self.items, &self.memory, now).max(self.ahead);
        match to_go {
            0 => format!("{} of {} right", self.right, self.asked),
            _ => format!("{} of {} right, {to_go} to go", self.right, self.asked),
        }
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

fn capo(fret: Fret) -> String {
    match fret.number() {
        0 => "no capo".into(),
        fret => format!("capo {fret}"),
    }
}

/// Whether two figures of a number stand side by side, as in `15` and `27`: alone they are another number.
fn runs_together(number: &str) -> bool {
    number
        .as_bytes()
        .windows(2)
        .any(|pair| pair.iter().all(u8::is_ascii_digit))
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
