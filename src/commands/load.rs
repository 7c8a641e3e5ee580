//! Loading a set for a command: read, checked and planned, or the trouble in words.

use super::Trouble;
use crate::pedal::Bindings;
use crate::plan::{Planned, solve, unplannable};
use crate::setlist::{self, Report, Rig};
use std::path::{Path, PathBuf};

/// A set that can be played.
pub(super) struct Loaded {
    pub(super) planned: Planned,
    pub(super) rig: Rig,
    pub(super) bindings: Bindings,
}

/// Reads and plans a set; the player's file is the one named, or the usual one where there is one.
pub(super) fn load(set: &Path, player: Option<&Path>) -> Result<Loaded, Trouble> {
    read_and_plan(set, player).map_err(|report| Trouble::Said(report.errors().to_string()))
}

fn read_and_plan(set: &Path, player: Option<&Path>) -> Result<Loaded, Report> {
    let usual = usual_player();
    let player = player.or(usual.as_deref());
    let reading = setlist::read(set, player)?;
    let mut findings = reading.findings;
    let bindings = Bindings::read(&reading.rig.pedals);
    let plan = solve(&reading.set);
    match (plan, bindings) {
        (Ok(plan), Ok(bindings)) => {
            let planned = Planned { set: reading.set, plan };
            Ok(Loaded {
                planned,
                rig: reading.rig,
                bindings,
            })
        }
        (plan, bindings) => {
            if let Err(reason) = plan {
                findings.extend(unplannable(&reading.set, &reason));
            }
            findings.extend(bindings.err().unwrap_or_default());
            let mut report = Report::new(findings, reading.sources);
            report.sort();
            Err(report)
        }
    }
}

/// The usual player's file, where there is one.
pub(super) fn usual_player() -> Option<PathBuf> {
    let folder = |name| std::env::var_os(name).map(PathBuf::from);
    let path = setlist::usual_player_file(folder("XDG_CONFIG_HOME").as_deref(), folder("HOME").as_deref())?;
    path.is_file().then_some(path)
}
