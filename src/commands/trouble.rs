//! Why a command could not run to its end, in the words for standard error.

use crate::setlist::Report;
use std::fmt::Display;
use std::io;

/// Why a command could not run to its end: exit status 1 unless it says otherwise.
#[derive(Debug)]
pub(crate) enum Trouble {
    /// Whole text, lines and all, as it is to be printed.
    Said(String),
    /// What was asked for cannot be read: exit status 2.
    Usage(String),
    /// Writing failed; where nobody reads any more that is no error.
    Output(io::Error),
}

impl Trouble {
    /// A clause about no file in particular.
    pub(super) fn said(words: impl Display) -> Trouble {
        Trouble::Said(format!("error: {words}\n"))
    }

    /// A clause about a file or whatever else has a name.
    pub(super) fn with(name: impl Display, words: impl Display) -> Trouble {
        Trouble::Said(format!("{name}: error: {words}\n"))
    }

    /// The same, and a sentence on what to do.
    pub(super) fn hint(self, hint: impl Display) -> Trouble {
        self.and(&format!("hint: {hint}\n"))
    }

    /// The same, and whole lines to follow it.
    pub(super) fn and(self, lines: &str) -> Trouble {
        match self {
            Trouble::Said(text) => Trouble::Said(text + lines),
            Trouble::Usage(text) => Trouble::Usage(text + lines),
            Trouble::Output(error) => Trouble::Output(error),
        }
    }
}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Trouble {
        Trouble::Output(error)
    }
}

impl From<Report> for Trouble {
    fn from(report: Report) -> Trouble {
        Trouble::Said(report.errors().to_string())
    }
}
