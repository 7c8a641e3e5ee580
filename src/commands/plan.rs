//! `plan`: the capo plan as a table with its reasons, as JSON, or written into the set as pins.

mod answer;
mod table;

use super::load::{Loaded, load};
use super::{Outcome, Status, pins};
use std::io::Write;
use std::path::PathBuf;

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The set file
    set: PathBuf,
    /// The player's file
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    /// Print the plan as JSON
    #[arg(long)]
    json: bool,
    /// Pin the plan in the set file, keeping all else in it as it is
    #[arg(long)]
    write: bool,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let Loaded { planned, .. } = load(&args.set, args.player.as_deref())?;
    let written = args.write && pins::write(&args.set, args.player.as_deref(), &planned)?;
    if args.json {
        answer::write(&planned, out)?;
        return Ok(Status::Fine);
    }
    table::write(&planned, out)?;
    if args.write {
        let what = if written { "pinned in" } else { "already pinned in" };
        writeln!(out, "\n{what} {}", args.set.display())?;
    }
    Ok(Status::Fine)
}
