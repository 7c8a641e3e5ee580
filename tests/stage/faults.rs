//! Faults of the program itself and of the terminal: the show goes on, or comes back by itself.

use super::{BACK, NEXT, OPENING, SIZE, step};
use crate::show::Show;

const INTRO: &str = "Capo 3, G shapes: Lanterns at Millpond, Intro";

#[test]
fn a_fault_in_any_thread_is_reported_and_the_show_comes_back_by_itself() {
    // In builds for tests these signals break the loop, and the thread that hears signals.
    for (signal, thread) in [("USR1", "main"), ("USR2", "signals")] {
        let mut show = Show::open(SIZE);
        step(&mut show, NEXT);
        show.until_title(INTRO);
        show.signal(signal);
        show.until_says("a fault was met");
        show.assert_taken();
        let report = show.read("footlights/stage.log");
        assert!(report.contains("a fault was asked for"), "{signal}: {report}");
        assert!(
            report.contains(&format!("in its thread `{thread}`")),
            "{signal}: {report}"
        );
        // The pedal works on.
        step(&mut show, NEXT);
    }
}

#[test]
fn a_show_that_breaks_again_at_once_ends_and_says_where_the_report_is() {
    let mut show = Show::open(SIZE);
    show.signal("USR1");
    show.until_says("a fault was met");
    show.signal("USR1");
    assert_eq!(show.until_ended().code(), Some(1));
    show.assert_given_back();
    let said = show.text().replace('\n', "");
    assert!(
        said.contains("a fault in Footlights ended the show: a fault was asked for"),
        "{said}"
    );
    assert!(said.contains("footlights/stage.log"), "{said}");
}

/// So large that a few pictures fill all that the system keeps for a reader.
pub(crate) const HUGE: (u16, u16) = (500, 200);

/// Pictures nobody reads, until the terminal takes no more.
pub(crate) fn stop_reading(show: &mut Show) {
    for turn in 0..8 {
        show.resize_unread((HUGE.0 - turn, HUGE.1));
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
}

#[test]
fn a_terminal_that_stops_reading_holds_nothing_up_and_shows_the_page_when_it_reads_again() {
    let mut show = Show::open(HUGE);
    stop_reading(&mut show);
    for cc in [NEXT, NEXT, BACK] {
        show.tap(cc);
        // Longer than the switch is deaf, and than a screen that only drags.
        std::thread::sleep(std::time::Duration::from_millis(600));
    }
    show.resize_unread(SIZE);
    show.emulate(SIZE);
    show.until_title(INTRO);
    show.until_says("stood still for");
    step(&mut show, BACK);
    show.until_title(OPENING);
}

#[test]
fn a_terminal_that_has_stopped_reading_does_not_keep_the_program_from_ending() {
    let mut show = Show::open(HUGE);
    stop_reading(&mut show);
    show.signal("TERM");
    assert_eq!(show.until_ended_unread().code(), Some(0));
}
