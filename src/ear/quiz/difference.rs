//! How different two positions sound, by the model: what is asked first while there are no answers yet.

use crate::ear::pickup::{Instrument, Position};
use crate::ear::pluck::Pluck;
use crate::ear::string::GuitarString;
use crate::ear::units::Decibels;

/// An open E chord, low string first.
const CHORD: [u8; GuitarString::COUNT] = [0, 2, 2, 1, 0, 0];
/// The third octaves from 63 Hz to 8 kHz: 1000 Hz times 2^(band/3).
const BANDS: std::ops::RangeInclusive<i32> = -12..=9;
/// What lies further under the loudest band than this is not heard beside it, in dB.
const HEARD: f64 = 40.0;

/// The root mean square of the differences over third octaves, at equal level. No listeners were asked.
pub(crate) fn difference(one: &Position, other: &Position, instrument: &Instrument) -> Decibels {
    let (one, other) = (bands(one, instrument), bands(other, instrument));
    let level = |bands: &[f64]| 10.0 * bands.iter().sum::<f64>().log10();
    let (level_one, level_other) = (level(&one), level(&other));
    let floor = |bands: &[f64]| bands.iter().copied().fold(0.0, f64::max) * 10_f64.powf(-HEARD / 10.0);
    let (floor_one, floor_other) = (floor(&one), floor(&other));
    let heard = one
        .iter()
        .zip(&other)
        .filter(|(a, b)| **a > floor_one || **b > floor_other);
    let off = heard.map(|(a, b)| {
        let db = |power: f64, floor: f64, level: f64| 10.0 * power.max(floor).log10() - level;
        db(*a, floor_one, level_one) - db(*b, floor_other, level_other)
    });
    let off: Vec<f64> = off.collect();
    Decibels::new((off.iter().map(|off| off * off).sum::<f64>() / off.len().max(1) as f64).sqrt())
}

/// The power in each third octave of the chord as it is struck.
fn bands(position: &Position, instrument: &Instrument) -> Vec<f64> {
    let pluck = Pluck {
        place: Pluck::USUAL_PLACE,
        strength: 1.0,
    };
    let mut bands = vec![0.0; BANDS.count()];
    for (string, fret) in GuitarString::all().zip(CHORD) {
        let string = string.at_fret(fret, instrument.scale);
        for n in (1..).take_while(|n| string.partial(*n).hz() < 10_000.0) {
            let band = ((string.partial(n).khz()).log2() * 3.0).round() as i32 - BANDS.start();
            if let Some(band) = usize::try_from(band).ok().and_then(|band| bands.get_mut(band)) {
                *band += (pluck.partial(n, &string) * position.hears(n, &string)).powi(2);
            }
        }
    }
    bands
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setlist::Guitar;

    /// Source: an independent reference: bridge against neck+middle is the easiest pair, then bridge against the other
    /// joined ones and the neck; the hardest are joined ones among themselves.
    #[test]
    fn the_bridge_stands_out_most_and_joined_positions_least() {
        let instrument = Instrument::of(&Guitar::default());
        let mut pairs = Vec::new();
        for (at, one) in instrument.positions.iter().enumerate() {
            for other in &instrument.positions[at + 1..] {
                let names = format!("{}/{}", one.name, other.name);
                pairs.push((difference(one, other, &instrument).db(), names));
            }
        }
        pairs.sort_by(|a, b| b.0.total_cmp(&a.0));
        let place = |name: &str| pairs.iter().position(|pair| pair.1 == name).unwrap();
        assert_eq!(place("bridge/neck+middle"), 0, "{pairs:?}");
        assert!(
            place("neck/bridge") < 5 && place("bridge/middle+bridge") < 5,
            "{pairs:?}"
        );
        assert!(place("neck+middle/neck+bridge") > 6, "{pairs:?}");
    }
}
