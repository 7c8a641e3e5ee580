//! `footlights` alone: what to do next, from where the player is.

use super::load::{player_file, usual_player};
use super::{Outcome, Status};
use crate::pedal::port_names;
use crate::setlist;
use crate::show::errors;
use std::cmp::Reverse;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// Files of a folder that are looked into, so that the answer comes at once in any folder.
const MOST_FILES: usize = 200;
/// A set says what it is at its beginning.
const MOST_BYTES: u64 = 1 << 20;

pub(crate) fn run(out: &mut impl Write) -> Outcome {
    writeln!(
        out,
        "Footlights plans a set's capos, follows your foot, and says in large words what the hands do next.\n"
    )?;
    let player = player_file(None);
    match &sets_here()[..] {
        [] => no_set(out)?,
        [set, others @ ..] => next_with(out, set, others.len(), player.as_deref())?,
    }
    writeln!(out, "`footlights --help` lists every command.")?;
    Ok(Status::Fine)
}

fn no_set(out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "There is no set in this folder. To have one:")?;
    writeln!(out, "  footlights new sunday.yaml                  # one to start from")?;
    writeln!(
        out,
        "  footlights new sunday.yaml --from list.txt  # or from the leader's list, saved as list.txt"
    )?;
    writeln!(out, "It then says what comes next.")
}

fn next_with(out: &mut impl Write, set: &Path, others: usize, player: Option<&Path>) -> std::io::Result<()> {
    let name = set.display();
    let newest = if others > 0 { ", the newest here" } else { "" };
    match setlist::read(set, player) {
        Err(_) => {
            writeln!(
                out,
                "Set: {name}{newest}, with something wrong in it. To see what, and where:"
            )?;
            writeln!(out, "  footlights check {name}")?;
        }
        Ok(reading) => {
            let songs = reading.set.songs().len();
            let songs = if songs == 1 {
                "1 song".into()
            } else {
                format!("{songs} songs")
            };
            writeln!(out, "Set: {name}{newest}, {songs}.")?;
            writeln!(out, "  footlights check {name}  # what is wrong or unwise in it")?;
            writeln!(out, "  footlights plan {name}   # the capos, and why")?;
            writeln!(out, "  footlights stage {name}  # the stage; `?` there lists the keys")?;
        }
    }
    match (player, usual_player()) {
        (Some(path), _) => writeln!(out, "Player: {}", from_home(path))?,
        (None, Some(path)) => writeln!(
            out,
            "Player: none yet. To have one in {}: footlights new --player-file",
            from_home(&path)
        )?,
        (None, None) => {}
    }
    // The system's libraries have their say on standard error where something is missing; we say it ourselves.
    errors::send_to_log(None);
    let ports = port_names();
    errors::give_back();
    match ports.inputs.first() {
        Some(port) => writeln!(
            out,
            "Pedal: {}. To see what it sends: footlights pedal watch",
            port.escape_debug()
        ),
        None => writeln!(
            out,
            "Pedal: no MIDI port; keys and page-turning switches work. Later: footlights pedal list"
        ),
    }
}

/// A path as a shell takes it, short where it is at home.
fn from_home(path: &Path) -> String {
    let home = std::env::var_os("HOME").map(PathBuf::from);
    let inside = home.as_ref().and_then(|home| path.strip_prefix(home).ok());
    inside.map_or_else(|| path.display().to_string(), |rest| format!("~/{}", rest.display()))
}

/// The set of this folder that was changed last.
pub(super) fn newest_set() -> Option<PathBuf> {
    sets_here().into_iter().next()
}

/// The sets of this folder, the one that was changed last first; of two changed at one time the first by name.
fn sets_here() -> Vec<PathBuf> {
    let entries = fs::read_dir(".").into_iter().flatten().flatten().take(MOST_FILES);
    let files = entries.map(|entry| PathBuf::from(entry.file_name()));
    let sets = files.filter(|path| is_yaml(path) && is_set(path));
    let mut sets: Vec<PathBuf> = sets.collect();
    sets.sort();
    let changed = |path: &PathBuf| {
        fs::metadata(path)
            .and_then(|data| data.modified())
            .unwrap_or(SystemTime::UNIX_EPOCH)
    };
    sets.sort_by_cached_key(|path| Reverse(changed(path)));
    sets
}

fn is_yaml(path: &Path) -> bool {
    path.extension().is_some_and(|ext| ext == "yaml" || ext == "yml")
}

/// Whether a file looks like a set, perhaps a wrong one.
fn is_set(path: &Path) -> bool {
    let is_short = fs::metadata(path).is_ok_and(|data| data.is_file() && data.len() <= MOST_BYTES);
    let text = is_short.then(|| fs::read(path).ok()).flatten().unwrap_or_default();
    String::from_utf8_lossy(&text)
        .lines()
        .any(|line| line.trim_start_matches('\u{feff}').starts_with("set:"))
}
