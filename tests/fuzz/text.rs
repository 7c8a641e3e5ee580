//! The targets that read text: sets, players' files, chord lines and what they are made of, a leader's list.

use crate::targets::{demo, mark, move_there_and_back};
use footlights::music::{
    AskedKey, Chord, ChordLine, Fret, Key, MinorNumbers, NumberChord, NumberStyle, Numbering, SymbolError, parse_frets,
};
use footlights::pedal::Bindings;
use footlights::plan::{Planned, findings, solve};
use footlights::sequencer::Action;
use footlights::setlist::{
    self, Channel, Finding, NewSwitch, Report, Sends, SetDraft, Seven, SwitchKind, midi_song, read_list,
    read_player_as, same_but_for_pins, same_but_for_switches, with_pins, with_switches,
};

pub(crate) const YAML: &[&str] = &[
    "\n",
    "  ",
    "- ",
    ": ",
    "{ ",
    " }",
    "[",
    "]",
    ",",
    "\"",
    "'",
    "#",
    "&a ",
    "*a",
    "<<: *a",
    "|\n",
    ">-\n",
    "? ",
    "%YAML 1.2\n",
    "---\n",
    "...\n",
    "!!str ",
    "~",
    "null",
    "\t",
    "\r\n",
    "\u{feff}",
    "\u{1b}[2J",
    "\u{202e}",
    "é",
    "♭",
    "songs:\n",
    "song: ",
    "key: Bb\n",
    "sections:\n",
    "order: [Verse x2]\n",
    "like: Verse",
    "use: songs/ferry-in-the-fog.yaml\n",
    "use: ../x.yaml\n",
    "pin: { Wren: { fret: 3 } }\n",
    "chords: \"1 | 5/7 | % | NC\"\n",
    "tempo: 72\n",
    "meter: 6/8\n",
    "players:\n",
    "name: Wren\n",
    "send: [ { program: 1, channel: 1 } ]\n",
    "switches:\n",
    "{ cc: 80, do: next }",
    "hold: top",
    "sends: latching",
    "any",
    "pedals:\n",
    "input: any\n",
    "shapes: [G, E]\n",
    "highest_fret: 11\n",
    "weights: { move: 0 }\n",
    "gap: 0\n",
    "set: x\n",
];

pub(crate) const CHORDS: &[&str] = &[
    "|",
    " ",
    "%",
    "NC",
    "1",
    "7",
    "b",
    "#",
    "♭",
    "♯",
    "/",
    "-",
    "m",
    "maj7",
    "sus4",
    "dim",
    "aug",
    "5",
    "6",
    "9",
    "11",
    "13",
    "add9",
    "°",
    "ø",
    "(",
    ")",
    "B#",
    "Cb",
    "F##",
    "x",
    "H",
    "\u{0}",
    "\u{1b}[2J",
    "x32010",
    "minor",
];

pub(crate) const LIST: &[&str] = &[
    "\n",
    "1. ",
    "2) ",
    "- ",
    "\t",
    ", ",
    " – ",
    "(",
    ")",
    "Bb",
    "F#m",
    "in C",
    "key of D",
    "72",
    "72 bpm",
    "4/4",
    "6/8",
    "Set:",
    "\u{feff}",
    "\u{1b}[2J",
    "Lanterns at Millpond",
    "\"",
    "'",
    "#",
    ": ",
    "capo 3",
    "2026-10-10",
    "\r\n",
    "\u{85}",
];

/// A set beside the demo's songs; one that can be planned is pinned, read anew, and played on from the demo set.
pub(crate) fn set(input: &[u8]) -> u64 {
    let text = String::from_utf8_lossy(input);
    let path = demo("fuzzed.yaml");
    let reading = match setlist::read_as(&path, &text, None) {
        Ok(reading) => reading,
        Err(report) => return told(&report, &text, &path),
    };
    let mark_of_reading = told(
        &Report::new(reading.findings.clone(), reading.sources.clone()),
        &text,
        &path,
    );
    // The plan is exact: what many players and many songs cost is measured elsewhere.
    if reading.set.players.len() > 3 || reading.set.songs().len() > 60 {
        return mark_of_reading;
    }
    let Ok(plan) = solve(&reading.set) else {
        return mark((mark_of_reading, "no plan"));
    };
    let planned = Planned { set: reading.set, plan };
    let unwise = findings(&planned);
    told(&Report::new(unwise, reading.sources.clone()), &text, &path);
    move_there_and_back(&planned);
    let pinned = with_pins(&text, &planned.set, |song, player| planned.plan.fret(song, player));
    // What comes of it is always read and compared before it is trusted: here it may differ, but not break.
    let same = pinned.as_ref().is_some_and(|pinned| {
        setlist::read_as(&path, pinned, None).is_ok_and(|anew| same_but_for_pins(&anew.set, &planned.set))
    });
    mark((mark_of_reading, pinned.is_some(), same))
}

