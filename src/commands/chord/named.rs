//! The names of what is fingered, the most usual first.

use super::{Printed, first};
use crate::commands::answers;
use crate::commands::paper::Paper;
use crate::music::{Chord, Fret, Note, Voicing, names, sounding};
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
    limit: usize,
    printed: &Printed,
    out: &mut impl Write,
) -> io::Result<()> {
    let all = names(frets);
    let names = first(&all, limit);
    match printed {
        Printed::Json => answers::write(&answer(frets, capo, names), out),
        Printed::Words(paper) => write_words(frets, capo, names, paper, out),
    }
}

fn heard(chord: Chord, capo: Fret) -> Chord {
    chord.moved(i32::from(capo.number()))
}

fn answer(frets: [i8; 6], capo: Fret, names: &[Chord]) -> Answer {
    let name = |chord: &Chord| Name {
        chord: chord.to_string(),
        sounds: heard(*chord, capo).to_string(),
        notes: chord.notes().iter().map(Note::to_string).collect(),
    };
    Answer {
        frets,
        fingers: Voicing::fingered(frets).map(|voicing| voicing.fingers),
        midi: sounding(frets, capo).collect(),
        capo: capo.number(),
        names: names.iter().map(name).collect(),
    }
}

fn write_words(frets: [i8; 6], capo: Fret, names: &[Chord], paper: &Paper, out: &mut impl Write) -> io::Result<()> {
    let Some((&best, others)) = names.split_first() else {
        return writeln!(out, "these notes make no chord that has a name here");
    };
    let notes = paper.notes(best.notes());
    paper.write_wrapped(&format!("{}: {notes}", paper.chord(best)), out)?;
    if capo > Fret::OPEN {
        let sounds = heard(best, capo);
        let notes = paper.notes(sounds.notes());
        paper.write_wrapped(
            &format!(
                "with the capo at fret {capo} it sounds {}: {notes}",
                paper.chord(sounds)
            ),
            out,
        )?;
    }
    if !others.is_empty() {
        let others: Vec<String> = others.iter().map(|&chord| paper.chord(chord)).collect();
        paper.write_wrapped(&format!("also {}", others.join(", ")), out)?;
    }
    match Voicing::fingered(frets) {
        Some(voicing) => {
            writeln!(out)?;
            let form = paper.form(Size::Large, capo);
            let block = paper.diagram(Vec::new(), &voicing, &form, vec![voicing.to_string()]);
            paper.write_blocks(&[block], out)
        }
        None => paper.write_wrapped("no hand in low position, frets 0 to 4, can press it", out),
    }
}
