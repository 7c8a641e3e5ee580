//! What YAML itself asks of a file: where the scanner stops, said in our words; chords without their quotes; the core
//! schema's numbers and truth values.

use crate::setlist::{Finding, Spot};
use granit_parser::{ErrorKind, Marker, ScanError, Span};

/// Why a file cannot be read to its end.
pub(super) struct Broken {
    at: Marker,
    message: String,
    hint: Option<&'static str>,
}

/// A chord line that begins with one of YAML's own signs and has no quotes.
pub(super) struct BareChords {
    spot: Spot,
    /// In bytes.
    from: usize,
    to: usize,
    words: String,
    sign: char,
}

/// As much of what was found as a message shows.
const SHOWN: usize = 40;

const INDENT: Option<&str> = Some("Lines that belong together begin in the same column, indented with blanks.");
const NO_TABS: Option<&str> = Some("Indent with blanks, by the space bar and not the tab key.");
const COLON: Option<&str> = Some("Text with `: ` in it needs quotes; otherwise check how this line is indented.");
const COMMA: Option<&str> =
    Some("Members are parted by commas, and text with `,`, `[`, `{` or `: ` in it needs quotes.");

impl Broken {
    pub(super) fn scan(error: ScanError) -> Broken {
        let (message, hint) = worded(error.kind());
        Broken {
            at: *error.marker(),
            message,
            hint,
        }
    }

    pub(super) fn too_much(span: Span) -> Broken {
        Broken {
            at: span.start,
            message: "this file holds more than can be read".into(),
            hint: Some("An alias (`*`) counts as all that it stands for."),
        }
    }

    pub(super) fn second_document(span: Span) -> Broken {
        Broken {
            at: span.start,
            message: "a second document begins here".into(),
            hint: Some("A file holds one set, song or player."),
        }
    }

    /// In bytes.
    pub(super) fn at(&self) -> usize {
        self.at.byte_offset().unwrap_or(0)
    }

    /// `source` is what was scanned.
    pub(super) fn finding(self, file: u16, source: &str) -> Finding {
        // The scanner stops before the line that a tab begins.
        if self.hint == NO_TABS
            && let Some(tab) = source.get(self.at()..).and_then(|after| after.find('\t'))
        {
            let (lines, column) = lines_and_columns(&source[..self.at() + tab]);
            let spot = Spot {
                file,
                line: lines + 1,
                column: column + 1,
                len: 1,
            };
            return finding(spot, self.message, self.hint.map(str::to_owned));
        }
        finding(spot(file, self.at, 1), self.message, self.hint.map(str::to_owned))
    }
}

/// What the scanner found, as one clause, with a sentence that helps.
fn worded(kind: &ErrorKind) -> (String, Option<&'static str>) {
    let (message, hint) = match kind {
        ErrorKind::UnclosedFlowCollection { open } => return (format!("this `{open}` is never closed"), None),
        ErrorKind::MismatchedFlowCollectionEnd { open, close } => {
            return (format!("this `{open}` is closed by `{close}`"), None);
        }
        ErrorKind::UnexpectedCharacter { character } => {
            let message = format!("text cannot begin with `{}` here", character.escape_debug());
            return (message, Some("Put it in quotes."));
        }
        kind => layout(kind).or_else(|| text(kind)).unwrap_or((
            "this cannot be read as YAML",
            Some("Text with unusual signs needs quotes."),
        )),
    };
    (message.into(), hint)
}

type Words = (&'static str, Option<&'static str>);

/// What is wrong with how lines, brackets and signs stand.
fn layout(kind: &ErrorKind) -> Option<Words> {
    use ErrorKind as E;
    Some(match kind {
        E::TabNotAllowed
        | E::TabInBlockIndentation
        | E::TabInIndentation
        | E::TabAtBlockScalarStart
        | E::TabInPlainScalar => ("a tab stands where only blanks may", NO_TABS),
        E::MisplacedFlowCollectionEnd => ("this bracket closes nothing", Some("Text that holds it needs quotes.")),
        E::UnexpectedEofFlowSequence | E::UnexpectedEofFlowMapping | E::UnexpectedEofImplicitFlowMapping => {
            ("the file ends before a bracket is closed", None)
        }
        E::UnexpectedEof | E::UnexpectedEofBlockSequence | E::UnexpectedEofBlockMapping => {
            ("the file ends in the middle", None)
        }
        E::ExpectedFlowMappingSeparator => ("`,` or `}` is missing here", COMMA),
        E::ExpectedFlowSequenceSeparator => ("`,` or `]` is missing here", COMMA),
        E::InvalidColonPlacement
        | E::MappingValueNotAllowed
        | E::InvalidMappingValueWhitespace
        | E::FlowMappingValueAdjacentCollection => ("a `:` stands where none may", COLON),
        E::SimpleKeyExpected | E::InvalidSimpleKey | E::ExpectedBlockMappingKey | E::MappingKeyNotAllowed => {
            ("this line should be a field like `name: value`", INDENT)
        }
        E::InvalidIndentation
        | E::InvalidQuotedScalarIndent
        | E::InvalidBlockScalarIndent
        | E::InvalidFlowScalarIndent
        | E::ExpectedBlockSequenceEntry => ("this line is indented unlike those around it", INDENT),
        E::BlockEntryInFlowCollection => (
            "a `-` stands inside brackets",
            Some("A `{` or `[` before it is not closed; text that begins with `-` needs quotes."),
        ),
        E::BlockSequenceEntryNotAllowed | E::InvalidBlockEntryWhitespace => (
            "a `-` cannot begin a member of a list here",
            Some("A list's members stand on lines of their own; text that begins with `-` needs quotes."),
        ),
        E::RecursionLimitExceeded => (
            "too much is nested here",
            Some("A set needs no more than eight levels."),
        ),
        E::BomInsideDocument => ("a byte order mark stands inside the file", None),
        E::UnsupportedYamlMajorVersion => ("this file says it is another YAML than 1.2", None),
        _ => return None,
    })
}

