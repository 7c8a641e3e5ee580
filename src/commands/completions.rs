//! `completions`: what a shell needs to complete the commands as they are typed.

use super::{Outcome, Status, command_line};
use clap_complete::{Shell, generate};
use std::io::Write;

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The shell that will read them
    shell: Shell,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    // The library panics where it cannot write.
    let mut script = Vec::new();
    generate(args.shell, &mut command_line::whole(), "footlights", &mut script);
    out.write_all(&script)?;
    Ok(Status::Fine)
}
