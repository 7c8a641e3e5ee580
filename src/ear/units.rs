//! The units of sound and of the guitar: millimetres, hertz, decibels, seeds.

/// A length along a string, in millimetres; pickups and picks are measured from the bridge saddle.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Millimetres(f64);

/// A frequency in Hz.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Hertz(f64);

/// A ratio of levels in decibels.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Decibels(f64);

/// Where chance begins: the same seed gives the same sounds and questions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seed(u64);

impl Millimetres {
    pub const fn new(mm: f64) -> Millimetres {
        Millimetres(mm)
    }

    pub const fn mm(self) -> f64 {
        self.0
    }
}

impl Hertz {
    pub const fn new(hz: f64) -> Hertz {
        Hertz(hz)
    }

    pub const fn hz(self) -> f64 {
        self.0
    }

    pub(crate) const fn khz(self) -> f64 {
        self.0 / 1000.0
    }
}

impl Decibels {
    pub const fn new(db: f64) -> Decibels {
        Decibels(db)
    }

    pub const fn db(self) -> f64 {
        self.0
    }

    /// As a factor of amplitude: 20 dB is ten times.
    pub fn amplitude(self) -> f64 {
        10_f64.powf(self.0 / 20.0)
    }

    /// The level of an amplitude against 1; nothing at all is minus infinity.
    pub(crate) fn of_amplitude(amplitude: f64) -> Decibels {
        Decibels(20.0 * amplitude.abs().log10())
    }
}

impl Seed {
    pub const fn new(seed: u64) -> Seed {
        Seed(seed)
    }

    pub const fn number(self) -> u64 {
        self.0
    }

    /// A seed of its own for the part so numbered, so that one part's chance does not hang on how much another took.
    pub fn part(self, number: u64) -> Seed {
        Seed(mixed(self.0 ^ mixed(number.wrapping_add(GOLDEN))))
    }

    pub(crate) fn chance(self) -> Chance {
        Chance(self.0)
    }
}

/// Numbers by chance, one after another, from a seed.
///
/// SplitMix64: G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014 (from memory;
/// a test has its published first values).
pub(crate) struct Chance(u64);

const GOLDEN: u64 = 0x9E37_79B9_7F4A_7C15;

fn mixed(mut bits: u64) -> u64 {
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    bits ^ (bits >> 31)
}

impl Chance {
    pub(crate) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(GOLDEN);
        mixed(self.0)
    }

    /// From 0 up to, but without, 1.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From `least` to `most`, all alike.
    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    /// A place in a list so long; 0 for an empty one.
    pub(crate) fn place(&mut self, len: usize) -> usize {
        ((self.unit() * len as f64) as usize).min(len.saturating_sub(1))
    }

    /// A place in a list of weights, by weight; none where all are nothing.
    pub(crate) fn weighted(&mut self, weights: &[f64]) -> Option<usize> {
        let mut left = self.unit() * weights.iter().sum::<f64>();
        let heavy = |&(_, weight): &(usize, &f64)| *weight > 0.0;
        let heavy = weights.iter().enumerate().filter(heavy);
        let mut last = None;
        for (place, weight) in heavy {
            left -= weight;
            last = Some(place);
            if left < 0.0 {
                break;
            }
        }
        last
    }

    /// Puts a list into an order by chance.
    pub(crate) fn shuffle<T>(&mut self, list: &mut [T]) {
        for end in (1..list.len()).rev() {
            list.swap(end, self.place(end + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the first values of SplitMix64 from seed 1234567, as many test suites carry them (from memory).
    #[test]
    fn chance_is_the_published_generator() {
        let mut chance = Seed::new(1_234_567).chance();
        let wanted = [
            6_457_827_717_110_365_317,
            3_203_168_211_198_807_973,
            9_817_491_932_198_370_423,
        ];
        assert_eq!([(); 3].map(|()| chance.bits()), wanted);
    }

    #[test]
    fn a_weight_of_nothing_is_never_drawn() {
        let mut chance = Seed::new(1).chance();
        let mut drawn = [0; 3];
        for _ in 0..4000 {
            drawn[chance.weighted(&[1.0, 0.0, 3.0]).unwrap()] += 1;
        }
        assert_eq!(drawn[1], 0);
        assert!((900..1100).contains(&drawn[0]), "{drawn:?}");
        assert_eq!(chance.weighted(&[0.0, 0.0]), None);
        assert_eq!(chance.weighted(&[]), None);
    }

    #[test]
    fn twenty_decibels_are_ten_times() {
        assert!((Decibels::new(20.0).amplitude() - 10.0).abs() < 1e-12);
        assert!((Decibels::of_amplitude(0.5).db() + 6.0206).abs() < 1e-4);
    }
}
