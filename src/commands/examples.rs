//! The examples of every command, in one list: `--help` and the manual show them, and a test runs each as it stands.

use clap::Command;

/// What is typed, and what for.
pub(super) type Example = (&'static str, &'static str);

/// By the command's own words. They work in a folder with the demo set as `sunday.yaml`, its songs, the demo player as
/// `player.yaml`, the recorded performance as `evening.mid`, a leader's list as `list.txt` and a recording of a guitar as `take.wav`.
const EXAMPLES: &[(&str, &[Example])] = &[
    (
        "stage",
        &[
            ("footlights stage sunday.yaml", "the usual player's file and any pedal"),
            (
                "footlights stage sunday.yaml --player player.yaml --distance 1.7 --screen-height 190",
                "and say what can be read from there",
            ),
        ],
    ),
    (
        "plan",
        &[
            ("footlights plan sunday.yaml", "frets and shapes, and why"),
            ("footlights plan sunday.yaml --write", "pin them in the file"),
        ],
    ),
    (
        "check",
        &[
            ("footlights check sunday.yaml", "all that is wrong or unwise"),
            ("footlights check sunday.yaml --json", "the same for another program"),
        ],
    ),
    (
        "shapes",
        &[("footlights shapes Bb", "B flat in every family of shapes that gives it")],
    ),
    (
        "chord",
        &[
            ("footlights chord Gm7 --capo 3", "what to finger at fret 3 to hear it"),
            ("footlights chord 5/7 --key Bb", "a number of a key"),
            ("footlights chord --frets x32010", "the name of what is fingered"),
        ],
    ),
    (
        "ear",
        &[
            ("footlights ear", "which position is that?"),
            ("footlights ear --set sunday.yaml", "the positions and chords of a set"),
        ],
    ),
    (
        "ear render",
        &[("footlights ear render --out sounds", "WAV files of every position")],
    ),
    (
        "ear match",
        &[(
            "footlights ear match take.wav",
            "the position that a recording was played on",
        )],
    ),
    ("pedal list", &[("footlights pedal list", "the ports there are")]),
    (
        "pedal watch",
        &[
            ("footlights pedal watch", "press a switch and read what it sends"),
            (
                "footlights pedal watch --player player.yaml --json",
                "for another program",
            ),
        ],
    ),
    (
        "pedal learn",
        &[
            (
                "footlights pedal learn",
                "the usual actions, into the usual player's file",
            ),
            (
                "footlights pedal learn next back --player player.yaml",
                "two of them, into another",
            ),
        ],
    ),
    (
        "replay",
        &[
            (
                "footlights replay sunday.yaml --player player.yaml --pedal evening.mid",
                "what each press did",
            ),
            (
                "footlights replay sunday.yaml --player player.yaml --pedal evening.mid --screens 80x24",
                "and each screen as text",
            ),
        ],
    ),
    ("log", &[("footlights log --limit 3", "the last three shows")]),
    (
        "rehearse",
        &[
            ("footlights rehearse sunday.yaml", "drill its changes"),
            (
                "footlights rehearse sunday.yaml --report",
                "what is known, and what is shaky",
            ),
        ],
    ),
    (
        "sheet keys",
        &[("footlights sheet keys --out keys.pdf", "the chords of every key")],
    ),
    (
        "sheet set",
        &[(
            "footlights sheet set sunday.yaml --paper a4",
            "the set, beside its file",
        )],
    ),
    (
        "new",
        &[
            ("footlights new friday.yaml", "a set to start from"),
            (
                "footlights new friday.yaml --from list.txt",
                "one made from the leader's list",
            ),
            (
                "footlights new friday.yaml --from - < list.txt",
                "the same from standard input",
            ),
            ("footlights new --player-file", "a player file, where it is looked for"),
        ],
    ),
    (
        "import",
        &[
            ("footlights import evening.mid", "to standard output"),
            (
                "footlights import evening.mid --out song.yaml",
                "to a file that a set can use",
            ),
        ],
    ),
    (
        "schema",
        &[(
            "footlights schema set > set.schema.json",
            "for an editor that checks as you write",
        )],
    ),
    (
        "completions",
        &[(
            "footlights completions bash > footlights.bash",
            "to be sourced, or put where the shell looks",
        )],
    ),
    (
        "manual",
        &[("footlights manual > footlights.1", "to be read by `man ./footlights.1`")],
    ),
];
/// For the program as a whole.
const FIRST: &[Example] = &[
    (
        "footlights new friday.yaml --from list.txt",
        "from a leader's list to a set",
    ),
    ("footlights plan sunday.yaml", "its capos"),
    ("footlights stage sunday.yaml", "and on stage"),
];

/// The program with the examples for whoever is new to it.
pub(super) fn with_first(program: Command) -> Command {
    add(program, &shown(FIRST))
}

/// A command of the program with its examples, and those of all that it leads to.
pub(super) fn with_examples(command: Command) -> Command {
    let name = command.get_name().to_owned();
    with_those_of(command, &name)
}

/// The examples of a command, by its words without the program's name; none where it only leads to others.
pub(super) fn of(path: &str) -> &'static [Example] {
    let found = EXAMPLES.iter().find(|(known, _)| *known == path);
    found.map_or(&[], |(_, examples)| *examples)
}

fn with_those_of(command: Command, path: &str) -> Command {
    let beneath = format!("{path} ");
    let all = EXAMPLES
        .iter()
        .filter(|(known, _)| *known == path || known.starts_with(&beneath));
    let all: Vec<Example> = all.flat_map(|(_, examples)| *examples).copied().collect();
    let names: Vec<String> = command.get_subcommands().map(|sub| sub.get_name().to_owned()).collect();
    names.iter().fold(add(command, &shown(&all)), |command, name| {
        command.mut_subcommand(name, |sub| with_those_of(sub, &format!("{path} {name}")))
    })
}

/// Behind whatever the command says there already.
fn add(command: Command, examples: &str) -> Command {
    if examples.is_empty() {
        return command;
    }
    let long = command
        .get_after_long_help()
        .map(|long| format!("{long}\n\n{examples}"));
    let short = match command.get_after_help() {
        Some(short) => format!("{short}\n\n{examples}"),
        None => examples.to_owned(),
    };
    let command = command.after_help(short);
    match long {
        Some(long) => command.after_long_help(long),
        None => command,
    }
}

fn shown(examples: &[Example]) -> String {
    let lines = examples.iter().map(|(line, what)| format!("\n  {line}\n      {what}"));
    match examples {
        [] => String::new(),
        _ => format!("Examples:{}", lines.collect::<String>()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::command_line;
    use super::*;

    /// The words of every command that leads to no other.
    fn leaves(command: &Command, path: &str, found: &mut Vec<String>) {
        for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help") {
            let path = format!("{path} {}", sub.get_name()).trim().to_owned();
            if sub.has_subcommands() {
                leaves(sub, &path, found);
            } else {
                found.push(path);
            }
        }
    }

    #[test]
    fn every_command_has_examples_of_its_own() {
        let mut commands = Vec::new();
        leaves(&command_line::whole(), "", &mut commands);
        for path in &commands {
            assert!(!of(path).is_empty(), "`{path}` needs an example in this file");
        }
        for (path, examples) in EXAMPLES {
            let is_known = commands
                .iter()
                .any(|known| known == path || known.starts_with(&format!("{path} ")));
            assert!(is_known, "`{path}` is no command");
            for (line, _) in *examples {
                assert!(line.starts_with(&format!("footlights {path}")), "{line}");
            }
        }
    }
}
