//! What a file may hold, as tables: the reading, its messages and the JSON Schema all come from them.

use crate::setlist::Seconds;

/// A group of fields.
pub(super) struct Shape {
    /// `a song`.
    pub(super) called: &'static str,
    /// A good one, short, as it is written.
    pub(super) example: &'static str,
    pub(super) fields: &'static [Field],
    pub(super) ways: Ways,
}

/// Which fields go together, of those that are not needed by themselves.
pub(super) enum Ways {
    Free,
    /// The fields of at least one of these.
    AtLeast(&'static [&'static [&'static str]]),
    /// The fields of one of these and none of the others.
    One(&'static [&'static [&'static str]]),
}

pub(super) struct Field {
    pub(super) name: &'static str,
    pub(super) kind: Kind,
    pub(super) must: bool,
    /// A full sentence, for the schema and for hints.
    pub(super) says: &'static str,
}

/// What a value may be.
#[derive(Clone, Copy)]
pub(super) enum Kind {
    /// One value of any sort, as written; blank only where it may be.
    Text {
        blank: bool,
    },
    /// The same, but no number.
    Words,
    Number {
        from: f64,
        to: f64,
    },
    Whole {
        from: i64,
        to: i64,
    },
    /// 0 to 127, or `any`.
    SevenOrAny,
    Flag,
    Word(&'static [&'static str]),
    Key,
    Meter,
    Date,
    Family,
    Chords,
    /// A text, or several.
    TextOrList,
    Group(&'static Shape),
    List {
        each: &'static Kind,
        least: usize,
    },
    /// Groups (or values) under names of one's own.
    Named {
        each: &'static Kind,
        least: usize,
    },
}

impl Shape {
    /// The place of a field.
    pub(super) fn place(&self, name: &str) -> Option<usize> {
        self.fields.iter().position(|field| field.name == name)
    }

    /// `this song`.
    pub(super) fn this(&self) -> String {
        match self.called.split_once(' ') {
            Some(("a", noun)) => format!("this {noun}"),
            _ => self.called.to_owned(),
        }
    }

    /// The field that other files and other programs call by this name.
    pub(super) fn usual(&self, name: &str) -> Option<&'static str> {
        const USUAL: [(&str, &str); 7] = [
            ("title", "song"),
            ("name", "song"),
            ("title", "set"),
            ("name", "set"),
            ("bpm", "tempo"),
            ("time", "meter"),
            ("comment", "note"),
        ];
        let lower = name.to_lowercase();
        let meant = USUAL.iter().filter(|(other, _)| *other == lower);
        meant
            .filter_map(|(_, own)| self.names().find(|name| name == own))
            .next()
    }

    /// `have` of the weights, `has` of a song.
    pub(super) fn has(&self) -> &'static str {
        if self.is_many() { "have" } else { "has" }
    }

    pub(super) fn is(&self) -> &'static str {
        if self.is_many() { "are" } else { "is" }
    }

    fn is_many(&self) -> bool {
        self.called.starts_with("the ") && self.called.ends_with('s')
    }

    pub(super) fn names(&self) -> impl Iterator<Item = &'static str> + Clone {
        self.fields.iter().map(|field| field.name)
    }
}

pub(super) const NAME: Kind = Kind::Text { blank: false };
pub(super) const WORDS: Kind = Kind::Words;
pub(super) const NOTE: Kind = Kind::Text { blank: true };
pub(super) const SEVEN: Kind = Kind::Whole { from: 0, to: 127 };
pub(super) const CHANNEL: Kind = Kind::Whole { from: 1, to: 16 };
pub(super) const FRET: Kind = Kind::Whole { from: 0, to: 11 };
pub(super) const WEIGHT: Kind = Kind::Whole { from: 0, to: 1000 };
pub(super) const SECONDS: Kind = Kind::Number {
    from: 0.0,
    to: Seconds::MAX_S,
};
pub(super) const SHAPES: Kind = one_or_more(&Kind::Family);

pub(super) const fn may(name: &'static str, kind: Kind, says: &'static str) -> Field {
    Field {
        name,
        kind,
        must: false,
        says,
    }
}

pub(super) const fn must(name: &'static str, kind: Kind, says: &'static str) -> Field {
    Field {
        name,
        kind,
        must: true,
        says,
    }
}

pub(super) const fn list(each: &'static Kind) -> Kind {
    Kind::List { each, least: 0 }
}

pub(super) const fn one_or_more(each: &'static Kind) -> Kind {
    Kind::List { each, least: 1 }
}

pub(super) const fn named(each: &'static Kind) -> Kind {
    Kind::Named { each, least: 0 }
}
