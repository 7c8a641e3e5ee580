//! The rules of the house that a machine can keep: first lines, the order of the rooms, and papers that tell the truth.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test reads files and may fail"
)]

use footlights::plan::{Planned, solve};
use footlights::screen::{Look, Screen, Status, as_text};
use footlights::sequencer::{Sequencer, cue};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Each room may use itself and those before it.
const ROOMS: [&str; 11] = [
    "music",
    "setlist",
    "plan",
    "sequencer",
    "pedal",
    "screen",
    "sheet",
    "ear",
    "rehearse",
    "show",
    "commands",
];

/// All but these do no input or output, read no clock and start no thread, or all but one file of theirs.
const OUTER: [&str; 2] = ["show", "commands"];

/// Longer than this nobody holds a file in the head.
const LINES_AT_MOST: usize = 500;

#[test]
fn every_file_says_in_its_first_line_what_it_is_for() {
    for file in rust_files() {
        let text = read(&file);
        let first = text.lines().next().unwrap_or_default();
        assert!(
            first.len() > 20 && first.starts_with("//! "),
            "{}: {first:?}",
            file.display()
        );
    }
}

#[test]
fn no_file_is_longer_than_a_head_can_hold() {
    for file in rust_files() {
        let lines = read(&file).lines().count();
        assert!(lines <= LINES_AT_MOST, "{}: {lines} lines", file.display());
    }
}

#[test]
fn the_rooms_are_those_of_the_list() {
    let found: BTreeSet<String> = fs::read_dir(root().join("src"))
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.file_type().unwrap().is_dir())
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    assert_eq!(found, ROOMS.map(String::from).into());
}

#[test]
fn a_room_uses_only_the_rooms_above_it() {
    for (place, room) in ROOMS.iter().enumerate() {
        for file in rust_files_under(&root().join("src").join(room)) {
            for (number, line) in code_lines(&read(&file)) {
                let below = ROOMS[place + 1..].iter().find(|below| names_room(&line, below));
                assert_eq!(
                    below,
                    None,
                    "{}:{number}: `{room}` stands above it: {line}",
                    file.display()
                );
            }
        }
    }
}

/// A grouped `use` would slip past the search above.
#[test]
fn each_room_is_used_in_a_line_of_its_own() {
    for file in rust_files() {
        for (number, line) in code_lines(&read(&file)) {
            let grouped = ["use crate::{", "use footlights::{"]
                .iter()
                .any(|begin| line.starts_with(begin));
            assert!(!grouped, "{}:{number}: {line}", file.display());
        }
    }
}

#[test]
fn a_pure_room_says_what_is_absent_from_it() {
    for room in ROOMS.into_iter().filter(|room| !OUTER.contains(room)) {
        let text = read(&root().join("src").join(room).join("mod.rs"));
        assert!(text.contains("//! Absent here: "), "src/{room}/mod.rs");
    }
}

#[test]
fn the_developers_paper_names_every_room_and_folder() {
    let paper = paper("DEVELOPERS.md");
    for room in ROOMS {
        assert!(
            paper.contains(&format!("**`{room}/`**")),
            "no paragraph for the room `{room}`"
        );
    }
    for entry in fs::read_dir(root()).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        let ours = name == ".ci" || !(name.starts_with('.') || name == "target");
        if ours && entry.file_type().unwrap().is_dir() {
            assert!(
                paper.contains(&format!("`{name}/`")),
                "the folder `{name}` is not named"
            );
        }
    }
}

#[test]
fn every_path_that_a_paper_names_exists() {
    for name in ["README.md", "DEVELOPERS.md", "CHANGELOG.md"] {
        for word in quoted(&paper(name)) {
            let inside = [
                "src/",
                "tests/",
                "benches/",
                "examples/",
                "setlists/",
                "hardware-notes/",
                ".ci/",
            ];
            if inside.iter().any(|folder| word.starts_with(folder)) {
                assert!(root().join(&word).exists(), "{name} names `{word}`");
            }
        }
    }
}

#[test]
fn the_readme_names_the_commands_there_are_and_no_others() {
    let readme = paper("README.md");
    let help = output(Command::new("sh").arg(root().join("dev")).arg("help"));
    let (told, there_are) = (first_words(&code(&readme), "./dev "), first_words(&help, "./dev "));
    assert!(
        told.contains("demo") && told.contains("test") && told.is_subset(&there_are),
        "{told:?} {there_are:?}"
    );

    let help = output(Command::new(env!("CARGO_BIN_EXE_footlights")).arg("--help"));
    let list = help.split_once("Commands:").unwrap().1.split("\n\n").next().unwrap();
    let commands: BTreeSet<String> = list
        .lines()
        .filter_map(|line| line.split_whitespace().next())
        .filter(|word| *word != "help")
        .map(String::from)
        .collect();
    assert_eq!(first_words(&code(&readme), "footlights "), commands);
}

