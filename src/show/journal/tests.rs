//! Journals as they are written and read: every state comes back from its lines, and a disk that takes none holds
//! nothing up.

use crate::plan::{self, Planned};
use crate::sequencer::{Action, By, Line, Memory, Sequencer};
use crate::show::journal::back::{Restored, restore};
use crate::show::journal::line::{begun_at, file_name};
use crate::show::journal::paper::{Failed, Paper};
use crate::show::journal::scribe::{Scribe, Written};
use crate::show::journal::waiting::{Closing, Note, Waiting, Whole};
use std::io;
use std::sync::Arc;
use std::time::{Duration, SystemTime};

const SET: &str = r#"
set: Evening by the millpond
songs:
  - song: Lanterns
    key: Bb
    tempo: 120
    meter: 4/4
    sections:
      Verse: { bars: 4, pickup: neck, technique: palm mute, chords: "1 | 4" }
      Chorus: { bars: 8, pickup: bridge }
      Tag: { bars: 2, key: C }
    order: [Verse, Chorus, Verse, Tag]
  - { song: Weathervane, key: D }
  - { song: Orchard, key: Ab, sections: { Intro: {}, Turn: { bars: 4 } } }
"#;

fn planned(text: &str) -> Arc<Planned> {
    Arc::new(plan::planned(text))
}

/// A disk in memory: it takes lines, or is full, or loses all that it has.
#[derive(Default)]
struct Disk {
    text: Vec<u8>,
    /// So many writes are refused.
    full: usize,
    gone: bool,
}

impl Paper for &mut Disk {
    fn append(&mut self, lines: &[u8]) -> Result<(), Failed> {
        let error = || io::Error::from(io::ErrorKind::StorageFull);
        if self.full > 0 {
            self.full -= 1;
            return Err(Failed::Full(error()));
        }
        if std::mem::take(&mut self.gone) {
            self.text.clear();
            return Err(Failed::Gone(error()));
        }
        self.text.extend_from_slice(lines);
        Ok(())
    }
}

/// A show with its journal, without a thread: each action is written before the next one.
struct Kept {
    planned: Arc<Planned>,
    sequencer: Sequencer,
    waiting: Waiting,
    disk: Disk,
    said: Vec<String>,
}

fn begin(planned: &Arc<Planned>, sequencer: &Sequencer) -> Note {
    let whole = Whole {
        planned: Arc::clone(planned),
        memory: Memory::of(sequencer),
        begins: true,
    };
    Note {
        at: SystemTime::UNIX_EPOCH,
        ms: 0.0,
        did: None,
        state: sequencer.state().clone(),
        whole: Some(Box::new(whole)),
    }
}

impl Kept {
    fn open(text: &str) -> Kept {
        let planned = planned(text);
        let sequencer = Sequencer::open(&planned);
        let mut waiting = Waiting::default();
        waiting.push(begin(&planned, &sequencer), &planned, &sequencer);
        Kept {
            planned,
            sequencer,
            waiting,
            disk: Disk::default(),
            said: Vec::new(),
        }
    }

    /// Does actions; each is a note where it was accepted.
    fn act(&mut self, actions: &[&str]) {
        for action in actions {
            let action = Action::parse(action).unwrap();
            if self.sequencer.apply(&self.planned, &action).is_ok() {
                let note = Note {
                    at: SystemTime::UNIX_EPOCH,
                    ms: 1.5,
                    did: Some((action, By::Switch)),
                    state: self.sequencer.state().clone(),
                    whole: None,
                };
                self.waiting.push(note, &self.planned, &self.sequencer);
            }
        }
    }

    /// Writes as the thread does, once for each batch.
    fn write(&mut self, each: &[&[&str]]) {
        let mut disk = std::mem::take(&mut self.disk);
        {
            let mut scribe = Scribe::new(&mut disk, "/sets/evening.yaml".into());
            let mut notes = Vec::new();
            for actions in [&[][..]].into_iter().chain(each.iter().copied()) {
                self.act(actions);
                self.waiting.take(&mut notes);
                let Written { wants_whole, words } = scribe.write(&mut notes, None);
                self.waiting.wants_whole |= wants_whole;
                self.said.extend(words);
            }
        }
        self.disk = disk;
    }

    fn text(&self) -> &str {
        std::str::from_utf8(&self.disk.text).unwrap()
    }

