//! Changes to a file's text, so that not one byte else of it changes: where they may stand, and how they are made.

use crate::setlist::tree::{At, Is, Tree};
use crate::setlist::words::one_line;
use std::sync::Arc;

/// One change to the text: from a byte on, so many bytes give way to the new ones.
pub(super) struct Edit {
    pub(super) at: usize,
    pub(super) removed: usize,
    pub(super) new: String,
}

/// How a mapping is written.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    /// A field a line, so far in.
    Block { indent: usize },
    /// Between braces.
    Flow,
}

/// A field's key and value.
pub(super) type Pair<'t> = (At<'t>, At<'t>);

/// The text that is looked at.
pub(super) struct Page<'t> {
    pub(super) text: &'t str,
}

/// The text with changes to what it says (nothing at all, perhaps); none where it cannot be read, or where there is no
/// safe place for them. Byte order marks stay.
pub(super) fn edited(text: &str, edits: impl FnOnce(&Page<'_>, Option<At<'_>>) -> Option<Vec<Edit>>) -> Option<String> {
    let plain: Arc<str> = text.trim_start_matches('\u{feff}').into();
    let marks = &text[..text.len() - plain.len()];
    let (tree, faults) = Tree::read(0, &plain);
    if !faults.is_empty() {
        return None;
    }
    let edits = edits(&Page { text: &plain }, tree.root())?;
    Some(format!("{marks}{}", apply(&plain, &edits)?))
}

