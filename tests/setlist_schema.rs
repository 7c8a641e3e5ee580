//! The JSON Schemas and the reader: what one takes the other takes, and what one refuses the other refuses.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use footlights::setlist::{self, FileKind, schema};
use regex_lite::Regex;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

/// The keywords of JSON Schema 2020-12 that our schemas use.
/// Source: JSON Schema 2020-12, core 8.2.3 and 10.2, validation 6.1 to 6.5, from memory. An unknown keyword fails.
fn valid(schema: &Value, root: &Value, value: &Value) -> bool {
    let schema = match schema {
        Value::Bool(all) => return *all,
        schema => schema.as_object().unwrap(),
    };
    schema.iter().all(|(keyword, rule)| {
        let each = || rule.as_array().unwrap().iter();
        match keyword.as_str() {
            "$schema" | "$defs" | "title" | "description" | "format" | "additionalProperties" => true,
            "$ref" => {
                let name = rule.as_str().unwrap().strip_prefix("#/$defs/").unwrap();
                valid(&root["$defs"][name], root, value)
            }
            "type" => match rule {
                Value::Array(types) => types.iter().any(|wanted| is_a(wanted, value)),
                wanted => is_a(wanted, value),
            },
            "const" => rule == value,
            "enum" => rule.as_array().unwrap().contains(value),
            "pattern" => value
                .as_str()
                .is_none_or(|text| Regex::new(rule.as_str().unwrap()).unwrap().is_match(text)),
            "minimum" => value.as_f64().is_none_or(|number| number >= rule.as_f64().unwrap()),
            "maximum" => value.as_f64().is_none_or(|number| number <= rule.as_f64().unwrap()),
            "minItems" => value
                .as_array()
                .is_none_or(|items| items.len() as u64 >= rule.as_u64().unwrap()),
            "minProperties" => value
                .as_object()
                .is_none_or(|items| items.len() as u64 >= rule.as_u64().unwrap()),
            "items" => value
                .as_array()
                .is_none_or(|items| items.iter().all(|item| valid(rule, root, item))),
            "required" => value
                .as_object()
                .is_none_or(|fields| each().all(|name| fields.contains_key(name.as_str().unwrap()))),
            "properties" => value.as_object().is_none_or(|fields| {
                fields.iter().all(|(name, value)| match rule.get(name) {
                    Some(rule) => valid(rule, root, value),
                    None => schema
                        .get("additionalProperties")
                        .is_none_or(|rule| valid(rule, root, value)),
                })
            }),
            "anyOf" => each().any(|rule| valid(rule, root, value)),
            "oneOf" => each().filter(|rule| valid(rule, root, value)).count() == 1,
            "not" => !valid(rule, root, value),
            unknown => panic!("the keyword `{unknown}`"),
        }
    }) && match (
        schema.get("additionalProperties"),
        schema.contains_key("properties"),
        value.as_object(),
    ) {
        (Some(rule), false, Some(fields)) => fields.values().all(|value| valid(rule, root, value)),
        _ => true,
    }
}

