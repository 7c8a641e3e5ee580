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
const WORDS: [(&str, Action); 11] = [
    ("next", Action::Next),
    ("back", Action::Back),
    ("next-song", Action::NextSong),
    ("previous-song", Action::PreviousSong),
    ("top", Action::Top),
    ("again", Action::Again),
    ("peek", Action::Peek),
    ("key-up", Action::KeyUp),
    ("key-down", Action::KeyDown),
    ("lock", Action::Lock),
    ("undo", Action::Undo),
];

impl Action {
    /// Reads an action as a player's file writes it: `next`, `song 3`, `section Chorus`, `bar 9`.
    /// A bare `song` (for a program switch, whose number says which) is read by the bindings, not here.
    ///
    /// # Errors
    /// Where the text is no action; with the nearest word.
    pub fn parse(text: &str) -> Result<Action, NotAnAction> {
        let text = text.trim();
        if let Some((_, action)) = WORDS.iter().find(|(word, _)| *word == text) {
            return Ok(action.clone());
        }
        let numbered = |rest: &str| rest.trim().parse().ok().filter(|&n: &u32| n > 0);
        let found = match text.split_once(char::is_whitespace) {
            Some(("song", rest)) => numbered(rest).map(Action::Song),
            Some(("bar", rest)) => numbered(rest).map(Action::Bar),
            Some(("section", rest)) if !rest.trim().is_empty() => Some(Action::Section(rest.trim().into())),
            _ => None,
        };
        found.ok_or_else(|| NotAnAction {
            found: text.into(),
            near: near(text),
        })
    }
}

/// The nearest action word, at most a third of its letters away.
fn near(text: &str) -> Option<&'static str> {
    let words = WORDS.iter().map(|(word, _)| *word).chain(["song", "section", "bar"]);
    words
        .map(|word| (strsim::osa_distance(text, word), word))
        .filter(|(distance, word)| distance * 3 <= word.len())
        .min()
        .map(|(_, word)| word)
}

impl fmt::Display for Action {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Action::Song(number) => write!(f, "song {number}"),
            Action::Section(name) => write!(f, "section {name}"),
            Action::Bar(number) => write!(f, "bar {number}"),
            word => WORDS
                .iter()
                .find(|(_, action)| action == word)
                .map_or(Ok(()), |(word, _)| f.write_str(word)),
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
