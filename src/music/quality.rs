//! Chord qualities: one table of intervals, names and the spellings that are read.

use crate::music::Interval;
use std::collections::BTreeSet;

/// What kind of chord it is, apart from its root: a row of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Quality(u8);

/// One kind of chord.
struct Row {
    /// As the project writes it after the root.
    suffix: &'static str,
    /// The notes above the root, in fifths, in the order in which the chord is built.
    tones: &'static [i8],
    /// What is read beside the suffix itself, parted by blanks: `-` and `min` stand for a leading `m`, `M` and `Δ` for
    /// `maj`.
    spellings: &'static str,
}

/// A major third is four fifths up, a minor third three down, and so on along the line of fifths.
mod tone {
    pub(super) const ROOT: i8 = 0;
    pub(super) const FLAT_NINTH: i8 = -5;
    pub(super) const NINTH: i8 = 2;
    pub(super) const SHARP_NINTH: i8 = 9;
    pub(super) const MINOR_THIRD: i8 = -3;
    pub(super) const THIRD: i8 = 4;
    pub(super) const FOURTH: i8 = -1;
    pub(super) const ELEVENTH: i8 = FOURTH;
    pub(super) const FLAT_FIFTH: i8 = -6;
    pub(super) const FIFTH: i8 = 1;
    pub(super) const SHARP_FIFTH: i8 = 8;
    pub(super) const SIXTH: i8 = 3;
    pub(super) const THIRTEENTH: i8 = SIXTH;
    pub(super) const DIMINISHED_SEVENTH: i8 = -9;
    pub(super) const SEVENTH: i8 = -2;
    pub(super) const MAJOR_SEVENTH: i8 = 5;
}
use tone::*;

const fn row(suffix: &'static str, tones: &'static [i8], spellings: &'static str) -> Row {
    Row {
        suffix,
        tones,
        spellings,
    }
}

/// The most usual first (common practice, no source), in which order fingered notes are named. The notes are standard
/// theory, held in the tests against a general-purpose library. An 11 has its third, a 13 its eleventh.
const TABLE: [Row; 30] = [
    row("", &[ROOT, THIRD, FIFTH], "maj M"),
    row("m", &[ROOT, MINOR_THIRD, FIFTH], "min -"),
    row("7", &[ROOT, THIRD, FIFTH, SEVENTH], ""),
    row("m7", &[ROOT, MINOR_THIRD, FIFTH, SEVENTH], "min7 -7"),
    row("maj7", &[ROOT, THIRD, FIFTH, MAJOR_SEVENTH], "M7 Δ7 Δ"),
    row("5", &[ROOT, FIFTH], ""),
    row("sus4", &[ROOT, FOURTH, FIFTH], "sus"),
    row("sus2", &[ROOT, NINTH, FIFTH], ""),
    row("add9", &[ROOT, THIRD, FIFTH, NINTH], "2 add2"),
    row("7sus4", &[ROOT, FOURTH, FIFTH, SEVENTH], "7sus"),
    row("6", &[ROOT, THIRD, FIFTH, SIXTH], ""),
    row("m6", &[ROOT, MINOR_THIRD, FIFTH, SIXTH], "min6 -6"),
    row("dim", &[ROOT, MINOR_THIRD, FLAT_FIFTH], "°"),
    row("aug", &[ROOT, THIRD, SHARP_FIFTH], "+"),
    row("dim7", &[ROOT, MINOR_THIRD, FLAT_FIFTH, DIMINISHED_SEVENTH], "°7"),
    row("m7b5", &[ROOT, MINOR_THIRD, FLAT_FIFTH, SEVENTH], "min7b5 -7b5 ø"),
    row("9", &[ROOT, THIRD, FIFTH, SEVENTH, NINTH], ""),
    row("m9", &[ROOT, MINOR_THIRD, FIFTH, SEVENTH, NINTH], "min9 -9"),
    row("maj9", &[ROOT, THIRD, FIFTH, MAJOR_SEVENTH, NINTH], "M9 Δ9"),
    row("69", &[ROOT, THIRD, FIFTH, SIXTH, NINTH], "6/9"),
    row(
        "madd9",
        &[ROOT, MINOR_THIRD, FIFTH, NINTH],
        "madd2 minadd9 minadd2 -add9 -add2",
    ),
    row("add4", &[ROOT, THIRD, FOURTH, FIFTH], ""),
    row(
        "mmaj7",
        &[ROOT, MINOR_THIRD, FIFTH, MAJOR_SEVENTH],
        "mM7 mΔ mΔ7 minmaj7 minM7 minΔ minΔ7 -maj7 -M7 -Δ -Δ7",
    ),
    row("11", &[ROOT, THIRD, FIFTH, SEVENTH, NINTH, ELEVENTH], ""),
    row(
        "m11",
        &[ROOT, MINOR_THIRD, FIFTH, SEVENTH, NINTH, ELEVENTH],
        "min11 -11",
    ),
    row("13", &[ROOT, THIRD, FIFTH, SEVENTH, NINTH, ELEVENTH, THIRTEENTH], ""),
    row("7#9", &[ROOT, THIRD, FIFTH, SEVENTH, SHARP_NINTH], ""),
    row("7b9", &[ROOT, THIRD, FIFTH, SEVENTH, FLAT_NINTH], ""),
    row("7b5", &[ROOT, THIRD, FLAT_FIFTH, SEVENTH], ""),
    row("7#5", &[ROOT, THIRD, SHARP_FIFTH, SEVENTH], ""),
];

