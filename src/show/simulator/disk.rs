//! A disk as a day may have it: it takes lines, is full for a while, or loses what it has.

use crate::show::journal::paper::{Failed, Paper};
use std::cell::RefCell;
use std::io;
use std::rc::Rc;

/// What the disk holds; it outlives the show that wrote it.
#[derive(Clone, Default)]
pub(super) struct Disk(Rc<RefCell<Held>>);

#[derive(Default)]
struct Held {
    text: Vec<u8>,
    /// Where the last write began.
    last: usize,
    full: usize,
    gone: bool,
    /// Whether the last write went well.
    took: bool,
}

/// More than this is cut off at the front, up to the line before a whole account, as coming back reads no more either.
const LONG: usize = 1 << 17;

impl Disk {
    /// Refuses so many writes.
    pub(super) fn fill(&self, writes: usize) {
        self.0.borrow_mut().full = writes;
    }

    /// Loses the journal at the next write.
    pub(super) fn lose(&self) {
        self.0.borrow_mut().gone = true;
    }

    pub(super) fn took(&self) -> bool {
        self.0.borrow().took
    }

    /// The machine dies while the last write is half done; `left` of its bytes were written.
    pub(super) fn tear(&self, left: impl FnOnce(usize) -> usize) {
        let mut held = self.0.borrow_mut();
        let keep = held.last + left(held.text.len() - held.last);
        held.text.truncate(keep);
    }

    pub(super) fn text(&self) -> String {
        String::from_utf8_lossy(&self.0.borrow().text).into_owned()
    }

    /// Half a line at the end goes, as it does when a journal is gone on with.
    pub(super) fn mend(&self) {
        let mut held = self.0.borrow_mut();
        let end = held
            .text
            .iter()
            .rposition(|&byte| byte == b'\n')
            .map_or(0, |place| place + 1);
        held.text.truncate(end);
    }
}

impl Paper for Disk {
    fn append(&mut self, lines: &[u8]) -> Result<(), Failed> {
        let mut held = self.0.borrow_mut();
        let error = || io::Error::from(io::ErrorKind::StorageFull);
        held.took = false;
        if held.full > 0 {
            held.full -= 1;
            return Err(Failed::Full(error()));
        }
        if std::mem::take(&mut held.gone) {
            held.text.clear();
            held.last = 0;
            return Err(Failed::Gone(error()));
        }
        if held.text.len() > LONG {
            let whole = b"\n{\"whole\":";
            let place = held.text.windows(whole.len()).rposition(|window| window == whole);
            let before = place.and_then(|place| held.text[..place].iter().rposition(|&byte| byte == b'\n'));
            held.text.drain(..before.map_or(0, |place| place + 1));
        }
        held.last = held.text.len();
        held.text.extend_from_slice(lines);
        held.took = true;
        Ok(())
    }
}
