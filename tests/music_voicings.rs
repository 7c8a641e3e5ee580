//! Every chord's voicings against a slow search written apart from the program's: it tries all 46,656 ways to fret six
//! strings and every way to lay four fingers on them, rule by rule.

#![allow(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use footlights::music::{Chord, Interval, Note, Quality, Voicing, first_voicing, voicings};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::process::Command;

type Frets = [i8; 6];

/// Semitones above C of the open strings E A D G B E.
const OPEN: [i8; 6] = [4, 9, 14, 19, 23, 28];

/// Pitch classes, one bit each from C up.
type Classes = u16;

/// A hand that can be pressed: its frets, the fewest fingers that do, and what sounds.
struct Hand {
    frets: Frets,
    fewest: usize,
    classes: Classes,
    strings: usize,
}

/// One chord in numbers: the notes that it may sound and those that it must, and its bass.
struct Wanted {
    may: Classes,
    must: Classes,
    bass: i8,
    strings: usize,
}

#[test]
fn every_chord_on_every_root_over_every_bass_has_the_voicings_of_an_exhaustive_search() {
    let hands = hands();
    // Every pitch class, some by a name with two signs.
    let notes: Vec<Note> = (-7..=4).map(|fifths| Note::C.up(Interval::fifths(fifths))).collect();
    let (mut found_in_all, mut without) = (0, 0);
    for quality in Quality::all() {
        for &root in &notes {
            for bass in std::iter::once(None).chain(notes.iter().copied().map(Some)) {
                let chord = Chord::new(root, quality, bass);
                let found = voicings(chord);
                let wanted = search(&hands, &wanted(chord));
                assert_eq!(found.iter().map(|v| v.frets).collect::<Vec<_>>(), wanted, "{chord}");
                assert_eq!(first_voicing(chord), found.first().copied(), "{chord}");
                found_in_all += found.len();
                without += usize::from(found.is_empty());
            }
        }
    }
    // The comparison is no empty one.
    assert!(found_in_all > 40_000, "{found_in_all}");
    assert!(without > 0 && without < 600, "{without} chords without a voicing");
}

#[test]
fn a_chord_spelled_otherwise_has_the_same_voicings() {
    // Every note that a symbol can name: seven letters, flat, natural and sharp.
    let notes = || (-8..=12).map(|fifths| Note::C.up(Interval::fifths(fifths)));
    let mut by_sound = HashMap::new();
    let mut spelled = 0;
    for quality in Quality::all() {
        for root in notes() {
            for bass in std::iter::once(None).chain(notes().map(Some)) {
                let chord = Chord::new(root, quality, bass);
                let found = voicings(chord);
                let before = by_sound.entry(chord.heard()).or_insert_with(|| found.clone());
                assert_eq!(*before, found, "{chord}");
                spelled += 1;
            }
        }
    }
    assert_eq!((spelled, by_sound.len()), (30 * 21 * 22, 30 * 12 * 12));
}

#[test]
fn the_command_gives_what_an_exhaustive_search_finds_with_a_capo_or_without() {
    let hands = hands();
    let notes: Vec<Note> = (-8..=12).map(|fifths| Note::C.up(Interval::fifths(fifths))).collect();
    let mut chords = Quality::all().flat_map(|quality| {
        let on = |root: Note| notes.iter().map(move |&bass| Chord::new(root, quality, Some(bass)));
        notes.iter().flat_map(move |&root| on(root)).collect::<Vec<_>>()
    });
    // 541 shares no factor with the 21 notes, so roots, basses and qualities all vary.
    for capo in 0..=11 {
        for chord in chords.by_ref().step_by(541).take(3) {
            let arguments = [
                "chord",
                &chord.to_string(),
                "--capo",
                &capo.to_string(),
                "--limit",
                "0",
                "--json",
            ];
            let mut command = Command::new(env!("CARGO_BIN_EXE_footlights"));
            let output = command.args(arguments).output().unwrap();
            assert!(output.status.success(), "{arguments:?}");
            let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
            let found: Vec<Frets> = answer["voicings"]
                .as_array()
                .unwrap()
                .iter()
                .map(|voicing| serde_json::from_value(voicing["frets"].clone()).unwrap())
                .collect();
            // The chord is what sounds: its notes are looked for so many frets lower.
            let lower = |note: Note| (i32::from(note.pitch_class().number()) - capo).rem_euclid(12);
            let note = |class: i32| Note::C.up(Interval::fifths((class * 7).rem_euclid(12) as i8));
            let fingered = Chord::new(
                note(lower(chord.root)),
                chord.quality,
                chord.bass.map(|bass| note(lower(bass))),
            );
            assert_eq!(found, search(&hands, &wanted(fingered)), "{arguments:?}");
            assert_eq!(answer["count"], found.len(), "{arguments:?}");
        }
    }
}

