//! From a file's bytes to its tree, within limits, and what can be wrong with it before it means anything.

use crate::setlist::node::Node;
use crate::setlist::{Finding, Rule, Spot};
use serde_yaml::options::{DuplicateKeyPolicy, NonFiniteFloatPolicy};
use serde_yaml::{Error, Options};

/// The largest file that is read: more than any set, little enough to be read at once.
pub(super) const MOST_BYTES: usize = 16 << 20;
/// Values in a file: a file of 16 MiB can hold about so many.
const MOST_VALUES: usize = 8_000_000;
/// Levels within one another: a set has seven.
const MOST_LEVELS: usize = 32;

/// The file's tree.
///
/// # Errors
/// The one fault that makes it no YAML.
pub(super) fn read(bytes: &[u8], file: u16) -> Result<(String, Node), Box<Finding>> {
    let fault = |spot, message: &str, hint: Option<&str>| Box::new(finding(file, spot, message, hint));
    if bytes.len() > MOST_BYTES {
        return Err(fault(
            None,
            "this file is larger than 16 MiB",
            Some("A set holds text alone: is this the right file?"),
        ));
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.trim_start_matches('\u{feff}').to_owned(),
        Err(error) => {
            let before = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
            let place = end_of(&before);
            let byte = bytes[error.valid_up_to()];
            let message = format!("the byte `{byte:02X}` is not UTF-8");
            return Err(fault(Some(place), &message, Some("Save the file as UTF-8.")));
        }
    };
    let mut node = parse(&text).map_err(|error| Box::new(worded(&error, &text, file)))?;
    node.take_text(&text);
    Ok((text, node))
}

fn parse(text: &str) -> Result<Node, Error> {
    serde_yaml::from_str_with_options(text, options())
}

fn options() -> Options {
    serde_yaml::options! {
        budget: serde_yaml::budget! {
            max_events: 4 * MOST_VALUES,
            max_nodes: MOST_VALUES,
            max_depth: MOST_LEVELS,
            max_total_scalar_bytes: 2 * MOST_BYTES,
        },
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        non_finite_float_policy: NonFiniteFloatPolicy::default(),
        strict_booleans: true,
        with_snippet: false,
    }
}

/// What the YAML library found, in our words and at its place.
fn worded(error: &Error, text: &str, file: u16) -> Finding {
    let place = error
        .location()
        .map(|location| (location.line() as u32, location.column() as u32));
    let line = place
        .and_then(|(line, _)| text.lines().nth((line as usize).saturating_sub(1)))
        .unwrap_or_default();
    if text.trim().is_empty() || matches!(error, Error::Eof { .. }) && text.lines().all(is_blank) {
        return finding(file, None, "this file is empty", None);
    }
    let (message, hint) = match error {
        Error::MultipleDocuments { .. } => (
            "a second document begins here (`---`)".to_owned(),
            Some("One file holds one document."),
        ),
        Error::UnknownAnchor { .. } => (
            "this alias (`*`) has no anchor (`&`) before it".to_owned(),
            QUOTES_IF_CHORDS,
        ),
        Error::Budget { .. } | Error::AliasReplayLimitExceeded { .. } | Error::AliasExpansionLimitExceeded { .. } => (
            "too much is nested or repeated in this file".to_owned(),
            Some("A set needs no more than eight levels, and few aliases."),
        ),
        _ if unquoted_chords(line) => ("this chord line is not read as text".to_owned(), QUOTES),
        _ if line.contains('\t') && line.trim_start_matches(' ').starts_with('\t') => (
            "this line is indented with a tab".to_owned(),
            Some("YAML wants blanks there."),
        ),
        _ => (format!("this is not YAML: {}", plain(error)), None),
    };
    finding(file, place, &message, hint)
}

const QUOTES: Option<&str> = Some("Put the chords in quotes, like `chords: \"| 1 | 4 |\"`.");
const QUOTES_IF_CHORDS: Option<&str> = Some("If these are chords, put them in quotes.");

/// The library's own words without its place, which stands before them already.
fn plain(error: &Error) -> String {
    let text = error.without_snippet().to_string();
    let text = text.lines().next().unwrap_or_default();
    let cut = text.find(" at line ").unwrap_or(text.len());
    let start = text.strip_prefix("error: ").map_or(0, |rest| text.len() - rest.len());
    text[start.min(cut)..cut].trim_end_matches('.').to_lowercase()
}

/// Whether a line gives chords that begin with one of YAML's own signs and are not in quotes.
fn unquoted_chords(line: &str) -> bool {
    let Some((_, value)) = line.split_once("chords:") else {
        return false;
    };
    value
        .trim_start()
        .starts_with(['|', '%', '-', '*', '&', '[', '>', '@', '`'])
}

fn is_blank(line: &str) -> bool {
    let line = line.trim();
    line.is_empty() || line.starts_with('#') || line == "---"
}

fn end_of(text: &str) -> (u32, u32) {
    let line = text.matches('\n').count() as u32 + 1;
    let column = text.rsplit('\n').next().unwrap_or_default().chars().count() as u32 + 1;
    (line, column)
}

fn finding(file: u16, place: Option<(u32, u32)>, message: &str, hint: Option<&str>) -> Finding {
    let (line, column) = place.unwrap_or((1, 1));
    Finding {
        rule: Rule::Format,
        spot: Some(Spot {
            file,
            line,
            column,
            len: 1,
        }),
        song: None,
        section: None,
        message: message.into(),
        hint: hint.map(str::to_owned),
    }
}