fn is_a(wanted: &Value, value: &Value) -> bool {
    match wanted.as_str().unwrap() {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
        "number" => value.is_number(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        unknown => panic!("the type `{unknown}`"),
    }
}

/// Whether the reader takes a file, which JSON is too: YAML 1.2 holds all of it.
fn is_read(file: FileKind, value: &Value) -> Result<(), String> {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let write = |name: &str, value: &Value| fs::write(path(name), value.to_string()).unwrap();
    let read = match file {
        FileKind::Set => {
            write("set.yaml", value);
            fs::write(path("used.yaml"), "song: Used\nkey: C\n").unwrap();
            setlist::read(&path("set.yaml"), None).map(|_| ())
        }
        FileKind::Song => {
            write("song.yaml", value);
            let set = json!({ "set": "E", "songs": [{ "use": "song.yaml", "song": "A", "key": "C" }] });
            write("set.yaml", &set);
            setlist::read(&path("set.yaml"), None).map(|_| ())
        }
        FileKind::Player => {
            write("player.yaml", value);
            setlist::read_player_file(&path("player.yaml")).map(|_| ())
        }
    };
    read.map_err(|report| report.to_string())
}

#[track_caller]
fn check(file: FileKind, value: &Value, taken: bool) {
    let schema = schema(file);
    assert_eq!(valid(&schema, &schema, value), taken, "the schema on {value}");
    let read = is_read(file, value);
    assert_eq!(read.is_ok(), taken, "the reader on {value}: {read:?}");
}

fn song_with(field: &str, value: Value) -> Value {
    let mut song = json!({ "song": "A", "key": "C" });
    song[field] = value;
    json!({ "set": "E", "players": [{ "name": "Wren" }], "songs": [song] })
}

fn section_with(field: &str, value: Value) -> Value {
    let mut sections = json!({ "S": {}, "T": {} });
    sections["S"][field] = value;
    song_with("sections", sections)
}

#[test]
fn both_take_and_refuse_the_same_songs() {
    for (field, taken, refused) in [
        ("song", json!(["A", "1", 72, true]), json!(["", " ", [], {}])),
        (
            "key",
            json!(["C", "b flat", "Bb", "F♯m", "e minor", "C#-", "G major", " C "]),
            json!(["H", "", "Bbb", "C m a", 5, ["C"]]),
        ),
        (
            "tempo",
            json!([20, 400, 72.5, 1e2, null]),
            json!([19.9, 400.5, "72", true, []]),
        ),
        (
            "meter",
            json!(["4/4", "6/8", "32/32", "1/1", "12 / 8", null]),
            json!(["4", 4, "33/4", "4/3", "0/4", "04/4", "+4/4", "4/4/4"]),
        ),
        ("gap", json!([0, 3600, 0.5, null]), json!([-1, 3601, "5"])),
        ("note", json!(["", "x", 5, null]), json!([[], {}])),
        ("order", json!([[], null]), json!(["A", {}, [null], [[]], [""]])),
        (
            "pin",
            json!([{}, { "Wren": { "fret": 0 } }, { "Wren": { "shapes": "g" } }, null]),
            json!([{ "Wren": {} }, { "Wren": null }, { "Wren": { "fret": 12 } }, { "Wren": { "fret": null } }, { "Wren": { "shapes": "F" } }, []]),
        ),
        (
            "send",
            json!([[], [{ "program": 0 }], [{ "cc": 1, "value": 127, "channel": 16 }], [{ "program": 1, "cc": null }], null]),
            json!([[{}], [null], [{ "cc": 1 }], [{ "value": 1 }], [{ "program": 1, "value": 2 }], [{ "program": 128 }],
                [{ "program": 1, "channel": 0 }], [{ "program": 1, "channel": 17 }], {}]),
        ),
        (
            "sections",
            json!([{}, { "S": {} }, { "S": null }, null]),
            json!([[], "S", { "S": 8 }, { "S": { "bar": 8 } }]),
        ),
        ("songs", json!([]), json!([1])),
    ] {
        for value in taken.as_array().unwrap() {
            check(FileKind::Set, &song_with(field, value.clone()), true);
        }
        for value in refused.as_array().unwrap() {
            check(FileKind::Set, &song_with(field, value.clone()), false);
        }
    }
}

#[test]
fn both_take_and_refuse_the_same_sections() {
    for (field, taken, refused) in [
        ("like", json!(["T", null]), json!(["", []])),
        ("bars", json!([1, 9999, 8.0, null]), json!([0, 10_000, 1.5, "8", true])),
        ("technique", json!(["strum", "let ring", null]), json!(["", 5, 0.5, []])),
        ("pickup", json!(["neck", "neck+middle", null]), json!(["", {}])),
        ("chords", json!(["1 | 4", "", 1, null]), json!([[], {}])),
        ("key", json!(["Eb", null]), json!(["H"])),
        ("note", json!(["x", "", null]), json!([[]])),
        ("send", json!([[{ "program": 3 }]]), json!([[3]])),
    ] {
        for value in taken.as_array().unwrap() {
            check(FileKind::Set, &section_with(field, value.clone()), true);
        }
        for value in refused.as_array().unwrap() {
            check(FileKind::Set, &section_with(field, value.clone()), false);
        }
    }
}

#[test]
fn both_take_and_refuse_the_same_sets() {
    let songs = json!([{ "song": "A", "key": "C" }]);
    for (value, taken) in [
        (json!({ "set": "E", "songs": songs }), true),
        (json!({ "set": "E", "songs": [{ "use": "used.yaml" }] }), true),
        (
            json!({ "set": "E", "songs": [{ "use": "used.yaml", "key": "D", "tempo": 90 }] }),
            true,
        ),
        (json!({ "set": "E", "songs": [{ "song": "A" }] }), false),
        (json!({ "set": "E", "songs": [{ "key": "C" }] }), false),
        (json!({ "set": "E", "songs": [{ "use": null }] }), false),
        (json!({ "set": "E", "songs": [null] }), false),
        (json!({ "set": "E", "songs": [] }), false),
        (json!({ "set": "E", "songs": null }), false),
        (json!({ "set": "E" }), false),
        (json!({ "songs": songs }), false),
        (json!({ "set": null, "songs": songs }), false),
        (json!({ "set": "E", "songs": songs, "sogns": 1 }), false),
        (
            json!({ "set": "E", "songs": songs, "numbers": "literal", "minor_numbers": "from_one" }),
            true,
        ),
        (json!({ "set": "E", "songs": songs, "numbers": "roman" }), false),
        (
            json!({ "set": "E", "songs": songs, "date": "2026-10-10", "gap": 20 }),
            true,
        ),
        (json!({ "set": "E", "songs": songs, "date": "10.10.2026" }), false),
        (json!({ "set": "E", "songs": songs, "players": [] }), true),
        (
            json!({ "set": "E", "songs": songs, "players": [{ "name": "Wren", "guitar": {} }] }),
            true,
        ),
        (
            json!({ "set": "E", "songs": songs, "players": [{ "name": "" }] }),
            false,
        ),
        (json!({ "set": "E", "songs": songs, "players": {} }), false),
        (json!([]), false),
        (json!("E"), false),
    ] {
        check(FileKind::Set, &value, taken);
    }
}

#[test]
fn a_song_file_may_leave_out_what_its_sets_say() {
    for (value, taken) in [
        (json!({ "song": "A" }), true),
        (json!({ "tempo": 90 }), true),
        (json!({ "temop": 90 }), false),
        (json!([]), false),
    ] {
        check(FileKind::Song, &value, taken);
    }
}

#[test]
fn both_take_and_refuse_the_same_player_files() {
    let switch = |switch: Value| json!({ "pedals": { "switches": [switch] } });
    for (value, taken) in [
        (json!({}), true),
        (
            json!({ "player": "Wren", "highest_fret": 11, "shapes": ["G", "e"], "seconds_to_move": 0, "left_handed": false }),
            true,
        ),
        (json!({ "player": "" }), false),
        (json!({ "name": "Wren" }), false),
        (json!({ "highest_fret": 12 }), false),
        (json!({ "shapes": [] }), false),
        (json!({ "shapes": "G" }), false),
        (json!({ "left_handed": "yes" }), false),
        (json!({ "weights": { "move": 0, "dull": 1000 } }), true),
        (json!({ "weights": { "move": 1001 } }), false),
        (
            json!({ "guitar": { "pickups": { "neck": 150, "bridge": 40.5 }, "selector": ["neck", "neck+bridge"] } }),
            true,
        ),
        (json!({ "guitar": { "pickups": {} } }), false),
        (json!({ "guitar": { "pickups": { "neck": 0 } } }), false),
        (json!({ "guitar": { "pickups": { "neck": null } } }), false),
        (json!({ "guitar": { "selector": [] } }), false),
        (json!({ "guitar": { "scale_mm": 299 } }), false),
        (
            json!({ "pedals": { "input": "any", "output": "none", "debounce_ms": 0, "hold_ms": 3000, "follow": "clock" } }),
            true,
        ),
        (json!({ "pedals": { "input": ["A", "B"] } }), true),
        (json!({ "pedals": { "input": [[]] } }), false),
        (json!({ "pedals": { "debounce_ms": 501 } }), false),
        (json!({ "pedals": { "follow": "tempo" } }), false),
        (
            json!({ "screen": { "theme": "dark", "glyphs": "auto", "distance_m": 2 } }),
            true,
        ),
        (json!({ "screen": { "theme": "pink" } }), false),
        (switch(json!({ "cc": 80, "do": "next" })), true),
        (
            switch(json!({ "note": "any", "channel": 16, "sends": "latching", "do": "next" })),
            true,
        ),
        (
            switch(json!({ "program": 5, "cc": null, "do": "song", "hold": null })),
            true,
        ),
        (switch(json!({ "cc": 80, "do": "next", "hold": "undo" })), true),
        (switch(json!({ "do": "next" })), false),
        (switch(json!({ "cc": 80 })), false),
        (switch(json!({ "cc": 80, "do": null })), false),
        (switch(json!({ "cc": 80, "note": 60, "do": "next" })), false),
        (switch(json!({ "cc": "all", "do": "next" })), false),
        (switch(json!({ "cc": 128, "do": "next" })), false),
        (switch(json!({ "cc": 1, "channel": 17, "do": "next" })), false),
        (switch(json!({ "cc": 1, "channel": "any", "do": "next" })), false),
        (switch(json!({ "cc": 1, "sends": "both", "do": "next" })), false),
    ] {
        check(FileKind::Player, &value, taken);
    }
}

/// A tree of JSON from YAML text, by the scanner alone.
fn to_json(text: &str) -> Value {
    use granit_parser::{Event, Parser, ScalarStyle};
    fn node<'a>(events: &mut impl Iterator<Item = Event<'a>>, first: Event<'a>) -> Value {
        match first {
            Event::Scalar(text, ScalarStyle::Plain, ..) => match &*text {
                "~" | "" => Value::Null,
                "true" => json!(true),
                "false" => json!(false),
                text => text.parse::<f64>().map_or(json!(text), |number| json!(number)),
            },
            Event::Scalar(text, ..) => json!(text),
            Event::SequenceStart(..) => {
                let mut items = Vec::new();
                loop {
                    match events.next().unwrap() {
                        Event::SequenceEnd => return Value::Array(items),
                        first => items.push(node(events, first)),
                    }
                }
            }
            Event::MappingStart(..) => {
                let mut fields = serde_json::Map::new();
                loop {
                    match events.next().unwrap() {
                        Event::MappingEnd => return Value::Object(fields),
                        Event::Scalar(name, ..) => {
                            let first = events.next().unwrap();
                            fields.insert(name.into_owned(), node(events, first));
                        }
                        other => panic!("{other:?}"),
                    }
                }
            }
            other => panic!("{other:?}"),
        }
    }
    let mut events = Parser::new_from_str(text)
        .map(|event| event.unwrap().0)
        .filter(|event| !matches!(event, Event::StreamStart | Event::DocumentStart(..)));
    let first = events.next().unwrap();
    node(&mut events, first)
}

