//! The four figures of a plan, and one number that orders them alike.

/// The four figures, compared in this order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    pub unplayable: u64,
    pub clashes: u64,
    pub rushed: u64,
    pub effort: u64,
}

/// A cost packed into one number, most important figure highest, so that sums and comparisons are one instruction.
/// A set file of 16 MiB and a dozen players stays far within each part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Score(u128);

/// Where each figure begins, counted in bits from the lowest.
const RUSHED_AT: u32 = 50;
const CLASHES_AT: u32 = 74;
const UNPLAYABLE_AT: u32 = 100;

impl Score {
    pub(super) const ZERO: Score = Score(0);
    /// What a pin forbids: it stays the most whatever is added.
    pub(super) const FORBIDDEN: Score = Score(u128::MAX);

    pub(super) fn new(cost: Cost) -> Score {
        Score(
            u128::from(cost.unplayable) << UNPLAYABLE_AT
                | u128::from(cost.clashes) << CLASHES_AT
                | u128::from(cost.rushed) << RUSHED_AT
                | u128::from(cost.effort),
        )
    }

    pub(super) fn plus(self, other: Score) -> Score {
        Score(self.0.saturating_add(other.0))
    }
}

impl std::ops::AddAssign for Cost {
    fn add_assign(&mut self, other: Cost) {
        self.unplayable += other.unplayable;
        self.clashes += other.clashes;
        self.rushed += other.rushed;
        self.effort += other.effort;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_order_as_costs_do() {
        let costs = [0, 1, 70_000].into_iter().flat_map(|unplayable| {
            [0, 2].into_iter().flat_map(move |clashes| {
                [0, 3].into_iter().flat_map(move |rushed| {
                    [0, 1 << 40].map(|effort| Cost {
                        unplayable,
                        clashes,
                        rushed,
                        effort,
                    })
                })
            })
        });
        let costs: Vec<Cost> = costs.collect();
        for a in &costs {
            for b in &costs {
                assert_eq!(Score::new(*a).cmp(&Score::new(*b)), a.cmp(b), "{a:?} {b:?}");
            }
        }
    }
}
