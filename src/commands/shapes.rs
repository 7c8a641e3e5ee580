//! `shapes`: a key's seven chords in every family of open shapes that gives it.

mod answer;
mod words;

use super::asked::Given;
use super::load::load_player;
use super::paper::Paper;
use super::{Outcome, Status};
use crate::music::{AskedKey, Family, Fret};
use crate::setlist::Player;
use std::io::Write;
use std::path::PathBuf;

#[derive(clap::Args)]
#[command(after_long_help = MORE)]
pub(crate) struct Args {
    /// The key that sounds: `Bb`, `C#m`, `e flat minor`
    key: String,
    /// The player's file: the highest fret and the families there are to choose from
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
}

/// A paragraph is one line, as the terminal's width is not ours; a table is as narrow as terminals are.
const MORE: &str = "\
Each option is a capo fret and the family whose open shapes then sound in the key. `plain` are the triads; `open` is \
how they ring best; `slash` is how 3 and 7 are mostly played. A minor key has the shapes and numbers of its relative \
major.

With --json:
  {key, asked, options: [{fret, shapes, degrees: [{number, sounds,
      plain: {shape, frets, fingers, midi}, open, slash}]}]}
`slash` is null or has its own number and sounds. `shape` is as fingered, `sounds` and `midi` as heard.";

/// A capo fret, and the family that then gives the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Choice {
    fret: Fret,
    family: Family,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let key = Given {
        name: "KEY",
        text: &args.key,
    };
    let key = key.key()?;
    let (player, rig, _) = load_player(args.player.clone())?;
    let choices = choices(key, &player);
    if args.json {
        answer::write(key, &args.key, &choices, out)?;
    } else {
        words::write(key, &player, &choices, &Paper::new(&rig), out)?;
    }
    Ok(Status::Fine)
}

/// What gives the key on this player's neck with this player's families, from the lowest fret up.
fn choices(key: AskedKey, player: &Player) -> Vec<Choice> {
    let frets = player.highest_fret.up_to();
    let choices = frets.filter_map(|fret| {
        let family = Family::at(fret, key.key())?;
        Some(Choice { fret, family })
    });
    choices
        .filter(|choice| player.shapes.contains(&choice.family))
        .collect()
}
