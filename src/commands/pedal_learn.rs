//! `pedal learn`: asks for each action in turn, hears three presses of a switch, and binds it in the player's file.

use super::learn_tell::{Say, Teller};
use super::learn_write::write;
use super::leaving::{PATIENCE, uncut, when_asked_to_end};
use super::pedal_ports::PortArgs;
use super::{Outcome, Status, Trouble};
use crate::pedal::{Bindings, Learned, Lesson, Moment, News, PortEvent, SwitchName};
use crate::sequencer::Action;
use crate::setlist::{NewSwitch, PedalSettings};
use crossbeam_channel::{Receiver, Sender, at, bounded, never, select};
use std::collections::BTreeMap;
use std::io::{self, BufRead, IsTerminal, Write};
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// What is to be learned.
pub(super) struct Learning<'a> {
    /// What the player's file binds already, where it lists switches.
    pub(super) bound: Option<Bindings>,
    pub(super) settings: PedalSettings,
    pub(super) args: &'a PortArgs,
    /// None for the usual ones.
    pub(super) actions: Vec<Action>,
    /// Where it is written.
    pub(super) file: &'a Path,
}

#[allow(
    clippy::large_enum_variant,
    reason = "a port's bytes are carried without an allocation"
)]
enum Event {
    Port(PortEvent),
    Typed(Typed),
    /// A signal asks for the end.
    Ended,
}

/// What is typed, a line each.
enum Typed {
    Skip,
    End,
    Other,
}

/// Far more than a foot sends while a line is printed.
const WAITING: usize = 512;
/// Messages that are told of one lesson: those of three presses, and a few more.
const MOST_TOLD: usize = 12;

/// The actions that are asked for where none are named, the most used ones first.
const USUAL: [Action; 11] = [
    Action::Next,
    Action::Back,
    Action::NextSong,
    Action::PreviousSong,
    Action::Again,
    Action::Peek,
    Action::Top,
    Action::Undo,
    Action::Lock,
    Action::KeyUp,
    Action::KeyDown,
];

/// Asks and hears until every action is done with, then writes.
pub(super) fn run(learning: Learning<'_>, out: &mut impl Write) -> Outcome {
    let (to, events) = bounded(WAITING);
    let ended = to.clone();
    when_asked_to_end(Status::Wrong, move || drop(ended.send_timeout(Event::Ended, PATIENCE)))?;
    listen_to_typing(to.clone())?;
    let _ports = learning.args.open(&learning.settings, &to, Event::Port)?;
    let Learning { args, file, .. } = learning;
    let mut dialogue = Dialogue {
        lesson: Lesson::default(),
        actions: match learning.actions {
            named if named.is_empty() => USUAL.to_vec(),
            named => named,
        },
        bound: learning.bound,
        place: 0,
        learned: Vec::new(),
        told: 0,
        names: args.names(),
        started: Instant::now(),
        teller: Teller { out, json: args.json },
    };
    let done = dialogue.hold(&events);
    // A port that waits for room must not keep us waiting for it.
    drop(events);
    match done? {
        Done::LeftAlone => Err(Trouble::Said("nothing was written\n".into())),
        Done::Over => {
            let switches: Vec<NewSwitch> = dialogue.learned.iter().map(|(_, new)| new.clone()).collect();
            let written = if switches.is_empty() { None } else { Some(file) };
            if written.is_some() {
                uncut(|| write(file, &switches))?;
            }
            dialogue.teller.say(Say::Written(written, &switches))?;
            Ok(Status::Fine)
        }
    }
}

/// A terminal's end of input (ctrl-D) ends the dialogue; a script's says that it types no more.
fn listen_to_typing(to: Sender<Event>) -> io::Result<()> {
    let by_hand = io::stdin().is_terminal();
    std::thread::Builder::new().name("typing".into()).spawn(move || {
        for line in io::stdin().lock().lines().map_while(Result::ok) {
            let typed = match line.trim() {
                "" | "s" | "skip" => Typed::Skip,
                "q" | "quit" | "end" => Typed::End,
                _ => Typed::Other,
            };
            if to.send(Event::Typed(typed)).is_err() {
                return;
            }
        }
        if by_hand {
            let _ = to.send(Event::Typed(Typed::End));
        }
    })?;
    Ok(())
}

/// How a dialogue ends.
enum Done {
    Over,
    /// Nothing is to be written.
    LeftAlone,
}