impl Page<'_> {
    /// Fields after another of the same mapping.
    pub(super) fn add_after(&self, style: Style, last: &Pair<'_>, new: &[String]) -> Option<Edit> {
        let end = self.end(last.1)?;
        match style {
            Style::Flow => Some(Edit {
                at: end,
                removed: 0,
                new: new.iter().map(|field| format!(", {field}")).collect(),
            }),
            Style::Block { indent } => {
                let field = |field: &String| format!("{}{field}", " ".repeat(indent));
                self.add_lines(end, &new.iter().map(field).collect::<Vec<_>>())
            }
        }
    }

    /// Lines below the one on which something ends, with nothing behind that but a comment.
    pub(super) fn add_lines(&self, end: usize, lines: &[String]) -> Option<Edit> {
        let line = self.line_end(end)?;
        let ending = self.ending(line);
        let (at, new) = match ending {
            Some(ending) => (line + ending.len(), format!("{}{ending}", lines.join(ending))),
            None => {
                let ending = self.first_ending();
                (line, format!("{ending}{}", lines.join(ending)))
            }
        };
        Some(Edit { at, removed: 0, new })
    }

    /// A value for a key with nothing behind it, or with a word for nothing.
    pub(super) fn behind(&self, key: At<'_>, nothing: At<'_>, value: &str) -> Option<Edit> {
        let (start, end) = nothing.bytes();
        if start < end {
            return Some(Edit {
                at: start,
                removed: end - start,
                new: value.to_owned(),
            });
        }
        let key_end = key.bytes().1;
        self.text.get(key_end..)?.starts_with(':').then(|| Edit {
            at: key_end + 1,
            removed: 0,
            new: format!(" {value}"),
        })
    }

    /// How a mapping is written, where its fields stand plainly.
    pub(super) fn style(&self, map: At<'_>, fields: &[Pair<'_>]) -> Option<Style> {
        let (start, end) = map.bytes();
        if self.text.get(start..end) == Some("{") {
            return Some(Style::Flow);
        }
        let indents = fields.iter().map(|(key, _)| {
            let before = &self.text.get(..key.bytes().0)?;
            let line = &before[before.rfind(['\n', '\r']).map_or(0, |end| end + 1)..];
            line.chars()
                .all(|letter| matches!(letter, ' ' | '-'))
                .then_some(line.len())
        });
        let indents: Vec<usize> = indents.collect::<Option<_>>()?;
        let indent = *indents.first()?;
        indents
            .iter()
            .all(|other| *other == indent)
            .then_some(Style::Block { indent })
    }

    /// Whether a field is a key, a colon, blanks, and one value on the same line.
    pub(super) fn is_simple(&self, key: At<'_>, value: At<'_>) -> bool {
        let (start, end) = value.bytes();
        let between = self
            .text
            .get(key.bytes().1..start)
            .and_then(|text| text.strip_prefix(':'));
        value.text().is_some()
            && start < end
            && between.is_some_and(|blanks| blanks.chars().all(|letter| letter == ' '))
            && self
                .text
                .get(start..end)
                .is_some_and(|text| !text.contains(['\n', '\r']))
    }

    pub(super) fn is_quoted(&self, key: At<'_>) -> bool {
        self.text.get(key.bytes().0..).is_some_and(|text| text.starts_with('"'))
    }

    /// Where a value's text ends, its closing brace or bracket included.
    pub(super) fn end(&self, node: At<'_>) -> Option<usize> {
        let (start, end) = node.bytes();
        match node.is() {
            Is::Plain(_) | Is::Quoted(_) => {
                (start < end && !self.text.get(start..end)?.contains(['\n', '\r'])).then_some(end)
            }
            Is::Group => {
                let last = node.pairs().last().map_or(Some(end), |(_, value)| self.end(value))?;
                self.closed(start..end, last)
            }
            Is::List => {
                let last = node.items().last().map_or(Some(end), |item| self.end(item))?;
                self.closed(start..end, last)
            }
            Is::Nothing => None,
        }
    }

    /// The end of a list or group that opens with these bytes and whose last member ends there.
    fn closed(&self, opens: std::ops::Range<usize>, last: usize) -> Option<usize> {
        match self.text.get(opens)? {
            "{" => self.close(last, '}'),
            "[" => self.close(last, ']'),
            _ => Some(last),
        }
    }

    /// Behind the next closing sign, with nothing but blanks, a comma and comments before it.
    fn close(&self, mut at: usize, sign: char) -> Option<usize> {
        loop {
            let rest = self.text.get(at..)?;
            match rest.chars().next()? {
                found if found == sign => return Some(at + 1),
                ' ' | '\t' | '\n' | '\r' | ',' => at += 1,
                '#' => at += rest.find(['\n', '\r'])?,
                _ => return None,
            }
        }
    }

    /// Where the line ends that has nothing but blanks and a comment from here on.
    pub(super) fn line_end(&self, at: usize) -> Option<usize> {
        let rest = self.text.get(at..)?;
        let rest = &rest[..rest.find(['\n', '\r']).unwrap_or(rest.len())];
        let blank = rest.trim_start_matches([' ', '\t']);
        let comment = blank.starts_with('#') && blank.len() < rest.len();
        (blank.is_empty() || comment).then_some(at + rest.len())
    }

    /// The line ending that stands here; none at the end of the text.
    pub(super) fn ending(&self, at: usize) -> Option<&'static str> {
        let rest = &self.text[at..];
        ["\r\n", "\n", "\r"].into_iter().find(|ending| rest.starts_with(ending))
    }

    /// How this file ends its lines.
    pub(super) fn first_ending(&self) -> &'static str {
        self.text
            .find(['\n', '\r'])
            .and_then(|at| self.ending(at))
            .unwrap_or("\n")
    }
}

/// The changes made, from the first byte on; none where they overlap, as they do when two songs are one by an alias.
fn apply(text: &str, edits: &[Edit]) -> Option<String> {
    let mut new = String::with_capacity(text.len() + edits.iter().map(|edit| edit.new.len()).sum::<usize>());
    let mut done = 0;
    for (place, edit) in edits.iter().enumerate() {
        if place > 0 && edit.at <= edits[place - 1].at {
            return None;
        }
        new.push_str(text.get(done..edit.at)?);
        new.push_str(&edit.new);
        done = edit.at + edit.removed;
    }
    new.push_str(text.get(done..)?);
    Some(new)
}

pub(super) fn pairs(node: At<'_>) -> Option<Vec<Pair<'_>>> {
    node.is_group().then(|| node.pairs().collect())
}

pub(super) fn field<'p, 't>(pairs: &'p [Pair<'t>], name: &str) -> Option<&'p Pair<'t>> {
    pairs
        .iter()
        .find(|(key, _)| key.text().map(one_line).as_deref() == Some(name))
}

/// In double quotes, whose escapes YAML and JSON share.
pub(super) fn in_quotes(name: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in name.chars() {
        match letter {
            '"' | '\\' => quoted.extend(['\\', letter]),
            letter => quoted.push(letter),
        }
    }
    quoted.push('"');
    quoted
}
