//! `rehearse`: drills the changes of a set, or reports how the practice stands.

mod report;
mod seconds;

use super::leaving::{uncut, when_asked_to_end};
use super::load::{Files, Loaded, load};
use super::looks::{Setting, ShowArgs, setting};
use super::paper::Paper;
use super::stage::state_folder;
use super::{Outcome, Status, Trouble};
use crate::rehearse::{History, items};
use crate::screen::Screen;
use crate::show::{self, Doors, Ended, Sitting};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

#[derive(clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    files: Files,
    #[command(flatten)]
    show: ShowArgs,
    /// Do not drill: say what is known, what is shaky, and how the times fell
    #[arg(long)]
    report: bool,
    /// Print the report as JSON
    #[arg(long, requires = "report")]
    json: bool,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let loaded = load(&args.files)?;
    let path = history_path()?;
    if args.report {
        tell(args, &loaded, &path, out)
    } else {
        drill(args, loaded, &path, out)
    }
}

fn tell(args: &Args, loaded: &Loaded, path: &Path, out: &mut impl Write) -> Outcome {
    let memory = History::read(path).map_err(|error| no_history(path, &error))?;
    let report = crate::rehearse::report(&items(&loaded.planned), &memory, now());
    if args.json {
        report::json(&loaded.planned.set, &report, out)?;
    } else {
        let ascii = Paper::new(&loaded.rig).ascii;
        report::table(&loaded.planned.set, &report, now(), ascii, out)?;
    }
    Ok(Status::Fine)
}

fn drill(args: &Args, loaded: Loaded, path: &Path, out: &mut impl Write) -> Outcome {
    let (history, memory) = History::open(path).map_err(|error| no_history(path, &error))?;
    let Setting { look, wanted, pedals } = setting(&args.show, loaded.rig).map_err(Trouble::said)?;
    let sitting = Sitting {
        items: items(&loaded.planned),
        planned: loaded.planned,
        memory,
        history,
        bindings: loaded.bindings,
        pedals,
        screen: Screen::new(look),
        doors: Doors {
            raw_ports: args.show.raw_midi.clone(),
            wanted,
        },
        state_folder: state_folder(),
    };
    when_asked_to_end(Status::Fine, || ())?;
    // All that is to be kept is kept before a word is printed, for which a terminal may make us wait.
    let (score, written) = uncut(|| {
        let (ended, score) = show::rehearse(sitting).map_err(Trouble::said)?;
        if let Ended::Broke(words) = ended {
            return Err(Trouble::said(format!(
                "a fault in Footlights ended the practice: {words}; all answers are kept"
            )));
        }
        let written = score
            .seconds_to_move
            .map(|seconds| seconds::write(&args.files, seconds));
        Ok((score, written))
    })?;
    writeln!(out, "{} of {} right", score.right, score.asked)?;
    if let Some(written) = written {
        out.write_all(written?.as_bytes())?;
    }
    Ok(Status::Fine)
}

fn history_path() -> Result<PathBuf, Trouble> {
    let folder = state_folder().map(|folder| folder.join("rehearse.jsonl"));
    folder.ok_or_else(|| {
        Trouble::said("there is no folder for the history").hint("Set HOME, or XDG_STATE_HOME to a whole path.")
    })
}

fn no_history(path: &Path, error: &std::io::Error) -> Trouble {
    Trouble::with(path.display(), format!("the history cannot be used: {error}"))
}

/// Seconds since 1970, by the wall's clock.
fn now() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| i64::try_from(since.as_secs()).unwrap_or_default())
}
