//! `stage`: the live screen of a set.

use super::load::{Files, Loaded, load, read_and_plan};
use super::looks::{Setting, ShowArgs, setting};
use super::restart::{come_back, told_after_a_fault};
use super::{Outcome, Status, Trouble};
use crate::plan::{Planned, findings};
use crate::screen::{ENOUGH_ARC_MINUTES, LEAST_ARC_MINUTES, MOST_COLUMNS, MOST_ROWS, Screen, Sight};
use crate::sequencer::{Action, Anew, Sequencer, cue};
use crate::setlist::{Finding, Rule, Sources};
use crate::show::{self, Doors, Ended, Fresh, Opening, ReadAnew, ShowFiles};
use ratatui::layout::Rect;
use std::io::Write;
use std::path::PathBuf;

#[derive(Clone, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    files: Files,
    #[command(flatten)]
    show: ShowArgs,
    /// Start over, where a show of this set broke off less than six hours ago
    #[arg(long)]
    fresh: bool,
}

pub(crate) fn run(args: &Args) -> Outcome {
    let Loaded {
        planned,
        rig,
        bindings,
        notice,
        sources,
    } = load(&args.files)?;
    let Setting { look, wanted, pedals } = setting(&args.show, rig).map_err(Trouble::said)?;
    let mut screen = Screen::new(look);
    if let Some(sight) = screen.look().sight {
        tell_legibility(&planned, &mut screen, sight)?;
    }
    let opening = Opening {
        set: args.files.set.clone(),
        planned,
        bindings,
        pedals,
        screen,
        doors: Doors {
            raw_ports: args.show.raw_midi.clone(),
            wanted,
        },
        state_folder: state_folder(),
        files: show_files(args, sources),
        fresh: args.fresh,
        fault: told_after_a_fault(),
        notice,
    };
    match show::run(opening).map_err(Trouble::said)? {
        Ended::Left => Ok(Status::Fine),
        Ended::Broke(words) => Err(come_back(&words)),
    }
}

/// The files that the show watches while it runs, and the way to read them anew.
fn show_files(args: &Args, sources: Sources) -> ShowFiles {
    let args = args.clone();
    // Where its folder is missing, too, the usual player's file is not waited for: other programs' folders are restless.
    let awaited = args.files.awaited_player();
    let read = move || match read_and_plan(&args.files) {
        Ok(loaded) => {
            let sources = loaded.sources.clone();
            let result = fresh(&args, loaded);
            ReadAnew { result, sources }
        }
        Err(report) => ReadAnew {
            result: Err(report.first_error().unwrap_or_default()),
            sources: report.sources,
        },
    };
    ShowFiles {
        sources,
        awaited,
        read: Box::new(read),
    }
}

fn fresh(args: &Args, loaded: Loaded) -> Result<Fresh, String> {
    let Setting { look, wanted, pedals } = setting(&args.show, loaded.rig)?;
    let unplayable = |finding: &Finding| finding.rule == Rule::UnplayableKey;
    let but = findings(&loaded.planned).into_iter().find(unplayable);
    Ok(Fresh {
        but: but.map(|finding| finding.message),
        anew: Anew::new(loaded.planned),
        bindings: loaded.bindings,
        pedals,
        look,
        wanted,
    })
}

/// Says what each of the most important words reaches for the eye, on the first gap page and the first step.
fn tell_legibility(planned: &Planned, screen: &mut Screen, sight: Sight) -> Result<(), Trouble> {
    let Ok(size) = rustix::termios::tcgetwinsize(std::io::stdout()) else {
        return Ok(());
    };
    let size = Rect::new(
        0,
        0,
        size.ws_col.clamp(1, MOST_COLUMNS),
        size.ws_row.clamp(1, MOST_ROWS),
    );
    let mut out = std::io::stdout().lock();
    let (width, height) = (size.width, size.height);
    writeln!(
        out,
        "{width} x {height} cells, {} mm high, read from {} m:",
        sight.height_mm, sight.distance_m
    )?;
    let mut sequencer = Sequencer::open(planned);
    for page in ["gap page", "section page"] {
        let cue = cue(planned, sequencer.state());
        for (what, reached) in screen.legibility(&cue, size, sight) {
            let verdict = match reached {
                reached if reached >= ENOUGH_ARC_MINUTES => "",
                reached if reached >= LEAST_ARC_MINUTES => ": small",
                _ => ": too small",
            };
            writeln!(out, "  {page:<12}  {what:<10} {reached:>4.0} minutes of arc{verdict}")?;
        }
        // A first song without steps has no section page to tell of.
        let _ = sequencer.apply(planned, &Action::Next);
    }
    writeln!(
        out,
        "minutes of arc tell how large a letter looks from there: {ENOUGH_ARC_MINUTES} are wanted, {LEAST_ARC_MINUTES} are the least"
    )?;
    Ok(())
}

/// `$XDG_STATE_HOME/footlights`, by default in `$HOME/.local/state`; a relative variable counts as unset.
pub(crate) fn state_folder() -> Option<PathBuf> {
    let absolute = |name| {
        std::env::var_os(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    let state = absolute("XDG_STATE_HOME").or_else(|| absolute("HOME").map(|home| home.join(".local/state")))?;
    Some(state.join("footlights"))
}
