//! Making a tree out of the scanner's events.

use super::{At, ELSEWHERE, Id, Is, Members, Tree, Value, What, Words};
use crate::setlist::scalar;
use crate::setlist::syntax::{self, Broken};
use crate::setlist::{Finding, Spot};
use granit_parser::{Event, Options, Parser, ScalarStyle, Span, Tag};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// Values that one file may hold, those that aliases stand for counted each time. A set of 100,000 songs with a section
/// each holds 1.5 million.
const MOST_VALUES: u64 = 4_000_000;
/// Faults of this kind in a file, after which nobody reads on.
const MOST_FAULTS: usize = 1000;
/// Levels of lists and groups; a set needs eight.
const MOST_LEVELS: usize = 64;

/// A tree that is not whole yet.
pub(super) struct Builder {
    tree: Tree,
    open: Vec<Open>,
    /// Members of what is open.
    waiting: Vec<Id>,
    /// By the scanner's number.
    anchors: HashMap<usize, Anchor>,
    /// Values so far, with what aliases stand for.
    count: u64,
    faults: Vec<Finding>,
}

struct Open {
    id: Id,
    group: bool,
    anchor: usize,
    first_waiting: usize,
    count_before: u64,
}

#[derive(Clone, Copy)]
struct Anchor {
    id: Id,
    /// Values that an alias for it stands for.
    count: u64,
}

impl Builder {
    pub(super) fn new(file: u16, text: &Arc<str>) -> Builder {
        let tree = Tree {
            file,
            text: Arc::clone(text),
            // Measured on sets: a value in every seven bytes.
            values: Vec::with_capacity(text.len() / 6),
            members: Vec::with_capacity(text.len() / 6),
            built: Vec::new(),
            root: None,
            unsure: HashSet::new(),
            broken: false,
        };
        Builder {
            tree,
            open: Vec::new(),
            waiting: Vec::new(),
            anchors: HashMap::new(),
            count: 0,
            faults: Vec::new(),
        }
    }

    /// Takes the whole of the source, which has the text's bytes but where chords were mended.
    pub(super) fn take_all(&mut self, source: &str) -> Result<(), Broken> {
        let mut options = Options::default();
        options.emit_unresolved_aliases = true;
        options.flow_nesting_limit = MOST_LEVELS;
        options.block_nesting_limit = MOST_LEVELS;
        let mut parser = Parser::new_from_str_with_options(source, options);
        while let Some(next) = parser.next_event() {
            let (event, span) = next.map_err(Broken::scan)?;
            self.take(event, span, source)?;
            if self.count > MOST_VALUES {
                return Err(Broken::too_much(span));
            }
        }
        Ok(())
    }

    pub(super) fn into_tree(self) -> (Tree, Vec<Finding>) {
        (self.tree, self.faults)
    }

    fn take(&mut self, event: Event<'_>, span: Span, source: &str) -> Result<(), Broken> {
        match event {
            Event::DocumentStart(..) if self.tree.root.is_some() => return Err(Broken::second_document(span)),
            Event::Scalar(text, style, anchor, tag) => {
                let plain = style == ScalarStyle::Plain;
                let what = match self.tagged(tag.as_deref(), span, plain) {
                    plain if plain && scalar::is_null(&text) => What::Nothing,
                    true => What::Plain(self.words(&text, style, span, source)),
                    false => What::Quoted(self.words(&text, style, span, source)),
                };
                let id = self.add(what, span, source);
                self.anchor(anchor, id, self.count - 1);
            }
            Event::SequenceStart(_, anchor, tag) => self.begin(false, anchor, tag.as_deref(), span, source),
            Event::MappingStart(_, anchor, tag) => self.begin(true, anchor, tag.as_deref(), span, source),
            Event::SequenceEnd | Event::MappingEnd => self.end(),
            Event::Alias(number) => match self.anchors.get(&number).copied() {
                Some(target) => {
                    let what = self.tree.values[target.id.0 as usize].what;
                    self.count = self.count.saturating_add(target.count - 1);
                    let id = self.add(what, span, source);
                    let alias = &mut self.tree.values[id.0 as usize];
                    (alias.start, alias.end) = (ELSEWHERE, ELSEWHERE);
                }
                None => self.lost_alias("stands inside what it stands for", span, source),
            },
            Event::UnresolvedAlias(_) => self.lost_alias("has no anchor (`&`) before it", span, source),
            _ => {}
        }
        Ok(())
    }

    /// Whether a value counts as written without quotes, given its tag.
    fn tagged(&mut self, tag: Option<&Tag>, span: Span, plain: bool) -> bool {
        match tag.map(|tag| (tag.core_suffix(), tag.parts())) {
            None => plain,
            Some((Some("str"), _) | (None, ("", "!"))) => false,
            Some((Some(_), _)) => true,
            Some((None, _)) => {
                let written = tag.map(Tag::original).unwrap_or_default();
                let message = format!("the tag `{}` means nothing here", syntax::cut(&written));
                let spot = syntax::spot(self.tree.file, span.tag_start().unwrap_or(span.start), 1);
                let hint = "Text that begins with `!` needs quotes.";
                self.fault(spot, message, hint);
                plain
            }
        }
    }

