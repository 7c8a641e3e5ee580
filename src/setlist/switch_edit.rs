//! Switches written into a player file's text, so that not one other byte of it changes.

use crate::setlist::edit::{Edit, Page, Pair, Style, edited, field, in_quotes, pairs};
use crate::setlist::quote::scalar;
use crate::setlist::tree::{At, Is};
use crate::setlist::{Channel, Player, Rig, Sends, Seven, Spot, SwitchKind, SwitchLine};

/// A switch and what it is to do, for a player's file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewSwitch {
    pub kind: SwitchKind,
    pub number: Seven,
    pub channel: Channel,
    pub sends: Sends,
    /// The action, in a file's words.
    pub press: String,
}

/// The player file's text with these switches at the end of its list, which is made where there is none; none where the
/// text is written in a way that leaves no safe place for them. What comes back is to be read again before it is
/// trusted.
pub fn with_switches(text: &str, switches: &[NewSwitch]) -> Option<String> {
    edited(text, |page, root| match root {
        Some(root) => page.add_switches(root, switches).map(|edit| vec![edit]),
        None => Some(vec![page.at_the_end(&block(switches))]),
    })
}

/// A player file that says nothing but these switches.
pub fn new_player_file(switches: &[NewSwitch]) -> String {
    let mut text = String::from("# What holds for one guitarist whatever the set.\n");
    for line in block(switches) {
        text.push_str(&line);
        text.push('\n');
    }
    text
}

/// The switch as a member of the list, for a player to write by hand.
pub fn switch_line(switch: &NewSwitch) -> String {
    member(switch, false)
}

/// Whether a file read anew says what it said, but for these switches at the end of its list.
pub fn same_but_for_switches(old: (&Player, &Rig), new: (&Player, &Rig), added: &[NewSwitch]) -> bool {
    let bare = |(player, rig): (&Player, &Rig)| {
        let (mut player, mut rig) = (player.clone(), rig.clone());
        player.spot = None;
        let switches = rig.pedals.switches.take().unwrap_or_default();
        (player, rig, switches.into_iter().map(placeless).collect::<Vec<_>>())
    };
    let (old_player, old_rig, mut wanted) = bare(old);
    let (new_player, new_rig, switches) = bare(new);
    wanted.extend(added.iter().map(as_read));
    (old_player, old_rig, wanted) == (new_player, new_rig, switches)
}

/// The switch as it is read from a file, standing nowhere.
fn as_read(switch: &NewSwitch) -> SwitchLine {
    SwitchLine {
        kind: switch.kind,
        number: Some(switch.number),
        channel: Some(switch.channel),
        sends: match switch.kind {
            SwitchKind::Program => Sends::Single,
            SwitchKind::Control | SwitchKind::Note => switch.sends,
        },
        press: (switch.press.clone(), Spot::default()),
        hold: None,
        spot: Spot::default(),
    }
}

fn placeless(line: SwitchLine) -> SwitchLine {
    let nowhere = |(words, _): (String, Spot)| (words, Spot::default());
    SwitchLine {
        press: nowhere(line.press),
        hold: line.hold.map(nowhere),
        spot: Spot::default(),
        ..line
    }
}

