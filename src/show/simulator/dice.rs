//! Random choices that a seed tells.

/// Splitmix64, by Sebastiano Vigna, from memory.
#[derive(Clone)]
pub(super) struct Dice(u64);

impl Dice {
    pub(super) fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x2545_F491_4F6C_DD1D))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 to `below` - 1.
    pub(super) fn below(&mut self, below: usize) -> usize {
        (self.next() % below.max(1) as u64) as usize
    }

    /// True once in `times`.
    pub(super) fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    pub(super) fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}
