//! What good files hold once read: the fields of a set, a song file and a player file, and what YAML itself allows.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use footlights::setlist::{self, Message, Reading, Sends, Set, SwitchKind, Technique};
use std::fs;
use std::path::{Path, PathBuf};

/// Reads a set with its files: `set.yaml` and perhaps `player.yaml` among them.
#[track_caller]
fn read(files: &[(&str, &str)]) -> Reading {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let player = folder.path().join("player.yaml");
    let player = player.exists().then_some(player);
    setlist::read(&folder.path().join("set.yaml"), player.as_deref()).unwrap_or_else(|report| panic!("{report}"))
}

/// A set of one song with these fields besides its title and key.
#[track_caller]
fn song(fields: &str) -> Set {
    read(&[(
        "set.yaml",
        &format!("set: Evening\nsongs:\n  - song: Ferry\n    key: D\n{fields}"),
    )])
    .set
}

/// The order played, as names.
fn order(set: &Set, song: usize) -> Vec<&str> {
    let song = &set.songs()[song];
    song.steps
        .iter()
        .map(|&step| song.sections[step].name.as_str())
        .collect()
}

#[test]
fn a_set_holds_what_its_file_says() {
    let set = "set: Harvest evening
date: 2026-10-10
gap: 12.5
numbers: literal
minor_numbers: from_one
players:
  - name: Wren
  - { name: Sam, highest_fret: 5, shapes: [g, C, D], seconds_to_move: 8, weights: { dull: 3 } }
songs:
  - song: Lanterns at Millpond
    key: Bb
    tempo: 72
    meter: 6/8
    gap: 5
    note: piano starts
    pin: { Wren: { shapes: G }, Sam: { fret: 1 } }
    send: [ { program: 12, channel: 3 }, { cc: 20, value: 127 } ]
    sections:
      Verse:  { bars: 8, technique: palm mute, pickup: middle, chords: \"1 | 4\" }
      Chorus: { technique: let ring, note: dig in, send: [ { cc: 7, value: 0 } ] }
    order: [Verse, Chorus x2]
  - { song: Ferry, key: B# }
";
    let set = read(&[("set.yaml", set)]).set;
    assert_eq!(
        (set.name.as_str(), set.date.as_deref()),
        ("Harvest evening", Some("2026-10-10"))
    );
    let sam = &set.players[1];
    assert_eq!(
        (
            sam.name.as_str(),
            sam.highest_fret.number(),
            sam.seconds_to_move.as_ms()
        ),
        ("Sam", 5, 8000)
    );
    assert_eq!(
        sam.shapes.iter().map(|family| family.letter()).collect::<String>(),
        "GCD"
    );
    assert_eq!((sam.weights.dull, sam.weights.r#move), (3, 2));
    let song = &set.songs()[0];
    assert_eq!(song.tempo.unwrap().bpm(), 72.0);
    assert_eq!(song.meter.unwrap().to_string(), "6/8");
    assert_eq!((song.gap.as_ms(), set.songs()[1].gap.as_ms()), (5000, 12_500));
    assert_eq!(song.note.as_deref(), Some("piano starts"));
    assert_eq!(song.pins[0].unwrap().shapes.unwrap().letter(), "G");
    assert_eq!(song.pins[1].unwrap().fret.unwrap().number(), 1);
    assert!(matches!(song.send[0], Message::Program { program, channel }
        if program.number() == 12 && channel.number() == 3));
    assert!(matches!(song.send[1], Message::Control { cc, value, channel }
        if (cc.number(), value.number(), channel.number()) == (20, 127, 1)));
    assert_eq!(order(&set, 0), ["Verse", "Chorus", "Chorus"]);
    let verse = &song.sections[0];
    assert_eq!(
        (verse.bars.unwrap().count(), verse.technique.clone()),
        (8, Some(Technique::PalmMute))
    );
    assert_eq!((verse.pickup.as_deref(), verse.chords.bars.len()), (Some("middle"), 2));
    assert_eq!(song.sections[1].technique, Some(Technique::Other("let ring".into())));
    assert_eq!(set.songs()[1].key.to_string(), "C (asked for as B♯)");
}

#[test]
fn what_is_left_out_has_its_default() {
    let set = song("");
    let song = &set.songs()[0];
    assert_eq!(
        (song.gap.as_ms(), song.tempo.is_none(), song.meter.is_none()),
        (20_000, true, true)
    );
    assert_eq!((song.pins.len(), song.sections.len(), song.steps.len()), (1, 0, 0));
    let player = set.first_player();
    assert_eq!(
        (
            player.name.as_str(),
            player.highest_fret.number(),
            player.seconds_to_move.as_ms()
        ),
        ("", 4, 10_000)
    );
}

#[test]
fn sections_keep_the_order_written_and_each_plays_once_without_an_order() {
    let set = song("    sections: { Verse: , Alpha: { bars: 2 }, Intro: ~ }\n");
    assert_eq!(order(&set, 0), ["Verse", "Alpha", "Intro"]);
}

#[test]
fn an_order_names_sections_exactly_or_else_without_regard_to_case() {
    let set = song(
        "    sections: { Verse: , VERSE: , Turn x2: , Überleitung: }\n    order: [verse, VERSE, turn X2, Turn x2 x2, überleitung x3]\n",
    );
    let turn = ["Turn x2"; 3];
    let bridge = ["Überleitung"; 3];
    assert_eq!(order(&set, 0), [&["Verse", "VERSE"][..], &turn, &bridge].concat());
}

#[test]
fn like_takes_everything_but_what_is_said_anew() {
    let set = song(
        "    sections:
      Lift: { like: chorus, key: E, note: \"\" }
      Chorus: { like: Base, bars: 8, send: [] }
      Base: { bars: 4, technique: strum, pickup: neck, chords: \"1 | 4\", note: dig in, send: [ { program: 1 } ], key: C }
",
    );
    let sections = &set.songs()[0].sections;
    let [lift, chorus, base] = &sections[..] else { panic!() };
    for section in sections {
        assert_eq!(
            (section.technique.clone(), section.pickup.as_deref()),
            (Some(Technique::Strum), Some("neck"))
        );
        assert_eq!(section.chords, base.chords, "numbers mean the same in every key");
    }
    assert_eq!(
        (lift.bars, chorus.bars.unwrap().count(), base.bars.unwrap().count()),
        (chorus.bars, 8, 4)
    );
    assert_eq!((lift.note.as_deref(), chorus.note.as_deref()), (None, Some("dig in")));
    assert_eq!((lift.send.len(), chorus.send.len(), base.send.len()), (0, 0, 1));
    assert_eq!(
        [lift, chorus, base].map(|section| section.key.to_string()),
        ["E", "C", "C"]
    );
}

#[test]
fn letter_chords_are_read_in_the_section_s_own_key() {
    let set = song("    sections: { A: { chords: \"D\" }, B: { like: A, key: A } }\n");
    let sections = &set.songs()[0].sections;
    assert_ne!(sections[0].chords, sections[1].chords, "D is 1 of D and 4 of A");
}

#[test]
fn fields_beside_use_replace_those_of_the_file() {
    let reading = read(&[
        (
            "set.yaml",
            "set: Evening\nsongs:\n  - use: songs/ferry.yaml\n    key: Db\n    note: ~\n  - { use: songs/ferry.yaml, song: Ferry again, sections: { Coda: } , order: [Coda] }\n",
        ),
        (
            "songs/ferry.yaml",
            "use: deeper/base.yaml\nsong: Ferry\nkey: D\nnote: fiddle\n",
        ),
        (
            "songs/deeper/base.yaml",
            "song: Base\ntempo: 168\nsections: { A: , B: }\norder: [B, A]\n",
        ),
    ]);
    let [first, second] = reading.set.songs() else { panic!() };
    assert_eq!(
        (first.title.as_str(), first.key.to_string(), first.note.as_deref()),
        ("Ferry", "D♭".into(), Some("fiddle"))
    );
    assert_eq!(
        (second.title.as_str(), second.key.to_string()),
        ("Ferry again", "D".into())
    );
    assert_eq!(first.tempo.unwrap().bpm(), 168.0);
    assert_eq!(
        (order(&reading.set, 0), order(&reading.set, 1)),
        (vec!["B", "A"], vec!["Coda"])
    );
    let files: Vec<String> = reading
        .sources
        .paths()
        .map(|path| path.file_name().unwrap().to_string_lossy().into())
        .collect();
    assert_eq!(files, ["set.yaml", "ferry.yaml", "base.yaml"]);
}

#[test]
fn the_player_file_stands_in_where_the_set_says_nothing_of_the_first_player() {
    let player = "player: Wren\nhighest_fret: 2\nshapes: [D, A]\nseconds_to_move: 3\nweights: { move: 7, dull: 5 }\n";
    let set = |players: &str| {
        let text = format!("set: Evening\n{players}songs: [ {{ song: Ferry, key: D }} ]\n");
        read(&[("set.yaml", &text), ("player.yaml", player)]).set
    };
    let alone = set("");
    let wren = alone.first_player();
    assert_eq!(
        (wren.name.as_str(), wren.highest_fret.number(), wren.shapes.len()),
        ("Wren", 2, 2)
    );
    let both = set("players: [ { highest_fret: 5, weights: { move: 1 } }, { name: Sam } ]\n");
    let [wren, sam] = &both.players[..] else { panic!() };
    assert_eq!(
        (
            wren.name.as_str(),
            wren.highest_fret.number(),
            wren.seconds_to_move.as_ms()
        ),
        ("Wren", 5, 3000)
    );
    assert_eq!((wren.weights.r#move, wren.weights.dull), (1, 5));
    assert_eq!(
        (sam.highest_fret.number(), sam.shapes.len(), sam.weights.dull),
        (4, 5, 1)
    );
}

#[test]
fn a_player_file_holds_the_guitar_the_pedals_and_the_screen() {
    let player = "player: Wren
guitar: { scale_mm: 628, pickups: { bridge: 41, neck: 150 }, selector: [neck, neck + bridge, bridge] }
pedals:
  input: [Big, Small]
  output: Desk
  debounce_ms: 20
  hold_ms: 700
  follow: clock
  switches:
    - { cc: 81, channel: 3, do: back, hold: previous-song }
    - { note: any, sends: latching, do: section Half Chorus }
    - { program: any, do: song }
screen: { theme: light, glyphs: halves, distance_m: 1.5, height_mm: 170 }
left_handed: true
";
    let reading = read(&[
        (
            "set.yaml",
            "set: Evening\nsongs: [ { song: Ferry, key: D, sections: { A: { pickup: neck+bridge } } } ]\n",
        ),
        ("player.yaml", player),
    ]);
    let rig = &reading.rig;
    assert!(rig.left_handed && rig.pedals.follow_clock);
    let pickups: Vec<&str> = rig.guitar.pickups.iter().map(|pickup| pickup.name.as_str()).collect();
    assert_eq!(pickups, ["neck", "bridge"], "from the neck to the bridge");
    let positions: Vec<(&str, &[usize])> = rig
        .guitar
        .selector
        .iter()
        .map(|position| (position.name.as_str(), &position.pickups[..]))
        .collect();
    assert_eq!(
        positions,
        [("neck", &[0][..]), ("neck+bridge", &[0, 1]), ("bridge", &[1])]
    );
    assert_eq!(
        (&rig.pedals.input[..], rig.pedals.output.as_deref()),
        (&["Big".into(), "Small".into()][..], Some("Desk"))
    );
    assert_eq!((rig.pedals.debounce_ms, rig.pedals.hold_ms), (20, 700));
    let [back, section, song] = &rig.pedals.switches.as_ref().unwrap()[..] else {
        panic!()
    };
    assert_eq!(
        (back.kind, back.number.unwrap().number(), back.channel.unwrap().number()),
        (SwitchKind::Control, 81, 3)
    );
    assert_eq!(
        (back.press.0.as_str(), &back.hold.as_ref().unwrap().0[..]),
        ("back", "previous-song")
    );
    assert_eq!(
        (section.kind, section.number, section.sends),
        (SwitchKind::Note, None, Sends::Latching)
    );
    assert_eq!(
        (section.press.0.as_str(), section.press.1.line),
        ("section Half Chorus", 11)
    );
    assert_eq!(
        (song.kind, song.number, song.sends),
        (SwitchKind::Program, None, Sends::Single)
    );
    assert_eq!(
        (rig.screen.theme.as_deref(), rig.screen.height_mm),
        (Some("light"), Some(170.0))
    );
    assert!(
        reading
            .findings
            .iter()
            .all(|finding| finding.rule.name() != "no-such-pickup")
    );
}

#[test]
fn a_set_may_tell_of_the_first_player_s_guitar() {
    let set = "set: Evening\nplayers: [ { name: Wren, guitar: { pickups: { only: 60 } } } ]\nsongs: [ { song: Ferry, key: D } ]\n";
    let reading = read(&[("set.yaml", set), ("player.yaml", "guitar: { scale_mm: 700 }\n")]);
    assert_eq!(reading.rig.guitar.selector[0].name, "only");
}

#[test]
fn a_player_file_of_comments_alone_says_nothing() {
    let set = "set: Evening\nsongs: [ { song: Ferry, key: D } ]\n";
    read(&[("set.yaml", set), ("player.yaml", "# player: Wren\n")]);
}

// Source: YAML 1.2.2, the shapes of its examples with fields of our own, from memory: 2.10 (a node that comes twice),
// 2.5 and 2.6 (sequence of sequences, mapping of mappings, in flow), 2.11 is refused (a sequence as a key), 5.5 (only
// comments), 6.9 (a separated comment), 7.4 (double quotes as key), 7.13 and 7.15 (flow sequences and mappings with
// commas at their ends), 8.1 and 8.2 (block scalar headers), 9.2 (document markers).
#[test]
fn every_set_of_the_worked_examples_and_of_the_demo_is_read() {
    let base = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut sets = vec![(
        base.join("setlists/harvest-evening.yaml"),
        base.join("setlists/player.yaml"),
    )];
    for kind in ["performances", "plans"] {
        for folder in fs::read_dir(base.join("tests/examples").join(kind)).unwrap() {
            let folder = folder.unwrap().path();
            sets.push((folder.join("set.yaml"), folder.join("player.yaml")));
        }
    }
    assert!(sets.len() > 30);
    for (set, player) in sets {
        let player: Option<PathBuf> = player.exists().then_some(player);
        if let Err(report) = setlist::read(&set, player.as_deref()) {
            panic!("{report}");
        }
    }
}
