//! The door of this room: reads a set with all it uses, and a player's file, from the disk.

#![allow(clippy::disallowed_methods, reason = "the one file of this room that reads files")]

use crate::setlist::bytes::MOST_BYTES;
use crate::setlist::checks::check;
use crate::setlist::player::{Player, Rig};
use crate::setlist::player_file::read_player_fields;
use crate::setlist::report::{Report, Sources};
use crate::setlist::set::Set;
use crate::setlist::set_file::read_set;
use crate::setlist::shelf::{Denied, Files, Shelf};
use crate::setlist::syntax::finding;
use crate::setlist::tree::Tree;
use crate::setlist::walk::Walk;
use crate::setlist::{Finding, Spot};
use std::fs::File;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// A set that could be read.
#[derive(Clone, Debug)]
pub struct Reading {
    pub set: Set,
    pub rig: Rig,
    /// Warnings and hints.
    pub findings: Vec<Finding>,
    pub sources: Sources,
    /// Whose the player's file says it is, where that is not the set's first player, for whom it stands in.
    pub stranger: Option<String>,
}

/// Reads a set, all the songs it uses, and the player's file if there is one.
///
/// # Errors
/// Every fault found in any of the files, with what else was found.
pub fn read(set: &Path, player: Option<&Path>) -> Result<Reading, Report> {
    read_all(set, load(set), player)
}

/// As `read`, but for the set file's own text, which is given: how the set would read if the file held it.
///
/// # Errors
/// As `read`.
pub fn read_as(set: &Path, text: &str, player: Option<&Path>) -> Result<Reading, Report> {
    read_all(set, Ok(text.as_bytes().to_vec()), player)
}

fn read_all(set: &Path, bytes: io::Result<Vec<u8>>, player: Option<&Path>) -> Result<Reading, Report> {
    let disk = Disk::new(set);
    let mut shelf = Shelf::new(&disk);
    let mut walk = Walk::default();
    let set = take(&mut walk, &mut shelf, set, bytes);
    let player = player.map(|path| take(&mut walk, &mut shelf, path, load(path)));
    read_taken(walk, shelf, set, player)
}

/// A player's file alone: for what needs no set.
///
/// # Errors
/// Every fault found in the file.
pub fn read_player_file(path: &Path) -> Result<(Player, Rig, Sources), Report> {
    read_player_bytes(path, load(path))
}

/// As `read_player_file`, but for the file's text, which is given: how it would read if it held that.
///
/// # Errors
/// As `read_player_file`.
pub fn read_player_as(path: &Path, text: &str) -> Result<(Player, Rig, Sources), Report> {
    read_player_bytes(path, Ok(text.as_bytes().to_vec()))
}

fn read_player_bytes(path: &Path, bytes: io::Result<Vec<u8>>) -> Result<(Player, Rig, Sources), Report> {
    let disk = Disk::new(path);
    let mut shelf = Shelf::new(&disk);
    let mut walk = Walk::default();
    let tree = take(&mut walk, &mut shelf, path, bytes);
    let (player, rig) = read_player(&mut walk, tree.as_deref());
    match walk.has_failed() {
        true => Err(report(walk, shelf.sources)),
        false => Ok((player, rig, shelf.sources)),
    }
}

/// Where a player's file is looked for when none is named: `$XDG_CONFIG_HOME/footlights/player.yaml`, by default in
/// `$HOME/.config`. A relative variable counts as unset.
pub fn usual_player_file(config_home: Option<&Path>, home: Option<&Path>) -> Option<PathBuf> {
    let config = config_home.filter(|path| path.is_absolute()).map(Path::to_path_buf);
    let config = config.or_else(|| home.filter(|path| path.is_absolute()).map(|home| home.join(".config")))?;
    Some(config.join("footlights/player.yaml"))
}

/// Reads a set whose files have been taken from wherever they are.
fn read_taken(
    mut walk: Walk,
    mut shelf: Shelf<'_>,
    set: Option<Arc<Tree>>,
    player: Option<Option<Arc<Tree>>>,
) -> Result<Reading, Report> {
    let (first, mut rig) = match &player {
        Some(tree) => read_player(&mut walk, tree.as_deref()),
        None => (Player::named(""), Rig::default()),
    };
    let root = set.as_deref().and_then(Tree::root);
    if let Some(tree) = set.as_deref().filter(|tree| tree.root().is_none() && !tree.is_broken()) {
        let hint = "A set begins with `set:` and its name, and lists its `songs:`.";
        let start = Spot {
            file: tree.file(),
            line: 1,
            column: 1,
            len: 1,
        };
        walk.add(finding(start, "this file is empty".into(), Some(hint.into())));
    }
    let owner = first.name.clone();
    let read = root.and_then(|root| read_set(&mut walk, &mut shelf, root, first));
    let Some((set, guitar)) = read.filter(|_| !walk.has_failed()) else {
        return Err(Report {
            pedals: Some(Box::new(rig.pedals)),
            ..report(walk, shelf.sources)
        });
    };
    rig.guitar = guitar.unwrap_or(rig.guitar);
    check(&set, &rig.guitar)
        .into_iter()
        .for_each(|finding| walk.add(finding));
    let Report { findings, sources, .. } = report(walk, shelf.sources);
    let is_stranger = !owner.is_empty() && !owner.eq_ignore_ascii_case(&set.first_player().name);
    Ok(Reading {
        set,
        rig,
        findings,
        sources,
        stranger: is_stranger.then_some(owner),
    })
}

