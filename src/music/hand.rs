//! The hand: which frets four fingers, one of which may bar, can press at once, with which fingers, and which hand comes
//! before another.
//!
//! Nothing here knows of chords or sound. The build script compiles this file too, to make the table of all hands.

/// Six strings, low string first: -1 muted, 0 open, 1 to [`HIGHEST`].
pub(crate) type Frets = [i8; STRINGS];
/// The finger on each string: 0 none, 1 to 4.
pub(crate) type Fingers = [u8; STRINGS];

pub(crate) const STRINGS: usize = 6;
/// The highest fret from the capo that a hand in low position takes.
pub(crate) const HIGHEST: i8 = 4;
/// Frets from one finger to the next.
const REACH: i8 = 2;
const MOST_MUTED_BETWEEN: u8 = 1;
/// So few fingers keep to the frets of their own numbers.
const FEW: usize = 2;
/// Frets that a hand covers without stretching.
const EASY_SPAN: i8 = 3;

/// The ways to choose rising fingers for none, one, two, three and four places.
const CHOICES: [&[&[u8]]; 5] = [
    &[&[]],
    &[&[1], &[2], &[3], &[4]],
    &[&[1, 2], &[1, 3], &[1, 4], &[2, 3], &[2, 4], &[3, 4]],
    &[&[1, 2, 3], &[1, 2, 4], &[1, 3, 4], &[2, 3, 4]],
    &[&[1, 2, 3, 4]],
];

/// What one finger presses: one fret, on one string or, for the bar, from one string to another.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Press {
    fret: i8,
    from: usize,
    to: usize,
}

/// How the strings are held, the more natural first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Laid {
    /// The first finger over all strings from one to the highest.
    Flat,
    NoBar,
    FirstFinger,
    OtherFinger,
}

/// One way to press a hand's frets: of several the least is taken.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Way {
    laid: Laid,
    strain: u8,
    place: (u8, u8),
    fingers: Fingers,
}

/// Where a hand comes in the order of preference: the lesser first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Order {
    muted_between: u8,
    stretched: bool,
    muted: u8,
    not_open: u8,
    fingers: u8,
    sum: i8,
    frets: Frets,
}

/// The fingers that press these frets as a player lays them, or none where no hand can.
///
/// The first finger lies flat over all strings from the lowest fret's first to the highest (F is `xx3211`); a bar of
/// another kind is laid only where four fingers do not reach without, by the first finger if it can be. Of several ways
/// it is the one where the hand lies most at ease: neighbouring fingers as far apart as their frets. Then one or two
/// fingers alone press the fret of their own number (Em is 2 and 3), and more begin with the first (A is 1, 2, 3); then
/// the lower finger on the lower string.
pub(crate) fn fingering(frets: Frets) -> Option<Fingers> {
    if muted_between(frets) > MOST_MUTED_BETWEEN || frets.iter().any(|fret| !(-1..=HIGHEST).contains(fret)) {
        return None;
    }
    let bars = std::iter::once(None).chain(bars(frets).map(Some));
    let ways = bars.flat_map(|bar| {
        let presses = presses(frets, bar);
        let choices = CHOICES.get(presses.len()).copied().unwrap_or_default();
        choices
            .iter()
            .filter_map(|choice| take(frets, &presses, bar, choice))
            .min()
    });
    ways.min().map(|way| way.fingers)
}

/// The place of a hand that can be pressed among all, which is the same for every chord that it makes.
pub(crate) fn order(frets: Frets) -> Order {
    let count = |wanted: i8| frets.iter().filter(|&&fret| fret == wanted).count() as u8;
    let pressed = || frets.into_iter().filter(|&fret| fret > 0);
    let span = pressed().max().unwrap_or(0) - pressed().min().unwrap_or(0) + 1;
    Order {
        muted_between: muted_between(frets),
        stretched: span > EASY_SPAN,
        muted: count(-1),
        not_open: STRINGS as u8 - count(0),
        fingers: fewest_fingers(frets),
        sum: pressed().sum(),
        frets,
    }
}

/// The fewest fingers that can press these frets, where any can: a bar saves all but one of those under it.
fn fewest_fingers(frets: Frets) -> u8 {
    let pressed = frets.iter().filter(|&&fret| fret > 0).count();
    let saved = bars(frets).map(|bar| strings_under(frets, bar).count() - 1).max();
    (pressed - saved.unwrap_or(0)) as u8
}

/// How many muted strings lie between sounding ones.
fn muted_between(frets: Frets) -> u8 {
    let sounds = |fret: &i8| *fret >= 0;
    let first = frets.iter().position(sounds).unwrap_or(0);
    let last = frets.iter().rposition(sounds).unwrap_or(0);
    frets[first..last].iter().filter(|fret| !sounds(fret)).count() as u8
}

/// Every bar that the hand may lay over two or more of its pressed strings.
fn bars(frets: Frets) -> impl Iterator<Item = Press> {
    let lowest = frets.into_iter().filter(|&fret| fret > 0).min();
    let ends = (0..STRINGS).flat_map(|from| (from + 1..STRINGS).map(move |to| (from, to)));
    ends.filter(move |&(from, to)| {
        let fret = frets[from];
        // A string between may be muted or pressed higher, never open or lower.
        let lies = fret > 0 && fret == frets[to] && frets[from..to].iter().all(|&f| f == -1 || f >= fret);
        // A bar at the lowest fret is the first finger, and the string below it would need one lower still.
        lies && !(Some(fret) == lowest && frets[..from].contains(&fret))
    })
    .map(move |(from, to)| Press {
        fret: frets[from],
        from,
        to,
    })
}

/// The strings that a finger holds down itself; a bar also crosses strings that are muted or pressed higher.
fn strings_under(frets: Frets, press: Press) -> impl Iterator<Item = usize> {
    (press.from..=press.to).filter(move |&string| frets[string] == press.fret)
}

