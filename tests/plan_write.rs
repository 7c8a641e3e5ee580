//! `plan --write` through the real binary: whole files before and after, byte for byte, and what is refused.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads and writes files and may fail"
)]

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// One family each, so that the frets are sums: G shapes sound in B♭ at fret 3 and in A at 2, C shapes in D at 2.
const WREN: &str = "set: Millpond\nplayers: [ { name: Wren, shapes: [G] } ]\nsongs:\n";
const TWO: &str = "set: Millpond\nplayers:\n  - { name: Wren, shapes: [G] }\n  - { name: Sam, highest_fret: 11, shapes: [C] }\nsongs:\n";

fn write(folder: &Path, set: &str, rest: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(["plan", set, "--write"])
        .args(rest)
        .current_dir(folder)
        .env("XDG_CONFIG_HOME", "/nowhere")
        .env("HOME", "/nowhere")
        .output()
        .unwrap()
}

fn errors(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn folder_with(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        fs::write(folder.path().join(name), text).unwrap();
    }
    folder
}

fn names(folder: &Path) -> Vec<PathBuf> {
    let mut names: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    names.sort();
    names
}

/// The whole file after, a second time without a change, and the folder without litter.
#[track_caller]
fn check(row: &str, before: &str, after: &str) {
    let folder = folder_with(&[("set.yaml", before), ("song.yaml", "song: Ferry\nkey: A\n")]);
    let path = folder.path().join("set.yaml");
    for time in ["first", "second"] {
        let output = write(folder.path(), "set.yaml", &[]);
        assert!(output.status.success(), "{row}, {time} time: {}", errors(&output));
        assert_eq!(fs::read_to_string(&path).unwrap(), after, "{row}, {time} time");
    }
    assert_eq!(names(folder.path()).len(), 2, "{row}");
    assert_eq!(
        fs::read_to_string(folder.path().join("song.yaml")).unwrap(),
        "song: Ferry\nkey: A\n",
        "{row}"
    );
}

#[test]
fn a_song_without_a_pin_gets_one_after_its_last_simple_field() {
    let rows = [
        (
            "no indent",
            "- song: Reeds\n  key: Bb\n",
            "- song: Reeds\n  key: Bb\n  pin: { Wren: { fret: 3 } }\n",
        ),
        (
            "an indent of two, with comments and blank lines",
            "  # first\n  - song: Reeds   # waltz\n    key: Bb   # low\n\n    # the parts\n    sections: { A: {} }\n\n\n  - key: A\n    song: Ferry\n# end\n",
            "  # first\n  - song: Reeds   # waltz\n    key: Bb   # low\n    pin: { Wren: { fret: 3 } }\n\n    # the parts\n    sections: { A: {} }\n\n\n  - key: A\n    song: Ferry\n    pin: { Wren: { fret: 2 } }\n# end\n",
        ),
        (
            "an indent of four, blanks after the dash",
            "    -   song: Reeds\n        key: Bb\n        sections:\n            A: { bars: 4 }\n",
            "    -   song: Reeds\n        key: Bb\n        pin: { Wren: { fret: 3 } }\n        sections:\n            A: { bars: 4 }\n",
        ),
        (
            "a dash on its own line",
            "-\n  key: Bb\n  song: Reeds\n",
            "-\n  key: Bb\n  song: Reeds\n  pin: { Wren: { fret: 3 } }\n",
        ),
        (
            "no line ending at the end",
            "- key: Bb\n  song: Reeds",
            "- key: Bb\n  song: Reeds\n  pin: { Wren: { fret: 3 } }",
        ),
        (
            "blanks and a comment at the end",
            "- key: Bb\n  song: Reeds  # é ",
            "- key: Bb\n  song: Reeds  # é \n  pin: { Wren: { fret: 3 } }",
        ),
        (
            "values over several lines",
            "- key: Bb\n  song: >-\n    Reeds\n    and more\n  note: \"two\n    lines\"\n",
            "- key: Bb\n  pin: { Wren: { fret: 3 } }\n  song: >-\n    Reeds\n    and more\n  note: \"two\n    lines\"\n",
        ),
        (
            "a tag, which is passed over",
            "- key: Bb\n  song: !!str Reeds\n",
            "- key: Bb\n  pin: { Wren: { fret: 3 } }\n  song: !!str Reeds\n",
        ),
        (
            "braces",
            "- { song: Reeds, key: Bb }\n- {key: A,song: Ferry,}   # é\n",
            "- { song: Reeds, key: Bb, pin: { Wren: { fret: 3 } } }\n- {key: A,song: Ferry, pin: { Wren: { fret: 2 } },}   # é\n",
        ),
        (
            "braces over several lines",
            "- { song: Reeds,\n    key: Bb   # low\n    , sections: { A: { bars: 4 } } }\n",
            "- { song: Reeds,\n    key: Bb, pin: { Wren: { fret: 3 } }   # low\n    , sections: { A: { bars: 4 } } }\n",
        ),
        (
            "a song file, pinned beside `use`",
            "- use: song.yaml   # kept in A\n- use: song.yaml\n  key: Bb\n- { use: song.yaml }\n",
            "- use: song.yaml   # kept in A\n  pin: { Wren: { fret: 2 } }\n- use: song.yaml\n  key: Bb\n  pin: { Wren: { fret: 3 } }\n- { use: song.yaml, pin: { Wren: { fret: 2 } } }\n",
        ),
    ];
    for (row, before, after) in rows {
        check(row, &format!("{WREN}{before}"), &format!("{WREN}{after}"));
        let crlf = |songs: &str| format!("{WREN}{songs}").replace('\n', "\r\n");
        check(&format!("{row}, CRLF"), &crlf(before), &crlf(after));
        let marked = |songs: &str| format!("\u{feff}# é\n{WREN}{songs}");
        check(&format!("{row}, byte order mark"), &marked(before), &marked(after));
    }
}

