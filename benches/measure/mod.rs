//! Whole processes, timed: which program, how long it took, and the middle of several rounds.

use std::env;
use std::ffi::{OsStr, OsString};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The program behind `--program`, else the one that was built with the bench.
pub(crate) fn program() -> OsString {
    let mut words = env::args_os().skip_while(|word| word != "--program");
    match words.next() {
        Some(_) => words.next().expect("`--program` wants a path"),
        None => env!("CARGO_BIN_EXE_footlights").into(),
    }
}

/// From the start of a process to its end, which must be a good one.
pub(crate) fn process(program: &OsStr, args: &[&OsStr]) -> Duration {
    timed(|| {
        let status = Command::new(program).args(args).stdout(Stdio::null()).status();
        assert!(status.expect("the program starts").success(), "{args:?}");
    })
}

pub(crate) fn timed(work: impl FnOnce()) -> Duration {
    let start = Instant::now();
    work();
    start.elapsed()
}

pub(crate) fn median(rounds: usize, measure: impl FnMut() -> Duration) -> Duration {
    let mut times: Vec<Duration> = std::iter::repeat_with(measure).take(rounds).collect();
    times.sort_unstable();
    times[rounds / 2]
}

pub(crate) fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1000.0
}
