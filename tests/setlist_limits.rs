//! Files that ask for too much, or are no text at all: each a clear error, and an end to it.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use footlights::setlist::{self, Report};
use proptest::prelude::*;
use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;

/// The longest file that is read, from formats: 16 MiB.
const MOST_BYTES: usize = 16 << 20;
const SONG: &str = "  - { song: Ferry, key: D, tempo: 90 }\n";

fn read(bytes: &[u8]) -> Result<setlist::Reading, Report> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("set.yaml");
    fs::write(&path, bytes).unwrap();
    setlist::read(&path, None)
}

/// The first message of a set that is refused.
#[track_caller]
fn refused(bytes: &[u8]) -> String {
    let report = read(bytes).unwrap_err();
    report.findings[0].message.clone()
}

fn set(songs: &str) -> Vec<u8> {
    format!("set: Evening\nsongs:\n{songs}").into_bytes()
}

#[test]
fn a_file_of_sixteen_mebibytes_is_read_and_one_byte_more_is_not() {
    let mut bytes = set(SONG);
    bytes.push(b'#');
    bytes.resize(MOST_BYTES, b'x');
    assert!(read(&bytes).is_ok());
    bytes.push(b'x');
    assert_eq!(refused(&bytes), "this file is longer than 16 MiB");
}

#[test]
fn a_file_without_an_end_is_not_read_to_its_end() {
    let report = setlist::read(Path::new("/dev/zero"), None).unwrap_err();
    assert_eq!(report.findings[0].message, "this file is longer than 16 MiB");
}

#[test]
fn what_is_no_text_is_refused_at_its_place() {
    for (name, bytes, message, place) in [
        (
            "NUL",
            &b"set: E\nso\0ngs: []\n"[..],
            "the character U+0000 has no place in a text file",
            (2, 3),
        ),
        (
            "ESC",
            b"set: \x1b[2J\n",
            "the character U+001B has no place in a text file",
            (1, 6),
        ),
        (
            "DEL",
            b"\n\r\n\rset: \x7f",
            "the character U+007F has no place in a text file",
            (4, 6),
        ),
        (
            "Latin-1",
            b"# \xc3\xa9\nset: caf\xe9\n",
            "the byte E9 is not UTF-8",
            (2, 9),
        ),
        ("cut off", b"set: \xe2\x99", "the byte E2 is not UTF-8", (1, 6)),
        ("overlong", b"\xc0\x80", "the byte C0 is not UTF-8", (1, 1)),
        ("a surrogate", b"\xed\xa0\x80", "the byte ED is not UTF-8", (1, 1)),
        ("UTF-16", b"\xff\xfes\0e\0t\0", "this file is UTF-16", (0, 0)),
        (
            "UTF-16, big end first",
            b"\xfe\xff\0s\0e\0t",
            "this file is UTF-16",
            (0, 0),
        ),
        ("nothing", b"", "this file is empty", (1, 1)),
        ("a mark alone", b"\xef\xbb\xbf", "this file is empty", (1, 1)),
        ("blanks", b" \n\n", "this file is empty", (1, 1)),
    ] {
        let report = read(bytes).unwrap_err();
        let finding = &report.findings[0];
        let spot = finding.spot.unwrap();
        assert_eq!(
            (finding.message.as_str(), (spot.line, spot.column)),
            (message, place),
            "{name}"
        );
    }
}

#[test]
fn nesting_has_an_end() {
    for (name, open, close) in [("lists", "[", "]"), ("groups", "{ a: ", "}"), ("mixed", "[{ a: ", "}]")] {
        for levels in [65, 10_000, 1_000_000] {
            let text = format!("set: {}x{}\n", open.repeat(levels), close.repeat(levels));
            assert_eq!(refused(text.as_bytes()), "too much is nested here", "{name} {levels}");
        }
    }
    let lines: String = (0..3000).map(|level| format!("{}a:\n", " ".repeat(level))).collect();
    let report = read(lines.as_bytes()).unwrap_err();
    assert!(
        report
            .findings
            .iter()
            .any(|finding| finding.message == "too much is nested here")
    );
    let dashes = "- ".repeat(10_000);
    assert_eq!(refused(dashes.as_bytes()), "too much is nested here", "dashes");
}

