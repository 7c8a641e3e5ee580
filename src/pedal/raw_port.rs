//! A raw port: MIDI bytes from a device, a serial line or a named pipe, read by a thread of its own.
//!
//! The thread sleeps until there are bytes; while the port is away it tries again now and then.

use crate::pedal::PortId;
use crate::pedal::line::{Line, Read, may_be_a_port};
use crate::pedal::port::{Chunk, News, Teller};
use crate::pedal::sleep::{is_gone, sleep};
use crate::pedal::vigil::{Change, Vigil};
use std::convert::Infallible;
use std::io::{self, PipeReader, PipeWriter};
use std::os::fd::AsFd;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::{Builder, JoinHandle};
use std::time::Duration;

/// A port being read; dropping it ends the reading.
pub struct RawPort {
    /// Its closing tells the thread to stop.
    stop: Option<PipeWriter>,
    thread: Option<JoinHandle<()>>,
}

/// How often a port that is away is tried: it must be back within a second.
const TRY_AGAIN: Duration = Duration::from_millis(250);
/// A pipe without a writer counts as lost after so many tries, within a second: a script that opens it anew for each
/// press is no pedal that comes and goes.
const WITHOUT_A_WRITER: u32 = 3;
/// A reader needs little more than its buffer.
const STACK: usize = 64 * 1024;

impl RawPort {
    /// Reads `path` in a thread of its own and tells what comes. Where nothing stands at `path` yet, the port is gone
    /// until something does.
    ///
    /// # Errors
    /// Where a folder or a plain file stands at `path`, and where no thread or pipe could be made.
    pub fn open(path: &Path, port: PortId, teller: Teller) -> io::Result<RawPort> {
        may_be_a_port(path)?;
        let (stopped, stop) = io::pipe()?;
        let reader = Reader {
            path: path.into(),
            name: path.to_string_lossy().into(),
            port,
            teller,
            stopped,
            said: None,
        };
        let thread = Builder::new()
            .name(format!("port {}", port.0))
            .stack_size(STACK)
            .spawn(move || {
                let Err(Stop) = reader.keep_open();
            })?;
        Ok(RawPort {
            stop: Some(stop),
            thread: Some(thread),
        })
    }
}

impl Drop for RawPort {
    fn drop(&mut self) {
        self.stop = None;
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has said so itself.
            let _ = thread.join();
        }
    }
}

struct Reader {
    path: PathBuf,
    name: Arc<str>,
    port: PortId,
    teller: Teller,
    stopped: PipeReader,
    /// Whether it was said last that the port is here.
    said: Option<bool>,
}

/// Nobody wants the port any more.
struct Stop;

impl Reader {
    fn keep_open(mut self) -> Result<Infallible, Stop> {
        loop {
            if let Some(line) = self.open_line() {
                self.here()?;
                self.listen(line)?;
            }
            self.gone()?;
            if sleep(self.stopped.as_fd(), [None, None], Some(TRY_AGAIN)).stop {
                return Err(Stop);
            }
        }
    }

    /// A line whose other end is not there opens, and closes at once: that is none.
    fn open_line(&self) -> Option<Line> {
        Line::open(&self.path).ok().filter(|line| !is_gone(line.fd()))
    }

    /// Tells what comes, until the line closes.
    fn listen(&mut self, mut line: Line) -> Result<(), Stop> {
        // A pipe that is removed says nothing by itself.
        let vigil = line
            .is_pipe()
            .then(|| Vigil::over(&self.path, Change::Itself))
            .flatten();
        if !line.is_in_place() {
            // Removed before we watched.
            return Ok(());
        }
        let mut bytes = [0; Chunk::MOST];
        loop {
            let others = [Some(line.fd()), vigil.as_ref().map(Vigil::fd)];
            let woken = sleep(self.stopped.as_fd(), others, None);
            if woken.stop {
                return Err(Stop);
            }
            if woken.ready[0] {
                match line.read(&mut bytes) {
                    Read::Bytes(len) => self.tell(News::Bytes(Chunk::new(&bytes[..len])))?,
                    Read::NothingYet => {}
                    Read::Closed if line.is_pipe() => match self.wait_for_a_writer(&line, vigil.as_ref())? {
                        Some(anew) => line = anew,
                        None => return Ok(()),
                    },
                    Read::Closed => return Ok(()),
                }
            }
            if let Some(vigil) = vigil.as_ref().filter(|_| woken.ready[1]) {
                vigil.hear();
                if !line.is_in_place() {
                    return Ok(());
                }
            }
        }
    }

