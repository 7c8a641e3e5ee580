//! Bindings: which switch does what, as the player's file says or as is usual.

use crate::pedal::SwitchName;
use crate::sequencer::{Action, NotAnAction};
use crate::setlist::{Channel, Finding, PedalSettings, Sends, Seven, Spot, SwitchKind, SwitchLine};

/// Every switch that does something.
#[derive(Clone, Debug)]
pub struct Bindings {
    lines: Vec<Binding>,
}

/// A switch and what it does.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Binding {
    pub(super) kind: SwitchKind,
    /// None for any.
    pub(super) number: Option<Seven>,
    /// None for any.
    pub(super) channel: Option<Channel>,
    pub(super) sends: Sends,
    pub(super) press: Does,
    pub(super) hold: Option<Action>,
}

/// What a press does.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Does {
    Action(Action),
    /// Program n opens song n + 1.
    SongOfProgram,
}

impl Does {
    pub(super) fn action(&self, number: Seven) -> Action {
        match self {
            Does::Action(action) => action.clone(),
            Does::SongOfProgram => Action::Song(u32::from(number.number()) + 1),
        }
    }
}

/// The switch controllers of the MIDI specification (table of controller numbers: 64 damper, 66 sostenuto, 67 soft, 80 to
/// 83 general purpose 5 to 8).
const USUAL: [(u8, Action); 7] = [
    (64, Action::Next),
    (66, Action::Back),
    (67, Action::Again),
    (80, Action::Next),
    (81, Action::Back),
    (82, Action::NextSong),
    (83, Action::PreviousSong),
];

impl Bindings {
    /// The bindings of a player's file, or the usual ones where it lists none.
    ///
    /// # Errors
    /// Actions that are none, and switches bound twice.
    pub fn read(settings: &PedalSettings) -> Result<Bindings, Vec<Finding>> {
        let Some(switches) = &settings.switches else {
            return Ok(Bindings { lines: usual() });
        };
        let mut findings = Vec::new();
        let lines = switches
            .iter()
            .filter_map(|line| binding(line, &mut findings))
            .collect();
        for (place, line) in switches.iter().enumerate() {
            let same = |other: &&SwitchLine| {
                (other.kind, other.number, other.channel) == (line.kind, line.number, line.channel)
            };
            if let Some(first) = switches[..place].iter().find(same) {
                let message = format!("this switch is bound already in line {}", first.spot.line);
                findings.push(wrong(line.spot, message, None));
            }
        }
        if findings.is_empty() {
            Ok(Bindings { lines })
        } else {
            Err(findings)
        }
    }

    /// The place of the binding that fits a switch best: a number beats any, then a channel beats none.
    pub(super) fn find(&self, kind: SwitchKind, channel: Channel, number: Seven) -> Option<usize> {
        let fits = |line: &Binding| {
            line.kind == kind
                && line.number.is_none_or(|wanted| wanted == number)
                && line.channel.is_none_or(|wanted| wanted == channel)
        };
        let fitting = self.lines.iter().enumerate().filter(|(_, line)| fits(line));
        fitting
            .max_by_key(|(_, line)| (line.number.is_some(), line.channel.is_some()))
            .map(|(place, _)| place)
    }

    /// What a press of a switch does that is bound by its number.
    pub fn action_of(&self, switch: SwitchName) -> Option<Action> {
        let place = self.find(switch.kind, switch.channel, switch.number)?;
        let line = self.get(place);
        line.number.map(|number| line.press.action(number))
    }

    pub(super) fn get(&self, place: usize) -> &Binding {
        &self.lines[place]
    }
}

fn usual() -> Vec<Binding> {
    let plain = |kind, number, press| Binding {
        kind,
        number,
        channel: None,
        sends: Sends::Momentary,
        press,
        hold: None,
    };
    let control = |(cc, action)| plain(SwitchKind::Control, Some(Seven::from_wire(cc)), Does::Action(action));
    let programs = Binding {
        sends: Sends::Single,
        ..plain(SwitchKind::Program, None, Does::SongOfProgram)
    };
    USUAL.into_iter().map(control).chain([programs]).collect()
}

