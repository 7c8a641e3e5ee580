//! `ear` as a player uses it: the real binary on a pseudo-terminal, by foot, its sound taken by ALSA's own file output.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "tests read files and may fail"
)]
#![cfg(target_os = "linux")]

#[path = "../stage/terminal.rs"]
#[allow(dead_code, reason = "the stage's tests use the rest")]
mod terminal;

mod sitting;

use footlights::ear::{Sound, loudness};
use sitting::Running;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn peak(sound: &Sound) -> f64 {
    sound.samples.iter().fold(0.0, |peak, sample| sample.abs().max(peak))
}

#[test]
fn a_question_is_asked_heard_and_answered_by_two_switches() {
    let mut ear = Running::open(&[]);
    ear.wait_for("set the volume");
    let soft = ear.sound();
    let soft_lufs = loudness(&soft).unwrap();
    assert!(
        (soft_lufs + 43.0).abs() < 0.5,
        "the first sound is 20 dB softer: {soft_lufs} LUFS"
    );
    assert!(peak(&soft) > 0.0 && soft.seconds() > 3.0);
    ear.step();
    ear.go();
    ear.wait_for("which position?");
    let lufs = loudness(&ear.sound()).unwrap();
    assert!((lufs + 23.0).abs() < 0.5, "{lufs} LUFS");
    assert_eq!(ear.history(), "");
    ear.go();
    ear.wait_for("of 1 right");
    let history = ear.history();
    assert!(
        history.starts_with("{\"at\":") && history.ends_with("}\n") && history.lines().count() == 1,
        "{history}"
    );
    // Both sounds in turn, and as often as wanted.
    ear.sound_longer_than(7.0);
    ear.step();
    ear.go();
    ear.sound_longer_than(7.0);
    ear.step();
    ear.step();
    ear.go();
    ear.wait_for("which position?");
    ear.type_in("1");
    ear.wait_for("of 2 right");
    ear.type_in("3");
    let said = ear.ended();
    assert!(
        said.contains("name it, 2 choices:") && said.contains("of 2 right (95 %:"),
        "{said}"
    );
    assert_eq!(ear.history().lines().count(), 2);
}

#[test]
fn the_other_drills_ask_and_the_players_own_recordings_serve() {
    for (arguments, question) in [
        (&["--drill", "odd"][..], "another position"),
        (&["--drill", "gap"], "moved"),
        (&["--drill", "same"], "same position"),
    ] {
        let mut ear = Running::open(arguments);
        ear.wait_for("set the volume");
        ear.type_in("2");
        ear.wait_for(question);
        ear.type_in("1");
        ear.wait_for("of 1 right");
        ear.type_in("q");
        assert!(ear.ended().contains("of 1 right"), "{arguments:?}");
    }
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("own");
    fs::create_dir(&own).unwrap();
    for (name, hz) in [
        ("neck 1", 200.0),
        ("neck 2", 210.0),
        ("Bridge", 220.0),
        ("other", 230.0),
    ] {
        let tone = |at: i32| (12_000.0 * (f64::from(at) * hz * std::f64::consts::TAU / 44_100.0).sin()) as i16;
        let samples: Vec<i16> = (0..66_150).map(tone).collect();
        footlights::ear::write_wav(&own.join(format!("{name}.wav")), 44_100, &samples).unwrap();
    }
    let mut ear = Running::open(&["--own", own.to_str().unwrap()]);
    ear.wait_for("set the volume");
    let lufs = loudness(&ear.sound()).unwrap();
    assert!((lufs + 43.0).abs() < 0.5, "{lufs} LUFS");
    ear.type_in("2");
    ear.wait_for("2  bridge");
    ear.type_in("1");
    ear.wait_for("of 1 right");
    ear.type_in("q");
    let said = ear.ended();
    assert!(said.contains("other.wav: not named after a position"), "{said}");
    assert!(said.contains("bridge has one clip alone"), "{said}");
    assert!(ear.history().contains("\"phrase\":\"own\""), "{}", ear.history());
}

