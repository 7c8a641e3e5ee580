//! What is unwise in a set that could be read: sections never played, pickups that are not there, one sound all evening.

use crate::setlist::set::{Section, Set, Song, Technique};
use crate::setlist::words::near;
use crate::setlist::{Finding, Guitar, Rule, Spot};
use std::collections::HashSet;

/// Different sections that a song has before one sound for all of them is worth a word.
const MANY_SECTIONS: usize = 3;
/// Sections that a whole set has before the same.
const SEVERAL_SECTIONS: usize = 2;

pub(super) fn check(set: &Set, guitar: &Guitar) -> Vec<Finding> {
    let played: Vec<Vec<&Section>> = set.songs().iter().map(played).collect();
    let all = || played.iter().flatten().copied();
    let whole = the_same(all(), SEVERAL_SECTIONS, |section| section.pickup.as_deref());
    // A set of one song is spoken of as that song, where there is enough of it.
    let whole = whole.filter(|_| set.songs().len() > 1 || played[0].len() < MANY_SECTIONS);
    let mut findings: Vec<Finding> = Vec::new();
    for (song, played) in set.songs().iter().zip(&played) {
        check_song(song, played, guitar, whole.is_some(), &mut findings);
    }
    let first = set.songs()[0].spot;
    if let Some(pickup) = whole {
        let message = format!("the whole set is played on the pickup `{pickup}`");
        findings.push(of_set(Rule::OnePickup, first, message));
    }
    if let Some(Technique::Strum) = the_same(all(), SEVERAL_SECTIONS, |section| section.technique.as_ref()) {
        findings.push(of_set(Rule::AllStrum, first, "the whole set is strummed".into()));
    }
    findings
}

/// `pickup_said` where the set as a whole has been found to be on one.
fn check_song(song: &Song, played: &[&Section], guitar: &Guitar, pickup_said: bool, findings: &mut Vec<Finding>) {
    let mut seen = HashSet::new();
    let mut rest = played.iter().peekable();
    for section in &song.sections {
        // Both are in the order written.
        if rest.next_if(|&&next| std::ptr::eq(next, section)).is_none() {
            let message = format!("the section `{}` is never played", section.name);
            findings.push(of_section(
                Rule::UnplayedSection,
                song,
                section,
                section.spot,
                message,
                None,
            ));
        }
        // What is taken by `like` was said, and is told of, once.
        let at = section.pickup_spot.unwrap_or(section.spot);
        if let Some(pickup) = &section.pickup
            && guitar.selector.iter().all(|position| position.name != *pickup)
            && seen.insert((at.file, at.line, at.column))
        {
            findings.push(no_such_pickup(song, section, at, pickup, guitar));
        }
    }
    let sections = || played.iter().copied();
    let pickup = the_same(sections(), MANY_SECTIONS, |section| section.pickup.as_deref());
    if let Some(pickup) = pickup.filter(|_| !pickup_said) {
        let message = format!("all of this song is played on the pickup `{pickup}`");
        findings.push(of_song(Rule::OnePickup, song, message));
    }
    if let Some(technique) = the_same(sections(), MANY_SECTIONS, |section| section.technique.as_ref()) {
        let message = format!("all of this song is played with one technique, `{}`", technique.words());
        findings.push(of_song(Rule::OneTechnique, song, message));
    }
    if song.tempo.is_none() {
        let missing = of_song(Rule::MissingTempo, song, "this song has no tempo".into());
        let hint = Some("With `tempo: 96` the stage shows its delay times, and `log` how long it should take.".into());
        findings.push(Finding { hint, ..missing });
    }
}

/// The sections that the order has, each once, in the order written.
fn played(song: &Song) -> Vec<&Section> {
    let mut played = vec![false; song.sections.len()];
    song.steps.iter().for_each(|&place| played[place] = true);
    let sections = song.sections.iter().zip(played);
    sections
        .filter(|(_, played)| *played)
        .map(|(section, _)| section)
        .collect()
}

/// What all of at least `least` sections have in common, if they do.
fn the_same<'s, T: PartialEq>(
    mut sections: impl Iterator<Item = &'s Section>,
    least: usize,
    of: impl Fn(&'s Section) -> Option<T>,
) -> Option<T> {
    let first = of(sections.next()?)?;
    let mut count = 1;
    for section in sections {
        if of(section).as_ref() != Some(&first) {
            return None;
        }
        count += 1;
    }
    (count >= least).then_some(first)
}

fn no_such_pickup(song: &Song, section: &Section, at: Spot, pickup: &str, guitar: &Guitar) -> Finding {
    let names: Vec<&str> = guitar.selector.iter().map(|position| position.name.as_str()).collect();
    let has = match names.split_last() {
        Some((last, most)) if !most.is_empty() => format!("This guitar has {} and {last}.", most.join(", ")),
        _ => format!("This guitar has {}.", names.join("")),
    };
    let turned = pickup.split_once('+').map(|(a, b)| format!("{b}+{a}"));
    let turned = turned.filter(|turned| names.contains(&turned.as_str()));
    let meant = turned.as_deref().or_else(|| near(pickup, names.iter().copied()));
    let hint = match meant {
        Some(meant) => format!("Did you mean `{meant}`? {has}"),
        // No guitar is described anywhere: the usual one is taken.
        None if *guitar == Guitar::default() => {
            format!("{has} `footlights new --player-file` makes the file that describes yours.")
        }
        None => has,
    };
    let message = format!("this guitar has no pickup position `{pickup}`");
    of_section(Rule::NoSuchPickup, song, section, at, message, Some(hint))
}

fn of_section(rule: Rule, song: &Song, section: &Section, at: Spot, message: String, hint: Option<String>) -> Finding {
    Finding {
        rule,
        spot: Some(at),
        song: Some(song.title.clone()),
        section: Some(section.name.clone()),
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
