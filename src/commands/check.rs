//! `check`: to be built.

use super::{Outcome, Status};
use std::io::Write;

#[derive(clap::Args)]
pub(crate) struct Args {}

pub(crate) fn run(_args: &Args, _out: &mut impl Write) -> Outcome {
    Ok(Status::Wrong)
}
