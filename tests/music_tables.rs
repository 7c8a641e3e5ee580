//! Keys, chords, numbers and fingerings against the published tables in `tests/tables/`, each with its source and
//! licence in its first lines.

#![allow(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use footlights::music::{
    AskedKey, Chord, Fret, Key, MinorNumbers, Mode, Note, NumberChord, NumberStyle, Numbering, Quality, Voicing,
    voicings,
};

const DIATONIC: Numbering = Numbering {
    style: NumberStyle::Diatonic,
    minor: MinorNumbers::Relative,
};

/// The rows of a table: their columns, without the comments above them.
fn rows(table: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    let lines = table.lines().filter(|line| !line.starts_with('#'));
    lines.map(|line| line.split('\t').collect())
}

fn key(text: &str) -> Key {
    AskedKey::parse(text).unwrap().key()
}

fn spelled(notes: impl IntoIterator<Item = Note>) -> String {
    let notes: Vec<_> = notes.into_iter().map(|note| note.to_string()).collect();
    notes.join(" ")
}

// Source: music21 10.5.1, tests/tables/keys.tsv.
#[test]
fn keys_are_respelled_and_have_the_signatures_relatives_and_triads_of_music21() {
    let mut checked = 0;
    for row in rows(include_str!("tables/keys.tsv")) {
        let [asked, sharps_asked, used, sharps, relative, triads @ ..] = &row[..] else {
            panic!("{row:?}")
        };
        let key = AskedKey::parse(asked).unwrap();
        let sharps_asked: i8 = sharps_asked.parse().unwrap();
        assert_eq!(key.is_respelled(), sharps_asked.abs() > 7, "{asked}");
        let key = key.key();
        assert_eq!(key.to_string(), *used, "{asked}");
        assert_eq!(key.sharps().to_string(), *sharps, "{asked}");
        assert_eq!(key.relative_major().to_string(), *relative, "{asked}");
        let home = key.relative_major().tonic();
        let found = NumberChord::diatonic().map(|chord| spelled(chord.on(home).notes()));
        assert_eq!(found, triads, "{asked}");
        checked += 1;
    }
    assert_eq!(checked, 42);
}

// Source: pychord 1.4.1, tests/tables/chords.tsv.
#[test]
fn every_quality_on_every_root_has_the_notes_of_pychord() {
    let mut qualities = Vec::new();
    for row in rows(include_str!("tables/chords.tsv")) {
        let chord = Chord::parse(row[0]).unwrap();
        assert_eq!(spelled(chord.notes()), row[1], "{}", row[0]);
        assert_eq!(chord.to_string(), row[0]);
        assert_eq!(Chord::parse(&chord.signs().to_string()), Ok(chord), "{}", row[0]);
        qualities.push(chord.quality);
    }
    qualities.sort_unstable();
    assert_eq!(
        qualities
            .chunk_by(|a, b| a == b)
            .map(<[Quality]>::len)
            .collect::<Vec<_>>(),
        [15; 30]
    );
    assert_eq!(Quality::all().len(), 30, "every quality stands in the table");
}

// Source: music21 10.5.1, tests/tables/numbers.tsv.
#[test]
fn every_number_in_every_key_has_the_root_bass_and_notes_of_music21() {
    let mut checked = 0;
    for row in rows(include_str!("tables/numbers.tsv")) {
        let [key_text, number, root, bass, notes] = row[..] else {
            panic!("{row:?}")
        };
        let what = format!("{number} in {key_text}");
        let key = key(key_text);
        let read = NumberChord::parse(number, key, DIATONIC).unwrap();
        let chord = read.on(key.tonic());
        let mut found = chord.notes();
        found.sort_unstable_by_key(Note::to_string);
        assert_eq!(chord.root.to_string(), root, "{what}");
        assert_eq!(chord.bass.unwrap_or(chord.root).to_string(), bass, "{what}");
        assert_eq!(spelled(found), notes, "{what}");
        assert_eq!(
            NumberChord::parse(&read.written(key, DIATONIC), key, DIATONIC),
            Ok(read),
            "{what}"
        );

        // The relative minor has the same chords under the same numbers.
        let minor = relative_minor(key);
        assert_eq!(minor.mode(), Mode::Minor);
        assert_eq!(NumberChord::parse(number, minor, DIATONIC), Ok(read), "{what}");
        checked += 1;
    }
    assert_eq!(checked, 675);
}

fn relative_minor(key: Key) -> Key {
    let home = NumberChord::parse("6-", key, DIATONIC).unwrap().on(key.tonic());
    AskedKey::parse(&home.to_string()).unwrap().key()
}

// Source: @tombatossals/chords-db 0.5.1, tests/tables/voicings.tsv.
#[test]
fn published_fingerings_are_found_unless_a_rule_of_ours_refuses_them() {
    let (mut allowed, mut refused, mut same_fingers) = (0, 0, 0);
    for row in rows(include_str!("tables/voicings.tsv")) {
        let [symbol, shape, fingers, midi, verdict] = row[..] else {
            panic!("{row:?}")
        };
        let what = format!("{symbol} {shape}");
        let found = voicings(Chord::parse(symbol).unwrap());
        let found = found.iter().find(|voicing| voicing.to_string() == shape);
        if verdict == "allowed" {
            let voicing = found.unwrap_or_else(|| panic!("{what} is not found"));
            let sounding: Vec<_> = voicing.midi(Fret::OPEN).map(|note| note.to_string()).collect();
            assert_eq!(sounding.join(" "), midi, "{what}");
            let published = digits(fingers);
            same_fingers += usize::from(voicing.fingers == published);
            allowed += 1;
        } else {
            assert_eq!(found, None, "{what}: {verdict}");
            refused += 1;
        }
        let muted = verdict.contains("muted string between");
        assert_eq!(
            Voicing::fingered(frets(shape)).is_none(),
            muted,
            "{what}: a hand can press it"
        );
    }
    assert_eq!((allowed, refused), (392, 63));
    // DIFFERENCE: of the others most are as good either way, like 1 and 2 or 2 and 3 on two strings at one fret.
    assert!(same_fingers >= 320, "{same_fingers} fingerings as published");
}

fn frets(shape: &str) -> [i8; 6] {
    let frets: Vec<_> = shape
        .chars()
        .map(|fret| fret.to_digit(10).map_or(-1, |fret| fret as i8))
        .collect();
    frets.try_into().unwrap()
}

fn digits(fingers: &str) -> [u8; 6] {
    let digits: Vec<_> = fingers.chars().map(|digit| digit.to_digit(10).unwrap() as u8).collect();
    digits.try_into().unwrap()
}
