//! How the rows of a page are shared among its bands: the most important first, the last going where there is no room.

use ratatui::layout::Rect;

/// Rows of a band for a row of capitals: letters hang below the line by a third of that.
pub(super) const BAND_FOR_CAPITAL: f64 = 4.0 / 3.0;

/// A wish for a band: to be at least so many rows high. Wishes are met in their order, where there is room.
pub(super) type Wish = (usize, u16);

/// Shares `area` among `N` bands from top to bottom: first the wishes, then what is left by weight. A band without
/// rows is not shown.
pub(super) fn share<const N: usize>(area: Rect, wishes: &[Wish], weights: [u16; N]) -> [Rect; N] {
    let mut rows = [0_u16; N];
    let mut left = area.height;
    for &(band, wish) in wishes {
        let more = wish.saturating_sub(rows[band]);
        if more <= left {
            rows[band] += more;
            left -= more;
        }
    }
    spread(&mut rows, left, weights);
    let mut y = area.y;
    rows.map(|height| {
        let band = Rect { y, height, ..area };
        y += height;
        band
    })
}

/// Gives the rows left over to the bands that are shown, one at a time to the one that has least for its weight.
fn spread<const N: usize>(rows: &mut [u16; N], left: u16, weights: [u16; N]) {
    for _ in 0..left {
        let shown = (0..N).filter(|&band| rows[band] > 0 && weights[band] > 0);
        let Some(band) = shown.min_by_key(|&band| u32::from(rows[band]) * 1000 / u32::from(weights[band])) else {
            return;
        };
        rows[band] += 1;
    }
}

/// The left part of an area, so many hundredths wide, and what is right of it.
pub(super) fn split(area: Rect, percent: u16) -> (Rect, Rect) {
    let width = (u32::from(area.width) * u32::from(percent) / 100) as u16;
    (
        Rect { width, ..area },
        Rect {
            x: area.x + width,
            width: area.width - width,
            ..area
        },
    )
}

/// The area without its last columns.
pub(super) fn without_right(area: Rect, columns: u16) -> Rect {
    Rect {
        width: area.width.saturating_sub(columns),
        ..area
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wishes_are_met_in_order_and_the_rest_goes_by_weight() {
        let heights =
            |height, wishes: &[Wish]| share(Rect::new(0, 0, 10, height), wishes, [3, 1, 0]).map(|band| band.height);
        let wishes = [(0, 2), (1, 1), (0, 4), (2, 1)];
        assert_eq!(heights(2, &wishes), [2, 0, 0]);
        assert_eq!(heights(3, &wishes), [2, 1, 0]);
        assert_eq!(heights(4, &wishes), [2, 1, 1]);
        assert_eq!(heights(6, &wishes), [4, 1, 1]);
        assert_eq!(heights(10, &wishes), [7, 2, 1]);
    }
}
