//! A raw port that is read, and its other end, which comes and goes: a named pipe, or a serial line that hangs up.

use crossbeam_channel::{Receiver, unbounded};
use footlights::pedal::{News, PortEvent, PortId, RawPort, Teller};
use pty_process::blocking::{Pts, Pty, open};
use rustix::fs::{CWD, FileType, Mode, mknodat};
use std::fs::{File, OpenOptions, read_link, remove_file};
use std::io::Write;
use std::os::fd::{AsFd, AsRawFd};
use std::os::unix::fs::symlink;
use std::path::PathBuf;
use std::time::{Duration, Instant};
use tempfile::TempDir;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Pipe,
    SerialLine,
}

pub(crate) struct Rig {
    kind: Kind,
    path: PathBuf,
    other_end: Option<OtherEnd>,
    arrivals: Receiver<PortEvent>,
    _port: RawPort,
    _folder: TempDir,
}

enum OtherEnd {
    Pipe(File),
    /// The line's own end is kept open, as a device is that a driver holds.
    SerialLine(Pty, #[allow(dead_code, reason = "it is held, not used")] Pts),
}

/// Far longer than anything here takes; what waits so long has failed.
const PATIENCE: Duration = Duration::from_secs(60);

impl Rig {
    /// A port that is there.
    pub(crate) fn new(kind: Kind) -> Rig {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("pedal");
        let other_end = Some(come(kind, &path));
        let (into, arrivals) = unbounded();
        let teller = Teller::new(move |event| into.send(event).is_ok());
        let port = RawPort::open(&path, PortId(0), teller).unwrap();
        let rig = Rig {
            kind,
            path,
            other_end,
            arrivals,
            _port: port,
            _folder: folder,
        };
        rig.until_here();
        rig
    }

    /// Takes the other end away; how long it takes until that is told.
    pub(crate) fn lose(&mut self) -> Duration {
        let start = Instant::now();
        match self.kind {
            Kind::Pipe => remove_file(&self.path).unwrap(),
            Kind::SerialLine => self.other_end = None,
        }
        let gone = self.next();
        assert!(matches!(gone.news, News::Gone), "{:?}: {gone:?}", self.kind);
        if self.kind == Kind::SerialLine {
            remove_file(&self.path).unwrap();
        }
        gone.at.saturating_duration_since(start)
    }

    /// Brings it back; how long it takes until that is told.
    pub(crate) fn find(&mut self) -> Duration {
        self.other_end = Some(come(self.kind, &self.path));
        let start = Instant::now();
        self.until_here().saturating_duration_since(start)
    }

    /// What is sent arrives.
    pub(crate) fn assert_carries(&mut self, bytes: &[u8]) {
        match self.other_end.as_mut().unwrap() {
            OtherEnd::Pipe(pipe) => pipe.write_all(bytes),
            OtherEnd::SerialLine(master, _) => master.write_all(bytes),
        }
        .unwrap();
        let told = self.next();
        assert!(
            matches!(&told.news, News::Bytes(chunk) if chunk.bytes() == bytes),
            "{:?}: {told:?}",
            self.kind
        );
    }

    fn until_here(&self) -> Instant {
        let here = self.next();
        assert!(matches!(here.news, News::Here(_)), "{:?}: {here:?}", self.kind);
        here.at
    }

    fn next(&self) -> PortEvent {
        self.arrivals.recv_timeout(PATIENCE).expect("something is told")
    }
}

fn come(kind: Kind, path: &PathBuf) -> OtherEnd {
    match kind {
        Kind::Pipe => {
            mknodat(CWD, path, FileType::Fifo, Mode::RUSR | Mode::WUSR, 0).unwrap();
            OtherEnd::Pipe(OpenOptions::new().read(true).write(true).open(path).unwrap())
        }
        Kind::SerialLine => {
            let (master, line) = open().unwrap();
            let name = read_link(format!("/proc/self/fd/{}", line.as_fd().as_raw_fd())).unwrap();
            // Another name each time, as a serial adapter may have; the path that is read leads to it.
            symlink(name, path).unwrap();
            OtherEnd::SerialLine(master, line)
        }
    }
}
