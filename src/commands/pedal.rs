//! `pedal`: names the ports, watches what a pedal sends, and learns its switches.

use super::load::{bindings, player_file, player_file_to_write};
use super::pedal_learn::{self, Learning};
use super::pedal_ports::PortArgs;
use super::pedal_watch::{self, Watching};
use super::{Outcome, Status, Trouble};
use crate::pedal::{Bindings, port_names};
use crate::sequencer::{Action, NotAnAction};
use crate::setlist::{self, PedalSettings, Sources};
use crate::show::errors;
use clap::Subcommand;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

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
    Watch(PortArgs),
    /// Find out what each switch sends, and bind it to an action in the player's file
    Learn(LearnArgs),
}

#[derive(clap::Args)]
struct LearnArgs {
    #[command(flatten)]
    ports: PortArgs,
    /// The actions to ask for, as a player's file has them: `next`, `'section Chorus'`; left out, all the usual ones
    #[arg(value_name = "ACTION", value_parser = action)]
    actions: Vec<Action>,
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
        What::Learn(args) => learn(args, out),
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

fn watch(args: &PortArgs, out: &mut impl Write) -> Outcome {
    let (settings, bindings) = pedals(player_file(args.player.clone()).as_deref())?;
    let watching = Watching {
        bindings,
        settings,
        args,
    };
    tell_of_no_port(&watching.settings, args);
    errors::send_to_log(None);
    let ended = pedal_watch::run(watching, out);
    errors::give_back();
    ended?;
    Ok(Status::Fine)
}

fn learn(args: &LearnArgs, out: &mut impl Write) -> Outcome {
    let file = player_file_to_write(args.ports.player.clone()).ok_or_else(|| {
        Trouble::said("neither HOME nor XDG_CONFIG_HOME says where a player's file belongs")
            .hint("Name one with `--player FILE`.")
    })?;
    let (settings, bindings) = pedals(Some(file.as_path()).filter(|file| file.exists()))?;
    let learning = Learning {
        // The usual bindings give way to a list.
        bound: settings.switches.is_some().then_some(bindings),
        settings,
        args: &args.ports,
        actions: args.actions.clone(),
        file: &file,
    };
    tell_of_no_port(&learning.settings, &args.ports);
    errors::send_to_log(None);
    let ended = pedal_learn::run(learning, out);
    errors::give_back();
    ended
}

/// Where no port is there to listen to: what is waited for, and how to end that.
fn tell_of_no_port(settings: &PedalSettings, args: &PortArgs) {
    errors::send_to_log(None);
    let is_there = args.hears_any(settings, &port_names().inputs);
    errors::give_back();
    if !is_there {
        eprintln!("No MIDI port is here; waiting for one to be plugged in. ctrl-C ends.");
    }
}

fn action(words: &str) -> Result<Action, String> {
    Action::parse(words).map_err(|NotAnAction { near, .. }| match near {
        Some(near) if near != words => format!("it is no action; did you mean `{near}`?"),
        _ => "it is no action".into(),
    })
}

/// The pedals of a player's file, or the usual ones.
fn pedals(player: Option<&Path>) -> Result<(PedalSettings, Bindings), Trouble> {
    let (settings, sources) = match player {
        Some(path) => {
            let (_, rig, sources) = setlist::read_player_file(path)?;
            (rig.pedals, sources)
        }
        None => (PedalSettings::default(), Sources::default()),
    };
    let bindings = bindings(&settings, sources)?;
    Ok((settings, bindings))
}
