//! Tests only: three presses in the shorthand of `story`, and what kind of switch they are of.

use crate::pedal::lesson::{Learned, Lesson};
use crate::pedal::story::{Deed, story};
use crate::pedal::{Moment, PortId, Puzzle};

/// Plays feet to a lesson; every verdict, with the millisecond.
fn verdicts(feet: &str) -> Vec<String> {
    let mut lesson = Lesson::default();
    let mut told = Vec::new();
    let mut wait = |lesson: &mut Lesson, until: Moment| {
        while let Some(due) = lesson.wake_at().filter(|due| *due <= until) {
            let verdict = lesson.tick(due).expect("it is due");
            told.push(format!("{} {}", due.as_ms(), words(verdict)));
        }
    };
    for (at, deed) in story(feet) {
        wait(&mut lesson, at);
        match deed {
            Deed::Bytes(port, bytes) => lesson.bytes(port, at, &bytes, |_| {}),
            Deed::Lost => lesson.lose(PortId(0)),
            Deed::Back => {}
        }
    }
    wait(&mut lesson, Moment::START.after_ms(1_000_000));
    told
}

fn words(verdict: Result<Learned, Puzzle>) -> String {
    match verdict {
        Ok(Learned {
            port,
            switch,
            sends,
            reversed,
        }) => {
            let (channel, port) = (switch.channel.number(), port.0);
            let reversed = if reversed { ", reversed" } else { "" };
            format!("{switch} channel {channel} port {port} {sends:?}{reversed}")
        }
        Err(puzzle) => puzzle.to_string(),
    }
}

/// The verdict is told without its millisecond.
#[track_caller]
fn check(table: &[(&str, &str, &str)]) {
    for (what, feet, wanted) in table {
        let told = verdicts(feet);
        let told: Vec<&str> = told.iter().map(|told| told.split_once(' ').unwrap().1).collect();
        assert_eq!(told, [*wanted], "{what}: {feet}");
    }
}

#[test]
fn three_presses_say_what_a_switch_sends() {
    let momentary = "cc 80 channel 1 port 0 Momentary";
    check(&[
        (
            "momentary",
            "80+ 150ms 80- 800ms 80+ 200ms 80- 900ms 80+ 120ms 80-",
            momentary,
        ),
        (
            "in haste",
            "80+ 90ms 80- 90ms 80+ 90ms 80- 90ms 80+ 90ms 80-",
            momentary,
        ),
        (
            "four times",
            "80+ 150ms 80- 800ms 80+ 200ms 80- 900ms 80+ 120ms 80- 900ms 80+ 120ms 80-",
            momentary,
        ),
        (
            "down for long",
            "80+ 900ms 80- 700ms 80+ 1200ms 80- 600ms 80+ 1000ms 80-",
            momentary,
        ),
        ("on and off at once", "80+ 80- 900ms 80+ 80- 900ms 80+ 80-", momentary),
        (
            "within a bounce",
            "80+ 20ms 80- 900ms 80+ 40ms 80- 900ms 80+ 20ms 80-",
            momentary,
        ),
        (
            "bouncing",
            "80+ 3ms 80- 2ms 80+ 150ms 80- 2ms 80+ 1ms 80- 800ms 80+ 200ms 80- 900ms 80+ 4ms 80+ 120ms 80-",
            momentary,
        ),
        (
            "off first",
            "80- 150ms 80+ 800ms 80- 200ms 80+ 900ms 80- 120ms 80+",
            "cc 80 channel 1 port 0 Momentary, reversed",
        ),
        (
            "latching",
            "80+ 900ms 80- 1100ms 80+",
            "cc 80 channel 1 port 0 Latching",
        ),
        (
            "latching in haste",
            "80+ 350ms 80- 300ms 80+",
            "cc 80 channel 1 port 0 Latching",
        ),
        (
            "latching from on",
            "80- 900ms 80+ 1100ms 80-",
            "cc 80 channel 1 port 0 Latching",
        ),
        (
            "latching five times",
            "80+ 900ms 80- 900ms 80+ 700ms 80- 800ms 80+",
            "cc 80 channel 1 port 0 Latching",
        ),
        ("single", "80+ 900ms 80+ 1100ms 80+", "cc 80 channel 1 port 0 Single"),
        (
            "single, bouncing",
            "80+ 5ms 80+ 900ms 80+ 2ms 80+ 900ms 80+",
            "cc 80 channel 1 port 0 Single",
        ),
        (
            "by halves",
            "80=100 150ms 80=63 800ms 80=64 200ms 80=0 900ms 80=100 120ms 80=0",
            momentary,
        ),
        (
            "a note",
            "2/n60+ 150ms 2/n60- 800ms 2/n60+ 200ms 2/n60- 900ms 2/n60+ 120ms 2/n60-",
            "note 60 channel 2 port 0 Momentary",
        ),
        (
            "a latching note",
            "n60+ 900ms n60- 900ms n60+",
            "note 60 channel 1 port 0 Latching",
        ),
        (
            "a program",
            "16/p4 900ms 16/p4 900ms 16/p4",
            "program 4 channel 16 port 0 Single",
        ),
        (
            "the second port",
            "B:80+ 900ms B:80- 900ms B:80+",
            "cc 80 channel 1 port 1 Latching",
        ),
    ]);
}

