//! `check`: everything wrong or unwise in a set.

use super::load::Files;
use super::{Outcome, Status};
use crate::pedal::Bindings;
use crate::plan::{self, Planned, solve, unplannable};
use crate::setlist::{Finding, PedalSettings, Report, Set, Sources};
use serde::Serialize;
use std::io::Write;

#[derive(clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    files: Files,
    /// Print the findings as a JSON list
    #[arg(long)]
    json: bool,
    /// Exit with status 1 for warnings and hints too
    #[arg(long)]
    strict: bool,
}

/// A finding in the JSON list.
#[derive(Serialize)]
struct Entry<'a> {
    rule: &'static str,
    level: &'static str,
    file: Option<String>,
    line: Option<u32>,
    column: Option<u32>,
    song: Option<&'a str>,
    section: Option<&'a str>,
    message: &'a str,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let report = gather(&args.files);
    if args.json {
        serde_json::to_writer(&mut *out, &entries(&report, &report.sources)).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else if report.findings.is_empty() {
        writeln!(out, "{}: nothing to say against it", args.files.set.display())?;
    } else {
        write!(out, "{report}")?;
    }
    let wrong = report.has_errors() || args.strict && !report.findings.is_empty();
    Ok(if wrong { Status::Wrong } else { Status::Fine })
}

/// What every room finds, as far as the one before it lets it look.
fn gather(files: &Files) -> Report {
    let mut report = match files.read() {
        Ok(reading) => {
            let mut findings = reading.findings;
            findings.extend(of_plan(reading.set));
            findings.extend(of_pedals(&reading.rig.pedals));
            Report::new(findings, reading.sources)
        }
        Err(mut report) => {
            let pedals = report.pedals.take();
            report
                .findings
                .extend(pedals.as_deref().map(of_pedals).unwrap_or_default());
            report
        }
    };
    report.sort();
    report
}

fn of_plan(set: Set) -> Vec<Finding> {
    match solve(&set) {
        Ok(plan) => plan::findings(&Planned { set, plan }),
        Err(reason) => unplannable(&set, &reason),
    }
}

fn of_pedals(pedals: &PedalSettings) -> Vec<Finding> {
    Bindings::read(pedals).err().unwrap_or_default()
}

fn entries<'a>(report: &'a Report, sources: &Sources) -> Vec<Entry<'a>> {
    let entry = |finding: &'a Finding| {
        let within = finding.spot.filter(|spot| spot.line > 0);
        Entry {
            rule: finding.rule.name(),
            level: finding.rule.level().name(),
            file: finding.spot.map(|spot| sources.path(spot)),
            line: within.map(|spot| spot.line),
            column: within.map(|spot| spot.column),
            song: finding.song.as_deref(),
            section: finding.section.as_deref(),
            message: &finding.message,
        }
    };
    report.findings.iter().map(entry).collect()
}
