//! The chords of a shape family: for every degree the plain triad, how it rings, and for 3 and 7 the inversion played.

use crate::music::voicing::first_voicing;
use crate::music::{Chord, Family, Interval, NumberChord, Quality, Voicing, voicings};
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// A chord of a family and how it is fingered: named by what it is in any key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shape {
    pub number: NumberChord,
    pub voicing: Voicing,
}

/// The ways to finger one degree of a family.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DegreeShapes {
    /// The triad's first voicing.
    pub plain: Shape,
    /// How it rings with the rest of the family.
    pub open: Shape,
    /// 1/3 for 3 and 5/7 for 7, which are mostly played so.
    pub slash: Option<Shape>,
}

impl Family {
    /// The shapes of the seven degrees, 1 to 7.
    ///
    /// The open ones follow one rule: **the home note and its fifth ring on.** Either or both are added to the triad, a
    /// third giving way to the note a semitone above it, wherever that makes a chord with a name. Of all voicings of
    /// these chords with the degree's root lowest and no fewer open strings than the plain one, the first is taken that
    /// keeps the most strings as the home chord has them; then that with the most open strings; then the more usual
    /// chord; then by the order of voicings.
    pub fn degrees(self) -> Vec<DegreeShapes> {
        let triads = NumberChord::diatonic();
        let [one, _, three, _, five, _, seven] = triads;
        let home = self.shape(one);
        let degree = |triad: NumberChord| {
            let plain = self.shape(triad)?;
            let slash = if triad == three {
                Some(one.over(three))
            } else if triad == seven {
                Some(five.over(seven))
            } else {
                None
            };
            Some(DegreeShapes {
                plain,
                open: self.open(plain, home?),
                slash: slash.and_then(|number| self.shape(number)),
            })
        };
        triads.into_iter().filter_map(degree).collect()
    }

    /// The chord's first voicing in this family.
    fn shape(self, number: NumberChord) -> Option<Shape> {
        let voicing = first_voicing(number.on(self.tonic()))?;
        Some(Shape { number, voicing })
    }

    fn open(self, plain: Shape, home: Shape) -> Shape {
        let ringing = ringing(plain.number.on(self.tonic()), self);
        let shapes = ringing.flat_map(|chord| {
            let number = NumberChord::of(chord, self.tonic());
            voicings(chord)
                .into_iter()
                .map(move |voicing| Shape { number, voicing })
        });
        let least = plain.voicing.open_strings();
        // Of equals the first is taken, and voicings come in their order.
        let best = shapes
            .filter(|shape| shape.voicing.open_strings() >= least)
            .min_by_key(|shape| {
                let kept = shape.voicing.kept_from(&home.voicing);
                let quality = shape.number.on(self.tonic()).quality;
                (Reverse(kept), Reverse(shape.voicing.open_strings()), quality)
            });
        best.unwrap_or(plain)
    }
}

/// The triad, and what it becomes when the family's home note, its fifth, or both ring on in it.
fn ringing(triad: Chord, family: Family) -> impl Iterator<Item = Chord> {
    let home = family.tonic();
    let [home, fifth] = [home, home.up(Interval::FIFTH)].map(|note| note.above(triad.root));
    let choices = [vec![], vec![home], vec![fifth], vec![home, fifth]];
    choices.into_iter().filter_map(move |added| {
        let mut tones: BTreeSet<Interval> = triad.quality.tones().collect();
        if added.contains(&Interval::FOURTH) {
            tones.remove(&Interval::MAJOR_THIRD);
        }
        tones.extend(added);
        let quality = Quality::of(&tones)?;
        Some(Chord { quality, ..triad })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(shape: Shape, family: Family) -> String {
        format!("{} {}", shape.number.on(family.tonic()), shape.voicing)
    }

    // What the rule makes of each family; where it parts from a handbook's chords it is for the strings that ring.
    #[test]
    fn every_family_rings_by_the_one_rule() {
        for (family, open, slash) in [
            (
                Family::G,
                "G 320003, Am7 x02013, Bm x20402, Cadd9 x30010, Dsus4 xx0233, Em7 020003, F#dim 20421x",
                "G/B x20003, D/F# 200232",
            ),
            (
                Family::C,
                "C x32010, Dm7 xx0211, Em 022000, Fadd9 103011, G 320003, Am7 x02010, Bdim x20401",
                "C/E 032010, G/B x20003",
            ),
            (
                Family::D,
                "D xx0232, Em7 020030, F#m 20x222, Gadd9 300203, Asus4 x00230, Bm7 x20202, C#dim x42020",
                "D/F# 200232, A/C# x42220",
            ),
            (
                Family::E,
                "E 022100, F#m7 202220, G#m 421104, A x02220, Bsus4 x24400, C#m7 x42100, D#dim xx1242",
                "E/G# 422400, B/D# xx1402",
            ),
            (
                Family::A,
                "A x02220, Bm7 x20202, C#m x42120, D xx0232, Esus4 002200, F#m7 202220, G#dim 420404",
                "A/C# x42220, E/G# 422400",
            ),
        ] {
            let degrees = family.degrees();
            let found: Vec<_> = degrees.iter().map(|degree| written(degree.open, family)).collect();
            assert_eq!(found.join(", "), open, "{family}");
            let found: Vec<_> = degrees.iter().filter_map(|degree| degree.slash).collect();
            let found: Vec<_> = found.into_iter().map(|shape| written(shape, family)).collect();
            assert_eq!(found.join(", "), slash, "{family}");
        }
    }

    #[test]
    fn plain_shapes_are_the_seven_triads_and_open_ones_ring_no_less_within_the_key() {
        let scale: BTreeSet<_> = (-1..=5).map(Interval::fifths).collect();
        for family in Family::ALL {
            let degrees = family.degrees();
            assert_eq!(degrees.len(), 7, "{family}");
            for (degree, triad) in degrees.iter().zip(NumberChord::diatonic()) {
                let chord = triad.on(family.tonic());
                assert_eq!(degree.plain.number, triad, "{family} {chord}");
                assert_eq!(Some(degree.plain.voicing), first_voicing(chord), "{family} {chord}");

                let open = degree.open.number.on(family.tonic());
                assert_eq!((open.root, open.bass), (chord.root, None), "{family} {chord}");
                assert!(voicings(open).contains(&degree.open.voicing), "{family} {open}");
                assert!(
                    degree.open.voicing.open_strings() >= degree.plain.voicing.open_strings(),
                    "{family} {open}"
                );
                let notes = open.notes().into_iter().map(|note| note.above(family.tonic()));
                assert!(notes.collect::<BTreeSet<_>>().is_subset(&scale), "{family} {open}");
            }
        }
    }
}