    /// What comes back is what there is: the page, and every page that `undo` leads to.
    #[track_caller]
    fn assert_comes_back(&self) {
        let Restored { mut sequencer, exact } = restore(&self.planned, self.text()).unwrap();
        assert!(exact, "{}", self.text());
        let mut was = self.sequencer.clone();
        loop {
            assert_eq!(sequencer.state(), was.state());
            let (one, other) = (
                sequencer.apply(&self.planned, &Action::Undo),
                was.apply(&self.planned, &Action::Undo),
            );
            assert_eq!(one, other);
            if one.is_err() {
                return;
            }
        }
    }
}

#[test]
fn every_action_is_come_back_from() {
    let mut kept = Kept::open(SET);
    let actions = "next again key-up peek section Chorus;key-up undo song 3;next key-down lock undo next lock back";
    let mut all = Vec::new();
    for part in actions.split(';') {
        let mut words = part.split(' ').peekable();
        while let Some(word) = words.next() {
            match word {
                "section" | "song" => all.push(format!("{word} {}", words.next().unwrap())),
                word => all.push(word.to_owned()),
            }
        }
    }
    for count in 0..=all.len() {
        let mut kept = Kept::open(SET);
        let actions: Vec<&str> = all[..count].iter().map(String::as_str).collect();
        let each: Vec<&[&str]> = actions.chunks(1).collect();
        kept.write(&each);
        kept.assert_comes_back();
    }
    kept.write(&[]);
    kept.assert_comes_back();
}

