//! The files of this room: sounds read from WAV files and written to them, whole or not at all.

use crate::ear::quiz::{Answered, History};
use crate::ear::sound::Sound;
use crate::setlist::because;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;

/// Writes sixteen bits, one channel.
///
/// # Errors
/// Where the file cannot be written; an older file of that name is then as it was.
pub fn write_wav(path: &Path, rate: u32, samples: &[i16]) -> io::Result<()> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: rate,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = io::Cursor::new(Vec::new());
    let write = |bytes: &mut io::Cursor<Vec<u8>>| -> Result<(), hound::Error> {
        let mut writer = hound::WavWriter::new(bytes, spec)?;
        samples.iter().try_for_each(|sample| writer.write_sample(*sample))?;
        writer.finalize()
    };
    write(&mut bytes).map_err(io::Error::other)?;
    write_whole(path, bytes.get_ref())
}

/// Writes a file under another name beside its own, and gives it its own when all is on the disk.
///
/// # Errors
/// Where the folder cannot be written.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}.part", std::process::id()));
    let part = path.with_file_name(name);
    let written = (|| {
        let mut file = OpenOptions::new().write(true).create_new(true).open(&part)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&part, path)
    })();
    if written.is_err() {
        let _ = fs::remove_file(&part);
    }
    written
}

/// The history on the disk: one line of JSON an answer, each written whole as it comes.
pub struct HistoryFile(Option<File>);

impl HistoryFile {
    /// Opens the history, or begins one; without a path nothing is kept. What is read never fails for what stands in it.
    ///
    /// # Errors
    /// Where it cannot be read or made.
    pub fn open(path: Option<&Path>) -> io::Result<(HistoryFile, History)> {
        let Some(path) = path else {
            return Ok((HistoryFile(None), History::default()));
        };
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        let mut file = OpenOptions::new().create(true).append(true).read(true).open(path)?;
        let mut text = Vec::new();
        file.read_to_end(&mut text)?;
        // A line that was torn by a crash stays alone: the next one does not join it.
        if text.last().is_some_and(|last| *last != b'\n') {
            file.write_all(b"\n")?;
        }
        Ok((HistoryFile(Some(file)), History::read(&text)))
    }

    /// Adds a line, and waits until it is on the disk.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn append(&mut self, answered: &Answered) -> io::Result<()> {
        let Some(file) = &mut self.0 else { return Ok(()) };
        file.write_all(answered.line().as_bytes())?;
        file.sync_data()
    }
}

/// Why a file gives no sound, in words for a player.
#[derive(Debug)]
pub struct NoSound(String);

impl std::fmt::Display for NoSound {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// The longest recording that is read: ten minutes at 48 kHz, which is some 230 MB in memory.
const MOST_SAMPLES: u64 = 10 * 60 * 48_000;
/// Below this a file lacks the partials that positions are told by.
const LEAST_RATE: u32 = 16_000;
const HIGHEST_RATE: u32 = 192_000;

/// Reads a WAV file; several channels are mixed to one.
///
/// # Errors
/// Where it cannot be read, is no WAV file, or is longer than a practice needs.
pub fn read_wav(path: &Path) -> Result<Sound, NoSound> {
    let reader = hound::WavReader::open(path).map_err(|error| NoSound(in_words(&error)))?;
    let spec = reader.spec();
    if !(LEAST_RATE..=HIGHEST_RATE).contains(&spec.sample_rate) {
        let why = format!("{} samples a second; 16000 to 192000 can be used", spec.sample_rate);
        return Err(NoSound(why));
    }
    if u64::from(reader.len()) > MOST_SAMPLES * u64::from(spec.channels.max(1)) {
        return Err(NoSound("longer than ten minutes at 48 kHz; please cut it".into()));
    }
    let interleaved: Result<Vec<f64>, hound::Error> = match spec.sample_format {
        hound::SampleFormat::Float => reader
            .into_samples::<f32>()
            .map(|sample| sample.map(f64::from))
            .collect(),
        hound::SampleFormat::Int => {
            let full = 2_f64.powi(i32::from(spec.bits_per_sample) - 1);
            let samples = reader.into_samples::<i32>();
            samples
                .map(|sample| sample.map(|sample| f64::from(sample) / full))
                .collect()
        }
    };
    let interleaved = interleaved.map_err(|error| NoSound(in_words(&error)))?;
    let channels = usize::from(spec.channels.max(1));
    let mixed = interleaved.chunks_exact(channels).map(|frame| {
        let sum: f64 = frame.iter().sum();
        // A float file may hold anything, even what is no number.
        if sum.is_finite() { sum / channels as f64 } else { 0.0 }
    });
    Ok(Sound {
        rate: spec.sample_rate,
        samples: mixed.collect(),
    })
}

fn in_words(error: &hound::Error) -> String {
    match error {
        hound::Error::IoError(error) if error.kind() != io::ErrorKind::Other => because(error),
        hound::Error::IoError(_) => "this is no whole WAV file".into(),
        hound::Error::FormatError(_) => {
            "this is no whole WAV file, or of a rare kind; please save it as 16 or 24 bits".into()
        }
        hound::Error::Unsupported => "a kind of WAV file that cannot be read; please save it as 16 or 24 bits".into(),
        hound::Error::TooWide | hound::Error::InvalidSampleFormat => {
            "its samples have a size that cannot be read".into()
        }
        hound::Error::UnfinishedSample => "it ends within a sample".into(),
    }
}
