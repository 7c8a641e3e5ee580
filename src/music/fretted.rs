//! Six frets as a player writes them: `x32010`, low string first.

use crate::music::SymbolError;
use crate::music::hand::STRINGS;
use crate::music::symbol::shown;

/// The neck of a guitar ends here.
const HIGHEST: u8 = 24;
/// Stand between frets of two figures.
const BETWEEN: [char; 3] = ['-', ',', ' '];
const HINT: &str = "Six strings, low string first: `0` is open, `x` does not sound, like `x32010`.";

/// Reads six frets from the low string up, -1 for a muted one: a figure or `x` each, or parted by dashes, commas or
/// blanks where one has two figures, like `x-10-12-12-11-10`.
///
/// # Errors
/// Points at the first character that cannot be read.
pub fn parse_frets(text: &str) -> Result<[i8; STRINGS], SymbolError> {
    let mut frets = [-1; STRINGS];
    let mut parts = parts(text);
    for (string, fret) in frets.iter_mut().enumerate() {
        let Some((at, part)) = parts.next() else {
            let message = match string {
                0 => "there are no frets here".into(),
                1 => "a fret is missing here: six strings need six frets, and this is one".into(),
                _ => format!("a fret is missing here: six strings need six frets, and these are {string}"),
            };
            return Err(error(text.trim_end().chars().count(), 1, message));
        };
        *fret = read(at, part)?;
    }
    match parts.next() {
        Some((at, part)) => Err(error(
            at,
            part.chars().count(),
            format!("`{}` is one fret too many", shown(part)),
        )),
        None => Ok(frets),
    }
}

/// Where a string's fret stands in such a text: its first character and how many it has.
pub fn place_of_fret(text: &str, string: usize) -> (usize, usize) {
    let found = parts(text).nth(string);
    found.map_or((0, 1), |(at, part)| (at, part.chars().count()))
}

/// Each string's part, with its place in characters.
fn parts(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let parted = text.trim().contains(BETWEEN);
    let ends = move |char: char| !parted || BETWEEN.contains(&char);
    let mut rest = text;
    let mut at = 0;
    std::iter::from_fn(move || {
        let start = rest.trim_start_matches(BETWEEN);
        at += rest[..rest.len() - start.len()].chars().count();
        let end = start.char_indices().skip(1).find(|&(_, char)| ends(char));
        // Alone, a figure ends where the next one begins.
        let (part, after) = start.split_at(end.map_or(start.len(), |(end, _)| end));
        let found = (at, part);
        at += part.chars().count();
        rest = after;
        (!part.is_empty()).then_some(found)
    })
}

fn read(at: usize, part: &str) -> Result<i8, SymbolError> {
    if part.eq_ignore_ascii_case("x") {
        return Ok(-1);
    }
    let wrong = part.char_indices().find(|(_, char)| !char.is_ascii_digit());
    if let Some((before, char)) = wrong {
        let at = at + part[..before].chars().count();
        return Err(error(at, 1, format!("`{}` is no fret", shown(&char.to_string()))));
    }
    match part.parse::<u8>() {
        Ok(fret) if fret <= HIGHEST => Ok(fret as i8),
        _ => {
            let message = format!("`{}` is above the last fret, {HIGHEST}", shown(part));
            Err(error(at, part.chars().count(), message))
        }
    }
}

fn error(at: usize, len: usize, message: String) -> SymbolError {
    SymbolError {
        at,
        len,
        message,
        hint: Some(HINT.into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn frets_are_read_from_the_low_string_up() {
        for (text, frets) in [
            ("x32010", [-1, 3, 2, 0, 1, 0]),
            ("X02220", [-1, 0, 2, 2, 2, 0]),
            (" 577655 ", [5, 7, 7, 6, 5, 5]),
            ("x-10-12-12-11-10", [-1, 10, 12, 12, 11, 10]),
            ("x, 3, 2, 0, 1, 0", [-1, 3, 2, 0, 1, 0]),
            ("x 3 2 0 1 0", [-1, 3, 2, 0, 1, 0]),
        ] {
            assert_eq!(parse_frets(text), Ok(frets), "{text}");
        }
        assert_eq!(place_of_fret("x32010", 5), (5, 1));
        assert_eq!(place_of_fret("x-10-12-12-11-10", 2), (5, 2));
    }

    #[test]
    fn an_error_points_at_the_character() {
        for (text, at, len, message) in [
            ("", 0, 1, "there are no frets here"),
            (
                "x",
                1,
                1,
                "a fret is missing here: six strings need six frets, and this is one",
            ),
            (
                "x3201",
                5,
                1,
                "a fret is missing here: six strings need six frets, and these are 5",
            ),
            ("x320100", 6, 1, "`0` is one fret too many"),
            ("x3x0z0", 4, 1, "`z` is no fret"),
            ("x♭3210", 1, 1, "`♭` is no fret"),
            (
                "x-3-2-0-1",
                9,
                1,
                "a fret is missing here: six strings need six frets, and these are 5",
            ),
            ("x-3-25-0-1-0", 4, 2, "`25` is above the last fret, 24"),
            ("x-3-2o-0-1-0", 5, 1, "`o` is no fret"),
            ("x-3-2-0-1-0-12", 12, 2, "`12` is one fret too many"),
        ] {
            let found = parse_frets(text).unwrap_err();
            assert_eq!((found.at, found.len, &*found.message), (at, len, message), "{text}");
        }
        let long = parse_frets(&"9".repeat(1 << 20)).unwrap_err();
        assert_eq!(long.message, "`9` is one fret too many");
        let long = parse_frets(&format!("{} 1", "9".repeat(1 << 20))).unwrap_err();
        assert_eq!(
            long.message,
            format!("`{}…` is above the last fret, 24", "9".repeat(24))
        );
    }
}
