//! `ear render`, as a player runs it: every file that it writes.

use crate::measure::{db, read};
use footlights::ear::{RATE, Sound, loudness};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn render(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_footlights"));
    command.args(["ear", "render", "--out"]).arg(folder).args(arguments);
    // No player's file of whoever runs this.
    command.env("XDG_CONFIG_HOME", folder).output().unwrap()
}

#[test]
fn every_phrase_is_written_at_every_position_level_matched_and_with_its_key() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path().join("made/on/the/way");
    let output = render(&folder, &["--json", "--seed", "5"]);
    assert!(output.status.success(), "{output:?}");
    let entries: Value = serde_json::from_slice(&output.stdout).unwrap();
    let mut phrases: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for entry in entries.as_array().unwrap() {
        let path = Path::new(entry["file"].as_str().unwrap());
        let samples = read(path);
        let key: Value = serde_json::from_slice(&fs::read(entry["key"].as_str().unwrap()).unwrap()).unwrap();
        assert_eq!(
            (&key["position"], &key["phrase"]),
            (&entry["position"], &entry["phrase"])
        );
        assert_eq!(key["rate"], 48_000);
        let seconds = samples.len() as f64 / 48_000.0;
        assert!((3.0..=5.0).contains(&seconds), "{path:?}: {seconds} s");
        check_edges(path, &samples, &key);
        let peak = samples.iter().fold(0.0_f64, |peak, sample| sample.abs().max(peak));
        assert!(db(peak) < -3.0, "{path:?}: {} dBFS", db(peak));
        let phrase = entry["phrase"].as_str().unwrap().to_owned();
        let level = loudness(&Sound { rate: RATE, samples }).unwrap();
        phrases.entry(phrase).or_default().push(level);
    }
    assert_eq!(phrases.len(), 5);
    for (phrase, levels) in phrases {
        assert_eq!(levels.len(), 6, "{phrase}");
        for level in levels {
            assert!((level + 23.0).abs() < 0.1, "{phrase}: {level} LUFS");
        }
    }
}

/// A tenth of a second of silence but for dither, the pluck where the key has it, and nothing at the very ends.
fn check_edges(path: &Path, samples: &[f64], key: &Value) {
    assert_eq!((samples.first(), samples.last()), (Some(&0.0), Some(&0.0)), "{path:?}");
    let first = key["notes"][0]["start_s"].as_f64().unwrap();
    assert!(first >= 0.1, "{path:?}");
    let start = (first * 48_000.0) as usize;
    let highest = |part: &[f64]| part.iter().fold(0.0_f64, |peak, sample| sample.abs().max(peak));
    assert!(highest(&samples[..start]) <= 1.01 / 32_767.0, "{path:?}");
    assert!(highest(&samples[start..start + 960]) > 0.01, "{path:?}");
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_other_ones() {
    let bytes = |seed: &str| {
        let folder = tempfile::tempdir().unwrap();
        // One position, so that it does not take long.
        let player = folder.path().join("player.yaml");
        fs::write(&player, "guitar: { selector: [bridge] }\n").unwrap();
        let output = render(folder.path(), &["--seed", seed, "--player", player.to_str().unwrap()]);
        assert!(output.status.success(), "{output:?}");
        fs::read(folder.path().join("down-strokes-bridge.wav")).unwrap()
    };
    let one = bytes("1");
    assert!(one == bytes("1"));
    assert!(one != bytes("2"));
}

#[test]
fn a_folder_that_cannot_be_written_is_told_in_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("taken");
    fs::write(&file, "").unwrap();
    let output = render(&file, &[]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("taken: error: there is something of this name already"),
        "{said}"
    );
}
