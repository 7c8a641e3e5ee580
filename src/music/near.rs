//! What is near a voicing: every hand that differs in one string, and what the chord then is called.

use crate::music::hand::{HIGHEST, STRINGS};
use crate::music::{Chord, Voicing, names};

/// A hand that differs from another in one string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The string, the low one being 0.
    pub string: usize,
    pub voicing: Voicing,
    /// The most usual first; none where its notes make no chord that has a name here.
    pub names: Vec<Chord>,
}

/// Strings that sound in a chord, and in one of two notes.
const STRINGS_OF_A_CHORD: usize = 4;
const STRINGS_OF_TWO_NOTES: usize = 3;

/// Every playable voicing in low position that differs from this one in a single string, which moves to another fret, is
/// left open, or is left out. Those that have a name come first, and of these what is another chord; then one that stands
/// on its root before one over another bass, then the more usual chord, then by the order of voicings.
pub fn near(from: &Voicing) -> Vec<Change> {
    let others = |string: usize| (-1..=HIGHEST).filter(move |&fret| fret != from.frets[string]);
    let moves = (0..STRINGS).flat_map(|string| others(string).map(move |fret| (string, fret)));
    let changes = moves.filter_map(|(string, fret)| {
        let mut frets = from.frets;
        frets[string] = fret;
        change(string, Voicing::fingered(frets)?)
    });
    let mut changes: Vec<Change> = changes.collect();
    let before = names(from.frets).first().copied();
    changes.sort_by_cached_key(|change| {
        let first = change.names.first();
        let name = first.map(|chord| (chord.bass.is_some(), chord.quality));
        (first.is_none(), first == before.as_ref(), name, change.voicing.order())
    });
    changes
}

fn change(string: usize, voicing: Voicing) -> Option<Change> {
    let strings = voicing.frets.iter().filter(|&&fret| fret >= 0).count();
    let mut names = names(voicing.frets);
    if strings < STRINGS_OF_A_CHORD {
        names.retain(|chord| strings >= STRINGS_OF_TWO_NOTES && chord.quality.tones().len() == 2);
    }
    (strings >= STRINGS_OF_A_CHORD || !names.is_empty()).then_some(Change { string, voicing, names })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::parse_frets;

    fn changes(shape: &str) -> Vec<String> {
        let from = Voicing::fingered(parse_frets(shape).unwrap()).unwrap();
        let changes = near(&from).into_iter();
        let written = changes.map(|change| {
            let name = change.names.first().map_or("?".into(), Chord::to_string);
            format!("{name} {}", change.voicing)
        });
        written.collect()
    }

    // From memory: what players find from an open C by moving one finger.
    #[test]
    fn one_finger_away_from_an_open_c_are_the_chords_that_players_know() {
        let found = changes("x32010");
        assert_eq!(found[0], "C7 x32310", "another chord comes before C again");
        for wanted in [
            "C x32013",
            "C/E 032010",
            "C/G 332010",
            "Cmaj7 x32000",
            "Cadd9 x32030",
            "Am/C x32210",
            "C7 x32310",
        ] {
            assert!(found.contains(&wanted.to_owned()), "{wanted}: {found:?}");
        }
    }

    #[test]
    fn a_power_chord_may_have_three_strings_and_others_four() {
        for (shape, without) in [("x022xx", "x0xx"), ("xx0232", "xx0x32")] {
            let found = changes(shape);
            assert!(!found.is_empty(), "{shape}");
            for change in &found {
                let strings = change
                    .split(' ')
                    .nth(1)
                    .unwrap()
                    .chars()
                    .filter(|char| *char != 'x')
                    .count();
                let power = change.split([' ', '/']).next().unwrap().ends_with('5');
                assert!(strings >= 4 || power && strings == 3, "{shape}: {change}");
            }
            assert!(!found.iter().any(|change| change.ends_with(without)), "{shape}");
        }
    }
}
