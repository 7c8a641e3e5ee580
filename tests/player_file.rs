//! Where a player's file is looked for when none is named.

#![allow(clippy::unwrap_used)]

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
