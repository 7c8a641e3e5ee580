//! The score in words: right of asked with its interval, what was taken for what, and the least move that is heard.

use crate::ear::{Confusion, Drill, Report};
use std::collections::BTreeSet;
use std::io::{self, Write};

pub(super) fn write(report: &Report, gaps_mm: &[f64], out: &mut impl Write) -> io::Result<()> {
    if report.answers == 0 {
        return writeln!(out, "No answers yet.");
    }
    for tally in &report.tallies {
        let (low, high) = (tally.low * 100.0, tally.high * 100.0);
        let what = drill(tally.drill);
        write!(
            out,
            "{what}, {} choices: {} of {} right",
            tally.choices, tally.right, tally.asked
        )?;
        write!(out, " (95 %: {low:.0} to {high:.0} %)")?;
        let verdict = if tally.better_than_chance {
            "better than chance"
        } else {
            "chance could do it"
        };
        writeln!(out, ", {verdict}")?;
    }
    confusions(&report.confusions, out)?;
    let asked = |kind: Drill| report.tallies.iter().any(|tally| tally.drill == kind);
    match report.gap_mm {
        Some(mm) if asked(Drill::Gap) => {
            let gaps: Vec<String> = gaps_mm.iter().map(|gap| format!("{gap:.0}")).collect();
            writeln!(
                out,
                "You hear a pickup move of {mm:.0} mm; your pickups lie {} mm apart.",
                gaps.join(" and ")
            )?;
        }
        None if asked(Drill::Gap) => writeln!(out, "The least move that you hear: too few answers yet.")?,
        _ => {}
    }
    Ok(())
}

fn drill(drill: Drill) -> &'static str {
    match drill {
        Drill::Name => "name it",
        Drill::Odd => "odd one out",
        Drill::Gap => "the moved one",
        Drill::Same => "same or another",
    }
}

/// A table: a row for each position that was played, a column for each that was answered.
fn confusions(confusions: &[Confusion], out: &mut impl Write) -> io::Result<()> {
    if confusions.is_empty() {
        return Ok(());
    }
    let names: BTreeSet<&str> = confusions
        .iter()
        .flat_map(|it| [it.played.as_str(), it.answered.as_str()])
        .collect();
    let wide = names.iter().map(|name| name.chars().count()).max().unwrap_or(0).max(6);
    writeln!(out, "played, and below it what was answered:")?;
    write!(out, "{:wide$}", "")?;
    names.iter().try_for_each(|name| write!(out, "  {name:>wide$}"))?;
    writeln!(out)?;
    for answered in &names {
        write!(out, "{answered:>wide$}")?;
        for played in &names {
            let times = confusions
                .iter()
                .find(|it| it.played == *played && it.answered == *answered);
            let times = times.map_or_else(|| "-".into(), |it| it.times.to_string());
            write!(out, "  {times:>wide$}")?;
        }
        writeln!(out)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::{Tally, wilson};

    #[test]
    fn the_score_is_told_with_its_interval_and_never_as_mastery() {
        let (low, high) = wilson(15, 20);
        let tally = |drill, choices, right| Tally {
            drill,
            choices,
            right,
            asked: 20,
            low,
            high,
            chance: 0.5,
            better_than_chance: true,
        };
        let confusion = |played: &str, answered: &str, times| Confusion {
            played: played.into(),
            answered: answered.into(),
            times,
        };
        let report = Report {
            answers: 40,
            tallies: vec![tally(Drill::Name, 2, 15), tally(Drill::Gap, 3, 15)],
            confusions: vec![
                confusion("bridge", "bridge", 9),
                confusion("neck", "bridge", 5),
                confusion("neck", "neck", 6),
            ],
            gap_mm: Some(23.6),
            d_prime: None,
        };
        let mut out = Vec::new();
        write(&report, &[64.0, 57.0], &mut out).unwrap();
        let wanted = "\
name it, 2 choices: 15 of 20 right (95 %: 53 to 89 %), better than chance
the moved one, 3 choices: 15 of 20 right (95 %: 53 to 89 %), better than chance
played, and below it what was answered:
        bridge    neck
bridge       9       5
  neck       -       6
You hear a pickup move of 24 mm; your pickups lie 64 and 57 mm apart.
";
        assert_eq!(String::from_utf8(out).unwrap(), wanted);
    }
}
