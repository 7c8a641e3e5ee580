//! Every example that is shown works as it stands: those of `--help`, of the manual and of the README, each run by a
//! shell in a folder like a player's, and those that need a terminal on a real pseudo-terminal.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test may fail")]
#![cfg(target_os = "linux")]

#[path = "../stage/terminal.rs"]
#[allow(dead_code, reason = "the stage's own tests use the rest")]
mod terminal;

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;
use std::time::Duration;
use tempfile::TempDir;
use terminal::Terminal;

const LIST: &str = "1. Lanterns at Millpond - Bb - 72\n2. Seven Lamps - F#m - 126\n";

/// Commands that go on until they are told to stop: what shows that they are there, and the key that stops them.
const LIVE: [(&str, &str, &str); 7] = [
    ("footlights stage", "\x1b]2;Capo", "q"),
    // It says nothing until something comes.
    ("footlights pedal watch", "", "\x03"),
    ("footlights pedal learn", "next: ", "q\r"),
    ("footlights ear --set", ALTERNATE_SCREEN, "q"),
    ("footlights ear --own", ALTERNATE_SCREEN, "q"),
    ("footlights rehearse sunday.yaml", ALTERNATE_SCREEN, "q"),
    ("footlights ear", ALTERNATE_SCREEN, "q"),
];

/// What a program writes as it takes the screen: xterm's private mode 1049, from memory.
const ALTERNATE_SCREEN: &str = "\x1b[?1049h";

/// ALSA's own file for a machine without sound: what is played goes nowhere.
const SILENCE: &str = "</usr/share/alsa/alsa.conf>\npcm.!default { type plug slave { pcm \"none\" format S16_LE channels 2 \
                       rate 48000 } }\npcm.none { type null }\n";

/// Between one look and the next, and when it is given up: as long as a slow machine may need.
const WAIT: Duration = Duration::from_millis(200);
const GIVEN_UP: Duration = Duration::from_secs(60);

/// An example that the others need: it is run first, once.
const RENDER: &str = "footlights ear render --out sounds";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn program() -> &'static Path {
    Path::new(env!("CARGO_BIN_EXE_footlights"))
}

/// A folder with what the examples speak of.
fn scene() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let copy = |from: &str, to: &str| fs::copy(root().join(from), folder.path().join(to)).unwrap();
    fs::create_dir(folder.path().join("songs")).unwrap();
    copy("setlists/harvest-evening.yaml", "sunday.yaml");
    copy("setlists/songs/ferry-in-the-fog.yaml", "songs/ferry-in-the-fog.yaml");
    copy("setlists/player.yaml", "player.yaml");
    copy("setlists/evening.mid", "evening.mid");
    copy("tests/midi/parts.mid", "song.mid");
    fs::write(folder.path().join("list.txt"), LIST).unwrap();
    fs::write(folder.path().join("alsa.conf"), SILENCE).unwrap();
    fs::create_dir(folder.path().join("takes")).unwrap();
    for position in ["neck", "neck+middle", "middle", "middle+bridge", "bridge"] {
        let take = recordings().join(format!("riff-{position}.wav"));
        fs::copy(take, folder.path().join(format!("takes/{position}.wav"))).unwrap();
    }
    fs::copy(recordings().join("riff-bridge.wav"), folder.path().join("take.wav")).unwrap();
    folder
}

/// Recordings with single notes, made once: it takes a while.
fn recordings() -> PathBuf {
    static STUDIO: OnceLock<TempDir> = OnceLock::new();
    let studio = STUDIO.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let output = shell(folder.path(), RENDER);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        folder
    });
    studio.path().join("sounds")
}

/// As a shell runs a line, with the program where it finds programs.
fn shell(folder: &Path, line: &str) -> Output {
    let mut command = Command::new("sh");
    command.args(["-c", line]).current_dir(folder);
    for name in ["HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"] {
        command.env(name, folder);
    }
    command.env("PATH", path()).output().unwrap()
}

fn path() -> std::ffi::OsString {
    let mut path = program().parent().unwrap().as_os_str().to_owned();
    path.push(":");
    path.push(std::env::var_os("PATH").unwrap());
    path
}

fn run(folder: &Path, line: &str) {
    if let Some((_, shows, keys)) = LIVE.iter().find(|(begin, ..)| is_live(line, begin)) {
        return run_live(folder, line, shows, keys);
    }
    let output = shell(folder, line);
    let (out, errors) = (
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr),
    );
    assert!(output.status.success(), "{line}\n{out}{errors}");
}

/// `footlights ear` by itself is a quiz, but it leads to commands that are none; a report is at once at its end.
fn is_live(line: &str, begin: &str) -> bool {
    line == begin || line.starts_with(begin) && begin != "footlights ear" && !line.contains("--report")
}

