//! `ear match`: which position of this guitar a clean recording most resembles.

use super::render::fret;
use super::rig;
use crate::commands::progress::Progress;
use crate::commands::{Outcome, Status, Trouble};
use crate::ear::{Answer, Evidence, Instrument, identify, read_wav, too_close};
use crate::music::Fret;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

#[derive(clap::Args)]
pub(crate) struct Args {
    /// WAV files of one position: single notes low on the neck, each damped before the next, three or more in all
    #[arg(required = true, value_name = "FILE.wav")]
    files: Vec<PathBuf>,
    /// The player's file, for the guitar's measures [default: ~/.config/footlights/player.yaml]
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    /// The capo's fret
    #[arg(long, value_name = "FRET", default_value = "0", value_parser = fret)]
    capo: Fret,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

/// The answer as JSON.
#[derive(Serialize)]
struct Json<'a> {
    position: Option<&'a str>,
    /// In the position named; 0 where none is.
    confidence: f64,
    reason: Option<String>,
    scores: Vec<JsonScore<'a>>,
    /// The score of a guitar without any pickup place.
    none: f64,
    notes: Vec<JsonNote>,
    skipped: Vec<JsonSkipped>,
    distance_mm: Option<f64>,
    distance_error_mm: Option<f64>,
    not_separable: Vec<[&'a str; 2]>,
}

#[derive(Serialize)]
struct JsonScore<'a> {
    position: &'a str,
    score: f64,
    posterior: f64,
}

#[derive(Serialize)]
struct JsonNote {
    file: String,
    start_s: f64,
    string: usize,
    fret: u8,
    pitch_hz: f64,
    partials: usize,
}

#[derive(Serialize)]
struct JsonSkipped {
    file: String,
    start_s: f64,
    why: String,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let instrument = Instrument::of(&rig(args.player.clone())?.guitar);
    let mut progress = Progress::new("listening", args.files.len());
    let mut sounds = Vec::new();
    for path in &args.files {
        sounds.push(read_wav(path).map_err(|error| Trouble::with(path.display(), error))?);
        progress.step();
    }
    drop(progress);
    let evidence = identify(&sounds, &instrument, args.capo);
    if args.json {
        serde_json::to_writer(&mut *out, &json(args, &instrument, &evidence)).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        words(args, &instrument, &evidence, out)?;
    }
    Ok(Status::Fine)
}

fn json<'a>(args: &Args, instrument: &'a Instrument, evidence: &'a Evidence) -> Json<'a> {
    let file = |recording: usize| args.files[recording].display().to_string();
    let (position, confidence, reason) = match &evidence.answer {
        Answer::Position { name, confidence } => (Some(name.as_str()), *confidence, None),
        Answer::CannotTell(why) => (None, 0.0, Some(why.to_string())),
    };
    let notes = evidence.notes.iter().map(|note| JsonNote {
        file: file(note.recording),
        start_s: note.start_s,
        string: note.string,
        fret: note.fret,
        pitch_hz: note.pitch_hz,
        partials: note.partials,
    });
    let skipped = evidence.skipped.iter().map(|skipped| JsonSkipped {
        file: file(skipped.recording),
        start_s: skipped.start_s,
        why: skipped.why.to_string(),
    });
    let scores = evidence.scores.iter().map(|score| JsonScore {
        position: &score.position,
        score: score.score,
        posterior: score.posterior,
    });
    let close = too_close(instrument).into_iter();
    Json {
        position,
        confidence,
        reason,
        scores: scores.collect(),
        none: evidence.without_nulls,
        notes: notes.collect(),
        skipped: skipped.collect(),
        distance_mm: evidence.distance_mm.map(|(mm, _)| mm),
        distance_error_mm: evidence.distance_mm.map(|(_, error)| error),
        not_separable: close
            .map(|(one, other)| [one, other].map(|position| position.name.as_str()))
            .collect(),
    }
}

fn words(args: &Args, instrument: &Instrument, evidence: &Evidence, out: &mut impl Write) -> std::io::Result<()> {
    for (one, other) in too_close(instrument) {
        writeln!(
            out,
            "{} and {} lie too close together to be told apart.",
            one.name, other.name
        )?;
    }
    match &evidence.answer {
        Answer::Position { name, confidence } => {
            // Rounded down: nothing is certain.
            let thousandths = (confidence * 1000.0).min(999.0).floor();
            writeln!(out, "{name}, with a confidence of {:.3}", thousandths / 1000.0)?;
        }
        Answer::CannotTell(why) => writeln!(out, "can't tell: {why}")?,
    }
    let (used, skipped) = (evidence.notes.len(), evidence.skipped.len());
    let were = if used == 1 { "note was" } else { "notes were" };
    writeln!(out, "{used} {were} used, {skipped} left out.")?;
    for skipped in &evidence.skipped {
        let file = args.files[skipped.recording].display();
        writeln!(out, "  {file}, {:.2} s: {}", skipped.start_s, skipped.why)?;
    }
    if let Some((mm, error)) = evidence.distance_mm {
        writeln!(
            out,
            "A single pickup would lie {mm} mm from the saddle, give or take {error} mm; joined ones appear midway."
        )?;
    }
    Ok(())
}
