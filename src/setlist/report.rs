//! Findings as text: the file, the line and its caret, in the one shape that every message has.

use crate::setlist::{Finding, Level, Spot};
use std::fmt::{self, Write};
use std::path::PathBuf;
use unicode_width::UnicodeWidthChar;

/// The files read, in the order of reading; a spot's `file` is a place among them.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
}

#[derive(Clone, Debug)]
struct Source {
    path: PathBuf,
    text: String,
}

/// What was found, ready to be printed.
#[derive(Clone, Debug)]
pub struct Report {
    pub findings: Vec<Finding>,
    pub sources: Sources,
}

/// Columns of a line that are shown, so that one long line does not fill the screen.
const EXCERPT: usize = 100;

impl Sources {
    /// Adds a file; its place.
    pub(super) fn add(&mut self, path: PathBuf, text: String) -> u16 {
        self.files.push(Source { path, text });
        (self.files.len() - 1) as u16
    }

    pub(super) fn set_text(&mut self, file: u16, text: String) {
        if let Some(source) = self.files.get_mut(usize::from(file)) {
            source.text = text;
        }
    }

    /// The paths of all files read, the set first.
    pub fn paths(&self) -> impl Iterator<Item = &std::path::Path> {
        self.files.iter().map(|source| source.path.as_path())
    }

    /// The path of the file that a spot is in, as it was given.
    pub fn path(&self, spot: Spot) -> String {
        self.files
            .get(usize::from(spot.file))
            .map_or_else(String::new, |source| escaped(&source.path.to_string_lossy()))
    }

    fn line(&self, spot: Spot) -> Option<&str> {
        self.files
            .get(usize::from(spot.file))?
            .text
            .lines()
            .nth((spot.line as usize).checked_sub(1)?)
    }
}

impl Report {
    /// Whether any finding is an error.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.rule.level() == Level::Error)
    }

    /// The errors alone, for a command that is not asked for more.
    pub fn errors(mut self) -> Report {
        self.findings.retain(|finding| finding.rule.level() == Level::Error);
        self
    }

    /// Errors first, then by place, none twice.
    pub fn sort(&mut self) {
        self.findings
            .sort_by_key(|finding| (finding.rule.level(), finding.spot, finding.rule));
        self.findings.dedup();
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.findings
            .iter()
            .try_for_each(|finding| write_finding(f, finding, &self.sources))
    }
}

fn write_finding(f: &mut fmt::Formatter<'_>, finding: &Finding, sources: &Sources) -> fmt::Result {
    let level = finding.rule.level().name();
    match finding.spot {
        Some(spot) => {
            writeln!(
                f,
                "{}:{}:{}: {level}: {}",
                sources.path(spot),
                spot.line,
                spot.column,
                escaped(&finding.message)
            )?;
            if let Some(line) = sources.line(spot).filter(|line| !line.trim().is_empty()) {
                write_excerpt(f, spot, line)?;
            }
        }
        None => writeln!(f, "{level}: {}", escaped(&finding.message))?,
    }
    finding
        .hint
        .iter()
        .try_for_each(|hint| writeln!(f, "hint: {}", escaped(hint)))
}

/// The line and a caret under what is meant; a long line from a little before it.
fn write_excerpt(f: &mut fmt::Formatter<'_>, spot: Spot, line: &str) -> fmt::Result {
    let start = (spot.column as usize).saturating_sub(1);
    let skipped = if start + (spot.len as usize).min(EXCERPT) > EXCERPT {
        start.saturating_sub(EXCERPT / 2)
    } else {
        0
    };
    let shown: String = line.chars().skip(skipped).take(EXCERPT).flat_map(shown).collect();
    let before = line
        .chars()
        .skip(skipped)
        .take(start - skipped)
        .flat_map(shown_width)
        .sum::<usize>();
    let under = line
        .chars()
        .skip(start)
        .take((spot.len as usize).min(EXCERPT))
        .flat_map(shown_width)
        .sum::<usize>()
        .max(1);
    let number = spot.line.to_string();
    writeln!(f, "{number} | {shown}")?;
    writeln!(
        f,
        "{} | {}{}",
        " ".repeat(number.len()),
        " ".repeat(before),
        "^".repeat(under)
    )
}

/// A character as an excerpt shows it: one that moves the cursor becomes one that does not.
fn shown(letter: char) -> Option<char> {
    match letter {
        '\t' => Some(' '),
        letter if letter.is_control() => Some('\u{fffd}'),
        letter => Some(letter),
    }
}

fn shown_width(letter: char) -> Option<usize> {
    shown(letter).map(|letter| letter.width().unwrap_or(0))
}

/// Text for one line of a message, control characters made visible.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        if letter.is_control() {
            let _ = write!(safe, "{}", letter.escape_default());
        } else {
            safe.push(letter);
        }
    }
    safe
}
