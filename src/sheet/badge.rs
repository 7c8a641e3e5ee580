//! The capo's fret as large as its place allows: white on black where the capo must be touched, framed where it stays.

use crate::music::Fret;
use crate::sheet::leaf::{At, Ink, Paint, Piece};
use crate::sheet::letters::{CAPITAL, Face, Letters};
use crate::sheet::played::Played;

/// Parts of the badge's height.
const FRAME: f32 = 0.03;
const CORNER: f32 = 0.12;
const CAPTION: f32 = 0.17;

pub(super) fn draw(piece: &mut Piece, at: At, (wide, high): (f32, f32), played: &Played<'_>, letters: &Letters) {
    let ink = if played.moves {
        piece.plate(at, (wide, high), high * CORNER, Paint::Filled(Ink::Black));
        Ink::White
    } else {
        let frame = high * FRAME;
        let inner = (wide - frame, high - frame);
        piece.plate(
            (at.0 + frame / 2.0, at.1 + frame / 2.0),
            inner,
            high * CORNER,
            Paint::Outlined(frame),
        );
        Ink::Black
    };
    let lines: [(&str, f32, f32); 2] = match played.capo {
        Fret::OPEN => [("no", 0.42, 0.46), ("capo", 0.42, 0.8)],
        _ => [("capo", CAPTION, 0.2), ("", 0.0, 0.0)],
    };
    let middle = at.0 + wide / 2.0;
    let mut centred = |words: &str, most: f32, line: f32| {
        let size = letters.shrunk(Face::Bold, most, wide * 0.86, words);
        let x = middle - letters.width(Face::Bold, size, words) / 2.0;
        piece.inked((x, at.1 + line), Face::Bold, size, ink, words);
    };
    for (words, size, line) in lines {
        centred(words, size * high, line * high);
    }
    if played.capo != Fret::OPEN {
        let words = played.capo.to_string();
        let size = letters.shrunk(Face::Bold, high * 0.6 / CAPITAL, wide * 0.86, &words);
        let line = high * 0.575 + size * CAPITAL / 2.0;
        centred(&words, size, line);
    }
}