#[test]
fn what_runs_beside_the_presses_is_passed_over() {
    for beside in ["xF8", "xFE", "xFA", "xE0 x00 x40", "xF0 x01 xF7", "xD0 x05"] {
        let feet = format!(
            "80+ {beside} 900ms {beside} 80- {beside} 700ms {beside} 80+ 500ms {beside} 500ms {beside} 700ms {beside}"
        );
        assert_eq!(verdicts(&feet), ["3100 cc 80 channel 1 port 0 Latching"], "{beside}");
    }
}

#[test]
fn of_several_messages_a_press_the_first_counts_that_tells_a_switch() {
    check(&[
        (
            "a bank before the program",
            "0=0 32=1 p4 900ms 0=0 32=1 p4 900ms 0=0 32=1 p4",
            "program 4 channel 1 port 0 Single",
        ),
        (
            "a program and a controller",
            "p4 20ms 80+ 900ms p4 20ms 80+ 900ms p4 20ms 80+",
            "program 4 channel 1 port 0 Single",
        ),
    ]);
}

#[test]
fn what_is_no_switch_or_not_one_is_said() {
    let sweep: String = (0..=12).map(|step| format!("11={} 20ms ", step * 10)).collect();
    let few = "fewer than three presses were heard";
    check(&[
        (
            "an expression pedal",
            &sweep,
            "cc 11 goes through many values, as an expression pedal does, not a switch",
        ),
        (
            "two switches",
            "80+ 150ms 80- 800ms 81+ 150ms 81- 900ms 80+ 120ms 80-",
            "two switches were heard, cc 80 and cc 81",
        ),
        (
            "one after the other",
            "80+ 900ms 80- 900ms 80+ 900ms 81+",
            "two switches were heard, cc 80 and cc 81",
        ),
        (
            "two ports",
            "80+ 900ms B:80- 900ms 80+",
            "two switches were heard, cc 80 and cc 80",
        ),
        (
            "another program each time",
            "p4 900ms p5 900ms p6",
            "programs 4 and 5 were heard; a pedal that sends another program at each press opens songs with \
             `{ program: any, do: song }`",
        ),
        (
            "off alone",
            "80- 900ms 80- 900ms 80-",
            "cc 80 never says on (a value from 64 up)",
        ),
        (
            "no order",
            "80+ 900ms 80+ 900ms 80- 900ms 80+",
            "cc 80 says on and off in no order that a switch has",
        ),
        ("one press", "80+ 150ms 80-", few),
        ("two presses", "80+ 150ms 80- 900ms 80+ 200ms 80-", few),
        ("held in the third", "80+ 150ms 80- 900ms 80+", few),
    ]);
}

#[test]
fn a_verdict_waits_for_silence_and_for_a_foot_that_takes_its_time() {
    for (feet, wanted) in [
        ("80+ 900ms 80- 900ms 80+", "3300 cc 80 channel 1 port 0 Latching"),
        (
            "80+ 200ms 80- 3000ms 80+ 200ms 80- 3000ms 80+ 200ms 80-",
            "8100 cc 80 channel 1 port 0 Momentary",
        ),
        (
            "80+ 150ms 80- 900ms 80+ 3000ms 80- 900ms 80+ 200ms 80-",
            "6650 cc 80 channel 1 port 0 Momentary",
        ),
        ("80+ 200ms 80-", "5200 fewer than three presses were heard"),
    ] {
        assert_eq!(verdicts(feet), [wanted], "{feet}");
    }
}

#[test]
fn a_lost_port_begins_the_lesson_anew_and_so_does_each_verdict() {
    assert_eq!(
        verdicts("80+ 900ms 80- 900ms lost 80+ 900ms 80+ 900ms 80+"),
        ["5100 cc 80 channel 1 port 0 Single"]
    );
    let two = verdicts("80+ 900ms 80- 900ms 80+ 2000ms 81+ 900ms 81+ 900ms 81+");
    assert_eq!(
        two,
        [
            "3300 cc 80 channel 1 port 0 Latching",
            "7100 cc 81 channel 1 port 0 Single"
        ]
    );
}

#[test]
fn a_pedal_that_never_falls_silent_comes_to_a_verdict_in_bounded_memory() {
    let feet: String = (0..2000)
        .map(|turn| format!("{}={} 10ms ", turn % 100, turn % 128))
        .collect();
    assert!(verdicts(&feet).len() >= 4);
}
