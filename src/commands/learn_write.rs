//! Writing switches that were learned into the player's file, so that nothing else in it changes.

use super::Trouble;
use super::replace::put;
use crate::pedal::Bindings;
use crate::setlist::{NewSwitch, new_player_file, read_player_as, same_but_for_switches, switch_line, with_switches};
use std::fs;
use std::io;
use std::path::Path;

/// Adds the switches to the file's list; a file that is not there yet is made.
///
/// # Errors
/// A sentence that says why nothing was written, with the lines to write by hand.
pub(super) fn write(file: &Path, switches: &[NewSwitch]) -> Result<(), Trouble> {
    let failed = |error: io::Error| {
        let why = format!("the switches could not be written: {error}");
        by_hand(
            file,
            &why,
            "Nothing was changed. To bind them, write these by hand:",
            switches,
        )
    };
    if !file.exists() {
        let folder = file.parent().map_or(Ok(()), fs::create_dir_all);
        let text = new_player_file(switches);
        return folder.and_then(|()| put(file, text.as_bytes())).map_err(failed);
    }
    let old = fs::read_to_string(file).map_err(failed)?;
    let new = with_switches(&old, switches).filter(|new| says_the_same(file, &old, new, switches));
    let new = new.ok_or_else(|| {
        let why = "the switches cannot be written into this file so that nothing else in it changes";
        let hint = "Nothing was changed. Anchors and aliases are one reason. To bind them, write these by hand, under \
                    `pedals` and `switches`:";
        by_hand(file, why, hint, switches)
    })?;
    put(file, new.as_bytes()).map_err(failed)
}

/// Whether the new text reads as the old one does, with these switches more.
fn says_the_same(file: &Path, old: &str, new: &str, switches: &[NewSwitch]) -> bool {
    let (Ok((old_player, old_rig, _)), Ok((player, rig, _))) = (read_player_as(file, old), read_player_as(file, new))
    else {
        return false;
    };
    same_but_for_switches((&old_player, &old_rig), (&player, &rig), switches) && Bindings::read(&rig.pedals).is_ok()
}

fn by_hand(file: &Path, why: &str, hint: &str, switches: &[NewSwitch]) -> Trouble {
    let lines = switches.iter().map(|switch| format!("    - {}\n", switch_line(switch)));
    Trouble::with(file.display(), why)
        .hint(hint)
        .and(&lines.collect::<String>())
}
