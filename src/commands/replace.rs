//! Replacing a whole file: whatever happens, either the old one stands there or the new one, never a half.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Temporary names that are tried before it is given up: more than one is taken only where a run was cut off.
const NAMES_TRIED: u32 = 100;

/// Puts these bytes in the place of a file that exists, its mode kept. `real` is no link: a link would be replaced by
/// a file.
///
/// # Errors
/// What the system says; the old file then stands as it was.
pub(super) fn replace(real: &Path, bytes: &[u8]) -> io::Result<()> {
    let mode = fs::metadata(real)?.permissions();
    if mode.readonly() {
        return Err(io::Error::new(
            io::ErrorKind::PermissionDenied,
            "it is marked as read-only",
        ));
    }
    let folder = real.parent().unwrap_or(Path::new("/"));
    let (temporary, file) = create_beside(real, folder)?;
    let written = fill(file, mode, bytes).and_then(|()| fs::rename(&temporary, real));
    if let Err(error) = written {
        // The error that counts is the first one.
        let _ = fs::remove_file(&temporary);
        return Err(error);
    }
    // Some file systems sync no folders; the new file is whole and in its place all the same.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    Ok(())
}

fn fill(mut file: File, mode: fs::Permissions, bytes: &[u8]) -> io::Result<()> {
    file.set_permissions(mode)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// A new file in the same folder, so that the rename moves no bytes.
fn create_beside(real: &Path, folder: &Path) -> io::Result<(PathBuf, File)> {
    let mut taken = io::Error::from(io::ErrorKind::AlreadyExists);
    for number in 0..NAMES_TRIED {
        let mut name = OsString::from(".");
        name.push(real.file_name().unwrap_or_default());
        name.push(format!(".{}-{number}.new", std::process::id()));
        let path = folder.join(name);
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(file) => return Ok((path, file)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => taken = error,
            Err(error) => return Err(error),
        }
    }
    Err(taken)
}
