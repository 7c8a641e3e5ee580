//! A press: from a MIDI message in the named pipe to the last byte of the new page, in turn with the floor and `less`.

use crate::figures::{self, Sample};
use crate::process;
use crate::reader::{Answer, Reader};
use crate::subject::{self, FIRST_SONG, LAST_SONG, Round, Scene, Stage};
use crate::terminal::{Cells, Terminal};
use std::ffi::OsStr;
use std::thread;
use std::time::{Duration, Instant};

/// Sizes, each with the most times the floor that a section change may take there.
const SIZES: [(Cells, Option<f64>); 3] = [((80, 24), Some(2.8)), ((120, 40), None), ((200, 50), Some(5.0))];
/// As a player has it.
const DEBOUNCE_MS: u32 = 80;
/// Rounds are no faster than a foot that the debounce lets pass.
const ROUND: Duration = Duration::from_millis(120);
/// Rounds before anything is counted, so that each section has been drawn.
const WARM_UP: usize = 12;

/// What came of one size, round by round.
#[derive(Default)]
struct Rounds {
    floors: Vec<Duration>,
    changes: Vec<Answer>,
    turns: Vec<Answer>,
    gaps: Vec<Answer>,
    writes: u64,
    busy_ns: u64,
}

pub(crate) fn run(program: &OsStr, rounds: usize) {
    for (cells, goal) in SIZES {
        print(cells, goal, &measure(program, cells, rounds));
    }
}

fn measure(program: &OsStr, cells: Cells, rounds: usize) -> Rounds {
    let mut reader = Reader::new();
    let scene = Scene::new(DEBOUNCE_MS);
    let mut stage = scene.start(program, cells);
    let mut echo = ready_echo(&mut reader, cells, &scene);
    let mut less = subject::less(cells, scene.path(), rounds + WARM_UP + 2);
    reader.settle(&mut stage.terminal);
    less.iter_mut().for_each(|less| reader.settle(less));
    reader.press(&mut stage, LAST_SONG);
    let mut found = Rounds::default();
    let mut walk = Round::new();
    for round in 0..rounds + WARM_UP {
        let start = Instant::now();
        if round == WARM_UP {
            found = Rounds {
                writes: process::writes(stage.terminal.pid()),
                busy_ns: process::busy_ns(stage.terminal.pid()),
                ..Rounds::default()
            };
        }
        found.floors.push(
            reader
                .ask(&mut echo, |echo| echo.write(b".").expect("the echo hears"))
                .took,
        );
        found.changes.push(reader.press(&mut stage, walk.press()));
        let turn = |less: &mut Terminal| reader.ask(less, |less| less.write(b" ").expect("less hears"));
        found.turns.extend(less.iter_mut().map(turn));
        thread::sleep(ROUND.saturating_sub(start.elapsed()));
    }
    found.writes = process::writes(stage.terminal.pid()) - found.writes;
    found.busy_ns = process::busy_ns(stage.terminal.pid()) - found.busy_ns;
    found.gaps = gap_pages(&mut reader, &mut stage, rounds.div_ceil(4));
    found
}

/// From the first song to the last and back, where the page differs most.
fn gap_pages(reader: &mut Reader, stage: &mut Stage, rounds: usize) -> Vec<Answer> {
    (0..rounds)
        .map(|round| {
            thread::sleep(ROUND);
            reader.press(stage, if round % 2 == 0 { FIRST_SONG } else { LAST_SONG })
        })
        .collect()
}

fn print(cells: Cells, goal: Option<f64>, found: &Rounds) {
    let rounds = found.changes.len();
    let (columns, rows) = cells;
    figures::heading(&format!(
        "From a MIDI message to the last byte of the page, {columns} x {rows}, {rounds} rounds in turn"
    ));
    let floor = Sample::new(&found.floors);
    figures::row("echo of a byte (the floor)", &floor, &floor, None);
    figures::row("section change", &times(&found.changes), &floor, goal);
    if found.turns.is_empty() {
        println!("  `less` is not on this machine, so nothing says what its page would take");
    } else {
        figures::row("less turns a page", &times(&found.turns), &floor, None);
    }
    figures::row("gap page of another song", &times(&found.gaps), &floor, None);
    sizes("a section change", &found.changes);
    sizes("a gap page", &found.gaps);
    if !found.turns.is_empty() {
        sizes("a page of less", &found.turns);
    }
    println!(
        "  write calls for a section change, all threads: {:.2}",
        found.writes as f64 / rounds as f64
    );
    println!(
        "  processor for a press and its release, all threads: {:.0} us (goal: 300 at most at 80 x 24)",
        found.busy_ns as f64 / 1e3 / rounds as f64
    );
    figures::noise(&found.floors);
}

/// The echo with its first byte read, which says that its terminal is raw.
fn ready_echo(reader: &mut Reader, cells: Cells, scene: &Scene) -> Terminal {
    let mut echo = subject::itself(&["--as-echo"], cells, scene.path());
    reader.settle(&mut echo);
    echo
}

fn times(answers: &[Answer]) -> Sample {
    Sample::new(&answers.iter().map(|answer| answer.took).collect::<Vec<_>>())
}

fn sizes(name: &str, answers: &[Answer]) {
    let (bytes, bytes_most) = figures::median_and_most(answers.iter().map(|answer| answer.bytes));
    let (reads, reads_most) = figures::median_and_most(answers.iter().map(|answer| answer.reads));
    println!("  {name}: {bytes} bytes (at most {bytes_most}) in {reads} read(s) (at most {reads_most})");
}
