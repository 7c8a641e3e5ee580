//! What `pedal learn` says: in words for a player, or one JSON object a line for a script.

use crate::pedal::{Heard, Learned, SwitchName, word};
use crate::sequencer::Action;
use crate::setlist::{NewSwitch, Sends, SwitchKind, switch_line};
use serde_json::{Value, json};
use std::io::{self, Write};
use std::path::Path;

/// What happens in a dialogue.
pub(super) enum Say<'a> {
    Hello {
        replaces_usual: bool,
    },
    Port {
        name: &'a str,
        here: bool,
    },
    Asked(&'a Action),
    Heard(Heard),
    Learned(&'a Action, Learned, &'a NewSwitch),
    /// The switch does this already.
    Already(SwitchName, &'a Action),
    /// To be pressed once more, since.
    Again(&'a str),
    Skipped(&'a Action),
    NotUnderstood,
    /// No player's file, where there was nothing to write.
    Written(Option<&'a Path>, &'a [NewSwitch]),
}

pub(super) struct Teller<'o, W> {
    pub(super) out: &'o mut W,
    pub(super) json: bool,
}

impl<W: Write> Teller<'_, W> {
    /// Each is said at once: somebody waits for it, foot in the air.
    pub(super) fn say(&mut self, say: Say<'_>) -> io::Result<()> {
        if !self.json {
            words(self.out, say)?;
        } else if let Some(object) = object(say) {
            serde_json::to_writer(&mut *self.out, &object)?;
            writeln!(self.out)?;
        }
        self.out.flush()
    }
}

fn words(out: &mut impl Write, say: Say<'_>) -> io::Result<()> {
    match say {
        Say::Hello { replaces_usual } => {
            writeln!(
                out,
                "Each action is asked for in turn: press its switch three times, a second apart."
            )?;
            writeln!(
                out,
                "Enter skips an action; `q` and enter writes what was learned; ctrl-C writes nothing."
            )?;
            if replaces_usual {
                writeln!(
                    out,
                    "The player's file lists no switches yet: a list replaces the usual ones, all of them."
                )?;
            }
            Ok(())
        }
        Say::Port { name, here: true } => writeln!(out, "  {} is here", name.escape_debug()),
        Say::Port { name, here: false } => writeln!(out, "  {} is not here", name.escape_debug()),
        Say::Asked(action) => writeln!(out, "\n{}: three presses, please", shown(action)),
        Say::Heard(heard) => writeln!(out, "  {} {}", heard.switch, if heard.on { "on" } else { "off" }),
        Say::Learned(action, learned, _) => {
            let (switch, channel) = (learned.switch, learned.switch.channel.number());
            writeln!(
                out,
                "{}: {switch}, channel {channel}, {}",
                shown(action),
                manner(&learned)
            )?;
            if learned.reversed {
                writeln!(out, "  It says on when the foot leaves it: so late the action comes.")?;
            }
            Ok(())
        }
        Say::Already(switch, action) => writeln!(out, "  {switch} does `{}` already", shown(action)),
        Say::Again(why) => writeln!(out, "  {why}: once more, please"),
        Say::Skipped(action) => writeln!(out, "{}: skipped", shown(action)),
        Say::NotUnderstood => writeln!(out, "  enter skips, `q` and enter ends"),
        Say::Written(None, _) => writeln!(out, "\nnothing was learned, and nothing written"),
        Say::Written(Some(file), switches) => {
            writeln!(out, "\nwritten to {}:", file.to_string_lossy().escape_debug())?;
            switches
                .iter()
                .try_for_each(|switch| writeln!(out, "    - {}", switch_line(switch)))
        }
    }
}

/// What a section is called may hold anything.
fn shown(action: &Action) -> String {
    action.to_string().escape_debug().to_string()
}

fn object(say: Say<'_>) -> Option<Value> {
    Some(match say {
        Say::Hello { .. } => return None,
        Say::Port { name, here } => json!({"port": name, "here": here}),
        Say::Asked(action) => json!({"asked": action.to_string()}),
        Say::Heard(heard) => json!({"heard": switch(heard.switch, [("on", heard.on.into())])}),
        Say::Learned(action, learned, new) => {
            let facts = [
                ("action", action.to_string().into()),
                ("sends", sends(learned.sends).into()),
                ("reversed", learned.reversed.into()),
                ("line", switch_line(new).into()),
            ];
            json!({"learned": switch(learned.switch, facts)})
        }
        Say::Already(name, action) => json!({"already": switch(name, [("action", action.to_string().into())])}),
        Say::Again(why) => json!({"again": why}),
        Say::Skipped(action) => json!({"skipped": action.to_string()}),
        Say::NotUnderstood => json!({"again": "an empty line skips, `q` ends"}),
        Say::Written(None, _) => json!({"written": null}),
        Say::Written(Some(file), switches) => {
            let lines: Vec<String> = switches.iter().map(switch_line).collect();
            json!({"written": {"file": file.to_string_lossy(), "switches": lines}})
        }
    })
}

fn switch<const N: usize>(name: SwitchName, facts: [(&str, Value); N]) -> Value {
    let mut object = json!({
        "kind": word(name.kind),
        "number": name.number.number(),
        "channel": name.channel.number(),
    });
    for (fact, value) in facts {
        object[fact] = value;
    }
    object
}

fn sends(sends: Sends) -> &'static str {
    match sends {
        Sends::Momentary => "momentary",
        Sends::Latching => "latching",
        Sends::Single => "single",
    }
}

fn manner(learned: &Learned) -> &'static str {
    match (learned.switch.kind, learned.sends) {
        (SwitchKind::Program, _) => "one message a press",
        (_, Sends::Momentary) => "momentary: on at the press, off at the release",
        (_, Sends::Latching) => "latching: on and off in turn, a message a press",
        (_, Sends::Single) => "single: on at the press, nothing at the release",
    }
}
