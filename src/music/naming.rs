//! Names for what is fingered: every chord that six frets can be, the most usual first.

use crate::music::hand::STRINGS;
use crate::music::sound::Sound;
use crate::music::voicing::sounds;
use crate::music::{Chord, Interval, Note, Quality};

/// Twelve fifths up is the same pitch under another name.
const ENHARMONIC: i8 = 12;

/// Every chord that sounds when these frets are pressed (-1 muted, 0 open), the most usual first; none where the notes
/// make no chord that has a name here.
///
/// A name whose fifth sounds comes before one that does without, then one that stands on its root before one over
/// another bass, then the more usual quality. It is the other way round of [`crate::music::voicings`]: whatever that
/// finds for a chord has the chord among its names.
pub fn names(frets: [i8; STRINGS]) -> Vec<Chord> {
    let Some(sound) = Sound::of(frets) else {
        return Vec::new();
    };
    let notes = (-5..=6).map(|fifths| Note::C.up(Interval::fifths(fifths)));
    let bass = notes.clone().find(|note| note.pitch_class() == sound.bass());
    let chords = notes.flat_map(|root| Quality::all().map(move |quality| Chord::new(root, quality, bass)));
    let fitting = chords.filter(|&chord| sounds(chord).contains(&sound));
    let mut names: Vec<Chord> = fitting.map(well_spelled).collect();
    names.sort_by_key(|chord| (lacks_fifth(*chord, sound), chord.bass.is_some(), chord.quality));
    names
}

fn lacks_fifth(chord: Chord, sound: Sound) -> bool {
    let fifth = chord.root.up(Interval::FIFTH).pitch_class();
    chord.quality.tones().any(|tone| tone == Interval::FIFTH) && !sound.has(fifth)
}

/// The same sound under the root whose chord needs the fewest signs, of two alike the plainer, then the sharp one.
pub(super) fn well_spelled(chord: Chord) -> Chord {
    let signs = |root: Note| -> u8 {
        let tones = chord.quality.tones();
        tones.map(|tone| root.up(tone).alteration().unsigned_abs()).sum()
    };
    let easiest = enharmonics(chord.root).min_by_key(|&root| (signs(root), root.fifths().abs(), -root.fifths()));
    let root = easiest.unwrap_or(chord.root);
    let bass = chord.bass.map(|bass| {
        let mut own = chord.quality.tones().map(|tone| root.up(tone));
        // A name is read back, and no more than one sign is read.
        own.find(|tone| tone.pitch_class() == bass.pitch_class() && tone.alteration().abs() <= 1)
            .unwrap_or_else(|| beside(root, bass))
    });
    Chord { root, bass, ..chord }
}

/// A bass foreign to the chord: with the fewest signs, of two alike the nearest to the root on the line of fifths.
fn beside(root: Note, bass: Note) -> Note {
    let away = |note: Note| note.above(root).as_fifths().abs();
    let nearest = enharmonics(bass).min_by_key(|&note| (note.alteration().abs(), away(note)));
    nearest.unwrap_or(bass)
}

fn enharmonics(note: Note) -> impl Iterator<Item = Note> {
    let fifths = [0, ENHARMONIC, -ENHARMONIC].into_iter();
    fifths.map(move |fifths| note.up(Interval::fifths(fifths)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frets(text: &str) -> [i8; STRINGS] {
        let mut chars = text.chars();
        std::array::from_fn(|_| chars.next().unwrap().to_digit(10).map_or(-1, |fret| fret as i8))
    }

    // From memory: what players call these.
    #[test]
    fn the_first_name_is_the_one_that_players_use() {
        for (shape, name) in [
            ("x32010", "C"),
            ("320003", "G"),
            ("133211", "F"),
            ("x24432", "Bm"),
            ("446654", "C#m/G#"),
            ("x46654", "C#m"),
            ("x13331", "Bb"),
            ("466444", "G#m"),
            ("xx3211", "F"),
            ("x33210", "Fmaj7/C"),
            ("x32033", "Cadd9"),
            ("x32030", "Cadd9"),
            ("022033", "Em7"),
            ("xx0233", "Dsus4"),
            ("xx0230", "Dsus2"),
            ("x02033", "A7sus4"),
            ("x02010", "Am7"),
            ("x32210", "Am/C"),
            ("320001", "G7"),
            ("xx0212", "D7"),
            ("x21202", "B7"),
            ("x32310", "C7"),
            ("200232", "D/F#"),
            ("x20003", "G/B"),
            ("xx0010", "C/D"),
            ("xx0210", "Am/D"),
            ("320000", "G6"),
            ("000000", "Em11"),
            ("355xxx", "G5"),
            ("xx0101", "Ddim7"),
            ("x3434x", "Cm7b5"),
        ] {
            let found = names(frets(shape)).first().map(Chord::to_string);
            assert_eq!(found.as_deref(), Some(name), "{shape}");
        }
    }

    #[test]
    fn what_makes_no_chord_has_no_name() {
        for shape in ["xxxxxx", "x3xxxx", "x32xxx", "x34xxx", "012345"] {
            assert_eq!(names(frets(shape)), [], "{shape}");
        }
    }
}