#[test]
fn every_fingering_obeys_the_hand_and_is_there_wherever_one_can_be() {
    let mut playable = 0;
    for frets in all_frets() {
        let ways = fingerings(frets);
        let found = Voicing::fingered(frets);
        assert_eq!(found.is_some(), !ways.is_empty(), "{frets:?}");
        let Some(voicing) = found else { continue };
        assert!(ways.contains(&voicing.fingers), "{voicing} {:?}", voicing.fingers);
        playable += 1;
    }
    assert!(playable > 30_000, "{playable}");
}

fn all_frets() -> impl Iterator<Item = Frets> {
    (0..6_i32.pow(6)).map(|code| std::array::from_fn(|string| (code / 6_i32.pow(string as u32) % 6) as i8 - 1))
}

fn count(fingers: [u8; 6]) -> usize {
    fingers
        .into_iter()
        .filter(|&finger| finger > 0)
        .collect::<BTreeSet<_>>()
        .len()
}

/// Every hand that can be pressed, by the pitch class of its lowest note.
fn hands() -> BTreeMap<i8, Vec<Hand>> {
    let mut hands: BTreeMap<_, Vec<Hand>> = BTreeMap::new();
    for frets in all_frets() {
        let notes: Vec<i8> = (0..6).filter(|&s| frets[s] >= 0).map(|s| OPEN[s] + frets[s]).collect();
        let fewest = fingerings(frets).into_iter().map(count).min();
        let (Some(lowest), Some(fewest)) = (notes.iter().min(), fewest) else {
            continue;
        };
        hands.entry(lowest % 12).or_default().push(Hand {
            frets,
            fewest,
            classes: notes.iter().fold(0, |classes, note| classes | 1 << (note % 12)),
            strings: notes.len(),
        });
    }
    hands
}

/// What the chord asks for, in the words of the rule.
fn wanted(chord: Chord) -> Wanted {
    let class = |note: Note| note.pitch_class().number() as i8;
    let tones: Vec<Interval> = chord.quality.tones().collect();
    let bass = class(chord.bass.unwrap_or(chord.root));
    let (perfect_fifth, ninth, eleventh) = (1, 2, -1);
    let ends_on = chord.quality.suffix().trim_start_matches(|c: char| !c.is_ascii_digit());
    let optional = |tone: &Interval| match tone.as_fifths() {
        fifths if fifths == perfect_fifth => tones.len() >= 4,
        fifths if fifths == ninth => tones.len() >= 5 && !ends_on.ends_with('9'),
        fifths if fifths == eleventh => tones.len() >= 5 && !ends_on.ends_with("11"),
        _ => false,
    };
    let classes = |kept: &dyn Fn(&Interval) -> bool| {
        let kept = tones.iter().filter(|tone| kept(tone));
        kept.fold(1 << bass, |classes: Classes, &tone| {
            classes | 1 << class(chord.root.up(tone))
        })
    };
    Wanted {
        may: classes(&|_| true),
        must: classes(&|tone| !optional(tone)),
        bass,
        strings: if tones.len() == 2 { 3 } else { 4 },
    }
}