/// A player's file; one that can be read gets a switch.
pub(crate) fn player(input: &[u8]) -> u64 {
    let text = String::from_utf8_lossy(input);
    let path = demo("fuzzed-player.yaml");
    let (player, rig, sources) = match read_player_as(&path, &text) {
        Ok(read) => read,
        Err(report) => return told(&report, &text, &path),
    };
    let bound = Bindings::read(&rig.pedals);
    if let Err(findings) = &bound {
        told(&Report::new(findings.clone(), sources), &text, &path);
    }
    let new = [NewSwitch {
        kind: SwitchKind::Note,
        number: Seven::new(61).expect("a number of seven bits"),
        channel: Channel::new(16).expect("a channel"),
        sends: Sends::Latching,
        press: "section Verse: \"2\"".into(),
    }];
    let written = with_switches(&text, &new);
    let same = written.as_ref().is_some_and(|written| {
        read_player_as(&path, written)
            .is_ok_and(|(other, others, _)| same_but_for_switches((&player, &rig), (&other, &others), &new))
    });
    mark((
        bound.is_ok(),
        written.is_some(),
        same,
        rig.pedals.switches.map(|switches| switches.len().min(5)),
    ))
}

/// A report's findings have places in the text, and its words steer no terminal.
fn told(report: &Report, text: &str, path: &std::path::Path) -> u64 {
    let words = report.to_string();
    assert!(
        !words.chars().any(|letter| letter.is_control() && letter != '\n'),
        "{words:?}"
    );
    assert!(words.len() < 4_000_000, "{} bytes of report", words.len());
    let first = report.first_error().unwrap_or_default();
    assert!(!first.contains(char::is_control), "{first:?}");
    let lines: Vec<&str> = lines(text);
    let own = |finding: &&Finding| {
        finding
            .spot
            .is_some_and(|spot| report.sources.path(spot) == path.to_string_lossy())
    };
    for finding in report.findings.iter().filter(own) {
        let spot = finding.spot.expect("it has one");
        if spot.line == 0 {
            continue;
        }
        let line = lines.get(spot.line as usize - 1);
        let line = line.unwrap_or_else(|| panic!("line {} of {}: {}", spot.line, lines.len(), finding.message));
        let columns = line.chars().count() as u32 + 1;
        assert!(
            (1..=columns).contains(&spot.column),
            "column {} of {columns}: {}",
            spot.column,
            finding.message
        );
        assert!(spot.len >= 1, "{}", finding.message);
    }
    let mut marks: Vec<u64> = report
        .findings
        .iter()
        .map(|finding| mark(shape(&finding.message)))
        .collect();
    marks.sort_unstable();
    marks.dedup();
    marks.truncate(4);
    mark(marks)
}

/// A text's lines, which end as YAML's do; a byte order mark is of none.
fn lines(text: &str) -> Vec<&str> {
    let mut lines = Vec::new();
    let mut rest = text.strip_prefix('\u{feff}').unwrap_or(text);
    while let Some(end) = rest.find(['\n', '\r']) {
        lines.push(&rest[..end]);
        rest = rest[end..].strip_prefix("\r\n").unwrap_or(&rest[end + 1..]);
    }
    lines.push(rest);
    lines
}

/// A message without what it quotes and counts.
fn shape(message: &str) -> String {
    let outside = message.split('`').step_by(2).collect::<Vec<_>>().join("`");
    outside.chars().filter(|letter| !letter.is_ascii_digit()).collect()
}

