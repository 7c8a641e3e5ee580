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
    let journal = (writable && file.set_len(length).is_ok())
        .then(|| Journal::new(file, path.into(), length))
        .transpose()?;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::journal::line::file_name;

    const HOUR: i64 = 3600;

    fn moment(now: SystemTime, seconds: i64) -> SystemTime {
        let far = Duration::from_secs(seconds.unsigned_abs());
        if seconds < 0 { now - far } else { now + far }
    }

    /// A journal begun so many seconds after `now` (before, where negative), with a line at each of these seconds.
    fn keep(folder: &Path, now: SystemTime, begun: i64, lines: &[i64]) {
        let mut text = Vec::new();
        for &line in lines {
            write_closing(&mut text, moment(now, line), 0.0, false);
        }
        fs::write(folder.join(file_name(moment(now, begun), 7)), text).unwrap();
    }

    /// Midnight of some day, so that the hours before it are another day's.
    fn now() -> SystemTime {
        SystemTime::UNIX_EPOCH + Duration::from_secs(20_000 * 24 * 3600)
    }

    #[test]
    fn a_show_is_gone_on_with_for_six_hours_and_where_the_clock_was_set_back_for_a_day() {
        let day = 24 * HOUR;
        for (what, begun, lines, wanted) in [
            ("just now", -60, &[-60, 0][..], Some((0, 60))),
            ("six hours ago", -7 * HOUR, &[-6 * HOUR], Some((6 * HOUR, 7 * HOUR))),
            ("longer ago", -7 * HOUR, &[-6 * HOUR - 1], None),
            (
                "begun long ago, played till now",
                -20 * HOUR,
                &[-20 * HOUR, -60],
                Some((60, 20 * HOUR)),
            ),
            // Set back between the end and the start.
            ("an hour to come", HOUR - 60, &[HOUR - 60, HOUR], Some((0, 0))),
            ("a day to come", day, &[day], Some((0, 0))),
            ("more than a day to come", day + 1, &[day + 1], None),
            // Set during the show: the last line is what counts.
            (
                "set back in mid-show",
                9 * HOUR,
                &[9 * HOUR, 10 * HOUR, -60],
                Some((60, 60)),
            ),
            (
                "set forward in mid-show",
                -9000 * HOUR,
                &[-9000 * HOUR, -120],
                Some((120, 120)),
            ),
            ("set back by far too much in mid-show", -60, &[-60, -9000 * HOUR], None),
            ("no line", -60, &[], None),
        ] {
            let folder = tempfile::tempdir().unwrap();
            keep(folder.path(), now(), begun, lines);
            let found = latest(folder.path(), now());
            let found = found.map(|found| (found.ago.as_secs() as i64, found.elapsed.as_secs() as i64));
            assert_eq!(found, wanted, "{what}");
        }
    }

    #[test]
    fn the_newest_show_that_can_go_on_is_found_and_one_too_old_or_too_new_is_in_nobodys_way() {
        let folder = tempfile::tempdir().unwrap();
        keep(folder.path(), now(), -5 * HOUR, &[-5 * HOUR]);
        keep(folder.path(), now(), -4 * HOUR, &[-3 * HOUR]);
        keep(folder.path(), now(), -2 * HOUR, &[-8 * HOUR]);
        keep(folder.path(), now(), 30 * HOUR, &[30 * HOUR]);
        let found = latest(folder.path(), now()).unwrap();
        assert_eq!(found.ago.as_secs() as i64, 3 * HOUR);
        drop(found);
        abandon(folder.path(), now());
        assert!(latest(folder.path(), now()).is_none());
    }
}
