//! Typed readers over a file's tree, by the tables of `shape`: each takes what it can, notes what is wrong, and goes on.

use crate::music::{AskedKey, Family, Fret, NotAKey};
use crate::setlist::scalar;
use crate::setlist::shape::{Field, Kind, Shape};
use crate::setlist::syntax::cut;
use crate::setlist::tree::{At, Is};
use crate::setlist::words::{either, found, list, near, one_line};
use crate::setlist::{Channel, Finding, Level, Meter, Rule, Seven, Spot};

/// Gathers what is wrong with the files of one reading.
#[derive(Default)]
pub(super) struct Walk {
    findings: Vec<Finding>,
    /// So many errors, and other findings, were made.
    errors: usize,
    others: usize,
    /// The rule of the last finding, no error, that was too many to be kept.
    last_left_out: Option<Rule>,
    /// The song and section being read, for findings.
    pub(super) song: Option<String>,
    pub(super) section: Option<String>,
}

/// The fields of a group, by their place in its shape.
#[derive(Clone, Copy)]
pub(super) struct Fields<'t> {
    shape: &'static Shape,
    values: [Option<At<'t>>; MOST_FIELDS],
    /// The group itself.
    pub(super) whole: At<'t>,
    /// Whether more fields may have been meant than could be read.
    pub(super) partial: bool,
    /// Fields that are there in some way: with a wrong name, or as an alias for nothing.
    meant: [bool; MOST_FIELDS],
    unknown: bool,
}

/// A field that is given.
#[derive(Clone, Copy)]
pub(super) struct Given<'t> {
    pub(super) field: &'static Field,
    pub(super) at: At<'t>,
}

const MOST_FIELDS: usize = 11;
/// Errors kept, and as many other findings; nobody reads on.
const MOST_FINDINGS: usize = 1000;

impl<'t> Fields<'t> {
    pub(super) fn get(&self, name: &str) -> Option<Given<'t>> {
        let place = self.shape.place(name);
        debug_assert!(place.is_some(), "{} has no field {name}", self.shape.called);
        let place = place?;
        Some(Given {
            field: &self.shape.fields[place],
            at: self.values[place].filter(|at| !at.is_nothing())?,
        })
    }

    /// Whether fields may be missing because they could not be told.
    pub(super) fn may_lack(&self) -> bool {
        self.partial || self.unknown || self.meant.contains(&true)
    }

    /// A field that is named but left empty.
    pub(super) fn empty(&self, name: &str) -> Option<At<'t>> {
        self.values[self.shape.place(name)?].filter(|at| at.is_nothing())
    }

    /// The fields without this one.
    pub(super) fn without(mut self, name: &str) -> Fields<'t> {
        if let Some(place) = self.shape.place(name) {
            self.values[place] = None;
        }
        self
    }

    /// These fields where they are given, else those of `under`.
    pub(super) fn over(mut self, under: &Fields<'t>) -> Fields<'t> {
        for (value, under) in self.values.iter_mut().zip(under.values) {
            *value = value.filter(|at| !at.is_nothing()).or(under);
        }
        for (meant, under) in self.meant.iter_mut().zip(under.meant) {
            *meant |= under;
        }
        self.partial |= under.partial;
        self
    }
}

impl Walk {
    pub(super) fn add(&mut self, finding: Finding) {
        let is_error = finding.rule.level() == Level::Error;
        // Hints are not to crowd out what keeps the file from being read.
        let count = if is_error { &mut self.errors } else { &mut self.others };
        *count += 1;
        if *count <= MOST_FINDINGS {
            self.findings.push(finding);
        } else if !is_error {
            self.last_left_out = Some(finding.rule);
        }
    }

    /// Whether anything found is an error.
    pub(super) fn has_failed(&self) -> bool {
        self.errors > 0
    }

