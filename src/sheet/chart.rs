//! The diagrams below a song: each chord it uses, once, in its first voicing as fingered at the song's fret.

use crate::music::{Key, NumberChord, first_voicing};
use crate::sheet::diagram::{self, Look};
use crate::sheet::leaf::{Part, Piece, Role};
use crate::sheet::letters::{Face, Letters};
use crate::sheet::played::Played;
use crate::sheet::prose::paragraph;
use crate::sheet::song::Common;

/// A diagram's place, in points.
const PLACE: (f32, f32) = (59.5, 84.0);
const NAME: f32 = 10.5;
const BELOW: f32 = 8.0;
const STRING: f32 = 7.6;
const FRET: f32 = 9.6;

/// A row of diagrams a part, under the key where the song has several.
pub(super) fn parts(played: &Played<'_>, common: &Common<'_>) -> Vec<Part> {
    let used = used(played);
    let told = used.is_empty();
    let groups = match told {
        true => vec![(played.song.key.key(), NumberChord::diatonic().to_vec())],
        false => used,
    };
    let mut parts = Vec::new();
    for (key, chords) in &groups {
        let which = if told { "The seven chords" } else { "Chords" };
        let key_name = key.signs();
        let words = match played.family(*key) {
            Some(family) => format!("{which} in {family} shapes, which sound in {key_name}:"),
            None => format!("{which} as they sound in {key_name}, which has no shapes at this fret:"),
        };
        let mut rows = chords.chunks(((common.width / PLACE.0) as usize).max(1));
        let mut first = paragraph(Face::Text, 9.0, &words, common.width, common.letters);
        if let Some(row) = rows.next() {
            first = first.below(row_of(played, *key, row, common));
        }
        parts.push(first);
        parts.extend(rows.map(|row| row_of(played, *key, row, common)));
    }
    parts
}

/// The chords of the sections in the order of their first place, by key.
fn used(played: &Played<'_>) -> Vec<(Key, Vec<NumberChord>)> {
    let mut used: Vec<(Key, Vec<NumberChord>)> = Vec::new();
    for section in &played.song.sections {
        let key = section.key.key();
        let chords = section.chords.distinct();
        let known = used.iter_mut().find(|(known, _)| known.shares_notes_with(key));
        match known {
            Some((_, known)) => {
                let new: Vec<NumberChord> = chords.into_iter().filter(|chord| !known.contains(chord)).collect();
                known.extend(new);
            }
            None if chords.is_empty() => {}
            None => used.push((key, chords)),
        }
    }
    used
}

fn row_of(played: &Played<'_>, key: Key, chords: &[NumberChord], common: &Common<'_>) -> Part {
    let mut part = Part::blank(PLACE.1);
    for (place, chord) in chords.iter().enumerate() {
        let mut one = Part::default();
        one.pieces.push(figure(played, key, *chord, common));
        part.take(one, (PLACE.0 * place as f32, 0.0));
    }
    part
}

/// The fingered name, the diagram, and below it number and sounding name.
fn figure(played: &Played<'_>, key: Key, chord: NumberChord, common: &Common<'_>) -> Piece {
    let fingered = chord.on(played.home(key));
    let sounds = chord.on(key.relative_major().tonic());
    let number = chord.written(key, common.numbering);
    let look = Look {
        string: STRING,
        fret: FRET,
        left_handed: common.left_handed,
    };
    let voicing = first_voicing(fingered);
    let spoken = match &voicing {
        Some(voicing) => diagram::spoken(&fingered.to_string(), voicing),
        None => format!("{fingered}: no voicing in low position"),
    };
    let mut piece = Piece::new(Role::Figure(format!("{spoken}, sounds {sounds}")));
    let letters = common.letters;
    let middle = look.width() / 2.0;
    centred(
        &mut piece,
        (middle, NAME),
        Face::Bold,
        NAME,
        &fingered.signs().to_string(),
        letters,
    );
    match &voicing {
        Some(voicing) => diagram::draw(&mut piece, (0.0, NAME + 4.0), voicing, look, letters),
        None => centred(
            &mut piece,
            (middle, NAME + 30.0),
            Face::Text,
            BELOW,
            "no voicing",
            letters,
        ),
    }
    let below = format!("{number} · {}", sounds.signs());
    let y = NAME + 4.0 + look.height() + BELOW + 2.0;
    centred(&mut piece, (middle, y), Face::Text, BELOW, &below, letters);
    piece
}

/// Words around the middle, as large as `most` where a diagram's place is wide enough.
fn centred(piece: &mut Piece, (middle, y): (f32, f32), face: Face, most: f32, words: &str, letters: &Letters) {
    let size = letters.shrunk(face, most, PLACE.0 - 8.0, words);
    let wide = letters.width(face, size, words);
    piece.words(((middle - wide / 2.0).max(0.0), y), face, size, words);
}
