//! Watches the folders of a few files, since a save may put another file in the place of one; nothing wakes while nobody
//! touches them.

use crate::show::settling::Stir;
use crossbeam_channel::Sender;
use notify::event::{AccessKind, AccessMode, ModifyKind};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use std::collections::HashSet;
use std::ffi::OsString;
use std::path::{Component, Path, PathBuf};

/// The watch; dropping it ends it.
pub(super) struct Folders {
    _watcher: RecommendedWatcher,
}

/// Links may lead in a ring; Linux too follows no more of them.
const MOST_LINKS: usize = 40;

/// Where changes show.
struct Places {
    /// A folder as it really is, and a name in it.
    names: HashSet<PathBuf>,
    folders: HashSet<PathBuf>,
}

impl Folders {
    /// Watches over these files, there or not. What cannot be watched is left out: the show goes on without.
    pub(super) fn watch<'p>(files: impl Iterator<Item = &'p Path>, to: Sender<Stir>) -> Option<Folders> {
        let names: HashSet<PathBuf> = files.flat_map(places_of).collect();
        let folders: HashSet<PathBuf> = names
            .iter()
            .filter_map(|name| name.parent())
            .map(Path::to_path_buf)
            .collect();
        let list = folders.clone();
        let places = Places { names, folders };
        let mut watcher = notify::recommended_watcher(move |told: notify::Result<Event>| {
            // This runs in the watcher's thread. Where there is no room a look is on its way.
            let tell = |stir| drop(to.try_send(stir));
            match told {
                Ok(event) if event.need_rescan() => tell(Stir::Anything),
                Ok(event) => places.stirs(event).into_iter().for_each(tell),
                Err(_) => {}
            }
        })
        .ok()?;
        for folder in list {
            if let Err(error) = watcher.watch(&folder, RecursiveMode::NonRecursive) {
                not_watched(&folder, &error);
            }
        }
        Some(Folders { _watcher: watcher })
    }
}

impl Places {
    /// What an event says about the files. That one was read, by us too, is no news.
    fn stirs(&self, event: Event) -> Vec<Stir> {
        let stir = match event.kind {
            EventKind::Access(AccessKind::Close(AccessMode::Write)) => Stir::Changed,
            EventKind::Access(_) => return Vec::new(),
            // Linux alone says when the writing is over.
            EventKind::Modify(ModifyKind::Data(_)) if cfg!(target_os = "linux") => Stir::Writing,
            _ => Stir::Changed,
        };
        // A folder moved away or removed tells so of itself.
        let ours = |path: &PathBuf| self.names.contains(path) || self.folders.contains(path);
        event.paths.into_iter().filter(ours).map(stir).collect()
    }
}

/// Standard error is the log while the stage is up.
#[allow(clippy::print_stderr, reason = "the note goes to the log")]
fn not_watched(folder: &Path, error: &notify::Error) {
    eprintln!("{} is not watched: {error}", folder.display());
}

/// Where changes of a file show: where each link on the way to it stands, be it to a folder, and where the file itself
/// does. Where the way ends early the last is what is missing, in the nearest folder there is.
fn places_of(file: &Path) -> Vec<PathBuf> {
    let mut ahead = std::path::absolute(file).map_or_else(|_| Vec::new(), |way| parts(&way));
    let mut real = PathBuf::new();
    let mut places = Vec::new();
    while let Some(part) = ahead.pop() {
        if part == ".." {
            // What is behind holds no link any more.
            real.pop();
            continue;
        }
        real.push(part);
        match real.read_link() {
            Ok(target) if places.len() < MOST_LINKS => {
                ahead.extend(parts(&target));
                places.push(real.clone());
                real.pop();
            }
            _ if real.is_dir() => {}
            _ => break,
        }
    }
    places.push(real);
    places
}

/// The parts of a path, the first at the end.
fn parts(path: &Path) -> Vec<OsString> {
    let parts = path.components().rev().filter(|part| *part != Component::CurDir);
    parts.map(|part| part.as_os_str().to_owned()).collect()
}

#[cfg(test)]
#[allow(clippy::disallowed_methods, reason = "a test changes files")]
mod tests {
    use super::*;
    use crossbeam_channel::{Receiver, bounded};
    use std::fs;
    use std::os::unix::fs::symlink;
    use std::time::Duration;

    /// Far longer than anything here takes; a test that waits so long has failed.
    const PATIENCE: Duration = Duration::from_secs(60);

    fn watch(files: &[&Path]) -> (Folders, Receiver<Stir>) {
        let (to, stirs) = bounded(1000);
        (Folders::watch(files.iter().copied(), to).unwrap(), stirs)
    }