    /// Waits by a pipe whose writers have all gone: the pipe opened anew, or none where it stands there no more.
    fn wait_for_a_writer(&mut self, closed: &Line, vigil: Option<&Vigil>) -> Result<Option<Line>, Stop> {
        // The closed one is kept meanwhile: it alone tells of a writer that writes nothing yet, and no writer finds
        // nobody who reads.
        let Ok(anew) = Line::open(&self.path) else {
            return Ok(None);
        };
        let mut tries = 0;
        loop {
            let others = [Some(anew.fd()), vigil.map(Vigil::fd)];
            let woken = sleep(self.stopped.as_fd(), others, Some(TRY_AGAIN));
            if woken.stop {
                return Err(Stop);
            }
            if let Some(vigil) = vigil.filter(|_| woken.ready[1]) {
                vigil.hear();
            }
            if !closed.is_in_place() {
                return Ok(None);
            }
            if woken.ready[0] || !is_gone(closed.fd()) {
                self.here()?;
                return Ok(Some(anew));
            }
            tries += 1;
            if tries == WITHOUT_A_WRITER {
                self.gone()?;
            }
        }
    }

    fn here(&mut self) -> Result<(), Stop> {
        match self.said.replace(true) {
            Some(true) => Ok(()),
            Some(false) | None => self.tell(News::Here(self.name.clone())),
        }
    }

    fn gone(&mut self) -> Result<(), Stop> {
        match self.said.replace(false) {
            Some(false) => Ok(()),
            Some(true) | None => self.tell(News::Gone),
        }
    }

