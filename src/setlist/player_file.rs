//! Reading players: the upper part that a set may say too, and what the first player's own file says beside it.

use crate::music::Fret;
use crate::setlist::player::{Guitar, PedalSettings, Pickup, Player, Rig, ScreenSettings, Selection, Weights};
use crate::setlist::switches::read_switches;
use crate::setlist::values::{families, fret, seconds};
use crate::setlist::walk::{Fields, In, Walk, cut, near};

/// A player in a set; a player file has `player` for `name`.
pub(super) const PLAYER_FIELDS: [&str; 5] = ["name", "highest_fret", "shapes", "seconds_to_move", "weights"];
pub(super) const FILE_FIELDS: [&str; 9] = [
    "player",
    "guitar",
    "highest_fret",
    "shapes",
    "seconds_to_move",
    "weights",
    "pedals",
    "screen",
    "left_handed",
];
pub(super) const WEIGHT_FIELDS: [&str; 4] = ["move", "fret", "dislike", "dull"];
pub(super) const GUITAR_FIELDS: [&str; 3] = ["scale_mm", "pickups", "selector"];
pub(super) const PEDAL_FIELDS: [&str; 6] = ["input", "output", "debounce_ms", "hold_ms", "follow", "switches"];
pub(super) const SCREEN_FIELDS: [&str; 4] = ["theme", "glyphs", "distance_m", "height_mm"];

/// The heaviest that a part of the effort may weigh.
const HEAVIEST: u16 = 1000;

/// The upper part: what `fields` say over what `under` says.
pub(super) fn read_player(walk: &mut Walk<'_>, fields: &Fields<'_>, name: String, under: &Player) -> Player {
    Player {
        name,
        highest_fret: fields
            .get("highest_fret")
            .and_then(|at| highest_fret(walk, at))
            .unwrap_or(under.highest_fret),
        shapes: fields
            .get("shapes")
            .and_then(|at| families(walk, at))
            .unwrap_or_else(|| under.shapes.clone()),
        seconds_to_move: fields
            .get("seconds_to_move")
            .and_then(|at| seconds(walk, at, "`seconds_to_move`"))
            .unwrap_or(under.seconds_to_move),
        weights: fields
            .get("weights")
            .map_or(under.weights, |at| weights(walk, at, under.weights)),
        spot: Some(fields.whole.spot()),
    }
}

fn highest_fret(walk: &mut Walk<'_>, at: In<'_>) -> Option<Fret> {
    fret(walk, at)
}

fn weights(walk: &mut Walk<'_>, at: In<'_>, under: Weights) -> Weights {
    let fields = walk.fields(at, "`weights`", &WEIGHT_FIELDS);
    let mut weight = |name: &str, under: u16| {
        let read = |text: &str| text.parse().ok().filter(|&weight: &u16| weight <= HEAVIEST);
        let given = fields
            .get(name)
            .and_then(|at| walk.value(at, "a weight", "a whole number from 0 to 1000", read));
        given.unwrap_or(under)
    };
    Weights {
        r#move: weight("move", under.r#move),
        fret: weight("fret", under.fret),
        dislike: weight("dislike", under.dislike),
        dull: weight("dull", under.dull),
    }
}

/// A whole player file.
pub(super) fn read_file(walk: &mut Walk<'_>, at: In<'_>, under: &Player) -> (Player, Rig) {
    let fields = walk.fields(at, "a player file", &FILE_FIELDS);
    let name = walk
        .required(&fields, "player", "a player file")
        .and_then(|at| walk.name(at, "a name"));
    let player = read_player(walk, &fields, name.unwrap_or(&under.name).to_owned(), under);
    let rig = Rig {
        guitar: fields.get("guitar").map(|at| guitar(walk, at)).unwrap_or_default(),
        pedals: fields.get("pedals").map(|at| pedals(walk, at)).unwrap_or_default(),
        screen: fields.get("screen").map(|at| screen(walk, at)).unwrap_or_default(),
        left_handed: fields
            .get("left_handed")
            .and_then(|at| walk.choice(at, "`left_handed`", &YES_OR_NO))
            .unwrap_or(false),
    };
    (player, rig)
}

const YES_OR_NO: [(&str, bool); 2] = [("true", true), ("false", false)];

fn guitar(walk: &mut Walk<'_>, at: In<'_>) -> Guitar {
    let usual = Guitar::default();
    let fields = walk.fields(at, "`guitar`", &GUITAR_FIELDS);
    let scale = fields
        .get("scale_mm")
        .and_then(|at| millimetres(walk, at, "a scale", 300.0..=1000.0));
    let scale_mm = scale.unwrap_or(usual.scale_mm);
    let pickups = fields
        .get("pickups")
        .map(|at| pickups(walk, at, scale_mm))
        .filter(|pickups| !pickups.is_empty());
    let pickups = pickups.unwrap_or_else(|| usual.pickups.clone());
    let selector = match fields.get("selector") {
        Some(at) => selector(walk, at, &pickups),
        None => pickups
            .iter()
            .enumerate()
            .map(|(place, pickup)| Selection {
                name: pickup.name.clone(),
                pickups: vec![place],
            })
            .collect(),
    };
    Guitar {
        scale_mm,
        pickups,
        selector,
    }
}

fn millimetres(walk: &mut Walk<'_>, at: In<'_>, what: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
    let wanted = format!("{} to {} mm", range.start(), range.end());
    walk.value(at, what, &wanted, |text| {
        text.parse().ok().filter(|mm| range.contains(mm))
    })
}

