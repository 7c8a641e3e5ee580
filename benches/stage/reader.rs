//! The one reader of all that is measured: asks, reads, and notes when the last byte came.

use crate::subject::{Press, Stage};
use crate::terminal::Terminal;
use std::time::{Duration, Instant};

/// The end of a synchronised update, which ends each picture of the stage.
pub(crate) const FRAME_END: &[u8] = b"\x1b[?2026l";
/// An answer is over when nothing came for this long.
const QUIET: Duration = Duration::from_millis(20);
/// Nothing that is measured takes this long; it has failed.
const TOO_LONG: Duration = Duration::from_secs(10);

/// What came back for one question.
#[derive(Default)]
pub(crate) struct Answer {
    /// From the question to the last byte.
    pub(crate) took: Duration,
    pub(crate) bytes: usize,
    pub(crate) reads: usize,
}

pub(crate) struct Reader {
    buffer: Vec<u8>,
}

impl Reader {
    pub(crate) fn new() -> Reader {
        Reader {
            buffer: vec![0; 1 << 16],
        }
    }

    /// Asks, then reads until it has been quiet for a while.
    pub(crate) fn ask(&mut self, terminal: &mut Terminal, ask: impl FnOnce(&mut Terminal)) -> Answer {
        let mut answer = Answer::default();
        let start = Instant::now();
        ask(terminal);
        let mut wait = TOO_LONG;
        loop {
            let count = self.read(terminal, wait);
            if count == 0 {
                assert!(answer.bytes > 0, "no answer in {} s", TOO_LONG.as_secs());
                return answer;
            }
            answer.took = start.elapsed();
            answer.bytes += count;
            answer.reads += 1;
            wait = QUIET;
        }
    }

    /// Presses, reads the page, and lifts the foot, which is outside of what is measured.
    pub(crate) fn press(&mut self, stage: &mut Stage, (down, up): Press) -> Answer {
        let Stage { terminal, pedal } = stage;
        let answer = self.ask(terminal, |_| pedal.send(down).expect("the pipe is open"));
        pedal.send(up).expect("the pipe is open");
        answer
    }

    /// Reads all that the start writes.
    pub(crate) fn settle(&mut self, terminal: &mut Terminal) {
        self.ask(terminal, |_| ());
    }

    /// Reads until so many pictures have ended, and gives all that came.
    pub(crate) fn pictures(&mut self, terminal: &mut Terminal, pictures: usize) -> Vec<u8> {
        let mut all = Vec::new();
        while ends(&all) < pictures {
            let count = self.read(terminal, TOO_LONG);
            assert!(count > 0, "no picture; instead: {}", String::from_utf8_lossy(&all));
            all.extend_from_slice(&self.buffer[..count]);
        }
        all
    }

    /// The pictures that come until it is quiet.
    pub(crate) fn count_pictures(&mut self, terminal: &mut Terminal) -> usize {
        let mut all = self.pictures(terminal, 1);
        loop {
            let count = self.read(terminal, QUIET);
            if count == 0 {
                return ends(&all);
            }
            all.extend_from_slice(&self.buffer[..count]);
        }
    }

    /// The bytes that come in a time, however long it is quiet.
    pub(crate) fn count_bytes(&mut self, terminal: &mut Terminal, during: Duration) -> usize {
        let start = Instant::now();
        let mut bytes = 0;
        while let Some(left) = during.checked_sub(start.elapsed()) {
            bytes += self.read(terminal, left);
        }
        bytes
    }

    fn read(&mut self, terminal: &mut Terminal, wait: Duration) -> usize {
        terminal.read(&mut self.buffer, wait).expect("a terminal can be read")
    }
}

fn ends(bytes: &[u8]) -> usize {
    bytes
        .windows(FRAME_END.len())
        .filter(|window| *window == FRAME_END)
        .count()
}
