//! Songs from Standard MIDI Files that other programs wrote, through the real binary.
//!
//! Source: mido 1.3.3 and pretty_midi 0.2.11, which made the files in `tests/midi/`; `make.py` there says what each holds.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test may fail")]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn import(args: &[&str]) -> Output {
    let midi = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/midi");
    Command::new(env!("CARGO_BIN_EXE_footlights"))
        .arg("import")
        .args(args)
        .current_dir(midi)
        .output()
        .unwrap()
}

#[track_caller]
fn check(file: &str, song: &str, told: &str) {
    let output = import(&[file]);
    assert_eq!(String::from_utf8(output.stderr).unwrap(), told, "{file}");
    assert_eq!(String::from_utf8(output.stdout).unwrap(), song, "{file}");
    assert_eq!(output.status.code(), Some(i32::from(song.is_empty())), "{file}");
}

#[test]
fn a_song_is_read_with_its_sections_and_their_bars() {
    let song = "\
# the meter changes (to 3/4, 4/4): bars are counted by it, and 4/4 stands for the song
# `End` has no bars: left out
song: Lanterns at Millpond
key: Bb
tempo: 72
meter: 4/4
sections:
  Intro: { bars: 2 }
  Verse: { bars: 2 }
  Turn: { bars: 2 }
  Verse (2 bars): { bars: 2, key: C }
order: [Intro, Verse, Turn, Verse, Verse (2 bars) x2]
";
    let told = "\
parts.mid: warning: the meter changes (to 3/4, 4/4): bars are counted by it, and 4/4 stands for the song
parts.mid: warning: `End` has no bars: left out
";
    check("parts.mid", song, told);
}

/// A tempo of 84 quarter notes a minute is 168 eighths, which is what 6/8 counts.
#[test]
fn other_letters_and_odd_places_are_read_and_told_of() {
    let remarks = "\
the tempo changes once: the first is taken
the bars before the first marker are called `Start`
`Part 2` does not begin with a bar: taken from bar 5
";
    let song = "\
song: \"Fähre im Nebel [2J\"
key: C#m
tempo: 168
meter: 6/8
sections:
  Start: { bars: 2 }
  \"Größe: eins\": { bars: 2 }
  Part 2: { bars: 4 }
";
    let each = |begin: &str| {
        remarks
            .lines()
            .map(|line| format!("{begin}{line}\n"))
            .collect::<String>()
    };
    check("latin.mid", &(each("# ") + song), &each("latin.mid: warning: "));
}

#[test]
fn what_a_file_does_not_say_is_told() {
    let song = "\
# the file names no key: C stands in for it
# the file has no markers, so the song has no sections yet
song: bare song
key: C                         # not known: write the right one here
tempo: 120                     # the file names none, which means this
meter: 4/4
";
    let told = "\
bare-song.mid: warning: the file names no key: C stands in for it
bare-song.mid: warning: the file has no markers, so the song has no sections yet
";
    check("bare-song.mid", song, told);
}

#[test]
fn a_file_of_another_library_is_read_too() {
    let song = "\
# the file has no markers, so the song has no sections yet
song: seven lamps
key: F#m
tempo: 126
meter: 3/4
";
    let told = "seven-lamps.mid: warning: the file has no markers, so the song has no sections yet\n";
    check("seven-lamps.mid", song, told);
}

#[test]
fn what_is_no_song_is_refused_in_words() {
    let told = "side-by-side.mid: error: this file holds several pieces side by side (format 2), not one song: export the \
                song by itself\n";
    check("side-by-side.mid", "", told);
    let output = import(&["make.py"]);
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .starts_with("make.py: error: this is no Standard MIDI File: ")
    );
}

/// Source: Standard MIDI Files 1.0, the division of the header (from memory): minus 25 frames, 40 ticks each.
#[test]
fn a_file_that_counts_frames_has_no_bars() {
    let folder = tempfile::tempdir().unwrap();
    let midi = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/midi/parts.mid");
    for (division, why) in [
        (
            [0xE7, 40],
            "this file counts time in frames of film (SMPTE) and so has no bars: export it in ticks a beat",
        ),
        (
            [0, 0],
            "this file says that a beat has no ticks, so its events have no time",
        ),
    ] {
        let mut bytes = fs::read(&midi).unwrap();
        bytes[12..14].copy_from_slice(&division);
        let path = folder.path().join("frames.mid");
        fs::write(&path, bytes).unwrap();
        let path = path.to_str().unwrap();
        check(path, "", &format!("{path}: error: {why}\n"));
    }
}

#[test]
fn a_damaged_file_gives_what_could_be_read_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let midi = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/midi/seven-lamps.mid");
    let bytes = fs::read(midi).unwrap();
    let path = folder.path().join("cut.mid");
    fs::write(&path, &bytes[..bytes.len() - 2]).unwrap();
    let output = import(&[path.to_str().unwrap()]);
    let errors = String::from_utf8(output.stderr).unwrap();
    let tracks = bytes.windows(4).filter(|name| name == b"MTrk").count();
    let told = format!("warning: the file is damaged: the end of its track {tracks} was not read\n");
    assert!(errors.contains(&told), "{errors}");
    assert!(String::from_utf8(output.stdout).unwrap().contains("key: F#m\n"));
}

#[test]
fn a_song_that_was_read_is_one_for_a_set() {
    for file in ["parts.mid", "latin.mid", "bare-song.mid", "seven-lamps.mid"] {
        let folder = tempfile::tempdir().unwrap();
        let song = folder.path().join("song.yaml");
        let output = import(&[file, "--out", song.to_str().unwrap()]);
        assert!(output.status.success(), "{file}");
        assert!(
            !import(&[file, "--out", song.to_str().unwrap()]).status.success(),
            "it is never overwritten"
        );
        fs::write(
            folder.path().join("set.yaml"),
            "set: Sunday\nsongs:\n  - use: song.yaml\n",
        )
        .unwrap();
        let check = Command::new(env!("CARGO_BIN_EXE_footlights"))
            .args(["check", "set.yaml"])
            .current_dir(folder.path())
            .env("XDG_CONFIG_HOME", folder.path())
            .output()
            .unwrap();
        assert!(
            check.status.success(),
            "{file}: {}",
            String::from_utf8_lossy(&check.stdout)
        );
    }
}
