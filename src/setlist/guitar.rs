//! Reading the guitar: its pickups from the neck to the bridge, and the positions of its selector.

use crate::setlist::player::{Guitar, Pickup, Selection};
use crate::setlist::player_shapes::{GUITAR, PICKUP_MM};
use crate::setlist::sections::position;
use crate::setlist::shape::Field;
use crate::setlist::syntax::cut;
use crate::setlist::tree::At;
use crate::setlist::walk::{Given, Walk};
use crate::setlist::words::did_you_mean;

/// As many as a guitar has, and more.
const MOST_PICKUPS: usize = 12;

/// A pickup's distance, as a field of no fixed name.
static DISTANCE: Field = Field {
    name: "pickups",
    kind: PICKUP_MM,
    must: false,
    says: "Millimetres from the bridge saddle.",
};

pub(super) fn read_guitar(walk: &mut Walk, at: At<'_>) -> Guitar {
    let usual = Guitar::default();
    let fields = walk.fields(at, &GUITAR);
    let scale_mm = fields
        .get("scale_mm")
        .and_then(|given| walk.number(given))
        .unwrap_or(usual.scale_mm);
    let pickups = fields.get("pickups").map(|given| read_pickups(walk, given, scale_mm));
    let pickups = pickups.filter(|pickups| !pickups.is_empty()).unwrap_or(usual.pickups);
    let selector = fields.get("selector").map(|given| read_selector(walk, given, &pickups));
    let selector = selector.filter(|selector| !selector.is_empty());
    let each = || {
        pickups
            .iter()
            .enumerate()
            .map(|(place, pickup)| alone(place, &pickup.name))
    };
    let selector_is_told = selector.is_some();
    let selector = selector.unwrap_or_else(|| each().collect());
    Guitar {
        scale_mm,
        pickups,
        selector,
        selector_is_told,
    }
}

fn alone(place: usize, name: &str) -> Selection {
    Selection {
        name: name.to_owned(),
        pickups: vec![place],
    }
}

/// The pickups from the neck to the bridge.
fn read_pickups(walk: &mut Walk, given: Given<'_>, scale_mm: f64) -> Vec<Pickup> {
    let mut pickups: Vec<Pickup> = Vec::new();
    let named = walk.named(given);
    if named.is_empty() && given.at.is_group() {
        walk.wrong(
            given.at,
            "a guitar has at least one pickup".into(),
            Some("Leave `pickups` out for the usual three.".into()),
        );
    }
    for (name_at, name, at) in named {
        let field = &DISTANCE;
        let mm = match at.is_nothing() {
            true => walk.not(Given { field, at }, "a number of millimetres"),
            false => walk.number(Given { field, at }),
        };
        if name.contains('+') {
            walk.wrong(
                name_at,
                format!("a pickup's name has no `+` in it, unlike `{}`", cut(&name)),
                None,
            );
        } else if pickups.len() == MOST_PICKUPS {
            walk.wrong(name_at, format!("a guitar has {MOST_PICKUPS} pickups at most"), None);
            break;
        } else if let Some(from_bridge_mm) = mm {
            if from_bridge_mm >= scale_mm {
                let message = format!("`{}` lies beyond the nut, {scale_mm} mm from the saddle", cut(&name));
                walk.wrong(at, message, None);
            }
            pickups.push(Pickup { name, from_bridge_mm });
        }
    }
    pickups.sort_by(|a, b| b.from_bridge_mm.total_cmp(&a.from_bridge_mm));
    pickups
}

fn read_selector(walk: &mut Walk, given: Given<'_>, pickups: &[Pickup]) -> Vec<Selection> {
    let mut selector: Vec<Selection> = Vec::new();
    let items = walk.items(given);
    if items.len() == 0 && given.at.is_list() {
        walk.wrong(given.at, "a selector has at least one position".into(), None);
    }
    for at in items {
        let Some(name) = walk.text(Given { at, ..given }).map(|name| position(&name)) else {
            continue;
        };
        if selector.iter().any(|known| known.name == name) {
            walk.wrong(at, format!("the position `{}` stands twice", cut(&name)), None);
            continue;
        }
        let mut places = Vec::new();
        for part in name.split('+') {
            match pickups.iter().position(|pickup| pickup.name == part) {
                Some(place) if !places.contains(&place) => places.push(place),
                Some(_) => walk.wrong(at, format!("`{}` names a pickup twice", cut(&name)), None),
                None => {
                    let names = pickups.iter().map(|pickup| pickup.name.as_str());
                    let hint = did_you_mean(part, names);
                    walk.wrong(at, format!("this guitar has no pickup `{}`", cut(part)), hint);
                }
            }
        }
        selector.push(Selection { name, pickups: places });
    }
    selector
}
