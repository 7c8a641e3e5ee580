//! `sheet keys`: every option of every key, and nothing but them.

use crate::reader::{Pdf, Tagged};
use footlights::music::{Chord, Family, Fret, Note};
use footlights::setlist::{Player, Rig};
use footlights::sheet::{self, Paper};
use std::collections::BTreeSet;

/// A sheet is carried in a mail or on a stick.
const MOST_BYTES: usize = 150_000;

/// The twelve keys and the semitones from C. Source: the circle of fifths of any handbook, from memory.
const KEYS: [(&str, u8); 12] = [
    ("C", 0),
    ("D♭", 1),
    ("D", 2),
    ("E♭", 3),
    ("E", 4),
    ("F", 5),
    ("G♭", 6),
    ("G", 7),
    ("A♭", 8),
    ("A", 9),
    ("B♭", 10),
    ("B", 11),
];
/// The family's home notes, likewise.
const FAMILIES: [(&str, u8); 5] = [("C", 0), ("A", 9), ("G", 7), ("E", 4), ("D", 2)];
/// Standard tuning as MIDI notes, from memory: E2 A2 D3 G3 B3 E4.
const TUNING: [u8; 6] = [40, 45, 50, 55, 59, 64];

fn made(player: &Player, paper: Paper) -> Vec<u8> {
    let made = sheet::keys(player, &Rig::default(), paper).unwrap();
    assert_eq!(made.lacking, []);
    made.pdf
}

fn with_highest_fret(fret: i64) -> Player {
    Player {
        highest_fret: Fret::new(fret).unwrap(),
        ..Player::named("Wren")
    }
}

/// The options by key, as headings say them.
fn options(tags: &[Tagged]) -> Vec<(String, Vec<String>)> {
    let mut keys: Vec<(String, Vec<String>)> = Vec::new();
    for tag in tags {
        match tag.role.as_str() {
            "H2" => keys.push((tag.told.clone(), Vec::new())),
            "H3" => keys.last_mut().unwrap().1.push(tag.told.clone()),
            _ => {}
        }
    }
    keys
}

#[test]
fn each_key_has_every_fret_and_family_that_gives_it() {
    for highest in [0, 4, 7, 11] {
        let Some(tags) = Pdf::new(&made(&with_highest_fret(highest), Paper::A4)).tags() else {
            return;
        };
        let wanted = KEYS.iter().map(|(key, home)| {
            let at = |fret: i64| {
                let family = FAMILIES
                    .iter()
                    .find(|(_, tonic)| (i64::from(*tonic) + fret) % 12 == i64::from(*home));
                let capo = if fret == 0 {
                    "no capo".to_owned()
                } else {
                    format!("capo {fret}")
                };
                family.map(|(family, _)| format!("{capo}, {family} shapes"))
            };
            (format!("{key} major"), (0..=highest).filter_map(at).collect::<Vec<_>>())
        });
        let wanted: Vec<_> = wanted.collect();
        assert_eq!(options(&tags), wanted, "highest fret {highest}");
        if highest == 4 {
            // Common practice, no source: two options for every key, and three for E.
            for (key, options) in wanted {
                assert_eq!(options.len(), if key == "E major" { 3 } else { 2 }, "{key}");
            }
        }
    }
}

