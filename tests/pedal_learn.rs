//! `pedal learn` as it is: the real binary, three presses a switch in a named pipe, and the player's file after it.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test opens files and may fail"
)]
#![cfg(target_os = "linux")]

use rustix::fs::{CWD, FileType, Mode, mknodat};
use serde_json::{Value, json};
use std::fs::{File, OpenOptions, read_to_string, write};
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// A pedal, as a named pipe, and a program that learns it.
struct Learn {
    process: Child,
    typing: Option<ChildStdin>,
    lines: BufReader<ChildStdout>,
    pedal: File,
    player: PathBuf,
    folder: TempDir,
}

impl Learn {
    /// With a player's file, or with none yet.
    fn start(arguments: &[&str], player: Option<&str>) -> Learn {
        let folder = tempfile::tempdir().unwrap();
        let (pipe, file) = (folder.path().join("pedal"), folder.path().join("mine/player.yaml"));
        mknodat(CWD, &pipe, FileType::Fifo, Mode::RUSR | Mode::WUSR, 0).unwrap();
        if let Some(player) = player {
            std::fs::create_dir(folder.path().join("mine")).unwrap();
            write(&file, player).unwrap();
        }
        let mut process = Command::new(env!("CARGO_BIN_EXE_footlights"))
            .args(["pedal", "learn", "--raw-midi"])
            .arg(&pipe)
            .arg("--player")
            .arg(&file)
            .args(arguments)
            .env("XDG_CONFIG_HOME", "/nowhere")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        Learn {
            typing: process.stdin.take(),
            lines: BufReader::new(process.stdout.take().unwrap()),
            pedal: OpenOptions::new().read(true).write(true).open(pipe).unwrap(),
            process,
            player: file,
            folder,
        }
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        self.lines.read_line(&mut line).unwrap();
        line
    }

    /// The next object that is no word of a port or of a message.
    fn object(&mut self) -> Value {
        loop {
            let line = self.line();
            let object: Value = serde_json::from_str(&line).unwrap_or_else(|_| panic!("{line:?}"));
            if object.get("heard").is_none() && object.get("port").is_none() {
                return object;
            }
        }
    }

    fn assert_asked(&mut self, action: &str) {
        assert_eq!(self.object(), json!({ "asked": action }));
    }

    /// Presses a switch three times: what it sends for one press, and the next one.
    fn press(&mut self, presses: [&[u8]; 3]) {
        for press in presses {
            // Apart, as a foot's presses are, or a bounce would be made of them.
            std::thread::sleep(Duration::from_millis(100));
            self.pedal.write_all(press).unwrap();
        }
    }

    fn type_line(&mut self, line: &str) {
        writeln!(self.typing.as_mut().unwrap(), "{line}").unwrap();
    }

    /// The exit status, and what it said on standard error.
    fn end(self) -> (Option<i32>, String, TempDir) {
        drop(self.lines);
        let output = self.process.wait_with_output().unwrap();
        (
            output.status.code(),
            String::from_utf8(output.stderr).unwrap(),
            self.folder,
        )
    }
}

fn cc(number: u8, value: u8) -> [u8; 3] {
    [0xB0, number, value]
}

const PLAYER: &str = "# Wren's own
player: Wren   # that is me
pedals:
  hold_ms: 700
  switches:
    - { cc: 80, do: next }   # the left one
  # nothing more yet
left_handed: true
";

