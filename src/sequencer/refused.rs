//! Refusals: why an action changed nothing, as values and in words.

use std::fmt;
use std::sync::Arc;

/// Why an action was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// The stage is locked.
    Locked,
    /// There is no song of this number.
    NoSong(u32),
    /// The song has no step of this name.
    NoSection(Arc<str>),
    /// The song has a gap page only.
    NoSteps,
    /// The set has no song after this one.
    NoNextSong,
    /// The song's order ends before this bar.
    PastTheLastBar(u32),
    /// A step up to this bar does not say how many bars it has.
    UncountedBars(u32),
    /// The set is over.
    AtTheEnd,
    /// Nothing was done that could be undone.
    NothingToUndo,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::Locked => f.write_str("locked: `lock` again goes on"),
            Refused::NoSong(number) => write!(f, "there is no song {number}"),
            Refused::NoSection(name) => write!(f, "this song has no section {name}"),
            Refused::NoSteps => f.write_str("this song has no sections"),
            Refused::NoNextSong => f.write_str("no song comes after this one"),
            Refused::PastTheLastBar(bar) => write!(f, "this song ends before bar {bar}"),
            Refused::UncountedBars(bar) => write!(f, "bar {bar} cannot be found: a section before it has no `bars`"),
            Refused::AtTheEnd => f.write_str("the set is over"),
            Refused::NothingToUndo => f.write_str("nothing to undo"),
        }
    }
}
