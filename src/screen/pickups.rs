//! The guitar's row of pickups between the end of the neck and the bridge, at their real distances, those in use filled.

use crate::screen::canvas::Canvas;
use crate::screen::plate::Plate;
use crate::screen::strip::Strip;
use crate::screen::theme::Ink;
use crate::setlist::Guitar;
use ratatui::layout::Rect;

/// Millimetres drawn beyond the pickup that is farthest from the bridge.
const MARGIN_MM: f64 = 22.0;

/// The places in `guitar.pickups` that a selector position named `selected` turns on; empty where there is none.
fn in_use<'g>(guitar: &'g Guitar, selected: Option<&str>) -> &'g [usize] {
    let position = guitar
        .selector
        .iter()
        .find(|position| Some(position.name.as_str()) == selected);
    position.map_or(&[], |position| &position.pickups)
}

/// The column of each pickup's middle, the bridge being the last of `columns`.
fn places(guitar: &Guitar, columns: u16) -> Vec<u16> {
    let mm = guitar.pickups.iter().map(|pickup| pickup.from_bridge_mm);
    let longest = mm.clone().fold(0.0, f64::max) + MARGIN_MM;
    mm.map(|mm| ((1.0 - mm / longest) * f64::from(columns - 1)).round() as u16)
        .collect()
}

/// Draws the row over the strip from column `x` to its end, over its whole height.
pub(super) fn draw(strip: &mut Strip<'_, '_>, x: u16, guitar: &Guitar, selected: Option<&str>, ink: Ink) {
    let columns = strip.width().saturating_sub(x);
    if columns < 2 {
        return;
    }
    // Between the outer strings, which run on from the neck to the bridge.
    strip.edges(x, columns);
    strip.fill(x + columns - 1, 1, strip.lines.upright, Ink::Wood);
    let places = places(guitar, columns);
    let wide = coil(&places, columns);
    let filled = in_use(guitar, selected);
    for (place, middle) in places.into_iter().enumerate() {
        let left = x + middle.saturating_sub(wide / 2).min(columns - 1 - wide);
        if filled.contains(&place) {
            strip.fill(left, wide, strip.lines.full, ink);
        } else if wide > 1 {
            strip.frame(left, wide, Ink::Quiet);
        } else {
            strip.fill(left, 1, strip.lines.upright, Ink::Quiet);
        }
    }
}

/// The width of a coil in columns: as wide as leaves a column between the nearest two.
fn coil(places: &[u16], columns: u16) -> u16 {
    let mut sorted = places.to_vec();
    sorted.sort_unstable();
    let nearest = sorted.windows(2).map(|pair| pair[1] - pair[0]).min();
    let roomy = (columns / 9).clamp(2, 6);
    nearest
        .map_or(roomy, |nearest| roomy.min(nearest.saturating_sub(1)))
        .max(1)
}

/// The pickups alone, as a sign for a position whose name would be too small; the columns it took.
pub(super) fn sign(canvas: &mut Canvas<'_>, area: Rect, selected: &str, ink: Ink) -> u16 {
    let look = canvas.look;
    let count = look.guitar.pickups.len() as u16;
    // A frame is three dots wide at the least, or it would look filled.
    let each = if look.glyphs.dots().0 == 1 { 4 } else { 3 };
    let area = Rect {
        width: count.saturating_mul(each).min(area.width),
        ..area
    };
    if area.height < 2 || area.width < count.saturating_mul(each) || in_use(&look.guitar, Some(selected)).is_empty() {
        return 0;
    }
    let mut plate = Plate::new(canvas, area);
    let step = plate.across() / i32::from(count);
    let filled = in_use(&look.guitar, Some(selected));
    let mut order: Vec<usize> = (0..usize::from(count)).collect();
    order.sort_by(|&a, &b| {
        let mm = |place: usize| {
            look.guitar
                .pickups
                .get(place)
                .map_or(0.0, |pickup| pickup.from_bridge_mm)
        };
        mm(b).total_cmp(&mm(a))
    });
    for (at, place) in (0..).zip(order) {
        if filled.contains(&place) {
            plate.fill(at * step, 0, step - 1, plate.down(), Some(ink));
        } else {
            plate.frame(at * step, 0, step - 1, plate.down(), Ink::Quiet);
        }
    }
    if look.left_handed {
        plate.mirror();
    }
    plate.print(canvas, area);
    area.width
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setlist::Pickup;

    #[test]
    fn pickups_stand_at_their_real_distances_from_the_bridge() {
        let guitar = Guitar::default();
        for columns in [16, 30, 60, 200] {
            let columns_a_mm = f64::from(columns - 1) / (162.0 + MARGIN_MM);
            for (place, pickup) in places(&guitar, columns).iter().zip(&guitar.pickups) {
                let drawn = f64::from(columns - 1 - place);
                let wanted = pickup.from_bridge_mm * columns_a_mm;
                assert!(
                    (drawn - wanted).abs() <= 0.5,
                    "{} over {columns}: {drawn} {wanted}",
                    pickup.name
                );
            }
        }
    }

    #[test]
    fn a_position_in_no_list_fills_nothing() {
        let guitar = Guitar::default();
        assert_eq!(in_use(&guitar, Some("bridge")), [2]);
        assert_eq!(in_use(&guitar, Some("brigde")), [0; 0]);
        assert_eq!(in_use(&guitar, None), [0; 0]);
    }

    #[test]
    fn five_pickups_keep_apart() {
        let guitar = Guitar {
            pickups: [170.0, 140.0, 105.0, 70.0, 40.0]
                .map(|from_bridge_mm| Pickup {
                    name: String::new(),
                    from_bridge_mm,
                })
                .into(),
            ..Guitar::default()
        };
        let places = places(&guitar, 20);
        let wide = coil(&places, 20);
        assert!(
            places.windows(2).all(|pair| pair[1] - pair[0] > wide),
            "{places:?} {wide}"
        );
    }
}
