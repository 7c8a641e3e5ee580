//! Reading players: what a set and a player file may both say, and what the file says besides.

use crate::music::Family;
use crate::setlist::Seconds;
use crate::setlist::guitar::read_guitar;
use crate::setlist::player::{Guitar, Player, Rig, ScreenSettings, Weights};
use crate::setlist::player_shapes::{PLAYER, PLAYER_FILE, SCREEN, WEIGHTS};
use crate::setlist::switches::read_pedals;
use crate::setlist::syntax::cut;
use crate::setlist::tree::At;
use crate::setlist::walk::{Fields, Given, Walk};

/// A band, with room. Every song keeps a place for each player's pin.
const MOST_PLAYERS: usize = 16;

/// A whole player file.
pub(super) fn read_player_fields(walk: &mut Walk, at: At<'_>) -> (Player, Rig) {
    let fields = walk.fields(at, &PLAYER_FILE);
    let name = fields.get("player").and_then(|given| walk.text(given));
    let under = Player::named("");
    let player = read_player(walk, &fields, name.unwrap_or_default(), &under);
    let rig = Rig {
        guitar: fields
            .get("guitar")
            .map(|given| read_guitar(walk, given.at))
            .unwrap_or_default(),
        pedals: fields
            .get("pedals")
            .map(|given| read_pedals(walk, given.at))
            .unwrap_or_default(),
        screen: fields
            .get("screen")
            .map(|given| read_screen(walk, given.at))
            .unwrap_or_default(),
        left_handed: fields
            .get("left_handed")
            .and_then(|given| walk.flag(given))
            .unwrap_or(false),
    };
    (player, rig)
}

/// The players of a set, and the first one's guitar where the set tells of one. `first` stands in where the set says
/// nothing of its first player.
pub(super) fn read_players(walk: &mut Walk, given: Option<Given<'_>>, first: Player) -> (Vec<Player>, Option<Guitar>) {
    let mut players: Vec<Player> = Vec::new();
    let mut guitar = None;
    for (place, at) in given.map(|given| walk.items(given)).into_iter().flatten().enumerate() {
        if place == MOST_PLAYERS {
            walk.wrong(at, format!("a set has {MOST_PLAYERS} players at most"), None);
            break;
        }
        let fields = walk.fields(at, &PLAYER);
        let guitar_here = fields.get("guitar").map(|given| read_guitar(walk, given.at));
        let known = if place == 0 { first.name.as_str() } else { "" };
        let name = match fields.get("name") {
            None if !known.is_empty() => Some(known.to_owned()),
            _ => walk.required(&fields, "name", at).and_then(|given| walk.text(given)),
        };
        let under = if place == 0 { first.clone() } else { Player::named("") };
        let player = read_player(walk, &fields, name.unwrap_or_default(), &under);
        if players
            .iter()
            .any(|other| other.name == player.name && !player.name.is_empty())
        {
            let at = fields.get("name").map_or(at, |given| given.at);
            walk.wrong(at, format!("two players are called `{}`", cut(&player.name)), None);
        }
        if place == 0 {
            guitar = guitar_here;
        }
        players.push(player);
    }
    if players.is_empty() {
        players.push(first);
    }
    (players, guitar)
}

/// What `fields` say over what `under` says.
fn read_player(walk: &mut Walk, fields: &Fields<'_>, name: String, under: &Player) -> Player {
    Player {
        name,
        highest_fret: fields
            .get("highest_fret")
            .and_then(|given| walk.fret(given))
            .unwrap_or(under.highest_fret),
        shapes: fields
            .get("shapes")
            .and_then(|given| read_families(walk, given))
            .unwrap_or_else(|| under.shapes.clone()),
        seconds_to_move: fields
            .get("seconds_to_move")
            .and_then(|given| walk.number(given))
            .and_then(Seconds::new)
            .unwrap_or(under.seconds_to_move),
        weights: fields
            .get("weights")
            .map_or(under.weights, |given| read_weights(walk, given.at, under.weights)),
        spot: Some(fields.whole.spot()),
    }
}

/// Families in order of liking, at least one, each once.
fn read_families(walk: &mut Walk, given: Given<'_>) -> Option<Vec<Family>> {
    let mut families = Vec::new();
    let items = walk.items(given);
    if items.len() == 0 && given.at.is_list() {
        walk.wrong(given.at, "`shapes` names at least one family".into(), None);
    }
    for at in items {
        match walk.family(Given { at, ..given }) {
            Some(family) if families.contains(&family) => {
                walk.wrong(at, format!("{family} shapes are listed twice"), None);
            }
            family => families.extend(family),
        }
    }
    Some(families).filter(|families| !families.is_empty())
}

fn read_weights(walk: &mut Walk, at: At<'_>, under: Weights) -> Weights {
    let fields = walk.fields(at, &WEIGHTS);
    let mut weight = |name: &str, under: u16| {
        let given = fields.get(name).and_then(|given| walk.whole(given));
        given.map_or(under, |weight| weight as u16)
    };
    Weights {
        r#move: weight("move", under.r#move),
        fret: weight("fret", under.fret),
        dislike: weight("dislike", under.dislike),
        dull: weight("dull", under.dull),
    }
}

fn read_screen(walk: &mut Walk, at: At<'_>) -> ScreenSettings {
    let fields = walk.fields(at, &SCREEN);
    let mut word = |name: &str| fields.get(name).and_then(|given| walk.word(given)).map(str::to_owned);
    let (theme, glyphs) = (word("theme"), word("glyphs"));
    let mut number = |name: &str| fields.get(name).and_then(|given| walk.number(given));
    ScreenSettings {
        theme,
        glyphs,
        distance_m: number("distance_m"),
        height_mm: number("height_mm"),
    }
}
