//! What a press costs the processor, journal and sync included: at the pace of a foot, where all has gone cold, and faster,
//! to one press at the heels of another.
//! Beside it stands what a bare press costs, which reads, writes and syncs as much and does nothing else.

use crate::process;
use crate::reader::Reader;
use crate::subject::{LAST_SONG, Round, Scene, Stage, itself};
use crate::terminal::{Cells, Pedal};
use std::ffi::OsStr;
use std::path::Path;
use std::thread;
use std::time::Duration;

const CELLS: Cells = (80, 24);
/// From a press to the next, with the release halfway; 0 where the next comes as soon as the page is there.
const PACES_MS: [u64; 4] = [120, 30, 5, 0];
const WARM_UP: usize = 24;
/// What the picture of a section change takes at this size.
const PICTURE_BYTES: usize = 2150;

pub(crate) fn run(program: &OsStr, presses: usize) {
    let (columns, rows) = CELLS;
    println!(
        "\nProcessor for a press and its release, all threads, {columns} x {rows}, {presses} presses each (goal: 300 us at most)"
    );
    for pace in PACES_MS {
        let folders = [Scene::new(0), Scene::new(0)];
        let subjects = [folders[0].start(program, CELLS), bare(folders[1].path())];
        let [stage, bare] = subjects.map(|subject| measure(subject, Duration::from_millis(pace), presses));
        let pace = match pace {
            0 => "at once".to_owned(),
            ms => format!("every {ms} ms"),
        };
        println!(
            "  {pace}: {stage:.0} us; a bare press {bare:.0} us, {:.2} times that",
            stage / bare
        );
    }
}

fn bare(folder: &Path) -> Stage {
    let pedal = Pedal::new(folder).expect("a named pipe can be made");
    let journal = folder.join("bare");
    let [path, journal] = [Path::new(pedal.path()), &journal].map(|path| path.to_str().expect("a plain path"));
    let mode = ["--as-press", path, journal, &PICTURE_BYTES.to_string()];
    Stage {
        terminal: itself(&mode, CELLS, folder),
        pedal,
    }
}

/// In microseconds.
fn measure(mut stage: Stage, pace: Duration, presses: usize) -> f64 {
    let mut reader = Reader::new();
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
