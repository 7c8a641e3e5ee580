//! One day: a show that is played, disturbed, killed, and come back to.

use crate::pedal::{Bindings, Moment, PortId};
use crate::plan::Planned;
use crate::screen::{Look, Screen};
use crate::sequencer::{Action, Anew, By, Memory, Page, Sequencer, State};
use crate::setlist::PedalSettings;
use crate::show::journal::back::restore;
use crate::show::journal::scribe::Scribe;
use crate::show::journal::waiting::{Closing, Note, Waiting, Whole};
use crate::show::performance::{Done, Listener, Performance};
use crate::show::simulator::dice::Dice;
use crate::show::simulator::disk::Disk;
use crate::show::simulator::{checks, feet, sets};
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::{Duration, SystemTime};

/// How often what came.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen {
    pub(super) accepted: u64,
    pub(super) refused: u64,
    pub(super) kills: u64,
    pub(super) torn: u64,
    pub(super) changed: u64,
    pub(super) broken: u64,
    pub(super) changed_while_dead: u64,
    pub(super) failing: u64,
    pub(super) stalls: u64,
    pub(super) lost: u64,
    pub(super) ends: u64,
}

pub(super) struct Day {
    dice: Dice,
    /// The set file, as it was when it last was good.
    text: String,
    planned: Arc<Planned>,
    pedals: PedalSettings,
    performance: Performance,
    screen: Screen,
    now: Moment,
    waiting: Waiting,
    scribe: Scribe<Disk>,
    disk: Disk,
    /// Events for which the disk takes its time.
    stalled: usize,
    kept: Kept,
    /// Frets that stood on a section page.
    shown: BTreeSet<i8>,
    pub(super) seen: Seen,
}

/// What the disk is known to hold.
#[derive(Default)]
struct Kept {
    /// The show after the last write that it took, and its set; none where it holds nothing.
    last: Option<(Sequencer, Arc<Planned>)>,
    /// What came back before that write.
    before: Option<State>,
    /// The states that were in it.
    batch: Vec<State>,
    /// The states that wait.
    waiting: Vec<State>,
    /// Whether the last write was refused.
    fails: bool,
    /// A line was torn while the set changed: which page the disk holds is known to nobody until the next write.
    unknown: bool,
}

/// Writes down and checks what a performance does.
struct Ear<'d> {
    planned: &'d Arc<Planned>,
    waiting: &'d mut Waiting,
    states: &'d mut Vec<State>,
    seen: &'d mut Seen,
    shown: &'d mut BTreeSet<i8>,
    before: State,
}

impl Listener for Ear<'_> {
    fn done(&mut self, planned: &Planned, sequencer: &Sequencer, done: Done) {
        let state = sequencer.state().clone();
        match done.result {
            Ok(_) => {
                self.seen.accepted += 1;
                checks::undo_undoes(planned, &self.before, &done.action, sequencer);
                let note = Note {
                    at: SystemTime::UNIX_EPOCH + Duration::from_nanos(done.at.as_ns()),
                    ms: done.at.as_ms(),
                    did: Some((done.action, done.by)),
                    state: state.clone(),
                    whole: None,
                };
                self.waiting.push(note, self.planned, sequencer);
                self.states.push(state.clone());
            }
            Err(refused) => {
                self.seen.refused += 1;
                assert_eq!(state, self.before, "{:?} was refused: {refused}", done.action);
            }
        }
        checks::page_is_of_the_set(planned, &state);
        checks::fret_was_shown(planned, &state, self.shown);
        self.before = state;
    }
}

impl Day {
    pub(super) fn new(seed: u64) -> Day {
        let mut dice = Dice::new(seed);
        let (text, planned) = loop {
            let text = sets::set(&mut dice);
            if let Some(planned) = sets::read(&text) {
                break (text, Arc::new(planned));
            }
        };
        let pedals = sets::pedals(&mut dice);
        let disk = Disk::default();
        let mut day = Day {
            performance: perform(Sequencer::open(&planned), &pedals),
            dice,
            text,
            planned,
            pedals,
            screen: Screen::new(Look::default()),
            now: Moment::START,
            waiting: Waiting::default(),
            scribe: scribe(&disk),
            disk,
            stalled: 0,
            kept: Kept::default(),
            shown: BTreeSet::new(),
            seen: Seen::default(),
        };
        day.begin();
        day
    }

    pub(super) fn journal(&self) -> String {
        self.disk.text()
    }

