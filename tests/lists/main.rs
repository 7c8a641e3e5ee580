//! From a leader's list to the stage by one command: lists of many shapes, through the real binary and onto a real
//! pseudo-terminal.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test may fail")]
#![cfg(target_os = "linux")]

#[path = "../stage/terminal.rs"]
#[allow(dead_code, reason = "the stage's own tests use the rest")]
mod terminal;

use proptest::prelude::*;
use serde_json::Value;
use std::ffi::OsStr;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;
use terminal::Terminal;

const PROGRAM: &str = env!("CARGO_BIN_EXE_footlights");

/// Two songs as leaders write them; all say the same.
const SHAPES: [(&str, &str); 14] = [
    (
        "numbered, dashes",
        "1. Lanterns at Millpond - Bb - 72 - 4/4\n2. A Song in the Fog - C#m - 126 - 6/8\n",
    ),
    (
        "brackets, blanks",
        "Lanterns at Millpond (Bb) 72 bpm 4/4\nA Song in the Fog (C#m) 126 bpm 6/8\n",
    ),
    (
        "the key in front",
        "Bb  Lanterns at Millpond  72  4/4\nC#m  A Song in the Fog  126  6/8\n",
    ),
    (
        "one blank",
        "Lanterns at Millpond Bb 72 4/4\nA Song in the Fog C#m 126 6/8\n",
    ),
    (
        "one blank, turned round",
        "4/4 72 Bb Lanterns at Millpond\n6/8 126 C#m A Song in the Fog\n",
    ),
    (
        "tabs under a heading",
        "Title\tKey\tBPM\tTime\nLanterns at Millpond\tBb\t72\t4/4\nA Song in the Fog\tC#m\t126\t6/8\n",
    ),
    (
        "a table with quotation marks",
        "\"No.\",\"Song\",\"Key\",\"Tempo\",\"Time signature\"\n1,\"Lanterns at Millpond\",\"Bb\",72,4/4\n2,\"A Song in the Fog\",\"C#m\",126,6/8\n",
    ),
    (
        "commas",
        "Lanterns at Millpond, Bb, 72, 4/4\nA Song in the Fog, C#m, 126, 6/8\n",
    ),
    (
        "words",
        "Lanterns at Millpond, key of B flat, tempo 72, 4/4 time\nA Song in the Fog, key of C sharp minor, tempo 126, 6/8 time\n",
    ),
    (
        "signs of music",
        "Lanterns at Millpond – B♭ – ♩ = 72 – 4/4\nA Song in the Fog – C♯m – ♩ = 63 – 6/8\n",
    ),
    (
        "bullets and pictures, from Windows",
        "\u{feff}• 🎵 Lanterns at Millpond 🎸 Bb 🥁 72 4/4\r\n\r\n• 🎵 A Song in the Fog 🎸 C#m 🥁 126 6/8\r\n",
    ),
    (
        "a table of strokes",
        "| Song | Key | Tempo | Meter |\n|---|:-:|--:|---|\n| Lanterns at Millpond | Bb | 72 | 4/4 |\n| A Song in the Fog | C#m | 126 | 6/8 |\n",
    ),
    (
        "lines of their own",
        "1) Lanterns at Millpond\n   Key: Bb, Tempo: 72, 4/4\n2) A Song in the Fog\n   Key: C#m, Tempo: 126, 6/8\n",
    ),
    (
        "under a heading",
        "Set for Sunday\n--------------\n\n1  Lanterns at Millpond  [Bb]  72  4/4\n2  A Song in the Fog  [C#m]  126  6/8\n",
    ),
];

fn footlights(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(PROGRAM);
    command.args(args).current_dir(folder);
    for name in ["HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"] {
        command.env(name, folder);
    }
    command
}

