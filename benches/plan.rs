//! What a plan takes: the solver on long sets, and the whole process on a set of a long evening.
//!
//! `cargo bench --bench plan -- --program PATH` measures another build.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench reads the clock, prints, and may fail"
)]

mod measure;

use footlights::plan::solve;
use footlights::setlist::read;
use measure::{median, ms, process, program};
use std::ffi::OsString;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

/// Each is measured so many times, in turn with the others.
const ROUNDS: usize = 7;
const LONG: usize = 100_000;
const EVENING: usize = 200;

const KEYS: [&str; 15] = [
    "C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B", "Cb", "F#m", "Bbm",
];
const CHORDS: [&str; 4] = [
    "1 | 4 | 6- | 5",
    "1 | 5/7 | 6- | 4",
    "2- | 5 | 1 | %",
    "6- | 4 | 1 | 1/3",
];

fn main() {
    let program = program();
    let folder = tempfile::tempdir().expect("a folder");
    let [half, whole, double] = [LONG / 2, LONG, LONG * 2].map(|songs| solver(folder.path(), songs));
    println!("\nThe plan of a long set for one player, songs with chords (median of {ROUNDS})");
    for (songs, took) in [(LONG / 2, half), (LONG, whole), (LONG * 2, double)] {
        println!(
            "  {songs:>7} songs {:>9.1} ms, {:.2} times",
            ms(took),
            took.as_secs_f64() / whole.as_secs_f64()
        );
    }
    println!("  goal: about a second for {LONG}, and twice the songs in twice the time");
    let evening = write_set(folder.path(), EVENING, 3);
    let floor = median(ROUNDS, || process(&program, &["--version".as_ref()]));
    let took = median(ROUNDS, || {
        process(&program, &["plan".as_ref(), evening.as_ref(), "--json".as_ref()])
    });
    println!("\nThe whole process (median of {ROUNDS})");
    println!("  `footlights --version`, the floor        {:>9.2} ms", ms(floor));
    println!(
        "  `footlights plan`, {EVENING} songs, 3 players  {:>9.2} ms (goal: milliseconds)",
        ms(took)
    );
}

/// The solver alone: the set has been read before.
fn solver(folder: &Path, songs: usize) -> Duration {
    let set = read(write_set(folder, songs, 1).as_ref(), None)
        .map_err(|report| report.to_string())
        .expect("a good set")
        .set;
    median(ROUNDS, || {
        let start = Instant::now();
        let plan = solve(&set).expect("nothing is pinned");
        let took = start.elapsed();
        drop(plan);
        took
    })
}

/// A set of so many songs and players, its keys, gaps and chords in no order that repeats soon.
fn write_set(folder: &Path, songs: usize, players: usize) -> OsString {
    let names = [
        "Wren",
        "{ name: Sam, highest_fret: 5, shapes: [G, C, D, A] }",
        "{ name: Lark, shapes: [E, A, G] }",
    ];
    let names = names[..players].iter().map(|name| {
        if name.starts_with('{') {
            (*name).to_owned()
        } else {
            format!("{{ name: {name} }}")
        }
    });
    let mut text = format!(
        "set: A long evening\nplayers: [ {} ]\nsongs:\n",
        names.collect::<Vec<_>>().join(", ")
    );
    for song in 0..songs {
        let number = scatter(song as u64);
        let (key, chords) = (KEYS[(number % 15) as usize], CHORDS[(number / 15 % 4) as usize]);
        let gap = number / 60 % 25;
        writeln!(
            text,
            "- {{song: {song}, key: {key}, gap: {gap}, sections: {{V: {{chords: \"{chords}\"}}}}}}"
        )
        .expect("memory suffices");
    }
    let path = folder.join(format!("{songs}-{players}.yaml"));
    fs::write(&path, text).expect("a file can be written");
    path.into()
}

/// The multiplier of Knuth's hashing (from memory), its high bits.
fn scatter(number: u64) -> u64 {
    number.wrapping_mul(11_400_714_819_323_198_485) >> 40
}
