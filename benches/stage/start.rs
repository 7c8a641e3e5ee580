//! The start: from nothing to the full first page, in turn with a bare process that writes one frame as long.

use crate::figures::{self, Sample};
use crate::reader::Reader;
use crate::subject::{self, NEXT, Scene};
use crate::terminal::Cells;
use std::ffi::OsStr;
use std::thread;
use std::time::{Duration, Instant};

const CELLS: Cells = (80, 24);
/// The most times the bare process that a start may take.
const GOAL: f64 = 4.0;
/// A press is in the journal by then, and the switch hears again.
const WRITTEN: Duration = Duration::from_millis(100);
/// What the window's title of the first page says.
const TITLE: &str = "Lanterns at Millpond";

pub(crate) fn run(program: &OsStr, rounds: usize) {
    let mut reader = Reader::new();
    let page = reader.pictures(&mut Scene::new(80).start(program, CELLS).terminal, 1);
    assert!(
        String::from_utf8_lossy(&page).contains(TITLE),
        "the first picture is not the full first page"
    );
    let length = page.len().to_string();
    let (mut starts, mut backs, mut floors) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..rounds {
        let scene = Scene::new(80);
        let start = Instant::now();
        let mut bare = subject::itself(&["--as-frame", &length], CELLS, scene.path());
        reader.pictures(&mut bare, 1);
        floors.push(start.elapsed());
        drop(bare);

        let start = Instant::now();
        let mut stage = scene.start(program, CELLS);
        reader.pictures(&mut stage.terminal, 1);
        starts.push(start.elapsed());

        // It goes on with a journal now: one that tells of a few presses.
        for press in [NEXT, NEXT, NEXT] {
            reader.press(&mut stage, press);
            thread::sleep(WRITTEN);
        }
        drop(stage);
        let start = Instant::now();
        let mut stage = scene.start(program, CELLS);
        let page = reader.pictures(&mut stage.terminal, 1);
        backs.push(start.elapsed());
        let page = String::from_utf8_lossy(&page);
        assert!(page.contains("Chorus\x07"), "it has not come back: {page}");
    }
    let (columns, rows) = CELLS;
    figures::heading(&format!(
        "From the start to the full first page, {columns} x {rows}, {rounds} rounds in turn"
    ));
    let floor = Sample::new(&floors);
    figures::row("a bare process, one frame (floor)", &floor, &floor, None);
    figures::row("stage", &Sample::new(&starts), &floor, Some(GOAL));
    figures::row("stage, back from a journal", &Sample::new(&backs), &floor, Some(GOAL));
    println!("  the first page: {length} bytes");
    figures::noise(&floors);
}
