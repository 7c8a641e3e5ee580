//! What is unwise in a set that could be read: sections never played, pickups that are not there, one sound all evening.

use crate::setlist::set::{Section, Set, Song, Technique};
use crate::setlist::walk::near;
use crate::setlist::{Finding, Guitar, Rule, Spot};

/// Different sections that a song has before one sound for all of them is worth a word.
const MANY_SECTIONS: usize = 3;

pub(super) fn check(set: &Set, guitar: &Guitar) -> Vec<Finding> {
    let mut findings: Vec<Finding> = set.songs().iter().flat_map(|song| check_song(song, guitar)).collect();
    let played: Vec<&Section> = set.songs().iter().flat_map(played).collect();
    let first = set.songs()[0].spot;
    if let Some(pickup) = the_same(&played, 2, |section| section.pickup.as_deref()) {
        findings.push(of_set(
            Rule::OnePickup,
            first,
            format!("the whole set is played on the pickup `{pickup}`"),
        ));
    }
    let strum = |section: &&Section| section.technique.as_ref() == Some(&Technique::Strum);
    if played.len() > 1 && played.iter().all(strum) {
        findings.push(of_set(Rule::AllStrum, first, "the whole set is strummed".into()));
    }
    findings
}

fn check_song(song: &Song, guitar: &Guitar) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (place, section) in song.sections.iter().enumerate() {
        if !song.steps.contains(&place) {
            let message = format!("the section `{}` is never played", section.name);
            findings.push(of_section(Rule::UnplayedSection, song, section, message, None));
        }
        if let Some(pickup) = &section.pickup
            && guitar.selector.iter().all(|position| position.name != *pickup)
        {
            findings.push(no_such_pickup(song, section, pickup, guitar));
        }
    }
    let played: Vec<&Section> = played(song).collect();
    if let Some(pickup) = the_same(&played, MANY_SECTIONS, |section| section.pickup.as_deref()) {
        let message = format!("all of this song is played on the pickup `{pickup}`");
        findings.push(of_song(Rule::OnePickup, song, message));
    }
    if let Some(technique) = the_same(&played, MANY_SECTIONS, |section| section.technique.as_ref()) {
        let message = format!("all of this song is played with one technique, `{}`", technique.words());
        findings.push(of_song(Rule::OneTechnique, song, message));
    }
    if song.tempo.is_none() {
        findings.push(of_song(Rule::MissingTempo, song, "this song has no tempo".into()));
    }
    findings
}

/// The sections that the order has, each once.
fn played(song: &Song) -> impl Iterator<Item = &Section> {
    let mut played = vec![false; song.sections.len()];
    song.steps.iter().for_each(|&place| played[place] = true);
    song.sections
        .iter()
        .zip(played)
        .filter(|(_, played)| *played)
        .map(|(section, _)| section)
}

/// What all of at least `least` sections have in common, if they do.
fn the_same<'s, T: PartialEq>(
    sections: &[&'s Section],
    least: usize,
    of: impl Fn(&'s Section) -> Option<T>,
) -> Option<T> {
    let first = of(sections.first()?)?;
    (sections.len() >= least && sections.iter().all(|section| of(section).as_ref() == Some(&first))).then_some(first)
}

fn no_such_pickup(song: &Song, section: &Section, pickup: &str, guitar: &Guitar) -> Finding {
    let names: Vec<&str> = guitar.selector.iter().map(|position| position.name.as_str()).collect();
    let has = match names.split_last() {
        Some((last, most)) if !most.is_empty() => format!("This guitar has {} and {last}.", most.join(", ")),
        _ => format!("This guitar has {}.", names.join("")),
    };
    let hint = match near(pickup, names.iter().copied()) {
        Some(near) => format!("Did you mean `{near}`? {has}"),
        None => has,
    };
    let message = format!("this guitar has no pickup position `{pickup}`");
    of_section(Rule::NoSuchPickup, song, section, message, Some(hint))
}

fn of_section(rule: Rule, song: &Song, section: &Section, message: String, hint: Option<String>) -> Finding {
    let spot = match rule {
        Rule::NoSuchPickup => section.pickup_spot.unwrap_or(section.spot),
        _ => section.spot,
    };
    let (song, section) = (Some(song.title.clone()), Some(section.name.clone()));
    Finding {
        rule,
        spot: Some(spot),
        song,
        section,
        message,
        hint,
    }
}

fn of_song(rule: Rule, song: &Song, message: String) -> Finding {
    Finding {
        rule,
        spot: Some(song.spot),
        song: Some(song.title.clone()),
        section: None,
        message,
        hint: None,
    }
}

fn of_set(rule: Rule, spot: Spot, message: String) -> Finding {
    Finding {
        rule,
        spot: Some(spot),
        song: None,
        section: None,
        message,
        hint: None,
    }
}
