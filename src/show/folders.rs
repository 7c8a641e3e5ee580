//! Watches the folders of a few files, since a save may put another file in the place of one; nothing wakes while nobody
//! touches them.

use crate::show::settling::Stir;
use crossbeam_channel::Sender;
use notify::event::{AccessKind, AccessMode, ModifyKind};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use std::collections::HashSet;
use std::path::{Path, PathBuf};

/// The watch; dropping it ends it.
pub(super) struct Folders {
    _watcher: RecommendedWatcher,
}

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

/// Where changes of a file show: where it stands, and where it really stands if that is a link.
fn places_of(file: &Path) -> impl Iterator<Item = PathBuf> + use<> {
    let real = file.canonicalize().ok();
    place_of(file).into_iter().chain(real)
}

/// The file's place in its folder as it really is. Where that folder is missing it is the place, in the nearest folder
/// there is, where the way to the file would begin anew.
fn place_of(file: &Path) -> Option<PathBuf> {
    let mut path = std::path::absolute(file).ok()?;
    loop {
        let folder = path.parent()?;
        if let Ok(real) = folder.canonicalize() {
            return Some(real.join(path.file_name()?));
        }
        path = folder.to_path_buf();
    }
}

#[cfg(test)]
#[allow(clippy::disallowed_methods, reason = "a test changes files")]
mod tests {
    use super::*;
    use crossbeam_channel::{Receiver, bounded};
    use std::fs;
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
        std::os::unix::fs::symlink(&file, &link).unwrap();
        let (_watch, stirs) = watch(&[&link]);
        fs::write(&file, "b").unwrap();
        until_changed(&stirs, &file.canonicalize().unwrap());
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
