//! A YAML file as a tree that knows where each of its values stands: read whole before anything is judged, so that one
//! fault hides no other.

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::{Location, Spanned};
use std::fmt;

/// A value and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) place: Place,
    pub(super) kind: Kind,
}

/// Where a value stands in its file.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Place {
    /// From 1.
    pub(super) line: u32,
    /// In characters, from 1.
    pub(super) column: u32,
    /// Where the value's own text begins and ends, in bytes: with an alias, that of its anchor.
    pub(super) bytes: (usize, usize),
}

#[derive(Clone, Debug)]
pub(super) enum Kind {
    Nothing,
    /// As written, without quotes.
    Text(String),
    /// A number or a truth value, whose text is still in the file alone.
    Unquoted,
    List(Vec<Node>),
    /// In the order written, keys twice where they stand twice.
    Map(Vec<(Node, Node)>),
}

impl Node {
    /// Takes the text of numbers and truth values from the file: `no`, `007` and `12:30` are read as they are written.
    pub(super) fn take_text(&mut self, source: &str) {
        match &mut self.kind {
            Kind::Nothing | Kind::Text(_) => {}
            Kind::Unquoted => {
                let (start, end) = self.place.bytes;
                self.kind = Kind::Text(source.get(start..end).unwrap_or_default().trim().to_owned());
            }
            Kind::List(items) => items.iter_mut().for_each(|item| item.take_text(source)),
            Kind::Map(pairs) => pairs.iter_mut().for_each(|(key, value)| {
                key.take_text(source);
                value.take_text(source);
            }),
        }
    }

    /// What kind of thing it is, in a guitarist's words.
    pub(super) fn called(&self) -> &'static str {
        match self.kind {
            Kind::Nothing => "nothing",
            Kind::Text(_) | Kind::Unquoted => "a word",
            Kind::List(_) => "a list",
            Kind::Map(_) => "a group of fields",
        }
    }
}

impl<'de> Deserialize<'de> for Node {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Node, D::Error> {
        let Spanned {
            value,
            referenced,
            defined,
        } = Spanned::<Kind>::deserialize(deserializer)?;
        Ok(Node {
            place: Place::new(&referenced, &defined),
            kind: value,
        })
    }
}

impl Place {
    fn new(referenced: &Location, defined: &Location) -> Place {
        let start = defined.span().byte_offset().unwrap_or(0) as usize;
        let end = start + defined.span().byte_len().unwrap_or(0) as usize;
        Place {
            line: referenced.line() as u32,
            column: referenced.column() as u32,
            bytes: (start, end),
        }
    }
}

impl<'de> Deserialize<'de> for Kind {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Kind, D::Error> {
        deserializer.deserialize_any(KindVisitor)
    }
}

struct KindVisitor;

impl<'de> Visitor<'de> for KindVisitor {
    type Value = Kind;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("any value")
    }

    fn visit_unit<E>(self) -> Result<Kind, E> {
        Ok(Kind::Nothing)
    }

    fn visit_none<E>(self) -> Result<Kind, E> {
        Ok(Kind::Nothing)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Kind, E> {
        Ok(Kind::Unquoted)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Kind, E> {
        Ok(Kind::Unquoted)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Kind, E> {
        Ok(Kind::Unquoted)
    }

    fn visit_i128<E>(self, _: i128) -> Result<Kind, E> {
        Ok(Kind::Unquoted)
    }

    fn visit_u128<E>(self, _: u128) -> Result<Kind, E> {
        Ok(Kind::Unquoted)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Kind, E> {
        Ok(Kind::Unquoted)
    }

    fn visit_str<E>(self, text: &str) -> Result<Kind, E> {
        Ok(Kind::Text(text.to_owned()))
    }

    fn visit_string<E>(self, text: String) -> Result<Kind, E> {
        Ok(Kind::Text(text))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Kind, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = list.next_element()? {
            items.push(item);
        }
        Ok(Kind::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Kind, A::Error> {
        let mut pairs = Vec::new();
        while let Some(pair) = map.next_entry()? {
            pairs.push(pair);
        }
        Ok(Kind::Map(pairs))
    }
}
