//! `ear`: train the ear to tell the pickup positions apart, render the sounds, name a recording's position.

mod matching;
mod render;

use super::load::player_file;
use super::{Outcome, Trouble};
use crate::setlist::{self, Report, Rig};
use clap::Subcommand;
use std::io::Write;
use std::path::PathBuf;

#[derive(clap::Args)]
#[command(args_conflicts_with_subcommands = true)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Write each phrase at each position as a WAV file, with a JSON key beside it
    Render(render::Args),
    /// Name the position that a clean recording of single notes most resembles, or say that it cannot be told
    Match(matching::Args),
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    match &args.what {
        What::Render(args) => render::run(args, out),
        What::Match(args) => matching::run(args, out),
    }
}

/// The player's own things, from the file named, the usual one, or the built-in ones.
fn rig(named: Option<PathBuf>) -> Result<Rig, Trouble> {
    let said = |report: Report| Trouble::Said(report.errors().to_string());
    match player_file(named) {
        Some(path) => Ok(setlist::read_player_file(&path).map_err(said)?.1),
        None => Ok(Rig::default()),
    }
}
