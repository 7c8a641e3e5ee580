//! A terminal that has stopped reading while the last words are printed: what is asked to end ends all the same.

use super::faults::{HUGE, stop_reading};
use super::practice::a_long_practice;
use super::{NEXT, SIZE};
use crate::show::Show;
use std::process::ExitStatus;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// However slow the machine, what is waited for has come by then.
const PATIENCE: Duration = Duration::from_secs(30);
/// Within this time the terminal has heard the key that holds it.
const QUIET: Duration = Duration::from_millis(250);
/// What holds a terminal that is not raw: ctrl-S.
const HOLD: &str = "\x13";

/// A pedal command on a terminal that is held in the middle of its account, and then asked to end; how it ended.
fn held_and_asked_to_end(command: &str, until: &str) -> ExitStatus {
    let mut pedals = Show::pedal_command(command, SIZE);
    pedals.until_says(until);
    pedals.settle();
    pedals.type_keys(HOLD);
    sleep(QUIET);
    let before = pedals.text();
    pedals.send(&[0xB0, NEXT, 127]);
    pedals.settle();
    assert_eq!(pedals.text(), before, "the terminal is not held");
    pedals.signal("TERM");
    let status = pedals.until_ended_unread();
    pedals.assert_settings_given_back();
    status
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
