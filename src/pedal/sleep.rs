//! How the port threads sleep: until there is something to read, they are called, or the time is up.

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use std::os::fd::BorrowedFd;
use std::time::Duration;

/// What woke the thread; nothing at all where the time was up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Woken {
    /// The other end of the call pipe was closed: stop.
    pub(super) stop: bool,
    /// Something was written into the call pipe.
    pub(super) called: bool,
    /// Which of the two can be read, or have closed.
    pub(super) ready: [bool; 2],
}

/// Sleeps, for ever where `at_most` is none.
pub(super) fn sleep(call: BorrowedFd<'_>, others: [Option<BorrowedFd<'_>>; 2], at_most: Option<Duration>) -> Woken {
    // The call pipe stands in for what is not there.
    let mut fds =
        [Some(call), others[0], others[1]].map(|fd| PollFd::from_borrowed_fd(fd.unwrap_or(call), PollFlags::IN));
    let at_most = at_most.and_then(|at_most| Timespec::try_from(at_most).ok());
    if poll(&mut fds, at_most.as_ref()).is_err() {
        // A signal came between: the caller looks again.
        return Woken::default();
    }
    let [call, first, second] = fds.map(|fd| fd.revents());
    Woken {
        stop: call.intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL) && !call.contains(PollFlags::IN),
        called: call.contains(PollFlags::IN),
        ready: [
            others[0].is_some() && !first.is_empty(),
            others[1].is_some() && !second.is_empty(),
        ],
    }
}

/// Whether what is read from `fd` has gone already.
pub(super) fn is_gone(fd: BorrowedFd<'_>) -> bool {
    let mut fds = [PollFd::from_borrowed_fd(fd, PollFlags::IN)];
    match poll(&mut fds, Some(&Timespec::default())) {
        Ok(_) => fds[0]
            .revents()
            .intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL),
        Err(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Write, pipe};
    use std::os::fd::AsFd;

    #[test]
    fn a_sleeper_wakes_for_each_thing_that_it_was_told_to_wait_for() {
        let (call, mut caller) = pipe().unwrap();
        let (first, mut first_in) = pipe().unwrap();
        let (second, second_in) = pipe().unwrap();
        let woken = || {
            sleep(
                call.as_fd(),
                [Some(first.as_fd()), Some(second.as_fd())],
                Some(Duration::ZERO),
            )
        };
        let nothing = Woken::default();
        assert_eq!(woken(), nothing);
        first_in.write_all(&[1]).unwrap();
        let ready = [true, false];
        assert_eq!(woken(), Woken { ready, ..nothing });
        drop(second_in);
        let ready = [true, true];
        assert_eq!(woken(), Woken { ready, ..nothing });
        caller.write_all(&[1]).unwrap();
        let called = true;
        assert_eq!(
            woken(),
            Woken {
                ready,
                called,
                ..nothing
            }
        );
        let alone = || sleep(call.as_fd(), [None, None], None);
        assert_eq!(alone(), Woken { called, ..nothing });
        drop(caller);
        assert_eq!(alone(), Woken { called, ..nothing }, "what was called is heard first");
        rustix::io::read(&call, &mut [0; 8]).unwrap();
        assert_eq!(alone(), Woken { stop: true, ..nothing });
    }
}