#[test]
fn each_switch_is_found_out_and_written_and_the_rest_of_the_file_stays_as_it_is() {
    let mut learn = Learn::start(
        &["--json", "next", "back", "again", "peek", "section Chorus"],
        Some(PLAYER),
    );
    learn.assert_asked("next");
    learn.press([&[cc(80, 127), cc(80, 0)].concat(); 3]);
    let already = json!({"kind": "cc", "number": 80, "channel": 1, "action": "next"});
    assert_eq!(learn.object(), json!({ "already": already }));

    learn.assert_asked("back");
    learn.press([&[cc(80, 127), cc(80, 0)].concat(); 3]);
    assert_eq!(learn.object(), json!({ "already": already }));
    assert_eq!(learn.object(), json!({ "again": "another switch is wanted" }));
    learn.press([&cc(81, 127), &cc(81, 0), &cc(81, 127)]);
    let learned = json!({
        "kind": "cc", "number": 81, "channel": 1, "action": "back", "sends": "latching", "reversed": false,
        "line": "{ cc: 81, channel: 1, sends: latching, do: back }",
    });
    assert_eq!(learn.object(), json!({ "learned": learned }));

    learn.assert_asked("again");
    learn.type_line("");
    assert_eq!(learn.object(), json!({ "skipped": "again" }));

    learn.assert_asked("peek");
    learn.press([&[0xC1, 4], &[0xC1, 4], &[0xC1, 4]]);
    assert_eq!(learn.object()["learned"]["kind"], "program");

    learn.assert_asked("section Chorus");
    learn.press([&cc(82, 127), &cc(83, 127), &cc(82, 127)]);
    assert_eq!(
        learn.object(),
        json!({ "again": "two switches were heard, cc 82 and cc 83" })
    );
    learn.press([&cc(82, 127); 3]);
    assert_eq!(learn.object()["learned"]["sends"], "single");

    let written = learn.object();
    assert_eq!(written["written"]["file"], learn.player.to_str().unwrap());
    let text = read_to_string(&learn.player).unwrap();
    let new = "    - { cc: 81, channel: 1, sends: latching, do: back }
    - { program: 4, channel: 2, do: peek }
    - { cc: 82, channel: 1, sends: single, do: section Chorus }
";
    assert_eq!(
        text,
        PLAYER.replace("  # nothing more", &format!("{new}  # nothing more"))
    );
    let (status, said, _folder) = learn.end();
    assert_eq!((status, said.as_str()), (Some(0), ""));
}

#[test]
fn a_file_that_is_not_there_is_made_and_can_be_read() {
    let mut learn = Learn::start(&["--json", "next", "lock"], None);
    learn.assert_asked("next");
    learn.press([&[0x90, 60, 1], &[0x90, 60, 0], &[0x90, 60, 1]]);
    assert_eq!(learn.object()["learned"]["sends"], "latching");
    learn.assert_asked("lock");
    learn.type_line("q");
    assert!(!learn.object()["written"].is_null());
    let player = learn.player.clone();
    let (status, _, _folder) = learn.end();
    assert_eq!(status, Some(0));
    let text = read_to_string(player).unwrap();
    assert!(
        text.ends_with("  switches:\n    - { note: 60, channel: 1, sends: latching, do: next }\n"),
        "{text}"
    );
}

#[test]
fn a_signal_to_end_leaves_the_file_as_it_was() {
    let mut learn = Learn::start(&["--json"], Some(PLAYER));
    learn.assert_asked("next");
    learn.press([&cc(90, 127); 3]);
    learn.object();
    learn.assert_asked("back");
    let id = learn.process.id().to_string();
    let sent = Command::new("sh")
        .args(["-c", &format!("kill -s INT {id}")])
        .status()
        .unwrap();
    assert!(sent.success());
    let player = learn.player.clone();
    let (status, said, _folder) = learn.end();
    assert_eq!((status, said.as_str()), (Some(1), "nothing was written\n"));
    assert_eq!(read_to_string(player).unwrap(), PLAYER);
}

#[test]
fn a_file_that_was_broken_meanwhile_is_left_alone_and_the_lines_are_shown() {
    let mut learn = Learn::start(&["--json", "back"], Some(PLAYER));
    learn.assert_asked("back");
    // Meanwhile somebody else breaks it.
    write(&learn.player, "pedals: [\n").unwrap();
    learn.press([&cc(81, 127); 3]);
    learn.object();
    let player = learn.player.clone();
    let (status, said, _folder) = learn.end();
    assert_eq!(status, Some(1));
    assert!(
        said.contains("    - { cc: 81, channel: 1, sends: single, do: back }\n"),
        "{said}"
    );
    assert_eq!(read_to_string(player).unwrap(), "pedals: [\n");
}

#[test]
fn a_player_reads_what_is_asked_and_what_was_found() {
    let mut learn = Learn::start(&["next"], None);
    let mut said = String::new();
    while !said.contains("next: three presses, please\n") {
        said += &learn.line();
    }
    assert!(said.contains("a list replaces the usual ones"), "{said}");
    learn.press([&cc(64, 127), &cc(64, 0), &cc(64, 127)]);
    while !said.contains("written to ") {
        said += &learn.line();
    }
    for words in [
        "  cc 64 on\n",
        "next: cc 64, channel 1, latching: on and off in turn, a message a press\n",
    ] {
        assert!(said.contains(words), "{said}");
    }
    let (status, _, _folder) = learn.end();
    assert_eq!(status, Some(0));
}

#[test]
fn what_is_no_action_is_wrong_usage() {
    let output = Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(["pedal", "learn", "nxt"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("did you mean `next`?"), "{said}");
}
