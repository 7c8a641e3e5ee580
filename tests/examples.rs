//! The worked examples of the pedals', the stage's and the plan's rules, through the real binary.
//!
//! Source: an independent reading of the same rules in another language, kept as data in `tests/examples/`; its README
//! says how far a line may differ.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test may fail")]

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A moment may differ by so many milliseconds: the examples were rounded elsewhere.
const MS_APART: f64 = 0.6;

fn folders(kind: &str) -> Vec<PathBuf> {
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/examples").join(kind);
    let mut folders: Vec<PathBuf> = std::fs::read_dir(base)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    folders.sort();
    assert!(folders.len() > 10, "{kind}");
    folders
}

/// Runs the example's own arguments in its folder, with no player's file but the one they name.
fn run(folder: &Path) -> Output {
    let arguments = std::fs::read_to_string(folder.join("arguments")).unwrap();
    Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(arguments.split_whitespace())
        .current_dir(folder)
        .env("XDG_CONFIG_HOME", "/nowhere")
        .env("HOME", "/nowhere")
        .output()
        .unwrap()
}

fn lines(text: &str) -> Vec<Value> {
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// Whether two lines agree, as far as the examples' README asks.
fn agree(got: &Value, wanted: &Value) -> bool {
    let (got, wanted) = (got.as_object().unwrap(), wanted.as_object().unwrap());
    got.len() == wanted.len()
        && wanted
            .iter()
            .all(|(name, wanted)| match (name.as_str(), got.get(name)) {
                ("ms", Some(got)) => (got.as_f64().unwrap() - wanted.as_f64().unwrap()).abs() <= MS_APART,
                ("did", Some(Value::String(got))) => wanted.as_str().unwrap().eq_ignore_ascii_case(got),
                ("why", Some(got)) => got.is_string(),
                (_, Some(got)) => got == wanted,
                (_, None) => false,
            })
}

#[test]
fn every_performance_gives_its_lines() {
    for folder in folders("performances") {
        let output = run(&folder);
        let got = lines(std::str::from_utf8(&output.stdout).unwrap());
        let wanted = lines(&std::fs::read_to_string(folder.join("expected.jsonl")).unwrap());
        assert!(!wanted.is_empty());
        for (place, (got, wanted)) in got.iter().zip(&wanted).enumerate() {
            assert!(
                agree(got, wanted),
                "{}, line {}:\n got {got}\nwant {wanted}",
                folder.display(),
                place + 1
            );
        }
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(got.len(), wanted.len(), "{}: {errors}", folder.display());
    }
}

#[test]
fn every_plan_has_the_least_cost_and_its_ties_broken() {
    for folder in folders("plans") {
        let output = run(&folder);
        let wanted: Value =
            serde_json::from_str(&std::fs::read_to_string(folder.join("expected.json")).unwrap()).unwrap();
        let errors = String::from_utf8_lossy(&output.stderr);
        if let Some(status) = wanted.get("status") {
            assert_eq!(
                output.status.code().map(i64::from),
                status.as_i64(),
                "{}",
                folder.display()
            );
            for name in ["player", "title"] {
                assert!(
                    errors.contains(wanted[name].as_str().unwrap()),
                    "{}: {errors}",
                    folder.display()
                );
            }
            continue;
        }
        assert!(output.status.success(), "{}: {errors}", folder.display());
        let got: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(got["cost"], wanted["cost"], "{}", folder.display());
        let songs = got["songs"].as_array().unwrap();
        let frets = |song: &Value| {
            let players = song["players"].as_array().unwrap().iter();
            Value::from(players.map(|player| player["fret"].clone()).collect::<Vec<_>>())
        };
        let keys: Vec<Value> = songs.iter().map(|song| song["keys"].clone()).collect();
        assert_eq!(Value::from(keys), wanted["keys"], "{}", folder.display());
        assert_eq!(
            Value::from(songs.iter().map(frets).collect::<Vec<_>>()),
            wanted["frets"],
            "{}",
            folder.display()
        );
    }
}
