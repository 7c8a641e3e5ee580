//! The time that a capo move takes, written into a player file's text, so that not one other byte of it changes.

use crate::setlist::edit::{Edit, Page, Style, edited, field, pairs};
use crate::setlist::tree::{At, Is};
use crate::setlist::{Player, Rig, Seconds, same_but_for_switches};

const NAME: &str = "seconds_to_move";

/// The player file's text with so many whole seconds to move the capo; none where the text is written in a way that
/// leaves no safe place for them. What comes back is to be read again before it is trusted.
pub fn with_seconds_to_move(text: &str, seconds: u32) -> Option<String> {
    edited(text, |page, root| match root {
        Some(root) => edit(page, root, seconds).map(|edit| vec![edit]),
        None => Some(vec![page.new_line(seconds)]),
    })
}

/// Whether a file read anew says what it said, but for these seconds to move the capo.
pub fn same_but_for_seconds(old: (&Player, &Rig), new: (&Player, &Rig), seconds: u32) -> bool {
    let timed = Seconds::new(seconds.into()).map(|seconds_to_move| Player {
        seconds_to_move,
        ..old.0.clone()
    });
    timed.is_some_and(|timed| same_but_for_switches((&timed, old.1), new, &[]))
}

fn edit(page: &Page<'_>, root: At<'_>, seconds: u32) -> Option<Edit> {
    let fields = pairs(root)?;
    let value = seconds.to_string();
    match field(&fields, NAME) {
        Some(&(key, old)) if matches!(old.is(), Is::Nothing) => page.behind(key, old, &value),
        Some(&(key, old)) => page.is_simple(key, old).then(|| {
            let (start, end) = old.bytes();
            Edit {
                at: start,
                removed: end - start,
                new: value,
            }
        }),
        None => match page.style(root, &fields)? {
            Style::Block { indent: 0 } => Some(page.new_line(seconds)),
            style => {
                let new = [format!("{NAME}: {value}")];
                fields.iter().rev().find_map(|last| page.add_after(style, last, &new))
            }
        },
    }
}

impl Page<'_> {
    fn new_line(&self, seconds: u32) -> Edit {
        let ending = self.first_ending();
        let begun = !self.text.is_empty() && !self.text.ends_with(['\n', '\r']);
        Edit {
            at: self.text.len(),
            removed: 0,
            new: format!("{}{NAME}: {seconds}{ending}", if begun { ending } else { "" }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_seconds_alone_change() {
        for (text, wanted) in [
            (
                "seconds_to_move: 10   # mine\nplayer: Wren\n",
                "seconds_to_move: 7   # mine\nplayer: Wren\n",
            ),
            ("player: Wren\r\n", "player: Wren\r\nseconds_to_move: 7\r\n"),
            ("player: Wren", "player: Wren\nseconds_to_move: 7\n"),
            ("", "seconds_to_move: 7\n"),
            ("# later\n", "# later\nseconds_to_move: 7\n"),
            ("seconds_to_move:\nplayer: Wren\n", "seconds_to_move: 7\nplayer: Wren\n"),
            ("{ player: Wren }\n", "{ player: Wren, seconds_to_move: 7 }\n"),
            (
                "{ seconds_to_move: 10, player: Wren }",
                "{ seconds_to_move: 7, player: Wren }",
            ),
        ] {
            assert_eq!(with_seconds_to_move(text, 7).as_deref(), Some(wanted), "{text}");
        }
    }
}