#[test]
fn a_pin_that_is_there_stays_and_gets_what_is_missing() {
    let rows = [
        (
            "one player of two, in braces",
            "- song: Reeds\n  key: Bb\n  pin: { Wren: { fret: 3 } }   # low\n",
            "- song: Reeds\n  key: Bb\n  pin: { Wren: { fret: 3 }, Sam: { fret: 10 } }   # low\n",
        ),
        (
            "the second player, in a song in braces",
            "- { song: Reeds, pin: {Sam: {fret: 10 }, }, key: Bb }\n",
            "- { song: Reeds, pin: {Sam: {fret: 10 }, Wren: { fret: 3 }, }, key: Bb }\n",
        ),
        (
            "a family alone, which fixes the fret",
            "- song: Reeds\n  key: Bb\n  pin: { Wren: { shapes: G }, Sam: { shapes: C, fret: 10 } }\n",
            "- song: Reeds\n  key: Bb\n  pin: { Wren: { shapes: G }, Sam: { shapes: C, fret: 10 } }\n",
        ),
        (
            "a field a line",
            "- song: Reeds\n  pin:\n    # as always\n    Wren: { fret: 3 }   # low\n\n  key: Bb\n",
            "- song: Reeds\n  pin:\n    # as always\n    Wren: { fret: 3 }   # low\n    Sam: { fret: 10 }\n\n  key: Bb\n",
        ),
        (
            "a field a line, twice",
            "- song: Reeds\n  key: Bb\n  pin:\n      Sam:\n        fret: 10\n        shapes: C",
            "- song: Reeds\n  key: Bb\n  pin:\n      Sam:\n        fret: 10\n        shapes: C\n      Wren: { fret: 3 }",
        ),
        (
            "braces over lines, with a brace in a comment",
            "- song: Reeds\n  key: Bb\n  pin: { Wren: { fret: 3  # } is no end\n     } }\n",
            "- song: Reeds\n  key: Bb\n  pin: { Wren: { fret: 3  # } is no end\n     }, Sam: { fret: 10 } }\n",
        ),
        (
            "empty braces",
            "- song: Reeds\n  pin: {}\n  key: Bb\n- { song: Ferry, pin: { }, key: A }\n",
            "- song: Reeds\n  pin: { Wren: { fret: 3 }, Sam: { fret: 10 } }\n  key: Bb\n- { song: Ferry, pin: { Wren: { fret: 2 }, Sam: { fret: 9 }  }, key: A }\n",
        ),
        (
            "nothing",
            "- song: Reeds\n  pin:   # later\n  key: Bb\n- song: Ferry\n  key: A\n  pin: ~   # later\n",
            "- song: Reeds\n  pin: { Wren: { fret: 3 }, Sam: { fret: 10 } }   # later\n  key: Bb\n- song: Ferry\n  key: A\n  pin: { Wren: { fret: 2 }, Sam: { fret: 9 } }   # later\n",
        ),
    ];
    for (row, before, after) in rows {
        check(row, &format!("{TWO}{before}"), &format!("{TWO}{after}"));
        let crlf = |songs: &str| format!("{TWO}{songs}").replace('\n', "\r\n");
        check(&format!("{row}, CRLF"), &crlf(before), &crlf(after));
    }
}