fn binding(line: &SwitchLine, findings: &mut Vec<Finding>) -> Option<Binding> {
    let (words, spot) = &line.press;
    let press = if words == "song" {
        if line.kind != SwitchKind::Program {
            let hint = "Only a program change says which song: write `song 3`, say.";
            findings.push(wrong(*spot, "`song` needs a number here".into(), Some(hint.into())));
        }
        Some(Does::SongOfProgram)
    } else {
        action(words, *spot, findings).map(Does::Action)
    };
    let hold = line
        .hold
        .as_ref()
        .and_then(|(words, spot)| action(words, *spot, findings));
    Some(Binding {
        kind: line.kind,
        number: line.number,
        channel: line.channel,
        // A program change has no release, whatever is said of it.
        sends: match line.kind {
            SwitchKind::Program => Sends::Single,
            SwitchKind::Control | SwitchKind::Note => line.sends,
        },
        press: press?,
        hold,
    })
}

fn action(words: &str, spot: Spot, findings: &mut Vec<Finding>) -> Option<Action> {
    match Action::parse(words) {
        Ok(action) => Some(action),
        Err(NotAnAction { found, near }) => {
            let hint = match near {
                Some(near) if near == found => needs(near).into(),
                Some(near) => format!("Did you mean `{near}`?"),
                None => ACTIONS.into(),
            };
            findings.push(wrong(
                spot,
                format!("`{}` is no action", found.escape_debug()),
                Some(hint),
            ));
            None
        }
    }
}

const ACTIONS: &str = "The actions are `next`, `back`, `next-song`, `previous-song`, `top`, `song 3`, `section Chorus`, \
                       `bar 9`, `again`, `peek`, `key-up`, `key-down`, `lock` and `undo`.";

/// What a word that is an action's first lacks.
fn needs(word: &str) -> &'static str {
    match word {
        "section" => "Say which section: write `section Chorus`, say.",
        "bar" => "Say which bar: write `bar 9`, say.",
        _ => "Say which song: write `song 3`, say.",
    }
}

fn wrong(spot: Spot, message: String, hint: Option<String>) -> Finding {
    Finding::format(Some(spot), message, hint)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pedal::story::settings;

    /// Every finding of these switches, one to a line, as `line: message` with the hint behind it.
    fn findings(switches: &[&str]) -> Vec<String> {
        let Err(findings) = Bindings::read(&settings(switches)) else {
            return Vec::new();
        };
        let words = |finding: &Finding| {
            let line = finding.spot.map_or(0, |spot| spot.line);
            let hint = finding.hint.as_deref().unwrap_or("-");
            format!("{line}: {} / {hint}", finding.message)
        };
        findings.iter().map(words).collect()
    }

    #[test]
    fn what_is_no_action_is_said_with_what_is_near() {
        let song = "Only a program change says which song: write `song 3`, say.";
        for (switch, wanted) in [
            ("80 nxt", "1: `nxt` is no action / Did you mean `next`?".to_owned()),
            ("80 jump", format!("1: `jump` is no action / {ACTIONS}")),
            ("80 song 0", format!("1: `song 0` is no action / {ACTIONS}")),
            (
                "80 bar",
                "1: `bar` is no action / Say which bar: write `bar 9`, say.".into(),
            ),
            (
                "80 section",
                "1: `section` is no action / Say which section: write `section Chorus`, say.".into(),
            ),
            (
                "80 next, hold song",
                "1: `song` is no action / Say which song: write `song 3`, say.".into(),
            ),
            ("80 song", format!("1: `song` needs a number here / {song}")),
            ("n60 song", format!("1: `song` needs a number here / {song}")),
        ] {
            assert_eq!(findings(&[switch]), [wanted], "{switch}");
        }
    }

    #[test]
    fn two_bindings_for_the_very_same_switch_are_refused_with_both_lines() {
        let said = |line: u32, first: u32| format!("{line}: this switch is bound already in line {first} / -");
        for (switches, wanted) in [
            (&["80 next", "80 back"][..], vec![said(2, 1)]),
            (
                &["80 next", "81 back", "80 latching again", "80 top"],
                vec![said(3, 1), said(4, 1)],
            ),
            (
                &["* next", "* back", "2/* next", "2/* back"],
                vec![said(2, 1), said(4, 3)],
            ),
            (
                &["80 next", "2/80 next", "* next", "2/* next", "n80 next", "p80 next"],
                vec![],
            ),
        ] {
            assert_eq!(findings(switches), wanted, "{switches:?}");
        }
    }

    #[test]
    fn every_fault_of_a_list_is_said_in_one_go() {
        assert_eq!(findings(&["80 nxt, hold bck", "80 song", "81 next"]).len(), 4);
    }
}