/// The pickups from the neck to the bridge.
fn pickups(walk: &mut Walk<'_>, at: In<'_>, scale_mm: f64) -> Vec<Pickup> {
    let mut pickups: Vec<Pickup> = Vec::new();
    for (name_at, name, place) in walk.pairs(at, "`pickups`") {
        if name.contains('+') || name.trim().is_empty() {
            walk.wrong(name_at, "a pickup's name has a letter and no `+`".into(), None);
        } else if pickups.iter().any(|pickup| pickup.name == name) {
            walk.wrong(name_at, format!("the pickup `{}` stands twice", cut(name)), None);
        } else if let Some(from_bridge_mm) = millimetres(walk, place, "a pickup's place", 1.0..=scale_mm / 2.0) {
            pickups.push(Pickup {
                name: name.trim().to_owned(),
                from_bridge_mm,
            });
        }
    }
    pickups.sort_by(|a, b| b.from_bridge_mm.total_cmp(&a.from_bridge_mm));
    pickups
}

fn selector(walk: &mut Walk<'_>, at: In<'_>, pickups: &[Pickup]) -> Vec<Selection> {
    let mut selector: Vec<Selection> = Vec::new();
    for item in walk.items(at, "`selector`") {
        let Some(text) = walk.name(item, "a position") else {
            continue;
        };
        let mut places = Vec::new();
        for name in text.split('+').map(str::trim) {
            match pickups.iter().position(|pickup| pickup.name == name) {
                Some(place) => places.push(place),
                None => {
                    let hint = near(name, pickups.iter().map(|pickup| pickup.name.as_str()));
                    let hint = hint.map(|near| format!("Did you mean `{near}`?"));
                    walk.wrong(item, format!("this guitar has no pickup `{}`", cut(name)), hint);
                }
            }
        }
        let name = text.split('+').map(str::trim).collect::<Vec<_>>().join("+");
        selector.push(Selection { name, pickups: places });
    }
    selector
}

fn pedals(walk: &mut Walk<'_>, at: In<'_>) -> PedalSettings {
    let usual = PedalSettings::default();
    let fields = walk.fields(at, "`pedals`", &PEDAL_FIELDS);
    let input = fields.get("input").map(|at| port_names(walk, at)).unwrap_or_default();
    let output = fields
        .get("output")
        .and_then(|at| walk.name(at, "an output"))
        .filter(|name| *name != "none");
    let debounce_ms = fields
        .get("debounce_ms")
        .and_then(|at| milliseconds(walk, at, "`debounce_ms`", 0, 500));
    let debounce_ms = debounce_ms.unwrap_or(usual.debounce_ms);
    let hold_ms = fields
        .get("hold_ms")
        .and_then(|at| milliseconds(walk, at, "`hold_ms`", 200, 3000));
    let hold_ms = hold_ms.unwrap_or(usual.hold_ms);
    if hold_ms <= debounce_ms {
        let at = fields
            .get("debounce_ms")
            .or(fields.get("hold_ms"))
            .unwrap_or(fields.whole);
        walk.wrong(
            at,
            format!("`hold_ms` ({hold_ms}) must be more than `debounce_ms` ({debounce_ms})"),
            None,
        );
    }
    let follow = [("nothing", false), ("clock", true)];
    PedalSettings {
        input,
        output: output.map(str::to_owned),
        debounce_ms,
        hold_ms,
        follow_clock: fields
            .get("follow")
            .and_then(|at| walk.choice(at, "`follow`", &follow))
            .unwrap_or(false),
        switches: fields.get("switches").map(|at| read_switches(walk, at)),
    }
}

/// Parts of port names; none for any.
fn port_names(walk: &mut Walk<'_>, at: In<'_>) -> Vec<String> {
    let names = match at.text() {
        Some(_) => vec![at],
        None => walk.items(at, "`input`"),
    };
    let names: Vec<&str> = names
        .into_iter()
        .filter_map(|at| walk.name(at, "a port's name"))
        .collect();
    if names.contains(&"any") {
        Vec::new()
    } else {
        names.into_iter().map(str::to_owned).collect()
    }
}

fn milliseconds(walk: &mut Walk<'_>, at: In<'_>, what: &str, least: u32, most: u32) -> Option<u32> {
    let wanted = format!("{least} to {most} milliseconds");
    walk.value(at, what, &wanted, |text| {
        text.parse().ok().filter(|ms| (least..=most).contains(ms))
    })
}

fn screen(walk: &mut Walk<'_>, at: In<'_>) -> ScreenSettings {
    let fields = walk.fields(at, "`screen`", &SCREEN_FIELDS);
    let mut number = |name: &str, wanted: &str, most: f64| {
        let read = |text: &str| text.parse().ok().filter(|&number: &f64| number > 0.0 && number <= most);
        fields
            .get(name)
            .and_then(|at| walk.value(at, &format!("`{name}`"), wanted, read))
    };
    let distance_m = number("distance_m", "more than 0 and at most 100 metres", 100.0);
    let height_mm = number("height_mm", "more than 0 and at most 10000 millimetres", 10_000.0);
    let theme = fields
        .get("theme")
        .and_then(|at| walk.name(at, "a theme"))
        .map(str::to_owned);
    let glyphs = fields
        .get("glyphs")
        .and_then(|at| walk.name(at, "glyphs"))
        .map(str::to_owned);
    ScreenSettings {
        theme,
        glyphs,
        distance_m,
        height_mm,
    }
}
