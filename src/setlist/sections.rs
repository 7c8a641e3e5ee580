//! Reading a song's sections: what each says itself, what it takes by `like`, and its chords in its own key.

use crate::music::AskedKey;
use crate::setlist::chords::{find_lost_chords, read_chords};
use crate::setlist::set::{Message, Section, Technique};
use crate::setlist::set_shapes::SECTION;
use crate::setlist::song::{Common, read_messages};
use crate::setlist::syntax::cut;
use crate::setlist::tree::At;
use crate::setlist::walk::{Given, Walk};
use crate::setlist::words::did_you_mean;
use crate::setlist::{Bars, Rule, Spot};
use std::collections::HashMap;

/// A song with more is no song, and its names could not be told apart in good time.
const MOST_SECTIONS: usize = 1000;

/// What a section says itself: none where it says nothing, or nothing that can be read.
struct Said<'t> {
    name: String,
    name_at: At<'t>,
    like: Option<Given<'t>>,
    bars: Option<Bars>,
    technique: Option<Technique>,
    pickup: Option<(String, Spot)>,
    chords: Option<Given<'t>>,
    key: Option<AskedKey>,
    /// Blank where it is said to be blank.
    note: Option<String>,
    send: Option<Vec<Message>>,
}

pub(super) fn read_sections(
    walk: &mut Walk,
    given: Option<Given<'_>>,
    song_key: AskedKey,
    common: &mut Common<'_>,
) -> Vec<Section> {
    let Some(given) = given else { return Vec::new() };
    let mut named = walk.named(given);
    if named.len() > MOST_SECTIONS {
        walk.wrong(given.at, format!("a song has {MOST_SECTIONS} sections at most"), None);
        named.truncate(MOST_SECTIONS);
    }
    let said: Vec<Said<'_>> = named.into_iter().map(|named| read_said(walk, named)).collect();
    let names = Names::new(said.iter().map(|said| said.name.as_str()));
    let likes = followed(walk, &said, &names, given.at.is_unsure());
    let sections = (0..said.len()).map(|place| section(walk, &said, &likes, place, song_key, common));
    let sections = sections.collect();
    walk.section = None;
    sections
}

fn read_said<'t>(walk: &mut Walk, (name_at, name, at): (At<'t>, String, At<'t>)) -> Said<'t> {
    walk.section = Some(name.clone());
    let fields = walk.fields(at, &SECTION);
    let technique = fields.get("technique").and_then(|given| walk.words(given));
    let mut text = |field: &str| fields.get(field).and_then(|given| walk.text(given));
    let note = text("note");
    let pickup = text("pickup").and_then(|name| Some((position(&name), fields.get("pickup")?.at.spot())));
    let bars = fields.get("bars").and_then(|given| walk.whole(given));
    if let Some(at) = fields.empty("chords").or(fields.get("chords").map(|given| given.at)) {
        find_lost_chords(walk, at);
    }
    Said {
        name,
        name_at,
        like: fields.get("like"),
        bars: bars.and_then(|bars| Bars::new(bars as u16)),
        technique: technique.map(|words| Technique::parse(&words)),
        pickup,
        chords: fields.get("chords"),
        key: fields.get("key").and_then(|given| walk.key(given)),
        note,
        send: fields.get("send").map(|given| read_messages(walk, given)),
    }
}

/// A selector position without blanks round its `+`.
pub(super) fn position(name: &str) -> String {
    name.split('+').map(str::trim).collect::<Vec<_>>().join("+")
}

