//! A word set in dots: each letter's stems put on whole dots, then its outline filled.

use crate::screen::face::{At, Faces, Letter, Stroke};
use crate::screen::stems::{Set, Stem, Warp, part};
use ab_glyph_rasterizer::{Point, Rasterizer, point};
use std::rc::Rc;

/// A capital's height, a small letter's and a descender's depth in the text font, in ems: 1493, 1120 and 426 of 2048
/// units. Ascenders and round letters reach a little further, which the grid has no room for.
pub(super) const CAPITAL: f32 = 0.729;
const SMALL: f32 = 0.547;
const DESCENDER: f32 = 0.208;
const ASCENDER: f32 = 0.763;
const ROUND: f32 = 0.016;
/// How much of a dot must be covered to be inked: a little under half, so that slanted strokes hold.
const INKED: f32 = 0.46;

/// How a word is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Setting {
    /// A capital's height in whole dots.
    pub(super) capital: u16,
    /// Whole dots below the baseline.
    pub(super) descent: u16,
    /// Whole dots above a capital, for accents.
    pub(super) headroom: u16,
    /// Dots across in an em.
    pub(super) across: f32,
}

/// A word's dots, row by row.
pub(super) struct Dots {
    pub(super) across: usize,
    pub(super) down: usize,
    pub(super) ink: Vec<bool>,
}

/// The letters of a word; none where one of them is in no font.
pub(super) fn letters(faces: &mut Faces, word: &str) -> Option<Vec<Rc<Letter>>> {
    word.chars().map(|letter| faces.letter(letter)).collect()
}

/// Sets the letters and fills them.
pub(super) fn draw(letters: &[Rc<Letter>], setting: Setting, raster: &mut Rasterizer) -> Dots {
    let (placed, across) = lay(letters, setting);
    let across = across as usize;
    let down = usize::from(setting.headroom + setting.capital + setting.descent);
    raster.reset(across, down);
    let baseline = f32::from(setting.headroom + setting.capital);
    for (letter, fitted) in letters.iter().zip(&placed) {
        fill(raster, letter, fitted, baseline, point(across as f32, down as f32));
    }
    let mut ink = vec![false; across * down];
    raster.for_each_pixel(|place, cover| {
        if let Some(dot) = ink.get_mut(place) {
            *dot = cover > INKED;
        }
    });
    Dots { across, down, ink }
}

/// How many dots the letters take across.
pub(super) fn width(letters: &[Rc<Letter>], setting: Setting) -> f32 {
    lay(letters, setting).1
}

/// A letter fitted to the grid, and where it begins.
struct Fitted {
    origin: f32,
    across: Warp,
    up: Warp,
}

/// Puts the letters side by side, with at least a dot between them; how many dots they take.
fn lay(letters: &[Rc<Letter>], setting: Setting) -> (Vec<Fitted>, f32) {
    let mut placed = Vec::with_capacity(letters.len());
    let (mut origin, mut inked) = (0.0_f32, -1.0_f32);
    for letter in letters {
        let across = fit_across(letter, setting);
        if letter.strokes.is_empty() {
            // A blank parts words even where letters have pushed one another along.
            origin = origin.max(inked);
        } else {
            let left = across.dots(letter.low.0).floor();
            // The first letter's ink begins the line, so that lines stand flush below one another.
            origin = if inked < 0.0 {
                -left
            } else {
                origin.max(inked + 1.0 - left)
            };
            inked = origin + across.dots(letter.high.0).ceil();
        }
        placed.push(Fitted {
            origin,
            across,
            up: fit_up(letter, setting),
        });
        origin += advance(letter, setting);
    }
    (placed, inked.max(1.0))
}

/// A blank is at least three dots wide, or condensed words would run together.
fn advance(letter: &Letter, setting: Setting) -> f32 {
    let dots = (letter.advance * setting.across).round();
    if letter.strokes.is_empty() { dots.max(3.0) } else { dots }
}

fn fit_across(letter: &Letter, setting: Setting) -> Warp {
    let scale = setting.across;
    let mut sets: Vec<Set> = letter
        .upright
        .iter()
        .map(|stem| {
            let low = (stem.low * scale).round();
            Set {
                low,
                high: low + thickness(stem, scale),
                fixed: false,
            }
        })
        .collect();
    part(&mut sets);
    Warp::new(knots(&letter.upright, &sets), scale)
}

fn fit_up(letter: &Letter, setting: Setting) -> Warp {
    let scale = f32::from(setting.capital) / CAPITAL;
    let lines = lines(letter, setting);
    let plain = Warp::new(lines.to_vec(), scale);
    let hangs = letter.low.1 < -DESCENDER / 2.0;
    let mut sets: Vec<Set> = letter
        .level
        .iter()
        .map(|stem| set_up(stem, &lines, &plain, scale, hangs))
        .collect();
    part(&mut sets);
    let mut all = knots(&letter.level, &sets);
    let free = |em: f32| {
        letter
            .level
            .iter()
            .all(|stem| em < stem.low - 0.02 || em > stem.high + 0.02)
    };
    all.extend(lines.into_iter().filter(|line| free(line.0)));
    Warp::new(all, scale)
}