/// All that stands as code in a paper, each piece on a line of its own.
fn code(paper: &str) -> String {
    let pieces = quoted(paper).into_iter().chain(blocks(paper));
    pieces.map(|piece| piece + "\n").collect()
}

/// The words that follow `before` where it begins a line or a quotation.
fn first_words(text: &str, before: &str) -> BTreeSet<String> {
    text.lines()
        .filter_map(|line| line.trim_start().strip_prefix(before))
        .filter_map(|rest| rest.split_whitespace().next())
        .filter(|word| word.starts_with(|c: char| c.is_ascii_lowercase()))
        .map(String::from)
        .collect()
}

/// What stands between single backticks.
fn quoted(text: &str) -> Vec<String> {
    let prose: String = text.split("```").step_by(2).collect();
    prose.split('`').skip(1).step_by(2).map(String::from).collect()
}

/// The blocks of code: fenced, or indented by four.
fn blocks(text: &str) -> Vec<String> {
    let fenced = text.split("```").skip(1).step_by(2).map(String::from);
    let indented = text.lines().filter(|line| line.starts_with("    ")).map(String::from);
    fenced.chain(indented).collect()
}

fn names_room(line: &str, room: &str) -> bool {
    line.match_indices(&format!("crate::{room}")).any(|(at, found)| {
        let after = line[at + found.len()..].chars().next();
        !after.is_some_and(|c| c.is_alphanumeric() || c == '_')
    })
}

fn code_lines(text: &str) -> Vec<(usize, String)> {
    let lines = text
        .lines()
        .enumerate()
        .map(|(i, line)| (i + 1, line.trim().to_owned()));
    lines.filter(|(_, line)| !line.starts_with("//")).collect()
}

fn rust_files() -> Vec<PathBuf> {
    let folders = ["src", "tests", "benches", "examples"].map(|folder| rust_files_under(&root().join(folder)));
    let files = folders.concat();
    assert!(files.len() > 30, "the files were not found");
    files
}

fn rust_files_under(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(rust_files_under(&path));
        } else if path.extension().is_some_and(|ext| ext == "rs") {
            files.push(path);
        }
    }
    files
}

fn output(command: &mut Command) -> String {
    let output = command.output().unwrap();
    assert!(output.status.success(), "{command:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn paper(name: &str) -> String {
    read(&root().join(name))
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap()
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The demo set's first page at 80 x 24, as the stage draws it.
fn first_page() -> String {
    let set = root().join("setlists/harvest-evening.yaml");
    let player = root().join("setlists/player.yaml");
    let reading = footlights::setlist::read(&set, Some(&player)).unwrap();
    let look = Look {
        guitar: reading.rig.guitar,
        ..Look::default()
    };
    let plan = solve(&reading.set).unwrap();
    let planned = Planned { set: reading.set, plan };
    let mut buffer = Buffer::empty(Rect::new(0, 0, 80, 24));
    let sequencer = Sequencer::open(&planned);
    Screen::new(look).draw(&cue(&planned, sequencer.state()), &Status::default(), &mut buffer);
    as_text(&buffer)
}

/// The text between the first fence that says `text` and the next.
fn fenced(paper: &str) -> (usize, usize) {
    let begin = paper.find("```text\n").unwrap() + "```text\n".len();
    (begin, begin + paper[begin..].find("```").unwrap())
}

#[test]
fn the_page_in_the_readme_is_the_one_that_the_stage_draws() {
    let paper = paper("README.md");
    let (begin, end) = fenced(&paper);
    assert_eq!(
        paper[begin..end],
        first_page(),
        "`cargo test --test house -- --ignored` writes it anew"
    );
}

#[test]
#[ignore = "writes the page in the README anew"]
fn write_the_page_in_the_readme_anew() {
    let paper = paper("README.md");
    let (begin, end) = fenced(&paper);
    let anew = format!("{}{}{}", &paper[..begin], first_page(), &paper[end..]);
    fs::write(root().join("README.md"), anew).unwrap();
}

#[test]
fn every_picture_in_the_readme_is_there() {
    let paper = paper("README.md");
    let pictures: Vec<&str> = paper
        .split("](pictures/")
        .skip(1)
        .filter_map(|rest| rest.split(')').next())
        .collect();
    assert!(!pictures.is_empty());
    for picture in pictures {
        assert!(root().join("pictures").join(picture).is_file(), "{picture}");
    }
}
