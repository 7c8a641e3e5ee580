//! What tells one set from another: its path for the folder that its journals are in, its content for whether a page of
//! the one is a page of the other.

use crate::plan::Planned;
use std::fmt::{self, Write};
use std::os::unix::ffi::OsStrExt;
use std::path::Path;

/// As much of a file's name as an eye needs to know it again.
const LONGEST_STEM: usize = 40;

/// A folder's name for the set at this path: its file's name, as far as it is plain, and a sum of the whole path.
pub(super) fn folder_name(path: &Path) -> String {
    let mut sum = Fnv::default();
    sum.add(path.as_os_str().as_bytes());
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let plain = |letter: &char| letter.is_ascii_alphanumeric() || *letter == '-';
    let stem: String = stem.chars().filter(plain).take(LONGEST_STEM).collect();
    format!("{stem}-{:016x}", sum.0)
}

/// A number for all that the sequencer takes from a set and its plan: where it is the same, so are all pages.
pub(super) fn identity(planned: &Planned) -> u64 {
    let mut sum = Fnv::default();
    // The sum takes whatever is written.
    let _ = write_all(&mut sum, planned);
    sum.0
}

fn write_all(sum: &mut Fnv, planned: &Planned) -> fmt::Result {
    let set = &planned.set;
    for player in &set.players {
        let figures = (player.highest_fret, &player.shapes, player.seconds_to_move);
        write!(sum, "{figures:?}{:?}", player.weights)?;
    }
    for (id, song) in set.song_ids().zip(set.songs()) {
        write!(sum, "{:?}{:?}{:?}{:?}", song.title, song.key, song.gap, song.meter)?;
        for player in 0..set.players.len() {
            write!(sum, "{:?}", planned.plan.fret(id, player))?;
        }
        for section in &song.sections {
            write!(sum, "{:?}{:?}{:?}", section.name, section.key, section.bars)?;
        }
        write!(sum, "{:?}", song.steps)?;
    }
    Ok(())
}

/// FNV-1a over 64 bits, by Fowler, Noll and Vo, from memory: any sum that tells two sets apart would do.
struct Fnv(u64);

impl Default for Fnv {
    fn default() -> Fnv {
        Fnv(0xcbf2_9ce4_8422_2325)
    }
}

impl Fnv {
    fn add(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }
}

impl Write for Fnv {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.add(text.as_bytes());
        Ok(())
    }
}
