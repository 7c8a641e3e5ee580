//! What has been answered: one line of JSON an answer, read back without what was torn.

use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::HashSet;
use std::sync::Arc;

/// A kind of question.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Drill {
    /// One playing: which position?
    Name,
    /// Three playings: which is from another position?
    Odd,
    /// As `Odd`, with a pickup that moves: how little is still heard?
    Gap,
    /// Two playings: same position or another?
    Same,
}

/// One answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Answered {
    /// Seconds since 1970.
    pub at: u64,
    /// When the sitting began; answers of one sitting have the same.
    pub sitting: u64,
    pub drill: Drill,
    /// The phrase, or `own` for the player's own recordings.
    pub phrase: Arc<str>,
    /// The two positions that were to be told apart.
    pub pair: [Arc<str>; 2],
    /// How many choices there were.
    pub choices: u8,
    /// The right choice, and the one given.
    pub played: Arc<str>,
    pub answered: Arc<str>,
    /// How far the pickup moved, in the drill of gaps.
    pub gap_mm: Option<f64>,
}

/// A line as it is written.
#[derive(Serialize, Deserialize)]
struct Line<'a> {
    at: u64,
    sitting: u64,
    drill: Drill,
    #[serde(borrow)]
    phrase: Cow<'a, str>,
    #[serde(borrow)]
    pair: [Name<'a>; 2],
    choices: u8,
    #[serde(borrow)]
    played: Cow<'a, str>,
    #[serde(borrow)]
    answered: Cow<'a, str>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    gap_mm: Option<f64>,
}

/// A name in a list: there a bare `Cow` would be copied from the line.
#[derive(Serialize, Deserialize)]
struct Name<'a>(#[serde(borrow)] Cow<'a, str>);

/// All answers, oldest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct History {
    answers: Vec<Answered>,
}

impl Answered {
    pub(crate) fn is_right(&self) -> bool {
        self.played == self.answered
    }

    /// As a line of the history file, its end included.
    pub fn line(&self) -> String {
        let line = Line {
            at: self.at,
            sitting: self.sitting,
            drill: self.drill,
            phrase: Cow::Borrowed(&self.phrase),
            pair: [&*self.pair[0], &*self.pair[1]].map(|name| Name(Cow::Borrowed(name))),
            choices: self.choices,
            played: Cow::Borrowed(&self.played),
            answered: Cow::Borrowed(&self.answered),
            gap_mm: self.gap_mm,
        };
        // Text, numbers and lists of them can always be written.
        serde_json::to_string(&line).unwrap_or_default() + "\n"
    }
}

impl History {
    /// Reads the lines of a history file. What is torn, foreign or not true to form is left out: a history serves, it
    /// does not bind.
    pub fn read(text: &[u8]) -> History {
        let mut names = Names::default();
        // What is no text makes no line that is true to form; whatever is, is looked through once.
        let text = String::from_utf8_lossy(text);
        let lines = text.split('\n').filter(|line| !line.is_empty());
        let answers = lines.filter_map(|line| {
            let line: Line<'_> = serde_json::from_str(line).ok()?;
            Some(Answered {
                at: line.at,
                sitting: line.sitting,
                drill: line.drill,
                phrase: names.of(&line.phrase),
                pair: line.pair.map(|name| names.of(&name.0)),
                choices: line.choices.max(1),
                played: names.of(&line.played),
                answered: names.of(&line.answered),
                gap_mm: line.gap_mm.filter(|gap| gap.is_finite() && *gap > 0.0),
            })
        });
        History {
            answers: answers.collect(),
        }
    }

    pub fn push(&mut self, answered: Answered) {
        self.answers.push(answered);
    }

    pub fn answers(&self) -> &[Answered] {
        &self.answers
    }

    /// The answers of one kind of question.
    pub(super) fn of(&self, drill: Drill) -> impl DoubleEndedIterator<Item = &Answered> {
        self.answers.iter().filter(move |answered| answered.drill == drill)
    }
}

/// A few names stand in very many lines: each is kept once.
#[derive(Default)]
struct Names {
    all: HashSet<Arc<str>>,
    /// The first of them, which are nearly always all there are: to look through them is faster than to hash.
    first: Vec<Arc<str>>,
}

impl Names {
    /// Looked through one by one; a guitar has hardly more positions, and there are five phrases.
    const FIRST: usize = 16;

    fn of(&mut self, name: &str) -> Arc<str> {
        let first = self.first.iter().find(|known| &***known == name);
        if let Some(known) = first.or_else(|| self.all.get(name)) {
            return Arc::clone(known);
        }
        let name: Arc<str> = name.into();
        if self.first.len() < Self::FIRST {
            self.first.push(Arc::clone(&name));
        } else {
            self.all.insert(Arc::clone(&name));
        }
        name
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// An answer to a question between two positions, given `day` days after 1970.
    pub(in super::super) fn answered(drill: Drill, pair: [&str; 2], right: bool, day: u64) -> Answered {
        let pair = pair.map(Arc::from);
        Answered {
            at: day * 86_400,
            sitting: day * 86_400,
            drill,
            phrase: "diamonds".into(),
            played: Arc::clone(&pair[0]),
            answered: Arc::clone(&pair[usize::from(!right)]),
            pair,
            choices: 2,
            gap_mm: None,
        }
    }

    #[test]
    fn what_is_written_is_read_back_and_torn_lines_are_left_out() {
        let one = answered(Drill::Name, ["neck", "neck+middle"], true, 1);
        let other = Answered {
            gap_mm: Some(32.5),
            ..answered(Drill::Gap, ["bridge", "bri\"dge"], false, 2)
        };
        let text = format!(
            "{}{{\"at\":1,\"sit\n\n[]\n{}{}",
            one.line(),
            other.line(),
            &one.line()[..40]
        );
        assert_eq!(History::read(text.as_bytes()).answers(), [one, other]);
        assert_eq!(History::read(b"\xFF\xFE\x00").answers(), []);
    }
}
