//! `manual`: the man page, from the same list of commands that help comes from.

use super::{Outcome, Status, command_line, examples};
use clap::Command;
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};
use std::io::{self, Write};

const ABOUT: [&str; 2] = [
    "Footlights is a stage helper for a guitarist who plays rhythm in a band whose set changes every week. Before \
     rehearsal it picks a capo fret and a family of open shapes for every song. On the day a MIDI foot controller steps \
     through sections and songs, and a screen says in large words what the hands must do now, and what comes next.",
    "Without a command it says what to do next from where you are.",
];
const FILES: [(&str, &str); 4] = [
    (
        "SET",
        "A set: one YAML file with the songs in order. `footlights new` makes one, `footlights schema set` tells of \
         every field.",
    ),
    (
        "~/.config/footlights/player.yaml",
        "What holds for one player whatever the set: name, guitar, shapes, pedals, screen. Every field may be left out. \
         In $XDG_CONFIG_HOME/footlights where that is set; --player FILE names another.",
    ),
    (
        "~/.local/state/footlights/",
        "The journals of past shows, what `rehearse` and `ear` remember, and stage.log, which tells what went wrong. In \
         $XDG_STATE_HOME/footlights where that is set.",
    ),
    (
        "/dev/snd/seq, /dev/snd/midi*",
        "MIDI ports on Linux: those of ALSA's sequencer are found by themselves, a device is read with --raw-midi.",
    ),
];
const STATUS: [(&str, &str); 3] = [
    ("0", "It went well."),
    ("1", "It failed, or a file is wrong: standard error says which and why."),
    ("2", "The command line is wrong."),
];

pub(crate) fn run(out: &mut impl Write) -> Outcome {
    write(out)?;
    Ok(Status::Fine)
}

fn write(out: &mut impl Write) -> io::Result<()> {
    let command = command_line::whole();
    let man = Man::new(command.clone())
        .section("1")
        .manual("Footlights")
        .source(format!("footlights {}", env!("CARGO_PKG_VERSION")));
    man.render_title(out)?;
    man.render_name_section(out)?;
    out.write_all(b".SH SYNOPSIS\n\\fBfootlights\\fR [\\fICOMMAND\\fR] [\\fIARGUMENTS\\fR]\n")?;
    section(out, "DESCRIPTION", |roff| {
        for text in ABOUT {
            roff.control("PP", []).text([roman(text)]);
        }
    })?;
    out.write_all(b".SH COMMANDS\n")?;
    for sub in command.get_subcommands() {
        write_command(out, sub, "footlights")?;
    }
    list(out, "FILES", &FILES)?;
    list(out, "EXIT STATUS", &STATUS)?;
    section(out, "CAUTIONS", |roff| {
        let text = "Stages are loud: protect your hearing. Leave mains power to qualified people. Cables are for feet to \
                    catch on. The README tells more, with the sources. Footlights flashes nothing.";
        roff.text([roman(text)]);
    })
}

/// A command with its arguments and examples, or those it leads to.
fn write_command(out: &mut impl Write, command: &Command, before: &str) -> io::Result<()> {
    let path = format!("{before} {}", command.get_name());
    let words = path.split_once(' ').map_or("", |(_, words)| words);
    let examples = examples::of(words);
    if command.has_subcommands() && examples.is_empty() {
        return command
            .get_subcommands()
            .try_for_each(|sub| write_command(out, sub, &path));
    }
    let mut head = Roff::new();
    head.control("SS", [path.as_str()]);
    if let Some(about) = command.get_about() {
        head.text([roman(about.to_string())]);
    }
    head.to_writer(out)?;
    let mut options = Vec::new();
    Man::new(command.clone().disable_help_flag(true)).render_options_section(&mut options)?;
    // The page has one section a command, not one of options for each.
    let options = String::from_utf8_lossy(&options).replace(".SH OPTIONS\n", "");
    out.write_all(options.as_bytes())?;
    let mut tail = Roff::new();
    for (line, what) in examples {
        tail.control("TP", []).text([bold(*line)]).text([roman(*what)]);
    }
    tail.to_writer(out)?;
    command
        .get_subcommands()
        .try_for_each(|sub| write_command(out, sub, &path))
}

fn list(out: &mut impl Write, title: &str, rows: &[(&str, &str)]) -> io::Result<()> {
    section(out, title, |roff| {
        for (name, text) in rows {
            roff.control("TP", []).text([bold(*name)]).text([roman(*text)]);
        }
    })
}

fn section(out: &mut impl Write, title: &str, fill: impl FnOnce(&mut Roff)) -> io::Result<()> {
    let mut roff = Roff::new();
    roff.control("SH", [title]);
    fill(&mut roff);
    roff.to_writer(out)
}
