//! Where a player's file is looked for when none is named, and whom it stands in for.

#![allow(clippy::disallowed_methods, reason = "a test writes files")]

use footlights::setlist;
use std::path::{Path, PathBuf};

#[test]
fn the_usual_player_file_lies_in_the_configuration_folder() {
    let usual = |config: Option<&str>, home: Option<&str>| {
        setlist::usual_player_file(config.map(Path::new), home.map(Path::new))
    };
    for (config, home, wanted) in [
        (Some("/c"), Some("/h"), Some("/c/footlights/player.yaml")),
        (None, Some("/h"), Some("/h/.config/footlights/player.yaml")),
        (Some(""), Some("/h"), Some("/h/.config/footlights/player.yaml")),
        (Some("relative"), Some("/h"), Some("/h/.config/footlights/player.yaml")),
        (None, Some("relative"), None),
        (None, None, None),
    ] {
        assert_eq!(usual(config, home), wanted.map(PathBuf::from), "{config:?} {home:?}");
    }
}

#[test]
fn a_player_file_to_start_from_changes_nothing_and_is_made_once() {
    let folder = tempfile::tempdir().unwrap();
    let run = |words: &[&str]| {
        std::process::Command::new(env!("CARGO_BIN_EXE_footlights"))
            .args(words)
            .env("XDG_CONFIG_HOME", folder.path().join("config"))
            .current_dir(folder.path())
            .output()
            .unwrap()
    };
    std::fs::write(
        folder.path().join("set.yaml"),
        "set: S\nsongs: [{ song: One, key: Bb }, { song: Two, key: Db }]\n",
    )
    .unwrap();
    let before = run(&["plan", "set.yaml"]);
    let made = run(&["new", "--player-file"]);
    let path = folder.path().join("config/footlights/player.yaml");
    let said = String::from_utf8(made.stdout).unwrap();
    assert!(said.starts_with(&format!("{}: ", path.display())), "{said}");
    let after = run(&["plan", "set.yaml"]);
    assert_eq!((before.stdout, after.stderr.len()), (after.stdout, 0));
    let written = std::fs::read_to_string(&path).unwrap();
    let again = run(&["new", "--player-file"]);
    assert_eq!((again.status.code(), again.stdout.len()), (Some(1), 0));
    let hint = "hint: It is your player file; an editor changes it.\n";
    assert!(String::from_utf8(again.stderr).unwrap().ends_with(hint));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), written);

    // What stands there as a comment is to be freed of its # as it is.
    let freed = written
        .replace("# player:", "player:")
        .replace("# guitar:", "guitar:")
        .replace("#   ", "  ")
        .replace("# screen:", "screen:")
        .replace("# left_handed:", "left_handed:");
    std::fs::write(folder.path().join("mine.yaml"), freed).unwrap();
    let check = run(&["check", "set.yaml", "--player", "mine.yaml"]);
    assert!(check.status.success(), "{}", String::from_utf8_lossy(&check.stdout));
    let named = run(&["new", "--player-file", "other.yaml"]);
    assert!(
        String::from_utf8(named.stdout)
            .unwrap()
            .ends_with("pedal learn --player other.yaml\n")
    );
}

#[test]
fn a_file_of_someone_else_is_said_to_stand_in_for_the_first_player() {
    let folder = tempfile::tempdir().unwrap();
    let (set, player) = (folder.path().join("set.yaml"), folder.path().join("player.yaml"));
    std::fs::write(
        &set,
        "set: S\nplayers: [{ name: Wren }, { name: Sam }]\nsongs: [{ song: One, key: C }]\n",
    )
    .unwrap();
    let said = |name: &str| {
        std::fs::write(&player, format!("player: {name}\n")).unwrap();
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_footlights"))
            .args([
                "plan".as_ref(),
                set.as_os_str(),
                "--player".as_ref(),
                player.as_os_str(),
            ])
            .output()
            .unwrap();
        assert!(output.status.success(), "{name}");
        String::from_utf8(output.stderr).unwrap()
    };
    assert_eq!(said("wren"), "");
    let note = "note: the player file is Sam's, but the set names Wren first: this is Wren's screen\n";
    assert_eq!(said("Sam"), note);
}
