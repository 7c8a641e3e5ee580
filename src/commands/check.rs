//! `check`: everything wrong or unwise in a set.

use super::load::load_or_report;
use super::{Outcome, Status};
use crate::plan;
use crate::setlist::{Report, Sources};
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The set file
    set: PathBuf,
    /// The player's file
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
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
    let report = match load_or_report(&args.set, args.player.as_deref()) {
        Ok(loaded) => {
            let mut findings = loaded.findings;
            findings.extend(plan::findings(&loaded.planned));
            let mut report = Report {
                findings,
                sources: loaded.sources,
            };
            report.sort();
            report
        }
        Err(report) => report,
    };
    if args.json {
        serde_json::to_writer(&mut *out, &entries(&report, &report.sources)).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else if report.findings.is_empty() {
        writeln!(out, "{}: nothing to say against it", args.set.display())?;
    } else {
        write!(out, "{report}")?;
    }
    let wrong = report.has_errors() || args.strict && !report.findings.is_empty();
    Ok(if wrong { Status::Wrong } else { Status::Fine })
}

fn entries<'a>(report: &'a Report, sources: &Sources) -> Vec<Entry<'a>> {
    let entry = |finding: &'a crate::setlist::Finding| Entry {
        rule: finding.rule.name(),
        level: finding.rule.level().name(),
        file: finding.spot.map(|spot| sources.path(spot)),
        line: finding.spot.map(|spot| spot.line),
        column: finding.spot.map(|spot| spot.column),
        song: finding.song.as_deref(),
        section: finding.section.as_deref(),
        message: &finding.message,
    };
    report.findings.iter().map(entry).collect()
}
