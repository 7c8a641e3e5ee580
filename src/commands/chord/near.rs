//! What is one string away from a voicing that the player plays, and what the chord then is called.

use super::{Asked, Printed, first};
use crate::commands::Trouble;
use crate::commands::answers::{self, Fingered};
use crate::commands::asked::Given;
use crate::commands::paper::Paper;
use crate::music::{Change, Chord, Voicing, names, near, voicings};
use crate::screen::{Form, Size};
use serde::Serialize;
use std::io::{self, Write};

#[derive(Serialize)]
struct Answer {
    chord: String,
    sounds: String,
    capo: u8,
    from: Fingered,
    count: usize,
    near: Vec<Near>,
}

#[derive(Serialize)]
struct Near {
    /// As players count them: 6 is the low one.
    string: usize,
    #[serde(flatten)]
    fingered: Fingered,
    names: Vec<Name>,
}

#[derive(Serialize)]
struct Name {
    chord: String,
    sounds: String,
}

/// The voicing to start from: the one given, that of the key's own shapes, or the chord's first; none where the chord
/// has none.
pub(super) fn start(given: Option<Given<'_>>, asked: &Asked) -> Result<Option<Voicing>, Trouble> {
    let all = voicings(asked.fingered);
    let Some(given) = given else {
        return Ok(asked.own().or_else(|| all.first().copied()));
    };
    let frets = given.frets()?;
    let found = all.into_iter().find(|voicing| voicing.frets == frets);
    found
        .map(Some)
        .ok_or_else(|| not_the_chord(given, frets, asked.fingered))
}

/// Points at the strings that sound what the chord has not, or else at all.
fn not_the_chord(given: Given<'_>, frets: [i8; 6], chord: Chord) -> Trouble {
    let whole = given.text.chars().count();
    let called = names(frets).first().map(|name| format!("that is {name}, "));
    let message = match called {
        Some(called) if Voicing::fingered(frets).is_some() => format!("{called}not {chord}"),
        Some(called) => format!("{called}and no hand in low position can press it"),
        None => format!("that is no {chord}"),
    };
    let hint = format!("Without --from it is the first voicing of {chord}; `chord {chord} --limit 0` lists them all.");
    given.wrong(0, whole, &message, Some(&hint))
}

pub(super) fn write(
    asked: &Asked,
    from: &Voicing,
    limit: usize,
    printed: &Printed,
    out: &mut impl Write,
) -> io::Result<()> {
    let all = near(from);
    let shown = first(&all, limit);
    match printed {
        Printed::Json => answers::write(&answer(asked, from, all.len(), shown), out),
        Printed::Words(paper) => write_words(asked, from, all.len(), shown, paper, out),
    }
}

fn answer(asked: &Asked, from: &Voicing, count: usize, shown: &[Change]) -> Answer {
    let name = |chord: &Chord| Name {
        chord: chord.to_string(),
        sounds: asked.heard(*chord).to_string(),
    };
    let near = shown.iter().map(|change| Near {
        string: change.voicing.frets.len() - change.string,
        fingered: Fingered::new(&change.voicing, asked.capo),
        names: change.names.iter().map(name).collect(),
    });
    Answer {
        chord: asked.fingered.to_string(),
        sounds: asked.sounds.to_string(),
        capo: asked.capo.number(),
        from: Fingered::new(from, asked.capo),
        count,
        near: near.collect(),
    }
}

fn write_words(
    asked: &Asked,
    from: &Voicing,
    count: usize,
    shown: &[Change],
    paper: &Paper,
    out: &mut impl Write,
) -> io::Result<()> {
    for line in asked.heading(paper) {
        paper.write_wrapped(&line, out)?;
    }
    let which = if shown.len() < count {
        format!("{} of {count}", shown.len())
    } else {
        count.to_string()
    };
    paper.write_wrapped(&format!("from {from}, one string changed (^): {which} voicings"), out)?;
    writeln!(out)?;
    let form = paper.form(Size::Large, asked.capo);
    let (named, unnamed): (Vec<&Change>, Vec<&Change>) = shown.iter().partition(|change| !change.names.is_empty());
    let blocks: Vec<Vec<String>> = named.iter().map(|change| block(asked, change, &form, paper)).collect();
    paper.write_blocks(&blocks, out)?;
    if !unnamed.is_empty() {
        let frets: Vec<String> = unnamed.iter().map(|change| change.voicing.to_string()).collect();
        paper.write_wrapped(&format!("\nwithout a name here: {}", frets.join(" ")), out)?;
    }
    Ok(())
}

/// The name, the diagram, a mark under the string that changed, and the frets.
fn block(asked: &Asked, change: &Change, form: &Form, paper: &Paper) -> Vec<String> {
    let name = change
        .names
        .first()
        .map_or_else(String::new, |&chord| paper.chord(chord));
    let mark = " ".repeat(form.column(change.string)) + "^";
    let heard = change.names.first().filter(|_| asked.capo.number() > 0);
    let heard = heard.map(|&chord| format!("= {}", paper.chord(asked.heard(chord))));
    let head = std::iter::once(name).chain(heard).collect();
    paper.diagram(head, &change.voicing, form, vec![mark, change.voicing.to_string()])
}
