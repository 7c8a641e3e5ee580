//! Typed readers over a file's tree: each takes what it can, notes what is wrong, and goes on.

use crate::setlist::node::{Kind, Node};
use crate::setlist::{Finding, Rule, Spot};

/// Reads one file's tree and gathers what is wrong with it.
pub(super) struct Walk<'a> {
    pub(super) findings: &'a mut Vec<Finding>,
    /// The song and section being read, for findings.
    pub(super) song: Option<String>,
    pub(super) section: Option<String>,
}

/// A node with the file that it stands in.
#[derive(Clone, Copy, Debug)]
pub(super) struct In<'n> {
    pub(super) file: u16,
    pub(super) node: &'n Node,
}

/// The fields of a map that are known there.
pub(super) struct Fields<'n> {
    found: Vec<(&'n str, In<'n>)>,
    /// The map itself.
    pub(super) whole: In<'n>,
}

impl<'n> In<'n> {
    pub(super) fn with(self, node: &'n Node) -> In<'n> {
        In { node, ..self }
    }

    pub(super) fn spot(self) -> Spot {
        let len = match &self.node.kind {
            Kind::Text(text) => text.chars().take_while(|letter| *letter != '\n').count(),
            Kind::Nothing | Kind::Unquoted | Kind::List(_) | Kind::Map(_) => 1,
        };
        let place = self.node.place;
        Spot {
            file: self.file,
            line: place.line,
            column: place.column,
            len: len.max(1) as u32,
        }
    }

    /// The text of a single value.
    pub(super) fn text(self) -> Option<&'n str> {
        match &self.node.kind {
            Kind::Text(text) => Some(text),
            Kind::Nothing | Kind::Unquoted | Kind::List(_) | Kind::Map(_) => None,
        }
    }

    fn is_nothing(self) -> bool {
        matches!(self.node.kind, Kind::Nothing)
    }
}

impl<'n> Fields<'n> {
    pub(super) fn get(&self, name: &str) -> Option<In<'n>> {
        self.found
            .iter()
            .find(|(known, value)| *known == name && !value.is_nothing())
            .map(|(_, value)| *value)
    }

    /// These fields where they are given, else those of `under`.
    pub(super) fn over(mut self, under: Fields<'n>) -> Fields<'n> {
        for (name, value) in under.found {
            if self.get(name).is_none() {
                self.found.push((name, value));
            }
        }
        self
    }
}