/// What is wrong with a text, most of which quotes mend.
fn text(kind: &ErrorKind) -> Option<Words> {
    use ErrorKind as E;
    Some(match kind {
        E::UnclosedQuotedScalar => ("these quotes are never closed", None),
        E::PlainScalarStartsWithDashFlowIndicator => ("this text cannot begin with `-`", Some("Put it in quotes.")),
        E::InvalidBlockScalarHeader | E::ZeroBlockScalarIndent => (
            "after this sign a text begins on the next line",
            Some("Text that begins with `|` or `>` needs quotes."),
        ),
        E::InvalidTrailingSingleQuotedScalar | E::InvalidTrailingDoubleQuotedScalar => (
            "something follows the closing quote",
            Some("Quotes go round the whole of a text; inside `'…'` a quote is written twice."),
        ),
        E::UnknownQuotedScalarEscape
        | E::InvalidQuotedScalarHexEscape
        | E::InvalidLowSurrogateHexEscape
        | E::InvalidLowSurrogate
        | E::MissingLowSurrogate
        | E::UnpairedLowSurrogate
        | E::InvalidUnicodeEscape => (
            "a `\\` in these quotes begins nothing that can be read",
            Some("Inside single quotes, `'…'`, a `\\` is only itself."),
        ),
        E::MissingAnchorOrAliasName => (
            "a name is missing after this sign",
            Some("Text that begins with `&` or `*` needs quotes."),
        ),
        E::CommentInterceptedScalar | E::CommentNotSeparated => (
            "a `#` makes a comment here that cuts a text in two",
            Some("Text with ` #` in it needs quotes."),
        ),
        E::DocumentIndicatorInQuotedScalar => ("a line of dashes or dots stands inside these quotes", None),
        E::UndeclaredTagHandle => (
            "this tag means nothing here",
            Some("Text that begins with `!` needs quotes."),
        ),
        _ => return None,
    })
}

impl BareChords {
    pub(super) fn finding(&self, file: u16) -> Finding {
        let message = format!("a chord line that begins with `{}` needs quotes", self.sign);
        let hint = format!("Put the chords in quotes: `chords: \"{}\"`.", cut(&self.words));
        finding(Spot { file, ..self.spot }, message, Some(hint))
    }

    /// The source with blanks and an empty text in the place of the chords, byte for byte as long; and what that does to
    /// the columns behind it, if anything.
    pub(super) fn mend(&self, source: &str) -> (String, Option<Mend>) {
        let mut mended = source.to_owned();
        let bytes = self.to - self.from;
        mended.replace_range(self.from..self.to, &format!("{:1$}", "''", bytes));
        let surplus = bytes as u32 - self.spot.len;
        let mend = Mend {
            line: self.spot.line,
            behind: self.spot.column + bytes as u32,
            surplus,
        };
        (mended, (surplus > 0).then_some(mend))
    }
}

/// Chords that were mended and have fewer signs than bytes: what stands behind them in their line was moved to the right.
pub(super) struct Mend {
    line: u32,
    /// From this column on.
    behind: u32,
    surplus: u32,
}

impl Mend {
    /// The column in the file of what stands in a column of the mended source.
    pub(super) fn column(mends: &[Mend], line: u32, column: u32) -> u32 {
        let before = mends.iter().filter(|mend| mend.line == line && mend.behind <= column);
        column - before.map(|mend| mend.surplus).sum::<u32>()
    }
}

