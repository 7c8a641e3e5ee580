//! Writing a whole file: whatever happens, either what was there stands there or the new one, never a half.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Temporary names that are tried before it is given up: more than one is taken only where a run was cut off.
const NAMES_TRIED: u32 = 100;

/// Puts these bytes into a file that may exist or not; through a link, into what it leads to.
///
/// # Errors
/// What the system says; an old file then stands as it was.
pub(super) fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    match fs::canonicalize(path) {
        Ok(real) => replace(&real, bytes),
        Err(error) if error.kind() == io::ErrorKind::NotFound => create(path, bytes),
        Err(error) => Err(error),
    }
}

/// A file that does not exist yet: it comes into being whole.
fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    let (temporary, file) = create_beside(path, folder)?;
    finish(&temporary, path, folder, fill(file, bytes))
}

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
    let filled = file.set_permissions(mode).and_then(|()| fill(file, bytes));
    finish(&temporary, real, folder, filled)
}

/// The temporary file takes its name where it could be filled; else it goes.
fn finish(temporary: &Path, real: &Path, folder: &Path, filled: io::Result<()>) -> io::Result<()> {
    if let Err(error) = filled.and_then(|()| fs::rename(temporary, real)) {
        // The error that counts is the first one.
        let _ = fs::remove_file(temporary);
        return Err(error);
    }
    // Some file systems sync no folders; the new file is whole and in its place all the same.
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    Ok(())
}

fn fill(mut file: File, bytes: &[u8]) -> io::Result<()> {
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
