//! The small values of a file: keys, tempos, meters, seconds, frets, families, MIDI numbers and messages.

use crate::music::{AskedKey, Family, Fret};
use crate::setlist::set::Message;
use crate::setlist::song::bars_of;
use crate::setlist::walk::{In, Walk, cut};
use crate::setlist::{Bars, Channel, Meter, Rule, Seconds, Seven, Tempo};

pub(super) const SEND_FIELDS: [&str; 4] = ["program", "cc", "value", "channel"];

pub(super) fn key(walk: &mut Walk<'_>, at: In<'_>) -> Option<AskedKey> {
    let text = walk.text(at, "a key")?;
    match AskedKey::parse(text) {
        Ok(key) => {
            if let Some(asked) = key.asked_signs() {
                let message = format!("{asked} is read as {}, which has fewer accidentals", key.key().signs());
                walk.fault(Rule::KeyRespelled, at.spot(), message, None);
            }
            Some(key)
        }
        Err(_) => {
            let hint = "A key is a letter A to G, perhaps with b or #, perhaps with m, like `Bb` or `C#m`.";
            walk.wrong(at, format!("`{}` is no key", cut(text)), Some(hint.into()));
            None
        }
    }
}

pub(super) fn tempo(walk: &mut Walk<'_>, at: In<'_>) -> Option<Tempo> {
    walk.value(at, "a tempo", "20 to 400 beats a minute", |text| {
        text.parse().ok().and_then(Tempo::new)
    })
}

pub(super) fn meter(walk: &mut Walk<'_>, at: In<'_>) -> Option<Meter> {
    walk.value(
        at,
        "a meter",
        "beats over the note that is a beat, like `4/4` or `6/8`",
        |text| {
            let (beats, unit) = text.split_once('/')?;
            Meter::new(beats.trim().parse().ok()?, unit.trim().parse().ok()?)
        },
    )
}

pub(super) fn seconds(walk: &mut Walk<'_>, at: In<'_>, what: &str) -> Option<Seconds> {
    walk.value(at, what, "0 to 3600 seconds", |text| {
        text.parse().ok().and_then(Seconds::new)
    })
}

pub(super) fn bars(walk: &mut Walk<'_>, at: In<'_>) -> Option<Bars> {
    walk.value(at, "`bars`", "a whole number from 1 to 9999", bars_of)
}

pub(super) fn fret(walk: &mut Walk<'_>, at: In<'_>) -> Option<Fret> {
    walk.value(at, "a capo fret", "0 (no capo) to 11", |text| {
        text.parse().ok().and_then(|fret| Fret::new(fret).ok())
    })
}

pub(super) fn family(walk: &mut Walk<'_>, at: In<'_>) -> Option<Family> {
    walk.value(at, "a family of shapes", "`C`, `A`, `G`, `E` or `D`", Family::parse)
}

/// Families in order of liking, at least one, each once.
pub(super) fn families(walk: &mut Walk<'_>, at: In<'_>) -> Option<Vec<Family>> {
    let mut families = Vec::new();
    for item in walk.items(at, "`shapes`") {
        let Some(family) = family(walk, item) else { continue };
        if families.contains(&family) {
            walk.wrong(item, format!("{family} shapes are listed twice"), None);
        } else {
            families.push(family);
        }
    }
    if families.is_empty() {
        walk.wrong(at, "`shapes` lists at least one family".into(), None);
        return None;
    }
    Some(families)
}

pub(super) fn seven(walk: &mut Walk<'_>, at: In<'_>, what: &str) -> Option<Seven> {
    walk.value(at, what, "0 to 127", |text| text.parse().ok().and_then(Seven::new))
}

pub(super) fn channel(walk: &mut Walk<'_>, at: In<'_>) -> Option<Channel> {
    walk.value(at, "a channel", "1 to 16", |text| {
        text.parse().ok().and_then(Channel::new)
    })
}

pub(super) fn messages(walk: &mut Walk<'_>, at: In<'_>) -> Vec<Message> {
    walk.items(at, "`send`")
        .into_iter()
        .filter_map(|item| message(walk, item))
        .collect()
}

fn message(walk: &mut Walk<'_>, at: In<'_>) -> Option<Message> {
    let fields = walk.fields(at, "a message", &SEND_FIELDS);
    let channel = fields.get("channel").map_or(Channel::new(1), |at| channel(walk, at));
    match (fields.get("program"), fields.get("cc")) {
        (Some(program), None) => {
            if let Some(value) = fields.get("value") {
                walk.wrong(value, "a program has no `value`".into(), None);
            }
            Some(Message::Program {
                program: seven(walk, program, "a program")?,
                channel: channel?,
            })
        }
        (None, Some(cc)) => {
            let cc = seven(walk, cc, "a controller");
            let value = walk
                .required(&fields, "value", "a controller")
                .and_then(|at| seven(walk, at, "a value"));
            Some(Message::Control {
                cc: cc?,
                value: value?,
                channel: channel?,
            })
        }
        _ => {
            walk.wrong(at, "a message has either `program` or `cc`".into(), None);
            None
        }
    }
}
