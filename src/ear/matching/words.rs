//! The words of the verdict: what was found, and what the player can do where it could not be told.

use super::{CannotTell, Why};
use std::fmt;

impl fmt::Display for CannotTell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CannotTell::TooFewNotes { used, mostly } => {
                write!(f, "too few single notes: three are needed and {used} could be used")?;
                if let Some(why) = mostly {
                    write!(f, "; most of the others: {why}")?;
                }
                f.write_str(
                    ". Play single notes low on the neck, each damped before the next, best the six open strings.",
                )
            }
            CannotTell::TwoAlike(one, other) => write!(
                f,
                "{one} and {other} fit almost alike. Play more notes, and move the pick along the strings."
            ),
            CannotTell::NoneFits => f.write_str(
                "no position of this guitar fits well. Play clean single notes, and measure the pickups to 3 mm from the \
                 bridge saddle; is the capo right?",
            ),
            CannotTell::NoNull => f.write_str(
                "no pickup's null is to be heard. The sound is too muffled or distorted: record straight from the \
                 guitar, with its tone full up.",
            ),
        }
    }
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Why::Clipped => "clipped; record it softer",
            Why::Short => "shorter than 0.2 s",
            Why::NoPitch => "no pitch in it",
            Why::OutOfTune => "more than 40 cents off; tune the guitar",
            Why::OutOfPosition => "not low on the neck",
            Why::SeveralStrings => "more than one string at once",
        })
    }
}
