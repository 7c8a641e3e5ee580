//! Phrases on strings of another make: single notes one after another, each stopped before the next.

use crate::heard;
use crate::string::{Dice, Played, Through, through, velocities};
use footlights::ear::{Answer, CannotTell, Sound};

/// The six positions, as the names that the usual guitar has for them and the pickups that sound.
pub(crate) const POSITIONS: [(&str, &[usize]); 6] = [
    ("neck", &[0]),
    ("middle", &[1]),
    ("bridge", &[2]),
    ("neck+middle", &[0, 1]),
    ("neck+bridge", &[0, 2]),
    ("middle+bridge", &[1, 2]),
];

/// How often the answer was what.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Counts {
    pub(crate) right: usize,
    /// Two fit alike; no position fits; no null is heard; too few notes.
    pub(crate) cannot_tell: [usize; 4],
    pub(crate) wrong: usize,
    pub(crate) of: usize,
}

pub(crate) const RATE: f64 = 88_200.0;
const OPEN_HZ: [f64; 6] = [82.4069, 110.0, 146.8324, 195.9977, 246.9417, 329.6276];
/// Plausible for strings, as of plain and wound wire.
const STIFFNESS: [f64; 6] = [1.4e-4, 6.9e-5, 5.6e-5, 1.2e-4, 4.2e-5, 1.4e-5];

/// Plays so many guitars, each a phrase of so many notes at each position, through `distort`, and counts the answers.
///
/// The pickups lie up to 3 mm from where the player says; the bridge pickup slants; coil, loss, stiffness, pick and hiss
/// are by chance; the pick stays within 50 to 210 mm and moves along.
pub(crate) fn count(guitars: usize, notes: usize, seed: u64, distort: &dyn Fn(Vec<f64>) -> Vec<f64>) -> Counts {
    let near = |dice: &mut Dice| dice.between(-3.0, 3.0);
    counted(guitars, seed, distort, &|dice| guitar(notes, &near, dice))
}

/// The same where each pickup lies so far off, this way or that.
pub(crate) fn count_off(guitars: usize, notes: usize, seed: u64, off_mm: f64) -> Counts {
    let off = |dice: &mut Dice| if dice.below(2) == 0 { off_mm } else { -off_mm };
    counted(guitars, seed, &|signal| signal, &|dice| guitar(notes, &off, dice))
}

fn counted(
    guitars: usize,
    seed: u64,
    distort: &dyn Fn(Vec<f64>) -> Vec<f64>,
    phrases: &dyn Fn(&mut Dice) -> Vec<Vec<f64>>,
) -> Counts {
    let mut dice = Dice::new(seed);
    let mut counts = Counts::default();
    for _ in 0..guitars {
        for ((name, _), signal) in POSITIONS.iter().zip(phrases(&mut dice)) {
            let sound = Sound {
                rate: RATE as u32,
                samples: distort(signal),
            };
            counts.of += 1;
            match heard(&[sound]).answer {
                Answer::Position { name: found, .. } if found == *name => counts.right += 1,
                Answer::Position { .. } => counts.wrong += 1,
                Answer::CannotTell(why) => {
                    let kind = match why {
                        CannotTell::TwoAlike(..) => 0,
                        CannotTell::NoneFits => 1,
                        CannotTell::NoNull => 2,
                        CannotTell::TooFewNotes { .. } => 3,
                    };
                    counts.cannot_tell[kind] += 1;
                }
            }
        }
    }
    counts
}

/// One guitar's phrase, at each position.
fn guitar(notes: usize, off: &dyn Fn(&mut Dice) -> f64, dice: &mut Dice) -> Vec<Vec<f64>> {
    let offsets = [(); 3].map(|()| off(dice));
    let slant = dice.between(0.0, 6.0);
    let behind = Through {
        coil_hz: dice.between(2500.0, 5500.0),
        coil_q: dice.between(0.7, 2.5),
        noise_db: dice.between(40.0, 65.0),
    };
    let hand = dice.between(70.0, 190.0);
    let mut phrases = vec![Vec::new(); POSITIONS.len()];
    for _ in 0..notes {
        let (place, fret) = (dice.below(6), dice.below(5) as u8);
        let played = Played {
            open_hz: OPEN_HZ[place],
            fret,
            pluck_mm: (hand + dice.between(-20.0, 20.0)).clamp(50.0, 210.0),
            round_mm: dice.between(1.0, 5.0),
            stiffness: STIFFNESS[place] * 2_f64.powf(f64::from(fret) / 6.0) * dice.between(0.6, 1.6),
            t60_s: dice.between(4.0, 12.0),
            t60_2khz_s: dice.between(0.8, 3.0),
        };
        // The slanted pickup lies nearer to the bridge under the high strings.
        let slanted = slant * (0.5 - place as f64 / 5.0);
        let places = [162.0 + offsets[0], 98.0 + offsets[1], 41.0 + offsets[2] + slanted];
        let heard = velocities(&played, &places, 0.45, RATE);
        for (phrase, (_, pickups)) in phrases.iter_mut().zip(POSITIONS) {
            let mean = |at: usize| pickups.iter().map(|pickup| heard[*pickup][at]).sum::<f64>() / pickups.len() as f64;
            let signal: Vec<f64> = (0..heard[0].len()).map(mean).collect();
            let mut signal = through(&signal, &behind, RATE, dice);
            stop(&mut signal);
            phrase.extend(signal);
            phrase.extend(vec![0.0; (0.08 * RATE) as usize]);
        }
    }
    phrases
}

