//! Set files and player files as a day may have them: good, odd, changed a little, and broken.

use crate::plan::{Planned, solve};
use crate::setlist::{PedalSettings, read_as, read_player_as};
use crate::show::simulator::dice::Dice;
use std::fmt::Write;
use std::path::Path;

const TITLES: [&str; 7] = [
    "Lanterns at Millpond",
    "Ferry in the Fog",
    "The Orchard Gate",
    "Copper Weathervane",
    "Harbour Wall",
    "Seven Lamps",
    "Süßholz \u{266d} 夜",
];
const SECTIONS: [&str; 6] = ["Intro", "Verse", "Chorus", "Lift", "Bridge of Many Words", "Tag"];
const KEYS: [&str; 12] = ["C", "Bb", "F#", "Db", "A", "Em", "G#m", "Cb", "B#", "D", "Ab", "Fm"];

/// The text of a set: a few songs, some of one title, some without sections.
pub(super) fn set(dice: &mut Dice) -> String {
    let mut text = String::from("set: Evening by the millpond\n");
    if dice.once_in(2) {
        text += "players:\n  - { name: Wren, shapes: [G, E, D] }\n  - { name: Sam, highest_fret: 5 }\n";
    }
    text += "songs:\n";
    for _ in 0..dice.below(6) + 1 {
        song(&mut text, dice);
    }
    text
}

fn song(text: &mut String, dice: &mut Dice) {
    let _ = writeln!(text, "  - song: {}\n    key: {}", dice.one(&TITLES), dice.one(&KEYS));
    if dice.once_in(2) {
        let _ = writeln!(text, "    tempo: {}", 60 + dice.below(100));
    }
    if !dice.once_in(3) {
        let _ = writeln!(text, "    meter: {}", dice.one(&["4/4", "3/4", "6/8"]));
    }
    if dice.once_in(4) {
        let _ = writeln!(text, "    gap: {}", dice.below(30));
    }
    let count = dice.below(SECTIONS.len());
    if count == 0 {
        return;
    }
    text.push_str("    sections:\n");
    for name in &SECTIONS[..count] {
        let bars = if dice.once_in(4) {
            String::new()
        } else {
            format!("bars: {}, ", 1 + dice.below(8))
        };
        let key = if dice.once_in(6) {
            format!("key: {}, ", dice.one(&KEYS))
        } else {
            String::new()
        };
        let _ = writeln!(
            text,
            "      {name}: {{ {bars}{key}pickup: {} }}",
            dice.one(&["neck", "middle"])
        );
    }
    let order = (0..count + dice.below(4)).map(|place| SECTIONS[if place < count { place } else { dice.below(count) }]);
    let order: Vec<&str> = order.collect();
    let _ = writeln!(text, "    order: [{}]", order.join(", "));
}

/// The text as somebody saves it in mid-show: a key, a tempo, a song more, a song less, or all of it anew.
pub(super) fn changed(text: &str, dice: &mut Dice) -> String {
    let songs: Vec<&str> = text.split_inclusive("  - song: ").collect();
    match dice.below(5) {
        0 => {
            let (from, to) = (*dice.one(&KEYS), *dice.one(&KEYS));
            text.replacen(&format!("key: {from}\n"), &format!("key: {to}\n"), 1)
        }
        1 => {
            let mut more = String::new();
            song(&mut more, dice);
            text.replacen("songs:\n", &format!("songs:\n{more}"), 1)
        }
        2 => {
            let mut more = text.to_owned();
            song(&mut more, dice);
            more
        }
        // The first song goes, where there are others.
        3 if songs.len() > 2 => {
            let head = songs[0].strip_suffix("  - song: ").unwrap_or(songs[0]);
            format!("{head}  - song: {}", songs[2..].concat())
        }
        _ => set(dice),
    }
}

/// The text as it is when only half of it has been saved, or a finger slipped.
pub(super) fn broken(text: &str, dice: &mut Dice) -> String {
    match dice.below(3) {
        0 => text.replacen("key: ", "kee: ", 1),
        1 => text.replacen("songs:", "songs: [", 1),
        _ => String::new(),
    }
}

/// The set that a text tells of; none where it is broken.
pub(super) fn read(text: &str) -> Option<Planned> {
    let set = read_as(Path::new("evening.yaml"), text, None).ok()?.set;
    let plan = solve(&set).ok()?;
    Some(Planned { set, plan })
}

const PLAYER: &str = "
pedals:
  switches:
    - { cc: 80, do: next }
    - { cc: 81, do: back, hold: previous-song }
    - { cc: 82, do: again, hold: next-song }
    - { cc: 83, do: peek, hold: lock }
    - { cc: 84, sends: latching, do: undo }
    - { cc: 85, sends: single, do: key-up }
    - { cc: 86, sends: single, do: key-down }
    - { note: 60, channel: 2, do: section Chorus }
    - { note: any, do: bar 5 }
    - { program: any, do: song }
";

/// A player's pedals: the usual switches, or a list with every kind of switch.
pub(super) fn pedals(dice: &mut Dice) -> PedalSettings {
    let text = if dice.once_in(4) { "player: Wren\n" } else { PLAYER };
    let (_, rig, _) = read_player_as(Path::new("player.yaml"), text).expect("the player's file is good");
    PedalSettings {
        debounce_ms: *dice.one(&[0, 20, 80, 500]),
        follow_clock: dice.once_in(2),
        ..rig.pedals
    }
}
