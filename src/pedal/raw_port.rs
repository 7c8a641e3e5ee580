//! A raw port: MIDI bytes from a device, a serial line or a named pipe, read by a thread of its own.

#![allow(
    clippy::disallowed_methods,
    reason = "a door of this room: it opens a device, waits in a thread and reads the clock"
)]

use crate::pedal::PortId;
use crate::pedal::port::{Chunk, News, PortEvent};
use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::fs::{FileType, Mode, OFlags, fstat, open};
use rustix::io::Errno;
use rustix::pipe::{PipeFlags, pipe_with};
use std::os::fd::{AsFd, OwnedFd};
use std::path::{Path, PathBuf};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// A port being read; dropping it ends the reading.
pub struct RawPort {
    stop: Option<OwnedFd>,
    thread: Option<JoinHandle<()>>,
}

/// How often a port that is missing is looked for.
const LOOK_EVERY: Duration = Duration::from_millis(500);

impl RawPort {
    /// Reads `path` in a thread of its own; `send` takes what comes, and says whether anyone still listens.
    ///
    /// # Errors
    /// Where no thread or pipe could be made.
    pub fn open(
        path: &Path,
        port: PortId,
        send: impl Fn(PortEvent) -> bool + Send + 'static,
    ) -> std::io::Result<RawPort> {
        let (stopped, stop) = pipe_with(PipeFlags::CLOEXEC)?;
        let reader = Reader {
            path: path.to_path_buf(),
            port,
            send,
            stopped,
        };
        let thread = std::thread::Builder::new()
            .name(format!("port {}", port.0))
            .stack_size(STACK)
            .spawn(move || while reader.read_once() {})?;
        Ok(RawPort {
            stop: Some(stop),
            thread: Some(thread),
        })
    }
}

/// A reader needs little more than its buffer.
const STACK: usize = 64 * 1024;

impl Drop for RawPort {
    fn drop(&mut self) {
        // Closing our end of the pipe wakes the reader.
        self.stop = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

struct Reader<S> {
    path: PathBuf,
    port: PortId,
    send: S,
    stopped: OwnedFd,
}

impl<S: Fn(PortEvent) -> bool> Reader<S> {
    /// Opens the port and reads it until it goes; whether to look for it again.
    fn read_once(&self) -> bool {
        if let Some(device) = open_device(&self.path)
            && !(self.tell(News::Here) && self.read(&device) && self.tell(News::Gone))
        {
            return false;
        }
        !self.is_stopped_within(LOOK_EVERY)
    }

    /// Reads until the port goes; false where the reading was stopped.
    fn read(&self, device: &OwnedFd) -> bool {
        let mut bytes = [0; Chunk::MOST];
        loop {
            let mut fds = [
                PollFd::new(device, PollFlags::IN),
                PollFd::new(&self.stopped, PollFlags::IN),
            ];
            match poll(&mut fds, None) {
                Ok(_) | Err(Errno::INTR) => {}
                Err(_) => return true,
            }
            if !fds[1].revents().is_empty() {
                return false;
            }
            if fds[0].revents().is_empty() {
                continue;
            }
            match rustix::io::read(device, &mut bytes) {
                Ok(0) => return true,
                Ok(count) => {
                    if !self.tell(News::Bytes(Chunk::new(&bytes[..count]))) {
                        return false;
                    }
                }
                Err(Errno::AGAIN | Errno::INTR) if !fds[0].revents().contains(PollFlags::HUP) => {}
                Err(_) => return true,
            }
        }
    }

    fn tell(&self, news: News) -> bool {
        (self.send)(PortEvent {
            port: self.port,
            at: Instant::now(),
            news,
        })
    }

    fn is_stopped_within(&self, time: Duration) -> bool {
        let mut fds = [PollFd::new(&self.stopped, PollFlags::IN)];
        let time = Timespec {
            tv_sec: time.as_secs() as i64,
            tv_nsec: i64::from(time.subsec_nanos()),
        };
        poll(&mut fds, Some(&time)).is_ok_and(|ready| ready > 0)
    }
}

/// The port opened for reading, if it is there. A named pipe is opened for writing too, so that it does not end when
/// whoever writes to it does.
fn open_device(path: &Path) -> Option<OwnedFd> {
    let flags = OFlags::NOCTTY | OFlags::NONBLOCK | OFlags::CLOEXEC;
    let both = open(path, flags | OFlags::RDWR, Mode::empty());
    let device = both
        .or_else(|_| open(path, flags | OFlags::RDONLY, Mode::empty()))
        .ok()?;
    // A plain file would be read over and over.
    if FileType::from_raw_mode(fstat(&device).ok()?.st_mode) == FileType::RegularFile {
        return None;
    }
    if let Ok(mut line) = rustix::termios::tcgetattr(&device) {
        line.make_raw();
        let _ = rustix::termios::tcsetattr(device.as_fd(), rustix::termios::OptionalActions::Now, &line);
    }
    Some(device)
}
