//! What YAML allows: the many ways to write one file, and texts that YAML might take for something else.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use footlights::setlist::{self, Reading, Set};
use std::fs;

fn read_bytes(bytes: &[u8]) -> Result<Reading, String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("set.yaml");
    fs::write(&path, bytes).unwrap();
    setlist::read(&path, None).map_err(|report| report.to_string())
}

#[track_caller]
fn read(text: &str) -> Reading {
    read_bytes(text.as_bytes()).unwrap_or_else(|report| panic!("{report}"))
}

/// A set of one song with these fields besides its title and key.
#[track_caller]
fn song(fields: &str) -> Set {
    read(&format!("set: Evening\nsongs:\n  - song: Ferry\n    key: D\n{fields}")).set
}

#[test]
fn text_is_taken_as_it_is_written_whatever_yaml_makes_of_it() {
    for (written, title) in [
        ("no", "no"),
        ("1999", "1999"),
        ("007", "007"),
        ("12:30", "12:30"),
        ("2026-10-10", "2026-10-10"),
        ("1e3", "1e3"),
        ("true", "true"),
        ("\"~\"", "~"),
        ("'it''s late'", "it's late"),
        ("\"caf\\u00e9 \\\"x\\\"\"", "café \"x\""),
        ("C# and Bb", "C# and Bb"),
        ("!!str 72", "72"),
        ("! 72", "72"),
        ("夜の灯", "夜の灯"),
        ("two\n      lines", "two lines"),
        (">-\n      folded\n      lines", "folded lines"),
        ("|\n      kept\n      lines\n", "kept lines"),
    ] {
        let text = format!("set: Evening\nsongs:\n  - key: D\n    song: {written}\n");
        assert_eq!(read(&text).set.songs()[0].title, title, "{written}");
    }
}

#[test]
fn a_byte_order_mark_and_any_line_ends_are_fine() {
    let text = "set: Evening\nsongs:\n  - song: Ferry\n    key: D\n    tempo: 90\n";
    let with_mark = [&[0xEF, 0xBB, 0xBF], text.as_bytes()].concat();
    for (name, bytes) in [
        ("a mark", with_mark.clone()),
        ("CRLF", text.replace('\n', "\r\n").into_bytes()),
        (
            "a mark and CRLF",
            String::from_utf8(with_mark).unwrap().replace('\n', "\r\n").into_bytes(),
        ),
        ("CR", text.replace('\n', "\r").into_bytes()),
        ("no last line end", text.trim_end().as_bytes().to_vec()),
        (
            "JSON",
            br#"{"set": "Evening", "songs": [{"song": "Ferry", "key": "D", "tempo": 9e1}]}"#.to_vec(),
        ),
    ] {
        let set = read_bytes(&bytes)
            .unwrap_or_else(|report| panic!("{name}: {report}"))
            .set;
        assert_eq!(set.songs()[0].tempo.unwrap().bpm(), 90.0, "{name}");
    }
}

#[test]
fn yaml_s_own_ways_of_writing_are_read() {
    for (example, text) in [
        (
            "2.5",
            "set: E\nsongs:\n- {song: Ferry, key: D, order: [A, B], sections: {A: {}, B: {}}}\n",
        ),
        (
            "2.6",
            "set: E\nsongs:\n- song: Ferry\n  key: D\n  sections: {\n    A: {bars: 2,\n        note: x},\n    B: {}\n  }\n",
        ),
        (
            "2.10",
            "set: E\nsongs:\n- song: Ferry\n  key: &home D\n  sections:\n    A: &a { bars: 4 }\n    B: *a\n    C: { key: *home }\n",
        ),
        (
            "6.9",
            "set:    # its name\n  E\nsongs: [ { song: Ferry, # title\n key: D } ]\n",
        ),
        ("7.4", "\"set\": E\n'songs': [ { \"song\" : Ferry, \"key\":D } ]\n"),
        ("7.13, 7.15", "set: E\nsongs: [ { song: Ferry, key: D, }, ]\n"),
        ("8.1, 8.2", "set: E\nsongs:\n- song: >1-\n   Ferry\n  key: |+\n   D\n\n"),
        (
            "9.2",
            "%YAML 1.2\n---\nset: E\nsongs: [ { song: Ferry, key: D } ]\n... # the end\n",
        ),
        ("6.1", "? set\n: E\n? songs\n: - song: Ferry\n    key: D\n"),
    ] {
        let reading = read(text);
        assert_eq!(reading.set.songs()[0].title, "Ferry", "{example}");
        assert_eq!(reading.set.songs()[0].key.to_string(), "D", "{example}");
    }
    let refused = read_bytes(b"? [a, b]\n: c\nset: E\nsongs: [ { song: Ferry, key: D } ]\n").unwrap_err();
    assert!(
        refused.contains("a name was expected here, not a list"),
        "2.11: {refused}"
    );
}

#[test]
fn a_merge_key_gives_the_fields_that_are_not_said() {
    let set = song(
        "    sections:
      A: &a { bars: 4, technique: strum, pickup: neck }
      B: &b { pickup: bridge }
      C: { <<: *a, bars: 8 }
      D: { <<: [*b, *a] }
",
    );
    let sections = &set.songs()[0].sections;
    let told: Vec<(u32, &str)> = sections[2..]
        .iter()
        .map(|section| (section.bars.unwrap().count(), section.pickup.as_deref().unwrap()))
        .collect();
    assert_eq!(told, [(8, "neck"), (4, "bridge")]);
}