/// A chord line, and each of its parts as a chord, a number, a key, a fret, six frets and an action.
pub(crate) fn chords(input: &[u8]) -> u64 {
    let text = String::from_utf8_lossy(input);
    let mut seen = Vec::new();
    for key in ["C", "Cb", "F#m"] {
        let key = AskedKey::parse(key).expect("a key").key();
        for (style, minor) in [
            (NumberStyle::Diatonic, MinorNumbers::Relative),
            (NumberStyle::Literal, MinorNumbers::FromOne),
        ] {
            let numbering = Numbering { style, minor };
            match ChordLine::parse(&text, key, numbering) {
                Ok((line, _)) => {
                    assert!(
                        line.bars
                            .iter()
                            .all(|bar| !bar.chords.is_empty() && bar.chords.len() <= 16),
                        "{line:?}"
                    );
                    line.distinct()
                        .iter()
                        .for_each(|chord| reads_back(*chord, key, numbering));
                    seen.push(mark(line.bars.len().min(5)));
                }
                Err(errors) => {
                    assert!(!errors.is_empty());
                    errors.iter().for_each(|error| points_into(&text, error));
                    seen.push(mark(shape(&errors[0].message)));
                }
            }
        }
    }
    for word in text.split([' ', '|', '\n']).take(50) {
        seen.push(word_of_a_line(word));
    }
    parse_frets(&text)
        .err()
        .iter()
        .for_each(|error| points_into(&text, error));
    seen.sort_unstable();
    seen.dedup();
    seen.truncate(5);
    mark(seen)
}

/// A number reads back as the chord that it was written for; one with two accidentals, of a chord that is far from the
/// key, is for the eye alone.
fn reads_back(chord: NumberChord, key: Key, numbering: Numbering) {
    let written = chord.written(key, numbering);
    if !["♯♯", "♭♭"].iter().any(|far| written.contains(far)) {
        let read = NumberChord::parse(&written, key, numbering);
        assert_eq!(read.as_ref(), Ok(&chord), "{written}");
    }
}

fn word_of_a_line(word: &str) -> u64 {
    match Chord::parse(word) {
        Ok(chord) => {
            let written = chord.to_string();
            assert_eq!(Chord::parse(&written).as_ref(), Ok(&chord), "{word} became {written}");
        }
        Err(error) => points_into(word, &error),
    }
    match AskedKey::parse(word) {
        Ok(asked) => {
            let written = asked.key().to_string();
            assert_eq!(
                AskedKey::parse(&written).map(|asked| asked.key()).ok(),
                Some(asked.key()),
                "{word} became {written}"
            );
        }
        Err(error) => assert!(!error.to_string().contains(char::is_control), "{error}"),
    }
    if let Ok(number) = word.parse::<i64>()
        && let Ok(fret) = Fret::new(number)
    {
        assert_eq!(fret.to_string(), number.to_string());
    }
    if let Ok(action) = Action::parse(word) {
        assert_eq!(Action::parse(&action.to_string()).ok(), Some(action), "{word}");
    }
    mark(
        Chord::parse(word)
            .map_err(|error| shape(&error.message))
            .map(|_| ())
            .err(),
    )
}

fn points_into(text: &str, error: &SymbolError) {
    let letters = text.chars().count();
    assert!(
        error.at <= letters && error.len >= 1,
        "{error:?} in {letters} letters of {text:?}"
    );
    let words = error.hint.iter().chain([&error.message]);
    words.for_each(|words| assert!(!words.contains(char::is_control), "{words:?}"));
}

/// A MIDI file as a song: a set of it can be read.
pub(crate) fn song(input: &[u8]) -> u64 {
    let read = match midi_song(input, "evening") {
        Ok(read) => read,
        Err(why) => {
            let words = why.to_string();
            assert!(!words.contains(char::is_control) && words.len() < 200, "{words:?}");
            return mark(words);
        }
    };
    let said = read.remarks.first().map(|remark| shape(remark));
    let sections = read.song.sections.len().min(6);
    let set = SetDraft {
        name: "Evening".into(),
        songs: vec![read.song],
    };
    let text = set.text();
    if let Err(report) = setlist::read_as(&demo("fuzzed.yaml"), &text, None) {
        panic!("{report}\nof\n{text}");
    }
    mark((sections, said))
}

/// A leader's list: the set that comes of it can be read, and what it says is of a line that is there.
pub(crate) fn list(input: &[u8]) -> u64 {
    let Some(list) = read_list(input, "Evening") else {
        return 0;
    };
    let text = list.set.text();
    let read = setlist::read_as(&demo("fuzzed.yaml"), &text, None);
    let songs = read.map(|reading| reading.set.songs().len());
    let songs = songs.unwrap_or_else(|report| panic!("{report}\nof\n{text}"));
    for remark in &list.remarks {
        assert!(
            remark.line >= 1 && !remark.words.contains(char::is_control),
            "{remark:?}"
        );
    }
    mark((songs.min(6), list.remarks.first().map(|remark| shape(&remark.words))))
}