#[test]
fn a_set_written_as_json_stays_json() {
    let before =
        r#"{"set":"Millpond","players":[{"name":"Wren","shapes":["G"]}],"songs":[{"song":"Reeds","key":"Bb"}]}"#;
    let folder = folder_with(&[("set.yaml", before)]);
    let output = write(folder.path(), "set.yaml", &[]);
    assert!(output.status.success(), "{}", errors(&output));
    let after: serde_json::Value = serde_json::from_slice(&fs::read(folder.path().join("set.yaml")).unwrap()).unwrap();
    assert_eq!(after["songs"][0]["pin"]["Wren"]["fret"], 3);
}

#[test]
fn a_name_that_yaml_would_read_otherwise_is_written_in_quotes() {
    for (name, written) in [
        ("Åsa Reed-Hill", "Åsa Reed-Hill"),
        ("'no'", "\"no\""),
        ("'7'", "\"7\""),
        ("'Wren: high'", "\"Wren: high\""),
        ("'\"Wren\" \\'", "\"\\\"Wren\\\" \\\\\""),
        ("'# 1'", "\"# 1\""),
        ("\"a\\u0007b\"", "\"a\u{fffd}b\""),
    ] {
        let head =
            format!("set: Millpond\nplayers: [ {{ name: {name}, shapes: [G] }} ]\nsongs:\n- song: Reeds\n  key: Bb\n");
        check(name, &head, &format!("{head}  pin: {{ {written}: {{ fret: 3 }} }}\n"));
    }
}

/// Everything that leaves no safe place is refused whole, with the lines to write by hand.
#[test]
fn what_has_no_safe_place_is_refused_and_left_as_it_was() {
    let rows = [
        ("one song by an alias", "- &reeds { song: Reeds, key: Bb }\n- *reeds\n"),
        (
            "fields by an alias",
            "- &reeds { song: Reeds, key: Bb }\n- { <<: *reeds }\n",
        ),
        (
            "a pin by an alias",
            "- { song: Reeds, key: Bb, pin: &low {} }\n- { song: Reeds, key: Bb, pin: *low }\n",
        ),
        ("no plain field", "- song: >\n    Reeds\n  key: |\n    Bb\n"),
        ("explicit keys", "- ? song\n  : Reeds\n  ? key\n  : Bb\n"),
    ];
    for (row, songs) in rows {
        let before = format!("{WREN}{songs}");
        let folder = folder_with(&[("set.yaml", &before)]);
        let output = write(folder.path(), "set.yaml", &[]);
        let said = errors(&output);
        assert_eq!(output.status.code(), Some(1), "{row}: {said}");
        let begin = "set.yaml: error: the pins cannot be written into this file so that nothing else in it changes\n\
                     hint: Nothing was changed. Anchors and aliases are one reason. To pin the plan, write these by hand:\n  \
                     1 Reeds\n    pin: { Wren: { fret: 3 } }\n";
        assert!(said.starts_with(begin), "{row}: {said}");
        assert!(output.stdout.is_empty(), "{row}");
        assert_eq!(
            fs::read_to_string(folder.path().join("set.yaml")).unwrap(),
            before,
            "{row}"
        );
        assert_eq!(names(folder.path()).len(), 1, "{row}");
    }
}

#[test]
fn a_player_without_a_name_cannot_be_pinned() {
    let before = "set: Millpond\nsongs: [ { song: Reeds, key: Bb } ]\n";
    let folder = folder_with(&[("set.yaml", before), ("player.yaml", "player: Wren\nshapes: [G]\n")]);
    let output = write(folder.path(), "set.yaml", &[]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        errors(&output),
        "set.yaml: error: a pin needs a name, and this set names no players\n\
         hint: List them in the set under `players`, or give yours in a player file.\n"
    );
    assert_eq!(fs::read_to_string(folder.path().join("set.yaml")).unwrap(), before);

    let output = write(folder.path(), "set.yaml", &["--player", "player.yaml"]);
    assert!(output.status.success(), "{}", errors(&output));
    assert_eq!(
        fs::read_to_string(folder.path().join("set.yaml")).unwrap(),
        "set: Millpond\nsongs: [ { song: Reeds, key: Bb, pin: { Wren: { fret: 3 } } } ]\n"
    );
}