/// Makes `sunday.yaml` of a list.
fn make(folder: &Path, list: &[u8]) -> Output {
    fs::write(folder.join("list.txt"), list).unwrap();
    let _ = fs::remove_file(folder.join("sunday.yaml"));
    footlights(folder, &["new", "sunday.yaml", "--from", "list.txt"])
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

/// The songs as the program itself reads them from the file: titles and keys of the plan.
fn planned(folder: &Path) -> Value {
    let output = footlights(folder, &["plan", "sunday.yaml", "--json"]).output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn a_list_of_any_shape_is_a_set_at_once() {
    for (shape, list) in SHAPES {
        let folder = tempfile::tempdir().unwrap();
        let output = make(folder.path(), list.as_bytes());
        assert_eq!(text(&output.stderr), "", "{shape}");
        assert!(output.status.success(), "{shape}");
        let check = footlights(folder.path(), &["check", "sunday.yaml", "--strict"])
            .output()
            .unwrap();
        assert!(check.status.success(), "{shape}: {}", text(&check.stdout));
        let plan = planned(folder.path());
        let titles = (&plan["songs"][0]["title"], &plan["songs"][1]["title"]);
        assert_eq!(
            titles,
            (&"Lanterns at Millpond".into(), &"A Song in the Fog".into()),
            "{shape}"
        );
        assert_eq!(
            (&plan["songs"][0]["keys"], &plan["songs"][1]["keys"]),
            (&["Bb"].into(), &["C#m"].into()),
            "{shape}"
        );
        let written = fs::read_to_string(folder.path().join("sunday.yaml")).unwrap();
        for line in ["tempo: 72\n    meter: 4/4\n", "tempo: 126\n    meter: 6/8\n"] {
            assert!(written.contains(line), "{shape}: {written}");
        }
        let name = if shape == "under a heading" {
            "Set for Sunday"
        } else {
            "sunday"
        };
        assert!(written.contains(&format!("set: {name}\n")), "{shape}: {written}");
        let screen = opening(folder.path());
        assert!(screen.contains("Lanterns at Millpond"), "{shape}: {screen}");
    }
}

#[test]
fn a_mere_letter_is_the_key_whatever_stands_before_or_behind_it() {
    for list in [
        "72 G Harbour Wall\n96 D Reeds in the Shallows\n",
        "4/4 G Harbour Wall 72\n3/4 D Reeds in the Shallows 96\n",
        "4/4 72 G Harbour Wall\n3/4 96 D Reeds in the Shallows\n",
        "G 72 Harbour Wall 4/4\nD 96 Reeds in the Shallows 3/4\n",
        "Harbour Wall G 72 4/4\nReeds in the Shallows D 96 3/4\n",
        "a) Harbour Wall, G, 72\nb) Reeds in the Shallows, D, 96\n",
        "(72) (G) Harbour Wall\n(96) (D) Reeds in the Shallows\n",
        "(1) (72) (G) Harbour Wall\n(2) (96) (D) Reeds in the Shallows\n",
    ] {
        let folder = tempfile::tempdir().unwrap();
        let output = make(folder.path(), list.as_bytes());
        assert_eq!(text(&output.stderr), "", "{list}");
        let plan = planned(folder.path());
        let read = |song: usize| (&plan["songs"][song]["title"], &plan["songs"][song]["keys"]);
        assert_eq!(read(0), (&"Harbour Wall".into(), &["G"].into()), "{list}");
        assert_eq!(read(1), (&"Reeds in the Shallows".into(), &["D"].into()), "{list}");
        let written = fs::read_to_string(folder.path().join("sunday.yaml")).unwrap();
        let both = written.contains("tempo: 72\n") && written.contains("tempo: 96\n");
        assert!(both, "{list}: {written}");
    }
}

/// What the stage's window is called once it has drawn: the title says what the first page says.
fn opening(folder: &Path) -> String {
    let set = folder.join("sunday.yaml");
    let args = [OsStr::new("stage"), set.as_os_str()];
    let mut terminal = Terminal::start(OsStr::new(PROGRAM), &args, folder, (80, 24)).unwrap();
    let (mut all, mut bytes) = (Vec::new(), [0; 65536]);
    while !String::from_utf8_lossy(&all).contains("\x1b]2;Capo") {
        let count = terminal.read(&mut bytes, Duration::from_secs(30)).unwrap();
        assert!(count > 0, "nothing came: {}", String::from_utf8_lossy(&all));
        all.extend(&bytes[..count]);
    }
    String::from_utf8_lossy(&all).into_owned()
}

#[test]
fn the_list_comes_from_standard_input_too() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = footlights(folder.path(), &["new", "sunday.yaml", "--from", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(b"Seven Lamps, F#m\nsoft\n")
        .unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    let warning = "standard input:2: warning: `soft` has no key that could be read: C stands in for it\n";
    assert_eq!(text(&output.stderr), warning);
}

/// A key and a tempo that the song has already are no others, and the line that brings them is kept whole.
#[test]
fn a_line_that_says_what_is_said_is_kept_once() {
    let folder = tempfile::tempdir().unwrap();
    let output = make(folder.path(), b"Harbour Wall C 90\nDm Dm 90\n");
    let told = "list.txt:2: warning: `Dm Dm 90` was not read: kept as a note of `Harbour Wall`\n";
    assert_eq!(text(&output.stderr), told);
    let written = fs::read_to_string(folder.path().join("sunday.yaml")).unwrap();
    assert!(written.contains("note: Dm Dm 90\n"), "{written}");
}

#[test]
fn what_was_not_read_is_told_by_line_and_kept() {
    let list = "Harvest evening:\n\n1. Harbour Wall - B# - 104 - capo 3, G shapes\n   fiddle counts it in\n\
                https://example.org/harbour\n2. Route 66 C\n# After the break\n3. Seven Lamps\n4. Copper Weathervane (Cb) 500 bpm\n\
                5. no - Db -> D\n";
    let folder = tempfile::tempdir().unwrap();
    let output = make(folder.path(), list.as_bytes());
    let told = "\
list.txt:3: warning: `capo 3` was not read: kept as a note of `Harbour Wall`
list.txt:3: warning: `G shapes` was not read: kept as a note of `Harbour Wall`
list.txt:4: warning: `fiddle counts it in` was not read: kept as a note of `Harbour Wall`
list.txt:6: warning: `66` was left in the title `Route 66`; a tempo would be `66 bpm`
list.txt:8: warning: `Seven Lamps` has no key that could be read: C stands in for it
list.txt:9: warning: `500 bpm` was not read: kept as a note of `Copper Weathervane`
list.txt:10: warning: `then D` was not read: kept as a note of `no`
";
    assert_eq!(text(&output.stderr), told);
    assert!(output.status.success());
    let written = fs::read_to_string(folder.path().join("sunday.yaml")).unwrap();
    let songs = "\
songs:
  # https://example.org/harbour
  - song: Harbour Wall
    key: B♯
    tempo: 104
    note: \"capo 3; G shapes; fiddle counts it in\"
";
    assert!(
        written.contains("set: Harvest evening\n") && written.contains(songs),
        "{written}"
    );
    let rest = "\
  - song: Route 66
    key: C
  # After the break
  - song: Seven Lamps
    key: C                         # not known: write the right one here
    note: the key is not known
  - song: Copper Weathervane
    key: Cb
    note: \"500 bpm\"
  - song: \"no\"
    key: Db
    note: then D
";
    assert!(written.ends_with(rest), "{written}");
    assert!(
        footlights(folder.path(), &["check", "sunday.yaml"])
            .output()
            .unwrap()
            .status
            .success()
    );
}

/// A greeting is no name for a screen, thanks are no note to play by, and what 6/8 counts is told.
#[test]
fn a_message_round_the_list_stays_out_of_what_is_shown() {
    let greeting = "Hi all, here is Sunday! Rehearsal is on Thursday at half past seven";
    let list = format!(
        "{greeting}\n\n1) Salt and Cinder - Ab 6/8 at 62\n2) Goodnight Carousel -- Eb -> F last chorus, 128\n\nThanks!! xx\n"
    );
    let folder = tempfile::tempdir().unwrap();
    let output = make(folder.path(), list.as_bytes());
    let told = "\
list.txt:1: warning: `Hi all, here is Sunday! Rehearsal is on …` is too long for the set's name: kept as a comment
list.txt:3: warning: the tempo of `Salt and Cinder` is read as 62 eighths; for dotted quarters write 186
list.txt:4: warning: `then F` was not read: kept as a note of `Goodnight Carousel`
list.txt:4: warning: `last chorus` was not read: kept as a note of `Goodnight Carousel`
list.txt:6: warning: `Thanks!! xx` was not read: kept as a comment at `Goodnight Carousel`
";
    assert_eq!(text(&output.stderr), told);
    let written = fs::read_to_string(folder.path().join("sunday.yaml")).unwrap();
    let songs = format!(
        "\
songs:
  # {greeting}
  - song: Salt and Cinder
    key: Ab
    tempo: 62                      # eighths; for 62 dotted quarters write 186
    meter: 6/8
"
    );
    assert!(
        written.contains("\nset: sunday\n") && written.contains(&songs),
        "{written}"
    );
    let rest = "\
  # Thanks!! xx
  - song: Goodnight Carousel
    key: Eb
    tempo: 128
    note: then F; last chorus
";
    assert!(written.replace('"', "").ends_with(rest), "{written}");
}

#[test]
fn what_is_there_already_is_never_touched() {
    let folder = tempfile::tempdir().unwrap();
    let there = folder.path().join("sunday.yaml");
    for args in [
        &["new", "sunday.yaml"][..],
        &["new", "sunday.yaml", "--from", "list.txt"],
    ] {
        fs::write(&there, "mine\n").unwrap();
        fs::write(folder.path().join("list.txt"), "Seven Lamps, F#m\n").unwrap();
        let output = footlights(folder.path(), args).output().unwrap();
        let told = "sunday.yaml: error: there is something of this name already, which is left as it is\n\
                    hint: Give a name that is free.\n";
        assert_eq!((output.status.code(), text(&output.stderr)), (Some(1), told));
        assert_eq!(fs::read_to_string(&there).unwrap(), "mine\n");
    }
    std::os::unix::fs::symlink("nowhere.yaml", folder.path().join("link.yaml")).unwrap();
    assert_eq!(
        footlights(folder.path(), &["new", "link.yaml"])
            .output()
            .unwrap()
            .status
            .code(),
        Some(1)
    );
    assert!(!folder.path().join("nowhere.yaml").exists());
    let names: Vec<_> = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert_eq!(names.len(), 3, "{names:?}");
}

#[test]
fn a_list_without_a_song_makes_no_file() {
    let folder = tempfile::tempdir().unwrap();
    for list in ["", "\n\n---\n", "Songs for Sunday:\n"] {
        let output = make(folder.path(), list.as_bytes());
        assert_eq!(output.status.code(), Some(1), "{list:?}");
        assert!(
            text(&output.stderr).starts_with("list.txt: error: there is no song in it\nhint: "),
            "{list:?}"
        );
        assert!(!folder.path().join("sunday.yaml").exists(), "{list:?}");
    }
}

#[test]
fn a_set_to_start_from_has_nothing_to_be_said_against_it() {
    let folder = tempfile::tempdir().unwrap();
    let output = footlights(folder.path(), &["new", "sunday.yaml"]).output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    let check = footlights(folder.path(), &["check", "sunday.yaml", "--strict"])
        .output()
        .unwrap();
    assert!(check.status.success(), "{}", text(&check.stdout));
    let written = fs::read_to_string(folder.path().join("sunday.yaml")).unwrap();
    // What stands there as a comment is to be freed of its # as it is.
    let freed = written
        .replace("# date:", "date:")
        .replace("# players:", "players:")
        .replace("#   - ", "  - ");
    fs::write(folder.path().join("freed.yaml"), freed).unwrap();
    let check = footlights(folder.path(), &["check", "freed.yaml"]).output().unwrap();
    assert!(check.status.success(), "{}", text(&check.stdout));
    assert!(opening(folder.path()).contains("Lanterns at Millpond"));
}

#[test]
fn the_sections_in_a_comment_can_be_set_free() {
    let folder = tempfile::tempdir().unwrap();
    make(folder.path(), b"Seven Lamps, F#m, 126\nHarbour Wall, C, 104\n");
    let written = fs::read_to_string(folder.path().join("sunday.yaml")).unwrap();
    let freed = written
        .replace("    # sections:", "    sections:")
        .replace("    #   ", "      ")
        .replace("    # order:", "    order:");
    fs::write(folder.path().join("freed.yaml"), freed).unwrap();
    let check = footlights(folder.path(), &["check", "freed.yaml", "--strict"])
        .output()
        .unwrap();
    assert!(check.status.success(), "{}", text(&check.stdout));
}

fn line() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        "[A-Ga-g](b|#|♭|♯)?m?",
        "[0-9]{1,3}",
        "[0-9]/[0-9]",
        "[A-Za-z']{1,8}",
        "[-–(){}\\[\\]|,;:#&*!%@`\"'\\\\?.=>/~]{1,2}",
        "key of",
        "bpm",
        "no",
        "null",
        "true",
        "https://example\\.org/\\PC{0,5}",
        "\\PC{0,4}",
        "[\t \u{7}\u{1b}\u{fffe}]",
    ];
    prop::collection::vec((word, "[ \t]{0,3}"), 0..8)
        .prop_map(|words| words.into_iter().map(|(word, blank)| word + &blank).collect())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever the lines are, the set that is made of them is one.
    #[test]
    fn any_lines_at_all_make_a_set_that_opens(lines in prop::collection::vec(line(), 1..12)) {
        let folder = tempfile::tempdir().unwrap();
        let list = lines.join("\n");
        let output = make(folder.path(), list.as_bytes());
        if output.status.success() {
            let check = footlights(folder.path(), &["check", "sunday.yaml"]).output().unwrap();
            prop_assert!(check.status.success(), "{list:?}\n{}", text(&check.stdout));
        } else {
            prop_assert!(text(&output.stderr).contains("there is no song in it"), "{}", text(&output.stderr));
        }
    }
}