fn read_player(walk: &mut Walk, tree: Option<&Tree>) -> (Player, Rig) {
    match tree.and_then(Tree::root) {
        Some(root) => read_player_fields(walk, root),
        None => (Player::named(""), Rig::default()),
    }
}

fn report(walk: Walk, sources: Sources) -> Report {
    let mut report = Report::new(walk.into_findings(), sources);
    report.sort();
    report
}

/// The place of a file as a whole.
fn whole(file: u16) -> Spot {
    Spot {
        file,
        ..Spot::default()
    }
}

/// Takes the set or the player's file.
fn take(walk: &mut Walk, shelf: &mut Shelf<'_>, path: &Path, bytes: io::Result<Vec<u8>>) -> Option<Arc<Tree>> {
    match bytes {
        Ok(bytes) => {
            let same = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
            shelf.take(walk, path, same, bytes)
        }
        Err(error) => {
            let file = shelf.sources.add(path.to_path_buf());
            walk.add(finding(whole(file), because(&error), None));
            None
        }
    }
}

/// Song files on the disk, under the set's own folder.
struct Disk {
    /// As it is written, and as it really is.
    folder: PathBuf,
    real_folder: PathBuf,
}

impl Disk {
    fn new(set: &Path) -> Disk {
        let folder = folder_of(set);
        Disk {
            folder: straightened(folder),
            real_folder: folder.canonicalize().unwrap_or_default(),
        }
    }
}

impl Files for Disk {
    fn find(&self, path: &Path) -> Result<PathBuf, Denied> {
        let straight = straightened(path);
        let inside = straight
            .strip_prefix(&self.folder)
            .ok()
            .and_then(|rest| rest.components().next());
        if !matches!(inside, Some(Component::Normal(_))) {
            return Err(Denied::Outside);
        }
        let real = path
            .canonicalize()
            .map_err(|error| Denied::Unreadable(because(&error)))?;
        if !real.starts_with(&self.real_folder) {
            return Err(Denied::Outside);
        }
        // Asked before opening: opening a named pipe would wait for ever.
        if !real.is_file() {
            return Err(Denied::Unreadable("it is not a file".into()));
        }
        Ok(real)
    }

    fn read(&self, same: &Path) -> Result<Vec<u8>, Denied> {
        load(same).map_err(|error| Denied::Unreadable(because(&error)))
    }
}

/// The path without `.` and without `..` after a folder's name, as it is written and links left aside.
fn straightened(path: &Path) -> PathBuf {
    let mut straight = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if straight.file_name().is_some() => {
                straight.pop();
            }
            part => straight.push(part),
        }
    }
    straight
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A file's bytes, one more than is allowed at most.
fn load(path: &Path) -> io::Result<Vec<u8>> {
    let file = File::open(path)?;
    let facts = file.metadata()?;
    if facts.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    let mut bytes = Vec::with_capacity((facts.len() as usize).min(MOST_BYTES) + 1);
    file.take(MOST_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Why a file cannot be read, as a clause.
pub fn because(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".into(),
        io::ErrorKind::PermissionDenied => "it may not be read".into(),
        io::ErrorKind::IsADirectory => "it is a folder".into(),
        io::ErrorKind::NotADirectory => "a part of its path is no folder".into(),
        _ => error.to_string(),
    }
}

/// Reads a set and a player's file from memory: for the tests of other rooms.
///
/// # Panics
/// Where they cannot be read, with the report.
#[cfg(test)]
pub(crate) fn read_text(set: &str, player: Option<&str>) -> Reading {
    let disk = Disk::new(Path::new("set.yaml"));
    let mut shelf = Shelf::new(&disk);
    let mut walk = Walk::default();
    let mut add = |name: &str, text: &str| take(&mut walk, &mut shelf, Path::new(name), Ok(text.as_bytes().to_vec()));
    let set = add("set.yaml", set);
    let player = player.map(|text| add("player.yaml", text));
    read_taken(walk, shelf, set, player).unwrap_or_else(|report| panic!("{report}"))
}
