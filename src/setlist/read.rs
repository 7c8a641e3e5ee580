//! The door of this room: reads a set with all it uses, and a player's file, from the disk or from any other store.

#![allow(clippy::disallowed_methods, reason = "the one file of this room that reads files")]

use crate::music::{MinorNumbers, NumberStyle, Numbering};
use crate::setlist::checks::check;
use crate::setlist::node::Node;
use crate::setlist::player::{Player, Rig};
use crate::setlist::player_file::{PLAYER_FIELDS, read_file, read_player};
use crate::setlist::report::{Report, Sources};
use crate::setlist::set::{Set, Song};
use crate::setlist::song::{Common, SONG_FIELDS, one_line, read_song};
use crate::setlist::values::seconds;
use crate::setlist::walk::{Fields, In, Walk, cut};
use crate::setlist::yaml::{self, MOST_BYTES};
use crate::setlist::{Finding, Rule, Seconds, Spot};
use std::fs::File;
use std::io::Read;
use std::path::{Component, Path, PathBuf};

/// The fields of a set file.
pub(super) const SET_FIELDS: [&str; 7] = ["set", "date", "gap", "numbers", "minor_numbers", "players", "songs"];

/// Seconds between songs where a set says nothing.
const USUAL_GAP_S: f64 = 20.0;
/// A band; the plan's cost is exact for so many.
const MOST_PLAYERS: usize = 12;

/// A set that could be read.
#[derive(Clone, Debug)]
pub struct Reading {
    pub set: Set,
    pub rig: Rig,
    /// Warnings and hints.
    pub findings: Vec<Finding>,
    pub sources: Sources,
}

/// Reads a set, all the songs it uses, and the player's file if there is one.
///
/// # Errors
/// Every fault found in any of the files.
pub fn read(set: &Path, player: Option<&Path>) -> Result<Reading, Report> {
    Shelf::default().read_all(set, load(set), player)
}

/// As `read`, but for the set file's own text, which is given: how the set would read if the file held it.
///
/// # Errors
/// Every fault found in any of the files.
pub fn read_as(set: &Path, text: &str, player: Option<&Path>) -> Result<Reading, Report> {
    Shelf::default().read_all(set, Ok(text.as_bytes().to_vec()), player)
}

/// A player's file alone: for what needs no set.
///
/// # Errors
/// Every fault found in the file.
pub fn read_player_file(path: &Path) -> Result<(Player, Rig, Sources), Report> {
    let mut shelf = Shelf::default();
    let file = shelf.take(path, load(path), None);
    let (player, rig) = shelf.player(Some(file));
    let report = Report {
        findings: shelf.findings,
        sources: shelf.sources,
    };
    if report.has_errors() {
        Err(report)
    } else {
        Ok((player, rig, report.sources))
    }
}

/// Where a player's file is looked for when none is named: `$XDG_CONFIG_HOME/footlights/player.yaml`, by default in
/// `$HOME/.config`. A relative variable counts as unset.
pub fn usual_player_file(config_home: Option<&Path>, home: Option<&Path>) -> Option<PathBuf> {
    let config = config_home.filter(|path| path.is_absolute()).map(Path::to_path_buf);
    let config = config.or_else(|| home.filter(|path| path.is_absolute()).map(|home| home.join(".config")))?;
    Some(config.join("footlights/player.yaml"))
}

/// All files of one reading, with their trees.
#[derive(Default)]
struct Shelf {
    sources: Sources,
    trees: Vec<Option<Node>>,
    findings: Vec<Finding>,
    /// The files of the songs used, by the path as written in the set.
    songs: Vec<(String, u16)>,
}

impl Shelf {
    fn read_all(mut self, set: &Path, bytes: Loaded, player: Option<&Path>) -> Result<Reading, Report> {
        let root = self.take(set, bytes, None);
        self.take_songs(root, set);
        let player = player.map(|path| self.take(path, load(path), None));
        self.read(root, player)
    }

    /// Takes up a file; its place. A fault stands at `used`, where the file was asked for, or at the file itself.
    fn take(&mut self, path: &Path, bytes: Loaded, used: Option<Spot>) -> u16 {
        let file = self.sources.add(path.to_path_buf(), String::new());
        let read = bytes.map_err(|message| {
            let spot = used.unwrap_or(Spot {
                file,
                line: 1,
                column: 1,
                len: 1,
            });
            fault(spot, message, None)
        });
        let tree = read.and_then(|bytes| yaml::read(&bytes, file).map_err(|finding| *finding));
        match tree {
            Ok((text, tree)) => {
                self.sources.set_text(file, text);
                self.trees.push(Some(tree));
            }
            Err(finding) => {
                self.findings.push(finding);
                self.trees.push(None);
            }
        }
        file
    }

