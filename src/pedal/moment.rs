//! Time within a show, as a value: nanoseconds since it began.

/// A moment of a show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(u64);

impl Moment {
    pub const START: Moment = Moment(0);

    pub const fn from_ns(ns: u64) -> Moment {
        Moment(ns)
    }

    pub const fn from_ms(ms: u64) -> Moment {
        Moment(ms * 1_000_000)
    }

    pub const fn as_ns(self) -> u64 {
        self.0
    }

    pub fn as_ms(self) -> f64 {
        self.0 as f64 / 1e6
    }

    pub const fn after_ms(self, ms: u32) -> Moment {
        Moment(self.0 + ms as u64 * 1_000_000)
    }

    /// Nanoseconds from `earlier`; 0 where that is later.
    pub const fn since(self, earlier: Moment) -> u64 {
        self.0.saturating_sub(earlier.0)
    }
}
