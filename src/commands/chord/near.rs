//! What is one string away from a voicing that the player plays, and what the chord then is called.

use super::{Asked, Printed, first};
use crate::commands::Trouble;
use crate::commands::answers::{self, Fingered};
use crate::commands::asked::Given;
use crate::commands::paper::Paper;
use crate::music::{Change, Chord, Fret, Interval, Note, PitchClass, Voicing, near, place_of_fret, sounding, voicings};
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

/// Says what keeps these frets from being a voicing of the chord, and points at the string where it is one string.
fn not_the_chord(given: Given<'_>, frets: [i8; 6], chord: Chord) -> Trouble {
    let hint = format!("`footlights chord {chord} --limit 0` lists every voicing of {chord} in low position.");
    let string_says = |string: usize, message: String| {
        let (start, len) = place_of_fret(given.text, string);
        given.wrong(start, len, &message, Some(&hint))
    };
    let notes = chord.notes();
    let of_chord = |note: PitchClass| notes.iter().any(|own| own.pitch_class() == note);
    let foreign = sounding_strings(frets).find(|&(_, note)| !of_chord(note));
    if let Some((string, note)) = foreign {
        return string_says(
            string,
            format!("this string sounds {}, which {chord} has not", named(note)),
        );
    }
    let bass = chord.bass.unwrap_or(chord.root);
    if let Some((string, note)) = sounding_strings(frets)
        .next()
        .filter(|&(_, note)| note != bass.pitch_class())
    {
        return string_says(
            string,
            format!("the lowest string sounds {}, and {chord} stands on {bass}", named(note)),
        );
    }
    let message = match Voicing::fingered(frets) {
        Some(_) => format!("that is not the whole of {chord}"),
        None => "no hand in low position, frets 0 to 4, can press it".into(),
    };
    given.wrong(0, given.text.chars().count(), &message, Some(&hint))
}

/// The strings that sound, the low one first, each with its note; its place among the strings from 0.
fn sounding_strings(frets: [i8; 6]) -> impl Iterator<Item = (usize, PitchClass)> {
    let sound = sounding(frets, Fret::OPEN).map(|note| PitchClass::above_c(i32::from(note)));
    (0..frets.len()).filter(move |&string| frets[string] >= 0).zip(sound)
}

/// A note by its plainest name.
fn named(note: PitchClass) -> String {
    let mut names = (-3..=8).map(|fifths| Note::C.up(Interval::fifths(fifths)));
    names
        .find(|name| name.pitch_class() == note)
        .unwrap_or(Note::C)
        .to_string()
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
    let voicings: Vec<Voicing> = shown.iter().map(|change| change.voicing).collect();
    let form = paper.form(Size::Wide, asked.capo, &voicings);
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
