//! A capo fret: 0 (no capo) to 11.

use std::fmt;

/// Where the capo sits, 0 for no capo.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fret(u8);

/// What was given where a capo fret was wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAFret(i64);

impl Fret {
    pub const OPEN: Fret = Fret(0);
    pub const MAX: Fret = Fret(11);

    /// # Errors
    /// Where `number` is not 0 to 11.
    pub fn new(number: i64) -> Result<Fret, NotAFret> {
        u8::try_from(number)
            .ok()
            .filter(|&n| n <= Self::MAX.0)
            .map(Fret)
            .ok_or(NotAFret(number))
    }

    pub const fn number(self) -> u8 {
        self.0
    }

    /// Every fret from none up to this one.
    pub fn up_to(self) -> impl DoubleEndedIterator<Item = Fret> + Clone {
        (0..=self.0).map(Fret)
    }

    /// Frets up the neck from `from` to here; negative where the capo comes down.
    pub fn move_from(self, from: Fret) -> i8 {
        self.0 as i8 - from.0 as i8
    }

    /// What is done with a capo that sits at `before`: `stay`, `put on`, `take off`, `up 2`, `down 1`.
    pub fn way_from(self, before: Fret) -> String {
        match (before, self) {
            (before, here) if before == here => "stay".into(),
            (Fret::OPEN, _) => "put on".into(),
            (_, Fret::OPEN) => "take off".into(),
            (before, here) => match here.move_from(before) {
                up @ 1.. => format!("up {up}"),
                down => format!("down {}", down.unsigned_abs()),
            },
        }
    }

    /// So many frets up or down, where that is still a capo fret.
    pub fn shifted(self, by: i8) -> Option<Fret> {
        Fret::new(i64::from(self.0) + i64::from(by)).ok()
    }
}

impl fmt::Display for Fret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl fmt::Display for NotAFret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a capo fret is 0 (no capo) to 11, not `{}`", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fret_out_of_reach_is_refused_in_words() {
        assert_eq!(
            Fret::new(12).unwrap_err().to_string(),
            "a capo fret is 0 (no capo) to 11, not `12`"
        );
        assert!(Fret::new(-1).is_err());
        assert_eq!(Fret::new(3).unwrap().move_from(Fret::new(5).unwrap()), -2);
    }
}
