//! Watches over a path without waking: readable when something has changed there. Linux alone tells of it.

/// What to watch for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Change {
    /// The file itself is removed, moved or given other rights.
    Itself,
    /// Something new stands in the folder.
    Newcomer,
}

#[cfg(target_os = "linux")]
mod watch {
    use super::Change;
    use rustix::fs::inotify::{CreateFlags, WatchFlags, add_watch, init};
    use std::os::fd::{AsFd, BorrowedFd, OwnedFd};
    use std::path::Path;

    pub(in super::super) struct Vigil(OwnedFd);

    impl Vigil {
        pub(in super::super) fn over(path: &Path, change: Change) -> Option<Vigil> {
            // A file that is open is not deleted by removing it: its count of links changes, which is an attribute.
            let flags = match change {
                Change::Itself => WatchFlags::ATTRIB | WatchFlags::MOVE_SELF | WatchFlags::DELETE_SELF,
                Change::Newcomer => WatchFlags::CREATE | WatchFlags::MOVED_TO,
            };
            let fd = init(CreateFlags::CLOEXEC | CreateFlags::NONBLOCK).ok()?;
            add_watch(&fd, path, flags).ok()?;
            Some(Vigil(fd))
        }

        /// Takes what was told, so that it is told once.
        pub(in super::super) fn hear(&self) {
            let mut told = [0; 1024];
            while rustix::io::read(&self.0, &mut told).is_ok_and(|len| len > 0) {}
        }

        pub(in super::super) fn fd(&self) -> BorrowedFd<'_> {
            self.0.as_fd()
        }
    }
}

#[cfg(not(target_os = "linux"))]
mod watch {
    use super::Change;
    use std::os::fd::BorrowedFd;
    use std::path::Path;

    pub(in super::super) enum Vigil {}

    impl Vigil {
        pub(in super::super) fn over(_: &Path, _: Change) -> Option<Vigil> {
            None
        }

        pub(in super::super) fn hear(&self) {
            match *self {}
        }

        pub(in super::super) fn fd(&self) -> BorrowedFd<'_> {
            match *self {}
        }
    }
}

pub(super) use watch::Vigil;
