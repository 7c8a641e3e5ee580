//! What a sheet takes: the whole process from its start to the file, and how large the file is.
//!
//! `cargo bench --bench sheet -- --program PATH` measures another build.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench reads the clock, prints, and may fail"
)]

#[allow(dead_code, reason = "other benches use the rest")]
mod measure;

use measure::{median, ms, process, program};
use std::ffi::{OsStr, OsString};
use std::fmt::Write;
use std::fs;
use std::path::Path;

/// Each is measured so many times.
const ROUNDS: usize = 15;
const DEMO: &str = "setlists/harvest-evening.yaml";
const PLAYER: &str = "setlists/player.yaml";
const LONG: usize = 40;

fn main() {
    let program = program();
    let folder = tempfile::tempdir().expect("a folder");
    let (out, long) = (folder.path().join("sheet.pdf"), long_set(folder.path()));
    println!("\nA sheet, from the start of the process to the file (median of {ROUNDS})");
    let floor = median(ROUNDS, || process(&program, &["--version".as_ref()]));
    println!("  `footlights --version`, the floor   {:>7.2} ms", ms(floor));
    let sheets: [(&str, &[&OsStr]); 3] = [
        ("sheet keys", &["keys".as_ref()]),
        ("sheet set, the demo set", &["set".as_ref(), DEMO.as_ref()]),
        ("sheet set, 40 songs", &["set".as_ref(), long.as_ref()]),
    ];
    for (name, words) in sheets {
        let mut args: Vec<&OsStr> = vec!["sheet".as_ref()];
        args.extend_from_slice(words);
        args.extend(["--player".as_ref(), PLAYER.as_ref(), "--out".as_ref(), out.as_os_str()]);
        let took = median(ROUNDS, || process(&program, &args));
        let bytes = fs::metadata(&out).expect("the sheet").len() as f64;
        println!("  {name:<34} {:>9.2} ms, {:>4.0} kB", ms(took), bytes / 1000.0);
    }
    println!("  goal: the keys and an evening's set under 150 kB each");
}

/// A set of so many songs, each in one of seven keys.
fn long_set(folder: &Path) -> OsString {
    let mut text = "set: A long evening\nsongs:\n".to_owned();
    for song in 0..LONG {
        let key = ["Bb", "Db", "F#m", "B", "Ab", "G", "Cb"][song % 7];
        writeln!(
            text,
            "- {{ song: Lamp {song}, key: {key}, tempo: 90, sections: {{ Verse: {{ bars: 8, pickup: neck, chords: 1 | 4 | 6- | 5 }}, \
             Chorus: {{ chords: 4 | 1/3 | 5 | 6- }} }} }}"
        )
        .expect("memory suffices");
    }
    let path = folder.join("long.yaml");
    fs::write(&path, text).expect("a file can be written");
    path.into()
}