/// The chord line without quotes that made the scanner stop at this byte, if that is what did.
pub(super) fn bare_chords(source: &str, at: usize) -> Option<BareChords> {
    const FIELD: &str = "chords:";
    let before = source.get(..at)?;
    let line_start = before.rfind(['\n', '\r']).map_or(0, |end| end + 1);
    let line_end = source[line_start..]
        .find(['\n', '\r'])
        .map_or(source.len(), |end| line_start + end);
    let line = &source[line_start..line_end];
    let field = line.get(..at - line_start)?.rfind(FIELD)?;
    let begin = field + FIELD.len();
    let value = line[begin..].trim_start();
    let from = line_start + line.len() - value.len();
    let sign = value.chars().next().filter(|sign| "|%-*&[>@`#".contains(*sign))?;
    // In a group on one line the chords end with it or with the next field.
    let grouped = line[..field].contains('{') || line[..field].trim_start().is_empty() && value.contains('}');
    let end = if grouped { value.find(['}', ',']) } else { None };
    let words = value[..end.unwrap_or(value.len())].trim_end();
    let to = from + words.len();
    (words.len() >= 2).then(|| BareChords {
        spot: Spot {
            file: 0,
            line: 1 + lines_and_columns(&source[..from]).0,
            column: 1 + line[..from - line_start].chars().count() as u32,
            len: words.chars().count() as u32,
        },
        from,
        to,
        words: words.to_owned(),
        sign,
    })
}

/// Line ends in a text, and the characters after the last one.
pub(super) fn lines_and_columns(text: &str) -> (u32, u32) {
    let mut lines = 0;
    let mut rest = text;
    while let Some(end) = rest.find(['\n', '\r']) {
        let after = &rest[end..];
        rest = after.strip_prefix("\r\n").unwrap_or(&after[1..]);
        lines += 1;
    }
    (lines, rest.chars().count() as u32)
}

/// From which byte to which of the source the text's character stands, where the source has the text over several lines
/// or with escapes; for one behind its end, or a blank, the place behind what comes before. None where source and text
/// differ by more.
pub(super) fn find_folded(source: &str, text: &str, chars: usize) -> Option<(usize, usize)> {
    let quote = source.chars().next().filter(|sign| matches!(sign, '"' | '\''));
    let mut at = quote.map_or(0, char::len_utf8);
    for (place, letter) in text.chars().enumerate() {
        if letter.is_whitespace() {
            match place == chars {
                true => return Some((at, at)),
                false => continue,
            }
        }
        let (sign, len) = loop {
            match next_sign(source.get(at..)?, quote)? {
                (Some(sign), len) if !sign.is_whitespace() => break (sign, len),
                (_, len) => at += len,
            }
        };
        if sign != letter {
            return None;
        }
        if place == chars {
            return Some((at, at + len));
        }
        at += len;
    }
    Some((at, at))
}

/// The first character that a quoted source stands for, none for a line's end that is escaped, and its length in bytes.
fn next_sign(source: &str, quote: Option<char>) -> Option<(Option<char>, usize)> {
    let mut signs = source.chars();
    let first = signs.next()?;
    let second = signs.next();
    let of_code = |digits: usize| {
        let code = source.get(2..2 + digits)?;
        let sign = char::from_u32(u32::from_str_radix(code, 16).ok()?)?;
        Some((Some(sign), 2 + digits))
    };
    match (quote, first, second) {
        (Some('\''), '\'', Some('\'')) => Some((Some('\''), 2)),
        (Some('"'), '\\', Some('x')) => of_code(2),
        (Some('"'), '\\', Some('u')) => of_code(4),
        (Some('"'), '\\', Some('U')) => of_code(8),
        (Some('"'), '\\', Some('\n' | '\r')) => Some((None, 2)),
        // Of the escapes by letter all but these are blanks, or nothing that a message points at.
        (Some('"'), '\\', Some(sign @ ('"' | '/' | '\\'))) => Some((Some(sign), 2)),
        (Some('"'), '\\', Some(sign)) => Some((Some(' '), 1 + sign.len_utf8())),
        _ => Some((Some(first), first.len_utf8())),
    }
}

/// How many characters a caret underlines: those of a scalar, up to the end of its first line.
pub(super) fn underlined(span: Span, source: &str) -> u32 {
    if span.start.line() == span.end.line() {
        return (span.end.index() - span.start.index()).max(1) as u32;
    }
    let text = span.slice(source).unwrap_or_default();
    let line = text.split(['\n', '\r']).next().unwrap_or_default();
    line.chars().count().max(1) as u32
}

pub(super) fn spot(file: u16, at: Marker, len: u32) -> Spot {
    Spot {
        file,
        line: at.line() as u32,
        column: at.col() as u32 + 1,
        len,
    }
}

pub(super) fn finding(spot: Spot, message: String, hint: Option<String>) -> Finding {
    Finding::format(Some(spot), message, hint)
}

/// What was found, short enough for a message.
pub(super) fn cut(text: &str) -> String {
    match text.char_indices().nth(SHOWN) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}
