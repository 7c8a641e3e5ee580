//! The stage as it is: the real binary on a real pseudo-terminal, played by real bytes in a named pipe, and read through
//! a terminal emulator (vt100 0.18).
//!
//! Nothing here measures time; what is waited for may take as long as a slow machine needs.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::disallowed_methods,
    reason = "a test may fail"
)]
#![cfg(target_os = "linux")]

mod coming_back;
mod faults;
mod files;
mod held;
mod past;
mod ports;
mod practice;
mod show;
mod terminal;

use show::Show;
use std::process::Command;

/// The demo player's switches.
const NEXT: u8 = 80;
const BACK: u8 = 81;
const AGAIN: u8 = 82;
const PEEK: u8 = 83;

const SIZE: terminal::Cells = (80, 24);
const OPENING: &str = "Capo 3, G shapes: Lanterns at Millpond";

#[test]
fn the_foot_steps_through_the_first_songs() {
    let mut show = Show::open(SIZE);
    for title in [
        "Capo 3, G shapes: Lanterns at Millpond, Intro",
        "Capo 3, G shapes: Lanterns at Millpond, Verse",
        "Capo 3, G shapes: Lanterns at Millpond, Chorus",
        "Capo 3, G shapes: Lanterns at Millpond, Verse",
        "Capo 3, G shapes: Lanterns at Millpond, Chorus",
        "Capo 3, G shapes: Lanterns at Millpond, Chorus",
        "Capo 3, G shapes: Lanterns at Millpond, Outro",
        "Capo 4, A shapes: Ferry in the Fog",
        "Capo 4, A shapes: Ferry in the Fog, Intro",
    ] {
        step(&mut show, NEXT);
        show.until_title(title);
    }
    step(&mut show, BACK);
    show.until_title("Capo 4, A shapes: Ferry in the Fog");
}

/// Two steps may share a title, so a press is told by the picture that it changes.
fn step(show: &mut Show, cc: u8) {
    show.settle();
    let before = show.picture();
    show.tap(cc);
    show.until("a new picture", |show| show.picture() != before);
}

#[test]
fn what_the_hands_must_do_stands_on_the_screen() {
    // High enough for every small line, too low for the chords to be large.
    let mut show = Show::open((100, 28));
    show.until_says("Harvest evening at the millpond");
    show.until_says("72 bpm");
    show.until_says("piano starts, guitar from bar 5");
    step(&mut show, NEXT);
    // In B flat with the capo at 3, 1 | 5/7 | 6- | 4 are fingered in G.
    show.until_says("G | D/F♯ | Em | C");
    show.until_says("[Intro] Verse  Chorus  Verse  Chorus  Chorus  Outro");
}

#[test]
fn the_show_goes_to_its_end() {
    let mut show = Show::open(SIZE);
    show.send(&[0xC0, 7]);
    show.until_title("No capo, A shapes: Seven Lamps");
    show.send(&[0xFA]);
    show.until_title("No capo, A shapes: Seven Lamps, Riff");
    for _ in 0..11 {
        step(&mut show, NEXT);
    }
    show.until_title("The end: Harvest evening at the millpond");
}

#[test]
fn again_and_a_look_ahead_are_in_the_title() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    step(&mut show, AGAIN);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Intro x2");
    step(&mut show, PEEK);
    show.until_title("Next: Capo 4, A shapes: Ferry in the Fog");
    step(&mut show, PEEK);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Intro x2");
}

#[test]
fn twenty_presses_in_one_write_are_twenty_steps() {
    let mut show = Show::open_with(SIZE, |player| player.replace("debounce_ms: 80 ", "debounce_ms: 0 "));
    show.send(&[0xB0, NEXT, 127, 0xB0, NEXT, 0].repeat(20));
    // 7 steps, a gap page and 7 steps, a gap page and 4 steps.
    show.until_title("Capo 4, E shapes: The Orchard Gate, Chorus");
}

/// The page that the next press is likely to ask for is drawn beforehand, and much may happen before it is asked for.
/// What stands there then is what is there when every cell is drawn anew.
#[test]
fn a_page_that_was_drawn_beforehand_is_the_page() {
    let mut show = Show::open(SIZE);
    let mut check = |what: &str, change: &dyn Fn(&mut Show)| {
        // A switch that is bound to nothing changes nothing: then there is time.
        show.send(&[0xB0, 119, 0]);
        show.settle();
        let before = show.picture();
        change(&mut show);
        show.until(what, |show| show.picture() != before);
        show.settle();
        let drawn = show.picture();
        show.have_all_drawn();
        assert_eq!(show.picture(), drawn, "{what}");
    };
    for what in [
        "", "", "\x1b[D", "", "+", "", "-", "", "n", "", "a", "", "?", "?", "u", "", "l", "l", "", "\x1b[B",
    ] {
        match what {
            "" => check("a press", &|show| show.tap(NEXT)),
            keys => check(keys, &|show| show.type_keys(keys)),
        }
    }
    check("a press, and in the same moment a song that there is not", &|show| {
        show.send(&[0xB0, NEXT, 127, 0xC0, 99, 0xB0, NEXT, 0]);
    });
    check("a press before which the files have changed", &|show| {
        show.write(
            "harvest-evening.yaml",
            &show
                .read("harvest-evening.yaml")
                .replace("technique: strum", "technique: diamonds"),
        );
        show.until_says("read anew");
        show.tap(NEXT);
        show.until("the notice to go", |show| !show.text().contains("read anew"));
    });
}

