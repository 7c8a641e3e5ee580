//! A line of a leader's list in its parts, and what stands before them: a bullet, a number.

/// A part of a line, in the bytes of the line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) from: usize,
    /// Past a closing bracket or quotation mark.
    pub(super) end: usize,
    /// Without brackets and quotation marks.
    pub(super) text: String,
    pub(super) before: Before,
    pub(super) is_quoted: bool,
}

/// What parts a part from the one before it, the strongest of what stands there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Before {
    /// The start of the line, or the end of a quotation or of brackets.
    Nothing,
    Dash,
    /// A comma with a blank after it.
    Comma,
    Bracket,
    /// A comma without a blank after it, as between the columns of a table.
    TightComma,
    /// A tab, two blanks, a stroke, a semicolon, a picture.
    Wide,
}

/// A line without what numbers it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Marked<'t> {
    /// Blanks before it.
    pub(super) indent: usize,
    pub(super) has_bullet: bool,
    pub(super) number: Option<Number<'t>>,
    /// Without bullet and sure number, but with a number that may belong to the title.
    pub(super) rest: &'t str,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Number<'t> {
    /// `3.`, `3)`, `#3`, `c)`.
    Sure,
    /// `3`, or `(72)`, and the line without it.
    Perhaps(u32, &'t str),
}

/// Takes bullet and number off a line.
pub(super) fn marked(line: &str) -> Marked<'_> {
    let mut rest = line.trim_start_matches(is_blank);
    let indent = line[..line.len() - rest.len()].chars().count();
    let mut has_bullet = false;
    while let Some(after) = bullet(rest) {
        has_bullet |= !rest.starts_with('>');
        rest = after;
    }
    let (number, rest) = match sure_number(rest).or_else(|| lettered(rest)) {
        Some(after) => (Some(Number::Sure), after),
        None => (perhaps_number(rest), rest),
    };
    Marked {
        indent,
        has_bullet,
        number,
        rest,
    }
}

fn bullet(text: &str) -> Option<&str> {
    for boxed in ["[ ]", "[x]", "[X]", "[]"] {
        if let Some(rest) = text.strip_prefix(boxed) {
            return Some(rest.trim_start_matches(is_blank));
        }
    }
    let first = text.chars().next()?;
    let rest = &text[first.len_utf8()..];
    let is_mark = "-*+–—•·>".contains(first) && rest.starts_with(is_blank) || is_picture(first);
    is_mark.then(|| rest.trim_start_matches(|letter| is_blank(letter) || is_joint(letter)))
}

/// From here on `(72)` at the front of a line is sooner a tempo than a place in a list.
const PERHAPS_A_TEMPO: u32 = 40;

fn sure_number(text: &str) -> Option<&str> {
    let hashed = text.strip_prefix('#').or_else(|| text.strip_prefix("No. "));
    let open = text.strip_prefix('(');
    let digits = hashed.or(open).unwrap_or(text);
    let rest = digits.trim_start_matches(|digit: char| digit.is_ascii_digit());
    let count = digits.len() - rest.len();
    let rest = rest.trim_start_matches('\u{fe0f}');
    let after = match rest.chars().next() {
        Some(')') => &rest[1..],
        Some('.' | ':') if open.is_none() => &rest[1..],
        Some('\u{20e3}') => &rest['\u{20e3}'.len_utf8()..],
        Some(letter) if is_blank(letter) && hashed.is_some() => rest,
        _ => return None,
    };
    let is_number = (1..=3).contains(&count) && !after.starts_with(|next: char| next.is_ascii_digit());
    let is_tempo = || {
        digits[..count]
            .parse()
            .is_ok_and(|number: u32| number >= PERHAPS_A_TEMPO)
    };
    (is_number && !(open.is_some() && is_tempo())).then(|| after.trim_start_matches(is_blank))
}

/// `a) ` counts as a number does: a key in brackets has both of them.
fn lettered(text: &str) -> Option<&str> {
    let rest = text.strip_prefix(|letter: char| letter.is_ascii_alphabetic())?;
    let after = rest.strip_prefix(')')?;
    after.starts_with(is_blank).then(|| after.trim_start_matches(is_blank))
}