    /// All that was found.
    pub(super) fn into_findings(mut self) -> Vec<Finding> {
        let more = |count: usize| format!("{} findings more are not shown", count - MOST_FINDINGS);
        if self.errors > MOST_FINDINGS {
            self.findings.push(Finding::format(None, more(self.errors), None));
        }
        if let Some(rule) = self.last_left_out {
            let left_out = Finding::format(None, more(self.others), None);
            self.findings.push(Finding { rule, ..left_out });
        }
        self.findings
    }

    pub(super) fn fault(&mut self, rule: Rule, spot: Spot, message: String, hint: Option<String>) {
        let (song, section) = (self.song.clone(), self.section.clone());
        self.add(Finding {
            rule,
            spot: Some(spot),
            song,
            section,
            message,
            hint,
        });
    }

    /// A fault of the file's form. What the file broke off in is told of by itself.
    pub(super) fn wrong(&mut self, at: At<'_>, message: String, hint: Option<String>) {
        if at.is_unsure() {
            return;
        }
        self.fault(Rule::Format, at.spot(), message, hint);
    }

    /// A group's fields; an unknown one, or one that stands twice, is a fault. What is missing is not.
    pub(super) fn fields<'t>(&mut self, at: At<'t>, shape: &'static Shape) -> Fields<'t> {
        debug_assert!(shape.fields.len() <= MOST_FIELDS);
        let mut fields = Fields {
            shape,
            values: [None; MOST_FIELDS],
            whole: at,
            meant: [false; MOST_FIELDS],
            unknown: false,
            partial: at.is_unsure() || !matches!(at.is(), Is::Group | Is::Nothing),
        };
        let mut seen = [false; MOST_FIELDS];
        if !matches!(at.is(), Is::Group | Is::Nothing) {
            let hint = format!("Fields are written like `{}`.", shape.example);
            let message = format!("{} {} a group of fields, not {}", shape.called, shape.is(), found(at));
            self.wrong(at, message, Some(hint));
        }
        for (key, value) in at.pairs() {
            let Some(name) = self.name_of(key) else { continue };
            match shape.place(name) {
                None => {
                    fields.unknown = true;
                    if let Some(place) = self.unknown_field(key, name, shape) {
                        fields.meant[place] = true;
                    }
                }
                Some(place) if seen[place] => {
                    self.wrong(key, format!("`{name}` stands twice in {}", shape.this()), None);
                }
                Some(place) => {
                    seen[place] = true;
                    fields.values[place] = Some(value);
                    fields.meant[place] |= value.is_unsure();
                }
            }
        }
        fields
    }

