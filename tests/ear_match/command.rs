//! `ear match`, as a player runs it.

use crate::phrases::{POSITIONS, RATE, open_strings};
use footlights::ear::write_wav;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_footlights"));
    command.args(["ear", "match"]).args(arguments).current_dir(folder);
    // No player's file of whoever runs this.
    command.env("XDG_CONFIG_HOME", folder).output().unwrap()
}

fn write(folder: &Path, name: &str, signal: &[f64]) -> PathBuf {
    let samples: Vec<i16> = signal.iter().map(|x| (x * 32_000.0) as i16).collect();
    let path = folder.join(name);
    write_wav(&path, RATE as u32, &samples).unwrap();
    path
}

#[test]
fn one_file_of_several_notes_or_several_files_of_one_give_one_answer() {
    let folder = tempfile::tempdir().unwrap();
    let phrase = open_strings(1, 0);
    write(folder.path(), "phrase.wav", &phrase);
    let note = phrase.len() / 6;
    let names: Vec<String> = (0..6).map(|at| format!("{at}.wav")).collect();
    for (at, name) in names.iter().enumerate() {
        write(folder.path(), name, &phrase[at * note..(at + 1) * note]);
    }
    let files: Vec<&str> = names.iter().map(String::as_str).collect();
    for arguments in [&["phrase.wav"][..], &files] {
        let output = run(folder.path(), &[&["--json"], arguments].concat());
        assert!(output.status.success(), "{output:?}");
        let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(answer["position"], "middle", "{answer}");
        assert!(
            answer["confidence"].as_f64().unwrap() > 0.9 && answer["reason"].is_null(),
            "{answer}"
        );
        let strings: Vec<u64> = answer["notes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|n| n["string"].as_u64().unwrap())
            .collect();
        assert_eq!(strings, [0, 1, 2, 3, 4, 5], "{answer}");
        assert_eq!(
            (&answer["skipped"], answer["scores"].as_array().unwrap().len()),
            (&Value::Array(vec![]), POSITIONS.len())
        );
        assert!(
            (answer["distance_mm"].as_f64().unwrap() - 98.0).abs() <= 3.0,
            "{answer}"
        );
        assert!(answer["distance_error_mm"].as_f64().unwrap() > 0.0, "{answer}");
    }
    let output = run(folder.path(), &["phrase.wav"]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.starts_with("middle, with a confidence of 0.9"), "{said}");
    assert!(said.contains("6 notes were used"), "{said}");
}

#[test]
fn the_capo_and_the_players_selector_count() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "capo.wav", &open_strings(2, 3));
    let player = "guitar: { pickups: { front: 162, back: 41, beside: 44 }, selector: [front, back, beside] }\n";
    std::fs::write(folder.path().join("player.yaml"), player).unwrap();
    let output = run(folder.path(), &["--capo", "3", "--json", "capo.wav"]);
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["position"], "bridge", "{answer}");
    let frets: Vec<u64> = answer["notes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|note| note["fret"].as_u64().unwrap())
        .collect();
    assert_eq!(frets, [3; 6]);
    let output = run(folder.path(), &["--capo", "3", "--player", "player.yaml", "capo.wav"]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(
        said.starts_with("back and beside lie too close together to be told apart.\n"),
        "{said}"
    );
    assert!(said.contains("can't tell: back and beside fit almost alike"), "{said}");
}

#[test]
fn a_file_of_silence_has_no_notes_and_all_scores_are_nothing() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "silence.wav", &[0.0; 88_200]);
    let output = run(folder.path(), &["--json", "silence.wav"]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains("three are needed and 0 could be used"), "{said}");
    assert!(said.contains("\"score\":0.0") && !said.contains("-0.0"), "{said}");
}

#[test]
fn what_cannot_be_read_is_told_in_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("no.wav"), "RIFF").unwrap();
    std::fs::write(folder.path().join("words.wav"), "These are words and no sound at all.").unwrap();
    std::fs::create_dir(folder.path().join("folder.wav")).unwrap();
    for (arguments, status, says) in [
        (&["gone.wav"][..], 1, "gone.wav: error: there is no such file\n"),
        (&["no.wav"], 1, "no.wav: error: this is no whole WAV file\n"),
        (
            &["--capo", "12", "no.wav"],
            2,
            "a capo fret is 0 (no capo) to 11, not `12`",
        ),
        (&[], 2, "FILE.wav"),
    ] {
        let output = run(folder.path(), arguments);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(status), "{arguments:?}: {said}");
        assert!(said.contains(says), "{arguments:?}: {said}");
    }
}
