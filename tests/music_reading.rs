//! Reading and writing chords are one another's inverse, and no text, however wild, does worse than an error that points.

#![allow(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use footlights::music::{
    AskedKey, Chord, ChordLine, Interval, Key, MinorNumbers, Note, NumberChord, NumberStyle, Numbering, Quality,
    SymbolError,
};
use proptest::prelude::*;

const NUMBERINGS: [Numbering; 4] = [
    numbering(NumberStyle::Diatonic, MinorNumbers::Relative),
    numbering(NumberStyle::Diatonic, MinorNumbers::FromOne),
    numbering(NumberStyle::Literal, MinorNumbers::Relative),
    numbering(NumberStyle::Literal, MinorNumbers::FromOne),
];

const fn numbering(style: NumberStyle, minor: MinorNumbers) -> Numbering {
    Numbering { style, minor }
}

/// The thirty keys with at most seven accidentals.
fn keys() -> impl Strategy<Value = Key> {
    (-7_i8..=7, any::<bool>()).prop_map(|(sharps, minor)| {
        let tonic = Note::C.up(Interval::fifths(if minor { sharps + 3 } else { sharps }));
        let text = format!("{tonic}{}", if minor { "m" } else { "" });
        AskedKey::parse(&text).unwrap().key()
    })
}

fn qualities() -> impl Strategy<Value = Quality> {
    (0..Quality::all().len()).prop_map(|at| Quality::all().nth(at).unwrap())
}

/// Text in the letters of chord lines, where most is nearly right.
fn nearly_chords() -> impl Strategy<Value = String> {
    let pieces = [
        "1", "2", "6", "7", "9", "11", "b", "#", "♭", "♯", "A", "B", "C", "G", "H", "a", "m", "min", "-", "maj", "M",
        "Δ", "sus", "dim", "°", "ø", "aug", "+", "add", "/", "|", "%", "NC", " ", "\t", "\u{0}", "é", "\u{301}",
    ];
    let piece = (0..pieces.len()).prop_map(move |at| pieces[at]);
    prop::collection::vec(piece, 0..24).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn a_written_number_is_read_as_the_same_chord(
        key in keys(),
        alteration in -1_i8..=1,
        degree in 1_u8..=7,
        quality in prop::option::of(qualities()),
        bass in prop::option::of((-1_i8..=1, 1_u8..=7)),
        numbering in 0_usize..4,
    ) {
        let sign = |alteration| ["b", "", "#"][(alteration + 1) as usize];
        let suffix = quality.map_or("", |quality| if quality == Quality::MAJOR { "maj" } else { quality.suffix() });
        let bass = bass.map(|(alteration, degree)| format!("/{}{degree}", sign(alteration))).unwrap_or_default();
        let text = format!("{}{degree}{suffix}{bass}", sign(alteration));

        let read = NumberChord::parse(&text, key, NUMBERINGS[numbering]).unwrap();
        let written = read.written(key, NUMBERINGS[numbering]);
        prop_assert_eq!(NumberChord::parse(&written, key, NUMBERINGS[numbering]), Ok(read), "{} {}", text, written);
        if let Some(quality) = quality {
            prop_assert_eq!(read.on(Note::C).quality, quality);
        }
    }

    #[test]
    fn a_written_letter_chord_is_read_as_the_same_chord_and_sounds_so_in_every_key(
        root in -8_i8..=12,
        quality in qualities(),
        bass in prop::option::of(-8_i8..=12),
        key in keys(),
    ) {
        let note = |fifths| Note::C.up(Interval::fifths(fifths));
        let chord = Chord::new(note(root), quality, bass.map(note));
        for text in [chord.to_string(), chord.signs().to_string()] {
            prop_assert_eq!(Chord::parse(&text), Ok(chord), "{}", text);
            let read = NumberChord::parse(&text, key, Numbering::default()).unwrap();
            prop_assert_eq!(read.on(key.relative_major().tonic()), chord, "{}", text);
        }
    }

    #[test]
    fn any_text_reads_or_says_where_it_does_not(text in "\\PC*", near in nearly_chords(), key in keys()) {
        for text in [text, near] {
            for numbering in NUMBERINGS {
                let errors = ChordLine::parse(&text, key, numbering).err().unwrap_or_default();
                errors.iter().for_each(|error| within(&text, error));
                if let Err(error) = NumberChord::parse(&text, key, numbering) {
                    within(&text, &error);
                }
            }
            if let Err(error) = Chord::parse(&text) {
                within(&text, &error);
            }
        }
    }

    #[test]
    fn what_stands_before_an_error_could_have_gone_on(text in nearly_chords()) {
        // The error is at the first character that cannot be read: with less text it comes at the end or not at all.
        if let Err(error) = Chord::parse(&text) {
            let before: String = text.chars().take(error.at).collect();
            if let Err(shorter) = Chord::parse(&before) {
                prop_assert_eq!(shorter.at, error.at, "{} {}", text, before);
            }
        }
    }
}

/// An error is about characters of the text, or about its end.
#[track_caller]
fn within(text: &str, error: &SymbolError) {
    let length = text.chars().count();
    assert!(error.len >= 1 && error.at <= length, "{text:?} {error:?}");
    assert!(error.at + error.len <= length.max(error.at + 1), "{text:?} {error:?}");
    assert!(
        !error.message.is_empty() && !error.message.contains(char::is_control),
        "{text:?} {error:?}"
    );
}
