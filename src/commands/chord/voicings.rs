//! The playable voicings of a chord, in the order of preference.

use super::{Asked, Printed, first};
use crate::commands::answers::{self, Fingered};
use crate::commands::paper::Paper;
use crate::music::{Note, Voicing, voicings};
use crate::screen::Size;
use serde::Serialize;
use std::io::{self, Write};

#[derive(Serialize)]
struct Answer {
    chord: String,
    sounds: String,
    capo: u8,
    notes: Vec<String>,
    count: usize,
    voicings: Vec<Fingered>,
}

pub(super) fn write(asked: &Asked, limit: usize, printed: &Printed, out: &mut impl Write) -> io::Result<()> {
    let all = voicings(asked.fingered);
    let shown = first(&all, limit);
    match printed {
        Printed::Json => answers::write(&answer(asked, all.len(), shown), out),
        Printed::Words(paper) => write_words(asked, all.len(), shown, paper, out),
    }
}

fn answer(asked: &Asked, count: usize, shown: &[Voicing]) -> Answer {
    Answer {
        chord: asked.fingered.to_string(),
        sounds: asked.sounds.to_string(),
        capo: asked.capo.number(),
        notes: asked.fingered.notes().iter().map(Note::to_string).collect(),
        count,
        voicings: shown.iter().map(|voicing| Fingered::new(voicing, asked.capo)).collect(),
    }
}

fn write_words(asked: &Asked, count: usize, shown: &[Voicing], paper: &Paper, out: &mut impl Write) -> io::Result<()> {
    for line in asked.heading(paper) {
        paper.write_wrapped(&line, out)?;
    }
    match (count, shown.len()) {
        (0, _) => return writeln!(out, "no hand can press it in the first four frets"),
        (1, _) => writeln!(out, "1 voicing\n")?,
        (count, shown) if shown < count => writeln!(out, "{shown} of {count} voicings; --limit 0 shows all\n")?,
        (count, _) => writeln!(out, "{count} voicings\n")?,
    }
    let own = asked.own();
    let form = paper.form(Size::Large, asked.capo, shown);
    let block = |voicing: &Voicing| {
        let name = match asked.family {
            Some(family) if own == Some(*voicing) => format!("{voicing} {family}"),
            _ => voicing.to_string(),
        };
        paper.diagram(Vec::new(), voicing, &form, vec![name])
    };
    paper.write_blocks(&shown.iter().map(block).collect::<Vec<_>>(), out)
}
