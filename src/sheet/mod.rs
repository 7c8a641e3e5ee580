//! The sheets: the whole system of keys and shapes on paper, and a set as its first player will play it, as PDF.
//!
//! Absent here: files, clocks, threads, printing, capo choices. The same set and player make the same bytes: the only
//! date is the set's own. `leaf` is what all layout is made into; `pdf` alone knows the PDF library.

mod badge;
mod chart;
mod diagram;
mod floor;
mod flow;
mod keys;
mod leaf;
mod letters;
mod packed;
mod paper;
mod pdf;
mod played;
mod prose;
mod section;
mod set;
mod song;

pub use keys::keys;
pub use paper::{Paper, Sheet};
pub use set::set;

use std::fmt;

/// Why a sheet could not be made: a fault of this program, never of a set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotMade(String);

impl NotMade {
    fn new(why: String) -> NotMade {
        NotMade(why)
    }
}

impl fmt::Display for NotMade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the sheet could not be made: {}", self.0)
    }
}

/// Printed small at the end of every sheet, with their published sources.
const CAUTIONS: &str = "Cautions. Cables are for feet to catch on: run them where nobody walks, or tape or cover them \
    (HSE INDG225). Leave mains power to qualified people and to the codes of the place; use a residual current device, \
    and never defeat an earth connection, not even against hum (HSE INDG247). Stages are loud and loss of hearing does \
    not mend: wear protection and keep headphones low (World Health Organization, Global standard for safe listening \
    venues and events, 2022; NIOSH 98-126). Where a local rule is stricter, it holds.";