    fn tell(&self, news: News) -> Result<(), Stop> {
        if self.teller.tell(self.port, news) {
            Ok(())
        } else {
            Err(Stop)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pedal::port::PortEvent;
    use crossbeam_channel::{Receiver, unbounded};
    use rustix::fs::{CWD, FileType, Mode, mknodat};
    use std::fs::{File, OpenOptions, remove_file, rename};
    use std::io::Write;
    use tempfile::TempDir;

    /// Far longer than anything here takes; a test that waits so long has failed.
    const PATIENCE: Duration = Duration::from_secs(60);

    struct Stand {
        path: PathBuf,
        arrivals: Receiver<PortEvent>,
        _port: RawPort,
        _folder: TempDir,
    }

    fn make_pipe(path: &Path) {
        mknodat(CWD, path, FileType::Fifo, Mode::RUSR | Mode::WUSR, 0).unwrap();
    }

    /// A port on a named pipe, or on a path where there is nothing yet.
    fn stand(piped: bool) -> Stand {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("pedal");
        if piped {
            make_pipe(&path);
        }
        let (into, arrivals) = unbounded();
        let teller = Teller::new(move |event| into.send(event).is_ok());
        let port = RawPort::open(&path, PortId(3), teller).unwrap();
        Stand {
            path,
            arrivals,
            _port: port,
            _folder: folder,
        }
    }

    impl Stand {
        fn next(&self) -> String {
            let arrival = self.arrivals.recv_timeout(PATIENCE).unwrap();
            assert_eq!(arrival.port, PortId(3));
            match arrival.news {
                News::Bytes(chunk) => format!("{chunk:?}"),
                News::Here(name) => {
                    assert_eq!(*name, *self.path.to_str().unwrap());
                    "here".into()
                }
                News::Gone => "gone".into(),
            }
        }

        fn writer(&self) -> File {
            OpenOptions::new().write(true).open(&self.path).unwrap()
        }
    }

    #[test]
    fn what_is_written_at_once_arrives_at_once_and_one_writer_may_follow_another() {
        let stand = stand(true);
        assert_eq!(stand.next(), "here");
        for bytes in [&[0xB0, 80, 127][..], &[80], &[0; 120], &[0xF8]] {
            stand.writer().write_all(bytes).unwrap();
            // On a busy machine the time between two of them may be long enough for the pipe to be lost meanwhile.
            let told = std::iter::repeat_with(|| stand.next()).find(|told| told.starts_with('['));
            assert_eq!(told, Some(format!("{bytes:02X?}")));
        }
    }

    #[test]
    fn a_pipe_whose_last_writer_has_gone_is_lost_until_another_comes_though_it_writes_nothing_yet() {
        let stand = stand(true);
        assert_eq!(
            stand.next(),
            "here",
            "a pipe that nobody has written to yet waits for its first writer"
        );
        let (first, second) = (stand.writer(), stand.writer());
        drop(first);
        drop(second);
        for _ in 0..2 {
            assert_eq!(stand.next(), "gone");
            let mut writer = stand.writer();
            assert_eq!(stand.next(), "here");
            writer.write_all(&[0xFA]).unwrap();
            assert_eq!(stand.next(), "[FA]");
        }
        assert_eq!(stand.next(), "gone");
        stand.writer().write_all(&[0xFA]).unwrap();
        assert_eq!(
            [stand.next(), stand.next()],
            ["here", "[FA]"],
            "one that has gone again before it was seen"
        );
    }

    #[test]
    fn a_pipe_that_is_removed_or_moved_is_lost_and_taken_again_when_it_is_back() {
        let stand = stand(true);
        assert_eq!(stand.next(), "here");
        for round in 0..2 {
            if round == 0 {
                remove_file(&stand.path).unwrap();
            } else {
                rename(&stand.path, stand.path.with_extension("old")).unwrap();
            }
            assert_eq!(stand.next(), "gone");
            make_pipe(&stand.path);
            assert_eq!(stand.next(), "here");
            stand.writer().write_all(&[0xFA]).unwrap();
            assert_eq!(stand.next(), "[FA]");
        }
    }

    #[test]
    fn a_path_where_nothing_stands_yet_is_lost_until_something_does() {
        let stand = stand(false);
        assert_eq!(stand.next(), "gone");
        make_pipe(&stand.path);
        assert_eq!(stand.next(), "here");
    }

    #[test]
    fn a_plain_file_is_refused_in_words() {
        let folder = tempfile::tempdir().unwrap();
        let error = RawPort::open(folder.path(), PortId(0), Teller::new(|_| true))
            .err()
            .unwrap();
        let words = "is a folder, not a MIDI device, a serial line or a named pipe";
        assert!(error.to_string().ends_with(words), "{error}");
    }

    /// A serial line as it comes would wait for a line feed, make one of a carriage return, and take 3 for a signal.
    #[test]
    fn a_serial_line_is_read_as_it_is_lost_when_it_hangs_up_and_given_back_as_it_was() {
        let (mut master, slave) = pty_process::blocking::open().unwrap();
        let path = std::fs::read_link(format!("/proc/self/fd/{}", {
            use std::os::fd::AsRawFd;
            slave.as_fd().as_raw_fd()
        }));
        let path = path.unwrap();
        let modes = || rustix::termios::tcgetattr(&slave).unwrap().local_modes;
        let before = modes();
        let (into, arrivals) = unbounded();
        let teller = Teller::new(move |event| into.send(event).is_ok());
        let port = RawPort::open(&path, PortId(0), teller.clone()).unwrap();
        let next = || format!("{:02X?}", arrivals.recv_timeout(PATIENCE).unwrap().news);
        let here = format!("Here({path:?})");
        assert_eq!(next(), here);
        let bytes = [0x0D, 0x0A, 0x03, 0x11, 0x13, 0x7F, 0x04, 0xFF];
        master.write_all(&bytes).unwrap();
        assert_eq!(next(), format!("Bytes({bytes:02X?})"));
        assert_ne!(modes(), before);
        drop(port);
        assert_eq!(modes(), before);
        let _port = RawPort::open(&path, PortId(0), teller).unwrap();
        assert_eq!(next(), here);
        drop(master);
        assert_eq!(next(), "Gone");
    }
}
