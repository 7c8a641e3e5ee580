//! Naming what is fingered is the other way round of finding voicings.

use footlights::music::{Chord, Interval, Note, Quality, Voicing, names, voicings};

#[test]
fn whatever_is_found_for_a_chord_has_that_chord_among_its_names() {
    let notes = (-5..=6).map(|fifths| Note::C.up(Interval::fifths(fifths)));
    let mut checked = 0;
    for quality in Quality::all() {
        for root in notes.clone() {
            let third = quality.tones().nth(1).map(|tone| root.up(tone));
            for chord in [None, third].map(|bass| Chord::new(root, quality, bass)) {
                for voicing in voicings(chord) {
                    let found = names(voicing.frets);
                    assert!(
                        found.iter().any(|name| name.heard() == chord.heard()),
                        "{chord} {voicing}"
                    );
                    checked += 1;
                }
            }
        }
    }
    assert!(checked > 5_000, "{checked}");
}

#[test]
fn every_name_of_what_a_hand_presses_is_read_back_and_finds_that_hand() {
    let (mut named, mut unique) = (0, 0);
    // Every seventh way to fret six strings: seven shares no factor with six, so all strings vary.
    for code in (0..6_i32.pow(6)).step_by(7) {
        let frets = std::array::from_fn(|string| (code / 6_i32.pow(string as u32) % 6) as i8 - 1);
        let strings = frets.iter().filter(|&&fret| fret >= 0).count();
        let Some(voicing) = Voicing::fingered(frets).filter(|_| strings >= 4) else {
            continue;
        };
        let found = names(frets);
        for name in &found {
            assert_eq!(Chord::parse(&name.to_string()), Ok(*name), "{voicing}");
            assert!(voicings(*name).contains(&voicing), "{voicing} {name}");
        }
        named += usize::from(!found.is_empty());
        unique += usize::from(found.len() == 1);
    }
    assert!(named > 1_000 && unique > 100, "{named} named, {unique} by one name");
}
