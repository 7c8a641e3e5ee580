//! `schema`: the JSON Schema of a set, song or player file.

use super::{Outcome, Status};
use crate::setlist::{FileKind, schema};
use std::io::Write;

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The kind of file
    file: Which,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum Which {
    Set,
    Song,
    Player,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let file = match args.file {
        Which::Set => FileKind::Set,
        Which::Song => FileKind::Song,
        Which::Player => FileKind::Player,
    };
    writeln!(out, "{:#}", schema(file))?;
    Ok(Status::Fine)
}
