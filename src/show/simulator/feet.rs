//! What feet, hands and machines send: presses of every kind of switch, keys, a clock, and bytes that mean nothing.

use crate::sequencer::Action;
use crate::show::simulator::dice::Dice;

/// Bytes that come from a port in one go.
pub(super) fn bytes(dice: &mut Dice) -> Vec<u8> {
    let seven = |dice: &mut Dice| dice.below(128) as u8;
    match dice.below(20) {
        // A press and a release, quick or held by what comes between.
        0..=7 => {
            let cc = 80 + dice.below(7) as u8;
            vec![0xB0, cc, 127, 0xB0, cc, 0]
        }
        8 | 9 => vec![0xB0, 80 + dice.below(4) as u8, 127],
        10 | 11 => vec![0xB0, 80 + dice.below(7) as u8, dice.below(64) as u8],
        12 => vec![0x91, 60, 1 + dice.below(127) as u8, 60, 0],
        13 => vec![0xC0, dice.below(8) as u8],
        14 => vec![0xF3, dice.below(8) as u8],
        15 => vec![*dice.one(&[0xFA, 0xFB, 0xFC])],
        16 => vec![0xF2, dice.below(128) as u8, dice.below(2) as u8],
        17 => vec![0xF8; 1 + dice.below(96)],
        18 => vec![0xFE],
        _ => (0..dice.below(40))
            .map(|_| {
                if dice.once_in(6) {
                    0x80 | seven(dice)
                } else {
                    seven(dice)
                }
            })
            .collect(),
    }
}

/// An action as a key asks for it, or one that only a player's file would name.
pub(super) fn key(dice: &mut Dice) -> Action {
    let numbered = |dice: &mut Dice| 1 + dice.below(7) as u32;
    match dice.below(16) {
        0..=3 => Action::Next,
        4 => Action::Back,
        5 => Action::NextSong,
        6 => Action::PreviousSong,
        7 => Action::Top,
        8 => Action::Song(numbered(dice)),
        9 => Action::Section((*dice.one(&["Chorus", "verse", "Nowhere"])).into()),
        10 => Action::Bar(numbered(dice) * 3),
        11 => Action::Again,
        12 => Action::Peek,
        13 if dice.once_in(2) => Action::KeyUp,
        13 => Action::KeyDown,
        14 => Action::Undo,
        // A lock is opened again before long: little can happen under it.
        _ => Action::Lock,
    }
}
