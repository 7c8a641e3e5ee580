//! A YAML file as a tree of values that know where they stand, made even of a file that breaks off in the middle.

mod build;

use crate::setlist::syntax::{self, Mend};
use crate::setlist::{Finding, Spot};
use build::Builder;
use std::collections::HashSet;
use std::sync::Arc;

/// One file, read. Values are small and lie in one list; what stands in the file as it is read is not copied.
pub(super) struct Tree {
    file: u16,
    text: Arc<str>,
    values: Vec<Value>,
    /// The members of lists and groups, each group's as name, value, name, value.
    members: Vec<Id>,
    /// Texts that are not read as they stand in the file: folded lines, escapes.
    built: Vec<Box<str>>,
    root: Option<Id>,
    /// Of which more may have been meant: what was being read where the file breaks off, and aliases for nothing.
    unsure: HashSet<Id>,
    broken: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct Id(u32);

#[derive(Clone, Copy)]
struct Value {
    what: What,
    /// In bytes, with its quotes; of a list or group its first sign alone. [`ELSEWHERE`] for an alias.
    start: u32,
    end: u32,
    line: u32,
    column: u32,
    len: u32,
}

#[derive(Clone, Copy)]
enum What {
    Nothing,
    /// Without quotes, so that it may be a number or a truth value.
    Plain(Words),
    Quoted(Words),
    List(Members),
    Group(Members),
}

#[derive(Clone, Copy)]
enum Words {
    /// As they stand in the file, in bytes.
    Here(u32, u32),
    Built(u32),
}

#[derive(Clone, Copy)]
struct Members {
    from: u32,
    count: u32,
}

/// A value in its tree.
#[derive(Clone, Copy)]
pub(super) struct At<'t> {
    tree: &'t Tree,
    id: Id,
}

/// What a value is.
#[derive(Clone, Copy)]
pub(super) enum Is<'t> {
    Nothing,
    Plain(&'t str),
    Quoted(&'t str),
    List,
    Group,
}

/// The start of what an alias stands for: it is written in another place than the alias.
const ELSEWHERE: u32 = u32::MAX;
/// Chord lines without their quotes that are read past, each of which has the file scanned once more.
const MOST_MENDED: usize = 100;
/// So that mending a long file stays fast.
const MOST_BYTES_MENDED: usize = 32 << 20;

impl Tree {
    /// Reads a file's text, with every fault in its YAML that can be told apart from those before it.
    pub(super) fn read(file: u16, text: &Arc<str>) -> (Tree, Vec<Finding>) {
        let mut faults = Vec::new();
        let mut mended: Option<String> = None;
        let mut mends = Vec::new();
        loop {
            let source = mended.as_deref().unwrap_or(text);
            let mut builder = Builder::new(file, text);
            let Err(broken) = builder.take_all(source) else {
                let (mut tree, others) = builder.into_tree();
                tree.set_right(&mends);
                faults.extend(others.into_iter().map(|fault| set_right(fault, &mends)));
                return (tree, faults);
            };
            let may_mend = faults.len() < MOST_MENDED && source.len() * (faults.len() + 1) < MOST_BYTES_MENDED;
            match syntax::bare_chords(source, broken.at()).filter(|_| may_mend) {
                Some(bare) => {
                    faults.push(set_right(bare.finding(file), &mends));
                    let (source, mend) = bare.mend(source);
                    mended = Some(source);
                    mends.extend(mend);
                }
                None => {
                    builder.break_off();
                    let (mut tree, mut others) = builder.into_tree();
                    tree.set_right(&mends);
                    others.push(broken.finding(file, source));
                    faults.extend(others.into_iter().map(|fault| set_right(fault, &mends)));
                    return (tree, faults);
                }
            }
        }
    }

    /// Columns as they are in the file, where chords before them were mended.
    fn set_right(&mut self, mends: &[Mend]) {
        if !mends.is_empty() {
            for value in &mut self.values {
                value.column = Mend::column(mends, value.line, value.column);
            }
        }
    }

    /// The whole of the file; none where it is empty.
    pub(super) fn root(&self) -> Option<At<'_>> {
        self.root.map(|id| At { tree: self, id })
    }

    pub(super) fn file(&self) -> u16 {
        self.file
    }

    /// Whether the file broke off before its end.
    pub(super) fn is_broken(&self) -> bool {
        self.broken
    }

    fn words(&self, words: Words) -> &str {
        let words = match words {
            Words::Here(from, to) => self.text.get(from as usize..to as usize),
            Words::Built(place) => self.built.get(place as usize).map(AsRef::as_ref),
        };
        words.unwrap_or_default()
    }
}

fn set_right(mut fault: Finding, mends: &[Mend]) -> Finding {
    if let Some(spot) = &mut fault.spot {
        spot.column = Mend::column(mends, spot.line, spot.column);
    }
    fault
}

