//! `log`, after shows that were played: what was played stands in it, and every line of a journal is one of `replay`.

use super::{NEXT, SIZE, step};
use crate::show::Show;
use serde_json::Value;
use std::fs;
use std::process::Command;

/// What `log` prints, of the shows in that show's own state folder.
fn log(show: &Show, more: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_footlights"))
        .arg("log")
        .args(more)
        .env("XDG_STATE_HOME", show.path(""))
        .env("TZ", "UTC")
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_show_that_was_played_is_told_of() {
    let mut show = Show::open(SIZE);
    show.until_journal_has(1);
    assert_eq!(log(&show, &["--json"]), "[]\n");
    assert!(log(&show, &[]).starts_with("no show yet"));

    for _ in 0..2 {
        step(&mut show, NEXT);
    }
    show.signal("TERM");
    show.until_ended();
    let shows: Value = serde_json::from_str(&log(&show, &["--json"])).unwrap();
    let song = &shows[0]["songs"][0];
    let facts = (&shows[0]["set"], &shows[0]["over"], &song["title"], &song["song"]);
    assert_eq!(
        facts,
        (
            &"Harvest evening at the millpond".into(),
            &false.into(),
            &"Lanterns at Millpond".into(),
            &1.into()
        )
    );
    // By the set: 4 and 8 bars of 4 beats at 72 a minute.
    for (place, (name, s)) in [("Intro", 4.0 * 4.0 * 60.0 / 72.0), ("Verse", 8.0 * 4.0 * 60.0 / 72.0)]
        .iter()
        .enumerate()
    {
        let section = &song["sections"][place];
        assert_eq!(section["section"], *name);
        let planned: f64 = section["planned_s"].as_f64().unwrap();
        assert!((planned - s).abs() < 0.001, "{name}: {planned}");
        assert!(section["s"].as_f64().unwrap() > 0.0, "{name}");
    }
    let words = log(&show, &[]);
    assert!(
        words.contains("Lanterns at Millpond") && words.contains("in the set 0:27"),
        "{words}"
    );
}

#[test]
fn garbage_in_the_journals_is_passed_over() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_journal_has(2);
    let folder = fs::read_dir(show.path("footlights/journal"))
        .unwrap()
        .next()
        .unwrap()
        .unwrap()
        .path();
    fs::write(
        folder.join("20260101T000000.000Z-1.jsonl"),
        b"\x00\xff\n{\"ms\":\n{\"journal\":1}\n\n[",
    )
    .unwrap();
    fs::write(folder.join("notes.txt"), "mine").unwrap();
    fs::write(show.path("footlights/journal/stray"), "mine").unwrap();
    let shows: Value = serde_json::from_str(&log(&show, &["--json", "--limit", "5"])).unwrap();
    assert_eq!(shows.as_array().unwrap().len(), 1);
}

#[test]
fn a_line_of_the_journal_is_the_line_of_replay_with_the_time() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_journal_has(2);
    let journal = show.journals().concat();
    let lines = journal.lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    let told: Vec<Value> = lines.filter(|line| line.get("did").is_some()).collect();
    let names = [
        "ms",
        "did",
        "by",
        "page",
        "song",
        "title",
        "step",
        "of",
        "section",
        "times",
        "key",
        "fret",
        "shapes",
        "technique",
        "pickup",
        "move",
        "locked",
        "at",
    ];
    for line in &told {
        for name in names {
            assert!(line.get(name).is_some(), "`{name}` is missing: {line}");
        }
        line["at"].as_str().unwrap().parse::<jiff::Timestamp>().unwrap();
    }
    let facts = |line: &Value| format!("{} {} {} {}", line["did"], line["by"], line["page"], line["section"]);
    let facts: Vec<String> = told.iter().map(facts).collect();
    assert_eq!(
        facts,
        [r#""open" null "gap" null"#, r#""next" "switch" "section" "Intro""#]
    );
}
