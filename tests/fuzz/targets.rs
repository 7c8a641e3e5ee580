//! What is fed, and what must hold whatever it is fed. Each target tells a mark of what came of an input, so that inputs
//! with which something new happens can be told from the others.

use crate::text;
use footlights::pedal::{Bindings, Board, Decoder, Ear, Lesson, Message, Moment, PortId, performance};
use footlights::plan::{Planned, solve};
use footlights::sequencer::{Action, Anew, By};
use footlights::setlist::{self, PedalSettings, Reading};
use footlights::show::{Done, Listener, Performance};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};

/// Something that takes inputs from outside.
pub(crate) struct Target {
    /// The folder of its corpus.
    pub(crate) name: &'static str,
    /// # Panics
    /// Where something does not hold.
    pub(crate) feed: fn(&[u8]) -> u64,
    /// Files of the demo that are inputs too.
    pub(crate) seeds: &'static [&'static str],
    /// What its inputs are made of.
    pub(crate) words: &'static [&'static str],
}

pub(crate) const ALL: [Target; 7] = [
    Target {
        name: "wire",
        feed: wire,
        seeds: &[],
        words: &[
            "\u{0}",
            "\u{7f}",
            "\u{40}\u{3f}",
            "PP",
            "P\u{7f}P\u{0}",
            "QQ",
            "RR",
            "SS",
            "TT",
            "UU",
            "<<",
            "<\u{0}",
        ],
    },
    Target {
        name: "set",
        feed: text::set,
        seeds: &["harvest-evening.yaml", "songs/ferry-in-the-fog.yaml"],
        words: text::YAML,
    },
    Target {
        name: "player",
        feed: text::player,
        seeds: &["player.yaml"],
        words: text::YAML,
    },
    Target {
        name: "smf",
        feed: smf,
        seeds: &["evening.mid"],
        words: &["MThd", "MTrk", "\u{0}\u{0}\u{0}\u{6}", "\u{7f}", "\u{0}", "P\u{7f}"],
    },
    Target {
        name: "song",
        feed: text::song,
        seeds: &["evening.mid"],
        words: &[
            "MThd",
            "MTrk",
            "\u{7f}",
            "\u{0}",
            "\u{6}\u{5}Verse",
            "\u{3}\u{4}Lamp",
            "Y\u{2}\u{1}\u{0}",
            "X\u{4}\u{6}\u{3}",
        ],
    },
    Target {
        name: "chords",
        feed: text::chords,
        seeds: &[],
        words: text::CHORDS,
    },
    Target {
        name: "list",
        feed: text::list,
        seeds: &[],
        words: text::LIST,
    },
];

/// Where the demo's files are.
pub(crate) fn demo(file: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists").join(file)
}

/// The demo set with its player.
pub(crate) fn demo_set() -> (Planned, Bindings, PedalSettings) {
    let read = setlist::read(&demo("harvest-evening.yaml"), Some(&demo("player.yaml")));
    let Reading { set, rig, .. } = read.expect("the demo set is good");
    let plan = solve(&set).expect("the demo set has a plan");
    let bindings = Bindings::read(&rig.pedals).expect("the demo's switches are good");
    (Planned { set, plan }, bindings, rig.pedals)
}

pub(crate) fn mark(of: impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    of.hash(&mut hasher);
    hasher.finish()
}

/// Bytes on two wires, a chunk at a time; a chunk's first byte says on which and how much later.
fn wire(input: &[u8]) -> u64 {
    let (_, bindings, settings) = demo_set();
    let mut seen = Vec::new();
    let mut whole = Board::new(bindings.clone(), &settings);
    let mut singly = Board::new(bindings.clone(), &settings);
    let mut ear = Ear::new(bindings.clone());
    let mut lesson = Lesson::default();
    let (mut at, mut events, mut others) = (Moment::START, Vec::new(), Vec::new());
    for chunk in input.chunks(5) {
        let (head, bytes) = (chunk[0], &chunk[1..]);
        let port = PortId(u16::from(head & 1));
        at = at.after_ms(u32::from(head >> 1) * 12);
        match head {
            0xFF => whole.lost(port, at, &mut events),
            0xFD => whole.back(port, at, &mut events),
            0xFB => whole.rebind(bindings.clone(), &settings),
            _ => whole.bytes(port, at, bytes, &mut events),
        }
        match head {
            0xFF => singly.lost(port, at, &mut others),
            0xFD => singly.back(port, at, &mut others),
            0xFB => singly.rebind(bindings.clone(), &settings),
            _ => bytes
                .iter()
                .for_each(|byte| singly.bytes(port, at, &[*byte], &mut others)),
        }
        ear.hear(port, bytes, |told| {
            assert!(
                told.bytes.len() <= 16 && !told.words.contains(char::is_control),
                "{told:?}"
            );
            again(&told.bytes);
            seen.push(mark(&told.words[..told.words.len().min(9)]));
        });
        while let Some(due) = lesson.wake_at().filter(|due| *due <= at) {
            seen.push(mark(lesson.tick(due).expect("it is due").is_ok()));
        }
        lesson.bytes(port, at, bytes, |_| {});
    }
    let mut alarms = 0;
    while let Some(due) = whole.wake_at() {
        whole.tick(due, &mut events);
        singly.tick(due, &mut others);
        alarms += 1;
        assert!(alarms <= 2 * input.len() + 2, "the alarms have no end");
    }
    assert_eq!(events, others, "byte by byte other things happen");
    assert!(events.windows(2).all(|pair| pair[0].at <= pair[1].at), "time runs back");
    assert!(events.len() <= 3 * input.len(), "more happens than was said");
    seen.sort_unstable();
    seen.dedup();
    mark((seen, events.len().min(4)))
}

