//! Time within a show, as a value: nanoseconds since it began.

/// A moment of a show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(u64);

impl Moment {
    pub const START: Moment = Moment(0);

    pub const fn from_ns(ns: u64) -> Moment {
        Moment(ns)
    }

    pub const fn as_ns(self) -> u64 {
        self.0
    }

    pub fn as_ms(self) -> f64 {
        self.0 as f64 / 1e6
    }

    pub const fn after_ms(self, ms: u32) -> Moment {
        self.after_ns(ms as u64 * 1_000_000)
    }

    pub(crate) const fn after_ns(self, ns: u64) -> Moment {
        Moment(self.0.saturating_add(ns))
    }

    /// Nanoseconds from `earlier`; 0 where that is later.
    pub const fn since(self, earlier: Moment) -> u64 {
        self.0.saturating_sub(earlier.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn milliseconds_go_in_and_come_out() {
        assert_eq!(Moment::START.after_ms(250).after_ms(80), Moment::START.after_ms(330));
        assert_eq!(Moment::from_ns(1_500_000).as_ms(), 1.5);
    }

    #[test]
    fn time_never_runs_backwards_or_over() {
        assert_eq!(Moment::START.since(Moment::START.after_ms(1)), 0);
        assert_eq!(Moment::from_ns(u64::MAX).after_ms(1), Moment::from_ns(u64::MAX));
    }
}