fn perhaps_number(text: &str) -> Option<Number<'_>> {
    let digits = text.strip_prefix('(').unwrap_or(text);
    let rest = digits.trim_start_matches(|digit: char| digit.is_ascii_digit());
    let number = digits[..digits.len() - rest.len()].parse().ok()?;
    let rest = match digits.len() < text.len() {
        true => rest.strip_prefix(')').filter(|after| after.starts_with(is_blank))?,
        false => rest,
    };
    let after = rest.trim_start_matches(|letter| is_blank(letter) || "-–—,;|".contains(letter));
    (after.len() < rest.len() && !after.is_empty()).then_some(Number::Perhaps(number, after))
}

/// The parts of a line, none of them blank.
pub(super) fn parts(line: &str) -> Vec<Part> {
    let mut parts = Vec::new();
    let mut at = 0;
    let mut before = Before::Nothing;
    while at < line.len() {
        if let Some((found, len)) = parting(line, at) {
            before = before.max(found);
            at += len;
            continue;
        }
        let part = quotation(line, at, before).unwrap_or_else(|| plain(line, at, before));
        at = part.end;
        if !part.text.is_empty() {
            parts.push(part);
            before = Before::Nothing;
        }
    }
    parts
}

/// From a quotation mark to its fellow, where there is one; a mark doubled is one of the text.
fn quotation(line: &str, from: usize, before: Before) -> Option<Part> {
    let open = line[from..].chars().next()?;
    let close = match open {
        '"' => '"',
        '“' | '„' => '”',
        _ => return None,
    };
    let inside = &line[from + open.len_utf8()..];
    let mut text = String::new();
    let mut letters = inside.char_indices().peekable();
    while let Some((at, letter)) = letters.next() {
        let is_double = letter == '"' && letters.peek().is_some_and(|&(_, next)| next == '"');
        if letter == close && !is_double {
            let end = from + open.len_utf8() + at + close.len_utf8();
            let text = text.trim().to_owned();
            return Some(Part {
                from,
                end,
                text,
                before,
                is_quoted: true,
            });
        }
        text.push(letter);
        if is_double {
            letters.next();
        }
    }
    None
}

/// Up to whatever parts it from the next.
fn plain(line: &str, from: usize, before: Before) -> Part {
    let ends = |at: usize| parting(line, at).is_some_and(|(found, _)| found != Before::Nothing);
    let after = line[from..].char_indices().skip(1).map(|(at, _)| from + at);
    let mut end = after.into_iter().find(|&at| ends(at)).unwrap_or(line.len());
    let text = line[from..end].trim_matches(is_blank).to_owned();
    if matches!(line[end..].chars().next(), Some(')' | ']' | '}')) && before == Before::Bracket {
        end += 1;
    }
    Part {
        from,
        end,
        text,
        before,
        is_quoted: false,
    }
}

/// What stands at `at` where that is nothing of a part, and how many bytes it takes.
fn parting(line: &str, at: usize) -> Option<(Before, usize)> {
    let letter = line[at..].chars().next()?;
    let len = letter.len_utf8();
    let last = line[..at].chars().next_back();
    let next = line[at + len..].chars().next();
    let blank_before = last.is_none_or(is_blank);
    let blank_after = next.is_some_and(is_blank);
    let found = match letter {
        '\t' | '|' | ';' | '·' | '•' => Before::Wide,
        letter if is_blank(letter) && (blank_after || last == Some(' ')) => Before::Wide,
        letter if is_blank(letter) => Before::Nothing,
        ',' if next.is_none() || blank_after => Before::Comma,
        ',' => Before::TightComma,
        '(' | '[' | '{' => Before::Bracket,
        ')' | ']' | '}' => Before::Bracket,
        '—' | '–' => Before::Dash,
        '-' | '−' if next != Some('>') && (blank_before || blank_after) => Before::Dash,
        '-' if next == Some('-') => Before::Dash,
        '/' if blank_before && blank_after => Before::Dash,
        letter if is_picture(letter) || is_joint(letter) => Before::Wide,
        _ => return None,
    };
    Some((found, len))
}

