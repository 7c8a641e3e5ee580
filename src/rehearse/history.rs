//! The history: one JSON line an answer, in a file that survives crashes.

#![allow(
    clippy::disallowed_methods,
    reason = "the one file of this room that touches the disk"
)]

use crate::rehearse::memory::{Answer, Memory};
use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

/// The file, open at its end.
pub struct History(File);

impl History {
    /// Reads what was answered, and opens the file for more; it is made where there is none yet. Lines that were cut
    /// short, or that are of something else, are passed over.
    ///
    /// # Errors
    /// Where the file or its folder cannot be made, read or written.
    pub fn open(path: &Path) -> io::Result<(History, Memory)> {
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)?;
        }
        let mut file = OpenOptions::new().create(true).append(true).read(true).open(path)?;
        let text = std::fs::read(path)?;
        if text.last().is_some_and(|last| *last != b'\n') {
            // The line that was cut short ends here, and the next one begins.
            file.write_all(b"\n")?;
        }
        Ok((History(file), remembered(&text)))
    }

    /// Reads what was answered, and nothing else; no file is no answers.
    ///
    /// # Errors
    /// Where there is a file that cannot be read.
    pub fn read(path: &Path) -> io::Result<Memory> {
        match std::fs::read(path) {
            Ok(text) => Ok(remembered(&text)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Memory::default()),
            Err(error) => Err(error),
        }
    }

    /// Keeps an answer; when this is done it is on the disk.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn keep(&mut self, answer: &Answer<'_>) -> io::Result<()> {
        let mut line = serde_json::to_vec(answer)?;
        line.push(b'\n');
        self.0.write_all(&line)?;
        self.0.sync_data()
    }
}

fn remembered(text: &[u8]) -> Memory {
    let mut memory = Memory::default();
    for line in text.split(|&byte| byte == b'\n') {
        if let Ok(answer) = serde_json::from_slice(line) {
            memory.take(&answer);
        }
    }
    memory
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearse::memory::Rating;

    #[test]
    fn a_line_cut_short_by_a_crash_takes_no_other_with_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("state/rehearse.jsonl");
        let (mut history, memory) = History::open(&path).unwrap();
        for (item, now) in [("one", 0), ("two", 60)] {
            history
                .keep(&memory.rate(item, Rating::Good, 2.0, now).unwrap())
                .unwrap();
        }
        drop(history);
        let whole = std::fs::read(&path).unwrap();
        std::fs::write(&path, &whole[..whole.len() - 20]).unwrap();
        let (mut history, memory) = History::open(&path).unwrap();
        assert!(memory.of("one").is_some() && memory.of("two").is_none());
        history
            .keep(&memory.rate("three", Rating::Good, 2.0, 120).unwrap())
            .unwrap();
        let memory = History::read(&path).unwrap();
        assert!(memory.of("one").is_some() && memory.of("three").is_some());
    }

    #[test]
    fn no_file_is_no_answers() {
        let folder = tempfile::tempdir().unwrap();
        assert!(
            History::read(&folder.path().join("none.jsonl"))
                .unwrap()
                .of("one")
                .is_none()
        );
    }
}
