//! Actions: all that a press can ask for, and how a file writes them.

use std::fmt;
use std::sync::Arc;

/// What a press asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Action {
    Next,
    Back,
    NextSong,
    PreviousSong,
    Top,
    /// Counted from 1.
    Song(u32),
    /// By name, without regard to case.
    Section(Arc<str>),
    /// A bar of the song's order, counted from 1.
    Bar(u32),
    Again,
    Peek,
    KeyUp,
    KeyDown,
    Lock,
    Undo,
}

/// Where an action came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    Switch,
    System,
    Clock,
    Key,
}

/// What stood where an action was wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAnAction {
    pub found: String,
    /// The nearest action, where one is near.
    pub near: Option<&'static str>,
}

/// The actions that are one word.
const PLAIN: [Action; 11] = [
    Action::Next,
    Action::Back,
    Action::NextSong,
    Action::PreviousSong,
    Action::Top,
    Action::Again,
    Action::Peek,
    Action::KeyUp,
    Action::KeyDown,
    Action::Lock,
    Action::Undo,
];

impl Action {
    /// Reads an action as a player's file writes it: `next`, `song 3`, `section Chorus`, `bar 9`.
    /// A bare `song` (for a program switch, whose number says which) is read by the bindings, not here.
    ///
    /// # Errors
    /// Where the text is no action; with the nearest word.
    pub fn parse(text: &str) -> Result<Action, NotAnAction> {
        let text = text.trim();
        if let Some(action) = PLAIN.into_iter().find(|action| action.word() == text) {
            return Ok(action);
        }
        let numbered = |rest: &str| rest.trim().parse().ok().filter(|&n: &u32| n > 0);
        let found = match text.split_once(char::is_whitespace) {
            Some(("song", rest)) => numbered(rest).map(Action::Song),
            Some(("bar", rest)) => numbered(rest).map(Action::Bar),
            Some(("section", rest)) => Some(Action::Section(rest.trim().into())),
            Some(_) | None => None,
        };
        found.ok_or_else(|| NotAnAction {
            found: text.into(),
            near: near(text),
        })
    }

    /// The first word as a file has it.
    fn word(&self) -> &'static str {
        match self {
            Action::Next => "next",
            Action::Back => "back",
            Action::NextSong => "next-song",
            Action::PreviousSong => "previous-song",
            Action::Top => "top",
            Action::Song(_) => "song",
            Action::Section(_) => "section",
            Action::Bar(_) => "bar",
            Action::Again => "again",
            Action::Peek => "peek",
            Action::KeyUp => "key-up",
            Action::KeyDown => "key-down",
            Action::Lock => "lock",
            Action::Undo => "undo",
        }
    }
}

/// The nearest action word, at most a third of its letters away.
fn near(text: &str) -> Option<&'static str> {
    let words = PLAIN.iter().map(Action::word).chain(["song", "section", "bar"]);
    words
        .map(|word| (strsim::osa_distance(text, word), word))
        .filter(|(distance, word)| distance * 3 <= word.len())
        .min()
        .map(|(_, word)| word)
}

impl fmt::Display for Action {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())?;
        match self {
            Action::Song(number) | Action::Bar(number) => write!(f, " {number}"),
            Action::Section(name) => write!(f, " {name}"),
            Action::Next
            | Action::Back
            | Action::NextSong
            | Action::PreviousSong
            | Action::Top
            | Action::Again
            | Action::Peek
            | Action::KeyUp
            | Action::KeyDown
            | Action::Lock
            | Action::Undo => Ok(()),
        }
    }
}

impl By {
    /// As the replay's JSON has it.
    pub fn word(self) -> &'static str {
        match self {
            By::Switch => "switch",
            By::System => "system",
            By::Clock => "clock",
            By::Key => "key",
        }
    }
}