#[test]
fn a_long_show_is_come_back_from_by_its_last_whole_account() {
    let mut kept = Kept::open(SET);
    let actions: Vec<&str> = ["next", "again", "key-up", "next", "undo", "song 1", "peek"].repeat(500);
    let each: Vec<&[&str]> = actions.chunks(1).collect();
    kept.write(&each);
    let lines: Vec<&str> = kept.text().lines().collect();
    let wholes = lines.iter().filter(|line| line.starts_with(r#"{"whole":"#)).count();
    assert!((10..20).contains(&wholes), "{wholes}");
    let last = lines.iter().rposition(|line| line.starts_with(r#"{"whole":"#)).unwrap();
    assert!(lines.len() - last <= 257, "{}", lines.len() - last);
    kept.assert_comes_back();
}

#[test]
fn what_waits_for_a_slow_disk_is_bounded_and_comes_back_all_the_same() {
    let mut kept = Kept::open(SET);
    let stalled: Vec<&str> = ["next", "key-up", "again", "undo"].repeat(2000);
    kept.write(&[&["next"], &stalled, &["again"]]);
    assert!(
        kept.text().lines().count() < 2 * 1024,
        "{}",
        kept.text().lines().count()
    );
    kept.assert_comes_back();
}

#[test]
fn a_full_disk_is_told_once_and_nothing_is_missing_when_it_has_room_again() {
    // Few lines are kept as they are; many give way to one whole account.
    for (actions, lines) in [(3, 6), (700, 7)] {
        let mut kept = Kept::open(SET);
        kept.disk.full = actions;
        let each: Vec<&[&str]> = [&["again"][..], &["next"], &["key-up"]].repeat(actions)[..actions].to_vec();
        kept.write(&[&each[..], &[&["next"], &["again"]]].concat());
        assert_eq!(kept.said.len(), 1, "{:?}", kept.said);
        let words = "the journal cannot be written: ";
        assert!(kept.said[0].starts_with(words), "{:?}", kept.said);
        assert!(kept.text().starts_with(r#"{"journal":1,"#), "{}", kept.text());
        assert!(kept.text().lines().count() >= lines, "{}", kept.text());
        kept.assert_comes_back();
    }
}

#[test]
fn a_journal_that_is_gone_is_begun_anew_with_all_that_there_was() {
    let mut kept = Kept::open(SET);
    kept.disk.gone = true;
    kept.write(&[&["next"], &["again"], &["key-up"]]);
    assert_eq!(kept.said.len(), 1, "{:?}", kept.said);
    assert!(kept.text().starts_with(r#"{"journal":1,"#), "{}", kept.text());
    kept.assert_comes_back();
}

#[test]
fn a_torn_line_and_garbage_are_passed_over() {
    let mut kept = Kept::open(SET);
    kept.write(&[&["next"], &["next"]]);
    let whole = kept.disk.text.clone();
    for garbage in [
        &b"{\"ms\":2.0,\"did\":\"ne"[..],
        b"\n\n\x00\xff{}\n[1]\n{\"whole\":{}}\n",
        b"{\"over\":7}\n",
    ] {
        kept.disk.text = [&whole[..], garbage].concat();
        let text = String::from_utf8_lossy(&kept.disk.text).into_owned();
        let restored = restore(&kept.planned, &text).unwrap();
        assert_eq!(restored.sequencer.state(), kept.sequencer.state(), "{garbage:?}");
    }
    assert!(restore(&kept.planned, "").is_none());
    assert!(restore(&kept.planned, "{}\nno journal\n").is_none());
}

#[test]
fn in_a_changed_set_the_page_is_found_by_its_names() {
    let mut kept = Kept::open(SET);
    kept.write(&[&["next"], &["key-up"], &["next"], &["next"], &["again"]]);
    for (change, page) in [
        // Another song before it, another step before it, the step gone, the song gone.
        (
            ("songs:\n", "songs:\n  - { song: First, key: G }\n"),
            ("section", 2, 3, 2),
        ),
        (("order: [Verse", "order: [Tag, Verse"), ("section", 1, 4, 2)),
        (("Verse, Tag]", "Tag]"), ("gap", 1, 0, 0)),
        (("song: Lanterns", "song: Elsewhere"), ("gap", 1, 0, 0)),
    ] {
        let text = SET.replacen(change.0, change.1, 1);
        let changed = planned(&text);
        let Restored { sequencer, exact } = restore(&changed, kept.text()).unwrap();
        let line = Line::new(&changed, sequencer.state());
        let (kind, song, step, times) = page;
        assert!(!exact, "{change:?}");
        assert_eq!(
            (&*line.page, line.song, line.step, line.times),
            (kind, song, step, times),
            "{change:?}"
        );
        if line.title.as_deref() == Some("Lanterns") {
            assert_eq!(line.key.as_deref(), Some("B"), "{change:?}");
        }
    }
}

#[test]
fn a_show_that_died_in_a_look_ahead_comes_back_to_the_page_underneath_in_a_changed_set() {
    let mut kept = Kept::open(SET);
    kept.write(&[&["next"], &["next"], &["again"], &["peek"]]);
    // A long journal is read from the line before its last whole account on: that may be a look ahead's.
    let lines: Vec<&str> = kept.text().lines().collect();
    for told in [kept.text(), lines[lines.len() - 1]] {
        let changed = planned(&SET.replacen("songs:\n", "songs:\n  - { song: First, key: G }\n", 1));
        let Restored { sequencer, exact } = restore(&changed, told).unwrap();
        let line = Line::new(&changed, sequencer.state());
        assert!(!exact);
        assert_eq!(
            (&*line.page, line.title.as_deref(), line.step, line.times),
            ("section", Some("Lanterns"), 2, 2),
            "{told}"
        );
    }
}

#[test]
fn a_closed_show_ends_with_the_line_that_says_whether_it_is_over() {
    let kept = Kept::open(SET);
    let mut disk = Disk::default();
    let mut scribe = Scribe::new(&mut disk, "/sets/evening.yaml".into());
    let mut notes = vec![begin(&kept.planned, &kept.sequencer)];
    let at = SystemTime::UNIX_EPOCH + Duration::from_millis(1_500);
    scribe.write(
        &mut notes,
        Some(&Closing::Left {
            at,
            ms: 1_500.0,
            over: true,
        }),
    );
    let text = String::from_utf8(disk.text).unwrap();
    assert!(
        text.ends_with("{\"over\":true,\"ms\":1500.0,\"at\":\"1970-01-01T00:00:01.500Z\"}\n"),
        "{text}"
    );
}

#[test]
fn a_journal_is_named_by_when_it_was_begun() {
    let at = SystemTime::UNIX_EPOCH + Duration::from_millis(1_795_629_601_234);
    let name = file_name(at, 77);
    assert_eq!(name, "20261125T180001.234Z-77.jsonl");
    let begun = begun_at(&name).unwrap();
    assert_eq!(SystemTime::try_from(begun).unwrap(), at);
    for other in [
        "",
        "x-1.jsonl",
        "20261125T180001.234Z-77",
        "20261125T180001.234Z-a.jsonl",
    ] {
        assert!(begun_at(other).is_none(), "{other}");
    }
}

#[test]
fn what_is_said_on_coming_back_fits_into_eighty_columns() {
    let longest = Duration::from_secs(5 * 3600 + 59 * 60);
    for (exact, ago, wanted) in [
        (
            true,
            Duration::ZERO,
            "back where the show broke off, just now; `--fresh` starts over",
        ),
        (
            false,
            longest,
            "back in a changed set where it broke off, 5 h 59 min ago; `--fresh` starts over",
        ),
    ] {
        let said = super::words(exact, ago);
        assert!(said == wanted && said.chars().count() <= 80, "{said}");
    }
}
