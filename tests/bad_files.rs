//! Files that are wrong, hostile or merely odd: each is refused (or read) fast, with a place in the file, and nothing
//! panics.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use footlights::setlist;
use proptest::prelude::*;
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

const SET: &str = include_str!("../setlists/harvest-evening.yaml");
const SONG: &str = include_str!("../setlists/songs/ferry-in-the-fog.yaml");
const PLAYER: &str = include_str!("../setlists/player.yaml");
const GOOD: &str = "set: A\nsongs:\n  - { song: Lanterns, key: G, tempo: 90 }\n";
const LIMIT: usize = 16 << 20;
const ESCAPE: char = '\u{1b}';

/// What `check --json` says of `set.yaml` in a folder, after its exit status was held against it.
fn check(folder: &Path) -> Vec<Value> {
    let output = Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(["check", "set.yaml", "--json"])
        .current_dir(folder)
        .env("HOME", folder)
        .env_remove("XDG_CONFIG_HOME")
        .output()
        .unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    let findings: Vec<Value> = serde_json::from_slice(&output.stdout).unwrap();
    let wrong = findings.iter().any(|finding| finding["level"] == "error");
    assert_eq!(output.status.code(), Some(i32::from(wrong)));
    findings
}

fn check_bytes(bytes: &[u8]) -> Vec<Value> {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("set.yaml"), bytes).unwrap();
    check(folder.path())
}

/// The findings as `line:column rule`.
fn places(findings: &[Value]) -> Vec<String> {
    let place = |finding: &Value| {
        let rule = finding["rule"].as_str().unwrap();
        format!("{}:{} {rule}", finding["line"], finding["column"])
    };
    findings.iter().map(place).collect()
}

#[test]
fn a_file_of_16_mib_is_read_and_one_byte_more_is_refused() {
    let mut bytes = GOOD.as_bytes().to_vec();
    bytes.push(b'#');
    bytes.resize(LIMIT, b'x');
    assert_eq!(places(&check_bytes(&bytes)), [""; 0]);
    bytes.push(b'x');
    let rules: Vec<_> = check_bytes(&bytes)
        .iter()
        .map(|finding| finding["rule"].clone())
        .collect();
    assert_eq!(rules, ["format"]);
}

// YAML 1.2.2, sections 5.2 (byte order mark) and 5.4 (line breaks): from memory.
#[test]
fn a_byte_order_mark_and_windows_line_ends_change_nothing() {
    let bad = GOOD.replace("key: G", "key: H");
    let plain = places(&check_bytes(bad.as_bytes()));
    assert_eq!(plain, ["3:28 format"]);
    for odd in [format!("\u{feff}{bad}"), bad.replace('\n', "\r\n")] {
        assert_eq!(places(&check_bytes(odd.as_bytes())), plain, "{odd:?}");
    }
}

#[test]
fn what_is_no_set_at_all_is_refused() {
    let deep_flow = format!("set: {}{}\n", "[".repeat(10_000), "]".repeat(10_000));
    let deep_block: String = (0..5_000).map(|level| format!("{}a:\n", " ".repeat(level))).collect();
    let unclosed = "[{".repeat(10_000);
    let aliases: String = ('b'..='i')
        .scan('a', |before, name| {
            let line = format!("{name}: &{name} [{}]\n", vec![format!("*{before}"); 10].join(", "));
            *before = name;
            Some(line)
        })
        .collect();
    let aliases = format!("a: &a [x, x]\n{aliases}");
    let rows: [(&str, &[u8]); 14] = [
        ("empty", b""),
        ("a comment alone", b"# hello\n"),
        ("a word", b"hello\n"),
        ("a list", b"- a\n- b\n"),
        ("no songs", b"set: A\nsongs: []\n"),
        ("a NUL", b"set: A\0\n"),
        ("a control character", b"set: \"A\x07\"\n"),
        ("Latin 1", b"set: caf\xe9\n"),
        ("UTF-16", b"\xff\xfes\0e\0t\0"),
        ("two documents", b"set: A\n---\nset: B\n"),
        ("10,000 levels in brackets", deep_flow.as_bytes()),
        ("5,000 levels by indent", deep_block.as_bytes()),
        ("20,000 open brackets", unclosed.as_bytes()),
        ("aliases that multiply", aliases.as_bytes()),
    ];
    for (name, bytes) in rows {
        let findings = check_bytes(bytes);
        assert!(findings.iter().any(|finding| finding["level"] == "error"), "{name}");
        let message = findings[0]["message"].as_str().unwrap();
        assert!(!message.contains(char::is_control), "{name}: {message:?}");
        assert!(findings.len() <= 12, "{name}: {} findings", findings.len());
    }
}

