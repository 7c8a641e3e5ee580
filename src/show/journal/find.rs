//! Finding the journal of a show that was not over: the newest of its set that no running show holds.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads journals")]

use crate::show::journal::line::{Read, WHOLE, at_of, begun_at, read, write_closing};
use crate::show::journal::paper::Journal;
use jiff::Timestamp;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read as _, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// A show that stood still for longer is not the one that is being played.
const OLDEST: Duration = Duration::from_secs(6 * 3600);
/// A clock that was set back since may make a journal's last line come from the future, so far.
const NEWEST: Duration = Duration::from_secs(24 * 3600);
/// Journals looked at: there is one for each show of the set in the last hours.
const MOST_LOOKED_AT: usize = 16;
/// The end of a journal that is read at first, in bytes: as a rule the last whole account is in it.
const END: u64 = 1 << 16;

/// A journal to go on with.
pub(super) struct Found {
    /// None where it can be read but not written.
    pub(super) journal: Option<Journal>,
    /// Its last lines, from a whole account on.
    pub(super) text: String,
    pub(super) ago: Duration,
    /// Since it was begun.
    pub(super) elapsed: Duration,
}

/// The newest show in the folder that can go on.
pub(super) fn latest(folder: &Path, now: SystemTime) -> Option<Found> {
    open_shows(folder, now).next().map(|(_, found)| found)
}

/// Marks every show in the folder that could go on as over.
pub(super) fn abandon(folder: &Path, now: SystemTime) {
    for (_, found) in open_shows(folder, now) {
        let mut line = Vec::new();
        write_closing(&mut line, now, 0.0, true);
        if let Some(journal) = found.journal {
            // Where it cannot be marked the new show's journal is the newer one.
            let _ = (&*journal.file)
                .write_all(&line)
                .and_then(|()| journal.file.sync_data());
        }
    }
}

fn open_shows(folder: &Path, now: SystemTime) -> impl Iterator<Item = (PathBuf, Found)> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<(Timestamp, PathBuf)> = entries
        .filter_map(|entry| Some((begun_at(entry.file_name().to_str()?)?, entry.path())))
        .collect();
    names.sort_unstable_by(|a, b| b.cmp(a));
    let looked_at = names.into_iter().take(MOST_LOOKED_AT);
    looked_at.filter_map(move |(begun, path)| {
        let found = look(&path, begun, now).ok()??;
        Some((path, found))
    })
}

/// What a journal holds, where its show can go on.
fn look(path: &Path, begun: Timestamp, now: SystemTime) -> io::Result<Option<Found>> {
    let for_writing = OpenOptions::new().read(true).append(true).open(path);
    let writable = for_writing.is_ok();
    let mut file = for_writing.or_else(|_| File::open(path))?;
    if matches!(file.try_lock(), Err(TryLockError::WouldBlock)) {
        return Ok(None);
    }
    let (text, length) = last_lines(&mut file)?;
    let Some(last) = text.lines().next_back() else {
        return Ok(None);
    };
    if let Some(Read::Closing { over: true, .. }) = read(last) {
        return Ok(None);
    }
    let Some(ago) = text.lines().rev().find_map(at_of).and_then(|at| since(at, now)) else {
        return Ok(None);
    };
    // Half a line at the end goes before anything is written behind it.
    let journal = (writable && file.set_len(length).is_ok()).then(|| Journal::new(file, length));
    let elapsed = SystemTime::try_from(begun)
        .ok()
        .and_then(|begun| now.duration_since(begun).ok())
        // More than a day says that the clock was set meanwhile.
        .filter(|&elapsed| elapsed <= NEWEST);
    Ok(Some(Found {
        journal,
        text,
        ago,
        elapsed: elapsed.unwrap_or(ago),
    }))
}

/// How long ago that was, where it may be the show that is being played.
fn since(at: Timestamp, now: SystemTime) -> Option<Duration> {
    match now.duration_since(SystemTime::try_from(at).ok()?) {
        Ok(ago) => (ago <= OLDEST).then_some(ago),
        Err(ahead) => (ahead.duration() <= NEWEST).then_some(Duration::ZERO),
    }
}

/// The whole lines at the end of a file, from the last whole account on, or all where there is none; and where the
/// last of them ends.
fn last_lines(file: &mut File) -> io::Result<(String, u64)> {
    let length = file.metadata()?.len();
    let mut wanted = END.min(length);
    loop {
        file.seek(SeekFrom::Start(length - wanted))?;
        let mut bytes = Vec::with_capacity(wanted as usize);
        (&mut *file).take(wanted).read_to_end(&mut bytes)?;
        let end = bytes
            .iter()
            .rposition(|&byte| byte == b'\n')
            .map_or(0, |place| place + 1);
        let torn = (bytes.len() - end) as u64;
        let lines = String::from_utf8_lossy(&bytes[..end]);
        if let Some(place) = lines.rfind(&format!("\n{WHOLE}")) {
            // The line before it tells of the page by names.
            if let Some(before) = lines[..place].rfind('\n') {
                return Ok((lines[before + 1..].into(), length - torn));
            }
        }
        if wanted == length {
            return Ok((lines.into_owned(), length - torn));
        }
        wanted = (wanted * 2).min(length);
    }
}
