//! A set of capo frets, small enough to be copied: what a player may choose from in one song.

use crate::music::Fret;

/// Frets, one bit each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Frets(u16);

impl Frets {
    pub(super) fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    pub(super) fn is_empty(self) -> bool {
        self.0 == 0
    }

    pub(super) fn has(self, fret: Fret) -> bool {
        self.0 >> fret.number() & 1 == 1
    }

    pub(super) fn without(self, fret: Fret) -> Frets {
        Frets(self.0 & !(1 << fret.number()))
    }

    /// From the lowest up.
    pub(super) fn iter(self) -> impl Iterator<Item = Fret> + Clone {
        Fret::MAX.up_to().filter(move |&fret| self.has(fret))
    }

    /// How many of these frets are lower than one of them.
    pub(super) fn place(self, fret: Fret) -> Option<usize> {
        let below = self.0 & ((1 << fret.number()) - 1);
        self.has(fret).then_some(below.count_ones() as usize)
    }

    /// Those for which `figure` is least.
    pub(super) fn least_by(self, figure: impl Fn(Fret) -> u64) -> Frets {
        let least = self.iter().map(&figure).min();
        self.iter().filter(|&fret| Some(figure(fret)) == least).collect()
    }
}

impl FromIterator<Fret> for Frets {
    fn from_iter<I: IntoIterator<Item = Fret>>(frets: I) -> Frets {
        Frets(frets.into_iter().fold(0, |set, fret| set | 1 << fret.number()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frets(numbers: &[i64]) -> Frets {
        numbers.iter().map(|&number| Fret::new(number).unwrap()).collect()
    }

    #[test]
    fn frets_come_from_the_lowest_up_and_know_their_place() {
        let set = frets(&[7, 0, 11, 3]);
        assert_eq!(set.iter().map(Fret::number).collect::<Vec<_>>(), [0, 3, 7, 11]);
        assert_eq!(set.place(Fret::new(7).unwrap()), Some(2));
        assert_eq!(set.place(Fret::new(4).unwrap()), None);
        assert_eq!(set.without(Fret::MAX).len(), 3);
        assert_eq!(set.least_by(|fret| u64::from(fret.number() % 7)), frets(&[0, 7]));
    }
}