impl<'a> Walk<'a> {
    pub(super) fn new(findings: &'a mut Vec<Finding>) -> Walk<'a> {
        Walk {
            findings,
            song: None,
            section: None,
        }
    }

    pub(super) fn fault(&mut self, rule: Rule, spot: Spot, message: String, hint: Option<String>) {
        let (song, section) = (self.song.clone(), self.section.clone());
        self.findings.push(Finding {
            rule,
            spot: Some(spot),
            song,
            section,
            message,
            hint,
        });
    }

    pub(super) fn wrong(&mut self, at: In<'_>, message: String, hint: Option<String>) {
        self.fault(Rule::Format, at.spot(), message, hint);
    }

    /// A map's fields; an unknown one, or one that stands twice, is a fault.
    pub(super) fn fields<'n>(&mut self, at: In<'n>, what: &str, known: &[&'n str]) -> Fields<'n> {
        let mut fields = Fields {
            found: Vec::new(),
            whole: at,
        };
        for (key, name, value) in self.pairs(at, what) {
            let Some(field) = known.iter().find(|known| **known == name) else {
                let hint = match near(name, known.iter().copied()) {
                    Some(near) => format!("Did you mean `{near}`?"),
                    None => format!("The fields of {what} are {}.", list(known)),
                };
                self.wrong(key, format!("{what} has no field `{}`", cut(name)), Some(hint));
                continue;
            };
            if fields.found.iter().any(|(known, _)| known == field) {
                self.wrong(key, format!("`{field}` stands twice"), None);
                continue;
            }
            fields.found.push((field, value));
        }
        fields
    }

    /// A map's keys, their names and values, in the order written.
    pub(super) fn pairs<'n>(&mut self, at: In<'n>, what: &str) -> Vec<(In<'n>, &'n str, In<'n>)> {
        let Kind::Map(pairs) = &at.node.kind else {
            if !at.is_nothing() {
                self.wrong(at, format!("{what} is {} here, not a group of fields", found(at)), None);
            }
            return Vec::new();
        };
        let mut named = Vec::with_capacity(pairs.len());
        for (key, value) in pairs {
            let key = at.with(key);
            match key.text() {
                Some(name) => named.push((key, name, at.with(value))),
                None => self.wrong(
                    key,
                    format!("a name was expected here, not {}", key.node.called()),
                    None,
                ),
            }
        }
        named
    }

    pub(super) fn items<'n>(&mut self, at: In<'n>, what: &str) -> Vec<In<'n>> {
        match &at.node.kind {
            Kind::List(items) => items.iter().map(|item| at.with(item)).collect(),
            Kind::Nothing => Vec::new(),
            Kind::Text(_) | Kind::Unquoted | Kind::Map(_) => {
                self.wrong(at, format!("{what} is a list, not {}", found(at)), None);
                Vec::new()
            }
        }
    }

    /// A single value's text.
    pub(super) fn text<'n>(&mut self, at: In<'n>, what: &str) -> Option<&'n str> {
        let text = at.text();
        if text.is_none() {
            self.wrong(at, format!("{what} is one value, not {}", at.node.called()), None);
        }
        text
    }

    /// Text on one line that is not blank.
    pub(super) fn name<'n>(&mut self, at: In<'n>, what: &str) -> Option<&'n str> {
        let text = self.text(at, what)?.trim();
        if text.is_empty() {
            self.wrong(at, format!("{what} is blank"), None);
            return None;
        }
        Some(text)
    }

    /// A value that `read` understands; `wanted` says what was expected.
    pub(super) fn value<T>(
        &mut self,
        at: In<'_>,
        what: &str,
        wanted: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let text = self.text(at, what)?;
        let value = read(text.trim());
        if value.is_none() {
            self.wrong(at, format!("{what} is {wanted}, not `{}`", cut(text)), None);
        }
        value
    }

    /// One of a few words; a near one is suggested.
    pub(super) fn choice<T: Copy>(&mut self, at: In<'_>, what: &str, choices: &[(&str, T)]) -> Option<T> {
        let text = self.text(at, what)?.trim();
        if let Some((_, value)) = choices.iter().find(|(name, _)| *name == text) {
            return Some(*value);
        }
        let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
        let hint = near(text, names.iter().copied()).map(|near| format!("Did you mean `{near}`?"));
        self.wrong(at, format!("{what} is {}, not `{}`", either(&names), cut(text)), hint);
        None
    }

    /// A field that must be there.
    pub(super) fn required<'n>(&mut self, fields: &Fields<'n>, name: &str, what: &str) -> Option<In<'n>> {
        let field = fields.get(name);
        if field.is_none() {
            self.wrong(fields.whole, format!("{what} needs a field `{name}`"), None);
        }
        field
    }
}

/// The nearest of the names, at most a third of its letters away.
pub(super) fn near<'n>(text: &str, names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    // A name of hundreds of letters is nobody's slip of the finger.
    if text.len() > 100 {
        return None;
    }
    let lower = text.to_lowercase();
    let distances = names
        .into_iter()
        .map(|name| (strsim::osa_distance(&lower, &name.to_lowercase()), name));
    distances
        .filter(|(distance, name)| distance * 3 <= name.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// What was found, short enough for a message.
pub(super) fn cut(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut letters = text.chars();
    let short: String = letters.by_ref().take(LONGEST).collect();
    if letters.next().is_some() {
        format!("{short}…")
    } else {
        short
    }
}

fn found(at: In<'_>) -> String {
    at.text()
        .map_or_else(|| at.node.called().into(), |text| format!("`{}`", cut(text)))
}

fn list(names: &[&str]) -> String {
    match names {
        [] => "none".into(),
        [only] => format!("`{only}`"),
        [most @ .., last] => {
            let most: Vec<String> = most.iter().map(|name| format!("`{name}`")).collect();
            format!("{} and `{last}`", most.join(", "))
        }
    }
}

fn either(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => format!("`{only}`"),
        [most @ .., last] => {
            let most: Vec<String> = most.iter().map(|name| format!("`{name}`")).collect();
            format!("{} or `{last}`", most.join(", "))
        }
    }
}
