//! The repertoire: what questions are played on. The model of the guitar, a set's own chords on it, or recordings.

use crate::ear::phrase::{Material, Phrase};
use crate::ear::pickup::{Instrument, Position};
use crate::ear::playing::sound;
use crate::ear::quiz::difference;
use crate::ear::recordings::Recordings;
use crate::ear::sound::{Sound, match_levels};
use crate::ear::units::{Chance, Seed};

/// What can be played at each of some positions.
pub struct Repertoire {
    positions: Vec<Position>,
    from: From,
}

enum From {
    Model { instrument: Instrument, pieces: Vec<Piece> },
    Own(Recordings),
}

/// Chords to play on, and the phrase that goes with them where something names one.
pub struct Piece {
    pub phrase: Option<Phrase>,
    pub material: Material,
}

/// Why there is nothing to ask.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TooFewPositions {
    /// Those that there are.
    pub positions: Vec<String>,
}

impl Repertoire {
    /// Every position of the guitar, on the usual chords.
    pub fn of_guitar(instrument: Instrument) -> Repertoire {
        let usual = Piece {
            phrase: None,
            material: Material::default(),
        };
        Repertoire {
            positions: instrument.positions.clone(),
            from: From::Model {
                instrument,
                pieces: vec![usual],
            },
        }
    }

    /// The positions that a set's sections call for, on its own chords.
    ///
    /// # Errors
    /// Where it calls for fewer than two of the guitar's positions.
    pub fn of_set(instrument: Instrument, called: &[&str], pieces: Vec<Piece>) -> Result<Repertoire, TooFewPositions> {
        let all = instrument.positions.iter();
        let positions: Vec<Position> = all.filter(|it| called.contains(&it.name.as_str())).cloned().collect();
        let mut repertoire = Repertoire::of_guitar(instrument);
        repertoire.positions = enough(positions)?;
        if let From::Model { pieces: usual, .. } = &mut repertoire.from
            && !pieces.is_empty()
        {
            *usual = pieces;
        }
        Ok(repertoire)
    }

    /// The player's own recordings.
    ///
    /// # Errors
    /// Where they are of fewer than two positions.
    pub fn of_recordings(instrument: &Instrument, recordings: Recordings) -> Result<Repertoire, TooFewPositions> {
        let all = instrument.positions.iter();
        let positions: Vec<Position> = all.filter(|it| recordings.has(&it.name)).cloned().collect();
        Ok(Repertoire {
            positions: enough(positions)?,
            from: From::Own(recordings),
        })
    }

    pub fn positions(&self) -> &[Position] {
        &self.positions
    }

    pub(crate) fn is_own(&self) -> bool {
        matches!(self.from, From::Own(_))
    }

    /// Whether there is a single pickup that could move.
    pub fn has_gaps(&self) -> bool {
        !self.is_own() && self.positions.iter().any(|position| position.places().len() == 1)
    }

    /// All pairs of positions as places, from the easiest to tell apart to the hardest by the model.
    pub(super) fn pairs(&self) -> Vec<(usize, usize)> {
        let count = self.positions.len();
        let mut pairs: Vec<(usize, usize)> = (0..count)
            .flat_map(|one| (one + 1..count).map(move |other| (one, other)))
            .collect();
        if let From::Model { instrument, .. } = &self.from {
            pairs.sort_by_cached_key(|&(one, other)| {
                let apart = difference(&self.positions[one], &self.positions[other], instrument);
                // Tenths of a decibel, the largest first.
                -(apart.db() * 10.0).round() as i64
            });
        }
        pairs
    }

    /// A piece by chance, and the phrase it is played as: its own or else the one wanted; none for recordings.
    pub(super) fn piece(&self, wanted: Phrase, chance: &mut Chance) -> (usize, Option<Phrase>) {
        match &self.from {
            From::Model { pieces, .. } => {
                let place = chance.place(pieces.len());
                (place, Some(pieces[place].phrase.unwrap_or(wanted)))
            }
            From::Own(_) => (0, None),
        }
    }

    /// One playing at a position, at the level of all.
    pub(super) fn sound(
        &self,
        piece: usize,
        phrase: &str,
        position: &Position,
        question: Seed,
        playing: Seed,
    ) -> Sound {
        let mut sounds = [match &self.from {
            From::Model { instrument, pieces } => {
                let phrase = Phrase::parse(phrase).unwrap_or(Phrase::Diamonds);
                let notes = phrase.played(&pieces[piece].material, question, playing);
                sound(&notes, instrument, position)
            }
            From::Own(recordings) => recordings.clip(&position.name, &mut playing.chance()),
        }];
        match_levels(&mut sounds);
        let [sound] = sounds;
        sound
    }
}

fn enough(positions: Vec<Position>) -> Result<Vec<Position>, TooFewPositions> {
    if positions.len() < 2 {
        let positions = positions.into_iter().map(|position| position.name).collect();
        return Err(TooFewPositions { positions });
    }
    Ok(positions)
}
