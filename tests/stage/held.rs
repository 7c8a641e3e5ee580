//! A terminal that has stopped reading while the last words are printed: what is asked to end ends all the same.

use super::faults::{HUGE, stop_reading};
use super::practice::a_long_practice;
use super::{NEXT, SIZE};
use crate::show::Show;
use crate::terminal::{Pedal, Terminal};
use std::ffi::OsStr;
use std::process::{Command, ExitStatus};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// However slow the machine, what is waited for has come by then.
const PATIENCE: Duration = Duration::from_secs(30);
/// When nothing has come for this long, nothing more is on its way.
const QUIET: Duration = Duration::from_millis(250);
/// What holds a terminal that is not raw: ctrl-S.
const HOLD: &[u8] = b"\x13";

/// A pedal command on a terminal that is held in the middle of its account, and then asked to end; how it ended.
fn held_and_asked_to_end(command: &str, until: &str) -> ExitStatus {
    let folder = tempfile::tempdir().unwrap();
    let mut pedal = Pedal::new(folder.path()).unwrap();
    let args = [
        OsStr::new("pedal"),
        command.as_ref(),
        "--raw-midi".as_ref(),
        pedal.path(),
    ];
    let program = OsStr::new(env!("CARGO_BIN_EXE_footlights"));
    let mut terminal = Terminal::start(program, &args, folder.path(), SIZE).unwrap();
    let (start, mut said, mut bytes) = (Instant::now(), String::new(), [0; 4096]);
    while !said.contains(until) {
        assert!(start.elapsed() < PATIENCE, "{said}");
        let count = terminal.read(&mut bytes, QUIET).unwrap();
        said += &String::from_utf8_lossy(&bytes[..count]);
    }
    while terminal.read(&mut bytes, QUIET).unwrap() > 0 {}
    terminal.write(HOLD).unwrap();
    sleep(QUIET);
    pedal.send(&[0xB0, NEXT, 127]).unwrap();
    assert_eq!(terminal.read(&mut bytes, QUIET).unwrap(), 0, "the terminal is not held");

    let kill = format!("kill -TERM {}", terminal.pid());
    assert!(Command::new("sh").args(["-c", &kill]).status().unwrap().success());
    let start = Instant::now();
    loop {
        if let Some(status) = terminal.ended().unwrap() {
            assert!(terminal.is_as_found().unwrap());
            return status;
        }
        assert!(start.elapsed() < PATIENCE, "it waits for a terminal that does not read");
        sleep(Duration::from_millis(10));
    }
}

#[test]
fn a_watch_of_pedals_that_a_terminal_holds_ends_when_it_is_asked_to() {
    assert_eq!(held_and_asked_to_end("watch", "the port is here").code(), Some(0));
}

#[test]
fn a_lesson_that_a_terminal_holds_ends_when_it_is_asked_to_and_writes_nothing() {
    assert_eq!(held_and_asked_to_end("learn", "three presses, please").code(), Some(1));
}

#[test]
fn a_practice_whose_terminal_has_stopped_reading_ends_when_it_is_asked_to() {
    let stage = Show::open(HUGE);
    let mut practice = stage.practice();
    drop(stage);
    practice.until_says("say it, then");
    stop_reading(&mut practice);
    practice.signal("TERM");
    assert_eq!(practice.until_ended_unread().code(), Some(0));
    practice.assert_settings_given_back();
}

#[test]
fn a_time_that_was_taken_over_is_written_though_the_terminal_has_stopped_reading() {
    let stage = Show::open(HUGE);
    stage.write("footlights/rehearse.jsonl", &a_long_practice(&stage));
    let mut practice = stage.practice();
    drop(stage);
    practice.until_says("goes on with what is least sure");
    practice.type_keys("\x1b[D");
    practice.until_title("your capo moves, 7 s, the plan reckons with 10 s");
    stop_reading(&mut practice);
    practice.type_keys("\x1b[C");
    let start = Instant::now();
    while !practice.read("player.yaml").contains("seconds_to_move: 7 ") {
        assert!(start.elapsed() < PATIENCE, "the time is not written");
        sleep(Duration::from_millis(10));
    }
    // Now it waits to print its last words.
    practice.signal("TERM");
    assert_eq!(practice.until_ended_unread().code(), Some(0));
    practice.assert_settings_given_back();
}
