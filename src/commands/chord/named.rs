//! The names of what is fingered, the most usual first.

use super::{Asked, Printed, first};
use crate::commands::answers;
use crate::commands::paper::Paper;
use crate::music::{AskedKey, Fret, Note, Voicing, names, sounding};
use crate::screen::Size;
use serde::Serialize;
use std::io::{self, Write};

#[derive(Serialize)]
struct Answer {
    frets: [i8; 6],
    /// None where no hand in low position can press it.
    fingers: Option<[u8; 6]>,
    midi: Vec<u8>,
    capo: u8,
    names: Vec<Name>,
}

#[derive(Serialize)]
struct Name {
    chord: String,
    sounds: String,
    notes: Vec<String>,
}

pub(super) fn write(
    frets: [i8; 6],
    capo: Fret,
    key: Option<AskedKey>,
    limit: usize,
    printed: &Printed,
    out: &mut impl Write,
) -> io::Result<()> {
    let all = names(frets);
    let names = first(&all, limit).iter();
    let names: Vec<Asked> = names.map(|&chord| Asked::of_fingered(chord, capo, key)).collect();
    match printed {
        Printed::Json => answers::write(&answer(frets, capo, &names), out),
        Printed::Words(paper) => write_words(frets, capo, &names, paper, out),
    }
}

fn answer(frets: [i8; 6], capo: Fret, names: &[Asked]) -> Answer {
    let name = |name: &Asked| Name {
        chord: name.fingered.to_string(),
        sounds: name.sounds.to_string(),
        notes: name.fingered.notes().iter().map(Note::to_string).collect(),
    };
    Answer {
        frets,
        fingers: Voicing::fingered(frets).map(|voicing| voicing.fingers),
        midi: sounding(frets, capo).collect(),
        capo: capo.number(),
        names: names.iter().map(name).collect(),
    }
}

fn write_words(frets: [i8; 6], capo: Fret, names: &[Asked], paper: &Paper, out: &mut impl Write) -> io::Result<()> {
    let Some((best, others)) = names.split_first() else {
        return writeln!(out, "these notes make no chord that has a name here");
    };
    for line in best.heading(paper) {
        paper.write_wrapped(&line, out)?;
    }
    if !others.is_empty() {
        let others: Vec<String> = others.iter().map(|other| paper.chord(other.fingered)).collect();
        paper.write_wrapped(&format!("also {}", others.join(", ")), out)?;
    }
    match Voicing::fingered(frets) {
        Some(voicing) => {
            writeln!(out)?;
            let form = paper.form(Size::Large, capo, &[voicing]);
            let block = paper.diagram(Vec::new(), &voicing, &form, vec![voicing.to_string()]);
            paper.write_blocks(&[block], out)
        }
        None => paper.write_wrapped("no hand in low position, frets 0 to 4, can press it", out),
    }
}
