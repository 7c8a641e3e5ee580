//! The order in which a song's sections are played: `Verse`, `Chorus x2`.

use crate::setlist::Rule;
use crate::setlist::set::Section;
use crate::setlist::song::find;
use crate::setlist::walk::{In, Walk, cut, near};

/// Steps in one song: hours of music, in bounded memory.
const MOST_STEPS: usize = 10_000;

/// The steps, as places in `sections`.
pub(super) fn read_order(walk: &mut Walk<'_>, at: In<'_>, sections: &[Section]) -> Vec<usize> {
    let mut steps = Vec::new();
    for entry in walk.items(at, "`order`") {
        let Some(text) = walk.name(entry, "a step") else {
            continue;
        };
        let names = sections.iter().map(|section| section.name.as_str());
        let found = find(names.clone(), text).map(|place| (place, 1));
        let found = found.or_else(|| {
            let (name, times) = times(text)?;
            find(names.clone(), name).map(|place| (place, times))
        });
        let Some((place, times)) = found else {
            let name = times(text).map_or(text, |(name, _)| name);
            let hint = near(name, names).map(|near| format!("Did you mean `{near}`?"));
            walk.fault(
                Rule::UnknownSection,
                entry.spot(),
                format!("this song has no section `{}`", cut(name)),
                hint,
            );
            continue;
        };
        if times == 0 || steps.len() + times > MOST_STEPS {
            let message = format!("`{}` is not 1 to {MOST_STEPS} steps in all", cut(text));
            walk.wrong(entry, message, None);
            continue;
        }
        steps.extend(std::iter::repeat_n(place, times));
    }
    steps
}

/// `NAME xN`, parted.
fn times(text: &str) -> Option<(&str, usize)> {
    let (name, count) = text.rsplit_once(char::is_whitespace)?;
    let count = count.strip_prefix(['x', 'X', '×'])?;
    (!count.is_empty() && count.bytes().all(|byte| byte.is_ascii_digit()))
        .then(|| (name.trim_end(), count.parse().unwrap_or(usize::MAX / 2)))
}

#[cfg(test)]
mod tests {
    use super::times;

    #[test]
    fn a_count_stands_after_a_blank_and_an_x() {
        for (text, wanted) in [
            ("Chorus x2", Some(("Chorus", 2))),
            ("Turn 2 x4", Some(("Turn 2", 4))),
            ("Half Chorus  ×3", Some(("Half Chorus", 3))),
            ("Chorus", None),
            ("Chorus2", None),
            ("Chorus x", None),
            ("x2", None),
        ] {
            assert_eq!(times(text), wanted, "{text}");
        }
    }
}
