//! The demo set and its recorded performance, `setlists/evening.mid`: that they are good, and how the latter is made.
//!
//! `cargo test --test evening -- --ignored` writes the file anew after the story below was changed.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};
use serde_json::Value;
use std::collections::BTreeSet;
use std::process::Command;

const SET: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/setlists/harvest-evening.yaml");
const PLAYER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/setlists/player.yaml");
const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/setlists/evening.mid");

/// What the foot, or the band's own gear, does; the switches are those of `setlists/player.yaml`.
#[derive(Clone, Copy)]
enum Does {
    /// A short press of a momentary switch.
    Tap(u8),
    /// A long one.
    Hold(u8),
    /// One message with this value, from a switch that sends nothing at its release.
    Once(u8, u8),
    /// Note 60 on channel 2, on and off.
    Pad,
    Program(u8),
    /// A message of the MIDI system, with no channel.
    System(&'static [u8]),
    /// Timing clocks: so many at this tempo.
    Clocks {
        count: u32,
        bpm: f64,
    },
}
use Does::{Clocks, Hold, Once, Pad, Program, System, Tap};

const NEXT: Does = Tap(80);
const BACK: Does = Tap(81);
const SONG_BEFORE: Does = Hold(81);
const AGAIN: Does = Tap(82);
const SONG_AFTER: Does = Hold(82);
const PEEK: Does = Tap(83);
const LOCK: Does = Hold(83);
const UNDO_UP: Does = Once(84, 127);
const UNDO_DOWN: Does = Once(84, 0);
const KEY_UP: Does = Once(85, 127);
const KEY_DOWN: Does = Once(86, 127);

/// The evening: how many seconds pass, and what is done then.
const STORY: &[(u32, Does)] = &[
    // Lanterns at Millpond: intro, verse, chorus, verse, two choruses and, the leader wants it, one more; the outro,
    // with a look ahead.
    (9, NEXT),
    (14, NEXT),
    (27, NEXT),
    (26, NEXT),
    (27, NEXT),
    (27, NEXT),
    (26, AGAIN),
    (27, NEXT),
    (5, PEEK),
    (3, PEEK),
    (8, NEXT),
    // Ferry in the Fog: a step too far, and back.
    (12, NEXT),
    (9, NEXT),
    (17, NEXT),
    (17, NEXT),
    (4, NEXT),
    (1, BACK),
    (12, NEXT),
    (17, NEXT),
    (9, NEXT),
    (17, NEXT),
    // The Orchard Gate, straight on; the leader comes back from the bridge to the chorus, and the last one is locked
    // so that a dragged cable cannot turn the page.
    (4, NEXT),
    (20, NEXT),
    (20, NEXT),
    (20, NEXT),
    (20, NEXT),
    (10, Pad),
    (20, NEXT),
    (2, LOCK),
    (6, NEXT),
    (9, LOCK),
    (3, NEXT),
    // Copper Weathervane: four bars of the drummer's clock, then on; the leader's gear sends the band to
    // bar 45, the last chorus.
    (10, Clocks { count: 384, bpm: 132.0 }),
    (0, NEXT),
    (7, NEXT),
    (15, NEXT),
    (14, NEXT),
    (8, NEXT),
    (14, NEXT),
    (14, NEXT),
    (3, System(&[0xF2, 0x40, 0x05])),
    (15, NEXT),
    // Harbour Wall is called off, and on again.
    (6, SONG_AFTER),
    (5, Program(4)),
    (9, NEXT),
    (19, NEXT),
    (18, NEXT),
    (19, NEXT),
    (18, NEXT),
    (19, NEXT),
    (18, NEXT),
    // The Sluice Keeper, a semitone higher for the singer, then not; a slip of the foot, undone.
    (5, KEY_UP),
    (6, KEY_DOWN),
    (5, NEXT),
    (11, NEXT),
    (23, NEXT),
    (1, NEXT),
    (1, UNDO_UP),
    (20, NEXT),
    (23, NEXT),
    (23, NEXT),
    (23, NEXT),
    // Reeds in the Shallows, opened by the leader's gear; it begins twice.
    (23, System(&[0xF3, 0x06])),
    (7, NEXT),
    (16, NEXT),
    (4, System(&[0xFA])),
    (16, NEXT),
    (16, NEXT),
    (16, NEXT),
    (16, NEXT),
    (16, NEXT),
    (16, NEXT),
    // Seven Lamps: one press too many at the end of the song before, a look back, and through to the end.
    (2, NEXT),
    (1, UNDO_DOWN),
    (4, SONG_BEFORE),
    (3, SONG_AFTER),
    (9, NEXT),
    (8, NEXT),
    (15, NEXT),
    (15, NEXT),
    (8, NEXT),
    (15, NEXT),
    (15, NEXT),
    (15, NEXT),
    (15, NEXT),
    (15, NEXT),
    (15, NEXT),
    (6, NEXT),
];

/// A file of one track in which a tick is a millisecond.
fn performance() -> Vec<u8> {
    let mut tape = Tape {
        track: Vec::new(),
        waited_ms: 0,
    };
    tape.put(TrackEventKind::Meta(MetaMessage::TrackName(b"Harvest evening, pedals")));
    tape.put(TrackEventKind::Meta(MetaMessage::Tempo(u24::new(500_000))));
    for &(seconds, does) in STORY {
        tape.wait(seconds * 1000);
        tape.play(does);
    }
    tape.put(TrackEventKind::Meta(MetaMessage::EndOfTrack));
    let header = Header::new(Format::SingleTrack, Timing::Metrical(u15::new(500)));
    let mut bytes = Vec::new();
    Smf {
        header,
        tracks: vec![tape.track],
    }
    .write_std(&mut bytes)
    .unwrap();
    bytes
}

struct Tape {
    track: Vec<TrackEvent<'static>>,
    waited_ms: u32,
}

impl Tape {
    fn wait(&mut self, ms: u32) {
        self.waited_ms += ms;
    }