/// The lines that letters keep, each with what lies within its roundness: descenders, baseline, small letters,
/// capitals.
fn lines(letter: &Letter, setting: Setting) -> [(f32, f32); 8] {
    let capital = f32::from(setting.capital);
    let mut small = (capital * SMALL / CAPITAL).round();
    // A dot over a letter needs a blank below it, if that must be taken from the letter.
    let dotted = letter
        .level
        .iter()
        .any(|stem| stem.low > SMALL + 0.02 && stem.high < 0.85);
    if dotted && letter.level.iter().all(|stem| stem.high < CAPITAL || stem.low > SMALL) {
        small = small.min(capital - 2.0);
    }
    let descent = f32::from(setting.descent);
    [
        (-DESCENDER - ROUND, -descent),
        (-DESCENDER + ROUND, -descent),
        (-ROUND, 0.0),
        (0.0, 0.0),
        (SMALL, small),
        (SMALL + ROUND, small),
        (CAPITAL, capital),
        (ASCENDER, capital),
    ]
}

fn set_up(stem: &Stem, lines: &[(f32, f32); 8], plain: &Warp, scale: f32, hangs: bool) -> Set {
    let thick = thickness(stem, scale);
    let line = |em: f32, pair: usize| (lines[pair].0 - 0.004..=lines[pair + 1].0 + 0.004).contains(&em);
    let fixed_low = [0, 2].into_iter().find(|&pair| line(stem.low, pair));
    let fixed_high = [4, 6].into_iter().find(|&pair| line(stem.high, pair));
    match (fixed_low, fixed_high) {
        (Some(pair), _) => Set {
            low: lines[pair].1,
            high: lines[pair].1 + thick,
            // In a letter that hangs, the bowl gives way to the tail.
            fixed: pair == 0 || !hangs,
        },
        (None, Some(pair)) => {
            let high = lines[pair].1;
            // The dot of an i keeps clear of what stands below it.
            let clear = if stem.low > SMALL + ROUND {
                lines[4].1 + 1.0
            } else {
                f32::MIN
            };
            Set {
                low: (high - thick).max(clear).min(high - 1.0),
                high,
                fixed: true,
            }
        }
        (None, None) => {
            let middle = plain.dots((stem.low + stem.high) / 2.0);
            let low = (middle - thick / 2.0).round();
            Set {
                low,
                high: low + thick,
                fixed: false,
            }
        }
    }
}

/// At least a dot; a second one only where it is nearly there, for thick strokes close the eyes of letters.
fn thickness(stem: &Stem, scale: f32) -> f32 {
    ((stem.high - stem.low) * scale + 0.3).floor().max(1.0)
}

fn knots(stems: &[Stem], sets: &[Set]) -> Vec<(f32, f32)> {
    let pairs = stems.iter().zip(sets);
    pairs
        .flat_map(|(stem, set)| [(stem.low, set.low), (stem.high, set.high)])
        .collect()
}

/// Fills the outline, kept within the dots.
fn fill(raster: &mut Rasterizer, letter: &Letter, fitted: &Fitted, baseline: f32, limit: Point) {
    let place = |(x, y): At| {
        point(
            (fitted.origin + fitted.across.dots(x)).clamp(0.0, limit.x - 0.001),
            (baseline - fitted.up.dots(y)).clamp(0.0, limit.y),
        )
    };
    let mut at = point(0.0, 0.0);
    for stroke in &letter.strokes {
        let to = place(stroke.end());
        match *stroke {
            Stroke::Start(_) => {}
            Stroke::Line(_) => raster.draw_line(at, to),
            Stroke::Quad(control, _) => raster.draw_quad(at, place(control), to),
        }
        at = to;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The runs of ink down that column of a letter which has the most.
    fn strokes_down(faces: &mut Faces, letter: char, capital: u16, across: f32) -> usize {
        let letters = letters(faces, &letter.to_string()).unwrap();
        let setting = Setting {
            capital,
            descent: crate::screen::lettering::descent(capital),
            headroom: 0,
            across,
        };
        let dots = draw(&letters, setting, &mut Rasterizer::new(0, 0));
        let runs = |column: usize| {
            let down: Vec<bool> = (0..dots.down).map(|row| dots.ink[row * dots.across + column]).collect();
            down.chunk_by(|a, b| a == b).filter(|run| run[0]).count()
        };
        (0..dots.across).map(runs).max().unwrap()
    }

    /// The bars of an e and the bowls of a g and an 8 would run together if they fell between dots.
    #[test]
    fn the_eyes_of_letters_stay_open_at_every_height() {
        let faces = &mut Faces::new();
        for capital in 7..=60 {
            for square in [1.0, 4.0 / 3.0, 2.0] {
                let across = f32::from(capital) / CAPITAL * square;
                for (letter, strokes) in [('e', 3), ('8', 3), ('o', 2), ('g', 3), ('i', 2), ('B', 3), ('H', 1)] {
                    let drawn = strokes_down(faces, letter, capital, across);
                    assert_eq!(drawn, strokes, "{letter} at {capital} dots, {across} across");
                }
            }
        }
    }

    #[test]
    fn letters_never_touch_one_another() {
        let faces = &mut Faces::new();
        for word in ["rnmillpond", "neck+middle", "AVATAR", "F♯m7♭5"] {
            let all = letters(faces, word).unwrap();
            for (capital, across) in [(5, 4.0), (7, 6.0), (7, 12.0), (9, 20.0), (20, 40.0)] {
                let setting = Setting {
                    capital,
                    descent: 2,
                    headroom: 0,
                    across,
                };
                let (placed, _) = lay(&all, setting);
                let mut end = -1.0;
                for (letter, fitted) in all.iter().zip(placed) {
                    let begin = fitted.origin + fitted.across.dots(letter.low.0).floor();
                    assert!(begin >= end + 1.0, "{word} at {capital}: {begin} {end}");
                    end = fitted.origin + fitted.across.dots(letter.high.0).ceil();
                }
            }
        }
    }
}
