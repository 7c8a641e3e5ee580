//! Tests only: gesture by gesture, what feet do and what comes of it, in the shorthand of `story`.

use crate::pedal::story::{Deed, play, settings, story, told};
use crate::pedal::{Bindings, Board, Moment};
use crate::setlist::PedalSettings;

#[track_caller]
fn check(settings: &PedalSettings, table: &[(&str, &str, &str)]) {
    for (what, feet, wanted) in table {
        assert_eq!(told(&play(settings, &story(feet))), *wanted, "{what}: {feet}");
    }
}

#[test]
fn a_press_acts_at_once_and_once() {
    check(
        &settings(&["80 next", "81 back"]),
        &[
            ("a press and its release", "5ms 80+ 200ms 80-", "5 next"),
            ("on from 64", "80=63 10ms 80=64", "10 next"),
            (
                "an expression pedal swept up",
                "80=10 80=64 200ms 80=90 10ms 80=127",
                "0 next",
            ),
            (
                "swept down and up again",
                "80=127 200ms 80=64 10ms 80=63 10ms 80=64",
                "0 next, 220 next",
            ),
            ("two presses in good time", "80+ 50ms 80- 50ms 80+", "0 next, 100 next"),
            ("no binding", "79+ n80+ p80 200ms 79-", ""),
        ],
    );
}

#[test]
fn a_bouncing_switch_presses_once() {
    check(
        &settings(&["80 next", "81 back"]),
        &[
            (
                "bounces at the press",
                "80+ 5ms 80- 5ms 80+ 5ms 80- 5ms 80+ 100ms 80-",
                "0 next",
            ),
            (
                "other switches are not held up",
                "80+ 5ms 81+ 5ms 80- 1ms 80+",
                "0 next, 5 back",
            ),
            (
                "one channel's switch is not another's",
                "80+ 5ms 2/80+",
                "0 next, 5 next",
            ),
            ("one port's switch is not another's", "80+ 5ms B:80+", "0 next, 5 next"),
            ("deaf up to the end", "80+ 79ms 80- 80+ 1ms 80+ 80-", "0 next"),
            (
                "released when the time is up",
                "80+ 20ms 80- 60ms 80+",
                "0 next, 80 next",
            ),
            (
                "an on remembered is no press",
                "80+ 10ms 80- 10ms 80+ 100ms 80+ 1ms 80- 1ms 80+",
                "0 next, 122 next",
            ),
        ],
    );
}

#[test]
fn a_hold_acts_when_its_time_is_reached_and_its_release_does_nothing() {
    check(
        &settings(&["80 next, hold next-song", "81 back, hold lock"]),
        &[
            ("a tap acts at the release", "80+ 200ms 80-", "200 next"),
            ("a hold", "80+ 900ms 80-", "600 next-song"),
            (
                "a release at that very moment is too late",
                "80+ 600ms 80-",
                "600 next-song",
            ),
            ("a release just before", "80+ 599ms 80-", "599 next"),
            ("a tap shorter than the debounce", "80+ 20ms 80-", "80 next"),
            ("bounces in a hold", "80+ 5ms 80- 5ms 80+ 700ms 80-", "600 next-song"),
            ("never released", "80+", "600 next-song"),
            (
                "two at once, in the order of pressing",
                "81+ 80+",
                "600 lock, 600 next-song",
            ),
            (
                "a tap after a hold",
                "80+ 700ms 80- 10ms 80+ 100ms 80-",
                "600 next-song, 810 next",
            ),
            (
                "further on values are no new press",
                "80+ 300ms 80=90 200ms 80-",
                "500 next",
            ),
        ],
    );
}

/// The end of one switch's deafness and another's hold, due at one moment, go in the order in which they were set.
#[test]
fn alarms_of_one_moment_go_in_the_order_in_which_they_were_set() {
    let settings = PedalSettings {
        debounce_ms: 100,
        hold_ms: 200,
        ..settings(&["80 next, hold next-song", "81 back, hold lock"])
    };
    check(
        &settings,
        &[
            (
                "the hold was set first",
                "80+ 100ms 81+ 50ms 81- 100ms",
                "200 next-song, 200 back",
            ),
            (
                "the release was sent, the alarm set later",
                "80+ 100ms 81+ 1ms 81- 99ms 80-",
                "200 next-song, 200 back",
            ),
        ],
    );
}

