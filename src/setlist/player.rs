//! The players of a set, and what only the first one's own file says: guitar, pedals, screen.

use crate::music::{Family, Fret};
use crate::setlist::{Channel, Seconds, Seven, Spot};
use std::time::Duration;

/// A guitarist as the plan sees one.
#[derive(Clone, Debug, PartialEq)]
pub struct Player {
    /// Empty where neither set nor player file names one.
    pub name: String,
    pub highest_fret: Fret,
    /// In order of liking, at least one, each once.
    pub shapes: Vec<Family>,
    pub seconds_to_move: Seconds,
    pub weights: Weights,
    pub spot: Option<Spot>,
}

/// What each part of the effort weighs, 0 to 1000.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Weights {
    pub r#move: u16,
    pub fret: u16,
    pub dislike: u16,
    pub dull: u16,
}

/// The first player's own things.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rig {
    pub guitar: Guitar,
    pub pedals: PedalSettings,
    pub screen: ScreenSettings,
    pub left_handed: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Guitar {
    pub scale_mm: f64,
    /// From the neck to the bridge, at least one.
    pub pickups: Vec<Pickup>,
    /// The selector's positions in order, at least one.
    pub selector: Vec<Selection>,
    /// Whether a file tells the selector's positions; where none does, `selector` is each pickup alone.
    pub selector_is_told: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Pickup {
    pub name: String,
    /// Millimetres from the bridge saddle.
    pub from_bridge_mm: f64,
}

/// A position of the selector: its name as written (`neck+middle`) and the pickups that sound, as places in
/// `Guitar::pickups`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selection {
    pub name: String,
    pub pickups: Vec<usize>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PedalSettings {
    /// Parts of port names; empty for any.
    pub input: Vec<String>,
    /// A part of a port's name; `None` for no output.
    pub output: Option<String>,
    pub debounce_ms: u32,
    pub hold_ms: u32,
    pub follow_clock: bool,
    /// `None` where the file lists none: the usual switches hold.
    pub switches: Option<Vec<SwitchLine>>,
}

impl PedalSettings {
    /// How long a switch or a key is deaf after a press.
    pub fn debounce(&self) -> Duration {
        Duration::from_millis(self.debounce_ms.into())
    }
}

/// One switch of the file, its actions still in words: `pedal` reads them.
#[derive(Clone, Debug, PartialEq)]
pub struct SwitchLine {
    pub kind: SwitchKind,
    /// `None` for any.
    pub number: Option<Seven>,
    /// `None` for any.
    pub channel: Option<Channel>,
    pub sends: Sends,
    pub press: (String, Spot),
    pub hold: Option<(String, Spot)>,
    pub spot: Spot,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SwitchKind {
    Control,
    Note,
    Program,
}

/// What a switch sends for one press of the foot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sends {
    /// On at the press, off at the release.
    #[default]
    Momentary,
    /// One message a press, on and off in turn.
    Latching,
    /// An on value a press, nothing at the release.
    Single,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScreenSettings {
    /// As written; `screen` knows the themes' names.
    pub theme: Option<String>,
    /// As written; `screen` knows the kinds of glyph.
    pub glyphs: Option<String>,
    pub distance_m: Option<f64>,
    pub height_mm: Option<f64>,
}

impl Default for Weights {
    fn default() -> Weights {
        Weights {
            r#move: 2,
            fret: 1,
            dislike: 1,
            dull: 1,
        }
    }
}

impl Player {
    /// A player of whom nothing but the name is known.
    pub fn named(name: &str) -> Player {
        Player {
            name: name.into(),
            highest_fret: Fret::OPEN.shifted(4).unwrap_or_default(),
            shapes: vec![Family::G, Family::E, Family::D, Family::A, Family::C],
            seconds_to_move: Seconds::new(10.0).unwrap_or(Seconds::NONE),
            weights: Weights::default(),
            spot: None,
        }
    }
}

impl Player {
    /// The name, or `you` for a player without one.
    pub fn called(&self) -> &str {
        if self.name.is_empty() { "you" } else { &self.name }
    }
}

impl Default for Guitar {
    fn default() -> Guitar {
        let pickup = |name: &str, from_bridge_mm| Pickup {
            name: name.into(),
            from_bridge_mm,
        };
        let alone = |place: usize, name: &str| Selection {
            name: name.into(),
            pickups: vec![place],
        };
        Guitar {
            scale_mm: 648.0,
            pickups: vec![pickup("neck", 162.0), pickup("middle", 98.0), pickup("bridge", 41.0)],
            selector: vec![alone(0, "neck"), alone(1, "middle"), alone(2, "bridge")],
            selector_is_told: false,
        }
    }
}

impl Default for PedalSettings {
    fn default() -> PedalSettings {
        PedalSettings {
            input: Vec::new(),
            output: None,
            debounce_ms: 80,
            hold_ms: 600,
            follow_clock: false,
            switches: None,
        }
    }
}
