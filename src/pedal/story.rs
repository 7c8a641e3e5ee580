//! Tests only: a shorthand for what feet do, and what a board makes of it.
//!
//! `80+` control 80 on, `80-` off, `80=63` with a value, `n60+` and `n60-` a note, `p4` a program; `2/` before one of
//! them is its channel, else 1; `B:` before it is the second port, else the first; `xFE` a byte as it stands; `600ms`
//! lets time pass; `lost` and `back` are the first port's cable.

use crate::pedal::{Bindings, Board, Event, Moment, PortId, What};
use crate::setlist::{Channel, PedalSettings, Sends, Seven, Spot, SwitchKind, SwitchLine};

/// What is done at a moment.
#[derive(Clone, Debug)]
pub(super) enum Deed {
    Bytes(PortId, Vec<u8>),
    Lost,
    Back,
}

/// Reads the shorthand.
pub(super) fn story(text: &str) -> Vec<(Moment, Deed)> {
    let mut at = Moment::START;
    let mut deeds = Vec::new();
    for word in text.split_whitespace() {
        let (port, rest) = word
            .strip_prefix("B:")
            .map_or((PortId(0), word), |rest| (PortId(1), rest));
        if let Some(ms) = rest.strip_suffix("ms") {
            at = at.after_ms(ms.parse().unwrap());
        } else {
            let deed = match rest {
                "lost" => Deed::Lost,
                "back" => Deed::Back,
                _ => Deed::Bytes(port, bytes(rest)),
            };
            deeds.push((at, deed));
        }
    }
    deeds
}

fn bytes(word: &str) -> Vec<u8> {
    if let Some(hex) = word.strip_prefix('x') {
        return vec![u8::from_str_radix(hex, 16).unwrap()];
    }
    let (channel, word) = word.split_once('/').unwrap_or(("1", word));
    let on = |status: u8| status | (channel.parse::<u8>().unwrap() - 1);
    let number = |text: &str| text.parse::<u8>().unwrap();
    if let Some(program) = word.strip_prefix('p') {
        return vec![on(0xC0), number(program)];
    }
    let (status, word) = word.strip_prefix('n').map_or((0xB0, word), |note| (0x90, note));
    let (which, value) = match word.split_once('=') {
        Some((which, value)) => (which, number(value)),
        None => (
            word.trim_end_matches(['+', '-']),
            if word.ends_with('+') { 127 } else { 0 },
        ),
    };
    vec![on(status), number(which), value]
}

/// Settings with switches such as `80 next, hold next-song`, `82 latching again`, `2/n60 top`, `p* song`, `* back`.
pub(super) fn settings(switches: &[&str]) -> PedalSettings {
    let lines = switches
        .iter()
        .zip(1..)
        .map(|(text, line)| switch(text, line))
        .collect();
    PedalSettings {
        switches: Some(lines),
        ..PedalSettings::default()
    }
}

fn switch(text: &str, line: u32) -> SwitchLine {
    let spot = Spot {
        line,
        column: 1,
        ..Spot::default()
    };
    let (press, hold) = match text.split_once(", hold ") {
        Some((press, hold)) => (press, Some((hold.to_owned(), spot))),
        None => (text, None),
    };
    let (which, does) = press.split_once(' ').unwrap();
    let (channel, which) = which
        .split_once('/')
        .map_or((None, which), |(channel, rest)| (Some(channel), rest));
    let (kind, number) = match which.split_at(which.len().min(1)) {
        ("n", number) => (SwitchKind::Note, number),
        ("p", number) => (SwitchKind::Program, number),
        _ => (SwitchKind::Control, which),
    };
    let (sends, does) = match does.split_once(' ') {
        Some(("latching", does)) => (Sends::Latching, does),
        Some(("single", does)) => (Sends::Single, does),
        _ => (Sends::Momentary, does),
    };
    SwitchLine {
        kind,
        number: (number != "*").then(|| Seven::new(number.parse().unwrap()).unwrap()),
        channel: channel.map(|channel| Channel::new(channel.parse().unwrap()).unwrap()),
        sends,
        press: (does.to_owned(), spot),
        hold,
        spot,
    }
}

/// Plays a story to its end, until no alarm is due.
pub(super) fn play(settings: &PedalSettings, deeds: &[(Moment, Deed)]) -> Vec<Event> {
    let mut board = Board::new(Bindings::read(settings).unwrap(), settings);
    let mut out = Vec::new();
    for (at, deed) in deeds {
        match deed {
            Deed::Bytes(port, bytes) => board.bytes(*port, *at, bytes, &mut out),
            Deed::Lost => board.lost(PortId(0), *at, &mut out),
            Deed::Back => board.back(PortId(0), *at, &mut out),
        }
    }
    while let Some(at) = board.wake_at() {
        board.tick(at, &mut out);
    }
    out
}

/// Events as `0 next, 600 top`: the millisecond and what came.
pub(super) fn told(events: &[Event]) -> String {
    let words: Vec<_> = events.iter().map(tell).collect();
    words.join(", ")
}

fn tell(event: &Event) -> String {
    let what = match &event.what {
        What::Act(action) => action.to_string(),
        What::SongSelect(song) => format!("select {song}"),
        What::Start => "start".into(),
        What::Stop => "stop".into(),
        What::Continue => "continue".into(),
        What::Position(sixteenths) => format!("position {sixteenths}"),
        What::Clock => "clock".into(),
        What::CableLost(port) => format!("lost {}", port.0),
        What::CableBack(port) => format!("back {}", port.0),
    };
    format!("{} {what}", event.at.as_ms())
}