impl<'t> At<'t> {
    pub(super) fn is(self) -> Is<'t> {
        match self.value().what {
            What::Nothing => Is::Nothing,
            What::Plain(words) => Is::Plain(self.tree.words(words)),
            What::Quoted(words) => Is::Quoted(self.tree.words(words)),
            What::List(_) => Is::List,
            What::Group(_) => Is::Group,
        }
    }

    /// The text of a single value.
    pub(super) fn text(self) -> Option<&'t str> {
        match self.is() {
            Is::Plain(text) | Is::Quoted(text) => Some(text),
            Is::Nothing | Is::List | Is::Group => None,
        }
    }

    pub(super) fn is_nothing(self) -> bool {
        matches!(self.value().what, What::Nothing)
    }

    pub(super) fn is_list(self) -> bool {
        matches!(self.value().what, What::List(_))
    }

    pub(super) fn is_group(self) -> bool {
        matches!(self.value().what, What::Group(_))
    }

    /// Whether more may have been meant: the file broke off there, or it is an alias for nothing.
    pub(super) fn is_unsure(self) -> bool {
        self.tree.unsure.contains(&self.id)
    }

    pub(super) fn spot(self) -> Spot {
        let Value { line, column, len, .. } = *self.value();
        Spot {
            file: self.tree.file,
            line,
            column,
            len,
        }
    }

    pub(super) fn file(self) -> u16 {
        self.tree.file
    }

    /// Where its text begins and ends in the file, in bytes, with its quotes; of a list or group its first sign alone.
    /// An alias stands nowhere.
    pub(super) fn bytes(self) -> (usize, usize) {
        (self.value().start as usize, self.value().end as usize)
    }

    /// The members of a list.
    pub(super) fn items(self) -> impl ExactSizeIterator<Item = At<'t>> + use<'t> {
        let members = match self.value().what {
            What::List(members) => self.members(members),
            What::Nothing | What::Plain(_) | What::Quoted(_) | What::Group(_) => &[],
        };
        members.iter().map(move |&id| At { id, ..self })
    }

    /// The members of a group, name and value, in the order written.
    pub(super) fn pairs(self) -> impl ExactSizeIterator<Item = (At<'t>, At<'t>)> + use<'t> {
        let members = match self.value().what {
            What::Group(members) => self.members(members),
            What::Nothing | What::Plain(_) | What::Quoted(_) | What::List(_) => &[],
        };
        let at = move |id| At { id, ..self };
        members.chunks_exact(2).map(move |pair| (at(pair[0]), at(pair[1])))
    }

    /// The place of so many characters in its text, also where lines are folded or signs escaped.
    pub(super) fn spot_within(self, chars: usize, len: usize) -> Spot {
        let start = self.value().start as usize;
        match (self.value().what, self.text()) {
            _ if self.value().start == ELSEWHERE => self.spot(),
            (What::Plain(Words::Here(from, _)) | What::Quoted(Words::Here(from, _)), Some(text)) => {
                let ahead = text.chars().take(chars).map(char::len_utf8).sum::<usize>();
                self.spot_of_byte(from as usize + ahead, len)
            }
            (_, Some(text)) => {
                let source = self.tree.text.get(start..).unwrap_or_default();
                let find = |place| syntax::find_folded(source, text, place);
                match (find(chars), find(chars + len.saturating_sub(1))) {
                    (Some((from, _)), Some((_, to))) => {
                        // What is meant may be longer where it is written with escapes.
                        let written = source.get(from..to).unwrap_or_default();
                        self.spot_of_byte(start + from, written.chars().count())
                    }
                    (Some((from, _)), None) => self.spot_of_byte(start + from, len),
                    (None, _) => self.spot(),
                }
            }
            (_, None) => self.spot(),
        }
    }

    /// The place of a byte at or after this value's start.
    fn spot_of_byte(self, byte: usize, len: usize) -> Spot {
        let Spot { file, line, column, .. } = self.spot();
        let between = self
            .tree
            .text
            .get(self.value().start as usize..byte)
            .unwrap_or_default();
        let (lines, columns) = syntax::lines_and_columns(between);
        Spot {
            file,
            line: line + lines,
            column: if lines == 0 { column + columns } else { columns + 1 },
            len: len.max(1) as u32,
        }
    }

    /// What stands on its line before it and behind it, where it is written there without quotes.
    pub(super) fn around(self) -> (&'t str, &'t str) {
        let start = self.value().start as usize;
        let end = match self.value().what {
            What::Plain(Words::Here(_, end)) => end as usize,
            What::Nothing => start,
            What::Plain(Words::Built(_)) | What::Quoted(_) | What::List(_) | What::Group(_) => return ("", ""),
        };
        let text = &self.tree.text;
        let (Some(before), Some(after)) = (text.get(..start), text.get(end..)) else {
            return ("", "");
        };
        let before = before.rsplit(['\n', '\r']).next().unwrap_or_default();
        (before, after.split(['\n', '\r']).next().unwrap_or_default())
    }

    fn value(self) -> &'t Value {
        &self.tree.values[self.id.0 as usize]
    }

    fn members(self, members: Members) -> &'t [Id] {
        &self.tree.members[members.from as usize..][..members.count as usize]
    }
}
