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
    /// From 1; 0 for the file as a whole.
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

impl Finding {
    /// A fault in a file's form, of no song or section in particular.
    pub fn format(spot: Option<Spot>, message: String, hint: Option<String>) -> Finding {
        Finding {
            rule: Rule::Format,
            spot,
            song: None,
            section: None,
            message,
            hint,
        }
    }
}

impl Rule {
    /// As `check --json` has it.
    pub fn name(self) -> &'static str {
        match self {
            Rule::Format => "format",
            Rule::UnknownSection => "unknown-section",
            Rule::PinUnmet => "pin-unmet",
            Rule::UnplayedSection => "unplayed-section",
            Rule::NoSuchPickup => "no-such-pickup",
            Rule::CapoHigh => "capo-high",
            Rule::UnplayableKey => "unplayable-key",
            Rule::SameShapes => "same-shapes",
            Rule::RushedCapo => "rushed-capo",
            Rule::OnePickup => "one-pickup",
            Rule::OneTechnique => "one-technique",
            Rule::AllStrum => "all-strum",
            Rule::KeyRespelled => "key-respelled",
            Rule::OutsideChord => "outside-chord",
            Rule::MissingTempo => "missing-tempo",
        }
    }

    pub fn level(self) -> Level {
        match self {
            Rule::Format | Rule::UnknownSection | Rule::PinUnmet => Level::Error,
            Rule::UnplayedSection
            | Rule::NoSuchPickup
            | Rule::CapoHigh
            | Rule::UnplayableKey
            | Rule::SameShapes
            | Rule::RushedCapo
            | Rule::OnePickup
            | Rule::OneTechnique
            | Rule::AllStrum => Level::Warning,
            Rule::KeyRespelled | Rule::OutsideChord | Rule::MissingTempo => Level::Hint,
        }
    }
}

impl Level {
    pub fn name(self) -> &'static str {
        match self {
            Level::Error => "error",
            Level::Warning => "warning",
            Level::Hint => "hint",
        }
    }
}