#[test]
fn a_sets_own_positions_and_chords_are_asked() {
    let set = Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists/harvest-evening.yaml");
    let mut ear = Running::open(&["--set", set.to_str().unwrap()]);
    ear.wait_for("set the volume");
    ear.type_in("2");
    ear.wait_for("which position?");
    ear.type_in("1");
    ear.wait_for("of 1 right");
    ear.type_in("q");
    ear.ended();
}

fn run(home: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_footlights"));
    command.arg("ear").args(arguments).env("ALSA_CONFIG_PATH", "/dev/null");
    for name in ["HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"] {
        command.env(name, home);
    }
    command.output().unwrap()
}

#[test]
fn what_cannot_be_asked_is_told_in_a_sentence_that_says_what_to_do() {
    let mut ear = Running::without_sound();
    let said = ear.ended_with(1);
    assert!(said.contains("error: no sound can be played here: "), "{said}");
    assert!(
        said.contains("`footlights ear render --out DIR` writes the sounds as files"),
        "{said}"
    );
    let home = tempfile::tempdir().unwrap();
    let few = home.path().join("few");
    fs::create_dir(&few).unwrap();
    let set = home.path().join("set.yaml");
    let sections = "Verse: { pickup: neck, chords: \"1 | 4\" }";
    fs::write(
        &set,
        format!("set: One\nsongs:\n  - {{ song: A, key: G, sections: {{ {sections} }} }}\n"),
    )
    .unwrap();
    let one = home.path().join("one.yaml");
    fs::write(&one, "guitar: { pickups: { bridge: 41 } }\n").unwrap();
    let [few, set, one] = [&few, &set, &one].map(|path| path.to_str().unwrap());
    for (arguments, status, says) in [
        (
            &[][..],
            1,
            "error: `ear` asks on a terminal; `footlights ear render --out DIR`",
        ),
        (
            &["--own", few],
            1,
            "recordings of two positions at least are needed, and there are: none",
        ),
        (&["--own", "nowhere"], 1, "nowhere: error: there is no such folder"),
        (&["--own", few, "--drill", "gap"], 1, "recordings of two positions"),
        (
            &["--set", set],
            1,
            "call for two of the guitar's pickup positions at least, and they call for: neck",
        ),
        (&["--player", one], 1, "this guitar has one pickup position"),
        (&["--own", few, "--set", set], 2, "cannot be used with"),
    ] {
        let output = run(home.path(), arguments);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(status), "{arguments:?}: {said}");
        assert!(said.contains(says), "{arguments:?}: {said}");
    }
}

#[test]
fn the_score_is_printed_without_asking_and_a_torn_history_serves() {
    let home = tempfile::tempdir().unwrap();
    let said = run(home.path(), &["--score"]);
    assert_eq!(String::from_utf8(said.stdout).unwrap(), "No answers yet.\n");
    let folder = home.path().join("footlights");
    fs::create_dir_all(&folder).unwrap();
    let line = |played: &str, answered: &str| {
        format!(
            "{{\"at\":5,\"sitting\":5,\"drill\":\"name\",\"phrase\":\"note\",\"pair\":[\"neck\",\"bridge\"],\
             \"choices\":2,\"played\":\"{played}\",\"answered\":\"{answered}\"}}"
        )
    };
    let whole = [line("neck", "neck"), line("neck", "bridge")].join("\n");
    fs::write(folder.join("ear.jsonl"), format!("{whole}\n{{\"at\":6,\"sit")).unwrap();
    let output = run(home.path(), &["--json"]);
    let score: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        (&score["answers"], &score["tallies"][0]["right"]),
        (&2.into(), &1.into()),
        "{score}"
    );
    // The torn line stays alone; the next one would begin anew.
    let text = fs::read_to_string(folder.join("ear.jsonl")).unwrap();
    assert!(text.ends_with("\"sit\n"), "{text}");
    let said = String::from_utf8(run(home.path(), &["--score"]).stdout).unwrap();
    assert!(said.starts_with("name it, 2 choices: 1 of 2 right"), "{said}");
}
