//! At rest, in bulk and in a burst: context switches, memory, and how many pictures twenty presses make.

use crate::process;
use crate::reader::Reader;
use crate::subject::{FIRST_SONG, LAST_SONG, NEXT, Round, Scene};
use crate::terminal::Cells;
use std::ffi::OsStr;
use std::time::Duration;

const LARGE: Cells = (200, 50);
/// What the start sets going has come to rest by then.
const SETTLED: Duration = Duration::from_secs(2);
const BURST: usize = 20;
const BURSTS: usize = 25;

pub(crate) fn at_rest(program: &OsStr, during: Duration) {
    let mut reader = Reader::new();
    let scene = Scene::new(80);
    let mut stage = scene.start(program, (80, 24));
    reader.count_bytes(&mut stage.terminal, SETTLED);
    let pid = stage.terminal.pid();
    let before = process::switches(pid);
    let bytes = reader.count_bytes(&mut stage.terminal, during);
    let switches = process::switches(pid) - before;
    println!(
        "\nAt rest for {} s, a pipe open, {} threads (goal: 0 and 0)",
        during.as_secs(),
        process::threads(pid)
    );
    println!("  context switches {switches}, bytes written {bytes}");
}

/// What is resident after a few presses, and after so many more.
pub(crate) fn memory(program: &OsStr, presses: usize) {
    let mut reader = Reader::new();
    let scene = Scene::new(0);
    let mut stage = scene.start(program, LARGE);
    reader.settle(&mut stage.terminal);
    reader.press(&mut stage, LAST_SONG);
    let pid = stage.terminal.pid();
    let mut walk = Round::new();
    let mut press = |count: usize| {
        for _ in 0..count {
            let (down, up) = walk.press();
            stage.pedal.send(&[down, up].concat()).expect("the pipe is open");
            reader.pictures(&mut stage.terminal, 1);
        }
    };
    press(BURST);
    let (before, own) = (process::resident_kb(pid), process::own_kb(pid));
    press(presses);
    let after = process::resident_kb(pid);
    println!(
        "\nMemory at {} x {} (goal: 6,144 kB at most, growing by 64 kB at most)",
        LARGE.0, LARGE.1
    );
    println!(
        "  resident {before} kB after {BURST} presses, {after} kB after {presses} more: grown by {}, of it {} not mapped from files",
        after as i64 - before as i64,
        process::own_kb(pid) as i64 - own as i64
    );
    println!(
        "  at most {} kB; of it not mapped from files {} kB",
        process::resident_most_kb(pid),
        process::own_kb(pid)
    );
}

pub(crate) fn burst(program: &OsStr) {
    let mut reader = Reader::new();
    let scene = Scene::new(0);
    let mut stage = scene.start(program, (80, 24));
    reader.settle(&mut stage.terminal);
    let presses = [NEXT.0, NEXT.1].concat().repeat(BURST);
    let mut pictures: Vec<usize> = (0..BURSTS)
        .map(|_| {
            stage.pedal.send(&presses).expect("the pipe is open");
            let count = reader.count_pictures(&mut stage.terminal);
            reader.press(&mut stage, FIRST_SONG);
            count
        })
        .collect();
    pictures.sort_unstable();
    println!("\n{BURST} presses in one write, {BURSTS} times (goal: one picture)");
    println!(
        "  pictures: {} (median), {} at most",
        pictures[BURSTS / 2],
        pictures[BURSTS - 1]
    );
}
