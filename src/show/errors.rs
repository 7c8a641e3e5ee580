//! Standard error while the stage is up: what libraries write there goes to a file, not across the picture.

use rustix::io::{Errno, dup};
use std::fs::OpenOptions;
use std::os::fd::OwnedFd;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

/// The real standard error, for when the stage is over.
static REAL: Mutex<Option<OwnedFd>> = Mutex::new(None);

/// Sends standard error to a log in `folder`, or nowhere where that cannot be written.
pub(crate) fn send_to_log(folder: Option<&Path>) {
    let log = folder.and_then(|folder| {
        std::fs::create_dir_all(folder).ok()?;
        OpenOptions::new()
            .create(true)
            .append(true)
            .open(folder.join("stage.log"))
            .ok()
    });
    let Some(log) = log.or_else(|| OpenOptions::new().append(true).open("/dev/null").ok()) else {
        return;
    };
    if let Ok(real) = dup(std::io::stderr())
        && rustix::stdio::dup2_stderr(&log).is_ok()
    {
        *REAL.lock().unwrap_or_else(PoisonError::into_inner) = Some(real);
    }
}

/// Brings the real standard error back.
pub(crate) fn give_back() {
    if let Some(real) = REAL.lock().unwrap_or_else(PoisonError::into_inner).take() {
        let _: Result<(), Errno> = rustix::stdio::dup2_stderr(&real);
    }
}
