//! The four figures of a plan, and one number that orders the two of them that go from song to song.

/// The four figures, compared in this order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    pub unplayable: u64,
    pub clashes: u64,
    pub rushed: u64,
    pub effort: u64,
}

/// `rushed` and `effort` in one number, so that a sum and a comparison are one step each.
///
/// Unplayable keys and clashes are settled within each song, whatever its neighbours do, so only these two need be
/// carried along. Each has 64 bits: no set that fits in memory comes near that.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Score(u128);

impl Score {
    pub(super) const ZERO: Score = Score(0);
    /// What may not be taken: it stays the most, whatever is added.
    pub(super) const FORBIDDEN: Score = Score(u128::MAX);

    pub(super) fn new(rushed: u64, effort: u64) -> Score {
        Score(u128::from(rushed) << 64 | u128::from(effort))
    }

    pub(super) fn plus(self, other: Score) -> Score {
        Score(self.0.saturating_add(other.0))
    }

    pub(super) fn rushed(self) -> u64 {
        (self.0 >> 64) as u64
    }

    pub(super) fn effort(self) -> u64 {
        self.0 as u64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rush_outweighs_any_effort_and_the_forbidden_outweighs_all() {
        let rising = [
            Score::ZERO,
            Score::new(0, 1),
            Score::new(0, u64::from(u32::MAX)),
            Score::new(1, 0),
            Score::new(1, 7),
            Score::new(70_000, 0),
            Score::FORBIDDEN,
        ];
        assert!(rising.is_sorted_by(|a, b| a < b));
        assert_eq!(Score::FORBIDDEN.plus(Score::new(1, 1)), Score::FORBIDDEN);
        let sum = Score::new(2, 40).plus(Score::new(3, 2));
        assert_eq!((sum.rushed(), sum.effort()), (5, 42));
    }
}