/// What a message is on the wire is that message.
fn again(bytes: &[u8]) {
    if bytes.first().is_none_or(|first| matches!(first, 0xF0 | 0xF7)) {
        return;
    }
    let mut decoder = Decoder::default();
    let heard: Vec<Message> = bytes.iter().filter_map(|byte| decoder.byte(*byte)).collect();
    assert_eq!(heard.len(), 1, "{bytes:02X?}: {heard:?}");
}

struct Count {
    done: usize,
    refused: usize,
}

impl Listener for Count {
    fn done(&mut self, planned: &Planned, sequencer: &footlights::sequencer::Sequencer, done: Done) {
        *(if done.result.is_ok() {
            &mut self.done
        } else {
            &mut self.refused
        }) += 1;
        // What can be shown of every page is asked for.
        let _ = footlights::sequencer::cue(planned, sequencer.state());
    }
}

/// A Standard MIDI File through the demo set, to the last alarm.
fn smf(input: &[u8]) -> u64 {
    let timed = match performance(input) {
        Ok(timed) => timed,
        Err(why) => {
            let words = why.to_string();
            assert!(!words.contains(char::is_control) && words.len() < 200, "{words:?}");
            return mark(words);
        }
    };
    assert!(timed.len() <= input.len(), "more events than bytes");
    assert!(timed.windows(2).all(|pair| pair[0].at <= pair[1].at), "time runs back");
    let (planned, bindings, settings) = demo_set();
    let mut performance = Performance::open(&planned, bindings, &settings);
    let mut count = Count { done: 0, refused: 0 };
    for event in &timed {
        performance.bytes(&planned, PortId(0), event.at, &event.bytes, &mut count);
    }
    let mut alarms = 0;
    while let Some(due) = performance.wake_at() {
        performance.tick(&planned, due, &mut count);
        alarms += 1;
        assert!(alarms <= 2 * input.len() + 2, "the alarms have no end");
    }
    mark((timed.len().min(20), count.done.min(8), count.refused.min(4)))
}

/// The show goes on in another set and comes back: whatever page it was on, there is one to show.
pub(crate) fn move_there_and_back(other: &Planned) {
    let (planned, bindings, settings) = demo_set();
    let mut performance = Performance::open(&planned, bindings.clone(), &settings);
    let mut count = Count { done: 0, refused: 0 };
    let there = Anew::new(other.clone());
    let back = Anew::new(planned.clone());
    for action in [
        Action::Next,
        Action::KeyUp,
        Action::Song(3),
        Action::Next,
        Action::Again,
        Action::Peek,
    ] {
        performance.act(&planned, Moment::START, action, By::Key, &mut count);
    }
    let go = |performance: &mut Performance, from: &Planned, to: &Anew| {
        performance.move_to(from, to, bindings.clone(), &settings);
        let _ = footlights::sequencer::cue(to.planned(), performance.sequencer().state());
    };
    go(&mut performance, &planned, &there);
    for action in [
        Action::Next,
        Action::KeyDown,
        Action::Undo,
        Action::Undo,
        Action::NextSong,
    ] {
        performance.act(other, Moment::START, action, By::Key, &mut count);
    }
    go(&mut performance, other, &back);
    while performance.sequencer().clone().apply(&planned, &Action::Undo).is_ok() {
        performance.act(&planned, Moment::START, Action::Undo, By::Key, &mut count);
    }
}
