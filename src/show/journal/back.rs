//! From a journal's last lines to the very state: the last whole account, and what was done since.

use crate::plan::Planned;
use crate::sequencer::{Action, Line, Memory, Sequencer};
use crate::show::journal::line::{Read, Told, WHOLE, WholeLine, identity_words, read};

/// A show as its journal tells of it.
pub(in crate::show) struct Restored {
    pub(in crate::show) sequencer: Sequencer,
    /// Whether it is the very same state; in a set that has changed since it is the same page, or the nearest.
    pub(in crate::show) exact: bool,
}

/// Where the show stood by the last lines of its journal; a torn last one is passed over, and so is all that cannot be
/// read. None where no line tells of a page.
pub(in crate::show) fn restore(planned: &Planned, text: &str) -> Option<Restored> {
    let lines: Vec<&str> = text.lines().collect();
    if let Some(sequencer) = replay(planned, &lines) {
        return Some(Restored { sequencer, exact: true });
    }
    let told = lines.iter().rev().find_map(|line| match read(line)? {
        Read::Told(told) => Some(told),
        Read::Header(_) | Read::Whole(_) | Read::Closing { .. } => None,
    })?;
    let sequencer = told.standing.find(&told.page, planned);
    Some(Restored {
        sequencer,
        exact: false,
    })
}

/// Does again what was done since the last whole account, and sees that the last page agrees.
fn replay(planned: &Planned, lines: &[&str]) -> Option<Sequencer> {
    let begins = |line: &&str| line.starts_with(WHOLE);
    let (place, WholeLine { whole, identity, .. }) = last_whole(lines, begins)?;
    if identity != identity_words(planned) {
        return None;
    }
    let mut sequencer = Memory::restore(&whole, planned)?;
    let mut last = None;
    for line in &lines[place + 1..] {
        let Some(Read::Told(told)) = read(line) else { continue };
        if told.did != "open" {
            sequencer.apply(planned, &Action::parse(&told.did).ok()?).ok()?;
        }
        last = Some(told);
    }
    sequencer.forget_clock(planned);
    let agrees = last.is_none_or(|told| is_page(&told, Line::new(planned, sequencer.state())));
    agrees.then_some(sequencer)
}

fn last_whole(lines: &[&str], begins: impl Fn(&&str) -> bool) -> Option<(usize, WholeLine<'static>)> {
    let mut found = lines.iter().enumerate().rev().filter(|(_, line)| begins(line));
    found.find_map(|(place, line)| match read(line)? {
        Read::Whole(whole) => Some((place, whole)),
        Read::Header(_) | Read::Told(_) | Read::Closing { .. } => None,
    })
}

/// Technique and pickup may have been written otherwise since: they move no page.
fn is_page(told: &Told, line: Line) -> bool {
    let line = Line {
        technique: told.page.technique.clone(),
        pickup: told.page.pickup.clone(),
        ..line
    };
    told.page == line
}