    /// Something happens; what must hold is checked.
    pub(super) fn event(&mut self) {
        match self.dice.below(100) {
            0..=49 => self.press(),
            50..=79 => self.key(),
            80..=86 => self.pass(3000),
            87..=89 => self.cable(),
            90 | 91 => self.save(),
            92 => self.save_broken(),
            93 => self.kill(),
            94 => self.leave(),
            95 => {
                let writes = 1 + self.dice.below(30);
                self.disk.fill(writes);
            }
            96 if self.dice.once_in(3) => self.disk.lose(),
            97 if self.stalled == 0 => {
                self.seen.stalls += 1;
                self.stalled = self.dice.below(if self.dice.clone().once_in(20) { 4000 } else { 60 });
            }
            _ => self.pass(20),
        }
        self.pass(150);
        self.stalled = self.stalled.saturating_sub(1);
        if self.stalled == 0 && !self.dice.once_in(8) {
            self.write(None);
        }
        let state = self.performance.sequencer().state();
        checks::page_is_of_the_set(&self.planned, state);
        checks::fret_was_shown(&self.planned, state, &mut self.shown);
        if self.dice.once_in(20) {
            checks::cue_is_drawn(&mut self.screen, &self.planned, state, &mut self.dice);
        }
    }

    /// Lets the performance do something, with all that listens.
    fn perform(&mut self, act: impl FnOnce(&mut Performance, &Planned, Moment, &mut Ear<'_>)) {
        let mut ear = Ear {
            planned: &self.planned,
            waiting: &mut self.waiting,
            states: &mut self.kept.waiting,
            seen: &mut self.seen,
            shown: &mut self.shown,
            before: self.performance.sequencer().state().clone(),
        };
        act(&mut self.performance, &self.planned, self.now, &mut ear);
    }

    fn press(&mut self) {
        let (port, bytes) = (PortId(self.dice.below(2) as u16), feet::bytes(&mut self.dice));
        self.perform(|performance, planned, now, ear| performance.bytes(planned, port, now, &bytes, ear));
    }

    fn key(&mut self) {
        let locked = self.performance.sequencer().state().is_locked();
        let action = match feet::key(&mut self.dice) {
            _ if locked && self.dice.once_in(3) => Action::Lock,
            action => action,
        };
        self.perform(|performance, planned, now, ear| performance.act(planned, now, action, By::Key, ear));
    }

    /// Time passes, at most so many milliseconds, and what is due happens.
    fn pass(&mut self, most_ms: usize) {
        let until = self.now.after_ms(self.dice.below(most_ms) as u32);
        while let Some(due) = self.performance.wake_at().filter(|&due| due <= until) {
            self.now = self.now.max(due);
            self.perform(|performance, planned, now, ear| performance.tick(planned, now, ear));
        }
        self.now = until;
    }

    fn cable(&mut self) {
        let port = PortId(self.dice.below(2) as u16);
        if self.dice.once_in(2) {
            self.seen.lost += 1;
            self.perform(|performance, planned, now, ear| performance.lose(planned, port, now, ear));
        } else {
            self.perform(|performance, planned, now, ear| performance.find(planned, port, now, ear));
        }
    }

    /// A good file is saved in mid-show: the same page, and all that `undo` can bring back, in the new set.
    fn save(&mut self) {
        let text = sets::changed(&self.text, &mut self.dice);
        let Some(planned) = sets::read(&text) else { return };
        self.seen.changed += 1;
        let anew = Anew::new(planned);
        if self.dice.once_in(3) {
            self.pedals = sets::pedals(&mut self.dice);
        }
        let bindings = Bindings::read(&self.pedals).expect("the bindings are good");
        self.performance.move_to(&self.planned, &anew, bindings, &self.pedals);
        (self.text, self.planned) = (text, Arc::new(anew.into_planned()));
        self.begin();
    }

    /// A broken file changes nothing.
    fn save_broken(&mut self) {
        self.seen.broken += 1;
        let text = sets::broken(&self.text, &mut self.dice);
        assert!(sets::read(&text).is_none(), "{text}");
    }

    /// Notes where the show begins or goes on.
    fn begin(&mut self) {
        let sequencer = self.performance.sequencer();
        let whole = Whole {
            planned: Arc::clone(&self.planned),
            memory: Memory::of(sequencer),
            begins: true,
        };
        let note = Note {
            at: SystemTime::UNIX_EPOCH + Duration::from_nanos(self.now.as_ns()),
            ms: self.now.as_ms(),
            did: None,
            state: sequencer.state().clone(),
            whole: Some(Box::new(whole)),
        };
        self.kept.waiting.push(sequencer.state().clone());
        self.waiting.push(note, &self.planned, sequencer);
    }

    /// The journal's thread has its turn.
    fn write(&mut self, closing: Option<&Closing>) {
        let mut notes = Vec::new();
        let any = self.waiting.take(&mut notes) || closing.is_some();
        if !any {
            return;
        }
        let written = self.scribe.write(&mut notes, closing);
        self.waiting.wants_whole |= written.wants_whole;
        self.seen.failing += u64::from(written.words.is_some());
        self.kept.fails = !self.disk.took();
        if self.kept.fails {
            if self.disk.text().is_empty() {
                (self.kept.last, self.kept.before) = (None, None);
            }
            return;
        }
        let sequencer = self.performance.sequencer().clone();
        let last = self.kept.last.replace((sequencer, Arc::clone(&self.planned)));
        self.kept.before = last.map(|(sequencer, _)| sequencer.state().clone());
        self.kept.batch = std::mem::take(&mut self.kept.waiting);
        self.kept.unknown = false;
    }

    /// Nothing is written any more; the show is started again, in the same set or in one that was saved meanwhile.
    fn kill(&mut self) {
        self.seen.kills += 1;
        let torn = !self.kept.fails && self.kept.last.is_some() && self.dice.once_in(3);
        if torn {
            self.seen.torn += 1;
            self.disk.tear(|bytes| self.dice.below(bytes));
        }
        self.disk.mend();
        let changed = self.dice.once_in(6) && self.save_while_dead();
        self.come_back(torn, changed);
    }

    fn save_while_dead(&mut self) -> bool {
        let text = sets::changed(&self.text, &mut self.dice);
        let Some(planned) = sets::read(&text) else { return false };
        self.seen.changed_while_dead += 1;
        (self.text, self.planned) = (text, Arc::new(planned));
        true
    }

    fn come_back(&mut self, torn: bool, changed: bool) {
        let mut kept = std::mem::take(&mut self.kept);
        let mut exact = false;
        let sequencer = match restore(&self.planned, &self.disk.text()) {
            None => {
                assert!(
                    kept.last.is_none() || torn && kept.before.is_none(),
                    "nothing came back"
                );
                kept.last = None;
                self.shown.clear();
                Sequencer::open(&self.planned)
            }
            Some(back) => {
                exact = back.exact;
                let (last, planned) = kept.last.as_ref().expect("nothing was kept, and yet it came back");
                let (is, was) = (back.sequencer.state(), last.state());
                let same_set = !changed && Arc::ptr_eq(planned, &self.planned);
                if kept.unknown {
                    // Any page of the set will do.
                } else if same_set && !torn {
                    assert!(back.exact);
                    assert_eq!(Memory::of(&back.sequencer), Memory::of(last));
                } else if same_set && back.exact {
                    let may_be = kept.batch.iter().chain(&kept.before);
                    assert!(may_be.into_iter().any(|state| state == is), "{is:?} was never shown");
                } else if !torn {
                    self.assert_same_song(planned, was, is);
                }
                back.sequencer
            }
        };
        self.performance = perform(sequencer, &self.pedals);
        (self.waiting, self.scribe, self.stalled) = (Waiting::default(), scribe(&self.disk), 0);
        self.kept.unknown = kept.unknown || torn && !exact;
        self.kept.last = match exact {
            true => Some((self.performance.sequencer().clone(), Arc::clone(&self.planned))),
            false => kept.last,
        };
        self.begin();
        self.write(None);
    }

    /// In a set that has changed the song is the same, where there is one of its title.
    fn assert_same_song(&self, planned: &Planned, was: &State, is: &State) {
        let title = |planned: &Planned, state: &State| Some(planned.set.song(state.song()?).title.clone());
        let before = title(planned, was);
        match &before {
            Some(name) if self.planned.set.songs().iter().any(|song| song.title == *name) => {
                assert_eq!(title(&self.planned, is), before);
            }
            Some(_) => {}
            None => assert_eq!(is.page(), Page::End),
        }
    }

    /// Someone leaves. At the end page the show is over, and another one begins; else it is come back to.
    fn leave(&mut self) {
        let over = self.performance.sequencer().state().page() == Page::End;
        let at = SystemTime::UNIX_EPOCH + Duration::from_nanos(self.now.as_ns());
        let ms = self.now.as_ms();
        self.write(Some(&Closing::Left { at, ms, over }));
        if !over {
            return self.come_back(false, false);
        }
        self.seen.ends += 1;
        if !self.kept.fails {
            let text = self.disk.text();
            let last = text.lines().next_back().unwrap_or_default();
            assert!(last.starts_with("{\"over\":true,"), "{last}");
        }
        self.disk = Disk::default();
        (self.waiting, self.scribe, self.stalled) = (Waiting::default(), scribe(&self.disk), 0);
        self.kept = Kept::default();
        self.shown.clear();
        self.performance = perform(Sequencer::open(&self.planned), &self.pedals);
        self.begin();
    }
}

impl Seen {
    pub(super) fn presses(&self) -> u64 {
        self.accepted + self.refused
    }

    pub(super) fn add(&mut self, other: &Seen) {
        self.accepted += other.accepted;
        self.refused += other.refused;
        self.kills += other.kills;
        self.torn += other.torn;
        self.changed += other.changed;
        self.broken += other.broken;
        self.changed_while_dead += other.changed_while_dead;
        self.failing += other.failing;
        self.stalls += other.stalls;
        self.lost += other.lost;
        self.ends += other.ends;
    }
}

fn perform(sequencer: Sequencer, pedals: &PedalSettings) -> Performance {
    let bindings = Bindings::read(pedals).expect("the bindings are good");
    Performance::resume(sequencer, bindings, pedals)
}

fn scribe(disk: &Disk) -> Scribe<Disk> {
    Scribe::new(disk.clone(), "/sets/evening.yaml".into())
}