fn run_live(folder: &Path, line: &str, shows: &str, keys: &str) {
    let line = format!(
        "cd '{}' && ALSA_CONFIG_PATH=alsa.conf PATH='{}' exec {line}",
        folder.display(),
        path().to_string_lossy()
    );
    let mut terminal = Terminal::start(OsStr::new("sh"), &["-c", &line], folder, (80, 24)).unwrap();
    let (mut seen, mut bytes) = (String::new(), [0; 65536]);
    let tasks = format!("/proc/{}/task", terminal.pid());
    let listens = || fs::read_dir(&tasks).is_ok_and(|tasks| tasks.count() > 1);
    let mut waited = Duration::ZERO;
    while !(seen.contains(shows) && (!shows.is_empty() || listens())) {
        let count = terminal.read(&mut bytes, WAIT).unwrap();
        seen.push_str(&String::from_utf8_lossy(&bytes[..count]));
        waited = if count > 0 { Duration::ZERO } else { waited + WAIT };
        assert!(waited < GIVEN_UP, "{line}\nnothing came: {seen}");
        assert_eq!(terminal.ended().unwrap(), None, "{line}\n{seen}");
    }
    let status = loop {
        if let Some(status) = terminal.ended().unwrap() {
            break status;
        }
        // Leaving the stage takes the key twice, not too soon after each other. Where the program has gone nobody hears.
        let _ = terminal.write(keys.as_bytes());
        // Read on, so that it is not held up by a full terminal.
        let count = terminal
            .read(&mut bytes, Duration::from_millis(200))
            .unwrap_or_default();
        seen.push_str(&String::from_utf8_lossy(&bytes[..count]));
    };
    let is_stopped = keys == "\x03" && std::os::unix::process::ExitStatusExt::signal(&status) == Some(2);
    assert!(status.success() || is_stopped, "{line}: {status}\n{seen}");
}

/// The words of every command, those that lead to others first.
fn commands() -> Vec<String> {
    let mut found = vec![String::new()];
    let mut at = 0;
    while at < found.len() {
        let path = found[at].clone();
        let help = help(&path);
        let list = help.split_once("\nCommands:\n").map_or("", |(_, rest)| rest);
        let list = list.split("\n\n").next().unwrap();
        // What a long line goes on with stands further in.
        let names = list
            .lines()
            .filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
        let names = names.filter(|name| !matches!(*name, "" | "help"));
        found.extend(names.map(|name| format!("{path} {name}").trim().to_owned()));
        at += 1;
    }
    found
}

fn help(path: &str) -> String {
    let output = Command::new(program())
        .args(path.split_whitespace())
        .arg("--help")
        .output()
        .unwrap();
    assert!(output.status.success(), "{path}");
    String::from_utf8(output.stdout).unwrap()
}

fn examples(help: &str) -> Vec<String> {
    let shown = help.split_once("\nExamples:\n").map_or("", |(_, shown)| shown);
    let lines = shown.lines().filter_map(|line| line.strip_prefix("  footlights "));
    lines.map(|line| format!("footlights {line}")).collect()
}

#[test]
fn every_example_of_help_works() {
    let mut lines = BTreeSet::new();
    for path in commands() {
        let shown = examples(&help(&path));
        assert!(!shown.is_empty(), "`footlights {path} --help` shows no example");
        lines.extend(shown);
    }
    lines.remove(RENDER);
    for line in lines {
        run(scene().path(), &line);
    }
}

#[test]
fn the_manual_shows_the_same_examples() {
    let output = Command::new(program()).arg("manual").output().unwrap();
    assert!(output.status.success());
    let manual = String::from_utf8(output.stdout).unwrap();
    assert!(
        manual.starts_with(".ie") || manual.contains(".TH footlights 1"),
        "{manual}"
    );
    let plain = manual.replace("\\-", "-").replace("\\&", "");
    for path in commands() {
        for line in examples(&help(&path)) {
            assert!(
                plain.contains(&format!("\\fB{line}\\fR")),
                "`{line}` is not in the manual"
            );
        }
    }
}

/// In the order in which they stand, in one folder.
#[test]
fn every_example_of_the_readme_works() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let lines = readme.lines().filter_map(|line| line.strip_prefix("    footlights "));
    let lines: Vec<String> = lines
        .map(|line| {
            format!(
                "footlights {}",
                line.split("  #").next().unwrap().split(" # ").next().unwrap().trim()
            )
        })
        .collect();
    assert!(lines.len() > 10, "{lines:?}");
    let scene = scene();
    fs::remove_file(scene.path().join("sunday.yaml")).unwrap();
    for line in lines.iter().filter(|line| !line.starts_with(RENDER)) {
        run(scene.path(), line);
        if line.starts_with("footlights new sunday.yaml") {
            // What the player then writes into it by hand: the sections.
            fs::copy(
                root().join("setlists/harvest-evening.yaml"),
                scene.path().join("sunday.yaml"),
            )
            .unwrap();
        }
        if line == "footlights new --player-file" {
            // What the player then makes of it.
            fs::copy(
                scene.path().join("player.yaml"),
                scene.path().join("footlights/player.yaml"),
            )
            .unwrap();
        }
    }
}

