//! `plan`: the capo plan as a table with its reasons, as JSON, or written into the set as pins.

mod answer;
mod table;

use super::load::{Files, Loaded, load};
use super::{Outcome, Status, pins};
use std::io::Write;

#[derive(clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    files: Files,
    /// Print the plan as JSON
    #[arg(long)]
    json: bool,
    /// Pin the plan in the set file, keeping all else in it as it is
    #[arg(long)]
    write: bool,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let Loaded { planned, .. } = load(&args.files)?;
    let written = args.write && pins::write(&args.files, &planned)?;
    if args.json {
        answer::write(&planned, out)?;
        return Ok(Status::Fine);
    }
    table::write(&planned, out)?;
    if args.write {
        let what = if written { "pinned in" } else { "already pinned in" };
        writeln!(out, "\n{what} {}", args.files.set.display())?;
    }
    Ok(Status::Fine)
}
