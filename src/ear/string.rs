//! A string at a fret: its speaking length, pitch, stiffness and loss.

use crate::ear::units::{Hertz, Millimetres};
use crate::music::TUNING;

/// One of the six strings, by its place from the low E, which is 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct GuitarString(u8);

/// What a string is by its make: the same on every guitar of this model.
struct Make {
    /// Inharmonicity of the open string.
    stiffness: f64,
    /// 1/T60 at no frequency, in 1/s.
    loss: f64,
    /// What each kHz adds to it, in 1/(s kHz).
    loss_per_khz: f64,
}

/// From the low E up. Stiffness and losses were measured on 396 recorded notes of one guitar with strings of .010 to
/// .046 in; the high E's stiffness is that of the formula for plain wire, B = π³ E d⁴ / (64 T L²) (H. Fletcher, "Normal
/// vibration frequencies of a stiff piano string", JASA 36, 1964, from memory).
const MAKES: [Make; GuitarString::COUNT] = [
    make(1.4e-4, 0.03, 0.37),
    make(6.9e-5, 0.05, 0.16),
    make(5.6e-5, 0.04, 0.16),
    make(1.2e-4, 0.09, 0.10),
    make(4.2e-5, 0.10, 0.07),
    make(1.4e-5, 0.12, 0.06),
];

const fn make(stiffness: f64, loss: f64, loss_per_khz: f64) -> Make {
    Make {
        stiffness,
        loss,
        loss_per_khz,
    }
}

/// How the string loses its motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Damping {
    /// It rings by itself.
    Open,
    /// The edge of the picking hand lies on it.
    PalmMute,
}

/// A string pressed at a fret, on a guitar of some scale.
#[derive(Clone, Copy, Debug)]
pub struct Speaking {
    pub string: GuitarString,
    /// From the saddle to the fret.
    pub length: Millimetres,
    /// Of the first partial.
    pub pitch: Hertz,
    /// The B of Fletcher's formula, at this length.
    pub stiffness: f64,
}

impl GuitarString {
    pub(crate) const COUNT: usize = TUNING.len();
    pub(crate) const LOW_E: GuitarString = GuitarString(0);

    /// From the low E up.
    pub fn all() -> impl DoubleEndedIterator<Item = GuitarString> {
        (0..Self::COUNT as u8).map(GuitarString)
    }

    /// The string at a place from the low E (0) to the high E (5).
    pub fn at(place: usize) -> Option<GuitarString> {
        (place < Self::COUNT).then_some(GuitarString(place as u8))
    }

    /// 0 for the low E.
    pub fn place(self) -> usize {
        usize::from(self.0)
    }

    /// The open string as a MIDI note.
    pub(crate) fn open_midi(self) -> u8 {
        TUNING[self.place()]
    }

    /// The open string's pitch, from A4 = 440 Hz.
    pub(crate) fn open_pitch(self) -> Hertz {
        Hertz::new(440.0 * 2_f64.powf((f64::from(self.open_midi()) - 69.0) / 12.0))
    }

    /// The string pressed `fret` frets from the nut, the capo's included, on a guitar of this scale.
    ///
    /// L = L0 2^(-fret/12), f0 = open 2^(fret/12), B = B0 2^(fret/6): the first two are read in Duke University's
    /// physics handout "Calculating the spectrum of electric guitar tones"; the third follows from Fletcher's formula,
    /// where B goes with 1/L² at one tension.
    pub(crate) fn at_fret(self, fret: u8, scale: Millimetres) -> Speaking {
        let octaves = f64::from(fret) / 12.0;
        Speaking {
            string: self,
            length: Millimetres::new(scale.mm() * 2_f64.powf(-octaves)),
            pitch: Hertz::new(self.open_pitch().hz() * 2_f64.powf(octaves)),
            stiffness: MAKES[self.place()].stiffness * 2_f64.powf(2.0 * octaves),
        }
    }
}

impl Speaking {
    /// The frequency of partial `n`, counted from 1: f_n = n f0 √((1 + B n²)/(1 + B)) (Fletcher 1964, from memory).
    pub fn partial(&self, n: u32) -> Hertz {
        let n = f64::from(n);
        let stiffness = self.stiffness;
        let stretch = (1.0 + stiffness * n * n) / (1.0 + stiffness);
        Hertz::new(n * self.pitch.hz() * stretch.sqrt())
    }

    /// In which seconds a partial of this frequency falls by 60 dB.
    ///
    /// Open: 1/T60 = r0 + r1 f/kHz, measured (see `MAKES`); single partials scatter round it by a factor of 1.4. Muted:
    /// 1/T60 = 0.3 + f + 2 f² with f in kHz, at least 0.08 s, measured on ten palm-muted notes of an open collection.
    pub fn t60_s(&self, frequency: Hertz, damping: Damping) -> f64 {
        let khz = frequency.khz();
        let make = &MAKES[self.string.place()];
        match damping {
            Damping::Open => 1.0 / (make.loss + make.loss_per_khz * khz),
            Damping::PalmMute => (1.0 / (0.3 + khz + 2.0 * khz * khz)).max(0.08),
        }
    }

    /// How a place on the string moves in partial `n`: sin(nπ place/length).
    pub(crate) fn shape(&self, n: u32, place: Millimetres) -> f64 {
        (f64::from(n) * std::f64::consts::PI * place.mm() / self.length.mm()).sin()
    }

    /// What is left of partial `n` when it is met over a width of string and not in one place: sinc(n width/2L).
    pub(crate) fn over_width(&self, n: u32, width: Millimetres) -> f64 {
        let x = std::f64::consts::PI * f64::from(n) * width.mm() / (2.0 * self.length.mm());
        if x == 0.0 { 1.0 } else { x.sin() / x }
    }
}
