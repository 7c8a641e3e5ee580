//! `chord` and `shapes` as they are run: published tables, the families of any handbook, and what cannot be read.

#![allow(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use serde_json::{Value, json};
use std::process::{Command, Output};

fn run(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_footlights"));
    // No player's file of whoever runs the tests, and plain letters.
    command
        .env_remove("HOME")
        .env_remove("XDG_CONFIG_HOME")
        .env("LC_ALL", "C");
    command.args(arguments).output().unwrap()
}

fn answer(arguments: &[&str]) -> Value {
    let output = run(&[arguments, &["--json"]].concat());
    assert!(
        output.status.success(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).unwrap()
}

fn printed(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert!(output.status.success(), "{arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn rows(table: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    let lines = table.lines().filter(|line| !line.starts_with('#'));
    lines.map(|line| line.split('\t').collect())
}

fn joined(list: &Value) -> String {
    let words = list.as_array().unwrap().iter();
    words.map(|word| word.as_str().unwrap()).collect::<Vec<_>>().join(" ")
}

fn written(frets: &Value) -> String {
    let frets = frets.as_array().unwrap().iter().map(|fret| fret.as_i64().unwrap());
    frets
        .map(|fret| if fret < 0 { "x".into() } else { fret.to_string() })
        .collect()
}

#[test]
fn the_answer_about_a_chord_has_the_documented_fields() {
    assert_eq!(
        answer(&["chord", "F", "--limit", "1"]),
        json!({
            "chord": "F", "sounds": "F", "capo": 0, "notes": ["F", "A", "C"], "count": 14,
            "voicings": [{"frets": [1, 3, 3, 2, 1, 1], "fingers": [1, 3, 4, 2, 1, 1], "midi": [41, 48, 53, 57, 60, 65]}],
        })
    );
    // A chord is what sounds; with the capo on it is fingered lower.
    let answer = answer(&["chord", "5/7", "--key", "Bb", "--capo", "3", "--limit", "1"]);
    assert_eq!(
        answer,
        json!({
            "chord": "D/F#", "sounds": "F/A", "capo": 3, "notes": ["D", "F#", "A"], "count": answer["count"],
            "voicings": [{"frets": [2, 0, 0, 2, 3, 2], "fingers": [1, 0, 0, 2, 4, 3], "midi": [45, 48, 53, 60, 65, 69]}],
        })
    );
}

#[test]
fn the_answers_about_what_is_near_and_what_is_fingered_have_the_documented_fields() {
    let near = answer(&["chord", "C", "--near", "--limit", "1"]);
    assert_eq!(
        near,
        json!({
            "chord": "C", "sounds": "C", "capo": 0, "count": near["count"],
            "from": {"frets": [-1, 3, 2, 0, 1, 0], "fingers": [0, 3, 2, 0, 1, 0], "midi": [48, 52, 55, 60, 64]},
            "near": [{"string": 3, "frets": [-1, 3, 2, 3, 1, 0], "fingers": [0, 3, 2, 4, 1, 0], "midi": [48, 52, 58, 60, 64],
                      "names": [{"chord": "C7", "sounds": "C7"}]}],
        })
    );
    assert_eq!(
        answer(&["chord", "--frets", "x32033", "--capo", "2", "--limit", "1"]),
        json!({
            "frets": [-1, 3, 2, 0, 3, 3], "fingers": [0, 2, 1, 0, 3, 4], "midi": [50, 54, 57, 64, 69], "capo": 2,
            "names": [{"chord": "Cadd9", "sounds": "Dadd9", "notes": ["C", "E", "G", "D"]}],
        })
    );
    assert_eq!(answer(&["chord", "--frets", "577655"])["fingers"], Value::Null);
}

#[test]
fn a_key_s_shapes_have_the_documented_fields() {
    let answer = answer(&["shapes", "bb"]);
    assert_eq!((&answer["key"], &answer["asked"]), (&json!("Bb"), &json!("bb")));
    let options = answer["options"].as_array().unwrap();
    let found: Vec<_> = options
        .iter()
        .map(|option| (&option["fret"], &option["shapes"]))
        .collect();
    assert_eq!(found, [(&json!(1), &json!("A")), (&json!(3), &json!("G"))]);
    let a = json!({"shape": "A", "frets": [-1, 0, 2, 2, 2, 0], "fingers": [0, 0, 1, 2, 3, 0], "midi": [46, 53, 58, 62, 65]});
    assert_eq!(
        options[0]["degrees"][0],
        json!({"number": "1", "sounds": "Bb", "plain": a, "open": a, "slash": null})
    );
    let slash = &options[1]["degrees"][6]["slash"];
    assert_eq!(
        *slash,
        json!({"number": "5/7", "sounds": "F/A", "shape": "D/F#", "frets": [2, 0, 0, 2, 3, 2],
               "fingers": [1, 0, 0, 2, 4, 3], "midi": [45, 48, 53, 60, 65, 69]})
    );
}

// From memory: the open chords of any handbook, as the triads of the five families.
#[test]
fn the_plain_shapes_are_a_handbook_s_open_chords() {
    for (key, shapes) in [
        ("C", "C x32010, Dm xx0231, Em 022000, F 133211, G 320003, Am x02210"),
        ("A", "A x02220, D xx0232, E 022100, F#m 244222"),
        ("G", "G 320003, Am x02210, C x32010, D xx0232, Em 022000"),
        ("E", "E 022100, F#m 244222, A x02220, B x24442"),
        // DIFFERENCE: Bm is x20402, with open strings, before the bar of x24432.
        ("D", "D xx0232, Em 022000, F#m 244222, G 320003, A x02220, Bm x20402"),
    ] {
        let answer = answer(&["shapes", key]);
        let family = answer["options"]
            .as_array()
            .unwrap()
            .iter()
            .find(|option| option["fret"] == 0);
        let degrees = family.unwrap()["degrees"].as_array().unwrap();
        let found: Vec<_> = degrees
            .iter()
            .map(|degree| {
                format!(
                    "{} {}",
                    degree["plain"]["shape"].as_str().unwrap(),
                    written(&degree["plain"]["frets"])
                )
            })
            .collect();
        for shape in shapes.split(", ") {
            assert!(found.contains(&shape.to_owned()), "{key}: {shape} is not in {found:?}");
        }
    }
}

// Source: pychord 1.4.1 and @tombatossals/chords-db 0.5.1, music21 10.5.1: see the first lines of the tables.
#[test]
fn the_published_tables_hold_through_the_commands() {
    for row in rows(include_str!("tables/chords.tsv")).step_by(11) {
        assert_eq!(
            joined(&answer(&["chord", row[0], "--limit", "1"])["notes"]),
            row[1],
            "{}",
            row[0]
        );
    }
    for row in rows(include_str!("tables/voicings.tsv")).step_by(11) {
        let [symbol, shape, _, midi, verdict] = row[..] else {
            panic!("{row:?}")
        };
        let answer = answer(&["chord", symbol, "--limit", "0"]);
        let found = answer["voicings"]
            .as_array()
            .unwrap()
            .iter()
            .find(|voicing| written(&voicing["frets"]) == shape);
        assert_eq!(found.is_some(), verdict == "allowed", "{symbol} {shape}");
        let heard = found.map(|voicing| {
            voicing["midi"]
                .as_array()
                .unwrap()
                .iter()
                .map(Value::to_string)
                .collect::<Vec<_>>()
        });
        assert!(heard.is_none_or(|heard| heard.join(" ") == midi), "{symbol} {shape}");
    }
    for row in rows(include_str!("tables/numbers.tsv")).step_by(23) {
        let [key, number, _, _, notes] = row[..] else {
            panic!("{row:?}")
        };
        let answer = answer(&["chord", number, "--key", key]);
        let found = joined(&answer["notes"]);
        let mut found: Vec<&str> = found.split(' ').collect();
        found.sort_unstable();
        assert_eq!(found.join(" "), notes, "{number} in {key}");
    }
    for row in rows(include_str!("tables/keys.tsv")).step_by(5) {
        assert_eq!(answer(&["shapes", row[0]])["key"], row[2], "{}", row[0]);
    }
}

#[test]
fn diagrams_are_drawn_as_players_know_them() {
    assert_eq!(
        printed(&["chord", "4", "--key", "Bb", "--capo", "3", "--limit", "2"]),
        "Eb sounds, 4 in Bb: Eb G Bb\n\
         C is fingered, capo 3, G shapes: C E G\n\
         2 of 7 voicings; --limit 0 shows all\n\
         \n\
         x     o   o  x     o\n\
         #### 3 ####  #### 3 ####\n\
         | | | | 1 |  | | | | 1 |\n\
         +-+-+-+-+-+  +-+-+-+-+-+\n\
         | | 2 | | |  | | 2 | | |\n\
         +-+-+-+-+-+  +-+-+-+-+-+\n\
         | 3 | | | |  | 3 | | | 4\n\
         x32010 G     x32013\n"
    );
    let shapes = printed(&["shapes", "B#"]);
    assert!(
        shapes.starts_with("C (asked for as B#): no capo, C shapes\n\n1       2-")
            && shapes.contains("\nC: capo 3, A shapes\n")
            && shapes.matches("asked for").count() == 1,
        "{shapes}"
    );
    assert!(
        shapes.is_ascii() && shapes.lines().all(|line| line.len() <= 80),
        "{shapes}"
    );
}

#[test]
fn what_cannot_be_read_is_wrong_usage_and_pointed_at() {
    let long = "9".repeat(100_000);
    for (arguments, wanted) in [
        (&["chord", "H"][..], "error: `H` is no chord\nSYMBOL | H\n       | ^\n"),
        (
            &["chord", "Cmaj77"],
            "error: `7` cannot be read after `Cmaj7`\nSYMBOL | Cmaj77\n       |      ^\n",
        ),
        (
            &["chord", "C/"],
            "error: there is no bass note here\nSYMBOL | C/\n       |   ^\n",
        ),
        (
            &["chord", "C", "--capo", "40"],
            "error: the capo does not go there\n--capo | 40\n       | ^^\n",
        ),
        (
            &["chord", "C", "--capo", "-1"],
            "error: the capo does not go there\n--capo | -1\n       | ^^\n",
        ),
        (
            &["chord", "--frets", "x3201"],
            "error: a fret is missing here: six strings need six frets, and these are 5\n--frets | x3201\n        |      ^\n",
        ),
        (
            &["chord", "--frets", "x3x0z0"],
            "error: `z` is no fret\n--frets | x3x0z0\n        |     ^\n",
        ),
        (
            &["chord", "G", "--near", "--from", "x32010"],
            "error: this string sounds C, which G has not\n--from | x32010\n       |  ^\n",
        ),
        (
            &["chord", "C", "--near", "--from", "032010"],
            "error: the lowest string sounds E, and C stands on C\n--from | 032010\n       | ^\n",
        ),
        (&["shapes", "H"], "error: `H` is no key\nKEY | H\n    | ^\n"),
        (&["chord", &long], "error: a number is a chord of a key\nSYMBOL | 9999"),
        (
            &["chord", "C", "--key", &long],
            "error: `999999999999999999999999…` is no key",
        ),
        (&["chord"], "error: the following required arguments were not provided"),
    ] {
        let output = run(arguments);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.starts_with(wanted), "{said}");
        assert!(said.len() < 1000 && output.stdout.is_empty(), "{said}");
    }
}
