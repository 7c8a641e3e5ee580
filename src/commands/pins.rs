//! Writing the plan into a set file as pins, so that not one other byte of it changes.

use super::Trouble;
use super::load::Files;
use super::replace::replace;
use crate::music::Fret;
use crate::plan::{Planned, solve};
use crate::setlist::{self, SongId};
use std::fs;
use std::io;
use std::path::Path;

/// Pins every player's planned fret in every song of the set file; a second time there is nothing to change. Whether
/// the file was changed.
///
/// # Errors
/// A sentence that says why nothing was written, and where it helps the lines to write by hand.
pub(super) fn write(files: &Files, planned: &Planned) -> Result<bool, Trouble> {
    let set = files.set.as_path();
    if planned.set.players.iter().any(|player| player.name.is_empty()) {
        let why = "a pin needs a name, and this set names no players";
        let hint = "List them in the set under `players`, or give yours in a player file.";
        return Err(Trouble::with(set.display(), why).hint(hint));
    }
    let failed = |error: io::Error| {
        let why = format!("the pins could not be written: {error}");
        Trouble::with(set.display(), why).hint("Nothing was changed.")
    };
    let real = fs::canonicalize(set).map_err(failed)?;
    let old = fs::read_to_string(&real).map_err(failed)?;
    let new = setlist::with_pins(&old, &planned.set, |song, player| planned.plan.fret(song, player))
        .filter(|new| says_the_same(files, new, planned))
        .ok_or_else(|| by_hand(set, planned))?;
    if new == old {
        return Ok(false);
    }
    replace(&real, new.as_bytes()).map_err(failed)?;
    Ok(true)
}

/// Whether the set with its pins reads as the set that was planned, with the same plan, and now pinned whole.
fn says_the_same(files: &Files, text: &str, planned: &Planned) -> bool {
    let Ok(reading) = setlist::read_as(&files.set, text, files.player().as_deref()) else {
        return false;
    };
    let all_pinned = reading
        .set
        .songs()
        .iter()
        .all(|song| song.pins.iter().all(Option::is_some));
    all_pinned
        && setlist::same_but_for_pins(&reading.set, &planned.set)
        && solve(&reading.set).is_ok_and(|plan| plan == planned.plan)
}

fn by_hand(set: &Path, planned: &Planned) -> Trouble {
    let fret = |song: SongId, player: usize| -> Fret { planned.plan.fret(song, player) };
    let lines = planned.set.song_ids().map(|id| {
        let title = &planned.set.song(id).title;
        format!(
            "  {} {title}\n    {}\n",
            id.number(),
            setlist::pin_line(&planned.set, id, fret)
        )
    });
    let why = "the pins cannot be written into this file so that nothing else in it changes";
    let hint = "Nothing was changed. Anchors and aliases are one reason. To pin the plan, write these by hand:";
    Trouble::with(set.display(), why)
        .hint(hint)
        .and(&lines.collect::<String>())
}