#[test]
fn a_latching_switch_presses_at_each_change() {
    check(
        &settings(&["82 latching again"]),
        &[
            (
                "on and off in turn",
                "82+ 200ms 82- 200ms 82+",
                "0 again, 200 again, 400 again",
            ),
            ("it stands at off at the start", "82- 10ms 82+", "10 again"),
            ("the same word twice is no change", "82+ 200ms 82+", "0 again"),
            (
                "what is said while deaf is remembered",
                "82+ 20ms 82- 200ms 82- 10ms 82+",
                "0 again, 230 again",
            ),
        ],
    );
}

#[test]
fn a_single_switch_presses_with_each_on_value() {
    check(
        &settings(&["83 single next", "n* single again"]),
        &[
            (
                "on values alone",
                "83+ 200ms 83+ 200ms 83- 10ms 83+",
                "0 next, 200 next, 410 next",
            ),
            ("deaf as others are", "83+ 79ms 83+ 1ms 83+", "0 next, 80 next"),
            (
                "notes too",
                "n60+ 10ms n61+ 100ms n60- n60+",
                "0 again, 10 again, 110 again",
            ),
        ],
    );
}

#[test]
fn a_program_change_is_a_press_by_itself() {
    check(
        &settings(&["p* song", "p7 next"]),
        &[
            ("program n opens song n + 1", "p0 10ms p4", "0 song 1, 10 song 5"),
            ("a number beats any", "p7", "0 next"),
            ("the same one again", "p4 79ms p4 1ms p4", "0 song 5, 80 song 5"),
        ],
    );
}

#[test]
fn a_number_beats_any_then_a_channel_beats_none() {
    check(
        &settings(&["* back", "2/* again", "80 next", "2/80 top"]),
        &[
            ("any, any", "33+", "0 back"),
            ("any of a channel", "2/33+", "0 again"),
            ("a number", "80+", "0 next"),
            ("a number of a channel", "2/80+", "0 top"),
        ],
    );
}

#[test]
fn a_lost_cable_releases_what_is_held_and_fires_nothing() {
    check(
        &settings(&["80 next, hold next-song", "81 back", "82 latching again"]),
        &[
            (
                "a press that waited",
                "80+ 200ms lost 1000ms 80+",
                "200 lost 0, 1200 back 0, 1800 next-song",
            ),
            (
                "a held switch is off",
                "81+ 200ms lost back 81+",
                "0 back, 200 lost 0, 200 back 0, 200 back",
            ),
            (
                "deaf to the end of its time",
                "81+ 20ms lost back 81+ 80ms 81- 81+",
                "0 back, 20 lost 0, 20 back 0, 100 back",
            ),
            (
                "a latching one stands where it stood",
                "82+ 200ms lost back 82+ 82-",
                "0 again, 200 lost 0, 200 back 0, 200 again",
            ),
            (
                "another port's switches stay held",
                "B:80+ 200ms lost",
                "200 lost 0, 600 next-song",
            ),
            ("what is due goes first", "80+ 600ms lost", "600 next-song, 600 lost 0"),
        ],
    );
}

/// Source: MIDI 1.0 detailed specification, Active Sensing (from memory): 300 ms.
#[test]
fn silence_after_active_sensing_is_a_lost_cable() {
    check(
        &settings(&["80 next, hold next-song", "81 back"]),
        &[
            ("silence", "xFE 299ms xFE", "599 lost 0"),
            (
                "at 300 ms the alarm goes first",
                "xFE 300ms xFE",
                "300 lost 0, 300 back 0, 600 lost 0",
            ),
            ("any byte counts", "xFE 200ms 81+ 200ms 81-", "200 back, 700 lost 0"),
            ("no watch before it was seen", "81+ 1000ms 81-", "0 back"),
            (
                "watched again only when seen again",
                "xFE 400ms 81+ 1000ms 81-",
                "300 lost 0, 400 back 0, 400 back",
            ),
            ("a held switch is released", "xFE 80+", "300 lost 0"),
            (
                "the other port is heard on",
                "xFE B:81+ 400ms B:81-",
                "0 back, 300 lost 0",
            ),
        ],
    );
}