    /// The text of a group's name.
    fn name_of<'t>(&mut self, key: At<'t>) -> Option<&'t str> {
        let name = key.text();
        if name.is_none() {
            self.wrong(key, format!("a name was expected here, not {}", found(key)), None);
        }
        name
    }

    /// The place of the field that was meant, where one is near.
    fn unknown_field(&mut self, key: At<'_>, name: &str, shape: &Shape) -> Option<usize> {
        let meant = near(name, shape.names()).or_else(|| shape.usual(name));
        let hint = match meant {
            Some(near) => format!("Did you mean `{near}`?"),
            None if shape.names().any(|field| field == "pin") && ["capo", "fret", "shapes"].contains(&name) => {
                "The plan finds it; `pin: { Wren: { fret: 3 } }` holds a player's capo where it must be.".into()
            }
            None if name == "<<" => "Behind `<<` stands an alias for a group of fields.".into(),
            None => format!("The fields of {} are {}.", shape.called, list(shape.names())),
        };
        let message = format!("{} {} no field `{}`", shape.called, shape.has(), cut(name));
        self.wrong(key, message, Some(hint));
        shape.place(meant?)
    }

    /// A field that must be there; without it the fault stands at `near`.
    pub(super) fn required<'t>(&mut self, fields: &Fields<'t>, name: &str, near: At<'_>) -> Option<Given<'t>> {
        let field = fields.get(name);
        let place = fields.shape.place(name)?;
        if field.is_none() && !fields.partial && !fields.meant[place] {
            let message = format!("`{name}` is missing in {}", fields.shape.this());
            self.wrong(near, message, Some(fields.shape.fields[place].says.into()));
        }
        field
    }

    /// Names of one's own with what stands under them, in the order written; a name that stands twice is a fault.
    pub(super) fn named<'t>(&mut self, given: Given<'t>) -> Vec<(At<'t>, String, At<'t>)> {
        if !matches!(given.at.is(), Is::Group) {
            let message = format!(
                "`{}` holds names, each with what is under it, not {}",
                given.field.name,
                found(given.at)
            );
            self.wrong(given.at, message, Some(given.field.says.into()));
        }
        let pairs = given.at.pairs();
        let mut named: Vec<(At<'t>, String, At<'t>)> = Vec::with_capacity(pairs.len());
        let mut seen = std::collections::HashSet::new();
        for (key, value) in pairs {
            let Some(name) = self.name_of(key) else { continue };
            let name = one_line(name);
            if name.is_empty() {
                self.wrong(key, format!("a name in `{}` is blank", given.field.name), None);
            } else if !seen.insert(name.clone()) {
                self.wrong(
                    key,
                    format!("`{}` stands twice in `{}`", cut(&name), given.field.name),
                    None,
                );
            } else {
                named.push((key, name, value));
            }
        }
        named
    }

    pub(super) fn items<'t>(&mut self, given: Given<'t>) -> impl ExactSizeIterator<Item = At<'t>> + use<'t> {
        if !matches!(given.at.is(), Is::List) {
            let message = format!("`{}` is a list, not {}", given.field.name, found(given.at));
            let hint = match given.at.text() {
                Some(text) => format!("A list is written `[{}]`, or with `- ` before each member.", cut(text)),
                None => "A list has `- ` before each member, or stands in `[` and `]`.".into(),
            };
            self.wrong(given.at, message, Some(hint));
        }
        given.at.items()
    }

    /// A text on one line.
    pub(super) fn text(&mut self, given: Given<'_>) -> Option<String> {
        let Given { field, at } = given;
        let Some(text) = at.text() else {
            return self.not(given, "a text");
        };
        let text = one_line(text);
        if text.is_empty() && !matches!(field.kind, Kind::Text { blank: true } | Kind::Chords) {
            self.wrong(at, format!("`{}` is blank", field.name), Some(field.says.into()));
            return None;
        }
        Some(text)
    }

    /// The same, where a number would mean nothing.
    pub(super) fn words(&mut self, given: Given<'_>) -> Option<String> {
        if plain(given.at).and_then(scalar::number).is_some() {
            return self.not(given, "a text");
        }
        self.text(given)
    }

    pub(super) fn number(&mut self, given: Given<'_>) -> Option<f64> {
        let Kind::Number { from, to } = given.field.kind else {
            return self.not_read(given);
        };
        let read = plain(given.at)
            .and_then(scalar::number)
            .filter(|number| (from..=to).contains(number));
        read.or_else(|| self.not(given, &format!("a number from {from} to {to}")))
    }

    pub(super) fn whole(&mut self, given: Given<'_>) -> Option<i64> {
        let Kind::Whole { from, to } = given.field.kind else {
            return self.not_read(given);
        };
        let read = plain(given.at)
            .and_then(scalar::whole)
            .filter(|number| (from..=to).contains(number));
        read.or_else(|| self.not(given, &format!("a whole number from {from} to {to}")))
    }

    pub(super) fn seven(&mut self, given: Given<'_>) -> Option<Seven> {
        self.whole(given).and_then(Seven::new)
    }

    pub(super) fn channel(&mut self, given: Given<'_>) -> Option<Channel> {
        self.whole(given).and_then(Channel::new)
    }

    pub(super) fn fret(&mut self, given: Given<'_>) -> Option<Fret> {
        self.whole(given).and_then(|fret| Fret::new(fret).ok())
    }

    /// `Some(None)` for `any`.
    pub(super) fn seven_or_any(&mut self, given: Given<'_>) -> Option<Option<Seven>> {
        if given.at.text() == Some("any") {
            return Some(None);
        }
        let read = plain(given.at).and_then(scalar::whole).and_then(Seven::new);
        read.map(Some)
            .or_else(|| self.not(given, "a whole number from 0 to 127, or `any`"))
    }

    pub(super) fn flag(&mut self, given: Given<'_>) -> Option<bool> {
        let read = plain(given.at).and_then(scalar::flag);
        read.or_else(|| self.not(given, "`true` or `false`"))
    }

    /// One of a few words.
    pub(super) fn word(&mut self, given: Given<'_>) -> Option<&'static str> {
        let Kind::Word(words) = given.field.kind else {
            return self.not_read(given);
        };
        let text = given.at.text().map(str::trim);
        if let Some(word) = text.and_then(|text| words.iter().find(|word| **word == text)) {
            return Some(word);
        }
        match text.and_then(|text| near(text, words.iter().copied())) {
            Some(near) => {
                let message = format!("`{}` is {}, not {}", given.field.name, either(words), found(given.at));
                self.wrong(given.at, message, Some(format!("Did you mean `{near}`?")));
                None
            }
            None => self.not(given, &either(words)),
        }
    }

    pub(super) fn key(&mut self, given: Given<'_>) -> Option<AskedKey> {
        let Some(text) = given.at.text() else {
            return self.not(given, "a text");
        };
        match AskedKey::parse(text) {
            Ok(key) => {
                if let Some(asked) = key.asked_signs() {
                    let message = format!("{asked} is read as {}, which has fewer accidentals", key.key().signs());
                    self.fault(Rule::KeyRespelled, given.at.spot(), message, None);
                }
                Some(key)
            }
            Err(error) => {
                self.wrong(given.at, error.to_string(), Some(NotAKey::HINT.into()));
                None
            }
        }
    }

    pub(super) fn meter(&mut self, given: Given<'_>) -> Option<Meter> {
        let read = given.at.text().and_then(|text| {
            let (beats, unit) = text.split_once('/')?;
            let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit()) && !text.starts_with('0');
            let figure = |text: &str| text.trim().parse().ok().filter(|_| digits(text.trim()));
            Meter::new(figure(beats)?, figure(unit)?)
        });
        read.or_else(|| self.not(given, "like `4/4` or `6/8`"))
    }

    pub(super) fn family(&mut self, given: Given<'_>) -> Option<Family> {
        let read = given.at.text().and_then(Family::parse);
        read.or_else(|| self.not(given, "`C`, `A`, `G`, `E` or `D`"))
    }

    /// Says that a value is not what its field wants.
    pub(super) fn not<T>(&mut self, given: Given<'_>, wanted: &str) -> Option<T> {
        let Given { field, at } = given;
        let is_number = matches!(
            field.kind,
            Kind::Number { .. } | Kind::Whole { .. } | Kind::SevenOrAny | Kind::Flag
        );
        let quoted = match at.is() {
            Is::Quoted(text) if is_number => scalar::number(text).is_some() || scalar::flag(text).is_some(),
            _ => false,
        };
        let (found, hint) = match at.text().filter(|_| quoted) {
            Some(text) => (format!("the text `\"{}\"`", cut(text)), "Take the quotes away."),
            None => (found(at), field.says),
        };
        let message = format!("`{}` is {wanted}, not {found}", field.name);
        self.wrong(at, message, Some(hint.into()));
        None
    }

    /// Where table and reader disagree about a field, which a test would have shown.
    fn not_read<T>(&self, given: Given<'_>) -> Option<T> {
        debug_assert!(false, "`{}` is read as another kind than its own", given.field.name);
        None
    }
}

/// Text without quotes, which may be a number.
fn plain(at: At<'_>) -> Option<&str> {
    match at.is() {
        Is::Plain(text) => Some(text),
        Is::Nothing | Is::Quoted(_) | Is::List | Is::Group => None,
    }
}
