//! Findings as text: the file, the line and its caret, in the one shape that every message has.

use crate::setlist::{Excerpt, Finding, Level, PedalSettings, Spot, escaped};
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The files read, in the order of reading; a spot's `file` is a place among them.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
    /// Files that were asked for and could not be had.
    missed: Vec<PathBuf>,
}

#[derive(Clone, Debug)]
struct Source {
    path: PathBuf,
    text: Arc<str>,
}

/// What was found, ready to be printed.
#[derive(Clone, Debug)]
pub struct Report {
    pub findings: Vec<Finding>,
    pub sources: Sources,
    /// The pedals of a player's file that could be read, where the fault lies elsewhere: their room may find more.
    pub pedals: Option<Box<PedalSettings>>,
}

impl Sources {
    /// Adds a file whose text is not known yet; its place.
    pub(super) fn add(&mut self, path: PathBuf) -> u16 {
        let text = Arc::from("");
        self.files.push(Source { path, text });
        (self.files.len() - 1) as u16
    }

    pub(super) fn set_text(&mut self, file: u16, text: Arc<str>) {
        if let Some(source) = self.files.get_mut(usize::from(file)) {
            source.text = text;
        }
    }

    pub(super) fn miss(&mut self, path: PathBuf) {
        self.missed.push(path);
    }

    pub(super) fn count(&self) -> usize {
        self.files.len()
    }

    /// The folder that paths in a file are relative to.
    pub(super) fn folder(&self, file: u16) -> &Path {
        let path = self.files.get(usize::from(file)).map(|source| source.path.as_path());
        path.and_then(Path::parent).unwrap_or(Path::new(""))
    }

    /// The paths of all files read, the set first, then those that were asked for and could not be had.
    pub fn paths(&self) -> impl Iterator<Item = &Path> {
        let read = self.files.iter().map(|source| source.path.as_path());
        read.chain(self.missed.iter().map(PathBuf::as_path))
    }

    /// The files read, each with its text.
    pub fn texts(&self) -> impl Iterator<Item = (&Path, &str)> {
        self.files.iter().map(|source| (source.path.as_path(), &*source.text))
    }

    /// The path of the file that a spot is in, as it was given.
    pub fn path(&self, spot: Spot) -> String {
        self.files
            .get(usize::from(spot.file))
            .map_or_else(String::new, |source| escaped(&source.path.to_string_lossy()))
    }
}

impl Report {
    pub fn new(findings: Vec<Finding>, sources: Sources) -> Report {
        Report {
            findings,
            sources,
            pedals: None,
        }
    }

    /// Whether any finding is an error.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.rule.level() == Level::Error)
    }

    /// The errors alone, for a command that is not asked for more.
    pub fn errors(mut self) -> Report {
        self.findings.retain(|finding| finding.rule.level() == Level::Error);
        self
    }

    /// The first error in one short line, as `set.yaml:12: what is wrong`, for where there is no room for more.
    pub fn first_error(&self) -> Option<String> {
        let mut findings = self.findings.iter();
        let first = findings.find(|finding| finding.rule.level() == Level::Error)?;
        let message = escaped(&first.message);
        let Some(spot) = first.spot else { return Some(message) };
        let path = self.sources.path(spot);
        let name = path.rsplit('/').next().unwrap_or_default();
        Some(match spot.line {
            0 => format!("{name}: {message}"),
            line => format!("{name}:{line}: {message}"),
        })
    }

    /// Errors first, then by place, none twice.
    pub fn sort(&mut self) {
        // Those without a place, which speak of all the others, come last.
        let place = |finding: &Finding| (finding.spot.is_none(), finding.spot);
        self.findings
            .sort_by_key(|finding| (finding.rule.level(), place(finding), finding.rule));
        // What a section takes from another by `like` is told where it is written, once.
        self.findings
            .dedup_by(|a, b| (a.rule, a.spot, &a.message) == (b.rule, b.spot, &b.message));
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut excerpts: Vec<_> = self
            .sources
            .files
            .iter()
            .map(|file| Excerpts::new(&file.text))
            .collect();
        self.findings
            .iter()
            .try_for_each(|finding| write_finding(f, finding, &self.sources, &mut excerpts))
    }
}

/// The lines of a file, looked up one after the other: findings come in the order of their places, so a file is walked
/// through a few times and not once for each.
struct Excerpts<'t> {
    text: &'t str,
    rest: Lines<'t>,
    /// The line looked up last, and its number; 0 before the first.
    last: (u32, Option<&'t str>),
}

impl<'t> Excerpts<'t> {
    fn new(text: &'t str) -> Excerpts<'t> {
        Excerpts {
            text,
            rest: Lines(Some(text)),
            last: (0, None),
        }
    }

    fn line(&mut self, number: u32) -> Option<&'t str> {
        if number < self.last.0 {
            *self = Excerpts::new(self.text);
        }
        if number > self.last.0 {
            let between = number - self.last.0 - 1;
            self.last = (number, self.rest.nth(between as usize));
        }
        self.last.1
    }
}

fn write_finding(
    f: &mut fmt::Formatter<'_>,
    finding: &Finding,
    sources: &Sources,
    excerpts: &mut [Excerpts<'_>],
) -> fmt::Result {
    let level = finding.rule.level().name();
    let message = escaped(&finding.message);
    match finding.spot {
        Some(spot) if spot.line > 0 => {
            let path = sources.path(spot);
            writeln!(f, "{path}:{}:{}: {level}: {message}", spot.line, spot.column)?;
            let line = excerpts
                .get_mut(usize::from(spot.file))
                .and_then(|file| file.line(spot.line));
            if let Some(line) = line.filter(|line| !line.trim().is_empty()) {
                let excerpt = Excerpt {
                    margin: &spot.line.to_string(),
                    line,
                    start: (spot.column as usize).saturating_sub(1),
                    len: spot.len as usize,
                };
                write!(f, "{excerpt}")?;
            }
        }
        Some(spot) => writeln!(f, "{}: {level}: {message}", sources.path(spot))?,
        None => writeln!(f, "{level}: {message}")?,
    }
    match &finding.hint {
        Some(hint) => writeln!(f, "hint: {}", escaped(hint)),
        None => Ok(()),
    }
}

/// A text's lines, which end as YAML's do; what is still to come.
struct Lines<'t>(Option<&'t str>);

impl<'t> Iterator for Lines<'t> {
    type Item = &'t str;

    fn next(&mut self) -> Option<&'t str> {
        let text = self.0?;
        let Some(end) = text.find(['\n', '\r']) else {
            return self.0.take();
        };
        let after = &text[end..];
        self.0 = Some(after.strip_prefix("\r\n").unwrap_or(&after[1..]));
        Some(&text[..end])
    }
}
