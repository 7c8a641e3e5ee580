//! The straight parts of a letter that must fall on whole dots: its stems, found in the outline and set on the grid.

use crate::screen::face::{At, Stroke};

/// A stroke of a letter seen along one axis: where its ink begins and ends, in ems.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stem {
    pub(super) low: f32,
    pub(super) high: f32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Axis {
    Across,
    Up,
}

/// Where an outline runs square to the axis: on one side of it is ink.
#[derive(Clone, Copy, Debug)]
struct Edge {
    at: f32,
    /// The ink lies towards higher places.
    opens: bool,
    /// How far it reaches along the other axis.
    span: (f32, f32),
}

/// Closer together than this, in ems, edges are one.
const SAME: f32 = 0.012;
/// What is thicker than this, in ems, is no stroke but a counter or a gap.
const THICKEST: f32 = 0.23;
const THINNEST: f32 = 0.03;

/// The stems of an outline along an axis, from low to high, none over another.
pub(super) fn stems(strokes: &[Stroke], axis: Axis) -> Vec<Stem> {
    let mut edges = edges(strokes, axis);
    edges.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut stems: Vec<Stem> = Vec::new();
    for open in edges.iter().filter(|edge| edge.opens) {
        let closes = edges.iter().find(|close| {
            let thick = close.at - open.at;
            !close.opens
                && (THINNEST..THICKEST).contains(&thick)
                && close.span.0 < open.span.1
                && open.span.0 < close.span.1
        });
        if let Some(close) = closes {
            let stem = Stem {
                low: open.at,
                high: close.at,
            };
            if stems.last().is_none_or(|before| before.high + SAME < stem.low) {
                stems.push(stem);
            }
        }
    }
    stems
}

fn edges(strokes: &[Stroke], axis: Axis) -> Vec<Edge> {
    // Along the axis, and along the other.
    let turned = |(x, y): At| match axis {
        Axis::Across => (x, y),
        Axis::Up => (y, x),
    };
    let mut edges = Vec::new();
    let mut from = (0.0, 0.0);
    for stroke in strokes {
        let to = turned(stroke.end());
        match *stroke {
            Stroke::Start(_) => {}
            Stroke::Line(_) => edges.extend(edge(from, to, from, to, axis)),
            Stroke::Quad(control, _) => {
                let control = turned(control);
                edges.extend(edge(from, control, from, to, axis));
                edges.extend(edge(control, to, from, to, axis));
            }
        }
        from = to;
    }
    edges
}

/// An edge where the outline's direction from `a` to `b` is square to the axis. It reaches from `begin` to `end`.
fn edge(a: At, b: At, begin: At, end: At, axis: Axis) -> Option<Edge> {
    let (along, other) = (b.0 - a.0, b.1 - a.1);
    if other.abs() < 0.02 || along.abs() > 0.02 * other.abs() {
        return None;
    }
    // Outlines keep their ink to the right (TrueType): going up it lies further across, going across it lies below.
    let opens = match axis {
        Axis::Across => other > 0.0,
        Axis::Up => other < 0.0,
    };
    Some(Edge {
        at: b.0,
        opens,
        span: (begin.1.min(end.1), begin.1.max(end.1)),
    })
}

/// A stem on the grid, in whole dots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Set {
    pub(super) low: f32,
    pub(super) high: f32,
    /// It stands on a line that all letters keep, and does not move.
    pub(super) fixed: bool,
}

/// Keeps a dot between stems that are apart: the free ones give way, then the thick ones.
pub(super) fn part(stems: &mut [Set]) {
    for upper in 1..stems.len() {
        let (below, above) = stems.split_at_mut(upper);
        let (Some(below), Some(above)) = (below.last_mut(), above.first_mut()) else {
            return;
        };
        let lacking = below.high + 1.0 - above.low;
        if lacking <= 0.0 {
            continue;
        }
        if !above.fixed {
            above.low += lacking;
            above.high += lacking;
        } else if above.high - above.low > 1.0 {
            above.low = (above.low + lacking).min(above.high - 1.0);
        }
    }
    // What stands against a fixed stem goes back down, as far as it keeps clear of the one below: where it cannot, the
    // gap below it is worth more, for that is what tells an e from an a.
    for upper in (1..stems.len()).rev() {
        let floor = upper.checked_sub(2).map_or(f32::MIN, |under| stems[under].high + 1.0);
        let (below, above) = stems.split_at_mut(upper);
        let (Some(below), Some(above)) = (below.last_mut(), above.first_mut()) else {
            return;
        };
        let lacking = below.high + 1.0 - above.low;
        if lacking <= 0.0 {
            continue;
        }
        let thin = (below.high - below.low - 1.0).min(lacking).max(0.0);
        below.high -= thin;
        if !below.fixed {
            let down = (lacking - thin).min(below.low - floor).max(0.0);
            below.low -= down;
            below.high -= down;
        }
    }
}

/// A way from ems to dots that puts every knot where it belongs and stretches what lies between.
pub(super) struct Warp {
    knots: Vec<(f32, f32)>,
    scale: f32,
}

impl Warp {
    /// `knots` need not be sorted; those that would turn the way back are left out.
    pub(super) fn new(mut knots: Vec<(f32, f32)>, scale: f32) -> Warp {
        knots.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut kept: Vec<(f32, f32)> = Vec::with_capacity(knots.len());
        for knot in knots {
            if kept.last().is_none_or(|last| knot.0 > last.0 && knot.1 >= last.1) {
                kept.push(knot);
            }
        }
        Warp { knots: kept, scale }
    }

    pub(super) fn dots(&self, em: f32) -> f32 {
        let above = self.knots.partition_point(|knot| knot.0 <= em);
        let Some(&(from, dots)) = above.checked_sub(1).and_then(|below| self.knots.get(below)) else {
            return match self.knots.first() {
                Some(&(first, dots)) => dots + (em - first) * self.scale,
                None => em * self.scale,
            };
        };
        match self.knots.get(above) {
            Some(&(to, end)) => dots + (em - from) * (end - dots) / (to - from),
            None => dots + (em - from) * self.scale,
        }
    }
}
