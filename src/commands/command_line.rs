//! The command line: every command with what help says of it, the arguments it takes, and what it does.
//!
//! Help, man page and completions come from here. Arguments are made known only for the command that was typed: all of
//! them together took a third of the time from the start to the first page.

use super::{Outcome, check, chord, completions, ear, examples, import, log, manual, new, pedal, plan};
use super::{rehearse, replay, schema, shapes, sheet, stage, start};
use clap::{ArgMatches, Args, Command, FromArgMatches};
use std::io::{BufWriter, StdoutLock};

/// Where answers go.
pub(super) type Out = BufWriter<StdoutLock<'static>>;

struct Entry {
    name: &'static str,
    about: &'static str,
    /// Adds the arguments that it takes.
    with_args: fn(Command) -> Command,
    run: fn(&ArgMatches, &mut Out) -> Outcome,
}

const COMMANDS: [Entry; 16] = [
    Entry {
        name: "new",
        about: "A set file to start from, or one made from a leader's list; or a player file",
        with_args: new::Args::augment_args,
        run: |args, out| new::run(&read(args), out),
    },
    Entry {
        name: "import",
        about: "A song file from a Standard MIDI File",
        with_args: import::Args::augment_args,
        run: |args, out| import::run(&read(args), out),
    },
    Entry {
        name: "stage",
        about: "The live screen of a set, driven by pedals or keys",
        with_args: stage::Args::augment_args,
        run: |args, _| stage::run(&read(args)),
    },
    Entry {
        name: "plan",
        about: "The capo plan for every player, with the reasons",
        with_args: plan::Args::augment_args,
        run: |args, out| plan::run(&read(args), out),
    },
    Entry {
        name: "check",
        about: "Everything wrong or unwise in a set",
        with_args: check::Args::augment_args,
        run: |args, out| check::run(&read(args), out),
    },
    Entry {
        name: "shapes",
        about: "The seven chords of a key in every family of open shapes that gives it",
        with_args: shapes::Args::augment_args,
        run: |args, out| shapes::run(&read(args), out),
    },
    Entry {
        name: "chord",
        about: "A chord's voicings, what is one finger away from it, or the name of what is fingered",
        with_args: chord::Args::augment_args,
        run: |args, out| chord::run(&read(args), out),
    },
    Entry {
        name: "ear",
        about: "Train the ear to tell the pickup positions apart",
        with_args: ear::Args::augment_args,
        run: |args, out| ear::run(&read(args), out),
    },
    Entry {
        name: "rehearse",
        about: "Drill the changes of a set, or report how the practice stands",
        with_args: rehearse::Args::augment_args,
        run: |args, out| rehearse::run(&read(args), out),
    },
    Entry {
        name: "pedal",
        about: "The pedals: name the ports, watch what a switch sends, or learn the switches",
        with_args: pedal::Args::augment_args,
        run: |args, out| pedal::run(&read(args), out),
    },
    Entry {
        name: "replay",
        about: "Run a recorded pedal performance (a Standard MIDI File) through a set",
        with_args: replay::Args::augment_args,
        run: |args, out| replay::run(&read(args), out),
    },
    Entry {
        name: "log",
        about: "Past shows: how long each song and section really took",
        with_args: log::Args::augment_args,
        run: |args, out| log::run(&read(args), out),
    },
    Entry {
        name: "sheet",
        about: "All keys and shapes, or a set, on paper: a PDF",
        with_args: sheet::Args::augment_args,
        run: |args, out| sheet::run(&read(args), out),
    },
    Entry {
        name: "schema",
        about: "The JSON Schema of a file",
        with_args: schema::Args::augment_args,
        run: |args, out| schema::run(&read(args), out),
    },
    Entry {
        name: "completions",
        about: "What a shell needs to complete these commands",
        with_args: completions::Args::augment_args,
        run: |args, out| completions::run(&read(args), out),
    },
    Entry {
        name: "manual",
        about: "The manual, as a man page",
        with_args: |command| command,
        run: |_, out| manual::run(out),
    },
];

/// Runs what was typed.
///
/// # Errors
/// What is to be said instead: what is wrong with it, or the help that was asked for.
pub(super) fn run(out: &mut Out) -> Result<Outcome, clap::Error> {
    let matches = COMMANDS.iter().fold(program(), |program, entry| {
        program.subcommand(named(entry).defer(filled))
    });
    let matches = matches.try_get_matches()?;
    let typed = matches.subcommand().and_then(|(name, args)| Some((entry(name)?, args)));
    Ok(match typed {
        Some((entry, args)) => (entry.run)(args, out),
        None => start::run(out),
    })
}

/// All that can be typed, arguments and examples included.
pub(super) fn whole() -> Command {
    COMMANDS
        .iter()
        .fold(program(), |program, entry| program.subcommand(filled(named(entry))))
}

fn program() -> Command {
    let program = Command::new("footlights")
        .version(env!("CARGO_PKG_VERSION"))
        .about("Footlights: capos, shapes and steps for a guitarist on stage");
    examples::with_first(program)
}

fn named(entry: &Entry) -> Command {
    Command::new(entry.name).about(entry.about)
}

/// A command of the list, by its name alone, with all that belongs to it.
fn filled(command: Command) -> Command {
    let Some(entry) = entry(command.get_name()) else {
        return command;
    };
    // What an argument list says of itself is no help with the command.
    let command = (entry.with_args)(command).about(entry.about).long_about(None);
    examples::with_examples(command)
}

fn entry(name: &str) -> Option<&'static Entry> {
    COMMANDS.iter().find(|entry| entry.name == name)
}

/// Arguments that were found to be as the command takes them; what else is wrong with them ends the process.
fn read<A: FromArgMatches>(args: &ArgMatches) -> A {
    A::from_arg_matches(args).unwrap_or_else(|error| error.exit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_long_help_of_a_command_says_all_that_it_has_to_say() {
        for (name, words) in [
            ("ear", "Start low; sound you must raise your voice over is too loud."),
            ("chord", "`names` has the most usual first."),
            (
                "shapes",
                "A minor key has the shapes and numbers of its relative major.",
            ),
        ] {
            let mut command = whole().find_subcommand(name).cloned().unwrap();
            let help = command.render_long_help().to_string().replace('\n', " ");
            assert!(help.contains(words), "{name}: {help}");
        }
    }
}
