//! The binary: reads the command line, runs one command, and alone decides the exit status.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    footlights::commands::main()
}
