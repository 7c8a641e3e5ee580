//! What a guitarist reads when a file is wrong: `tests/setlist/messages.txt`, each message whole beside its input.
//!
//! `cargo test --test setlist_messages -- --ignored` writes the messages anew, to be read before they are kept.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use footlights::setlist;
use std::fs;
use std::path::{Path, PathBuf};

const CASES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/setlist/messages.txt");
const CASE: &str = "=== ";
const FILE: &str = "--- file ";
const SAYS: &str = "--- says";

/// A case: its name, its files by name (the first is the set's), and what is said.
struct Case {
    name: String,
    files: Vec<(String, String)>,
    says: String,
}

fn cases() -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    let mut into_says = false;
    for line in fs::read_to_string(CASES).unwrap().lines() {
        if let Some(name) = line.strip_prefix(CASE) {
            into_says = false;
            cases.push(Case {
                name: name.into(),
                files: vec![("set.yaml".into(), String::new())],
                says: String::new(),
            });
        } else if let Some(case) = cases.last_mut() {
            if let Some(name) = line.strip_prefix(FILE) {
                case.files.push((name.into(), String::new()));
            } else if line == SAYS {
                into_says = true;
            } else {
                let text = if into_says {
                    &mut case.says
                } else {
                    &mut case.files.last_mut().unwrap().1
                };
                text.push_str(line);
                text.push('\n');
            }
        }
    }
    cases
}

/// What is said of a case's files, paths as from their folder.
fn said(case: &Case) -> String {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in &case.files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let player: Option<PathBuf> = case
        .files
        .iter()
        .any(|(name, _)| name == "player.yaml")
        .then(|| folder.path().join("player.yaml"));
    let text = match setlist::read(&folder.path().join("set.yaml"), player.as_deref()) {
        Ok(reading) => setlist::Report::new(reading.findings, reading.sources).to_string(),
        Err(report) => report.to_string(),
    };
    text.replace(&format!("{}/", Path::new(folder.path()).display()), "")
}

#[test]
fn every_message_is_as_it_is_written_down() {
    let cases = cases();
    assert!(cases.len() > 20);
    for case in &cases {
        assert_eq!(said(case).trim_end(), case.says.trim_end(), "{}", case.name);
    }
}

#[test]
#[ignore = "writes the messages anew"]
fn write_the_messages_anew() {
    let mut text = fs::read_to_string(CASES).unwrap();
    text.truncate(text.find(CASE).unwrap());
    for case in cases() {
        text.push_str(&format!("{CASE}{}\n", case.name));
        for (place, (name, file)) in case.files.iter().enumerate() {
            if place > 0 {
                text.push_str(&format!("{FILE}{name}\n"));
            }
            text.push_str(file);
        }
        text.push_str(&format!("{SAYS}\n{}\n", said(&case).trim_end()));
    }
    fs::write(CASES, text).unwrap();
}
