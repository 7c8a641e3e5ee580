//! How the rows of a page are shared among its bands, the same on every page: the most important first, the last going
//! where there is no room.

use crate::screen::Look;
use ratatui::layout::Rect;

/// A page's bands from top to bottom. What the hands do now stands above the guitar, what comes next below it.
pub(super) struct Bands {
    /// All that is above the chords.
    pub(super) upper: Rect,
    /// The steps of the song.
    pub(super) steps: Rect,
    pub(super) name: Rect,
    pub(super) technique: Rect,
    pub(super) pickup: Rect,
    pub(super) chords: Rect,
    /// The chords as diagrams, for who stands near.
    pub(super) diagrams: Rect,
    pub(super) guitar: Rect,
    pub(super) next: Rect,
    pub(super) facts: Rect,
    pub(super) status: Rect,
}

/// A wish for a band: to be at least so many rows high. Wishes are met in their order, where there is room.
type Wish = (usize, u16);

const STEPS: usize = 0;
const NAME: usize = 1;
const TECHNIQUE: usize = 2;
const PICKUP: usize = 3;
const CHORDS: usize = 4;
const DIAGRAMS: usize = 5;
const GUITAR: usize = 6;
const NEXT: usize = 7;
const FACTS: usize = 8;
const STATUS: usize = 9;

/// At 6 rows the name is large and the title there; at 24 all that matters is large, and the chords are there.
const WISHES: [Wish; 26] = [
    (NAME, 1),
    (STATUS, 1),
    (TECHNIQUE, 1),
    (PICKUP, 1),
    (NAME, 3),
    (NEXT, 1),
    (GUITAR, 1),
    (NAME, 4),
    (TECHNIQUE, 3),
    (PICKUP, 3),
    (NEXT, 3),
    (GUITAR, 3),
    (NAME, 5),
    (TECHNIQUE, 4),
    (PICKUP, 4),
    (NEXT, 4),
    (GUITAR, 4),
    (NAME, 6),
    (CHORDS, 1),
    (STEPS, 1),
    (FACTS, 1),
    (CHORDS, 2),
    (NAME, 8),
    (TECHNIQUE, 5),
    (PICKUP, 5),
    (CHORDS, 3),
];
/// Chords can be large in five rows.
const LARGE_CHORDS: [Wish; 8] = [
    (CHORDS, 4),
    (CHORDS, 5),
    (NAME, 9),
    (TECHNIQUE, 6),
    (PICKUP, 6),
    (NAME, 10),
    (GUITAR, 5),
    (DIAGRAMS, DIAGRAM_ROWS),
];
/// A chord's name and its diagram of four frets: for who stands near, so that large words go before.
const DIAGRAM_ROWS: u16 = 7;

/// What is left is shared by these weights.
const WEIGHTS: [u16; 10] = [0, 9, 5, 5, 4, 1, 6, 5, 0, 0];

/// Up to so many cells all words may be as large as there is room for.
const FEW_CELLS: u32 = 3_000;
/// Up to so many (120 x 40) a change of page is to be one write that a pseudo-terminal takes at once (4 KiB), so that
/// it is never seen half done. There the guitar, which stays as it is, takes the rows, and words have air around them.
const SPARING_CELLS: u32 = 4_800;
const SPARING_WISHES: [Wish; 3] = [(TECHNIQUE, 6), (PICKUP, 6), (NEXT, 5)];
const SPARING_WEIGHTS: [u16; 10] = [0, 0, 0, 0, 0, 0, 1, 0, 0, 0];
const SPARING_NAME: u16 = 7;
const SPARING_LINE: u16 = 5;
const SPARING_NEXT: u16 = 4;

impl Bands {
    /// Of an area of a screen that is `rows` rows high.
    pub(super) fn new(area: Rect, rows: u16, look: &Look) -> Bands {
        let least = look.sight.map_or(0, |sight| sight.rows_for_enough(rows));
        let cells = u32::from(area.width) * u32::from(area.height);
        let sparing = cells > FEW_CELLS && cells <= SPARING_CELLS;
        // The most important words reach the angle that is asked for before lesser ones come in. On a gap page the
        // capo's way, which stands beside the guitar, is one of them.
        let (first, last) = WISHES.split_at(5);
        let seen = [NAME, TECHNIQUE, PICKUP, GUITAR].map(|band| (band, least));
        let (more, weights) = if sparing {
            (&SPARING_WISHES[..], SPARING_WEIGHTS)
        } else {
            (&LARGE_CHORDS[..], WEIGHTS)
        };
        let wishes = [first, &seen, last, more].into_iter().flatten().copied();
        let mut rows = share(area.height, wishes, weights);
        // The picking hand's words are no larger than the pickup's: the odd row is the name's.
        if rows[PICKUP] > 1 && rows[TECHNIQUE] == rows[PICKUP] + 1 {
            rows[TECHNIQUE] -= 1;
            rows[NAME] += 1;
        }
        let [
            steps,
            name,
            technique,
            pickup,
            chords,
            diagrams,
            guitar,
            next,
            facts,
            status,
        ] = stack(area, rows);
        let spared = |band: Rect, most: u16| if sparing { middle(band, most.max(least)) } else { band };
        Bands {
            upper: Rect {
                height: chords.y - steps.y,
                ..steps
            },
            steps,
            name: spared(name, SPARING_NAME),
            technique: spared(technique, SPARING_LINE),
            pickup: spared(pickup, SPARING_LINE),
            chords,
            diagrams,
            guitar,
            next: spared(next, SPARING_NEXT),
            facts,
            status,
        }
    }
}

