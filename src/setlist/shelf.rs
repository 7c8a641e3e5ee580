//! The files of one reading: each taken once, with its tree, and known by the number that spots have.

use crate::setlist::bytes::text_of;
use crate::setlist::report::Sources;
use crate::setlist::syntax::cut;
use crate::setlist::tree::{At, Tree};
use crate::setlist::walk::Walk;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Where files come from: the disk, or a test's own store.
pub(super) trait Files {
    /// The name by which a song file is known to be the same, whatever way leads to it.
    ///
    /// # Errors
    /// Where a set may not use it, or there is none.
    fn find(&self, path: &Path) -> Result<PathBuf, Denied>;

    /// What the file of that name holds.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn read(&self, same: &Path) -> Result<Vec<u8>, Denied>;
}

/// Why a file cannot be had.
pub(super) enum Denied {
    /// It lies elsewhere than in the set's own folder.
    Outside,
    /// A clause that says why.
    Unreadable(String),
}

pub(super) struct Shelf<'f> {
    files: &'f dyn Files,
    pub(super) sources: Sources,
    /// By the name that makes a file the same; none where it cannot be read.
    trees: HashMap<PathBuf, Option<Arc<Tree>>>,
    bytes: usize,
}

/// All song files of a set together, like the longest file several times over.
const MOST_BYTES_TOGETHER: usize = 64 << 20;
/// Spots count files in sixteen bits.
const MOST_FILES: usize = 60_000;

const FOLDER: &str = "A set uses song files in its own folder or in folders under it.";

impl<'f> Shelf<'f> {
    pub(super) fn new(files: &'f dyn Files) -> Shelf<'f> {
        Shelf {
            files,
            sources: Sources::default(),
            trees: HashMap::new(),
            bytes: 0,
        }
    }

    /// Takes a file whose bytes are known; its tree, unless what it holds is no text.
    pub(super) fn take(&mut self, walk: &mut Walk, path: &Path, same: PathBuf, bytes: Vec<u8>) -> Option<Arc<Tree>> {
        let file = self.sources.add(path.to_path_buf());
        let tree = match text_of(file, bytes) {
            Ok(text) => {
                self.sources.set_text(file, Arc::clone(&text));
                let (tree, faults) = Tree::read(file, &text);
                faults.into_iter().for_each(|fault| walk.add(fault));
                Some(Arc::new(tree))
            }
            Err(refused) => {
                let (text, fault) = *refused;
                self.sources.set_text(file, text);
                walk.add(fault);
                None
            }
        };
        self.trees.insert(same, tree.clone());
        tree
    }

    /// The song file that `at` uses by this path, relative to the file that it stands in.
    pub(super) fn song(&mut self, walk: &mut Walk, at: At<'_>, used: &str) -> Option<Arc<Tree>> {
        let path = self.sources.folder(at.file()).join(used);
        let mut deny = |sources: &mut Sources, denied: Denied| {
            sources.miss(path.clone());
            let (why, hint) = match denied {
                Denied::Outside => ("it leads out of the set's folder".to_owned(), Some(FOLDER.to_owned())),
                Denied::Unreadable(why) => (why, None),
            };
            walk.wrong(at, format!("`{}` cannot be used: {why}", cut(used)), hint);
            None
        };
        if Path::new(used).is_absolute() {
            return deny(&mut self.sources, Denied::Outside);
        }
        let same = match self.files.find(&path) {
            Ok(same) => same,
            Err(denied) => return deny(&mut self.sources, denied),
        };
        if let Some(tree) = self.trees.get(&same) {
            return tree.clone();
        }
        let bytes = match self.files.read(&same) {
            Ok(bytes) => bytes,
            Err(denied) => return deny(&mut self.sources, denied),
        };
        self.bytes += bytes.len();
        if self.bytes > MOST_BYTES_TOGETHER || self.sources.count() >= MOST_FILES {
            let message = format!("with `{}` this set uses more files than can be read", cut(used));
            walk.wrong(at, message, None);
            return None;
        }
        let tree = self.take(walk, &path, same, bytes)?;
        if tree.root().is_none() && !tree.is_broken() {
            let message = format!("the song file `{}` is empty", cut(used));
            walk.wrong(at, message, None);
        }
        Some(tree)
    }
}
