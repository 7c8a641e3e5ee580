//! The tables of a player file, and of a player in a set.

use crate::setlist::shape::Kind::{self, Flag, Group, Number, SevenOrAny, TextOrList, Whole, Word};
use crate::setlist::shape::Ways::{Free, One};
use crate::setlist::shape::{CHANNEL, FRET, NAME, SECONDS, SHAPES, Shape, WEIGHT, list, may, must, one_or_more};

pub(super) static PLAYER: Shape = Shape {
    called: "a player",
    example: "{ name: Wren }",
    fields: &[
        may(
            "name",
            NAME,
            "The player's name; the first player's may stand in the player file.",
        ),
        may("guitar", Group(&GUITAR), GUITAR_SAYS),
        may("highest_fret", FRET, HIGHEST_SAYS),
        may("shapes", SHAPES, SHAPES_SAYS),
        may("seconds_to_move", SECONDS, MOVE_SAYS),
        may("weights", Group(&WEIGHTS), WEIGHTS_SAYS),
    ],
    ways: Free,
};

pub(super) static PLAYER_FILE: Shape = Shape {
    called: "a player file",
    example: "player: Wren",
    fields: &[
        may("player", NAME, "Your name, as sets write it."),
        may("guitar", Group(&GUITAR), GUITAR_SAYS),
        may("highest_fret", FRET, HIGHEST_SAYS),
        may("shapes", SHAPES, SHAPES_SAYS),
        may("seconds_to_move", SECONDS, MOVE_SAYS),
        may("weights", Group(&WEIGHTS), WEIGHTS_SAYS),
        may("pedals", Group(&PEDALS), "The foot switches and their ports."),
        may("screen", Group(&SCREEN), "How the stage looks."),
        may("left_handed", Flag, "Whether the drawn neck is turned round."),
    ],
    ways: Free,
};

const GUITAR_SAYS: &str = "The guitar's measures, pickups and selector.";
const HIGHEST_SAYS: &str = "The highest capo fret; 4 where nothing is said.";
const SHAPES_SAYS: &str = "The families of open shapes played, best liked first.";
const MOVE_SAYS: &str = "Seconds it takes to move the capo; 10 where nothing is said.";
const WEIGHTS_SAYS: &str = "What makes a plan costly, weighed against each other.";

pub(super) static WEIGHTS: Shape = Shape {
    called: "the weights",
    example: "{ move: 2, fret: 1 }",
    fields: &[
        may("move", WEIGHT, "For each move of the capo."),
        may("fret", WEIGHT, "For each fret that the capo is away from the nut."),
        may(
            "dislike",
            WEIGHT,
            "For each place that a family stands down the list of shapes.",
        ),
        may(
            "dull",
            WEIGHT,
            "For each open string short of two in the chords of a song.",
        ),
    ],
    ways: Free,
};

/// The widest that a pickup can lie from the saddle, in millimetres: more than half of any scale.
pub(super) const PICKUP_MM: Kind = Number { from: 1.0, to: 500.0 };

pub(super) static GUITAR: Shape = Shape {
    called: "the guitar",
    example: "{ scale_mm: 648 }",
    fields: &[
        may(
            "scale_mm",
            Number {
                from: 300.0,
                to: 1000.0,
            },
            "Millimetres from the nut to the bridge saddle.",
        ),
        may(
            "pickups",
            Kind::Named {
                each: &PICKUP_MM,
                least: 1,
            },
            "The pickups by name, with their distance from the bridge saddle in millimetres.",
        ),
        may(
            "selector",
            one_or_more(&NAME),
            "The selector's positions in order; pickups that sound together are joined by `+`.",
        ),
    ],
    ways: Free,
};

pub(super) static PEDALS: Shape = Shape {
    called: "the pedals",
    example: "{ input: any }",
    fields: &[
        may(
            "input",
            TextOrList,
            "`any`, or a part of a port's name, or a list of several.",
        ),
        may("output", NAME, "`none`, or a part of a port's name."),
        may(
            "debounce_ms",
            Whole { from: 0, to: 500 },
            "Milliseconds for which a switch is deaf after a press.",
        ),
        may(
            "hold_ms",
            Whole { from: 200, to: 3000 },
            "Milliseconds after which a press is a hold; more than `debounce_ms`.",
        ),
        may(
            "follow",
            Word(&["nothing", "clock"]),
            "Whether steps go on by themselves with the MIDI clock.",
        ),
        may(
            "switches",
            list(&Group(&SWITCH)),
            "What each switch does; a list here replaces the usual switches.",
        ),
    ],
    ways: Free,
};

pub(super) static SWITCH: Shape = Shape {
    called: "a switch",
    example: "{ cc: 80, do: next }",
    fields: &[
        may("cc", SevenOrAny, "A controller, or `any`."),
        may("note", SevenOrAny, "A note, or `any`."),
        may("program", SevenOrAny, "A program, counted from 0, or `any`."),
        may("channel", CHANNEL, "The MIDI channel; left out, any."),
        may(
            "sends",
            Word(&["momentary", "latching", "single"]),
            "What the switch sends for a press: on and off, on and off in turn, or one message.",
        ),
        must("do", NAME, "The action of a press, like `next` or `section Chorus`."),
        may("hold", NAME, "The action of a hold."),
    ],
    ways: One(&[&["cc"], &["note"], &["program"]]),
};

pub(super) static SCREEN: Shape = Shape {
    called: "the screen",
    example: "{ theme: dark }",
    fields: &[
        may(
            "theme",
            Word(&["dark", "light", "plain"]),
            "`dark`, `light` for daylight, `plain` without colour.",
        ),
        may(
            "glyphs",
            Word(&["auto", "letters", "halves", "quarters", "sixths", "eighths"]),
            "What large words are drawn with.",
        ),
        may(
            "distance_m",
            Number { from: 0.2, to: 20.0 },
            "Metres from the eyes to the screen.",
        ),
        may(
            "height_mm",
            Number { from: 20.0, to: 5000.0 },
            "The height of the lit screen in millimetres.",
        ),
    ],
    ways: Free,
};
