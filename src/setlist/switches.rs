//! Reading the pedals: their ports, their timing, and what each switch does, in words that the pedals' room reads.

use crate::setlist::player::{PedalSettings, Sends, SwitchKind, SwitchLine};
use crate::setlist::player_shapes::{PEDALS, SWITCH};
use crate::setlist::tree::At;
use crate::setlist::walk::{Fields, Given, Walk};
use crate::setlist::{Rule, Seven, Spot};

/// More switches than any board has, which are looked through at every message.
const MOST_SWITCHES: usize = 1000;

pub(super) fn read_pedals(walk: &mut Walk, at: At<'_>) -> PedalSettings {
    let usual = PedalSettings::default();
    let fields = walk.fields(at, &PEDALS);
    let mut ms = |name: &str, usual: u32| {
        let given = fields.get(name).and_then(|given| walk.whole(given));
        given.map_or(usual, |ms| ms as u32)
    };
    let debounce_ms = ms("debounce_ms", usual.debounce_ms);
    let hold_ms = ms("hold_ms", usual.hold_ms);
    if hold_ms <= debounce_ms {
        let given = fields.get("hold_ms").or(fields.get("debounce_ms"));
        let message = format!("`hold_ms` ({hold_ms}) has to be more than `debounce_ms` ({debounce_ms})");
        walk.wrong(given.map_or(at, |given| given.at), message, None);
    }
    let output = fields.get("output").and_then(|given| walk.text(given));
    PedalSettings {
        input: fields
            .get("input")
            .map(|given| read_input(walk, given))
            .unwrap_or_default(),
        output: output.filter(|output| output != "none"),
        debounce_ms,
        hold_ms,
        follow_clock: fields.get("follow").and_then(|given| walk.word(given)) == Some("clock"),
        switches: fields.get("switches").map(|given| read_switches(walk, given)),
    }
}

/// Parts of port names; none for any.
fn read_input(walk: &mut Walk, given: Given<'_>) -> Vec<String> {
    let texts: Vec<String> = match given.at.is_list() {
        true => given
            .at
            .items()
            .filter_map(|at| walk.text(Given { at, ..given }))
            .collect(),
        false => walk.text(given).into_iter().collect(),
    };
    match texts.iter().any(|text| text == "any") {
        true => Vec::new(),
        false => texts,
    }
}

fn read_switches(walk: &mut Walk, given: Given<'_>) -> Vec<SwitchLine> {
    let items = walk.items(given);
    if items.len() > MOST_SWITCHES {
        walk.wrong(given.at, format!("there are {MOST_SWITCHES} switches at most"), None);
    }
    items
        .take(MOST_SWITCHES)
        .filter_map(|at| read_switch(walk, at))
        .collect()
}

fn read_switch(walk: &mut Walk, at: At<'_>) -> Option<SwitchLine> {
    let fields = walk.fields(at, &SWITCH);
    let kind = read_kind(walk, &fields);
    let channel = fields.get("channel").map(|given| walk.channel(given));
    let sends = fields.get("sends").and_then(|given| walk.word(given));
    let press = walk
        .required(&fields, "do", at)
        .and_then(|given| read_words(walk, given));
    let hold = fields.get("hold").and_then(|given| read_words(walk, given));
    let (kind, number) = kind?;
    let sends = read_sends(walk, &fields, kind, sends);
    if let Some((_, spot)) = hold.as_ref().filter(|_| sends != Sends::Momentary) {
        let which = match sends {
            _ if kind == SwitchKind::Program => "a program change",
            Sends::Latching => "a latching switch",
            Sends::Single | Sends::Momentary => "a switch that sends a single message",
        };
        let hint = "Only a switch that says when it is released can be held.";
        walk.fault(Rule::Format, *spot, format!("{which} has no `hold`"), Some(hint.into()));
    }
    Some(SwitchLine {
        kind,
        number,
        channel: match channel {
            Some(channel) => Some(channel?),
            None => None,
        },
        sends,
        press: press?,
        hold,
        spot: at.spot(),
    })
}

/// A program change is a press by itself, whatever the switch.
fn read_sends(walk: &mut Walk, fields: &Fields<'_>, kind: SwitchKind, sends: Option<&str>) -> Sends {
    let sends = match sends {
        Some("latching") => Sends::Latching,
        Some("single") => Sends::Single,
        None if kind == SwitchKind::Program => Sends::Single,
        _ => Sends::Momentary,
    };
    if let Some(given) = fields
        .get("sends")
        .filter(|_| kind == SwitchKind::Program && sends != Sends::Single)
    {
        let hint = "Leave `sends` out: each program change is a press.";
        walk.wrong(given.at, "a program change has no on and off".into(), Some(hint.into()));
        return Sends::Single;
    }
    sends
}

/// What kind of message the switch sends, and its number or none for any.
fn read_kind(walk: &mut Walk, fields: &Fields<'_>) -> Option<(SwitchKind, Option<Seven>)> {
    let kinds = [
        ("cc", SwitchKind::Control),
        ("note", SwitchKind::Note),
        ("program", SwitchKind::Program),
    ];
    let mut given = kinds
        .into_iter()
        .filter_map(|(name, kind)| Some((fields.get(name)?, kind)));
    let (first, second) = (given.next(), given.next());
    match (first, second) {
        (Some((number, kind)), None) => Some((kind, walk.seven_or_any(number)?)),
        (Some(_), Some((second, _))) => {
            let hint = "Write a line for each.";
            walk.wrong(
                second.at,
                "a switch is one of `cc`, `note` and `program`".into(),
                Some(hint.into()),
            );
            None
        }
        (None, _) => {
            if !fields.may_lack() {
                let hint = "Like `{ cc: 80, do: next }`.";
                walk.wrong(
                    fields.whole,
                    "a switch needs a `cc`, a `note` or a `program`".into(),
                    Some(hint.into()),
                );
            }
            None
        }
    }
}

fn read_words(walk: &mut Walk, given: Given<'_>) -> Option<(String, Spot)> {
    walk.text(given).map(|words| (words, given.at.spot()))
}