    /// Reads every song file that the set uses, each once.
    fn take_songs(&mut self, root: u16, set: &Path) {
        let Some(tree) = self.trees[usize::from(root)].clone() else {
            return;
        };
        let mut quiet = Vec::new();
        let mut walk = Walk::new(&mut quiet);
        let whole = In {
            file: root,
            node: &tree,
        };
        let fields = walk.fields(whole, "a set", &SET_FIELDS);
        let Some(songs) = fields.get("songs") else { return };
        let mut wanted: Vec<(String, Spot)> = Vec::new();
        for song in walk.items(songs, "`songs`") {
            let pairs = walk.pairs(song, "a song");
            let Some((_, _, at)) = pairs.into_iter().find(|(_, name, _)| *name == "use") else {
                continue;
            };
            if let Some(path) = at.text().filter(|path| wanted.iter().all(|(known, _)| known != path)) {
                wanted.push((path.to_owned(), at.spot()));
            }
        }
        let folder = set.parent().map_or_else(PathBuf::new, Path::to_path_buf);
        for (path, spot) in wanted {
            match song_path(set, &folder, &path) {
                Ok(full) => {
                    let file = self.take(&full, load(&full), Some(spot));
                    self.songs.push((path, file));
                }
                Err(message) => {
                    let hint = "A set uses song files in its own folder or in folders under it.";
                    self.findings.push(fault(spot, message, Some(hint)));
                }
            }
        }
    }

    fn player(&mut self, file: Option<u16>) -> (Player, Rig) {
        let under = Player::named("");
        match file.and_then(|file| self.trees[usize::from(file)].as_ref().map(|node| In { file, node })) {
            Some(at) => read_file(&mut Walk::new(&mut self.findings), at, &under),
            None => (under, Rig::default()),
        }
    }

    fn read(mut self, root: u16, player: Option<u16>) -> Result<Reading, Report> {
        let (first, rig) = self.player(player);
        let mut findings = std::mem::take(&mut self.findings);
        let set = match &self.trees[usize::from(root)] {
            Some(node) => self.set(&mut Walk::new(&mut findings), In { file: root, node }, first),
            None => None,
        };
        let mut report = Report {
            findings,
            sources: self.sources,
        };
        report.sort();
        match set {
            Some(set) if !report.has_errors() => {
                report.findings.extend(check(&set, &rig.guitar));
                Ok(Reading {
                    set,
                    rig,
                    findings: report.findings,
                    sources: report.sources,
                })
            }
            _ => Err(report),
        }
    }

    fn set(&self, walk: &mut Walk<'_>, at: In<'_>, first: Player) -> Option<Set> {
        let fields = walk.fields(at, "a set", &SET_FIELDS);
        let name = walk
            .required(&fields, "set", "a set")
            .and_then(|at| walk.name(at, "a set's name"));
        let date = fields.get("date").and_then(|at| date(walk, at));
        let gap = fields.get("gap").and_then(|at| seconds(walk, at, "a gap"));
        let styles = [("diatonic", NumberStyle::Diatonic), ("literal", NumberStyle::Literal)];
        let style = fields
            .get("numbers")
            .and_then(|at| walk.choice(at, "`numbers`", &styles));
        let minors = [
            ("relative", MinorNumbers::Relative),
            ("from_one", MinorNumbers::FromOne),
        ];
        let minor = fields
            .get("minor_numbers")
            .and_then(|at| walk.choice(at, "`minor_numbers`", &minors));
        let players = players(walk, fields.get("players"), first);
        let common = Common {
            numbering: Numbering {
                style: style.unwrap_or_default(),
                minor: minor.unwrap_or_default(),
            },
            gap: gap.or_else(|| Seconds::new(USUAL_GAP_S)).unwrap_or(Seconds::NONE),
            players: &players,
            set_file: at.file,
        };
        let songs_at = walk.required(&fields, "songs", "a set")?;
        let items = walk.items(songs_at, "`songs`");
        if items.is_empty() {
            walk.wrong(songs_at, "a set needs at least one song".into(), None);
        }
        let songs: Vec<Song> = items
            .into_iter()
            .filter_map(|item| self.song(walk, item, &common))
            .collect();
        let numbering = common.numbering;
        (!songs.is_empty()).then_some(())?;
        Some(Set {
            name: one_line(name?),
            date,
            numbering,
            players,
            songs,
        })
    }

    /// A song with the fields of the file it uses under its own.
    fn song(&self, walk: &mut Walk<'_>, at: In<'_>, common: &Common<'_>) -> Option<Song> {
        (walk.song, walk.section) = (None, None);
        let mut known = SONG_FIELDS.to_vec();
        known.push("use");
        let mut fields = walk.fields(at, "a song", &known);
        if let Some(used) = fields.get("use") {
            let path = walk.text(used, "`use`")?;
            let (_, file) = self.songs.iter().find(|(known, _)| known == path)?;
            let node = self.trees[usize::from(*file)].as_ref()?;
            let under = song_file_fields(walk, In { file: *file, node });
            fields = fields.over(under);
        }
        let song = read_song(walk, &fields, common);
        walk.song = None;
        song
    }
}

