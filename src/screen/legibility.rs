//! What a text's height reaches for the eye, from where the screen is read.

use crate::screen::canvas::{Height, SMALL_CAPITAL_ROWS};

/// Rows of a band for a row of capitals: letters hang below the line by at most a third of that.
const BAND_FOR_CAPITAL: f64 = 4.0 / 3.0;
/// Rows of a band in which words can be larger than the terminal's own.
const LARGE_ROWS: f64 = 3.0;

/// From where a screen is read, and how high it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight {
    pub distance_m: f64,
    pub height_mm: f64,
}

/// ISO 9241-303 (from memory): characters of 16 minutes of arc at least, 20 to 22 preferred.
pub const LEAST_ARC_MINUTES: f64 = 16.0;
pub const ENOUGH_ARC_MINUTES: f64 = 20.0;

/// The angle that a height subtends at a distance, both in millimetres: 2·atan(h / 2d), in minutes of arc.
pub fn arc_minutes(height_mm: f64, distance_mm: f64) -> f64 {
    2.0 * (height_mm / (2.0 * distance_mm)).atan().to_degrees() * 60.0
}

impl Sight {
    /// What capitals so many rows high reach in a terminal of `rows` rows.
    pub(super) fn arc_minutes(self, capital_rows: f64, rows: u16) -> f64 {
        let row_mm = self.height_mm / f64::from(rows.max(1));
        arc_minutes(capital_rows * row_mm, self.distance_m * 1000.0)
    }

    /// What a page's words reach, in one line.
    pub(super) fn report(self, heights: &[Height], rows: u16) -> String {
        let small = Height {
            what: "small words",
            rows: SMALL_CAPITAL_ROWS,
            first: false,
        };
        let reached = heights.iter().chain([&small]).map(|height| {
            let minutes = self.arc_minutes(height.rows, rows);
            let verdict = if height.first && minutes < ENOUGH_ARC_MINUTES {
                " (too small)"
            } else {
                ""
            };
            format!("{} {minutes:.0}{verdict}", height.what)
        });
        let reached = reached.collect::<Vec<_>>().join(", ");
        format!(
            "from {} m, in minutes of arc ({ENOUGH_ARC_MINUTES} are enough): {reached}",
            self.distance_m
        )
    }

    /// The rows a band needs for its words to be read well, descenders and all; 0 where no band could hold them.
    pub(super) fn rows_for_enough(self, rows: u16) -> u16 {
        let wanted_mm = 2.0 * self.distance_m * 1000.0 * (ENOUGH_ARC_MINUTES / 60.0 / 2.0).to_radians().tan();
        let row_mm = self.height_mm / f64::from(rows.max(1));
        let capital = wanted_mm / row_mm;
        let needed = if capital <= SMALL_CAPITAL_ROWS {
            1.0
        } else {
            (capital * BAND_FOR_CAPITAL).ceil().max(LARGE_ROWS)
        };
        if needed * 3.0 > f64::from(rows) {
            0
        } else {
            needed as u16
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: the definition of a visual angle; ISO 9241-303 (from memory) asks for 16 minutes of arc, which is 4.65 mm
    // at one metre.
    #[test]
    fn a_height_subtends_the_angle_of_its_triangle() {
        assert!((arc_minutes(4.654, 1000.0) - 16.0).abs() < 0.01);
        assert!((arc_minutes(2000.0, 1000.0) - 90.0 * 60.0).abs() < 1e-9);
    }

    #[test]
    fn the_rows_asked_for_reach_the_angle() {
        let sight = Sight {
            distance_m: 1.5,
            height_mm: 170.0,
        };
        let band = sight.rows_for_enough(40);
        assert!(sight.arc_minutes(f64::from(band) / BAND_FOR_CAPITAL, 40) >= ENOUGH_ARC_MINUTES);
        // The terminal's own words reach it in 10 rows, and just do not in 12: what is larger takes three.
        assert!(sight.arc_minutes(SMALL_CAPITAL_ROWS, 12) < ENOUGH_ARC_MINUTES);
        assert_eq!((sight.rows_for_enough(10), sight.rows_for_enough(12)), (1, 3));
        assert_eq!(
            Sight {
                distance_m: 30.0,
                ..sight
            }
            .rows_for_enough(40),
            0
        );
    }
}
