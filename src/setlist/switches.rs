//! Reading the switches of a player file; what they do stays in words, which the pedals' room reads.

use crate::setlist::player::{Sends, SwitchKind, SwitchLine};
use crate::setlist::values::{channel, seven};
use crate::setlist::walk::{In, Walk};
use crate::setlist::{Seven, Spot};

pub(super) const SWITCH_FIELDS: [&str; 7] = ["cc", "note", "program", "channel", "sends", "do", "hold"];

pub(super) fn read_switches(walk: &mut Walk<'_>, at: In<'_>) -> Vec<SwitchLine> {
    walk.items(at, "`switches`")
        .into_iter()
        .filter_map(|item| switch(walk, item))
        .collect()
}

fn switch(walk: &mut Walk<'_>, at: In<'_>) -> Option<SwitchLine> {
    let fields = walk.fields(at, "a switch", &SWITCH_FIELDS);
    let kinds = [
        ("cc", SwitchKind::Control),
        ("note", SwitchKind::Note),
        ("program", SwitchKind::Program),
    ];
    let given: Vec<_> = kinds
        .iter()
        .filter_map(|(name, kind)| fields.get(name).map(|at| (*kind, at)))
        .collect();
    let kind = match given[..] {
        [(kind, number_at)] => number(walk, number_at).map(|number| (kind, number)),
        _ => {
            walk.wrong(at, "a switch has one of `cc`, `note` and `program`".into(), None);
            None
        }
    };
    let channel = match fields.get("channel").filter(|at| at.text() != Some("any")) {
        Some(at) => Some(channel(walk, at)?),
        None => None,
    };
    let choices = [
        ("momentary", Sends::Momentary),
        ("latching", Sends::Latching),
        ("single", Sends::Single),
    ];
    let sends = fields.get("sends").and_then(|at| walk.choice(at, "`sends`", &choices));
    let press = walk.required(&fields, "do", "a switch").and_then(|at| words(walk, at));
    let hold = fields.get("hold").and_then(|at| words(walk, at));
    let (kind, number) = kind?;
    let holds = kind != SwitchKind::Program && matches!(sends, None | Some(Sends::Momentary));
    if let Some((_, spot)) = hold.as_ref().filter(|_| !holds) {
        let hint = "Only a momentary switch, which says when it is released, can be held.";
        walk.fault(
            crate::setlist::Rule::Format,
            *spot,
            "this switch cannot have a `hold`".into(),
            Some(hint.into()),
        );
    }
    let sends = if kind == SwitchKind::Program {
        Sends::Single
    } else {
        sends.unwrap_or_default()
    };
    Some(SwitchLine {
        kind,
        number,
        channel,
        sends,
        press: press?,
        hold: hold.filter(|_| holds),
        spot: at.spot(),
    })
}

/// A number, or `any`; none where neither was read.
fn number(walk: &mut Walk<'_>, at: In<'_>) -> Option<Option<Seven>> {
    if at.text() == Some("any") {
        return Some(None);
    }
    seven(walk, at, "a switch's number").map(Some)
}

fn words(walk: &mut Walk<'_>, at: In<'_>) -> Option<(String, Spot)> {
    walk.name(at, "an action").map(|words| (words.to_owned(), at.spot()))
}