fn song_file_fields<'n>(walk: &mut Walk<'_>, at: In<'n>) -> Fields<'n> {
    walk.fields(at, "a song file", &SONG_FIELDS)
}

fn players(walk: &mut Walk<'_>, at: Option<In<'_>>, first: Player) -> Vec<Player> {
    let mut players: Vec<Player> = Vec::new();
    for item in at.map(|at| walk.items(at, "`players`")).unwrap_or_default() {
        let fields = walk.fields(item, "a player", &PLAYER_FIELDS);
        let Some(name_at) = walk.required(&fields, "name", "a player") else {
            continue;
        };
        let Some(name) = walk.name(name_at, "a name") else {
            continue;
        };
        if players.iter().any(|player| player.name == name) {
            walk.wrong(name_at, format!("two players are called `{}`", cut(name)), None);
            continue;
        }
        let under = if players.is_empty() {
            first.clone()
        } else {
            Player::named(name)
        };
        players.push(read_player(walk, &fields, one_line(name), &under));
        if players.len() > MOST_PLAYERS {
            walk.wrong(item, format!("a set has at most {MOST_PLAYERS} players"), None);
            break;
        }
    }
    if players.is_empty() {
        players.push(first);
    }
    players
}

fn date(walk: &mut Walk<'_>, at: In<'_>) -> Option<String> {
    walk.value(at, "a date", "a year, a month and a day, like `2026-10-10`", |text| {
        let parts: Vec<u32> = text.split('-').map(|part| part.parse().ok()).collect::<Option<_>>()?;
        let [_, month, day] = parts[..] else { return None };
        (text.len() == 10 && (1..=12).contains(&month) && (1..=31).contains(&day)).then(|| text.to_owned())
    })
}

/// The real path of a song file, which lies under the set's own folder; a clause that says why not, otherwise.
fn song_path(set: &Path, folder: &Path, used: &str) -> Result<PathBuf, String> {
    let relative = Path::new(used);
    let plain = relative
        .components()
        .all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    if !plain || used.is_empty() {
        return Err(format!("`{}` leads out of the set's folder", cut(used)));
    }
    let full = folder.join(relative);
    let here = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let (Ok(real), Ok(real_folder)) = (full.canonicalize(), here.canonicalize()) else {
        return Err(format!("there is no file `{}`", cut(used)));
    };
    if !real.starts_with(&real_folder) {
        return Err(format!("`{}` leads out of the set's folder by a link", cut(used)));
    }
    if set.canonicalize().is_ok_and(|set| set == real) {
        return Err("a set cannot use itself".into());
    }
    Ok(full)
}

/// A file's bytes, or a clause that says why there are none.
type Loaded = Result<Vec<u8>, String>;

/// A file's bytes, one more than is allowed at most.
fn load(path: &Path) -> Loaded {
    let cannot = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "this file may not be read".to_owned(),
        std::io::ErrorKind::IsADirectory => "this is a folder, not a file".to_owned(),
        _ => format!("this file cannot be read: {error}"),
    };
    // Asked before opening: opening a named pipe would wait for ever.
    let facts = std::fs::metadata(path).map_err(cannot)?;
    if facts.is_dir() {
        return Err("this is a folder, not a file".into());
    }
    if !facts.is_file() {
        return Err("this is no plain file".into());
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(cannot)?;
    file.take(MOST_BYTES as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(cannot)?;
    Ok(bytes)
}

fn fault(spot: Spot, message: String, hint: Option<&str>) -> Finding {
    let hint = hint.map(str::to_owned);
    Finding {
        rule: Rule::Format,
        spot: Some(spot),
        song: None,
        section: None,
        message,
        hint,
    }
}

/// Reads a set and a player's file from memory: for the tests of other rooms.
///
/// # Panics
/// Where they cannot be read, with the report.
#[cfg(test)]
pub(crate) fn read_text(set: &str, player: Option<&str>) -> Reading {
    let mut shelf = Shelf::default();
    let mut add = |name: &str, text: &str| {
        let file = shelf.sources.add(name.into(), String::new());
        let (text, tree) = yaml::read(text.as_bytes(), file).unwrap();
        shelf.sources.set_text(file, text);
        shelf.trees.push(Some(tree));
        file
    };
    let root = add("set.yaml", set);
    let player = player.map(|text| add("player.yaml", text));
    shelf.read(root, player).unwrap_or_else(|report| panic!("{report}"))
}