impl Page<'_> {
    fn add_switches(&self, root: At<'_>, switches: &[NewSwitch]) -> Option<Edit> {
        let fields = pairs(root)?;
        let Some(&(key, pedals)) = field(&fields, "pedals") else {
            return match self.style(root, &fields)? {
                Style::Block { indent: 0 } => Some(self.at_the_end(&block(switches))),
                style => self.new_field(style, &fields, "pedals", |quoted| {
                    format!("{{ {} }}", list_field(switches, quoted))
                }),
            };
        };
        match pedals.is() {
            Is::Nothing => self.behind(
                key,
                pedals,
                &format!("{{ {} }}", list_field(switches, self.is_quoted(key))),
            ),
            Is::Group => self.in_pedals(pedals, switches),
            Is::Plain(_) | Is::Quoted(_) | Is::List => None,
        }
    }

    fn in_pedals(&self, pedals: At<'_>, switches: &[NewSwitch]) -> Option<Edit> {
        let fields = pairs(pedals)?;
        if fields.is_empty() {
            let field = list_field(switches, false);
            return self.within(pedals, &format!(" {field} "));
        }
        let Some(&(key, list)) = field(&fields, "switches") else {
            return match self.style(pedals, &fields)? {
                style @ Style::Block { .. } => {
                    let lines = [vec!["switches:".to_owned()], members(switches, 2)].concat();
                    fields.iter().rev().find_map(|last| self.add_after(style, last, &lines))
                }
                style => self.new_field(style, &fields, "switches", |quoted| list_of(switches, quoted)),
            };
        };
        match list.is() {
            Is::Nothing => self.behind(key, list, &list_of(switches, self.is_quoted(key))),
            Is::List => self.in_list(list, switches, self.is_quoted(key)),
            Is::Plain(_) | Is::Quoted(_) | Is::Group => None,
        }
    }

    fn in_list(&self, list: At<'_>, switches: &[NewSwitch], quoted: bool) -> Option<Edit> {
        let (start, end) = list.bytes();
        let Some(last) = list.items().last() else {
            let members = members_of(switches, quoted).join(", ");
            return self.within(list, &format!(" {members} "));
        };
        let behind = self.end(last)?;
        if self.text.get(start..end)? == "[" {
            return Some(Edit {
                at: behind,
                removed: 0,
                new: members_of(switches, quoted)
                    .iter()
                    .map(|member| format!(", {member}"))
                    .collect(),
            });
        }
        // The dash before the last member stands where those of the new ones are to stand.
        let before = self.text.get(..last.bytes().0)?;
        let line = &before[before.rfind(['\n', '\r']).map_or(0, |end| end + 1)..];
        let indent = line.find(|letter| letter != ' ')?;
        if line.get(indent..)?.trim_end_matches(' ') != "-" {
            return None;
        }
        self.add_lines(behind, &members(switches, indent))
    }

    /// A field more, behind the last one that has a safe place behind it.
    fn new_field(&self, style: Style, fields: &[Pair<'_>], name: &str, value: impl Fn(bool) -> String) -> Option<Edit> {
        let quoted = fields.first().is_some_and(|(key, _)| self.is_quoted(*key));
        let name = if quoted { in_quotes(name) } else { name.to_owned() };
        let new = [format!("{name}: {}", value(quoted))];
        fields.iter().rev().find_map(|last| self.add_after(style, last, &new))
    }

    /// Something in an empty list or group, right behind the sign that opens it.
    fn within(&self, node: At<'_>, new: &str) -> Option<Edit> {
        let (start, end) = node.bytes();
        matches!(self.text.get(start..end)?, "{" | "[").then(|| Edit {
            at: end,
            removed: 0,
            new: new.to_owned(),
        })
    }

    /// Whole lines behind all there is.
    fn at_the_end(&self, lines: &[String]) -> Edit {
        let ending = self.first_ending();
        let begun = !self.text.is_empty() && !self.text.ends_with(['\n', '\r']);
        Edit {
            at: self.text.len(),
            removed: 0,
            new: format!("{}{}{ending}", if begun { ending } else { "" }, lines.join(ending)),
        }
    }
}

/// The pedals and their switches, a line each.
fn block(switches: &[NewSwitch]) -> Vec<String> {
    let head = [
        "pedals:",
        "  # A list here replaces the usual switches, all of them.",
        "  switches:",
    ];
    let head = head.map(str::to_owned).to_vec();
    [head, members(switches, 4)].concat()
}

fn members(switches: &[NewSwitch], indent: usize) -> Vec<String> {
    let line = |switch| format!("{}- {}", " ".repeat(indent), member(switch, false));
    switches.iter().map(line).collect()
}

fn members_of(switches: &[NewSwitch], quoted: bool) -> Vec<String> {
    switches.iter().map(|switch| member(switch, quoted)).collect()
}

fn list_of(switches: &[NewSwitch], quoted: bool) -> String {
    format!("[ {} ]", members_of(switches, quoted).join(", "))
}

fn list_field(switches: &[NewSwitch], quoted: bool) -> String {
    let name = if quoted { "\"switches\"" } else { "switches" };
    format!("{name}: {}", list_of(switches, quoted))
}