#[test]
fn keys_stand_in_for_pedals() {
    let mut show = Show::open(SIZE);
    for (keys, title) in [
        (" ", "Capo 3, G shapes: Lanterns at Millpond, Intro"),
        ("\x1b[C", "Capo 3, G shapes: Lanterns at Millpond, Verse"),
        ("\x1b[6~", "Capo 3, G shapes: Lanterns at Millpond, Chorus"),
        ("\x1b[D", "Capo 3, G shapes: Lanterns at Millpond, Verse"),
        ("\x1b[B", "Capo 4, A shapes: Ferry in the Fog"),
        ("8\r", "No capo, A shapes: Seven Lamps"),
        ("u", "Capo 4, A shapes: Ferry in the Fog"),
        ("\x1b[A", OPENING),
    ] {
        show.type_keys(keys);
        show.until_title(title);
    }
}

#[test]
fn a_key_after_a_resize_is_heard() {
    let mut show = Show::open(SIZE);
    show.type_keys(" ");
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Intro");
    show.resize((90, 30));
    show.settle();
    show.type_keys(" ");
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Verse");
}

/// Alt and a bracket send the beginning of a sequence, and a noisy line what you like.
#[test]
fn half_a_key_does_not_keep_the_program_from_ending() {
    for half in ["\x1b[", "\x1b[<0;", "\x1bO"] {
        let mut show = Show::open(SIZE);
        show.type_keys(" ");
        show.until_title("Capo 3, G shapes: Lanterns at Millpond, Intro");
        show.type_keys(half);
        show.settle();
        show.signal("TERM");
        assert_eq!(show.until_ended().code(), Some(0), "{half:?}");
    }
}

/// What a program before us has asked the terminal for may come late, and a sequence may be cut.
#[test]
fn a_strange_report_makes_no_key_unheard() {
    let mut show = Show::open(SIZE);
    for (report, section) in [
        ("\x1b[?997;1n", "Intro"),
        ("\x1b[<0;1;1", "Verse"),
        ("\x1b]11;rgb:0", "Chorus"),
    ] {
        show.type_keys(report);
        // Longer than a terminal takes over one sequence.
        show.settle();
        show.settle();
        show.settle();
        show.type_keys(" ");
        show.until_title(&format!("Capo 3, G shapes: Lanterns at Millpond, {section}"));
    }
}

#[test]
fn quitting_by_keys_asks_once_and_gives_the_terminal_back() {
    let mut show = Show::open(SIZE);
    show.assert_taken();
    show.settle();
    let before = show.picture();
    show.type_keys("q");
    show.until("a question", |show| show.picture() != before);
    show.assert_taken();
    show.settle();
    // Not the very same key within the debounce.
    show.type_keys("\x03");
    assert_eq!(show.until_ended().code(), Some(0));
    show.assert_given_back();
}

#[test]
fn a_signal_to_end_gives_the_terminal_back() {
    for signal in ["TERM", "HUP", "INT"] {
        let mut show = Show::open(SIZE);
        step(&mut show, NEXT);
        show.signal(signal);
        assert_eq!(show.until_ended().code(), Some(0), "SIG{signal}");
        show.assert_given_back();
    }
}

#[test]
fn a_stopped_show_gives_the_terminal_back_and_comes_back_right() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.settle();
    let before = show.picture();
    show.signal("TSTP");
    show.until("the stop", |show| show.is_stopped());
    show.settle();
    show.assert_given_back();
    show.signal("CONT");
    show.until("the page again", |show| show.picture() == before);
    show.assert_taken();
    step(&mut show, NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Verse");
}

#[test]
fn a_show_that_a_shell_has_as_a_job_stops_by_key_and_comes_back_when_it_is_in_front_again() {
    // In the background it goes on, and leaves the terminal to the shell.
    for back in ["fg", "bg; read line; fg"] {
        let mut show = Show::open(SIZE).in_a_shell(&format!("\"$@\"; touch \"$HOME/stopped\"; {back}"));
        show.until_title(OPENING);
        show.type_keys(" ");
        show.until_title("Capo 3, G shapes: Lanterns at Millpond, Intro");
        show.settle();
        let before = show.picture();
        show.type_keys("\x1a");
        show.until("the stop", |show| show.path("stopped").exists());
        if back != "fg" {
            show.settle();
            assert!(!show.is_raw(), "the shell's terminal");
            show.type_keys("\n");
        }
        show.until(back, |show| show.is_raw() && show.picture() == before);
        show.type_keys(" ");
        show.until_title("Capo 3, G shapes: Lanterns at Millpond, Verse");
    }
}