impl Quality {
    pub const MAJOR: Quality = Quality(0);
    pub(crate) const MINOR: Quality = Quality(1);
    pub(crate) const DIMINISHED: Quality = Quality(12);

    /// Every quality there is.
    pub fn all() -> impl DoubleEndedIterator<Item = Quality> + ExactSizeIterator + Clone {
        (0..TABLE.len() as u8).map(Quality)
    }

    /// The suffix as the project writes it: ``, `m`, `m7b5`, `add9`.
    pub fn suffix(self) -> &'static str {
        self.row().suffix
    }

    /// The suffix with `♭`, `♯` and `°`.
    pub(super) fn signs(self) -> String {
        self.suffix().replace("dim", "°").replace('b', "♭").replace('#', "♯")
    }

    /// The notes above the root, in the order in which the chord is built: root, third, fifth and so on.
    pub fn tones(self) -> impl ExactSizeIterator<Item = Interval> + Clone {
        self.row().tones.iter().copied().map(Interval::fifths)
    }

    /// The quality that has just these notes above its root, in any order.
    pub(super) fn of(tones: &BTreeSet<Interval>) -> Option<Quality> {
        Quality::all().find(|quality| quality.tones().collect::<BTreeSet<_>>() == *tones)
    }

    /// Whether a voicing may leave the note out: a perfect fifth in a chord of four or more, and in one of five or more
    /// also a 9 or 11 that the name does not end on.
    pub(super) fn spares(self, tone: Interval) -> bool {
        let tones = self.row().tones;
        let fifths = tone.as_fifths();
        let named_last = tones.last() == Some(&fifths);
        match tones.len() {
            0..=3 => false,
            4 => fifths == FIFTH,
            _ => fifths == FIFTH || ((fifths == NINTH || fifths == ELEVENTH) && !named_last),
        }
    }

    /// The longest quality that stands at the front of `text`, and its length in bytes; none where nothing is written.
    pub(super) fn at_front(text: &str) -> Option<(Quality, usize)> {
        Quality::all()
            .flat_map(|quality| quality.spellings().map(move |spelling| (quality, spelling)))
            .filter_map(|(quality, spelling)| Some((quality, length_alike(spelling, text)?)))
            .max_by_key(|&(_, length)| length)
            .filter(|&(_, length)| length > 0)
    }

    /// Every spelling that is read, the project's own first.
    pub(super) fn spellings(self) -> impl Iterator<Item = &'static str> {
        let row = self.row();
        std::iter::once(row.suffix).chain(row.spellings.split_whitespace())
    }

    fn row(self) -> &'static Row {
        &TABLE[usize::from(self.0)]
    }
}

