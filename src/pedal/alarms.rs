//! Alarms by time; those of one moment go off in the order in which they were set.

use crate::pedal::moment::Moment;
use std::collections::BTreeMap;

/// Alarms that wait, each for something that is due then. To set, cancel or take one costs little however many wait.
#[derive(Debug)]
pub(super) struct Alarms<D> {
    set: u64,
    waiting: BTreeMap<Ticket, D>,
}

/// An alarm that was set, by which it can be cancelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Ticket {
    at: Moment,
    place: u64,
}

impl<D> Default for Alarms<D> {
    fn default() -> Alarms<D> {
        Alarms {
            set: 0,
            waiting: BTreeMap::new(),
        }
    }
}

impl<D> Alarms<D> {
    pub(super) fn set(&mut self, at: Moment, due: D) -> Ticket {
        let ticket = Ticket { at, place: self.set };
        self.set += 1;
        self.waiting.insert(ticket, due);
        ticket
    }

    /// Where the alarm has gone off already, nothing is cancelled.
    pub(super) fn cancel(&mut self, ticket: Ticket) {
        self.waiting.remove(&ticket);
    }

    pub(super) fn next(&self) -> Option<Moment> {
        self.waiting.first_key_value().map(|(ticket, _)| ticket.at)
    }

    /// The first alarm that is due by a moment, with its own.
    pub(super) fn take_due(&mut self, by: Moment) -> Option<(Moment, D)> {
        if self.next()? > by {
            return None;
        }
        self.waiting.pop_first().map(|(ticket, due)| (ticket.at, due))
    }

    #[cfg(test)]
    pub(super) fn len(&self) -> usize {
        self.waiting.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn alarms_go_off_by_time_and_then_in_the_order_in_which_they_were_set() {
        let mut alarms = Alarms::default();
        let [late, early, cancelled] = [30, 10, 20].map(|ms| Moment::START.after_ms(ms));
        alarms.set(late, "third");
        let ticket = alarms.set(cancelled, "never");
        alarms.set(late, "fourth");
        alarms.set(early, "first");
        alarms.set(early, "second");
        alarms.cancel(ticket);
        assert_eq!(alarms.next(), Some(early));
        assert_eq!(alarms.take_due(Moment::START.after_ms(9)), None);
        let taken: Vec<_> = std::iter::from_fn(|| alarms.take_due(late)).collect();
        let wanted = [(early, "first"), (early, "second"), (late, "third"), (late, "fourth")];
        assert_eq!(taken, wanted);
        assert_eq!((alarms.next(), alarms.len()), (None, 0));
        alarms.cancel(ticket);
    }
}
