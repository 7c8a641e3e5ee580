//! `pedal`: names the ports, and watches what a pedal sends.

use super::load::player_file;
use super::pedal_watch::{self, Watching};
use super::{Outcome, Status, Trouble};
use crate::pedal::{Bindings, Wanted, port_names};
use crate::setlist::{self, PedalSettings, Report, Sources};
use crate::show::errors;
use clap::Subcommand;
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Name the MIDI ports
    List {
        /// Print one JSON object a line
        #[arg(long)]
        json: bool,
    },
    /// Print each message that comes, the switch it is, and the action bound to it, until ctrl-C
    Watch(WatchArgs),
}

#[derive(clap::Args)]
struct WatchArgs {
    /// Print one JSON object a line
    #[arg(long)]
    json: bool,
    /// Read MIDI bytes from a device, a serial line or a named pipe; may be given several times
    #[arg(long, value_name = "PATH")]
    raw_midi: Vec<PathBuf>,
    /// Take the MIDI ports with this in their name; may be given several times
    #[arg(long, value_name = "NAME")]
    port: Vec<String>,
    /// The player's file
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
}

/// A port in the JSON list.
#[derive(Serialize)]
struct Entry<'a> {
    port: &'a str,
    direction: &'static str,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    match &args.what {
        What::List { json } => list(*json, out),
        What::Watch(args) => watch(args, out),
    }
}

fn list(json: bool, out: &mut impl Write) -> Outcome {
    // The system's libraries have their say on standard error where something is missing; we say it ourselves.
    errors::send_to_log(None);
    let names = port_names();
    errors::give_back();
    let inputs = names.inputs.iter().map(|name| (name, "input"));
    let ports: Vec<_> = inputs
        .chain(names.outputs.iter().map(|name| (name, "output")))
        .collect();
    for (port, direction) in &ports {
        if json {
            serde_json::to_writer(&mut *out, &Entry { port, direction }).map_err(std::io::Error::from)?;
            writeln!(out)?;
        } else {
            writeln!(out, "{direction:<6}  {}", port.escape_debug())?;
        }
    }
    if ports.is_empty() {
        eprintln!("no MIDI ports; a device, a serial line or a named pipe can be read with `--raw-midi PATH`");
    }
    Ok(Status::Fine)
}

fn watch(args: &WatchArgs, out: &mut impl Write) -> Outcome {
    let (settings, bindings) = pedals(player_file(args.player.clone()).as_deref())?;
    let inputs = if args.port.is_empty() {
        settings.input
    } else {
        args.port.clone()
    };
    let watching = Watching {
        bindings,
        wanted: Wanted { inputs, output: None },
        raw_midi: &args.raw_midi,
        json: args.json,
    };
    errors::send_to_log(None);
    let ended = pedal_watch::run(watching, out);
    errors::give_back();
    ended?;
    Ok(Status::Fine)
}

/// The pedals of a player's file, or the usual ones.
fn pedals(player: Option<&Path>) -> Result<(PedalSettings, Bindings), Trouble> {
    let said = |report: Report| Trouble::Said(report.errors().to_string());
    let (settings, sources) = match player {
        Some(path) => {
            let (_, rig, sources) = setlist::read_player_file(path).map_err(said)?;
            (rig.pedals, sources)
        }
        None => (PedalSettings::default(), Sources::default()),
    };
    match Bindings::read(&settings) {
        Ok(bindings) => Ok((settings, bindings)),
        Err(findings) => Err(said(Report::new(findings, sources))),
    }
}
