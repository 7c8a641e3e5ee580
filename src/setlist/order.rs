//! The order in which a song's sections are played: `Verse`, `Chorus x2`.

use crate::setlist::sections::Names;
use crate::setlist::set::Section;
use crate::setlist::syntax::cut;
use crate::setlist::walk::{Given, Walk};

/// Steps in one song: hours of music, in bounded memory.
const MOST_STEPS: usize = 10_000;

/// The steps, as places in `sections`. Where not all of the song could be read, unknown names are none of its faults.
pub(super) fn read_order(
    walk: &mut Walk,
    given: Given<'_>,
    sections: &[Section],
    partial: bool,
    room: &mut usize,
) -> Vec<usize> {
    let names = Names::new(sections.iter().map(|section| section.name.as_str()));
    let items = walk.items(given);
    let mut steps = Vec::with_capacity(items.len().min(MOST_STEPS));
    let mut full = false;
    for at in items {
        let Some(text) = walk.text(Given { at, ..given }) else {
            continue;
        };
        // A section may be called `Turn x2`.
        let whole = names.find(&text).map(|place| (place, 1));
        let parted = || times(&text);
        let Some((place, times)) =
            whole.or_else(|| parted().and_then(|(name, times)| Some((names.find(name)?, times))))
        else {
            if !partial {
                let name = parted().map_or(&*text, |(name, _)| name);
                match meant_times(&text, &names) {
                    Some(meant) => {
                        let hint = format!("How many times a section comes is written `{} x2`.", cut(meant));
                        names.unknown_but(walk, at, name, Some(hint));
                    }
                    None => names.unknown(walk, at, name),
                }
            }
            continue;
        };
        if times == 0 {
            let hint = "After `x` stands 1 or more.";
            walk.wrong(at, format!("`{}` plays nothing", cut(&text)), Some(hint.into()));
        } else if full {
            // Said already; the names that follow are still looked at.
        } else if times > MOST_STEPS - steps.len() {
            walk.wrong(at, format!("a song has {MOST_STEPS} steps at most"), None);
            full = true;
        } else if times > *room {
            walk.wrong(at, "this set has more steps than can be read".into(), None);
            full = true;
        } else {
            *room -= times;
            steps.extend(std::iter::repeat_n(place, times));
        }
    }
    steps
}

/// `NAME xN`, parted; a number too large to hold is one too large to play.
fn times(text: &str) -> Option<(&str, usize)> {
    let (name, count) = text.rsplit_once(' ')?;
    let count = count.strip_prefix('x')?;
    let is_number = !count.is_empty() && count.bytes().all(|byte| byte.is_ascii_digit());
    is_number.then(|| (name, count.parse().unwrap_or(usize::MAX)))
}

/// The section that `Verse x 2`, `2x Verse` or `Verse (x2)` mean to play more than once.
fn meant_times<'t>(text: &'t str, names: &Names<'_>) -> Option<&'t str> {
    let counting = |letter: char| letter.is_ascii_digit() || "xX×*() ".contains(letter);
    let counts = text.contains(|letter: char| letter.is_ascii_digit());
    let name = text.trim_matches(counting);
    (counts && names.find(name).is_some()).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::times;

    #[test]
    fn a_count_stands_after_a_blank_and_an_x() {
        for (text, wanted) in [
            ("Chorus x2", Some(("Chorus", 2))),
            ("Turn 2 x4", Some(("Turn 2", 4))),
            ("Chorus x0", Some(("Chorus", 0))),
            ("Chorus x99999999999999999999999", Some(("Chorus", usize::MAX))),
            ("Chorus", None),
            ("Chorus2", None),
            ("Chorusx2", None),
            ("Chorus x", None),
            ("Chorus x-1", None),
            ("Chorus x2 x", None),
            ("x2", None),
        ] {
            assert_eq!(times(text), wanted, "{text}");
        }
    }
}
