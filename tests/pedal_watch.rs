//! `pedal list` and `pedal watch` as they are: the real binary, real bytes in a named pipe, what it prints.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test opens files and may fail"
)]
#![cfg(target_os = "linux")]

use rustix::fs::{CWD, FileType, Mode, OFlags, mknodat};
use std::fs::{File, OpenOptions, write};
use std::io::{BufRead, BufReader, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::PathBuf;
use std::process::{Child, ChildStdout, Command, Output, Stdio};
use std::time::Duration;
use tempfile::TempDir;

fn footlights() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_footlights"));
    // No player's file of whoever runs the tests.
    command.env("XDG_CONFIG_HOME", "/nowhere").stdin(Stdio::null());
    command
}

/// A pedal, as a named pipe, and a program that watches it.
struct Watch {
    pedal: File,
    pipe: PathBuf,
    process: Child,
    lines: BufReader<ChildStdout>,
    _folder: TempDir,
}

impl Watch {
    fn start(arguments: &[&str], player: &str) -> Watch {
        let folder = tempfile::tempdir().unwrap();
        let (pipe, file) = (folder.path().join("pedal"), folder.path().join("player.yaml"));
        mknodat(CWD, &pipe, FileType::Fifo, Mode::RUSR | Mode::WUSR, 0).unwrap();
        write(&file, player).unwrap();
        let mut process = footlights()
            .args(["pedal", "watch", "--raw-midi"])
            .arg(&pipe)
            .arg("--player")
            .arg(file)
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(process.stdout.take().unwrap());
        let mut watch = Watch {
            pedal: OpenOptions::new().read(true).write(true).open(&pipe).unwrap(),
            pipe,
            process,
            lines,
            _folder: folder,
        };
        assert!(watch.line().contains("the port is here"));
        watch
    }

    fn send(&mut self, bytes: &[u8]) {
        self.pedal.write_all(bytes).unwrap();
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        self.lines.read_line(&mut line).unwrap();
        line
    }

    /// Ends well, and has said nothing on standard error.
    fn assert_ends_quietly(self) {
        drop(self.lines);
        let output = self.process.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0));
        assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
    }
}

const PLAYER: &str = "player: Wren
pedals:
  switches:
    - { cc: 80, do: next, hold: next-song }
    - { note: 60, channel: 2, do: section Chorus }
";

#[test]
fn each_message_is_printed_with_its_bytes_its_switch_and_its_action() {
    let mut watch = Watch::start(&[], PLAYER);
    watch.send(&[0xB0, 80, 127, 80, 0, 0x91, 60, 1, 0xC0, 4, 0xFA]);
    for wanted in [
        "B0 50 7F  control change 80, value 127 (on), channel 1; cc 80: next, held: next-song\n",
        "B0 50 00  control change 80, value 0 (off), channel 1; cc 80: next, held: next-song\n",
        "91 3C 01  note 60 on, velocity 1, channel 2; note 60: section Chorus\n",
        "C0 04     program 4 (shown as 5 on many pedals), channel 1; program 4: bound to nothing\n",
        "FA        start: top\n",
    ] {
        let line = watch.line();
        assert!(line.ends_with(&format!("pedal  {wanted}")), "{line}");
    }
}

#[test]
fn with_json_each_message_is_one_object() {
    let mut watch = Watch::start(&["--json"], PLAYER);
    watch.send(&[0xB0, 80, 127, 0xF8]);
    let mut object = || -> serde_json::Value { serde_json::from_str(&watch.line()).unwrap() };
    let press = object();
    assert_eq!(press["bytes"], serde_json::json!([0xB0, 80, 127]));
    assert_eq!(
        press["switch"],
        serde_json::json!({"kind": "cc", "number": 80, "channel": 1})
    );
    assert_eq!(
        (&press["action"], &press["hold"]),
        (&"next".into(), &"next-song".into())
    );
    let clock = object();
    assert_eq!(clock["message"], "timing clock");
    assert!(clock["switch"].is_null() && clock["action"].is_null() && clock["hold"].is_null());
}