#[test]
fn aliases_that_multiply_are_refused() {
    let mut text = String::from("set: Evening\nx0: &x0 [a, a, a, a, a, a, a, a, a]\n");
    for level in 1..12 {
        let before = format!("*x{}", level - 1);
        text.push_str(&format!("x{level}: &x{level} [{}]\n", [before.as_str(); 9].join(", ")));
    }
    let report = read(text.as_bytes()).unwrap_err();
    let messages: Vec<&str> = report.findings.iter().map(|finding| finding.message.as_str()).collect();
    assert!(
        messages.contains(&"this file holds more than can be read"),
        "{messages:?}"
    );

    let sections = "A: , ".repeat(200);
    let song = format!("  - &song {{ song: Ferry, key: D, sections: {{ {sections} }} }}\n");
    let songs = song + &"  - *song\n".repeat(10_000);
    let report = read(&set(&songs)).unwrap_err();
    let message = "this file holds more than can be read";
    assert!(report.findings.iter().any(|finding| finding.message == message));

    let report = read(b"set: &a [*a]\nsongs: []\n").unwrap_err();
    let message = "`*a` stands inside what it stands for";
    assert!(report.findings.iter().any(|finding| finding.message == message));
}

#[test]
fn order_and_chords_cannot_ask_for_more_than_there_is_room_for() {
    let song = |order: &str| {
        format!("  - song: Ferry\n    key: D\n    sections: {{ A: {{ chords: \"1\" }} }}\n    order: [{order}]\n")
    };
    assert!(read(&set(&song("A x10000"))).is_ok());
    assert_eq!(refused(&set(&song("A x10001"))), "a song has 10000 steps at most");
    assert_eq!(refused(&set(&song("A x9999, A x2"))), "a song has 10000 steps at most");
    assert_eq!(
        refused(&set(&song("A x99999999999999999999"))),
        "a song has 10000 steps at most"
    );
    assert_eq!(
        refused(&set(&song("A x10000").repeat(401))),
        "this set has more steps than can be read"
    );

    let sections: String = (0..1001).map(|place| format!("      S{place}:\n")).collect();
    let song = format!("  - song: Ferry\n    key: D\n    sections:\n{sections}");
    assert_eq!(refused(&set(&song)), "a song has 1000 sections at most");

    let bar = "1 ".repeat(16);
    let line = format!("{bar}|{}%", "%|".repeat(990));
    let likes: String = (0..999)
        .map(|place| format!("      S{place}: {{ like: A }}\n"))
        .collect();
    let song = format!("  - song: Ferry\n    key: D\n    sections:\n      A: {{ chords: \"{line}\" }}\n{likes}");
    assert_eq!(refused(&set(&song)), "this set holds more chords than can be read");
}

#[test]
fn a_wild_file_gives_a_thousand_findings_and_says_how_many_more() {
    let fields: String = (0..5000).map(|place| format!("    bad{place}: 1\n")).collect();
    let report = read(&set(&format!("  - song: Ferry\n    key: D\n{fields}"))).unwrap_err();
    assert_eq!(report.findings.len(), 1001);
    assert_eq!(
        report.findings.last().unwrap().message,
        "4000 findings more are not shown"
    );
}

#[test]
fn a_hint_beyond_the_thousandth_does_not_hide_an_error() {
    let songs: String = (0..1200)
        .map(|place| format!("  - {{ song: S{place}, key: C }}\n"))
        .collect();
    let report = read(&set(&format!("{songs}  - {{ song: Last, key: H }}\n"))).unwrap_err();
    assert!(report.has_errors());
}

#[test]
fn fifty_errors_give_fifty_messages() {
    let songs: String = (0..50)
        .map(|place| format!("  - {{ song: S{place}, key: H, tempo: 90 }}\n"))
        .collect();
    assert_eq!(read(&set(&songs)).unwrap_err().findings.len(), 50);
    let sections: String = (0..50)
        .map(|place| format!("      S{place}: {{ bars: 4, chords: | 1 | 4 | }}\n"))
        .collect();
    let song = format!("  - song: Ferry\n    key: D\n    tempo: 90\n    sections:\n{sections}");
    assert_eq!(
        read(&set(&song)).unwrap_err().findings.len(),
        50,
        "chords without quotes"
    );
}

