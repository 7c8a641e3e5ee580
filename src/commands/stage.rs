//! `stage`: the live screen of a set.

use super::load::{Files, Loaded, load, read_and_plan};
use super::restart::{come_back, told_after_a_fault};
use super::terminal::{is_utf8, term};
use super::{Outcome, Status, Trouble};
use crate::pedal::Wanted;
use crate::plan::Planned;
use crate::screen::{ENOUGH_ARC_MINUTES, Glyphs, LEAST_ARC_MINUTES, Look, Screen, Sight, Theme};
use crate::sequencer::{Action, Anew, Sequencer, cue};
use crate::setlist::{PedalSettings, Rig, ScreenSettings, Sources};
use crate::show::{self, Ended, Fresh, Opening, ReadAnew, ShowFiles};
use ratatui::layout::Rect;
use std::io::Write;
use std::path::PathBuf;

#[derive(Clone, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    files: Files,
    /// Read MIDI bytes from a device, a serial line or a named pipe; may be given several times
    #[arg(long, value_name = "PATH")]
    raw_midi: Vec<PathBuf>,
    /// Listen to the MIDI ports whose name has this part, instead of those of the player's file
    #[arg(long, value_name = "NAME")]
    port: Vec<String>,
    /// Start over, where a show of this set broke off less than six hours ago
    #[arg(long)]
    fresh: bool,
    /// dark, light or plain
    #[arg(long, value_name = "THEME", value_parser = theme)]
    theme: Option<Theme>,
    /// auto, letters, halves, quarters, sixths or eighths
    #[arg(long, value_name = "GLYPHS", value_parser = glyphs)]
    glyphs: Option<Choice>,
    /// From how far the screen is read, in metres
    #[arg(long, value_name = "METRES", value_parser = positive)]
    distance: Option<f64>,
    /// How high the screen is, in millimetres
    #[arg(long, value_name = "MM", value_parser = positive)]
    screen_height: Option<f64>,
}

/// A kind of glyph, or the finest that the terminal is known to draw.
#[derive(Clone, Copy)]
enum Choice {
    Auto,
    Glyphs(Glyphs),
}

fn theme(name: &str) -> Result<Theme, String> {
    Theme::parse(name).ok_or_else(|| format!("a theme is {}", names(Theme::ALL.iter().map(|(name, _)| *name))))
}

fn glyphs(name: &str) -> Result<Choice, String> {
    if name == "auto" {
        return Ok(Choice::Auto);
    }
    let known = ["auto"].into_iter().chain(Glyphs::ALL.iter().map(|(name, _)| *name));
    Glyphs::parse(name)
        .map(Choice::Glyphs)
        .ok_or_else(|| format!("glyphs are {}", names(known)))
}

fn positive(text: &str) -> Result<f64, String> {
    let number = text
        .parse()
        .ok()
        .filter(|number: &f64| number.is_finite() && *number > 0.0);
    number.ok_or_else(|| "a number above 0 was expected".into())
}

fn names<'n>(names: impl Iterator<Item = &'n str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}

pub(crate) fn run(args: &Args) -> Outcome {
    let Loaded {
        planned,
        rig,
        bindings,
        notice,
        sources,
    } = load(&args.files)?;
    let Setting { look, wanted, pedals } = setting(args, rig).map_err(said)?;
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
        raw_ports: args.raw_midi.clone(),
        wanted,
        state_folder: state_folder(),
        files: show_files(args, sources),
        fresh: args.fresh,
        fault: told_after_a_fault(),
        notice,
    };
    match show::run(opening).map_err(|error| said(error.to_string()))? {
        Ended::Left => Ok(Status::Fine),
        Ended::Broke(words) => Err(come_back(&words)),
    }
}

/// What the player's file and the arguments say together.
struct Setting {
    look: Look,
    wanted: Wanted,
    pedals: PedalSettings,
}

fn setting(args: &Args, rig: Rig) -> Result<Setting, String> {
    let look = Look {
        theme: choose_theme(args.theme, &rig.screen)?,
        glyphs: choose_glyphs(args.glyphs, &rig.screen)?,
        guitar: rig.guitar,
        left_handed: rig.left_handed,
        sight: sight(args, &rig.screen),
    };
    let inputs = if args.port.is_empty() {
        rig.pedals.input.clone()
    } else {
        args.port.clone()
    };
    let wanted = Wanted {
        inputs,
        output: rig.pedals.output.clone(),
    };
    let pedals = rig.pedals;
    Ok(Setting { look, wanted, pedals })
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
    let Setting { look, wanted, pedals } = setting(args, loaded.rig)?;
    Ok(Fresh {
        anew: Anew::new(loaded.planned),
        bindings: loaded.bindings,
        pedals,
        look,
        wanted,
    })
}

/// The look of whoever asks nothing of it on the command line.
pub(super) fn plain_look(rig: &Rig) -> Result<Look, String> {
    Ok(Look {
        theme: choose_theme(None, &rig.screen)?,
        glyphs: choose_glyphs(None, &rig.screen)?,
        guitar: rig.guitar.clone(),
        left_handed: rig.left_handed,
        sight: None,
    })
}

fn choose_theme(asked: Option<Theme>, settings: &ScreenSettings) -> Result<Theme, String> {
    if let Some(theme) = asked {
        return Ok(theme);
    }
    let no_colour = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    if no_colour || term() == "dumb" {
        return Ok(Theme::Plain);
    }
    settings.theme.as_deref().map_or(Ok(Theme::default()), theme)
}

fn choose_glyphs(asked: Option<Choice>, settings: &ScreenSettings) -> Result<Glyphs, String> {
    let settings = settings.glyphs.as_deref().map(glyphs).transpose()?;
    match asked.or(settings) {
        Some(Choice::Glyphs(glyphs)) => Ok(glyphs),
        Some(Choice::Auto) | None => Ok(Glyphs::for_terminal(&term(), is_utf8())),
    }
}

fn said(words: String) -> Trouble {
    Trouble::Said(format!("error: {words}\n"))
}

/// From where the screen is read, where both distance and height are known.
fn sight(args: &Args, settings: &ScreenSettings) -> Option<Sight> {
    let distance_m = args.distance.or(settings.distance_m)?;
    let height_mm = args.screen_height.or(settings.height_mm)?;
    Some(Sight { distance_m, height_mm })
}

/// Says what each of the most important words reaches for the eye, on the first gap page and the first step.
fn tell_legibility(planned: &Planned, screen: &mut Screen, sight: Sight) -> Result<(), Trouble> {
    let Ok(size) = rustix::termios::tcgetwinsize(std::io::stdout()) else {
        return Ok(());
    };
    let size = Rect::new(0, 0, size.ws_col.clamp(1, 500), size.ws_row.clamp(1, 200));
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
        "{ENOUGH_ARC_MINUTES} are wanted, {LEAST_ARC_MINUTES} are the least"
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