#[test]
fn fifty_errors_make_fifty_messages_each_at_its_place() {
    let songs: String = (1..=50)
        .map(|number| format!("  - {{ song: Song {number:02}, key: G, tempo: 9 }}\n"))
        .collect();
    let wanted: Vec<_> = (3..53).map(|line| format!("{line}:37 format")).collect();
    assert_eq!(
        places(&check_bytes(format!("set: A\nsongs:\n{songs}").as_bytes())),
        wanted
    );
}

/// In each row `^` stands before the character that is meant.
#[test]
fn each_kind_of_mistake_is_found_at_its_word() {
    for (song, rule) in [
        ("song: X, key: ^H", "format"),
        ("song: X, key: G, tempo: ^401", "format"),
        ("song: X, key: G, meter: ^4/5", "format"),
        ("song: X, key: G, ^tmpo: 90", "format"),
        ("song: X, key: G, ^key: A", "format"),
        ("song: X, key: G, pin: { ^Nobody: { fret: 1 } }", "format"),
        ("song: X, key: G, gap: ^3601", "format"),
        ("song: X, key: G, sections: { V: { bars: ^0 } }", "format"),
        ("song: X, key: G, sections: { V: {} }, order: [^W]", "unknown-section"),
        ("song: X, key: G, sections: { V: {} }, order: [^V x10001]", "format"),
        ("song: X, key: G, sections: { V: { chords: 1 | ^Q } }", "format"),
        ("song: X, key: G, sections: { V: { chords: '1 | ^Q' } }", "format"),
        ("song: X, key: G, sections: { V: { like: ^V } }", "format"),
    ] {
        let column = "  - { ".len() + song.find('^').unwrap() + 1;
        let text = format!("set: A\nsongs:\n  - {{ {} }}\n", song.replace('^', ""));
        let findings = check_bytes(text.as_bytes());
        let errors: Vec<_> = findings
            .into_iter()
            .filter(|finding| finding["level"] == "error")
            .collect();
        assert_eq!(places(&errors), [format!("3:{column} {rule}")], "{song}");
    }
}

#[test]
fn a_chord_line_that_begins_with_a_sign_is_told_to_take_quotes() {
    for chords in ["| 1 | 4 |", "% | 1", "- 1 | 4", "*a | 1"] {
        let folder = tempfile::tempdir().unwrap();
        let text =
            format!("set: A\nsongs:\n  - song: X\n    key: G\n    sections:\n      V:\n        chords: {chords}\n");
        fs::write(folder.path().join("set.yaml"), text).unwrap();
        let report = setlist::read(&folder.path().join("set.yaml"), None).unwrap_err();
        assert_eq!(report.findings.len(), 1, "{chords}");
        let finding = &report.findings[0];
        let told = format!("{} {}", finding.message, finding.hint.as_deref().unwrap_or_default());
        assert!(told.contains("in quotes"), "{chords}: {told}");
        assert_eq!(
            finding.spot.map(|spot| (spot.line, spot.column)),
            Some((7, 17)),
            "{chords}"
        );
    }
}

#[test]
fn a_song_file_is_used_from_under_the_folder_alone() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("set");
    fs::create_dir_all(folder.join("songs")).unwrap();
    let song = "song: Ferry\nkey: G\ntempo: 90\n";
    fs::write(place.path().join("outside.yaml"), song).unwrap();
    fs::write(folder.join("songs/ferry.yaml"), song).unwrap();
    std::os::unix::fs::symlink("../../outside.yaml", folder.join("songs/link.yaml")).unwrap();
    std::os::unix::fs::symlink("../..", folder.join("songs/up")).unwrap();
    std::os::unix::fs::symlink("ferry.yaml", folder.join("songs/same.yaml")).unwrap();
    rustix::fs::mkfifoat(rustix::fs::CWD, folder.join("pipe.yaml"), rustix::fs::Mode::RWXU).unwrap();
    let outside = place.path().join("outside.yaml");
    for (path, good) in [
        ("songs/ferry.yaml", true),
        ("./songs/ferry.yaml", true),
        ("songs/same.yaml", true),
        ("../outside.yaml", false),
        (outside.to_str().unwrap(), false),
        ("songs/link.yaml", false),
        ("songs/up/outside.yaml", false),
        ("songs/../../outside.yaml", false),
        ("songs", false),
        ("pipe.yaml", false),
        ("songs/none.yaml", false),
        ("set.yaml", false),
    ] {
        fs::write(folder.join("set.yaml"), format!("set: A\nsongs:\n  - use: {path}\n")).unwrap();
        let found = places(&check(&folder));
        match good {
            true => assert_eq!(found, [""; 0], "{path}"),
            false => assert_eq!(found.first().map(String::as_str), Some("3:10 format"), "{path}"),
        }
    }
}