/// How many bytes `text` spends on saying `spelling`, where it begins so.
fn length_alike(spelling: &str, text: &str) -> Option<usize> {
    let mut found = text.chars();
    let alike = spelling.chars().all(|wanted| match (wanted, found.next()) {
        ('b', Some('b' | '♭')) | ('#', Some('#' | '♯')) => true,
        (_, next) => next == Some(wanted),
    });
    alike.then(|| text.len() - found.as_str().len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    fn read(text: &str) -> Option<&'static str> {
        let (quality, length) = Quality::at_front(text)?;
        (length == text.len()).then(|| quality.suffix())
    }

    #[test]
    fn no_row_stands_twice_and_each_is_read_as_it_is_written() {
        let mut names = HashSet::new();
        let mut tones = HashSet::new();
        for quality in Quality::all() {
            assert!(quality.spellings().all(|name| names.insert(name)), "{quality:?}");
            assert!(tones.insert(quality.tones().collect::<BTreeSet<_>>()), "{quality:?}");
            for spelling in quality.spellings().filter(|spelling| !spelling.is_empty()) {
                assert_eq!(read(spelling), Some(quality.suffix()), "{spelling}");
            }
            let signs = quality.signs();
            assert_eq!(
                read(&signs),
                Some(quality.suffix()).filter(|s| !s.is_empty()),
                "{signs}"
            );
        }
    }

    #[test]
    fn every_chord_has_its_root_first_and_seven_letters_at_most() {
        for quality in Quality::all() {
            let letters: HashSet<i8> = quality.tones().map(|tone| tone.as_fifths().rem_euclid(7)).collect();
            assert_eq!(
                letters.len(),
                quality.tones().len(),
                "{}: one letter a note",
                quality.suffix()
            );
            assert_eq!(quality.tones().next(), Some(Interval::UNISON), "{}", quality.suffix());
        }
    }

    #[test]
    fn the_three_triads_of_a_key_are_where_their_names_say() {
        let names = [Quality::MAJOR, Quality::MINOR, Quality::DIMINISHED].map(Quality::suffix);
        assert_eq!(names, ["", "m", "dim"]);
    }

    #[test]
    fn minor_and_major_have_their_other_signs_wherever_a_quality_begins_with_them() {
        for quality in Quality::all() {
            let suffix = quality.suffix();
            let (head, others) = match suffix.strip_prefix("maj") {
                Some(_) => ("maj", ["M", "Δ"]),
                None => ("m", ["min", "-"]),
            };
            for other in others.into_iter().filter(|_| suffix.starts_with(head)) {
                let text = suffix.replacen(head, other, 1);
                assert_eq!(read(&text), Some(suffix), "{text}");
            }
        }
    }

    #[test]
    fn qualities_are_read_in_their_usual_spellings() {
        for (text, suffix) in [
            ("min11", "m11"),
            ("-7b5", "m7b5"),
            ("-7♭5", "m7b5"),
            ("minmaj7", "mmaj7"),
            ("-Δ", "mmaj7"),
            ("-add9", "madd9"),
            ("M", ""),
            ("maj", ""),
            ("Δ", "maj7"),
            ("Δ7", "maj7"),
            ("M9", "maj9"),
            ("Δ9", "maj9"),
            ("7♯9", "7#9"),
        ] {
            assert_eq!(read(text), Some(suffix), "{text}");
        }
        for text in ["mi", "minor", "major", "maj77", "77", "sus9", "B", "♭"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn a_full_chord_spares_its_fifth_and_the_notes_below_the_one_it_is_named_for() {
        let spared = |suffix| {
            let quality = Quality::all().find(|quality| quality.suffix() == suffix).unwrap();
            quality
                .tones()
                .filter(|&tone| quality.spares(tone))
                .map(Interval::as_fifths)
                .collect::<Vec<_>>()
        };
        for (suffix, tones) in [
            ("", &[][..]),
            ("5", &[]),
            ("7", &[FIFTH]),
            ("add9", &[FIFTH]),
            ("add4", &[FIFTH]),
            ("m7b5", &[]),
            ("7#5", &[]),
            ("9", &[FIFTH]),
            ("69", &[FIFTH]),
            ("7b9", &[FIFTH]),
            ("11", &[FIFTH, NINTH]),
            ("m11", &[FIFTH, NINTH]),
            ("13", &[FIFTH, NINTH, ELEVENTH]),
        ] {
            assert_eq!(spared(suffix), tones, "{suffix}");
        }
    }
}
