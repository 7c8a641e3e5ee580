//! `sheet`: the keys and shapes, or a set, on paper as PDF.

use super::load::{Files, Loaded, load, load_player};
use super::replace::{because, put};
use super::{Outcome, Status, Trouble};
use crate::sheet::{self, Paper, Sheet};
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    /// Every key: each fret and family that gives it, with their seven chords as diagrams
    Keys(Keys),
    /// A set as the first player will play it: a page for the floor, then song by song
    Set(OfSet),
}

#[derive(clap::Args)]
struct Keys {
    /// The player's file [default: ~/.config/footlights/player.yaml]
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    #[command(flatten)]
    to: To,
}

#[derive(clap::Args)]
struct OfSet {
    #[command(flatten)]
    files: Files,
    #[command(flatten)]
    to: To,
}

#[derive(clap::Args)]
struct To {
    /// Where the PDF is written; by default beside the set, or to `keys.pdf`
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// What it is printed on
    #[arg(long, value_enum, default_value_t = PaperName::A4)]
    paper: PaperName,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum PaperName {
    A4,
    Letter,
}

/// What every PDF begins with.
const PDF: &[u8] = b"%PDF-";
const KEYS: &str = "keys.pdf";

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let (to, beside, made) = match &args.what {
        What::Keys(keys) => {
            let (player, rig, _) = load_player(keys.player.clone())?;
            (
                &keys.to,
                PathBuf::from(KEYS),
                sheet::keys(&player, &rig, keys.to.paper()),
            )
        }
        What::Set(of) => {
            let Loaded { planned, rig, .. } = load(&of.files)?;
            let beside = of.files.set.with_extension("pdf");
            (&of.to, beside, sheet::set(&planned, &rig, of.to.paper()))
        }
    };
    let made = made.map_err(Trouble::said)?;
    let path = to.out.as_deref().unwrap_or(&beside);
    write(path, &made)?;
    writeln!(out, "wrote {}", path.display())?;
    Ok(Status::Fine)
}

impl To {
    fn paper(&self) -> Paper {
        match self.paper {
            PaperName::A4 => Paper::A4,
            PaperName::Letter => Paper::Letter,
        }
    }
}

/// Writes the file whole, and says which letters it lacks.
fn write(path: &Path, made: &Sheet) -> Result<(), Trouble> {
    let wrong = |why: &str| Trouble::with(path.display(), why);
    let failed = |error: io::Error| wrong(&because(&error)).hint("Nothing was changed.");
    if !may_replace(path).map_err(failed)? {
        let why = "this file is no PDF, and so it is not replaced";
        return Err(wrong(why).hint("Name another with `--out FILE`."));
    }
    put(path, &made.pdf).map_err(failed)?;
    if !made.lacking.is_empty() {
        let letters = made.lacking.iter().map(|letter| format!("`{}`", letter.escape_debug()));
        let letters = letters.collect::<Vec<_>>().join(" ");
        eprintln!(
            "{}: warning: the sheet's fonts lack {letters}: `?` stands there",
            path.display()
        );
    }
    Ok(())
}

/// Whether nothing is lost by writing there: there is no file yet, an empty one, or a PDF.
fn may_replace(path: &Path) -> io::Result<bool> {
    match fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(true),
        Err(error) => return Err(error),
        Ok(there) if !there.is_file() => return Ok(false),
        Ok(_) => {}
    }
    let mut begin = Vec::new();
    File::open(path)?.take(PDF.len() as u64).read_to_end(&mut begin)?;
    Ok(begin.is_empty() || begin == PDF)
}
