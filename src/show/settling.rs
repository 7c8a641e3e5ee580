//! When files that change have come to rest: not while one is being written, and not between two steps of one save.

use std::collections::HashSet;
use std::path::PathBuf;
use std::time::Duration;

/// What is told of a file that is watched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Stir {
    /// It is being written, and not whole yet.
    Writing(PathBuf),
    /// It is whole, or another one, or gone.
    Changed(PathBuf),
    /// Something was not told.
    Anything,
}

/// Waits for rest after each change. Time comes in as the time since the start.
#[derive(Debug, Default)]
pub(super) struct Settling {
    writing: HashSet<PathBuf>,
    first: Option<Duration>,
    due: Option<Duration>,
}

/// A save is several steps; they come close together.
const REST: Duration = Duration::from_millis(100);
/// A file left open by whoever wrote into it is taken as it is after so long.
const HALF_WRITTEN: Duration = Duration::from_secs(2);
/// Files that never come to rest are looked at all the same, this long after the first change.
const AT_LAST: Duration = Duration::from_secs(5);

impl Settling {
    pub(super) fn hear(&mut self, stir: Stir, now: Duration) {
        match stir {
            Stir::Writing(path) => {
                self.writing.insert(path);
            }
            Stir::Changed(path) => {
                self.writing.remove(&path);
            }
            Stir::Anything => {}
        }
        let wait = if self.writing.is_empty() { REST } else { HALF_WRITTEN };
        let at_last = *self.first.get_or_insert(now) + AT_LAST;
        self.due = Some((now + wait).min(at_last));
    }

    /// When the files are to be looked at.
    pub(super) fn due(&self) -> Option<Duration> {
        self.due
    }

    /// The files are being looked at.
    pub(super) fn rest(&mut self) {
        *self = Settling::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stirs as `w` (writing) or `c` (changed), a file's letter and the millisecond, and when a look is due.
    #[test]
    fn files_are_looked_at_when_a_save_is_over() {
        for (stirs, due_ms) in [
            ("", None),
            ("ca0", Some(100)),
            ("wa0", Some(2000)),
            ("wa0 wa10 ca20", Some(120)),
            ("ca0 ca60 ca120", Some(220)),
            ("wa0 wb10 ca20", Some(2020)),
            ("wa0 wb10 ca20 cb30", Some(130)),
            ("ca0 wa4000", Some(5000)),
            ("ca0 ca4990", Some(5000)),
            ("?30", Some(130)),
        ] {
            let mut settling = Settling::default();
            for stir in stirs.split_whitespace() {
                let (what, rest) = stir.split_at(1);
                let (file, ms) = rest.split_at(usize::from(what != "?"));
                let stir = match what {
                    "w" => Stir::Writing(file.into()),
                    "c" => Stir::Changed(file.into()),
                    _ => Stir::Anything,
                };
                settling.hear(stir, Duration::from_millis(ms.parse().unwrap()));
            }
            assert_eq!(settling.due(), due_ms.map(Duration::from_millis), "{stirs}");
            settling.rest();
            assert_eq!(settling.due(), None, "{stirs}");
        }
    }
}