    fn put(&mut self, kind: TrackEventKind<'static>) {
        let delta = u28::new(std::mem::take(&mut self.waited_ms));
        self.track.push(TrackEvent { delta, kind });
    }

    fn channel(&mut self, channel: u8, message: MidiMessage) {
        self.put(TrackEventKind::Midi {
            channel: u4::new(channel - 1),
            message,
        });
    }

    fn control(&mut self, cc: u8, value: u8) {
        self.channel(
            1,
            MidiMessage::Controller {
                controller: u7::new(cc),
                value: u7::new(value),
            },
        );
    }

    fn play(&mut self, does: Does) {
        match does {
            Tap(cc) | Hold(cc) => {
                self.control(cc, 127);
                self.wait(if matches!(does, Hold(_)) { 900 } else { 140 });
                self.control(cc, 0);
            }
            Once(cc, value) => self.control(cc, value),
            Pad => {
                let (key, vel) = (u7::new(60), u7::new(100));
                self.channel(2, MidiMessage::NoteOn { key, vel });
                self.wait(120);
                self.channel(2, MidiMessage::NoteOff { key, vel: u7::new(0) });
            }
            Program(program) => self.channel(
                1,
                MidiMessage::ProgramChange {
                    program: u7::new(program),
                },
            ),
            System(bytes) => self.put(TrackEventKind::Escape(bytes)),
            Clocks { count, bpm } => self.clocks(count, bpm),
        }
    }

    /// Each clock at the nearest whole millisecond, so that the rounding does not add up.
    fn clocks(&mut self, count: u32, bpm: f64) {
        let at = |clock: u32| (f64::from(clock) * 60_000.0 / bpm / 24.0).round() as u32;
        for clock in 0..count {
            self.put(TrackEventKind::Escape(&[0xF8]));
            self.wait(at(clock + 1) - at(clock));
        }
    }
}

#[test]
fn the_demo_set_is_fine_but_for_the_key_that_it_respells() {
    let findings = answer(&["check", SET, "--player", PLAYER, "--json"]);
    let findings: Vec<Value> = serde_json::from_str(&findings).unwrap();
    let rules: Vec<&str> = findings
        .iter()
        .map(|finding| finding["rule"].as_str().unwrap())
        .collect();
    assert_eq!(rules, ["key-respelled"]);
}

#[test]
fn the_performance_plays_every_step_of_the_set_to_its_end() {
    let lines = replayed();
    assert_eq!((&lines[0]["did"], &lines[0]["song"]), (&"open".into(), &1.into()));
    assert_eq!(lines[lines.len() - 1]["page"], "end");
    for song in 1..=8 {
        let of_song = || lines.iter().filter(|line| line["song"] == song);
        let steps: BTreeSet<u64> = of_song().map(|line| line["step"].as_u64().unwrap()).collect();
        let of = of_song().next().unwrap()["of"].as_u64().unwrap();
        assert_eq!(steps, (0..=of).collect(), "song {song}");
    }
}

#[test]
fn the_performance_does_everything_a_foot_can_do() {
    let lines = replayed();
    let did: BTreeSet<&str> = lines.iter().map(|line| line["did"].as_str().unwrap()).collect();
    let did: BTreeSet<&str> = did.iter().map(|did| did.split(' ').next().unwrap()).collect();
    let all = [
        "again",
        "back",
        "bar",
        "key-down",
        "key-up",
        "lock",
        "next",
        "next-song",
        "open",
        "peek",
        "previous-song",
        "section",
        "song",
        "top",
        "undo",
    ];
    assert_eq!(did, all.into());
}

fn replayed() -> Vec<Value> {
    let lines = answer(&["replay", SET, "--player", PLAYER, "--pedal", FILE, "--json"]);
    lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// What the program prints for these words.
fn answer(words: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(words)
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{words:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_recorded_performance_is_the_story_told_here() {
    assert!(
        std::fs::read(FILE).unwrap() == performance(),
        "write it anew: see the top of this file"
    );
}

#[test]
#[ignore = "writes the file"]
fn write_the_recorded_performance() {
    std::fs::write(FILE, performance()).unwrap();
}
