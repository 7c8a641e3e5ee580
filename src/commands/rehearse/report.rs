//! The report of the practice, as a table with small plots and as JSON.

use crate::rehearse::{Report, Row, Standing};
use crate::setlist::Set;
use serde::Serialize;
use std::io::{self, Write};

/// The latest so many times are plotted.
const PLOTTED: usize = 12;
/// Eighths of a row, from the lowest up; in plain letters, what looks about as high.
const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
const PLAIN_BARS: [char; 8] = ['_', '.', '-', '=', 'o', 'O', '0', '#'];

#[derive(Serialize)]
struct Whole<'r> {
    set: &'r str,
    moves: Moves,
    items: Vec<Entry<'r>>,
}

#[derive(Serialize)]
struct Moves {
    /// What half of the latest capo moves stay under.
    seconds: Option<f32>,
    seconds_to_move: f64,
}

#[derive(Serialize)]
struct Entry<'r> {
    kind: &'static str,
    item: &'r str,
    standing: &'static str,
    asked: usize,
    right: usize,
    /// From question to answer, oldest first.
    seconds: &'r [f32],
    /// The chance that it is known now.
    chance: Option<f64>,
    /// Seconds since 1970.
    due: Option<i64>,
}

pub(super) fn json(set: &Set, report: &Report, out: &mut impl Write) -> io::Result<()> {
    let whole = Whole {
        set: &set.name,
        moves: Moves {
            seconds: report.move_seconds,
            seconds_to_move: set.first_player().seconds_to_move.as_s(),
        },
        items: report.rows.iter().map(entry).collect(),
    };
    serde_json::to_writer(&mut *out, &whole)?;
    writeln!(out)
}

fn entry(row: &Row) -> Entry<'_> {
    Entry {
        kind: row.kind,
        item: &row.item,
        standing: row.standing.word(),
        asked: row.asked,
        right: row.right,
        seconds: &row.seconds,
        chance: row.chance,
        due: row.due,
    }
}

pub(super) fn table(set: &Set, report: &Report, now: i64, ascii: bool, out: &mut impl Write) -> io::Result<()> {
    let bars = if ascii { PLAIN_BARS } else { BARS };
    let count = |standing| report.rows.iter().filter(|row| row.standing == standing).count();
    writeln!(
        out,
        "{}: {} known, {} shaky, {} new",
        set.name,
        count(Standing::Known),
        count(Standing::Shaky),
        count(Standing::New)
    )?;
    let reckoned = set.first_player().seconds_to_move.as_s();
    match report.move_seconds {
        Some(seconds) => writeln!(out, "capo moves: {seconds:.1} s; the plan reckons with {reckoned} s")?,
        None => writeln!(out, "capo moves: too few yet; the plan reckons with {reckoned} s")?,
    }
    for kind in ["move", "recall", "shape"] {
        let rows: Vec<&Row> = report.rows.iter().filter(|row| row.kind == kind).collect();
        if rows.is_empty() {
            continue;
        }
        writeln!(out, "\n{:<8}{:>7}  {:<12}  {:>8}  due", kind, "right", "times", "last")?;
        for row in rows {
            line(row, now, bars, out)?;
        }
    }
    Ok(())
}

fn line(row: &Row, now: i64, bars: [char; 8], out: &mut impl Write) -> io::Result<()> {
    let right = match row.asked {
        0 => String::new(),
        asked => format!("{}/{asked}", row.right),
    };
    let last = row
        .seconds
        .last()
        .map(|seconds| format!("{seconds:.1} s"))
        .unwrap_or_default();
    let due = match row.due {
        None => String::new(),
        Some(due) if due <= now => "now".into(),
        Some(due) => match (due - now + 43_200) / 86_400 {
            0 => "today".into(),
            1 => "in 1 day".into(),
            days => format!("in {days} days"),
        },
    };
    writeln!(
        out,
        "{:<8}{right:>7}  {}  {last:>8}  {due:<12}{}",
        row.standing.word(),
        plot(&row.seconds, bars),
        row.item
    )
}

/// The latest times as bars, the longest as high as a row.
fn plot(seconds: &[f32], bars: [char; 8]) -> String {
    let latest = &seconds[seconds.len().saturating_sub(PLOTTED)..];
    let longest = latest.iter().copied().fold(f32::EPSILON, f32::max);
    let bar = |seconds: &f32| bars[((seconds / longest * 8.0).ceil() as usize).clamp(1, 8) - 1];
    let plot: String = latest.iter().map(bar).collect();
    format!("{plot:<PLOTTED$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_that_fall_are_bars_that_fall() {
        let plot = |seconds: &[f32]| plot(seconds, BARS);
        assert_eq!(plot(&[8.0, 4.0, 2.0, 1.0]), "█▄▂▁        ");
        assert_eq!(plot(&[]), "            ");
        assert_eq!(plot(&[1.0; 20]), "████████████");
        assert_eq!(plot(&[0.0, 0.0]).trim_end(), "▁▁");
    }
}
