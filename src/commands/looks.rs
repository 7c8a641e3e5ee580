//! What a command that runs on the terminal is told of its ports and its looks, and what comes of it with the player's file.

use super::terminal::{is_utf8, term};
use crate::pedal::Wanted;
use crate::screen::{Glyphs, Look, Sight, Theme};
use crate::setlist::{PedalSettings, Rig, ScreenSettings};
use std::path::PathBuf;

#[derive(Clone, clap::Args)]
pub(super) struct ShowArgs {
    /// Read MIDI bytes from a device, a serial line or a named pipe; may be given several times
    #[arg(long, value_name = "PATH")]
    pub(super) raw_midi: Vec<PathBuf>,
    /// Listen to the MIDI ports whose name has this part, instead of those of the player's file
    #[arg(long, value_name = "NAME")]
    port: Vec<String>,
    /// The colours: dark, light (for daylight) or plain (none)
    #[arg(long, value_name = "THEME", value_parser = theme)]
    theme: Option<Theme>,
    /// What large words are drawn with: auto, letters, halves, quarters, sixths or eighths
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

/// What the player's file and the arguments say together.
pub(super) struct Setting {
    pub(super) look: Look,
    pub(super) wanted: Wanted,
    pub(super) pedals: PedalSettings,
}

pub(super) fn setting(args: &ShowArgs, rig: Rig) -> Result<Setting, String> {
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

/// The looks of a player's file, for what is given none.
pub(crate) fn plain_look(rig: &Rig) -> Result<Look, String> {
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

/// From where the screen is read, where both distance and height are known.
fn sight(args: &ShowArgs, settings: &ScreenSettings) -> Option<Sight> {
    let distance_m = args.distance.or(settings.distance_m)?;
    let height_mm = args.screen_height.or(settings.height_mm)?;
    Some(Sight { distance_m, height_mm })
}
