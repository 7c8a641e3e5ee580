//! Loading a set for a command: read, checked and planned, or the trouble in words.

use super::Trouble;
use super::start::newest_set;
use crate::pedal::Bindings;
use crate::plan::{Planned, solve, unplannable};
use crate::setlist::{self, PedalSettings, Player, Reading, Report, Rig, Sources};
use std::path::{Path, PathBuf};

/// The files that a command about a set reads.
#[derive(Clone, clap::Args)]
pub(super) struct Files {
    /// The set file
    pub(super) set: PathBuf,
    /// The player's file [default: ~/.config/footlights/player.yaml]
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
}

impl Files {
    /// A set file with a player's file, as if they had been typed.
    pub(super) fn of(set: PathBuf, player: Option<PathBuf>) -> Files {
        Files { set, player }
    }

    /// The player's file: the one named, or the usual one where there is one.
    pub(super) fn player(&self) -> Option<PathBuf> {
        player_file(self.player.clone())
    }

    /// The usual player's file, where it would count if it were there: none is named, and there is a folder for it.
    pub(super) fn awaited_player(&self) -> Option<PathBuf> {
        let usual = if self.player.is_none() { usual_player() } else { None };
        usual.filter(|path| path.parent().is_some_and(Path::is_dir))
    }

    /// The player's file that is to be written, there or not.
    pub(super) fn player_to_write(&self) -> Option<PathBuf> {
        player_file_to_write(self.player.clone())
    }

    /// Whether the set with its player's file reckons with so many seconds for the first player's capo moves.
    pub(super) fn plans_with(&self, seconds: u32) -> bool {
        let reading = setlist::read(&self.set, self.player().as_deref());
        reading.is_ok_and(|reading| reading.set.first_player().seconds_to_move.as_s() == f64::from(seconds))
    }

    /// Reads the set with all it uses.
    ///
    /// # Errors
    /// Every fault found in any of the files.
    pub(super) fn read(&self) -> Result<Reading, Report> {
        let reading = setlist::read(&self.set, self.player().as_deref());
        let reading = reading.map_err(|report| self.with_next_step(report))?;
        if let Some(words) = stranger(&reading) {
            eprintln!("note: {words}");
        }
        Ok(reading)
    }

    /// Where a file is not there at all, how to come by one.
    fn with_next_step(&self, mut report: Report) -> Report {
        for finding in report.findings.iter_mut().filter(|finding| finding.hint.is_none()) {
            let path = finding.spot.map(|spot| report.sources.path(spot));
            let is =
                |file: &PathBuf| !file.exists() && path.as_ref().is_some_and(|path| file.to_string_lossy() == *path);
            if is(&self.set) {
                let make = format!("`footlights new {}` makes one to start from", self.set.display());
                finding.hint = Some(match newest_set() {
                    Some(other) => format!("This folder has `{}`; {make}.", other.display()),
                    None => format!("{make}, with `--from LIST` from a leader's list."),
                });
            } else if self.player.as_ref().is_some_and(is) {
                let hint = "Without `--player` the usual one serves; `footlights new --player-file FILE` makes one of your own.";
                finding.hint = Some(hint.into());
            }
        }
        report
    }
}

/// Who the player's file stands in for, where that is not the one it names.
fn stranger(reading: &Reading) -> Option<String> {
    let named = reading.stranger.as_deref()?;
    let first = reading.set.first_player().called();
    Some(format!(
        "the player file is {named}'s, but the set names {first} first: this is {first}'s screen"
    ))
}

/// A set that can be played.
pub(super) struct Loaded {
    pub(super) planned: Planned,
    pub(super) rig: Rig,
    pub(super) bindings: Bindings,
    /// What the player should be told of the files when the stage opens.
    pub(super) notice: Option<String>,
    pub(super) sources: Sources,
}

/// Reads and plans a set.
pub(super) fn load(files: &Files) -> Result<Loaded, Trouble> {
    Ok(read_and_plan(files)?)
}

/// As `load`, with the findings as they are.
///
/// # Errors
/// As `load`.
pub(super) fn read_and_plan(files: &Files) -> Result<Loaded, Report> {
    let reading = files.read()?;
    let notice = stranger(&reading);
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
                notice,
                sources: reading.sources,
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

/// The player's file that was named, or else the usual one where there is one.
pub(super) fn player_file(named: Option<PathBuf>) -> Option<PathBuf> {
    named.or_else(|| usual_player().filter(|path| path.is_file()))
}

/// The player's file that is to be written: the one named, or the usual one, there or not.
pub(super) fn player_file_to_write(named: Option<PathBuf>) -> Option<PathBuf> {
    named.or_else(usual_player)
}

/// Where the player's file is looked for when none is named.
pub(super) fn usual_player() -> Option<PathBuf> {
    let folder = |name| std::env::var_os(name).map(PathBuf::from);
    setlist::usual_player_file(folder("XDG_CONFIG_HOME").as_deref(), folder("HOME").as_deref())
}

/// The player whose hands an answer without a set is for: by the file that was named, the usual one, or neither. With
/// what is theirs, and what faults in it would be shown in.
pub(super) fn load_player(named: Option<PathBuf>) -> Result<(Player, Rig, Sources), Trouble> {
    match player_file(named) {
        Some(path) => Ok(setlist::read_player_file(&path)?),
        None => Ok((Player::named(""), Rig::default(), Sources::default())),
    }
}

/// What the switches of a player's file are bound to.
pub(super) fn bindings(settings: &PedalSettings, sources: Sources) -> Result<Bindings, Trouble> {
    Bindings::read(settings).map_err(|findings| Report::new(findings, sources).into())
}
