//! A finding: what is wrong or unwise in a file, under which rule, and where.

/// The rules of `check`, by the names in its JSON.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    Format,
    UnknownSection,
    PinUnmet,
    UnplayedSection,
    NoSuchPickup,
    CapoHigh,
    UnplayableKey,
    SameShapes,
    RushedCapo,
    OnePickup,
    OneTechnique,
    AllStrum,
    KeyRespelled,
    OutsideChord,
    MissingTempo,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    Error,
    Warning,
    Hint,
}

/// A place in one of the files read: `file` counts them in the order of reading.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    pub file: u16,
    /// From 1.
    pub line: u32,
    /// In characters, from 1.
    pub column: u32,
    /// How many characters the caret underlines, at least 1.
    pub len: u32,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    pub rule: Rule,
    pub spot: Option<Spot>,
    pub song: Option<String>,
    pub section: Option<String>,
    /// One clause, what was found in backticks.
    pub message: String,
    /// A full sentence.
    pub hint: Option<String>,
}
