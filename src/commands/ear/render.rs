//! `ear render`: WAV files for any player, each with its key.

use super::rig;
use crate::commands::progress::Progress;
use crate::commands::replace::because;
use crate::commands::{Outcome, Status, Trouble};
use crate::ear::{Instrument, Material, Phrase, Position, Rendered, Seed, choices, write_wav, write_whole};
use crate::music::Fret;
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The folder to write to; it is made where it is not there
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// The player's file, for the guitar's measures [default: ~/.config/footlights/player.yaml]
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    /// The capo's fret
    #[arg(long, value_name = "FRET", default_value = "0", value_parser = fret)]
    capo: Fret,
    /// Another seed plays everything a little differently; the same one gives the same bytes
    #[arg(long, value_name = "NUMBER", default_value = "1")]
    seed: u64,
    /// Print the files written as a JSON list
    #[arg(long)]
    json: bool,
}

/// A file written, in the JSON list.
#[derive(Serialize)]
struct Entry {
    file: String,
    key: String,
    phrase: &'static str,
    position: String,
}

pub(super) fn fret(text: &str) -> Result<Fret, String> {
    let number: i64 = text
        .parse()
        .map_err(|_| format!("a capo fret is 0 (no capo) to 11, not `{text}`"))?;
    Fret::new(number).map_err(|error| error.to_string())
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let instrument = Instrument::of(&rig(args.player.clone())?.guitar);
    let material = Material::new(Vec::new(), args.capo);
    std::fs::create_dir_all(&args.out).map_err(|error| cannot_write(&args.out, &error))?;
    let positions: Vec<&Position> = instrument.positions.iter().collect();
    let mut progress = Progress::new("rendering", Phrase::LADDER.len());
    let mut entries = Vec::new();
    for (number, phrase) in (0..).zip(Phrase::LADDER) {
        let seed = Seed::new(args.seed).part(number);
        for rendered in choices(phrase, &material, &instrument, &positions, seed) {
            entries.push(write(&args.out, &rendered)?);
        }
        progress.step();
    }
    drop(progress);
    if args.json {
        serde_json::to_writer(&mut *out, &entries).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        let (count, folder) = (entries.len(), args.out.display());
        writeln!(out, "{count} sounds in {folder}, each with its key beside it (.json).")?;
        writeln!(out, "They have your guitar's pickup places, not its voice.")?;
        writeln!(out, "Start low; sound you must raise your voice over is too loud.")?;
    }
    Ok(Status::Fine)
}

fn write(folder: &Path, rendered: &Rendered) -> Result<Entry, Trouble> {
    let name = rendered.name();
    let (wav, key) = (folder.join(format!("{name}.wav")), folder.join(format!("{name}.json")));
    let json = serde_json::to_vec(&rendered.key).map_err(std::io::Error::from)?;
    write_wav(&wav, rendered.key.rate, &rendered.samples).map_err(|error| cannot_write(&wav, &error))?;
    write_whole(&key, &json).map_err(|error| cannot_write(&key, &error))?;
    Ok(Entry {
        file: wav.display().to_string(),
        key: key.display().to_string(),
        phrase: rendered.phrase.name(),
        position: rendered.position.clone(),
    })
}

fn cannot_write(path: &Path, error: &std::io::Error) -> Trouble {
    Trouble::with(path.display(), because(error))
}
