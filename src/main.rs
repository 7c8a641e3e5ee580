//! The binary: hands the command line to the commands, which decide the exit status.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    footlights::commands::main()
}