/// The frets of all that fits, in the order of preference.
fn search(hands: &BTreeMap<i8, Vec<Hand>>, wanted: &Wanted) -> Vec<Frets> {
    let mut found = BTreeMap::new();
    for hand in &hands[&wanted.bass] {
        let foreign = hand.classes & !wanted.may;
        let missing = wanted.must & !hand.classes;
        if foreign == 0 && missing == 0 && hand.strings >= wanted.strings {
            found.insert(place(hand), hand.frets);
        }
    }
    found.into_values().collect()
}

/// The order, first to last.
fn place(hand: &Hand) -> impl Ord + use<> {
    let frets = hand.frets;
    let pressed: Vec<i8> = frets.into_iter().filter(|&fret| fret > 0).collect();
    let span = pressed
        .iter()
        .max()
        .map_or(0, |highest| highest - pressed.iter().min().unwrap() + 1);
    let open = frets.iter().filter(|&&fret| fret == 0).count();
    (
        muted_between(frets),
        span > 3,
        6 - hand.strings,
        6 - open,
        hand.fewest,
        pressed.iter().sum::<i8>(),
        frets,
    )
}

fn muted_between(frets: Frets) -> usize {
    let text: String = frets.iter().map(|&fret| if fret < 0 { 'x' } else { 'o' }).collect();
    text.trim_matches('x').matches('x').count()
}

/// Every way to put fingers 1 to 4 on the pressed strings that the rules of the hand allow.
fn fingerings(frets: Frets) -> Vec<[u8; 6]> {
    let mut ways = vec![[0; 6]];
    for string in (0..6).filter(|&string| frets[string] > 0) {
        let with = |way: &[u8; 6], finger| {
            let mut way = *way;
            way[string] = finger;
            way
        };
        ways = ways
            .iter()
            .flat_map(|way| (1..=4).map(|finger| with(way, finger)).collect::<Vec<_>>())
            .collect();
        ways.retain(|way| (0..string).all(|other| side_by_side(frets, *way, other, string)));
    }
    ways.retain(|&way| allowed(frets, way));
    ways
}

/// A finger lies at one fret, and a higher fret never has a lower finger.
fn side_by_side(frets: Frets, fingers: [u8; 6], one: usize, other: usize) -> bool {
    match frets[one].cmp(&frets[other]) {
        _ if frets[one] <= 0 => true,
        Ordering::Less => fingers[one] < fingers[other],
        Ordering::Equal => true,
        Ordering::Greater => fingers[one] > fingers[other],
    }
}

fn allowed(frets: Frets, fingers: [u8; 6]) -> bool {
    let strings = |finger: u8| {
        (0..6)
            .filter(move |&string| fingers[string] == finger)
            .collect::<Vec<usize>>()
    };
    let used: Vec<(u8, i8)> = (1..=4)
        .filter_map(|finger| Some((finger, frets[*strings(finger).first()?])))
        .collect();
    let barring: Vec<u8> = (1..=4).filter(|&finger| strings(finger).len() > 1).collect();

    let one_bar = barring.len() <= 1;
    let bars_lie = barring
        .iter()
        .all(|&finger| bar_lies(frets, &strings(finger), finger, fingers));
    let in_reach = used
        .windows(2)
        .all(|pair| pair[1].0 > pair[0].0 + 1 || pair[1].1 - pair[0].1 <= 2);
    one_bar && bars_lie && in_reach && muted_between(frets) <= 1
}

fn bar_lies(frets: Frets, strings: &[usize], finger: u8, fingers: [u8; 6]) -> bool {
    let (low, high) = (strings[0], strings[strings.len() - 1]);
    let fret = frets[low];
    let between = (low..=high).all(|s| fingers[s] == finger || frets[s] == -1 || frets[s] > fret);
    let lowest = frets.into_iter().filter(|&fret| fret > 0).min();
    let nothing_below = Some(fret) != lowest || (0..low).all(|string| frets[string] != fret);
    between && nothing_below
}
