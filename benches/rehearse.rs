//! What the history of a long practice takes to open.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench reads the clock, prints, and may fail"
)]

#[allow(dead_code, reason = "other benches use the rest")]
mod measure;

use footlights::rehearse::History;
use measure::{median, ms, timed};
use std::fmt::Write;
use std::fs;
use std::hint::black_box;

const ROUNDS: usize = 7;
const ANSWERS: usize = 100_000;
/// As many as the sets of a year ask for.
const ITEMS: usize = 2_000;

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rehearse.jsonl");
    let mut text = String::new();
    for number in 0..ANSWERS {
        writeln!(
            text,
            "{{\"at\":{},\"item\":\"move 3 G, palm mute, neck > {} A, arpeggio, middle+bridge\",\"rating\":3,\
             \"seconds\":{}.5,\"due\":{},\"stability\":{}.25,\"difficulty\":5.125,\"reps\":{},\"lapses\":1,\"state\":2}}",
            1_700_000_000 + number,
            number % ITEMS,
            number % 20,
            1_800_000_000 + number,
            number % 90 + 1,
            number / ITEMS + 1,
        )
        .expect("text");
    }
    fs::write(&path, &text).expect("a file");
    let read = median(ROUNDS, || timed(|| drop(black_box(fs::read(&path).expect("the file")))));
    let open = median(ROUNDS, || {
        timed(|| drop(black_box(History::open(&path).expect("the history"))))
    });
    println!(
        "\nThe history of {ANSWERS} answers, {:.1} MB (median of {ROUNDS})",
        text.len() as f64 / 1e6
    );
    println!("  reading its bytes, the floor  {:>8.2} ms", ms(read));
    println!(
        "  opening it                    {:>8.2} ms (goal: under 100 ms)",
        ms(open)
    );
}
