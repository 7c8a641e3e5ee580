//! The commands: one file each; each reads its arguments, calls a room and prints.

#![allow(
    clippy::disallowed_methods,
    reason = "an outer room: it reads files, clocks and the environment"
)]
#![allow(clippy::print_stderr, reason = "an outer room: it prints")]

mod answers;
mod asked;
mod check;
mod chord;
mod command_line;
mod completions;
mod ear;
mod examples;
mod import;
mod learn_tell;
mod learn_write;
mod leaving;
mod load;
mod log;
mod looks;
mod manual;
mod new;
mod paper;
mod pedal;
mod pedal_learn;
mod pedal_ports;
mod pedal_watch;
mod pins;
mod plan;
mod progress;
mod rehearse;
mod replace;
mod replay;
mod restart;
mod schema;
mod shapes;
mod sheet;
mod stage;
mod start;
mod terminal;
mod trouble;

use clap::error::{ContextKind, ErrorKind};
use std::io::{self, Write};
use std::process::ExitCode;
pub(crate) use trouble::Trouble;

/// How a command that could run has ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Status {
    /// Exit status 0.
    Fine,
    /// It said what is wrong with the file: exit status 1.
    Wrong,
}

impl Status {
    fn code(self) -> u8 {
        match self {
            Status::Fine => 0,
            Status::Wrong => 1,
        }
    }
}

pub(crate) type Outcome = Result<Status, Trouble>;

/// Runs the command line and decides the exit status: 0 fine, 1 the work failed or a file is wrong, 2 wrong usage.
pub fn main() -> ExitCode {
    let mut out = io::BufWriter::new(io::stdout().lock());
    match command_line::run(&mut out) {
        Ok(outcome) => ended(outcome, out),
        Err(error) => mistyped(&error),
    }
}

/// Help and the version come this way too, and are no mistake.
fn mistyped(error: &clap::Error) -> ExitCode {
    // A standard error that is closed has no reader to tell.
    let _ = error.print();
    let missing = error
        .get(ContextKind::InvalidArg)
        .map(ToString::to_string)
        .unwrap_or_default();
    if error.kind() == ErrorKind::MissingRequiredArgument && missing.contains("<SET>") {
        let hint = match start::newest_set() {
            Some(set) => format!("This folder has the set `{}`.", set.display()),
            None => "`footlights new sunday.yaml` makes a set file to start from.".into(),
        };
        let _ = writeln!(io::stderr(), "hint: {hint}");
    }
    ExitCode::from(error.exit_code() as u8)
}

fn ended(outcome: Outcome, mut out: impl Write) -> ExitCode {
    match outcome.and_then(|status| out.flush().map(|()| status).map_err(Trouble::Output)) {
        Ok(status) => ExitCode::from(status.code()),
        Err(Trouble::Output(error)) if nobody_reads(&error) => ExitCode::SUCCESS,
        Err(Trouble::Output(error)) => fail(&format!("error: could not write the answer: {error}\n"), 1),
        Err(Trouble::Said(text)) => fail(&text, 1),
        Err(Trouble::Usage(text)) => fail(&text, 2),
    }
}

/// A pipe that was closed, or a terminal that is gone: whoever asked has heard enough.
fn nobody_reads(error: &io::Error) -> bool {
    error.kind() == io::ErrorKind::BrokenPipe || error.raw_os_error() == Some(rustix::io::Errno::IO.raw_os_error())
}

fn fail(text: &str, status: u8) -> ExitCode {
    // A standard error that is closed has no reader to tell.
    let _ = io::stderr().write_all(text.as_bytes());
    ExitCode::from(status)
}
