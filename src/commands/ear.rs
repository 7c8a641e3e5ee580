//! `ear`: train the ear to tell the pickup positions apart, render the sounds, name a recording's position.

mod matching;
mod own;
mod quiz;
mod render;
mod score;
mod set;

use super::load::load_player;
use super::{Outcome, Trouble};
use crate::ear::Drill;
use crate::setlist::Rig;
use clap::{Subcommand, ValueEnum};
use std::io::Write;
use std::path::PathBuf;

const MORE: &str = "\
The sounds are made out of your own guitar's measures: they have its pickup places, not its voice. Listen for what is \
hollow, not for what is bright.

Keys 1 to 9 answer, space plays it again, q leaves. Two switches are enough: the one for `back` steps through what can \
be chosen, the one for `next` takes it.

Start low; sound you must raise your voice over is too loud. 85 dB(A), averaged over 8 hours, is hazardous (NIOSH 1998); \
80 dB(A) for 40 hours a week is the most (WHO and ITU H.870).";

#[derive(clap::Args)]
#[command(args_conflicts_with_subcommands = true, after_long_help = MORE)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: Option<What>,
    /// What is asked: name the position, find the odd one out, or the moved one, or say whether two are the same
    #[arg(long, value_enum, default_value = "name")]
    drill: Which,
    /// Ask with the chords of a set, for the positions that its sections call for
    #[arg(long, value_name = "SET", conflicts_with = "own")]
    set: Option<PathBuf>,
    /// Ask with your own recordings: WAV files named after positions
    #[arg(long, value_name = "FOLDER")]
    own: Option<PathBuf>,
    /// The player's file [default: ~/.config/footlights/player.yaml]
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    /// Read MIDI bytes from a device, a serial line or a named pipe; may be given several times
    #[arg(long, value_name = "PATH")]
    raw_midi: Vec<PathBuf>,
    /// Listen to the MIDI ports whose name has this part, instead of those of the player's file
    #[arg(long, value_name = "NAME")]
    port: Vec<String>,
    /// The same seed asks the same questions
    #[arg(long, value_name = "NUMBER")]
    seed: Option<u64>,
    /// Print the score of all answers so far, and ask nothing
    #[arg(long)]
    score: bool,
    /// Print that score as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum Which {
    Name,
    Odd,
    Gap,
    Same,
}

impl Which {
    fn drill(self) -> Drill {
        match self {
            Which::Name => Drill::Name,
            Which::Odd => Drill::Odd,
            Which::Gap => Drill::Gap,
            Which::Same => Drill::Same,
        }
    }
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
        Some(What::Render(args)) => render::run(args, out),
        Some(What::Match(args)) => matching::run(args, out),
        None => quiz::run(args, out),
    }
}

/// The player's own things, from the file named, the usual one, or the built-in ones.
fn rig(named: Option<PathBuf>) -> Result<Rig, Trouble> {
    let (_, rig, _) = load_player(named)?;
    Ok(rig)
}