#[test]
fn the_demo_and_the_worked_examples_are_valid_by_the_schemas() {
    let base = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders = vec![base.join("setlists")];
    for kind in ["performances", "plans"] {
        let kind = base.join("tests/examples").join(kind);
        folders.extend(fs::read_dir(kind).unwrap().map(|entry| entry.unwrap().path()));
    }
    let mut count = 0;
    for folder in folders {
        let mut files: Vec<_> = fs::read_dir(&folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        if let Ok(songs) = fs::read_dir(folder.join("songs")) {
            files.extend(songs.map(|entry| entry.unwrap().path()));
        }
        for path in files
            .iter()
            .filter(|path| path.extension().is_some_and(|extension| extension == "yaml"))
        {
            let file = match path.parent().unwrap().file_name().unwrap().to_str() {
                Some("songs") => FileKind::Song,
                _ if path.ends_with("player.yaml") => FileKind::Player,
                _ => FileKind::Set,
            };
            let schema = schema(file);
            let value = to_json(&fs::read_to_string(path).unwrap());
            assert!(valid(&schema, &schema, &value), "{}", path.display());
            count += 1;
        }
    }
    assert!(count > 50, "{count}");
}

/// The demo's player file says that it explains every field.
#[test]
fn the_demo_s_player_file_has_every_field_that_the_schema_has() {
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists/player.yaml")).unwrap();
    let schema = schema(FileKind::Player);
    let shapes = [
        &schema,
        &schema["$defs"]["guitar"],
        &schema["$defs"]["weights"],
        &schema["$defs"]["pedals"],
        &schema["$defs"]["switch"],
        &schema["$defs"]["screen"],
    ];
    for shape in shapes {
        for name in shape["properties"].as_object().unwrap().keys() {
            assert!(text.contains(&format!("{name}:")), "{name}");
        }
    }
}
