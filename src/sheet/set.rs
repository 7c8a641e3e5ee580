//! The sheet of a set: the page for the floor, then song by song, then the cautions.

use crate::plan::Planned;
use crate::setlist::Rig;
use crate::sheet::flow::{Flow, Frame};
use crate::sheet::letters::{Face, Letters};
use crate::sheet::paper::{Sheet, finished};
use crate::sheet::pdf::About;
use crate::sheet::played::Played;
use crate::sheet::prose::paragraph;
use crate::sheet::song::{self, Common};
use crate::sheet::{CAUTIONS, NotMade, Paper, floor};

const MARGIN: f32 = 34.0;
const FOOT: f32 = 16.0;
const SMALL: f32 = 7.5;
/// Below a song, and where that saves a page, as with the cautions alone on the last one.
const APART: f32 = 22.0;
const CLOSE: f32 = 14.0;
/// How much larger than their least size songs may be, the largest first.
const SCALES: [f32; 5] = [1.5, 1.4, 1.3, 1.2, 1.1];

/// The set as its first player will play it.
///
/// # Errors
/// Where the PDF library refuses what was drawn.
pub fn set(planned: &Planned, rig: &Rig, paper: Paper) -> Result<Sheet, NotMade> {
    let letters = Letters::new()?;
    let set = &planned.set;
    let mut flow = Flow::new(Frame {
        page: paper.upright(),
        margin: MARGIN,
        foot: FOOT,
    });
    let whose = match set.first_player().name.as_str() {
        "" => None,
        name => Some(format!("{name}'s sheet")),
    };
    let songs: Vec<Played<'_>> = set.song_ids().map(|id| Played::of(planned, id)).collect();
    let count = match songs.len() {
        1 => "1 song".to_owned(),
        count => format!("{count} songs"),
    };
    let under = [whose.clone(), set.date.clone(), Some(count)];
    let under = under.into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let head = floor::Head {
        title: &set.name,
        under: &under,
    };
    floor::put(&mut flow, &head, &songs, &letters);
    put_songs(&mut flow, &songs, |width| Common {
        letters: &letters,
        guitar: &rig.guitar,
        numbering: set.numbering,
        left_handed: rig.left_handed,
        width,
    });
    let title = [Some(set.name.clone()), whose, set.date.clone()];
    let title = title.into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let about = About {
        title,
        description: "Capos, shapes, sections and chords of a set".into(),
        date: set.date.as_deref().and_then(day),
    };
    finished(flow, about, &letters)
}

/// The songs as large as may be on no more pages than they take at their least size, and none of them torn for it; then
/// the cautions.
fn put_songs<'a>(flow: &mut Flow, songs: &[Played<'_>], common: impl Fn(f32) -> Common<'a>) {
    let at = |scale: f32, apart: f32| {
        let mut flow = Flow::new(flow.frame);
        flow.scaled(scale);
        let common = common(flow.width());
        for played in songs {
            song::put(&mut flow, played, &common, apart);
        }
        flow.scaled(1.0);
        let cautions = paragraph(Face::Text, SMALL, CAUTIONS, flow.width(), common.letters);
        flow.put_close(cautions, apart - SMALL);
        flow
    };
    let closer = at(1.0, CLOSE);
    let (least, apart) = match at(1.0, APART) {
        least if closer.leaves.len() < least.leaves.len() => (closer, CLOSE),
        least => (least, APART),
    };
    let no_worse = |larger: &Flow| larger.leaves.len() <= least.leaves.len() && larger.torn <= least.torn;
    let larger = SCALES.into_iter().map(|scale| at(scale, apart)).find(no_worse);
    flow.leaves.extend(larger.unwrap_or(least).leaves);
}

/// The day of `2026-10-10`; a date in other words is not read.
fn day(date: &str) -> Option<(u16, u8, u8)> {
    let mut parts = date.trim().splitn(3, '-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let day = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    let real = (1..=9999).contains(&day.0) && (1..=12).contains(&day.1) && (1..=31).contains(&day.2);
    real.then_some(day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_read_where_it_is_one() {
        for (date, wanted) in [
            ("2026-10-10", Some((2026, 10, 10))),
            ("2026-13-10", None),
            ("harvest", None),
            ("2026-10", None),
            ("-1-1-1", None),
        ] {
            assert_eq!(day(date), wanted, "{date}");
        }
    }
}