struct Dialogue<'o, W> {
    lesson: Lesson,
    actions: Vec<Action>,
    bound: Option<Bindings>,
    /// The action that is asked for, as a place in `actions`.
    place: usize,
    learned: Vec<(Learned, NewSwitch)>,
    /// Messages told of this lesson.
    told: usize,
    names: BTreeMap<u16, Arc<str>>,
    started: Instant,
    teller: Teller<'o, W>,
}

impl<W: Write> Dialogue<'_, W> {
    fn hold(&mut self, events: &Receiver<Event>) -> io::Result<Done> {
        let replaces_usual = self.bound.is_none();
        self.teller.say(Say::Hello { replaces_usual })?;
        self.ask()?;
        while self.place < self.actions.len() {
            let timer = self
                .lesson
                .wake_at()
                .map_or_else(never, |due| at(self.started + span(due)));
            select! {
                recv(events) -> event => match event {
                    Ok(Event::Port(event)) => self.port(event)?,
                    Ok(Event::Typed(Typed::Skip)) => {
                        self.teller.say(Say::Skipped(&self.actions[self.place]))?;
                        self.go_on()?;
                    }
                    Ok(Event::Typed(Typed::Other)) => self.teller.say(Say::NotUnderstood)?,
                    Ok(Event::Typed(Typed::End)) => return Ok(Done::Over),
                    Ok(Event::Ended) | Err(_) => return Ok(Done::LeftAlone),
                },
                recv(timer) -> _ => {}
            }
            let now = Moment::from_ns(self.started.elapsed().as_nanos() as u64);
            if let Some(verdict) = self.lesson.tick(now) {
                self.told = 0;
                match verdict {
                    Ok(learned) => self.learn(learned)?,
                    Err(puzzle) => self.teller.say(Say::Again(&puzzle.to_string()))?,
                }
            }
        }
        Ok(Done::Over)
    }

    fn ask(&mut self) -> io::Result<()> {
        match self.actions.get(self.place) {
            Some(action) => self.teller.say(Say::Asked(action)),
            None => Ok(()),
        }
    }

    fn go_on(&mut self) -> io::Result<()> {
        self.place += 1;
        self.ask()
    }

    fn port(&mut self, event: PortEvent) -> io::Result<()> {
        let PortEvent { port, at, news } = event;
        match news {
            News::Bytes(chunk) => {
                let at = Moment::from_ns(at.saturating_duration_since(self.started).as_nanos() as u64);
                let mut heard = Vec::new();
                self.lesson.bytes(port, at, chunk.bytes(), |said| heard.push(said));
                for said in heard.into_iter().take(MOST_TOLD.saturating_sub(self.told)) {
                    self.told += 1;
                    self.teller.say(Say::Heard(said))?;
                }
                Ok(())
            }
            News::Here(name) => {
                self.names.insert(port.0, name.clone());
                self.teller.say(Say::Port {
                    name: &name,
                    here: true,
                })
            }
            News::Gone => {
                self.lesson.lose(port);
                let name = self.names.get(&port.0).cloned().unwrap_or_default();
                self.teller.say(Say::Port {
                    name: &name,
                    here: false,
                })
            }
        }
    }

    fn learn(&mut self, learned: Learned) -> io::Result<()> {
        let action = self.actions[self.place].clone();
        if let Some(does) = self.does(learned.switch) {
            self.teller.say(Say::Already(learned.switch, &does))?;
            if does == action {
                return self.go_on();
            }
            return self.teller.say(Say::Again("another switch is wanted"));
        }
        let new = NewSwitch {
            kind: learned.switch.kind,
            number: learned.switch.number,
            channel: learned.switch.channel,
            sends: learned.sends,
            press: action.to_string(),
        };
        self.teller.say(Say::Learned(&action, learned, &new))?;
        self.learned.push((learned, new));
        self.go_on()
    }

    /// What a switch does already: by the file, or since it was learned.
    fn does(&self, switch: SwitchName) -> Option<Action> {
        let by_file = self.bound.as_ref().and_then(|bound| bound.action_of(switch));
        by_file.or_else(|| {
            let (_, new) = self.learned.iter().find(|(learned, _)| learned.switch == switch)?;
            Action::parse(&new.press).ok()
        })
    }
}

fn span(moment: Moment) -> Duration {
    Duration::from_nanos(moment.as_ns())
}