#[test]
fn system_messages_come_through_in_the_order_of_the_wire() {
    check(
        &settings(&["80 next"]),
        &[
            ("song select", "xF3 x04", "0 select 5"),
            ("transport", "xFA xFC xFB", "0 start, 0 stop, 0 continue"),
            ("song position", "xF2 x10 x02", "0 position 272"),
            ("each clock", "xF8 20ms 80+ xF8", "0 clock, 20 next, 20 clock"),
            (
                "others do nothing",
                "xFF xF6 xF1 x05 xE0 x00 x40 xD0 x01 xA0 x01 x01",
                "",
            ),
        ],
    );
}

/// Source: MIDI 1.0, table of controller numbers (MIDI Association), from memory: the switches among them.
#[test]
fn with_no_file_the_usual_switches_hold() {
    let usual = PedalSettings::default();
    let feet = "64+ 66+ 67+ 80+ 81+ 82+ 83+ p2 65+ n64+";
    let wanted = "0 next, 0 back, 0 again, 0 next, 0 back, 0 next-song, 0 previous-song, 0 song 3";
    check(&usual, &[("the usual", feet, wanted)]);
}

#[test]
fn only_a_press_that_may_become_a_hold_wants_waking() {
    let settings = settings(&["80 next", "81 back, hold lock"]);
    let mut board = Board::new(Bindings::read(&settings).unwrap(), &settings);
    for (feet, wanted) in [("80+", None), ("81+", Some(80)), ("81-", Some(80))] {
        for (at, deed) in story(feet) {
            if let Deed::Bytes(port, bytes) = deed {
                board.bytes(port, at, &bytes, &mut Vec::new());
            }
        }
        assert_eq!(board.wake_at(), wanted.map(|ms| Moment::START.after_ms(ms)), "{feet}");
    }
}

#[test]
fn what_is_stamped_earlier_than_what_came_before_counts_as_coming_with_it() {
    let settings = settings(&["80 next", "81 back"]);
    let mut deeds = story("80+ 100ms 81+");
    deeds.swap(0, 1);
    let events = play(&settings, &deeds);
    assert_eq!(told(&events), "100 back, 100 next");
}

/// The stories before and after the bindings change; the second goes on at the moment at which the first has ended.
#[test]
fn bindings_that_change_leave_alone_what_is_read_as_before_and_drop_what_waits_elsewhere() {
    for (before, first, after, then, wanted) in [
        ("80 next", "80+ 200ms", "80 back", "80- 10ms 80+", "0 next, 210 back"),
        (
            "80 next, hold top",
            "80+",
            "80 back, hold lock",
            "700ms 80-",
            "600 lock",
        ),
        ("80 next, hold top", "80+", "80 back", "700ms 80- 80+", "700 back"),
        ("80 next, hold top", "80+", "81 back", "700ms 80- 81+", "700 back"),
        (
            "80 latching next",
            "80+ 200ms",
            "80 latching back",
            "80-",
            "0 next, 200 back",
        ),
        ("80 next", "80+ 200ms", "80 single back", "80- 80+", "0 next, 200 back"),
    ] {
        let (old, new) = (settings(&[before]), settings(&[after]));
        let mut board = Board::new(Bindings::read(&old).unwrap(), &old);
        let mut out = Vec::new();
        let whole = story(&format!("{first} {then}"));
        for (place, (at, deed)) in whole.into_iter().enumerate() {
            if place == story(first).len() {
                board.rebind(Bindings::read(&new).unwrap(), &new);
            }
            if let Deed::Bytes(port, bytes) = deed {
                board.bytes(port, at, &bytes, &mut out);
            }
        }
        assert_eq!(told(&out), wanted, "{before} became {after}");
    }
}
