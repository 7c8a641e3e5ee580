//! What the stage takes: the release binary on a pseudo-terminal, pressed by a named pipe, beside a floor.
//!
//! `cargo bench --bench stage -- --quick` for few rounds and a short rest; `--program PATH` measures another build, and
//! `--presses 1000000` counts memory over so many.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench reads the clock, prints, and may fail"
)]

mod cost;
mod figures;
mod load;
#[path = "../measure/mod.rs"]
#[allow(dead_code, reason = "other benches use the rest")]
mod measure;
mod press;
mod process;
mod reader;
mod rest;
mod stall;
mod start;
mod subject;
#[path = "../../tests/stage/terminal.rs"]
#[allow(dead_code, reason = "the tests use the rest")]
mod terminal;

use std::env;
use std::ffi::OsString;
use std::time::Duration;

fn main() {
    let args: Vec<OsString> = env::args_os().skip(1).collect();
    let words: Vec<&str> = args.iter().filter_map(|arg| arg.to_str()).collect();
    match words[..] {
        ["--as-echo"] => return subject::echo(),
        ["--as-load"] => load::spin(),
        ["--as-frame", bytes] => return subject::frame(bytes.parse().expect("a number of bytes")),
        ["--as-press", pedal, journal, bytes] => {
            return subject::press(pedal, journal, bytes.parse().expect("a number of bytes"));
        }
        _ => {}
    }
    if !cfg!(target_os = "linux") {
        println!("the stage is measured on Linux alone, by what its /proc tells");
        return;
    }
    let program = measure::program();
    let presses = match words.iter().position(|word| *word == "--presses") {
        Some(place) => words
            .get(place + 1)
            .and_then(|word| word.parse().ok())
            .expect("`--presses` wants a number"),
        None => 10_000,
    };
    let quick = words.contains(&"--quick");
    press::run(&program, if quick { 40 } else { 200 });
    cost::run(&program, if quick { 40 } else { 200 });
    load::run(&program, if quick { 40 } else { 200 });
    stall::run(&program, if quick { 40 } else { 200 });
    start::run(&program, if quick { 20 } else { 100 });
    rest::burst(&program);
    rest::memory(&program, presses);
    rest::at_rest(&program, Duration::from_secs(if quick { 10 } else { 60 }));
}
