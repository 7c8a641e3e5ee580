//! A press while every core is busy with something else, in turn with the floor.

use crate::figures::{self, Sample};
use crate::reader::Reader;
use crate::subject::{self, LAST_SONG, Round, Scene};
use crate::terminal::Cells;
use std::env;
use std::ffi::OsStr;
use std::hint::spin_loop;
use std::process::{Child, Command};
use std::thread;
use std::time::{Duration, Instant};

const CELLS: Cells = (80, 24);
const ROUND: Duration = Duration::from_millis(120);
const WARM_UP: usize = 12;

/// Processes that never wait, one a core, until they are dropped.
struct Load(Vec<Child>);

impl Load {
    fn new() -> Load {
        let cores = thread::available_parallelism().map_or(1, usize::from);
        let program = env::current_exe().expect("this program has a path");
        let spin = |_| {
            Command::new(&program)
                .arg("--as-load")
                .spawn()
                .expect("this program starts anew")
        };
        Load((0..cores).map(spin).collect())
    }
}

impl Drop for Load {
    fn drop(&mut self) {
        for child in &mut self.0 {
            // One that has ended already is no load any more.
            let _ = child.kill().and_then(|()| child.wait());
        }
    }
}

/// The mode `--as-load`: never waits, and never ends.
pub(crate) fn spin() -> ! {
    loop {
        spin_loop();
    }
}

pub(crate) fn run(program: &OsStr, rounds: usize) {
    let mut reader = Reader::new();
    let scene = Scene::new(80);
    let mut stage = scene.start(program, CELLS);
    let mut echo = subject::itself(&["--as-echo"], CELLS, scene.path());
    reader.settle(&mut echo);
    reader.settle(&mut stage.terminal);
    reader.press(&mut stage, LAST_SONG);
    let load = Load::new();
    let (mut floors, mut found, mut walk) = (Vec::new(), Vec::new(), Round::new());
    for round in 0..rounds + WARM_UP {
        let start = Instant::now();
        let floor = reader.ask(&mut echo, |echo| echo.write(b".").expect("the echo hears"));
        let answer = reader.press(&mut stage, walk.press());
        if round >= WARM_UP {
            floors.push(floor.took);
            found.push(answer.took);
        }
        thread::sleep(ROUND.saturating_sub(start.elapsed()));
    }
    let cores = load.0.len();
    drop(load);
    figures::heading(&format!(
        "A section change while all cores ({cores}) are busy, {rounds} rounds in turn (goal: 99 % within 16.7 ms)"
    ));
    let floor = Sample::new(&floors);
    figures::row("echo of a byte (the floor)", &floor, &floor, None);
    figures::row("section change", &Sample::new(&found), &floor, None);
}
