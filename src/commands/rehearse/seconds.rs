//! Writing the time that capo moves take into the player's file, so that next week's plan knows it.

use super::super::Trouble;
use super::super::load::Files;
use super::super::replace::put;
use crate::setlist::{read_player_as, same_but_for_seconds, with_seconds_to_move};
use std::fs;
use std::io;
use std::path::Path;

/// Writes the whole seconds, and gives the words that say so; a file that is not there yet is made.
///
/// # Errors
/// A sentence that says why nothing was written, with the line to write by hand.
pub(super) fn write(files: &Files, seconds: u32) -> Result<String, Trouble> {
    let path = files.player_to_write().ok_or_else(|| {
        let hint = format!("Name one with --player FILE, or write by hand: seconds_to_move: {seconds}");
        Trouble::said("there is no place for a player file").hint(hint)
    })?;
    let failed = |why: String| {
        let hint = format!("Nothing was changed. To keep the time, write by hand: seconds_to_move: {seconds}");
        Trouble::with(path.display(), why).hint(hint)
    };
    let old = match fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => String::new(),
        Err(error) => return Err(failed(format!("the time could not be written: {error}"))),
    };
    let new = with_seconds_to_move(&old, seconds).filter(|new| says_the_same(&path, &old, new, seconds));
    let new =
        new.ok_or_else(|| failed("the time cannot be written so that nothing else in the file changes".into()))?;
    let folder = path.parent().map_or(Ok(()), fs::create_dir_all);
    folder
        .and_then(|()| put(&path, new.as_bytes()))
        .map_err(|error| failed(format!("the time could not be written: {error}")))?;
    let mut words = format!("{}: seconds_to_move is {seconds} now\n", path.display());
    if !files.plans_with(seconds) {
        words += "hint: the set itself says how long this player needs, and what it says holds\n";
    }
    Ok(words)
}

/// Whether the new text reads as the old one does, but for these seconds.
fn says_the_same(path: &Path, old: &str, new: &str, seconds: u32) -> bool {
    let (Ok((old_player, old_rig, _)), Ok((player, rig, _))) = (read_player_as(path, old), read_player_as(path, new))
    else {
        return false;
    };
    same_but_for_seconds((&old_player, &old_rig), (&player, &rig), seconds)
}