/// At most so many rows, in the middle of a band.
fn middle(band: Rect, most: u16) -> Rect {
    let height = band.height.min(most);
    Rect {
        y: band.y + (band.height - height) / 2,
        height,
        ..band
    }
}

/// Shares rows among `N` bands: first the wishes, then what is left by weight. A band without rows is not shown.
pub(super) fn share<const N: usize>(
    height: u16,
    wishes: impl IntoIterator<Item = Wish>,
    weights: [u16; N],
) -> [u16; N] {
    let mut rows = [0_u16; N];
    let mut left = height;
    for (band, wish) in wishes {
        let more = wish.saturating_sub(rows[band]);
        if more <= left {
            rows[band] += more;
            left -= more;
        }
    }
    spread(&mut rows, left, weights);
    rows
}

/// Bands of so many rows from the top of an area down.
pub(super) fn stack<const N: usize>(area: Rect, rows: [u16; N]) -> [Rect; N] {
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
    (Rect { width, ..area }, without_left(area, width))
}

/// The area without its first columns.
pub(super) fn without_left(area: Rect, columns: u16) -> Rect {
    let columns = columns.min(area.width);
    Rect {
        x: area.x + columns,
        width: area.width - columns,
        ..area
    }
}

/// The area without its last columns.
pub(super) fn without_right(area: Rect, columns: u16) -> Rect {
    Rect {
        width: area.width.saturating_sub(columns),
        ..area
    }
}

/// The upper rows of an area, and those below.
pub(super) fn above(area: Rect, rows: u16) -> (Rect, Rect) {
    let height = rows.min(area.height);
    let below = Rect {
        y: area.y + height,
        height: area.height - height,
        ..area
    };
    (Rect { height, ..area }, below)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::Sight;

    #[test]
    fn wishes_are_met_in_order_and_the_rest_goes_by_weight() {
        let heights = |height, wishes: [Wish; 4]| share(height, wishes, [3, 1, 0]);
        let wishes = [(0, 2), (1, 1), (0, 4), (2, 1)];
        assert_eq!(heights(2, wishes), [2, 0, 0]);
        assert_eq!(heights(3, wishes), [2, 1, 0]);
        assert_eq!(heights(4, wishes), [2, 1, 1]);
        assert_eq!(heights(6, wishes), [4, 1, 1]);
        assert_eq!(heights(10, wishes), [7, 2, 1]);
    }

    #[test]
    fn the_last_go_first_where_the_screen_is_low() {
        let heights = |rows| {
            let bands = Bands::new(Rect::new(0, 0, 80, rows), rows, &Look::default());
            let all = [
                bands.steps,
                bands.name,
                bands.technique,
                bands.pickup,
                bands.chords,
                bands.diagrams,
                bands.guitar,
                bands.next,
                bands.facts,
                bands.status,
            ];
            assert!(all.windows(2).all(|pair| pair[0].bottom() <= pair[1].y), "{rows}");
            all.map(|band| band.height)
        };
        assert_eq!(heights(6), [0, 3, 1, 1, 0, 0, 0, 0, 0, 1]);
        assert_eq!(heights(12), [0, 5, 3, 1, 0, 0, 1, 1, 0, 1]);
        assert_eq!(heights(24), [0, 6, 4, 4, 1, 0, 4, 4, 0, 1]);
        assert_eq!(heights(25), [1, 6, 4, 4, 1, 0, 4, 4, 0, 1]);
        assert_eq!(heights(26), [1, 6, 4, 4, 1, 0, 4, 4, 1, 1]);
    }

    #[test]
    fn the_first_three_items_get_the_rows_that_the_seat_asks_for_before_lesser_ones_come_in() {
        let sight = Some(Sight {
            distance_m: 3.0,
            height_mm: 100.0,
        });
        let look = Look {
            sight,
            ..Look::default()
        };
        let bands = Bands::new(Rect::new(0, 0, 80, 24), 24, &look);
        let least = look.sight.map_or(0, |sight| sight.rows_for_enough(24));
        assert!(least > 4, "{least}");
        for band in [bands.name, bands.technique, bands.pickup] {
            assert!(band.height >= least, "{band}");
        }
    }
}
