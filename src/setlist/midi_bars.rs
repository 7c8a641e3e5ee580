//! Where the bars of a Standard MIDI File lie, whatever its meter does, and the sections between its markers.

use crate::music::AskedKey;
use crate::setlist::draft::{SectionDraft, SongDraft};
use crate::setlist::syntax::cut;
use crate::setlist::{Bars as Length, Meter};

/// A marker: the section that begins there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Mark {
    pub(super) tick: u64,
    pub(super) name: String,
}

/// From ticks to bars.
pub(super) struct Bars {
    /// Each from its tick on, where the bar of that number begins.
    stretches: Vec<Stretch>,
}

struct Stretch {
    tick: u64,
    bar: f64,
    ticks_a_bar: f64,
}

/// As far off a bar line a marker or an end still counts as on it, in bars: hands and rounding are not exact.
const NEAR: f64 = 0.05;
/// A set can hold no more in one song.
const MOST_SECTIONS: usize = 1000;
const MOST_STEPS: usize = 10_000;

impl Bars {
    /// `division` ticks a quarter note, above 0; meters by their ticks, 4/4 before the first.
    pub(super) fn new(division: u64, meters: &[(u64, Meter)]) -> Bars {
        let long = |meter: Meter| division as f64 * 4.0 * f64::from(meter.beats()) / f64::from(meter.unit());
        let mut bars = Bars {
            stretches: vec![Stretch {
                tick: 0,
                bar: 0.0,
                ticks_a_bar: long(Meter::COMMON),
            }],
        };
        for &(tick, meter) in meters {
            // A new meter begins a new bar, also where the one before it is not full.
            let bar = (bars.at(tick) - NEAR).ceil().max(0.0);
            let ticks_a_bar = long(meter);
            bars.stretches.push(Stretch { tick, bar, ticks_a_bar });
        }
        bars
    }

    /// Bars from the beginning, and the part of one.
    fn at(&self, tick: u64) -> f64 {
        let here = self.stretches.iter().rev().find(|stretch| stretch.tick <= tick);
        here.map_or(0.0, |here| here.bar + (tick - here.tick) as f64 / here.ticks_a_bar)
    }
}

/// Gives the song its sections and their order; what is not plain goes into the remarks.
pub(super) fn sections(
    song: &mut SongDraft,
    bars: &Bars,
    marks: &[Mark],
    keys: &[(u64, AskedKey)],
    end: u64,
    remarks: &mut Vec<String>,
) {
    if marks.is_empty() {
        remarks.push("the file has no markers, so the song has no sections yet".into());
        return;
    }
    let end = (bars.at(end) - NEAR).ceil().max(0.0);
    let mut steps = Vec::new();
    let starts: Vec<f64> = marks.iter().map(|mark| bars.at(mark.tick).round()).collect();
    if starts[0] > 0.0 {
        steps.push(step("Start", starts[0], None));
        remarks.push("the bars before the first marker are called `Start`".into());
    }
    for (place, (mark, &start)) in marks.iter().zip(&starts).enumerate() {
        let name = match mark.name.as_str() {
            "" => format!("Part {}", place + 1),
            name => name.to_owned(),
        };
        if (bars.at(mark.tick) - start).abs() > NEAR {
            remarks.push(format!(
                "`{}` does not begin with a bar: taken from bar {}",
                cut(&name),
                start + 1.0
            ));
        }
        let length = starts.get(place + 1).copied().unwrap_or(end) - start;
        if length < 1.0 {
            remarks.push(format!("`{}` has no bars: left out", cut(&name)));
            continue;
        }
        // A change of key at the section's own first bar is the section's.
        let key = keys.iter().rev().find(|(tick, _)| bars.at(*tick) <= start + NEAR);
        let key = key.map(|(_, key)| *key).filter(|key| song.key != Some(*key));
        steps.push(step(&name, length, key));
    }
    if steps.len() > MOST_STEPS {
        remarks.push(format!(
            "the file has {} markers, more than a song has steps: left out",
            marks.len()
        ));
        return;
    }
    arrange(song, steps, remarks);
}

fn step(name: &str, bars: f64, key: Option<AskedKey>) -> SectionDraft {
    SectionDraft {
        name: name.to_owned(),
        bars: bars.min(f64::from(Length::MAX)) as u16,
        key: key.map(AskedKey::key),
    }
}

/// Sections that are the same once, under names that tell them apart, and the order in which they come.
fn arrange(song: &mut SongDraft, steps: Vec<SectionDraft>, remarks: &mut Vec<String>) {
    let mut seen: Vec<SectionDraft> = Vec::new();
    for step in steps {
        let place = seen.iter().position(|known| *known == step).unwrap_or_else(|| {
            seen.push(step);
            seen.len() - 1
        });
        match song.order.last_mut() {
            Some((last, times)) if *last == place => *times += 1,
            _ => song.order.push((place, 1)),
        }
        if seen.len() > MOST_SECTIONS {
            remarks.push(format!(
                "the file has more than {MOST_SECTIONS} different sections: left out"
            ));
            song.order.clear();
            return;
        }
    }
    for place in 0..seen.len() {
        let mut section = seen[place].clone();
        let is_taken = |name: &str| song.sections.iter().any(|other| other.name.eq_ignore_ascii_case(name));
        if is_taken(&section.name) {
            let plain = format!("{} ({} bars)", section.name, section.bars);
            let mut numbered = (2..).map(|number| format!("{} ({number})", section.name));
            let is_given = |name: &String| seen.iter().any(|other| other.name == *name);
            let free = |name: &String| !is_taken(name) && !is_given(name);
            section.name = Some(plain)
                .filter(free)
                .or_else(|| numbered.find(free))
                .unwrap_or_default();
        }
        song.sections.push(section);
    }
    // Each once, as they stand, needs no order.
    let is_plain = song.order.iter().enumerate().all(|(at, step)| *step == (at, 1));
    if is_plain {
        song.order.clear();
    }
}