#[test]
fn a_signal_to_end_ends_quietly() {
    for signal in ["INT", "TERM"] {
        let watch = Watch::start(&[], PLAYER);
        let id = watch.process.id().to_string();
        let sent = Command::new("sh")
            .args(["-c", &format!("kill -s {signal} {id}")])
            .status()
            .unwrap();
        assert!(sent.success());
        watch.assert_ends_quietly();
    }
}

#[test]
fn a_raw_port_that_is_not_there_is_told_by_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let pedal = folder.path().join("pedal");
    let mut process = footlights()
        .args(["pedal", "watch", "--json", "--raw-midi"])
        .arg(&pedal)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(process.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    process.kill().unwrap();
    process.wait().unwrap();
    let told: serde_json::Value = serde_json::from_str(&line).unwrap();
    assert_eq!(told["message"], "the port is not here");
    assert_eq!(told["port"], pedal.to_str().unwrap());
}

#[test]
fn a_standard_output_that_closes_ends_it_though_no_message_comes() {
    Watch::start(&[], PLAYER).assert_ends_quietly();
}

/// More than the pipes and buffers on the way hold together, by far.
const FLOOD: usize = 64 << 20;
/// So often in a row a pipe that is being emptied is not found full.
const REFUSALS: u32 = 300;

/// What nobody reads waits in the pipe and not in memory; and it does not keep the program from ending.
#[test]
fn a_flood_that_nobody_reads_is_not_taken_in_and_the_program_ends_when_asked() {
    let watch = Watch::start(&[], PLAYER);
    let mut pipe = OpenOptions::new()
        .write(true)
        .custom_flags(OFlags::NONBLOCK.bits() as i32)
        .open(&watch.pipe)
        .unwrap();
    let (mut taken, mut refused) = (0, 0);
    while taken < FLOOD && refused < REFUSALS {
        match pipe.write(&[0xF8; 4096]) {
            Ok(len) => (taken, refused) = (taken + len, 0),
            Err(_) => {
                refused += 1;
                std::thread::sleep(Duration::from_millis(1));
            }
        }
    }
    assert!(taken < FLOOD, "all of it was taken in");
    watch.assert_ends_quietly();
}

#[test]
fn what_cannot_be_watched_is_said_and_exits_with_1() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("player.yaml");
    write(&file, "player: Wren\npedals: { switches: [{ cc: 80, do: nxt }] }\n").unwrap();
    let run =
        |arguments: &[&str]| -> Output { footlights().args(["pedal", "watch"]).args(arguments).output().unwrap() };
    let path = file.to_str().unwrap();
    for (arguments, wanted) in [
        (
            ["--raw-midi", path],
            "is a plain file, not a MIDI device, a serial line or a named pipe\n",
        ),
        (["--player", path], "hint: Did you mean `next`?\n"),
    ] {
        let output = run(&arguments);
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!((output.status.code(), output.stdout.len()), (Some(1), 0), "{errors}");
        assert!(errors.ends_with(wanted), "{errors}");
    }
}

#[test]
fn where_no_port_is_there_it_says_what_is_waited_for_and_how_to_end() {
    let wanted = "No MIDI port is here; waiting for one to be plugged in. ctrl-C ends.\n";
    for command in ["watch", "learn"] {
        let mut process = footlights()
            .args(["pedal", command, "--port", "no port is called so"])
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut said = String::new();
        let mut errors = BufReader::new(process.stderr.take().unwrap());
        errors.read_line(&mut said).unwrap();
        process.kill().unwrap();
        process.wait().unwrap();
        assert_eq!(said, wanted, "{command}");
    }
}

/// Whatever ports this machine has, the system's libraries do not speak in between.
#[test]
fn the_list_has_one_port_a_line_and_a_direction_each() {
    let output = footlights().args(["pedal", "list", "--json"]).output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    for line in String::from_utf8(output.stdout).unwrap().lines() {
        let port: serde_json::Value = serde_json::from_str(line).unwrap();
        assert!(port["port"].is_string());
        assert!(["input", "output"].contains(&port["direction"].as_str().unwrap()));
    }
    assert!(!String::from_utf8(output.stderr).unwrap().contains("ALSA"));
}