#[test]
fn fields_beside_use_stand_in_place_of_the_files() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(
        folder.path().join("song.yaml"),
        "song: Ferry\nkey: G\ntempo: 90\ngap: 7\n",
    )
    .unwrap();
    let set = folder.path().join("set.yaml");
    fs::write(&set, "set: A\nsongs: [{ use: song.yaml, key: Db, gap: 9 }]\n").unwrap();
    let reading = setlist::read(&set, None).unwrap();
    let song = &reading.set.songs()[0];
    assert_eq!((song.title.as_str(), song.key.to_string().as_str()), ("Ferry", "D♭"));
    assert_eq!(
        (song.gap.as_s(), song.tempo.map(|tempo| tempo.bpm())),
        (9.0, Some(90.0))
    );
    assert_eq!(reading.sources.paths().count(), 2);
}

/// What one byte, or a line, can do to a file.
#[derive(Clone, Debug)]
enum Harm {
    Replace(u8),
    Insert(u8),
    Cut,
    Drop,
    Double,
}

fn harm() -> impl Strategy<Value = Harm> {
    let signs = prop::sample::select(b"|%-*&[]{}:#'\"!,>@`?\t\n \0\x1b\xff~0".to_vec());
    prop_oneof![
        signs.clone().prop_map(Harm::Replace),
        signs.prop_map(Harm::Insert),
        Just(Harm::Cut),
        Just(Harm::Drop),
        Just(Harm::Double),
    ]
}

fn harmed(text: &str, at: usize, harm: &Harm) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    let at = at % bytes.len();
    match *harm {
        Harm::Replace(byte) => bytes[at] = byte,
        Harm::Insert(byte) => bytes.insert(at, byte),
        Harm::Cut => bytes.truncate(at),
        Harm::Drop => drop(bytes.remove(at)),
        Harm::Double => {
            let line = bytes[at..].to_vec();
            bytes.extend(line);
        }
    }
    bytes
}

/// Every place that is named lies in its file, or just behind its end.
fn every_place_is_in_its_file(findings: &[setlist::Finding], sources: &setlist::Sources) {
    for finding in findings {
        let Some(spot) = finding.spot else { continue };
        let path = sources.paths().nth(usize::from(spot.file)).unwrap();
        let bytes = fs::read(path).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        let lines = text.split('\n').count();
        assert!((1..=lines as u32 + 1).contains(&spot.line), "{finding:?}");
        let line = text.split('\n').nth(spot.line as usize - 1).unwrap_or_default();
        assert!(
            (1..=line.chars().count() as u32 + 1).contains(&spot.column),
            "{finding:?}"
        );
        assert!(spot.len >= 1, "{finding:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_harmed_file_is_read_or_refused_with_places_that_exist(
        which in 0..3usize, at in any::<usize>(), harms in prop::collection::vec(harm(), 1..3)
    ) {
        let folder = tempfile::tempdir().unwrap();
        let mut texts = [SET, SONG, PLAYER].map(|text| text.as_bytes().to_vec());
        for (step, harm) in harms.iter().enumerate() {
            let text = String::from_utf8_lossy(&texts[which]).into_owned();
            if !text.is_empty() {
                texts[which] = harmed(&text, at.rotate_left(step as u32 * 7), harm);
            }
        }
        let file = |name| folder.path().join(name);
        fs::create_dir(file("songs")).unwrap();
        for (name, text) in ["set.yaml", "songs/ferry-in-the-fog.yaml", "player.yaml"].into_iter().zip(&texts) {
            fs::write(file(name), text).unwrap();
        }
        match setlist::read(&file("set.yaml"), Some(&file("player.yaml"))) {
            Ok(reading) => every_place_is_in_its_file(&reading.findings, &reading.sources),
            Err(report) => {
                prop_assert!(report.findings.iter().any(|finding| finding.rule.level() == setlist::Level::Error));
                every_place_is_in_its_file(&report.findings, &report.sources);
                let told = report.to_string();
                prop_assert!(!told.contains(ESCAPE), "a control character got through");
            }
        }
    }
}