#[test]
fn a_stopped_job_that_is_to_end_ends() {
    let mut show = Show::open(SIZE)
        .in_a_shell("\"$@\"; kill -TERM %1; kill -CONT %1; while kill -0 %1; do jobs; sleep 0.05; done; exit 7");
    show.until_title(OPENING);
    show.type_keys("\x1a");
    // The shell's own status: it has waited for the show.
    assert_eq!(show.until_ended().code(), Some(7));
}

/// A terminal that was opened for the show alone has nobody who would have it go on.
#[test]
fn a_show_without_a_shell_goes_on_though_a_key_would_stop_it() {
    let mut show = Show::open(SIZE);
    show.type_keys("\x1a");
    show.until_says("no shell has started this");
    step(&mut show, NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Intro");
}

/// Someone else may have written on it, whatever modes it has.
#[test]
fn what_was_written_over_a_stopped_show_is_drawn_over() {
    let mut show = Show::open(SIZE);
    show.settle();
    let before = show.picture();
    show.signal("STOP");
    show.until("the stop", |show| show.is_stopped());
    show.write_over("\x1b[H\x1b[2Jgarbage");
    assert_ne!(show.picture(), before);
    show.signal("CONT");
    show.until("the page again", |show| show.picture() == before);
}

#[test]
fn a_show_that_was_stopped_from_outside_takes_the_terminal_again() {
    let mut show = Show::open(SIZE);
    show.signal("STOP");
    show.until("the stop", |show| show.is_stopped());
    show.shell_takes_the_terminal();
    show.signal("CONT");
    show.until("a raw terminal", |show| show.is_raw());
    step(&mut show, NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Intro");
}

#[test]
fn escape_puts_away_what_lies_over_the_page() {
    let mut show = Show::open(SIZE);
    show.settle();
    let before = show.picture();
    for key in ["?", "n"] {
        show.type_keys(key);
        show.until(key, |show| show.picture() != before);
        show.settle();
        show.type_keys("\x1b");
        show.until("the page again", |show| show.picture() == before);
    }
}

#[test]
fn a_terminal_that_shrinks_to_one_cell_and_grows_again_shows_the_page() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.settle();
    let before = show.picture();
    for cells in [(1, 1), (20, 6), (3, 60), (300, 2), (1, 1)] {
        show.resize(cells);
    }
    show.tap(NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Verse");
    show.resize(SIZE);
    step(&mut show, BACK);
    show.until("the page as it was", |show| show.picture() == before);
}

#[test]
fn a_window_that_closes_ends_the_show_quietly() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    assert_eq!(show.close_window().code(), Some(0));
}

/// Messages that no binding fits, unfinished ones, SysEx and undefined status bytes, in no order.
#[test]
fn garbage_on_a_port_changes_no_picture_and_takes_no_memory() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.settle();
    let before = show.picture();
    let mut garbage = Garbage(20_261_010);
    let mut send = |show: &mut Show, chunks: usize| {
        for _ in 0..chunks {
            show.send(&garbage.bytes(1000));
        }
    };
    send(&mut show, 200);
    let (resident, at_most) = (show.resident_kb(), 256);
    send(&mut show, 4000);
    show.settle();
    assert!(show.picture() == before, "the picture has changed:\n{}", show.text());
    assert!(
        show.resident_kb() <= resident + at_most,
        "{resident} kB became {} kB",
        show.resident_kb()
    );
    show.send(&[0xF7]);
    step(&mut show, NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Verse");
}

struct Garbage(u64);

impl Garbage {
    /// Data bytes for the most part; no control change, program change, note on 60, clock, Start, song message or
    /// Active Sensing, which would mean something.
    fn bytes(&mut self, count: usize) -> Vec<u8> {
        const STATUS: [u8; 13] = [
            0x83, 0x9F, 0xA0, 0xAE, 0xD1, 0xE7, 0xF0, 0xF0, 0xF1, 0xF4, 0xF5, 0xF7, 0xF9,
        ];
        let mut byte = || match self.number() {
            n if n % 5 == 0 => STATUS[n as usize / 5 % STATUS.len()],
            n => (n % 128) as u8,
        };
        (0..count).map(|_| byte()).collect()
    }

    /// Splitmix64, by Sebastiano Vigna, from memory.
    fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) >> 8
    }
}

#[test]
fn a_pedal_that_is_unplugged_is_taken_again() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.unplug();
    show.settle();
    show.type_keys(" ");
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Verse");
    show.plug_in();
    step(&mut show, NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Chorus");
}

#[test]
fn without_a_terminal_the_stage_says_so_in_a_sentence() {
    let set = concat!(env!("CARGO_MANIFEST_DIR"), "/setlists/harvest-evening.yaml");
    let output = Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(["stage", set])
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), output.stdout.len()), (Some(1), 0), "{said}");
    assert!(said.contains("terminal") && !said.contains('\x1b'), "{said}");
}
