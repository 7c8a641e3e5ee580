//! `ear --own`: the player's own recordings, files named after positions.

use crate::commands::Trouble;
use crate::commands::progress::Progress;
use crate::ear::{Instrument, Recordings, Repertoire, named_after, read_wav};
use crate::setlist::because;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

pub(super) fn repertoire(folder: &Path, instrument: &Instrument) -> Result<Repertoire, Trouble> {
    let files = wav_files(folder).map_err(|error| Trouble::with(folder.display(), not_read(&error)))?;
    let mut recordings = Recordings::default();
    let mut progress = Progress::new("cutting", files.len());
    let mut notes = Vec::new();
    for path in &files {
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        let positions = instrument.positions.iter().map(|position| position.name.as_str());
        match named_after(&name, positions) {
            Some(position) => {
                let sound = read_wav(path).map_err(|error| Trouble::with(path.display(), error))?;
                if recordings.add(position, &sound) == 0 {
                    notes.push(format!("{}: no half second of sound in it", path.display()));
                }
            }
            None => notes.push(format!("{}: not named after a position of this guitar", path.display())),
        }
        progress.step();
    }
    drop(progress);
    notes.extend(recordings.with_one_clip().into_iter().map(|position| {
        format!("{position} has one clip alone: with more the ear cannot learn the clip instead of the pickup")
    }));
    notes.iter().for_each(|note| eprintln!("note: {note}"));
    Repertoire::of_recordings(instrument, recordings).map_err(|few| {
        let names: Vec<&str> = instrument
            .positions
            .iter()
            .map(|position| position.name.as_str())
            .collect();
        let found = few.positions.join(", ");
        let found = if found.is_empty() { "none".into() } else { found };
        let why = format!("recordings of two positions at least are needed, and there are: {found}");
        let (first, names) = (names[0], names.join(", "));
        Trouble::with(folder.display(), why).hint(format!(
            "Name WAV files after positions ({names}), like `{first}.wav`, `{first} 2.wav`."
        ))
    })
}

fn not_read(error: &io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no such folder".into(),
        ErrorKind::NotADirectory => "it is no folder".into(),
        _ => because(error),
    }
}

/// The WAV files of a folder in the order of their names.
fn wav_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|ext| ext.eq_ignore_ascii_case("wav")) {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}