#[test]
fn a_link_stays_a_link_and_a_mode_stays_a_mode() {
    let folder = folder_with(&[("real.yaml", &format!("{WREN}- {{ song: Reeds, key: Bb }}\n"))]);
    let real = folder.path().join("real.yaml");
    fs::set_permissions(&real, fs::Permissions::from_mode(0o664)).unwrap();
    let links = folder.path().join("links");
    fs::create_dir(&links).unwrap();
    std::os::unix::fs::symlink("../real.yaml", links.join("set.yaml")).unwrap();
    let output = write(&links, "set.yaml", &[]);
    assert!(output.status.success(), "{}", errors(&output));
    assert!(fs::symlink_metadata(links.join("set.yaml")).unwrap().is_symlink());
    assert!(
        fs::read_to_string(&real)
            .unwrap()
            .contains("pin: { Wren: { fret: 3 } }")
    );
    assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o7777, 0o664);
    assert_eq!(names(&links).len(), 1);

    fs::set_permissions(&real, fs::Permissions::from_mode(0o444)).unwrap();
    let before = fs::read_to_string(&real).unwrap();
    let output = write(folder.path(), "real.yaml", &[]);
    assert!(output.status.success(), "nothing to change: {}", errors(&output));
    assert_eq!(fs::read_to_string(&real).unwrap(), before);
}

#[test]
fn a_file_that_is_marked_as_read_only_is_not_replaced() {
    let before = format!("{WREN}- {{ song: Reeds, key: Bb }}\n");
    let folder = folder_with(&[("set.yaml", &before)]);
    let path = folder.path().join("set.yaml");
    fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
    let output = write(folder.path(), "set.yaml", &[]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(
        errors(&output),
        "set.yaml: error: the pins could not be written: it is marked as read-only\nhint: Nothing was changed.\n"
    );
    assert_eq!(fs::read_to_string(&path).unwrap(), before);
}

#[test]
fn the_demo_set_is_pinned_with_every_byte_kept() {
    let folder = tempfile::tempdir().unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists");
    fs::create_dir(folder.path().join("songs")).unwrap();
    for name in ["harvest-evening.yaml", "player.yaml", "songs/ferry-in-the-fog.yaml"] {
        fs::copy(from.join(name), folder.path().join(name)).unwrap();
    }
    let plan = || {
        let output = Command::new(env!("CARGO_BIN_EXE_footlights"))
            .args(["plan", "harvest-evening.yaml", "--player", "player.yaml", "--json"])
            .current_dir(folder.path())
            .output()
            .unwrap();
        let mut answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        // The reason is another one: it is pinned now.
        for song in answer["songs"].as_array_mut().unwrap() {
            for player in song["players"].as_array_mut().unwrap() {
                player.as_object_mut().unwrap().remove("why");
            }
        }
        answer
    };
    let before = plan();
    let output = write(folder.path(), "harvest-evening.yaml", &["--player", "player.yaml"]);
    assert!(output.status.success(), "{}", errors(&output));
    assert_eq!(plan(), before);
    let old = fs::read_to_string(from.join("harvest-evening.yaml")).unwrap();
    let new = fs::read_to_string(folder.path().join("harvest-evening.yaml")).unwrap();
    assert_ne!(old, new);
    let mut left = new.chars();
    assert!(old.chars().all(|letter| left.any(|other| other == letter)), "{new}");
}

#[test]
fn the_usual_player_file_is_read_for_the_pins_as_it_is_for_the_plan() {
    // Without that file the player has no name to pin, and all five families.
    let folder = folder_with(&[("set.yaml", "set: Millpond\nsongs:\n  - song: Ferry\n    key: A\n")]);
    fs::create_dir(folder.path().join("footlights")).unwrap();
    fs::write(
        folder.path().join("footlights/player.yaml"),
        "player: Wren\nshapes: [G]\n",
    )
    .unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(["plan", "set.yaml", "--write"])
        .current_dir(folder.path())
        .env("XDG_CONFIG_HOME", folder.path())
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", errors(&output));
    let after = fs::read_to_string(folder.path().join("set.yaml")).unwrap();
    assert!(after.contains("pin: { Wren: { fret: 2 } }"), "{after}");
}