/// Takes the links out of a line; each leaves a gap that parts what stands before it from what comes after.
pub(super) fn without_links(line: &str) -> (String, Vec<String>) {
    let (mut rest, mut kept, mut links) = (line, String::new(), Vec::new());
    while let Some(at) = LINKS.iter().filter_map(|begin| rest.find(begin)).min() {
        let (before, link) = rest.split_at(at);
        let ends = |letter: char| is_blank(letter) || ")]>\"".contains(letter);
        let (link, after) = link.split_at(link.find(ends).unwrap_or(link.len()));
        kept += before;
        kept.push('\t');
        links.push(link.to_owned());
        rest = after;
    }
    (kept + rest, links)
}

const LINKS: [&str; 3] = ["http://", "https://", "www."];

fn is_blank(letter: char) -> bool {
    letter.is_whitespace()
}

/// What joins or varies pictures and keeps no room of its own.
fn is_joint(letter: char) -> bool {
    matches!(letter, '\u{fe0f}' | '\u{200d}' | '\u{20e3}')
}

/// Little pictures and marks, but not the signs of music that a key or a tempo is written with.
///
/// Source: the names of Unicode's blocks (technical, shapes, symbols, dingbats, arrows, pictographs), from memory.
fn is_picture(letter: char) -> bool {
    matches!(letter,
        '\u{2300}'..='\u{23ff}' | '\u{25a0}'..='\u{2668}' | '♪' | '♫' | '♬' | '\u{2670}'..='\u{27bf}'
        | '\u{2b00}'..='\u{2bff}' | '\u{1f000}'..='\u{1faff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bullets_and_numbers_are_told_from_titles() {
        for (line, number, rest) in [
            ("1. Lamps", Some(Number::Sure), "Lamps"),
            ("  2) Lamps", Some(Number::Sure), "Lamps"),
            ("(3) Lamps", Some(Number::Sure), "Lamps"),
            ("#4 Lamps", Some(Number::Sure), "Lamps"),
            ("5\u{fe0f}\u{20e3} Lamps", Some(Number::Sure), "Lamps"),
            ("- 6. Lamps", Some(Number::Sure), "Lamps"),
            ("- [x] Lamps", None, "Lamps"),
            ("🎸 Lamps", None, "Lamps"),
            ("7 Lamps", Some(Number::Perhaps(7, "Lamps")), "7 Lamps"),
            ("08 - Lamps", Some(Number::Perhaps(8, "Lamps")), "08 - Lamps"),
            ("c) Lamps", Some(Number::Sure), "Lamps"),
            ("(C) Lamps", None, "(C) Lamps"),
            ("(72) Lamps", Some(Number::Perhaps(72, "Lamps")), "(72) Lamps"),
            ("(72)", None, "(72)"),
            ("7th Lamp", None, "7th Lamp"),
            ("4/4 Lamps", None, "4/4 Lamps"),
            ("1.5 Lamps", None, "1.5 Lamps"),
            ("72", None, "72"),
        ] {
            let found = marked(line);
            assert_eq!((found.number, found.rest), (number, rest), "{line}");
        }
    }

    #[test]
    fn links_are_taken_out() {
        let (rest, links) = without_links("Lamps (https://example.org/a-b,c) www.example.org G");
        assert_eq!((rest.as_str(), links.len()), ("Lamps (\t) \t G", 2));
        assert_eq!(links, ["https://example.org/a-b,c", "www.example.org"]);
    }

    #[test]
    fn a_line_comes_apart_at_what_parts_it() {
        for (line, wanted) in [
            ("Lamps - Bb - 72", "Lamps|Bb|72"),
            ("Lamps – Bb—72", "Lamps|Bb|72"),
            ("Well-Kept Lamps (Bb, 72) 4/4", "Well-Kept Lamps|Bb|72|4/4"),
            ("Bb  Lamps", "Bb|Lamps"),
            ("\"Lamps, seven\",C,\"say \"\"when\"\"\"", "Lamps, seven|C|say \"when\""),
            ("“Lamps” in Bb", "Lamps|in Bb"),
            ("Lamps 🎸 Bb 🥁 72", "Lamps|Bb|72"),
            ("Lamps Bb -> C", "Lamps Bb -> C"),
            (" - ", ""),
        ] {
            let texts: Vec<String> = parts(line).into_iter().map(|part| part.text).collect();
            assert_eq!(texts.join("|"), wanted, "{line}");
        }
    }
}
