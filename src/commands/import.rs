//! `import`: a song file from a Standard MIDI File.

use super::replace::{self, place};
use super::{Outcome, Status, Trouble};
use crate::setlist::{because, midi_song};
use std::fs::File;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The Standard MIDI File
    file: PathBuf,
    /// Write the song here and not to standard output; what is there already is never touched
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Longer than any song with its sounds.
const MOST_BYTES: u64 = 16 << 20;

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let path = args.file.display();
    let said = |words: String| Trouble::with(&path, words);
    let bytes = read(&args.file).map_err(|error| said(because(&error)))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(said(format!("this file is longer than {} MiB", MOST_BYTES >> 20)));
    }
    let name = args
        .file
        .file_stem()
        .map(|name| name.to_string_lossy().replace(['-', '_'], " "));
    let read = midi_song(&bytes, &name.unwrap_or_default()).map_err(|error| said(error.to_string()))?;
    for remark in &read.remarks {
        eprintln!("{path}: warning: {remark}");
    }
    match &args.out {
        None => out.write_all(read.song.text().as_bytes())?,
        Some(to) => {
            write(to, &read.song.text())?;
            writeln!(out, "{}: {}", to.display(), read.song.title)?;
            writeln!(out, "next: a line `- use: {}` among the songs of a set", to.display())?;
        }
    }
    Ok(Status::Fine)
}

fn read(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(MOST_BYTES + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn write(to: &Path, text: &str) -> Result<(), Trouble> {
    place(to, text.as_bytes()).map_err(|error| Trouble::with(to.display(), replace::because(&error)))
}
