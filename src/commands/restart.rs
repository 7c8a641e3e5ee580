//! A show that broke begins anew by itself: on stage no hand is free to type.

use super::Trouble;
use super::stage::state_folder;
use std::env;
use std::os::unix::process::CommandExt;
use std::process::Command;
use std::time::{SystemTime, UNIX_EPOCH};

/// Says to the program that takes our place when we broke, in seconds since 1970.
const BROKE_AT: &str = "FOOTLIGHTS_BROKE_AT";
/// A show that breaks again sooner than this would break for ever.
const TOO_SOON_S: u64 = 10;

/// What to tell where this program has taken the place of one that broke.
pub(super) fn told_after_a_fault() -> Option<String> {
    env::var_os(BROKE_AT)?;
    Some("a fault was met, and the show was begun again; `stage.log` has the report".into())
}

/// Puts a fresh program with the same arguments in our place; comes back only with what to say where that cannot be.
pub(super) fn come_back(words: &str) -> Trouble {
    let now = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |now| now.as_secs());
    let before = env::var(BROKE_AT).ok().and_then(|before| before.parse::<u64>().ok());
    if before.is_none_or(|before| now.abs_diff(before) >= TOO_SOON_S)
        && let Ok(program) = env::current_exe()
    {
        // It is to come back to the page, not to start over.
        let args = env::args_os().skip(1).filter(|arg| arg != "--fresh");
        let _failed = Command::new(program).args(args).env(BROKE_AT, now.to_string()).exec();
    }
    let report = match state_folder() {
        Some(folder) => format!(" The report is in {}.", folder.join("stage.log").display()),
        None => String::new(),
    };
    Trouble::said(format!("a fault in Footlights ended the show: {words}.{report}"))
        .hint("The same command opens the stage again.")
}
