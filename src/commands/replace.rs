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

/// Why a file cannot be written, as a clause.
pub(super) fn because(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "the folder that it is to stand in is not there".into(),
        io::ErrorKind::AlreadyExists => "there is something of this name already, which is left as it is".into(),
        io::ErrorKind::StorageFull => "cannot be written: the disk is full".into(),
        io::ErrorKind::PermissionDenied => "it may not be written".into(),
        io::ErrorKind::ReadOnlyFilesystem => "cannot be written: what it lies on takes no changes".into(),
        _ => format!("cannot be written: {error}"),
    }
}

/// A file that does not exist yet: it comes into being whole.
fn create(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = folder_of(path);
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

/// Puts a new file there, whole or not at all.
///
/// # Errors
/// What the system says: `AlreadyExists` where anything stands there, which is then left as it is.
pub(super) fn place(path: &Path, bytes: &[u8]) -> io::Result<()> {
    // Looked up without following a link, so that nothing is made where a broken one points to.
    if fs::symlink_metadata(path).is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    let folder = folder_of(path);
    let (temporary, file) = create_beside(path, folder)?;
    // A link, unlike a rename, takes nobody's place.
    let placed = fill(file, bytes).and_then(|()| fs::hard_link(&temporary, path));
    let placed = placed.or_else(|error| match error.kind() {
        // Some file systems have no links; the name is free, as far as can be told there.
        io::ErrorKind::PermissionDenied | io::ErrorKind::Unsupported => fs::rename(&temporary, path),
        _ => Err(error),
    });
    // Where it was renamed it is gone already.
    let _ = fs::remove_file(&temporary);
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    placed
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn why_a_file_cannot_be_written_is_told_without_the_systems_own_words() {
        use io::ErrorKind::{AlreadyExists, NotFound, PermissionDenied, ReadOnlyFilesystem, StorageFull};
        for (kind, wanted) in [
            (NotFound, "the folder that it is to stand in is not there"),
            (
                AlreadyExists,
                "there is something of this name already, which is left as it is",
            ),
            (PermissionDenied, "it may not be written"),
            (
                ReadOnlyFilesystem,
                "cannot be written: what it lies on takes no changes",
            ),
            (StorageFull, "cannot be written: the disk is full"),
        ] {
            assert_eq!(because(&kind.into()), wanted, "{kind:?}");
        }
    }
}