/// A finger stops the string within 10 ms.
fn stop(signal: &mut [f64]) {
    let len = (0.01 * RATE) as usize;
    for (left, sample) in signal.iter_mut().rev().take(len).enumerate() {
        *sample *= left as f64 / len as f64;
    }
}

/// One phrase of six open strings at a position, with the capo on a fret.
pub(crate) fn open_strings(position: usize, capo: u8) -> Vec<f64> {
    played(
        position,
        &[(0, capo), (1, capo), (2, capo), (3, capo), (4, capo), (5, capo)],
    )
}

/// One phrase of these notes at a position, by string and fret.
pub(crate) fn played(position: usize, notes: &[(usize, u8)]) -> Vec<f64> {
    let mut dice = Dice::new(5);
    let behind = Through {
        coil_hz: 4000.0,
        coil_q: 1.5,
        noise_db: 60.0,
    };
    let mut phrase = Vec::new();
    let plucks = [95.0, 110.0, 125.0, 140.0, 105.0, 120.0].into_iter().cycle();
    for (&(place, fret), pluck_mm) in notes.iter().zip(plucks) {
        let played = Played {
            open_hz: OPEN_HZ[place],
            fret,
            pluck_mm,
            round_mm: 2.0,
            stiffness: STIFFNESS[place] * 2_f64.powf(f64::from(fret) / 6.0),
            t60_s: 8.0,
            t60_2khz_s: 2.0,
        };
        let heard = velocities(&played, &[162.0, 98.0, 41.0], 0.45, RATE);
        let (_, pickups) = POSITIONS[position];
        let mean = |at: usize| pickups.iter().map(|pickup| heard[*pickup][at]).sum::<f64>();
        let signal: Vec<f64> = (0..heard[0].len()).map(mean).collect();
        let mut signal = through(&signal, &behind, RATE, &mut dice);
        stop(&mut signal);
        phrase.extend(signal);
        phrase.extend(vec![0.0; (0.08 * RATE) as usize]);
    }
    phrase
}

/// Six notes of a guitar that has no pickup: the string's motion close to the bridge, and a body of eight resonances.
pub(crate) fn acoustic(seed: u64) -> Vec<f64> {
    let mut dice = Dice::new(seed);
    let hand = dice.between(70.0, 190.0);
    let body = [(); 8].map(|()| {
        (
            dice.between(100.0, 4000.0),
            dice.between(4.0, 20.0),
            dice.between(-0.2, 0.4),
        )
    });
    let mut phrase = Vec::new();
    for _ in 0..6 {
        let (place, fret) = (dice.below(6), dice.below(5) as u8);
        let played = Played {
            open_hz: OPEN_HZ[place],
            fret,
            pluck_mm: hand + dice.between(-20.0, 20.0),
            round_mm: 2.0,
            stiffness: STIFFNESS[place] * 2_f64.powf(f64::from(fret) / 6.0),
            t60_s: dice.between(2.0, 6.0),
            t60_2khz_s: dice.between(0.5, 1.5),
        };
        let string = velocities(&played, &[3.0], 0.45, RATE).remove(0);
        let modes = body.map(|(coil_hz, coil_q, share)| {
            let mode = Through {
                coil_hz,
                coil_q,
                noise_db: 60.0,
            };
            through(&string, &mode, RATE, &mut dice)
                .into_iter()
                .map(move |x| share * x)
        });
        let peak = string.iter().fold(0.0_f64, |peak, x| peak.max(x.abs()));
        let mut signal: Vec<f64> = string.iter().map(|x| 0.3 * x / peak).collect();
        for mode in modes {
            signal.iter_mut().zip(mode).for_each(|(sum, x)| *sum += x);
        }
        stop(&mut signal);
        phrase.extend(signal);
        phrase.extend(vec![0.0; (0.08 * RATE) as usize]);
    }
    phrase
}
