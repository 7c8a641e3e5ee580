//! The JSON Schema of each file, out of the tables that the reader reads by.
//!
//! A text may be written without quotes as what YAML takes for a number or a truth value, so the schema lets it be those
//! too. What two fields ask of each other's values (`hold_ms` more than `debounce_ms`), and names that must be those of
//! other places in the file, only the reader knows.

use crate::setlist::player_shapes::PLAYER_FILE;
use crate::setlist::set_shapes::{SET, SONG};
use crate::setlist::shape::{Field, Kind, Shape, Ways};
use serde_json::{Map, Value, json};

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    Set,
    Song,
    Player,
}

/// As `AskedKey` reads it.
const KEY: &str = r"^\s*[A-Ga-g]([b#♭♯]|\s*(flat|sharp))?\s*(major|minor|min|m|-)?\s*$";
/// As `Meter` has it: 1 to 32 beats over a power of two up to 32.
const METER: &str = r"^\s*([1-9]|[12][0-9]|3[0-2])\s*/\s*(1|2|4|8|16|32)\s*$";
const DATE: &str = r"^\s*[0-9]{4}-[0-9]{2}-[0-9]{2}\s*$";
const FAMILY: &str = r"^\s*[CAGEDcaged]\s*$";
const NOT_BLANK: &str = r"\S";

/// The schema of a file, by JSON Schema 2020-12.
pub fn schema(file: FileKind) -> Value {
    let (title, shape) = match file {
        FileKind::Set => ("A Footlights set", &SET),
        FileKind::Song => ("A Footlights song file", &SONG),
        FileKind::Player => ("A Footlights player file", &PLAYER_FILE),
    };
    let mut defs = Map::new();
    let mut schema = group(shape, &mut defs);
    if file == FileKind::Song {
        // A song file may leave to the sets that use it whatever it likes.
        schema.remove("anyOf");
    }
    let mut whole = Map::new();
    whole.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    whole.insert("title".into(), json!(title));
    whole.append(&mut schema);
    whole.insert("$defs".into(), Value::Object(defs));
    Value::Object(whole)
}

fn group(shape: &'static Shape, defs: &mut Map<String, Value>) -> Map<String, Value> {
    let mut properties = Map::new();
    for field in shape.fields {
        properties.insert(field.name.to_owned(), property(field, defs));
    }
    let must: Vec<&str> = shape
        .fields
        .iter()
        .filter(|field| field.must)
        .map(|field| field.name)
        .collect();
    let mut schema = Map::new();
    schema.insert("type".into(), json!("object"));
    schema.insert("properties".into(), Value::Object(properties));
    schema.insert("additionalProperties".into(), json!(false));
    if !must.is_empty() {
        schema.insert("required".into(), json!(must));
    }
    match shape.ways {
        Ways::Free => {}
        Ways::AtLeast(ways) => {
            let ways: Vec<Value> = ways.iter().map(|way| given(way, &[])).collect();
            schema.insert("anyOf".into(), json!(ways));
        }
        Ways::One(ways) => {
            let ways: Vec<Value> = ways.iter().map(|way| given(way, &ways.concat())).collect();
            schema.insert("oneOf".into(), json!(ways));
        }
    }
    schema
}

/// These fields are given, and of `all` no others. A field that is left empty is not given.
fn given(fields: &[&str], all: &[&str]) -> Value {
    let there = fields
        .iter()
        .map(|name| ((*name).to_owned(), json!({ "not": { "type": "null" } })));
    let others = all.iter().filter(|name| !fields.contains(name));
    let others = others.map(|name| ((*name).to_owned(), json!({ "type": "null" })));
    json!({ "required": fields, "properties": there.chain(others).collect::<Map<_, _>>() })
}

fn property(field: &Field, defs: &mut Map<String, Value>) -> Value {
    let mut schema = kind(&field.kind, defs);
    if !field.must {
        schema = or_nothing(schema);
    }
    schema.insert("description".into(), json!(field.says));
    Value::Object(schema)
}

/// A value that may also be left empty.
fn or_nothing(mut schema: Map<String, Value>) -> Map<String, Value> {
    let mut types = match schema.get("type") {
        Some(Value::Array(types)) => types.clone(),
        Some(only) if !schema.contains_key("enum") => vec![only.clone()],
        _ => return Map::from_iter([("anyOf".to_owned(), json!([schema, { "type": "null" }]))]),
    };
    types.push(json!("null"));
    schema.insert("type".into(), Value::Array(types));
    schema
}

fn kind(kind: &Kind, defs: &mut Map<String, Value>) -> Map<String, Value> {
    const ANY_TEXT: [&str; 3] = ["string", "number", "boolean"];
    let schema = match kind {
        Kind::Text { blank: false } => json!({ "type": ANY_TEXT, "pattern": NOT_BLANK }),
        Kind::Text { blank: true } | Kind::Chords => json!({ "type": ANY_TEXT }),
        Kind::Words => json!({ "type": ["string", "boolean"], "pattern": NOT_BLANK }),
        Kind::Number { from, to } => json!({ "type": "number", "minimum": from, "maximum": to }),
        Kind::Whole { from, to } => json!({ "type": "integer", "minimum": from, "maximum": to }),
        Kind::SevenOrAny => {
            json!({ "anyOf": [{ "type": "integer", "minimum": 0, "maximum": 127 }, { "const": "any" }] })
        }
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Word(words) => json!({ "type": "string", "enum": words }),
        Kind::Key => json!({ "type": "string", "pattern": KEY }),
        Kind::Meter => json!({ "type": "string", "pattern": METER }),
        Kind::Date => json!({ "type": "string", "format": "date", "pattern": DATE }),
        Kind::Family => json!({ "type": "string", "pattern": FAMILY }),
        Kind::TextOrList => {
            let text = json!({ "type": ANY_TEXT, "pattern": NOT_BLANK });
            json!({ "anyOf": [text, { "type": "array", "items": text }] })
        }
        Kind::Group(shape) => json!({ "$ref": reference(shape, defs) }),
        Kind::List { each, least } => {
            json!({ "type": "array", "items": kind_of_member(each, defs), "minItems": least })
        }
        Kind::Named { each, least } => {
            let each = kind_of_member(each, defs);
            json!({ "type": "object", "additionalProperties": each, "minProperties": least })
        }
    };
    match schema {
        Value::Object(schema) => schema,
        _ => Map::new(),
    }
}

/// A member of a list or under a name; a group that needs no field may be left empty.
fn kind_of_member(each: &Kind, defs: &mut Map<String, Value>) -> Map<String, Value> {
    let schema = kind(each, defs);
    match each {
        Kind::Group(shape) if matches!(shape.ways, Ways::Free) && shape.fields.iter().all(|field| !field.must) => {
            or_nothing(schema)
        }
        _ => schema,
    }
}

/// Where a shape is defined, once for all its uses.
fn reference(shape: &'static Shape, defs: &mut Map<String, Value>) -> String {
    let name = shape.called.rsplit(' ').next().unwrap_or_default();
    if !defs.contains_key(name) {
        // Taken before it is filled, so that it is filled once.
        defs.insert(name.to_owned(), Value::Null);
        let schema = group(shape, defs);
        defs.insert(name.to_owned(), Value::Object(schema));
    }
    format!("#/$defs/{name}")
}
