//! The pick: where it strikes, and how much of each partial it wakes.

use crate::ear::string::Speaking;
use crate::ear::units::{Hertz, Millimetres};
use std::f64::consts::PI;

/// One stroke of the pick on one string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pluck {
    /// Where it strikes, from the saddle.
    pub place: Millimetres,
    /// How far it moves the string, against other strokes of the same playing.
    pub strength: f64,
}

impl Pluck {
    /// Where a hand picks that thinks of nothing else. (Common practice, no source.)
    pub(crate) const USUAL_PLACE: Millimetres = Millimetres::new(120.0);
    /// Where it picks with its edge on the bridge. (Measured on ten palm-muted notes of an open collection.)
    pub(crate) const MUTED_PLACE: Millimetres = Millimetres::new(60.0);
    /// The width of string that a pick takes along. (Common practice, no source.)
    const WIDTH: Millimetres = Millimetres::new(4.0);
    /// From where a pick's soft edge lets less through. (Common practice, no source.)
    const EDGE: Hertz = Hertz::new(2500.0);

    /// The velocity that the stroke gives to partial `n`, in a measure of its own.
    ///
    /// Let go at rest the string is a triangle, a_n = 2h sin(nπp/L)/(n²π² (p/L)(1 - p/L)) (Fourier series, read); the
    /// width of the pick makes it three-sided: times sinc(n w/2L) (Duke University's handout, read); its edge is soft:
    /// times 1/(1 + (f_n/fc)²) (common practice). The pickup hears velocity, hence one n fewer below (J. Smith,
    /// "Physical audio signal processing", pickup modelling, read; R. Paiva, J. Pakarinen, V. Välimäki, JAES 60(10),
    /// 2012, abstract read).
    pub(crate) fn partial(&self, n: u32, string: &Speaking) -> f64 {
        let share = self.place.mm() / string.length.mm();
        let triangle = 2.0 * string.shape(n, self.place) / (f64::from(n) * PI * PI * share * (1.0 - share));
        let edge = 1.0 / (1.0 + (string.partial(n).hz() / Self::EDGE.hz()).powi(2));
        self.strength * triangle * string.over_width(n, Self::WIDTH) * edge
    }
}