    fn lost_alias(&mut self, how: &str, span: Span, source: &str) {
        let id = self.add(What::Nothing, span, source);
        let spot = self.at(id).spot();
        let written = span.slice(source).unwrap_or("*");
        let message = format!("`{}` {how}", syntax::cut(written));
        let hint = "Text that begins with `*` needs quotes.";
        self.fault(spot, message, hint);
        self.tree.unsure.insert(id);
    }

    fn fault(&mut self, spot: Spot, message: String, hint: &str) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(syntax::finding(spot, message, Some(hint.into())));
        }
    }

    /// The words of a scalar: as they stand in the file where they do.
    fn words(&mut self, text: &str, style: ScalarStyle, span: Span, source: &str) -> Words {
        let range = span.byte_range().unwrap_or_default();
        let quote = usize::from(matches!(style, ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted));
        let (from, to) = (range.start + quote, range.end.saturating_sub(quote));
        if source.get(from..to) == Some(text) {
            return Words::Here(from as u32, to as u32);
        }
        self.tree.built.push(text.into());
        Words::Built(self.tree.built.len() as u32 - 1)
    }

    fn add(&mut self, what: What, span: Span, source: &str) -> Id {
        let id = Id(self.tree.values.len() as u32);
        self.tree.values.push(Value {
            what,
            start: span.start.byte_offset().unwrap_or(0) as u32,
            end: span.end.byte_offset().unwrap_or(0) as u32,
            line: span.start.line() as u32,
            column: span.start.col() as u32 + 1,
            len: syntax::underlined(span, source),
        });
        self.count = self.count.saturating_add(1);
        match self.open.is_empty() {
            true => self.tree.root = Some(id),
            false => self.waiting.push(id),
        }
        id
    }

    fn begin(&mut self, group: bool, anchor: usize, tag: Option<&Tag>, span: Span, source: &str) {
        self.tagged(tag, span, true);
        let count_before = self.count;
        let empty = Members { from: 0, count: 0 };
        let what = if group { What::Group(empty) } else { What::List(empty) };
        let id = self.add(what, span, source);
        self.open.push(Open {
            id,
            group,
            anchor,
            first_waiting: self.waiting.len(),
            count_before,
        });
    }

    fn end(&mut self) {
        let Some(open) = self.open.pop() else { return };
        if open.group {
            self.merge(open.first_waiting);
        }
        let members = Members {
            from: self.tree.members.len() as u32,
            count: (self.waiting.len() - open.first_waiting) as u32,
        };
        self.tree.members.extend(self.waiting.drain(open.first_waiting..));
        self.tree.values[open.id.0 as usize].what = match open.group {
            true => What::Group(members),
            false => What::List(members),
        };
        self.anchor(open.anchor, open.id, open.count_before);
    }

    /// Adds what a group takes from others by `<<`, but for the fields that it names itself. YAML 1.2 has dropped this
    /// from the standard; people still write it.
    fn merge(&mut self, first: usize) {
        let is_merge = |pair: &[Id]| matches!(self.at(pair[0]).is(), Is::Plain("<<"));
        if !self.waiting[first..].chunks_exact(2).any(is_merge) {
            return;
        }
        let (mut kept, mut taken) = (Vec::new(), Vec::new());
        for pair in self.waiting[first..].chunks_exact(2) {
            let value = self.at(pair[1]);
            let from: Vec<At<'_>> = if value.is_list() {
                value.items().collect()
            } else {
                vec![value]
            };
            match is_merge(pair) && from.iter().all(|from| from.is_group()) {
                true => taken.extend(
                    from.into_iter()
                        .flat_map(At::pairs)
                        .map(|(key, value)| [key.id, value.id]),
                ),
                false => kept.push([pair[0], pair[1]]),
            }
        }
        let mut named: HashSet<&str> = kept.iter().filter_map(|pair| self.at(pair[0]).text()).collect();
        let tree = &self.tree;
        taken.retain(|pair| At { tree, id: pair[0] }.text().is_some_and(|name| named.insert(name)));
        kept.append(&mut taken);
        self.waiting.truncate(first);
        self.waiting.extend(kept.into_iter().flatten());
    }

    fn at(&self, id: Id) -> At<'_> {
        At { tree: &self.tree, id }
    }

    fn anchor(&mut self, number: usize, id: Id, count_before: u64) {
        if number != 0 {
            let count = self.count - count_before;
            self.anchors.insert(number, Anchor { id, count });
        }
    }

    /// Closes what is open, so that what was read before the file broke off can be looked at.
    pub(super) fn break_off(&mut self) {
        self.tree.broken = true;
        self.tree.unsure.extend(self.open.iter().map(|open| open.id));
        // The last member of what is open may have gone on too, and the last one of that.
        let mut last = self.waiting.last().copied();
        while let Some(id) = last {
            self.tree.unsure.insert(id);
            last = match self.tree.values[id.0 as usize].what {
                What::List(members) | What::Group(members) if members.count > 0 => {
                    Some(self.tree.members[(members.from + members.count) as usize - 1])
                }
                _ => None,
            };
        }
        while !self.open.is_empty() {
            self.end();
        }
    }
}
