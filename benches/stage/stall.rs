//! A disk that stalls: the same presses with the journal's every sync taking 200 ms, in turn with the usual disk.

use crate::figures::{self, Sample};
use crate::reader::Reader;
use crate::subject::{self, LAST_SONG, Round, Scene};
use std::ffi::{OsStr, OsString};
use std::fs;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

/// Stands before the C library's own calls when it is loaded first.
const SLOW_SYNC: &str = r#"
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>
static void wait_200_ms(void) { struct timespec t = { 0, 200000000 }; nanosleep(&t, 0); }
int fsync(int fd) { wait_200_ms(); return syscall(SYS_fsync, fd); }
int fdatasync(int fd) { wait_200_ms(); return syscall(SYS_fdatasync, fd); }
"#;
const CELLS: (u16, u16) = (80, 24);
const ROUND: Duration = Duration::from_millis(120);
const WARM_UP: usize = 12;

pub(crate) fn run(program: &OsStr, rounds: usize) {
    let (usual, mut slow) = (Scene::new(80), Scene::new(80));
    let Some(library) = slow_sync(&slow) else {
        return println!("\nNo C compiler here, so nothing makes a sync slow: a disk that stalls is not measured");
    };
    slow.load_first(library);
    let mut reader = Reader::new();
    let mut stages = [&usual, &slow].map(|scene| scene.start(program, CELLS));
    let mut echo = subject::itself(&["--as-echo"], CELLS, usual.path());
    reader.settle(&mut echo);
    for stage in &mut stages {
        reader.settle(&mut stage.terminal);
        reader.press(stage, LAST_SONG);
    }
    let (mut floors, mut found, mut walk) = (Vec::new(), [Vec::new(), Vec::new()], Round::new());
    for round in 0..rounds + WARM_UP {
        let start = Instant::now();
        let press = walk.press();
        let floor = reader.ask(&mut echo, |echo| echo.write(b".").expect("the echo hears"));
        // Each goes first as often as the other: whoever comes second comes to a machine that is awake.
        for turn in 0..stages.len() {
            let place = (round + turn) % stages.len();
            let answer = reader.press(&mut stages[place], press);
            if round >= WARM_UP {
                found[place].push(answer.took);
            }
        }
        if round >= WARM_UP {
            floors.push(floor.took);
        }
        thread::sleep(ROUND.saturating_sub(start.elapsed()));
    }
    figures::heading(&format!(
        "A section change while every sync takes 200 ms, {rounds} rounds in turn"
    ));
    let floor = Sample::new(&floors);
    figures::row("echo of a byte (the floor)", &floor, &floor, None);
    figures::row("the disk as it is", &Sample::new(&found[0]), &floor, None);
    figures::row("every sync takes 200 ms", &Sample::new(&found[1]), &floor, None);
    figures::noise(&floors);
}

/// The library that makes syncs slow, where a C compiler can make it.
fn slow_sync(scene: &Scene) -> Option<OsString> {
    let (source, library) = (scene.path().join("slow.c"), scene.path().join("slow.so"));
    fs::write(&source, SLOW_SYNC).expect("a file can be written");
    let made = Command::new("cc")
        .args(["-shared", "-fPIC", "-o"])
        .arg(&library)
        .arg(&source)
        .status();
    made.is_ok_and(|status| status.success()).then(|| library.into())
}