#[test]
fn a_song_file_is_used_only_from_under_the_set_s_folder() {
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("song.yaml"), "song: Far\nkey: D\n").unwrap();
    let folder = tempfile::tempdir().unwrap();
    let here = |name: &str| folder.path().join(name);
    fs::create_dir(here("songs")).unwrap();
    fs::write(here("songs/song.yaml"), "song: Near\nkey: D\n").unwrap();
    symlink(outside.path().join("song.yaml"), here("songs/link.yaml")).unwrap();
    symlink(outside.path(), here("far")).unwrap();
    symlink("songs/song.yaml", here("near.yaml")).unwrap();
    symlink("loop.yaml", here("loop.yaml")).unwrap();
    rustix::fs::mknodat(
        rustix::fs::CWD,
        here("pipe"),
        rustix::fs::FileType::Fifo,
        rustix::fs::Mode::RWXU,
        0,
    )
    .unwrap();
    let outside_message = "it leads out of the set's folder";
    for (used, why) in [
        ("songs/song.yaml", None),
        ("./songs/../songs/song.yaml", None),
        ("near.yaml", None),
        ("songs/link.yaml", Some(outside_message)),
        ("far/song.yaml", Some(outside_message)),
        ("../song.yaml", Some(outside_message)),
        ("songs/../../song.yaml", Some(outside_message)),
        ("/dev/zero", Some(outside_message)),
        (".", Some(outside_message)),
        ("songs", Some("it is not a file")),
        ("pipe", Some("it is not a file")),
        ("songs/none.yaml", Some("there is no such file")),
        ("songs/song.yaml/more", Some("a part of its path is no folder")),
    ] {
        let text = format!("set: Evening\nsongs: [ {{ use: \"{used}\" }} ]\n");
        fs::write(here("set.yaml"), text).unwrap();
        let found = setlist::read(&here("set.yaml"), None)
            .err()
            .map(|report| report.findings[0].message.clone());
        assert_eq!(
            found,
            why.map(|why| format!("`{used}` cannot be used: {why}")),
            "{used}"
        );
    }
    fs::write(here("set.yaml"), "set: Evening\nsongs: [ { use: loop.yaml } ]\n").unwrap();
    let report = setlist::read(&here("set.yaml"), None).unwrap_err();
    assert!(report.findings[0].message.starts_with("`loop.yaml` cannot be used: "));
    let tried: Vec<&Path> = report.sources.paths().collect();
    assert_eq!(
        tried,
        [here("set.yaml"), here("loop.yaml")],
        "what could not be had is named, to be watched"
    );
}

const DEMO: &str = include_str!("../setlists/harvest-evening.yaml");
const PLAYER: &str = include_str!("../setlists/player.yaml");

/// What a slip of the hand, or a torn file, puts into a text.
fn mutated(text: &str, cuts: &[(prop::sample::Index, usize, String)]) -> String {
    let mut text = text.to_owned();
    for (at, len, put) in cuts {
        let chars: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
        let from = at.index(chars.len());
        let to = (from + len).min(chars.len() - 1);
        text.replace_range(chars[from]..chars[to], put);
    }
    text
}

fn cuts() -> impl Strategy<Value = Vec<(prop::sample::Index, usize, String)>> {
    let put = prop_oneof![
        "[ \\[\\]{}:,#&*!|>'\"%@`\\-?~\n\t]{0,3}",
        "\\PC{0,4}",
        Just(" x99999999999".to_owned()),
        Just("\u{202e}".to_owned()),
        Just("&a ".to_owned()),
        Just("*a".to_owned()),
        Just("<<: ".to_owned()),
    ];
    prop::collection::vec((any::<prop::sample::Index>(), 0..40usize, put), 1..6)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 300, ..ProptestConfig::default() })]

    /// Never a panic, always a set or an error with its place, and a report that can be printed.
    #[test]
    fn a_mutated_set_is_read_or_refused_in_words(set in cuts(), player in cuts()) {
        let folder = tempfile::tempdir().unwrap();
        let (set_path, player_path) = (folder.path().join("set.yaml"), folder.path().join("player.yaml"));
        fs::write(&set_path, mutated(DEMO, &set)).unwrap();
        fs::write(&player_path, mutated(PLAYER, &player)).unwrap();
        match setlist::read(&set_path, Some(&player_path)) {
            Ok(reading) => prop_assert!(!reading.set.songs().is_empty()),
            Err(report) => {
                prop_assert!(report.has_errors());
                let text = report.to_string();
                prop_assert!(text.chars().all(|letter| letter == '\n' || !letter.is_control()));
                for finding in &report.findings {
                    let spot = finding.spot.unwrap();
                    let source = fs::read_to_string(if spot.file == 0 { &set_path } else { &player_path });
                    let lines = source.unwrap_or_default().lines().count();
                    prop_assert!(usize::from(spot.file) > 1 || spot.line as usize <= lines + 1, "{}", finding.message);
                }
            }
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(read(&bytes).is_err());
    }
}
