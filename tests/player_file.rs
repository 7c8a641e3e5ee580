//! Where a player's file is looked for when none is named, and whom it stands in for.

#![allow(clippy::unwrap_used, clippy::disallowed_methods)]

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