/// What the fingers press, from the lowest fret up, and on each fret from the low string.
fn presses(frets: Frets, bar: Option<Press>) -> Vec<Press> {
    let barred = |string| bar.is_some_and(|bar| strings_under(frets, bar).any(|under| under == string));
    let single = (0..STRINGS).filter(|&string| frets[string] > 0 && !barred(string));
    let mut presses = Vec::with_capacity(STRINGS);
    presses.extend(single.map(|string| Press {
        fret: frets[string],
        from: string,
        to: string,
    }));
    presses.extend(bar);
    presses.sort_unstable();
    presses
}

/// Gives these rising fingers to the presses. None where two neighbouring fingers would have to reach too far.
fn take(frets: Frets, presses: &[Press], bar: Option<Press>, fingers: &[u8]) -> Option<Way> {
    let mut strain = 0;
    for (fingers, presses) in fingers.windows(2).zip(presses.windows(2)) {
        let apart = presses[1].fret - presses[0].fret;
        let between = (fingers[1] - fingers[0]) as i8;
        if between == 1 && apart > REACH {
            return None;
        }
        strain += (between - apart).unsigned_abs();
    }
    let mut taken = [0; STRINGS];
    let mut from_own_fret = 0;
    for (&finger, &press) in fingers.iter().zip(presses) {
        strings_under(frets, press).for_each(|string| taken[string] = finger);
        from_own_fret += (finger as i8 - press.fret).unsigned_abs();
    }
    let sum: u8 = fingers.iter().sum();
    let alone = bar.is_none() && presses.len() <= FEW;
    Some(Way {
        laid: bar.map_or(Laid::NoBar, |bar| laid(frets, bar, taken[bar.from])),
        strain,
        place: if alone {
            (from_own_fret, u8::MAX - sum)
        } else {
            (sum, 0)
        },
        fingers: taken,
    })
}

fn laid(frets: Frets, bar: Press, finger: u8) -> Laid {
    let lowest = frets.into_iter().filter(|&fret| fret > 0).min();
    let to_the_edge = bar.to == STRINGS - 1 && frets[bar.from..].iter().all(|&fret| fret == bar.fret);
    match finger {
        1 if Some(bar.fret) == lowest && to_the_edge => Laid::Flat,
        1 => Laid::FirstFinger,
        _ => Laid::OtherFinger,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frets(text: &str) -> Frets {
        let mut chars = text.chars();
        std::array::from_fn(|_| chars.next().unwrap().to_digit(10).map_or(-1, |fret| fret as i8))
    }

    // From memory: how a handbook of open chords fingers them.
    #[test]
    fn open_chords_are_fingered_as_a_handbook_has_them() {
        for (shape, fingers) in [
            ("x32010", "032010"),
            ("x02220", "001230"),
            ("320003", "210003"),
            ("022100", "023100"),
            ("xx0232", "000132"),
            ("x02210", "002310"),
            ("022000", "023000"),
            ("xx0231", "000231"),
            ("133211", "134211"),
            ("xx3211", "003211"),
            ("x24432", "013421"),
            ("244222", "134111"),
            ("x13331", "012341"),
            ("x24442", "012341"),
            ("x21202", "021304"),
            ("x02020", "002030"),
            ("020100", "020100"),
            ("xx0212", "000213"),
            ("320001", "320001"),
            ("x32310", "032410"),
            ("x02010", "002010"),
            ("xx0211", "000211"),
            ("x32033", "021034"),
            ("x32030", "021030"),
            ("xx0233", "000123"),
            ("x02200", "002300"),
            ("020000", "020000"),
            ("022033", "012034"),
            ("x32000", "032000"),
            ("xx3210", "003210"),
            ("x02120", "002130"),
            ("x42220", "041230"),
            ("032010", "032010"),
        ] {
            let found = fingering(frets(shape)).unwrap();
            assert_eq!(found.map(|finger| finger.to_string()).concat(), fingers, "{shape}");
        }
    }

    #[test]
    fn a_bar_is_laid_where_fingers_are_too_few() {
        for (shape, fingers) in [
            ("000000", "000000"),
            ("x13333", "013333"),
            ("x41111", "041111"),
            ("x24444", "013333"),
            ("121212", "121314"),
            ("222111", "234111"),
            ("444444", "111111"),
            ("x33343", "011121"),
        ] {
            let found = fingering(frets(shape)).unwrap();
            assert_eq!(found.map(|finger| finger.to_string()).concat(), fingers, "{shape}");
        }
    }

    #[test]
    fn what_no_hand_can_press_has_no_fingers() {
        for (shape, why) in [
            ("221122", "a bar saves one finger of six"),
            ("101111", "a string at the lowest fret below the bar"),
            ("144414", "no finger left out between the first fret and the fourth"),
            ("10x2x1", "two muted strings between sounding ones"),
            ("115111", "above the fourth fret"),
        ] {
            assert_eq!(fingering(frets(shape)), None, "{shape}: {why}");
        }
    }

    #[test]
    fn hands_come_in_the_order_of_preference() {
        let order = |shape| order(frets(shape));
        for (first, second, why) in [
            ("xx0232", "2x0232", "no muted string between before one"),
            ("xx0222", "100004", "three frets before four"),
            ("330033", "x30033", "more strings"),
            ("300003", "330003", "more open strings"),
            ("022000", "021000", "fewer fingers"),
            ("000010", "000020", "the lower sum of frets"),
            ("000001", "000010", "the lower fret on the lower string"),
            ("x00000", "00000x", "muted first"),
        ] {
            assert!(order(first) < order(second), "{first} {second}: {why}");
        }
    }
}
