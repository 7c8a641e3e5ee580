//! The clock's place, counted in MIDI clocks, and where by that count a step ends.

use crate::setlist::{Set, StepId};
use std::num::NonZeroU64;

/// Counts clocks from the last Start, or from the first clock seen.
#[derive(Clone, Debug)]
pub(super) struct Follow {
    /// Clocks counted so far: the last one's place is one less, since the first is place 0.
    counted: u64,
    running: bool,
}

/// The place at which a step ends by itself; none where it waits for a press. No step ends where counting begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct StepEnd(Option<NonZeroU64>);

impl Default for Follow {
    fn default() -> Follow {
        Follow {
            counted: 0,
            running: true,
        }
    }
}

impl Follow {
    pub(super) fn clock(&mut self) {
        self.counted += u64::from(self.running);
    }

    pub(super) fn start(&mut self) {
        *self = Follow::default();
    }

    pub(super) fn stop(&mut self) {
        self.running = false;
    }

    pub(super) fn resume(&mut self) {
        self.running = true;
    }

    /// Whether a step with this end is over at the clock counted just now.
    pub(super) fn is_due(&self, end: StepEnd) -> bool {
        self.running && self.counted > 0 && end.place() == Some(self.place())
    }

    /// The end of a step entered now: it begins on the nearest bar line, the later one from halfway.
    pub(super) fn end_of(&self, set: &Set, step: StepId) -> StepEnd {
        let end = bar_and_length(set, step).map(|(bar, length)| {
            let line = (self.place() + bar / 2) / bar * bar;
            line + length
        });
        StepEnd::at(end)
    }

    /// The end of a step that `undo` comes back to: as it was, or begun anew where that is past.
    pub(super) fn end_again(&self, set: &Set, step: StepId, end: StepEnd) -> StepEnd {
        match end.place() {
            Some(place) if place > self.place() => end,
            _ => self.end_of(set, step),
        }
    }

    /// The end of a step that is another one's in a set read anew, played so many times in a row: it began where it
    /// began, and lasts as long as it is said to last now.
    pub(super) fn end_moved(&self, was: (&Set, StepId), is: (&Set, StepId), end: StepEnd, times: u32) -> StepEnd {
        let (old, new) = (bar_and_length(was.0, was.1), bar_and_length(is.0, is.1));
        if old == new {
            return end;
        }
        let played = |length: u64| length * u64::from(times);
        let began = end
            .place()
            .zip(old)
            .and_then(|(end, (_, length))| end.checked_sub(played(length)));
        let end = StepEnd::at(began.zip(new).map(|(began, (_, length))| began + played(length)));
        self.end_again(is.0, is.1, end)
    }

    fn place(&self) -> u64 {
        self.counted.saturating_sub(1)
    }
}

impl StepEnd {
    /// A gap page, the end, a step whose length is not known.
    pub(super) const NEVER: StepEnd = StepEnd(None);

    fn at(place: Option<u64>) -> StepEnd {
        StepEnd(place.and_then(NonZeroU64::new))
    }

    fn place(self) -> Option<u64> {
        self.0.map(NonZeroU64::get)
    }

    /// The end when the step is played once more.
    pub(super) fn later(self, set: &Set, step: StepId) -> StepEnd {
        StepEnd::at(
            self.place()
                .zip(bar_and_length(set, step))
                .map(|(end, (_, length))| end + length),
        )
    }
}

/// A bar's and the whole step's clocks, where song and step say both.
fn bar_and_length(set: &Set, step: StepId) -> Option<(u64, u64)> {
    let bar = u64::from(set.song(step.song()).meter?.clocks_a_bar());
    let bars = set.section(step).bars?;
    Some((bar, bar * u64::from(bars.count())))
}
