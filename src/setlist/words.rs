//! The words that messages share: near names, lists of names, and what was found.

use crate::setlist::syntax::cut;
use crate::setlist::tree::{At, Is};

/// A name longer than this is nobody's slip of the finger.
const LONGEST: usize = 100;

/// The nearest of the names, at most a third of its letters away.
pub(super) fn near<'n>(text: &str, names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    if text.len() > LONGEST {
        return None;
    }
    let lower = text.to_lowercase();
    let distances = names
        .into_iter()
        .filter(|name| name.len() <= LONGEST)
        .map(|name| (strsim::osa_distance(&lower, &name.to_lowercase()), name));
    distances
        .filter(|(distance, name)| distance * 3 <= name.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// The hint for a name that is not there: a near one, or all that there are.
pub(super) fn did_you_mean<'n>(text: &str, names: impl Iterator<Item = &'n str> + Clone) -> Option<String> {
    const MOST: usize = 12;
    let count = names.clone().count();
    match near(text, names.clone()) {
        Some(near) => Some(format!("Did you mean `{}`?", cut(near))),
        None if count == 1 => Some(format!("There is {} alone.", list(names))),
        None if (1..=MOST).contains(&count) => Some(format!("There are {}.", list(names))),
        None => None,
    }
}

/// `a`, `a` and `b`.
pub(super) fn list<'n>(names: impl Iterator<Item = &'n str>) -> String {
    joined(names, "and")
}

/// `a` or `b`.
pub(super) fn either(names: &[&str]) -> String {
    joined(names.iter().copied(), "or")
}

fn joined<'n>(names: impl Iterator<Item = &'n str>, by: &str) -> String {
    let names: Vec<String> = names.map(|name| format!("`{}`", cut(name))).collect();
    match &names[..] {
        [] => String::new(),
        [only] => only.clone(),
        [most @ .., last] => format!("{} {by} {last}", most.join(", ")),
    }
}

/// What a value is, in a guitarist's words.
pub(super) fn found(at: At<'_>) -> String {
    match at.is() {
        Is::Nothing => "nothing".into(),
        Is::Plain(text) | Is::Quoted(text) => format!("`{}`", cut(text)),
        Is::List => "a list".into(),
        Is::Group => "a group of fields".into(),
    }
}

/// Text for one line of a screen: what would move a terminal's cursor or change its colours is shown as unreadable, and
/// marks that take no room and change no letter are left out.
pub(super) fn one_line(text: &str) -> String {
    let seen = |letter: char| match letter {
        '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2060}' | '\u{feff}' => None,
        // What joins letters, or keeps them apart, is a part of how many scripts are written.
        '\u{200c}' | '\u{200d}' => Some(letter),
        letter if is_unseen(letter) => Some('\u{fffd}'),
        letter => Some(letter),
    };
    let words = text.split_whitespace();
    let words = words.map(|word| word.chars().filter_map(seen).collect::<String>());
    words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Control characters, and those that turn the direction of text round or take no room.
pub(super) fn is_unseen(letter: char) -> bool {
    let hidden = matches!(
        letter,
        '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}'
    );
    letter.is_control() || hidden
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_keeps_its_letters_and_nothing_that_steers() {
        for (text, line) in [
            (" Seven\tLamps\n", "Seven Lamps"),
            ("Lamps\u{1b}[2J", "Lamps\u{fffd}[2J"),
            ("\u{202e}Lamps", "\u{fffd}Lamps"),
            ("نمی\u{200c}دانم", "نمی\u{200c}دانم"),
            ("👨\u{200d}👩 ❤\u{fe0f}", "👨\u{200d}👩 ❤\u{fe0f}"),
            ("\u{feff}Sev\u{200b}en\u{200f} \u{200e} Lamps\u{2060}", "Seven Lamps"),
        ] {
            assert_eq!(one_line(text), line, "{text:?}");
        }
    }
}
