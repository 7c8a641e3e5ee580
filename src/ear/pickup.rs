//! Pickups: the positions of a guitar's selector, and what each hears of a string's partials.

use crate::ear::string::Speaking;
use crate::ear::units::{Hertz, Millimetres};
use crate::setlist;
use std::f64::consts::PI;

/// A position of the selector: its name and the pickups that sound, one or several in parallel and in phase.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    pub name: String,
    /// From the saddle; at least one.
    pub(crate) places: Vec<Millimetres>,
}

/// What the ear needs to know of a guitar.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    pub scale: Millimetres,
    /// The positions that are told apart, at least one.
    pub positions: Vec<Position>,
}

/// The length of string that a coil hears. (Common practice; J. D. Tillman, "Response effects of guitar pickup position
/// and width", 2000/2002, takes 25 mm for one coil and 64 for two, abstract read.)
const APERTURE: Millimetres = Millimetres::new(18.0);

impl Instrument {
    /// The positions of the player's selector, where the file tells them; else each pickup and each pair.
    pub fn of(guitar: &setlist::Guitar) -> Instrument {
        let place = |pickup: &setlist::Pickup| Millimetres::new(pickup.from_bridge_mm);
        let told = guitar.selector.iter().map(|selection| Position {
            name: selection.name.clone(),
            places: selection
                .pickups
                .iter()
                .filter_map(|&at| guitar.pickups.get(at).map(place))
                .collect(),
        });
        let mut positions: Vec<Position> = told.filter(|position| !position.places.is_empty()).collect();
        if !guitar.selector_is_told {
            for (at, one) in guitar.pickups.iter().enumerate() {
                positions.extend(guitar.pickups[at + 1..].iter().map(|other| Position {
                    name: format!("{}+{}", one.name, other.name),
                    places: vec![place(one), place(other)],
                }));
            }
        }
        Instrument {
            scale: Millimetres::new(guitar.scale_mm),
            positions,
        }
    }
}

impl Position {
    /// A single pickup that stands in no file, for the drill of gaps.
    pub(crate) fn at(name: &str, place: Millimetres) -> Position {
        Position {
            name: name.into(),
            places: vec![place],
        }
    }

    /// The pickups' distances from the saddle.
    pub fn places(&self) -> &[Millimetres] {
        &self.places
    }

    /// The middle of all that sounds.
    pub(crate) fn mean(&self) -> Millimetres {
        Millimetres::new(self.places.iter().map(|place| place.mm()).sum::<f64>() / self.places.len() as f64)
    }

    /// From the first pickup that sounds to the last; nothing for a single one.
    pub(crate) fn gap(&self) -> Millimetres {
        let places = self.places.iter().map(|place| place.mm());
        let (least, most) = places.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), mm| {
            (least.min(mm), most.max(mm))
        });
        Millimetres::new(most - least)
    }

    /// What the position's places make of partial `n`, without regard to coils: S_n, the mean of sin(nπd/L). Its zeros
    /// are the nulls: n = m L/d for one pickup (J. D. Tillman, "Response effects of guitar pickup position and width",
    /// 2000/2002, read), 2mL/(d1 + d2) and (2m + 1)L/|d1 - d2| for two ("… pickup mixing", abstract read, and
    /// trigonometry).
    pub(crate) fn comb(&self, n: u32, string: &Speaking) -> f64 {
        let sum: f64 = self.places.iter().map(|&place| string.shape(n, place)).sum();
        sum / self.places.len() as f64
    }

    /// What the position passes on of partial `n`: its comb, averaged over the coil's aperture, through the coil.
    pub(crate) fn hears(&self, n: u32, string: &Speaking) -> f64 {
        let coil = coil(string.partial(n), self.places.len() as f64);
        self.comb(n, string) * string.over_width(n, APERTURE) * coil
    }
}

/// How much voltage `coils` coils in parallel leave at the end of the cable, against what the string induces.
///
/// V/E = Zs/(Zs + Zp), Zp = (R + jωLc)/k, Zs = 1/(jω(k C + Cc) + 1/Rl); the values are common practice, no source. The
/// magnitude alone: a coil's phase is not heard, and without it every partial starts at zero, so that no note clicks.
fn coil(frequency: Hertz, coils: f64) -> f64 {
    const INDUCTANCE: f64 = 2.5;
    const RESISTANCE: f64 = 6e3;
    const COIL_CAPACITY: f64 = 100e-12;
    const CABLE_CAPACITY: f64 = 700e-12;
    const LOAD: f64 = 111e3;
    let omega = 2.0 * PI * frequency.hz();
    let (zp_re, zp_im) = (RESISTANCE / coils, omega * INDUCTANCE / coils);
    let (ys_re, ys_im) = (1.0 / LOAD, omega * (coils * COIL_CAPACITY + CABLE_CAPACITY));
    // Zs/(Zs + Zp) = 1/(1 + Zp Ys).
    let (re, im) = (1.0 + zp_re * ys_re - zp_im * ys_im, zp_re * ys_im + zp_im * ys_re);
    1.0 / re.hypot(im)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::units::Decibels;

    /// Source: an independent reference of the same circuit in another language. The top is flat, and its place read off
    /// a coarse grid there; its height is exact.
    #[test]
    fn the_coils_have_their_resonance() {
        for (coils, hz, db) in [(1.0, 3340.0, 4.5), (2.0, 4690.0, 7.7)] {
            let peak = |step: i32| Decibels::of_amplitude(coil(Hertz::new(f64::from(step) * 10.0), coils)).db();
            let highest = (100..1000).max_by(|a, b| peak(*a).total_cmp(&peak(*b))).unwrap();
            assert!(
                (f64::from(highest) * 10.0 / hz - 1.0).abs() < 0.02,
                "{coils} coils: {highest}0 Hz"
            );
            assert!((peak(highest) - db).abs() < 0.06, "{coils} coils: {} dB", peak(highest));
        }
    }

    #[test]
    fn a_guitar_whose_selector_is_not_told_has_each_pickup_and_each_pair() {
        let mut guitar = setlist::Guitar::default();
        let names = |guitar: &setlist::Guitar| -> Vec<String> {
            let positions = Instrument::of(guitar).positions;
            positions.into_iter().map(|position| position.name).collect()
        };
        let all = [
            "neck",
            "middle",
            "bridge",
            "neck+middle",
            "neck+bridge",
            "middle+bridge",
        ];
        assert_eq!(names(&guitar), all);
        guitar.selector_is_told = true;
        assert_eq!(names(&guitar), ["neck", "middle", "bridge"]);
    }
}