    fn until_changed(stirs: &Receiver<Stir>, wanted: &Path) {
        while stirs.recv_timeout(PATIENCE).unwrap() != Stir::Changed(wanted.into()) {}
    }

    #[test]
    fn a_file_written_replaced_removed_or_made_is_told_and_its_neighbours_are_not() {
        let folder = tempfile::tempdir().unwrap();
        let real = folder.path().canonicalize().unwrap();
        let (file, other) = (real.join("set.yaml"), real.join("other.yaml"));
        fs::write(&file, "a").unwrap();
        let (watching, stirs) = watch(&[&folder.path().join("set.yaml")]);
        fs::write(&other, "b").unwrap();
        fs::write(&file, "b").unwrap();
        until_changed(&stirs, &file);
        fs::rename(&other, &file).unwrap();
        until_changed(&stirs, &file);
        fs::remove_file(&file).unwrap();
        until_changed(&stirs, &file);
        fs::write(&file, "c").unwrap();
        until_changed(&stirs, &file);
        fs::read(&file).unwrap();
        fs::write(&other, "d").unwrap();
        drop(watching);
        let told: Vec<Stir> = stirs.iter().collect();
        let of_file = |stir: &Stir| *stir == Stir::Writing(file.clone()) || *stir == Stir::Changed(file.clone());
        assert!(told.iter().all(of_file), "{told:?}");
    }

    #[test]
    fn what_a_link_leads_to_is_watched_too() {
        let (folder, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let (link, file) = (folder.path().join("set.yaml"), elsewhere.path().join("mine.yaml"));
        fs::write(&file, "a").unwrap();
        symlink(&file, &link).unwrap();
        let (_watch, stirs) = watch(&[&link]);
        fs::write(&file, "b").unwrap();
        until_changed(&stirs, &file.canonicalize().unwrap());
    }

    #[test]
    fn what_a_link_leads_to_is_watched_while_it_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let real = folder.path().canonicalize().unwrap();
        let (link, inner) = (real.join("set.yaml"), real.join("elsewhere"));
        let file = inner.join("mine.yaml");
        symlink("elsewhere/mine.yaml", &link).unwrap();
        let (without_folder, stirs) = watch(&[&link]);
        fs::create_dir(&inner).unwrap();
        until_changed(&stirs, &inner);
        drop(without_folder);
        let (_without_file, stirs) = watch(&[&link]);
        fs::write(&file, "a").unwrap();
        until_changed(&stirs, &file);
    }

    #[test]
    fn every_link_on_the_way_is_watched_folders_too() {
        let folder = tempfile::tempdir().unwrap();
        let real = folder.path().canonicalize().unwrap();
        for inner in ["top", "mid", "v1", "v2"] {
            fs::create_dir(real.join(inner)).unwrap();
            fs::write(real.join(inner).join("real.yaml"), inner).unwrap();
        }
        symlink("../mid/s.yaml", real.join("top/set.yaml")).unwrap();
        symlink("../current/real.yaml", real.join("mid/s.yaml")).unwrap();
        symlink("v1", real.join("current")).unwrap();
        let (_watch, stirs) = watch(&[&real.join("top/set.yaml")]);
        for (link, to) in [
            ("current", "v2"),
            ("mid/s.yaml", "../v2/real.yaml"),
            ("top/set.yaml", "../v2/real.yaml"),
        ] {
            symlink(to, real.join("new")).unwrap();
            fs::rename(real.join("new"), real.join(link)).unwrap();
            until_changed(&stirs, &real.join(link));
        }
    }

    #[test]
    fn links_in_a_ring_are_watched_and_followed_no_further() {
        let folder = tempfile::tempdir().unwrap();
        let real = folder.path().canonicalize().unwrap();
        symlink("b.yaml", real.join("a.yaml")).unwrap();
        symlink("a.yaml", real.join("b.yaml")).unwrap();
        let (_watch, stirs) = watch(&[&real.join("a.yaml")]);
        fs::remove_file(real.join("b.yaml")).unwrap();
        until_changed(&stirs, &real.join("b.yaml"));
    }

    #[test]
    fn a_folder_that_goes_is_told_and_one_that_is_missing_is_told_when_it_comes() {
        let outer = tempfile::tempdir().unwrap();
        let inner = outer.path().canonicalize().unwrap().join("sets");
        let file = inner.join("set.yaml");
        fs::create_dir(&inner).unwrap();
        let (first, stirs) = watch(&[&file]);
        fs::rename(&inner, inner.with_extension("old")).unwrap();
        until_changed(&stirs, &inner);
        drop(first);
        let (_second, stirs) = watch(&[&file]);
        fs::create_dir(&inner).unwrap();
        until_changed(&stirs, &inner);
    }
}