/// For each section, the one it is like; none where that is nothing that can be followed.
fn followed(walk: &mut Walk, said: &[Said<'_>], names: &Names<'_>, partial: bool) -> Vec<Option<usize>> {
    let mut likes: Vec<Option<usize>> = said
        .iter()
        .map(|said| {
            walk.section = Some(said.name.clone());
            let name = walk.text(said.like?)?;
            let place = names.find(&name);
            if place.is_none() && !partial {
                names.unknown(walk, said.like?.at, &name);
            }
            place
        })
        .collect();
    for place in 0..likes.len() {
        if let Some(given) = said[place].like.filter(|_| comes_round(&likes, place)) {
            walk.section = Some(said[place].name.clone());
            let message = format!("`{}` is like itself", cut(&said[place].name));
            let hint = "One of the sections that are like each other has to say everything itself.";
            walk.wrong(given.at, message, Some(hint.into()));
            likes[place] = None;
        }
    }
    likes
}

fn comes_round(likes: &[Option<usize>], start: usize) -> bool {
    let mut here = likes[start];
    // A way with more steps than sections goes round another circle.
    for _ in 0..likes.len() {
        match here {
            Some(place) if place != start => here = likes[place],
            found => return found.is_some(),
        }
    }
    false
}

/// The section at `place`, with all that it takes from those it is like.
fn section(
    walk: &mut Walk,
    said: &[Said<'_>],
    likes: &[Option<usize>],
    place: usize,
    song_key: AskedKey,
    common: &mut Common<'_>,
) -> Section {
    let line = || std::iter::successors(Some(place), |&here| likes[here]).map(|here| &said[here]);
    let key = line().find_map(|said| said.key).unwrap_or(song_key);
    let pickup = line().find_map(|said| said.pickup.clone());
    let own = &said[place];
    walk.section = Some(own.name.clone());
    Section {
        name: own.name.clone(),
        key,
        bars: line().find_map(|said| said.bars),
        technique: line().find_map(|said| said.technique.clone()),
        pickup_spot: pickup.as_ref().map(|(_, spot)| *spot),
        pickup: pickup.map(|(name, _)| name),
        chords: line()
            .find_map(|said| said.chords)
            .map(|given| read_chords(walk, given, key, common))
            .unwrap_or_default(),
        note: line()
            .find_map(|said| said.note.clone())
            .filter(|note| !note.is_empty()),
        send: line().find_map(|said| said.send.clone()).unwrap_or_default(),
        spot: own.name_at.spot(),
    }
}

/// The names of a song's sections, to be found fast.
pub(super) struct Names<'n> {
    names: Vec<&'n str>,
    /// In small letters, where there are many.
    places: HashMap<String, usize>,
}

/// So few names are looked through one by one.
const FEW: usize = 12;

impl<'n> Names<'n> {
    pub(super) fn new(names: impl Iterator<Item = &'n str>) -> Names<'n> {
        let names: Vec<&str> = names.collect();
        let mut places = HashMap::new();
        if names.len() > FEW {
            for (place, name) in names.iter().enumerate() {
                places.insert((*name).to_owned(), place);
            }
            for (place, name) in names.iter().enumerate() {
                places.entry(name.to_lowercase()).or_insert(place);
            }
        }
        Names { names, places }
    }

    /// The place of a name: written just so, or else without regard to case.
    pub(super) fn find(&self, name: &str) -> Option<usize> {
        if !self.places.is_empty() {
            let place = self.places.get(name).or_else(|| self.places.get(&name.to_lowercase()));
            return place.copied();
        }
        let exactly = self.names.iter().position(|known| *known == name);
        exactly.or_else(|| {
            let lower = name.to_lowercase();
            self.names.iter().position(|known| known.to_lowercase() == lower)
        })
    }

    pub(super) fn unknown(&self, walk: &mut Walk, at: At<'_>, name: &str) {
        self.unknown_but(walk, at, name, did_you_mean(name, self.names.iter().copied()));
    }

    /// The same, with a hint of one's own.
    pub(super) fn unknown_but(&self, walk: &mut Walk, at: At<'_>, name: &str, hint: Option<String>) {
        let message = format!("this song has no section `{}`", cut(name));
        walk.fault(Rule::UnknownSection, at.spot(), message, hint);
    }
}
