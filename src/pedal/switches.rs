//! Switches: from what a switch says to presses, holds and releases of the foot.
//!
//! Each switch is deaf for a while from an accepted press: what it says then is remembered and not acted on.

use crate::pedal::bindings::Binding;
use crate::pedal::moment::Moment;
use crate::setlist::{PedalSettings, Sends};

/// What a press of a foot amounts to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Gesture {
    /// What `do` is bound to.
    Press,
    /// What `hold` is bound to.
    Hold,
}

/// How long things take, in milliseconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Timing {
    pub(super) debounce_ms: u32,
    pub(super) hold_ms: u32,
}

/// How a switch is to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Manner {
    pub(super) sends: Sends,
    pub(super) has_hold: bool,
}

/// One switch.
#[derive(Clone, Debug)]
pub(super) struct Switch {
    manner: Manner,
    /// What it said last.
    says_on: bool,
    /// A press waits to become a hold, or to be released before that.
    holding: bool,
    deaf_until: Moment,
}

/// A timer that a press asks for which may become a hold. Any other press is done at once, and needs no waking.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Alarm {
    /// The time of deafness is up, and a release that was said meanwhile counts.
    Hears,
    /// The time is reached at which a press becomes a hold.
    Holds,
}

impl Switch {
    pub(super) fn new(manner: Manner) -> Switch {
        Switch {
            manner,
            says_on: false,
            holding: false,
            deaf_until: Moment::START,
        }
    }

    /// The switch says on or off; what is done now, and whether a press was accepted, whose alarms must be set.
    pub(super) fn says(&mut self, on: bool, at: Moment, timing: Timing) -> (Option<Gesture>, bool) {
        let said = std::mem::replace(&mut self.says_on, on);
        if at < self.deaf_until {
            return (None, false);
        }
        let press = match self.manner.sends {
            Sends::Momentary => on && !said,
            Sends::Latching => on != said,
            Sends::Single => on,
        };
        if press {
            self.deaf_until = at.after_ms(timing.debounce_ms);
            self.holding = self.manner.has_hold;
            return ((!self.manner.has_hold).then_some(Gesture::Press), true);
        }
        (if on { None } else { self.release() }, false)
    }

    /// From now on it is read in this manner; what it said last stays said.
    pub(super) fn read_as(&mut self, manner: Manner) {
        if manner != self.manner {
            self.manner = manner;
            self.holding = false;
        }
    }

    /// Whether a press waits to become a hold.
    pub(super) fn is_holding(&self) -> bool {
        self.holding
    }

    fn release(&mut self) -> Option<Gesture> {
        std::mem::take(&mut self.holding).then_some(Gesture::Press)
    }

    pub(super) fn alarm(&mut self, alarm: Alarm) -> Option<Gesture> {
        match alarm {
            Alarm::Hears if self.says_on => None,
            Alarm::Hears => self.release(),
            Alarm::Holds => std::mem::take(&mut self.holding).then_some(Gesture::Hold),
        }
    }

    /// The cable is lost: a held switch is off, firing nothing; deaf it stays to the end of its time.
    pub(super) fn lost(&mut self) {
        self.holding = false;
        if self.manner.sends == Sends::Momentary {
            self.says_on = false;
        }
    }
}

impl Manner {
    pub(super) fn of(binding: &Binding) -> Manner {
        Manner {
            sends: binding.sends,
            has_hold: binding.hold.is_some(),
        }
    }
}

impl Timing {
    pub(super) fn of(settings: &PedalSettings) -> Timing {
        Timing {
            debounce_ms: settings.debounce_ms,
            hold_ms: settings.hold_ms,
        }
    }

    /// The alarms of a press accepted at `at`, in the order in which they are set.
    pub(super) fn alarms(self, at: Moment, manner: Manner) -> impl Iterator<Item = (Moment, Alarm)> {
        let waits = [(self.debounce_ms, Alarm::Hears), (self.hold_ms, Alarm::Holds)];
        let waits = waits.into_iter().filter(move |_| manner.has_hold);
        waits.map(move |(ms, alarm)| (at.after_ms(ms), alarm))
    }
}