/// What `footlights` alone says in a folder.
fn alone(folder: &Path) -> String {
    let output = shell(folder, "footlights");
    assert!(output.status.success());
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.lines().count() <= 10, "{said}");
    said
}

#[test]
fn alone_it_says_what_to_do_next_from_where_the_player_is() {
    let folder = tempfile::tempdir().unwrap();
    let none = alone(folder.path());
    assert!(
        none.contains("There is no set in this folder.") && none.contains("footlights new sunday.yaml"),
        "{none}"
    );

    fs::write(folder.path().join("list.txt"), LIST).unwrap();
    for line in none
        .lines()
        .filter_map(|line| line.strip_prefix("  "))
        .filter(|line| line.contains("--from"))
    {
        run(folder.path(), line.split("  #").next().unwrap());
    }
    let set = alone(folder.path());
    assert!(
        set.contains("Set: sunday.yaml, 2 songs.") && set.contains("footlights new --player-file"),
        "{set}"
    );
    let steps: Vec<&str> = set
        .lines()
        .filter_map(|line| line.strip_prefix("  footlights "))
        .collect();
    assert_eq!(steps.len(), 3, "{set}");
    for step in steps {
        run(
            folder.path(),
            &format!("footlights {}", step.split("  #").next().unwrap()),
        );
    }

    fs::create_dir_all(folder.path().join("footlights")).unwrap();
    fs::write(folder.path().join("footlights/player.yaml"), "player: Wren\n").unwrap();
    let player = alone(folder.path());
    assert!(player.contains("Player: ") && player.contains("footlights/player.yaml") && !player.contains("none yet"));

    fs::write(folder.path().join("broken.yaml"), "set: Broken\nsongs: []\n").unwrap();
    let broken = alone(folder.path());
    let begins = "Set: broken.yaml, the newest here, with something wrong in it.";
    assert!(
        broken.contains("  footlights check broken.yaml") && broken.contains(begins),
        "{broken}"
    );
}

#[test]
fn a_set_that_is_not_named_is_asked_for_by_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let told = || {
        let output = shell(folder.path(), "footlights plan");
        assert_eq!(output.status.code(), Some(2));
        String::from_utf8(output.stderr).unwrap()
    };
    let none = told();
    let hint = "\nhint: `footlights new sunday.yaml` makes a set file to start from.\n";
    assert!(none.contains("<SET>") && none.ends_with(hint), "{none}");
    shell(folder.path(), "footlights new sunday.yaml");
    let one = told();
    assert!(
        one.ends_with("\nhint: This folder has the set `sunday.yaml`.\n"),
        "{one}"
    );
    let help = shell(folder.path(), "footlights plan --help");
    assert_eq!((help.status.code(), help.stderr.len()), (Some(0), 0));
}

#[test]
fn a_file_that_is_not_there_leads_to_the_next_step() {
    let folder = tempfile::tempdir().unwrap();
    let told = |line: &str| {
        let output = shell(folder.path(), line);
        assert_eq!(output.status.code(), Some(1), "{line}");
        String::from_utf8(output.stderr).unwrap() + std::str::from_utf8(&output.stdout).unwrap()
    };
    let wanted = "nope.yaml: error: there is no such file\n\
                  hint: `footlights new nope.yaml` makes one to start from, with `--from LIST` from a leader's list.\n";
    for command in ["stage", "plan", "check"] {
        assert_eq!(told(&format!("footlights {command} nope.yaml")), wanted, "{command}");
    }
    shell(folder.path(), "footlights new sunday.yaml");
    let wanted = "nope.yaml: error: there is no such file\n\
                  hint: This folder has `sunday.yaml`; `footlights new nope.yaml` makes one to start from.\n";
    assert_eq!(told("footlights stage nope.yaml"), wanted);
    let wanted = "me.yaml: error: there is no such file\n\
                  hint: Without `--player` the usual one serves; `footlights new --player-file FILE` makes one of your own.\n";
    assert_eq!(told("footlights plan sunday.yaml --player me.yaml"), wanted);
}

/// Source: bash itself, which reads the script and says what completes a word.
#[test]
fn bash_completes_with_what_is_printed() {
    let folder = scene();
    let line = "footlights completions bash > c && . ./c && COMP_WORDS=(footlights sta) COMP_CWORD=1 && \
                _footlights footlights sta footlights && echo ${COMPREPLY[@]}";
    let output = shell(folder.path(), &format!("bash -c '{line}'"));
    assert_eq!(
        String::from_utf8_lossy(&output.stdout),
        "stage\n",
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}