/// `{ cc: 80, channel: 1, sends: latching, do: next }`; in a file whose names are in quotes, in quotes.
fn member(switch: &NewSwitch, quoted: bool) -> String {
    let name = |name: &str| if quoted { in_quotes(name) } else { name.to_owned() };
    let words = |words: &str| if quoted { in_quotes(words) } else { scalar(words) };
    let kind = match switch.kind {
        SwitchKind::Control => "cc",
        SwitchKind::Note => "note",
        SwitchKind::Program => "program",
    };
    let sends = match (switch.kind, switch.sends) {
        (SwitchKind::Program, _) | (_, Sends::Momentary) => None,
        (_, Sends::Latching) => Some("latching"),
        (_, Sends::Single) => Some("single"),
    };
    let fields = [
        Some(format!("{}: {}", name(kind), switch.number.number())),
        Some(format!("{}: {}", name("channel"), switch.channel.number())),
        sends.map(|sends| format!("{}: {}", name("sends"), words(sends))),
        Some(format!("{}: {}", name("do"), words(&switch.press))),
    ];
    let fields: Vec<String> = fields.into_iter().flatten().collect();
    format!("{{ {} }}", fields.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn switch(cc: u8, sends: Sends, press: &str) -> NewSwitch {
        NewSwitch {
            kind: SwitchKind::Control,
            number: Seven::new(cc.into()).unwrap(),
            channel: Channel::new(1).unwrap(),
            sends,
            press: press.into(),
        }
    }

    const NEW: &str = "{ cc: 20, channel: 1, do: next }";

    #[test]
    fn a_switch_is_added_where_the_list_ends_however_the_file_is_written() {
        for (text, wanted) in [
            (
                "pedals:\n  switches:\n    - { cc: 1, do: back }   # left\n  # the end\nplayer: Wren\n",
                format!("pedals:\n  switches:\n    - {{ cc: 1, do: back }}   # left\n    - {NEW}\n  # the end\nplayer: Wren\n"),
            ),
            (
                "pedals:\n  switches:\n  - cc: 1\n    do: back\n",
                format!("pedals:\n  switches:\n  - cc: 1\n    do: back\n  - {NEW}\n"),
            ),
            (
                "pedals:\r\n  switches:\r\n    - { cc: 1, do: back }",
                format!("pedals:\r\n  switches:\r\n    - {{ cc: 1, do: back }}\r\n    - {NEW}"),
            ),
            (
                "pedals: { switches: [ { cc: 1, do: back } ] } # mine\n",
                format!("pedals: {{ switches: [ {{ cc: 1, do: back }}, {NEW} ] }} # mine\n"),
            ),
            ("pedals: { switches: [] }\n", format!("pedals: {{ switches: [ {NEW} ] }}\n")),
            ("pedals:\n  switches:\nplayer: Wren\n", format!("pedals:\n  switches: [ {NEW} ]\nplayer: Wren\n")),
            ("pedals: {}\n", format!("pedals: {{ switches: [ {NEW} ] }}\n")),
            ("pedals:\nplayer: Wren\n", format!("pedals: {{ switches: [ {NEW} ] }}\nplayer: Wren\n")),
            (
                "pedals:\n  input: [a, b]  # two\n\nplayer: Wren\n",
                format!("pedals:\n  input: [a, b]  # two\n  switches:\n    - {NEW}\n\nplayer: Wren\n"),
            ),
            ("pedals: { hold_ms: 700 }\n", format!("pedals: {{ hold_ms: 700, switches: [ {NEW} ] }}\n")),
            ("{ player: Wren }\n", format!("{{ player: Wren, pedals: {{ switches: [ {NEW} ] }} }}\n")),
            (
                "{ \"player\": \"Wren\" }",
                "{ \"player\": \"Wren\", \"pedals\": { \"switches\": [ { \"cc\": 20, \"channel\": 1, \"do\": \"next\" } ] } }"
                    .into(),
            ),
        ] {
            let new = with_switches(text, &[switch(20, Sends::Momentary, "next")]);
            assert_eq!(new.as_deref(), Some(wanted.as_str()), "{text}");
        }
    }

    #[test]
    fn a_file_without_pedals_gets_them_at_its_end() {
        let pedals =
            format!("pedals:\n  # A list here replaces the usual switches, all of them.\n  switches:\n    - {NEW}\n");
        for (text, between) in [
            ("player: Wren # me\n", ""),
            ("player: Wren", "\n"),
            ("# nothing yet\n", ""),
            ("", ""),
        ] {
            let new = with_switches(text, &[switch(20, Sends::Momentary, "next")]);
            assert_eq!(new, Some(format!("{text}{between}{pedals}")), "{text}");
        }
    }

    #[test]
    fn each_kind_of_switch_is_written_as_the_reader_has_it() {
        let program = NewSwitch {
            kind: SwitchKind::Program,
            ..switch(4, Sends::Single, "song 3")
        };
        for (switch, wanted) in [
            (
                switch(20, Sends::Latching, "again"),
                "{ cc: 20, channel: 1, sends: latching, do: again }",
            ),
            (
                switch(20, Sends::Single, "key-up"),
                "{ cc: 20, channel: 1, sends: single, do: key-up }",
            ),
            (program, "{ program: 4, channel: 1, do: song 3 }"),
            (
                switch(20, Sends::Momentary, "section Verse #1: \"a\""),
                "{ cc: 20, channel: 1, do: \"section Verse #1: \\\"a\\\"\" }",
            ),
        ] {
            assert_eq!(switch_line(&switch), wanted);
        }
    }
}
