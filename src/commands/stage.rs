//! `stage`: the live screen.

use super::{Outcome, Status};

#[derive(clap::Args)]
pub(crate) struct Args {}

pub(crate) fn run(_args: &Args) -> Outcome {
    Ok(Status::Wrong)
}
