//! Pieces of JSON that several commands' answers have in common.

use crate::music::{Fret, Voicing};
use serde::Serialize;
use std::io::{self, Write};

/// A fingered chord: six frets and fingers from the low string up, and the notes that sound.
#[derive(Serialize)]
pub(super) struct Fingered {
    frets: [i8; 6],
    fingers: [u8; 6],
    midi: Vec<u8>,
}

impl Fingered {
    pub(super) fn new(voicing: &Voicing, capo: Fret) -> Fingered {
        Fingered {
            frets: voicing.frets,
            fingers: voicing.fingers,
            midi: voicing.midi(capo).collect(),
        }
    }
}

/// Writes one answer and a line's end.
pub(super) fn write(answer: &impl Serialize, out: &mut impl Write) -> io::Result<()> {
    serde_json::to_writer(&mut *out, answer)?;
    writeln!(out)
}
