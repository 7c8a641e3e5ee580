//! What a press costs the processor, journal and sync included: at the pace of a foot, where all has gone cold, and faster.

use crate::process;
use crate::reader::Reader;
use crate::subject::{LAST_SONG, Round, Scene};
use crate::terminal::Cells;
use std::ffi::OsStr;
use std::thread;
use std::time::Duration;

const CELLS: Cells = (80, 24);
/// From a press to the next, with the release halfway.
const PACES_MS: [u64; 3] = [120, 30, 5];
const WARM_UP: usize = 24;

pub(crate) fn run(program: &OsStr, presses: usize) {
    let (columns, rows) = CELLS;
    println!(
        "\nProcessor for a press and its release, all threads, {columns} x {rows}, {presses} presses each (goal: 300 us at most)"
    );
    for pace in PACES_MS {
        println!(
            "  every {pace} ms: {:.0} us",
            measure(program, Duration::from_millis(pace), presses)
        );
    }
}

/// In microseconds.
fn measure(program: &OsStr, pace: Duration, presses: usize) -> f64 {
    let mut reader = Reader::new();
    let scene = Scene::new(0);
    let mut stage = scene.start(program, CELLS);
    reader.settle(&mut stage.terminal);
    reader.press(&mut stage, LAST_SONG);
    let pid = stage.terminal.pid();
    let mut walk = Round::new();
    let mut step = |count: usize| {
        for _ in 0..count {
            let (down, up) = walk.press();
            for bytes in [down, up] {
                stage.pedal.send(bytes).expect("the pipe is open");
                thread::sleep(pace / 2);
            }
            reader.pictures(&mut stage.terminal, 1);
        }
    };
    step(WARM_UP);
    let before = process::busy_ns(pid);
    step(presses);
    (process::busy_ns(pid) - before) as f64 / 1e3 / presses as f64
}
