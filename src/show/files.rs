//! The show's files while it runs: when they change they are read and planned anew by a thread of their own.

#![allow(
    clippy::disallowed_methods,
    reason = "an outer room: it reads the clock and the files that changed"
)]

use crate::pedal::{Bindings, Wanted};
use crate::plan::Planned;
use crate::screen::Look;
use crate::sequencer::Anew;
use crate::setlist::{PedalSettings, Sources};
use crate::show::event::Event;
use crate::show::folders::Folders;
use crate::show::settling::{Settling, Stir};
use crossbeam_channel::{Receiver, Sender, at, bounded, never, select};
use std::collections::HashMap;
use std::fs::File;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::Builder;
use std::time::Instant;

/// The files of a show, and how they are read.
pub struct ShowFiles {
    /// As they were read for the opening.
    pub sources: Sources,
    /// A file that would count if it were there.
    pub awaited: Option<PathBuf>,
    pub read: Box<dyn FnMut() -> ReadAnew + Send>,
}

/// What came of reading them anew.
pub struct ReadAnew {
    /// What they say, or the first error in them.
    pub result: Result<Fresh, String>,
    pub sources: Sources,
}

/// All that the files say about a show.
#[derive(Debug)]
pub struct Fresh {
    pub anew: Anew,
    pub bindings: Bindings,
    pub pedals: PedalSettings,
    pub look: Look,
    pub wanted: Wanted,
    /// What cannot be played of it, as a clause.
    pub but: Option<String>,
}

/// The thread; dropping it ends the watching. It is not waited for: it may be in the midst of a long set.
pub(super) struct Files {
    old: Sender<Arc<Planned>>,
}

/// Changes that may wait to be told; more of them say no more.
const STIRS: usize = 256;
/// Sets that may wait to be taken apart.
const OLD: usize = 4;
/// As much of a file as tells whether it has changed: more than may be in it.
const MOST_BYTES: u64 = (16 << 20) + 4;

impl Files {
    pub(super) fn watch(files: ShowFiles, to: Sender<Event>) -> io::Result<Files> {
        let (old, discarded) = bounded(OLD);
        Builder::new().name("files".into()).spawn(move || {
            let (stir, stirs) = bounded(STIRS);
            let opened = Instant::now();
            Watching {
                seen: Seen::of_sources(&files.sources, files.awaited.as_deref()),
                awaited: files.awaited,
                read: files.read,
                folders: None,
                settling: Settling::default(),
                opened,
                stir,
                to,
            }
            .attend(&stirs, &discarded);
        })?;
        Ok(Files { old })
    }

    /// Takes a set that is played no more: to take a long one apart takes long.
    pub(super) fn discard(&self, old: Arc<Planned>) {
        drop(self.old.try_send(old));
    }
}

struct Watching {
    seen: Seen,
    awaited: Option<PathBuf>,
    read: Box<dyn FnMut() -> ReadAnew + Send>,
    folders: Option<Folders>,
    settling: Settling,
    opened: Instant,
    stir: Sender<Stir>,
    to: Sender<Event>,
}

impl Watching {
    fn attend(mut self, stirs: &Receiver<Stir>, discarded: &Receiver<Arc<Planned>>) {
        // They may have changed since they were read for the opening.
        self.look();
        loop {
            let timer = self.settling.due().map_or_else(never, |due| at(self.opened + due));
            select! {
                recv(stirs) -> stir => {
                    if let Ok(stir) = stir {
                        self.settling.hear(stir, self.opened.elapsed());
                    }
                }
                recv(discarded) -> old => match old {
                    Ok(old) => drop(old),
                    Err(_) => return,
                },
                recv(timer) -> _ => {
                    self.settling.rest();
                    self.look();
                }
            }
        }
    }

    /// Watches the files anew, since folders may be others now, and reads them where they have changed.
    fn look(&mut self) {
        self.folders = Folders::watch(self.seen.paths(), self.stir.clone());
        let now = Seen::of_disk(self.seen.paths());
        if now == self.seen {
            return;
        }
        let ReadAnew { result, sources } = (self.read)();
        let paths = || sources.paths().chain(self.awaited.as_deref());
        self.folders = Folders::watch(paths(), self.stir.clone());
        let read = Seen::of_disk(paths());
        // What changed while it was read is read once more, when it has come to rest.
        if read.differs_from(&now) {
            self.settling.hear(Stir::Anything, self.opened.elapsed());
        }
        self.seen = Seen {
            files: read.files.into_iter().chain(now.of(paths())).collect(),
        };
        // Where nobody listens any more the show is over, which is told by the other channel.
        let _ = self.to.send(Event::Files(result.map(Box::new)));
    }
}

/// What the files held when they were seen last, as a mark of their bytes; none where there is no file.
#[derive(Debug, PartialEq, Eq)]
struct Seen {
    files: HashMap<PathBuf, Option<u64>>,
}

impl Seen {
    fn of_disk<'p>(paths: impl Iterator<Item = &'p Path>) -> Seen {
        let files = paths.map(|path| (path.to_path_buf(), bytes(path).map(|bytes| mark(&bytes))));
        Seen { files: files.collect() }
    }

    /// Files whose texts are known.
    fn of_sources(sources: &Sources, awaited: Option<&Path>) -> Seen {
        let awaited = awaited.map(|path| (path.to_path_buf(), None));
        let read = sources
            .texts()
            .map(|(path, text)| (path.to_path_buf(), Some(mark(text.as_bytes()))));
        Seen {
            files: awaited.into_iter().chain(read).collect(),
        }
    }

    fn paths(&self) -> impl Iterator<Item = &Path> {
        self.files.keys().map(PathBuf::as_path)
    }

    /// The marks of those of these paths that are known.
    fn of<'p>(&self, paths: impl Iterator<Item = &'p Path>) -> Vec<(PathBuf, Option<u64>)> {
        let known = paths.filter_map(|path| self.files.get_key_value(path));
        known.map(|(path, mark)| (path.clone(), *mark)).collect()
    }

    /// Whether a file that both know has changed.
    fn differs_from(&self, other: &Seen) -> bool {
        self.files
            .iter()
            .any(|(path, mark)| other.files.get(path).is_some_and(|other| other != mark))
    }
}

/// A file's bytes. What is no file is not opened: a named pipe would wait for ever.
fn bytes(path: &Path) -> Option<Vec<u8>> {
    if !path.metadata().ok()?.is_file() {
        return None;
    }
    let mut bytes = Vec::new();
    File::open(path).ok()?.take(MOST_BYTES).read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

/// Bytes that differ have different marks, but for one chance in 2^64. A byte order mark says nothing.
fn mark(bytes: &[u8]) -> u64 {
    let mut hasher = DefaultHasher::new();
    bytes
        .strip_prefix(&[0xEF, 0xBB, 0xBF])
        .unwrap_or(bytes)
        .hash(&mut hasher);
    hasher.finish()
}