#[test]
fn every_diagram_is_of_a_hand_that_sounds_what_stands_below_it() {
    let Some(tags) = Pdf::new(&made(&with_highest_fret(4), Paper::A4)).tags() else {
        return;
    };
    let (mut fret, mut figures) = (0, 0);
    for tag in &tags {
        if tag.role == "H3" {
            let capo = tag.told.strip_prefix("capo ").and_then(|rest| rest.split_once(','));
            fret = capo.map_or(0, |(fret, _)| fret.parse().unwrap());
        }
        if tag.role != "Figure" {
            continue;
        }
        figures += 1;
        let (spoken, sounds) = tag.told.rsplit_once(", sounds ").unwrap();
        let (frets, _) = spoken.split_once(": ").unwrap().1.split_once(", fingers ").unwrap();
        let sounding = frets
            .chars()
            .zip(TUNING)
            .filter_map(|(char, open)| Some(open + char.to_digit(10)? as u8 + fret));
        let heard: BTreeSet<u8> = sounding.clone().map(|note| note % 12).collect();
        let chord = Chord::parse(sounds).unwrap();
        let pitch = |note: Note| note.pitch_class().number();
        let wanted: BTreeSet<u8> = chord.notes().into_iter().map(pitch).collect();
        assert!(heard.is_subset(&wanted) && heard.len() >= 3, "{}", tag.told);
        assert_eq!(
            sounding.min().unwrap() % 12,
            pitch(chord.bass.unwrap_or(chord.root)),
            "{}",
            tag.told
        );
    }
    // Seven degrees, an open form where it differs, and two inversions, for each of the 25 options.
    let drawn = |family: Family| {
        let degrees = family.degrees();
        let open = degrees.iter().filter(|degree| degree.open != degree.plain).count();
        degrees.len() + open + 2
    };
    let wanted: usize = [Family::C, Family::A, Family::G, Family::E, Family::D]
        .map(|family| 5 * drawn(family))
        .iter()
        .sum();
    assert_eq!(figures, wanted);
}

#[test]
fn names_are_real_text_with_their_signs() {
    let Some(text) = Pdf::new(&made(&with_highest_fret(4), Paper::A4)).text() else {
        return;
    };
    let words: BTreeSet<&str> = text.split_whitespace().collect();
    for family in Family::ALL {
        for degree in family.degrees() {
            for shape in [Some(degree.plain), Some(degree.open), degree.slash]
                .into_iter()
                .flatten()
            {
                let fingered = shape.number.on(family.tonic()).signs().to_string();
                assert!(words.contains(fingered.as_str()), "{fingered} as fingered");
            }
        }
    }
    // Source: the diatonic chords of these keys, from any handbook, from memory.
    for name in "B♭ Cm Dm E♭ F Gm A° B♭/D F/A D♭ E♭m G♭ A♭ C♭ E♯m B♯° 1 2- 3- 4 5 6- 7° 1/3 5/7".split(' ')
    {
        assert!(words.contains(name), "{name}");
    }
}

#[test]
fn the_file_is_good_small_tagged_and_the_same_each_time() {
    for paper in [Paper::A4, Paper::Letter] {
        let player = with_highest_fret(4);
        let bytes = made(&player, paper);
        assert_eq!(bytes, made(&player, paper), "{paper:?}");
        assert!(bytes.len() < MOST_BYTES, "{paper:?}: {} bytes", bytes.len());
        crate::sets::check_file(&bytes, paper, true);
    }
}

#[test]
fn a_player_of_all_frets_has_a_small_file_too() {
    let bytes = made(&with_highest_fret(11), Paper::Letter);
    assert!(bytes.len() < MOST_BYTES, "{} bytes", bytes.len());
    crate::sets::check_file(&bytes, Paper::Letter, true);
}

#[test]
fn a_key_without_shapes_says_so() {
    let player = Player {
        shapes: vec![Family::G],
        ..with_highest_fret(1)
    };
    let Some(text) = Pdf::new(&made(&player, Paper::A4)).text() else {
        return;
    };
    assert_eq!(text.matches("no shapes\nup to fret 1").count(), 10, "{text}");
}

#[test]
fn for_the_left_hand_the_diagrams_are_mirrored_and_their_names_are_not() {
    let rig = Rig {
        left_handed: true,
        ..Rig::default()
    };
    let player = with_highest_fret(4);
    let left = sheet::keys(&player, &rig, Paper::A4).unwrap().pdf;
    let right = made(&player, Paper::A4);
    assert_ne!(left, right);
    let (left, right) = (Pdf::new(&left), Pdf::new(&right));
    assert_eq!(left.tags(), right.tags());
    // In C, `C x32010`: the third finger is on the fifth string, at the left or at the right of the first finger.
    let places = |pdf: &Pdf| {
        let (words, _) = pdf.boxes()?;
        let at = |finger: &str| {
            words
                .iter()
                .find(|word| word.words == finger && word.top > 100.0)
                .unwrap()
                .left
        };
        Some(at("3") < at("1"))
    };
    if let (Some(left), Some(right)) = (places(&left), places(&right)) {
        assert_eq!((left, right), (false, true));
    }
}
