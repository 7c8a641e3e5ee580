//! The words of a leader's list that say something: a key, a tempo, a meter, and how surely they say it.

use crate::music::AskedKey;
use crate::setlist::{Meter, Tempo};

/// What some words say.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Says {
    /// With the words of another key that follows it, where there are such.
    Key(AskedKey, Option<String>),
    Tempo(Beats),
    Meter(Meter),
}

/// Beats a minute, as someone wrote them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Beats {
    /// 20 to 400.
    pub(super) bpm: f64,
    pub(super) unit: Beat,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beat {
    /// The meter's own.
    Own,
    /// ♩, whatever the meter.
    Quarter,
    /// ♩. with its dot.
    DottedQuarter,
}

/// How surely words are what they look like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sure {
    /// A letter or a number that may as well belong to a title.
    Bare,
    /// `Bb`, `72 bpm`, `4/4`, `key of A`: hardly part of a title.
    Clear,
}

/// Words that hold what is said together and say nothing themselves.
const BETWEEN: [&str; 6] = ["at", "in", "and", "&", "/", "·"];
const ARROWS: [&str; 6] = ["->", "=>", ">", "→", "to", "/"];

/// What the words say where they say nothing else.
pub(super) fn all(text: &str) -> Option<Vec<(Says, Sure)>> {
    let atoms = atoms(text);
    let mut rest = &atoms[..];
    let mut found = Vec::new();
    while !rest.is_empty() {
        match front(rest) {
            Some((says, sure, count)) => {
                found.push((says, sure));
                rest = &rest[count..];
            }
            None if !found.is_empty() && BETWEEN.contains(&rest[0].to_lowercase().as_str()) => rest = &rest[1..],
            None => return None,
        }
    }
    (!found.is_empty()).then_some(found)
}

/// What all of these words say as one thing.
pub(super) fn one(words: &[&str]) -> Option<(Says, Sure)> {
    let atoms: Vec<String> = words.iter().flat_map(|word| atoms(word)).collect();
    front(&atoms)
        .filter(|(.., count)| *count == atoms.len())
        .map(|(says, sure, _)| (says, sure))
}

/// Words in smaller pieces: `72bpm` is two, `Key:Bb` is two, and signs of equality are none.
fn atoms(text: &str) -> Vec<String> {
    let mut atoms: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let mut atom = String::new();
        for letter in word.chars() {
            let last = atom.chars().last();
            let parts = match (last, letter) {
                (_, ':' | '=' | '~' | '@' | '♩') | (Some('@' | '♩'), _) => letter != '.',
                (Some(last), letter) => {
                    last.is_ascii_digit() && letter.is_ascii_alphabetic() && !atom.contains(['#', '/'])
                }
                (None, _) => false,
            };
            if parts && !atom.is_empty() {
                atoms.push(std::mem::take(&mut atom));
            }
            if !matches!(letter, ':' | '~') && (letter != '=' || word == "=>") {
                atom.push(letter);
            }
        }
        if !atom.is_empty() {
            atoms.push(atom);
        }
    }
    atoms
}

/// What stands at the front, how sure that is, and how many atoms say it.
fn front(atoms: &[String]) -> Option<(Says, Sure, usize)> {
    key_changing(atoms).or_else(|| meter(atoms)).or_else(|| tempo(atoms))
}

fn key_changing(atoms: &[String]) -> Option<(Says, Sure, usize)> {
    let (first, mut sure, mut count) = key(atoms)?;
    let mut then = None;
    if let [arrow, rest @ ..] = &atoms[count..]
        && ARROWS.contains(&arrow.to_lowercase().as_str())
        && let Some((_, _, more)) = key(rest)
    {
        then = Some(format!("then {}", rest[..more].join(" ")));
        sure = Sure::Clear;
        count += 1 + more;
    }
    Some((Says::Key(first, then), sure, count))
}

/// `Bb`, `b flat minor`, `key of D`, `in C#m`.
fn key(atoms: &[String]) -> Option<(AskedKey, Sure, usize)> {
    let word = |at: usize| atoms.get(at).map(|atom| atom.to_lowercase()).unwrap_or_default();
    let mut at = 0;
    for lead in ["in", "the"] {
        at += usize::from(word(at) == lead);
    }
    let is_in = at > 0;
    let is_named = matches!(word(at).as_str(), "key" | "tonality");
    if is_named {
        at += 1;
        at += usize::from(matches!(word(at).as_str(), "of" | "is" | "in"));
    } else if word(0) == "the" || word(1) == "the" && is_in {
        return None;
    }
    let tonic = atoms.get(at)?;
    let (name, used) = key_name(tonic, &word(at + 1), &word(at + 2))?;
    let asked = AskedKey::parse(&name).ok()?;
    let is_capital = tonic.starts_with(|letter: char| letter.is_ascii_uppercase());
    // `Am` is a word of many a title.
    let is_long = name.len() > 1 && is_capital && name != "Am";
    let sure = if is_named || is_long || is_in && is_capital {
        Sure::Clear
    } else {
        Sure::Bare
    };
    Some((asked, sure, at + used))
}

/// A key's name as the music room reads it, out of up to three words, and how many of them it takes.
fn key_name(tonic: &str, second: &str, third: &str) -> Option<(String, usize)> {
    let letter = tonic.chars().next().filter(|letter| letter.is_ascii_alphabetic())?;
    let spelt = tonic.to_lowercase();
    let (head, hyphened) = match ["-flat", "-sharp"].iter().find(|word| spelt.ends_with(**word)) {
        Some(word) => (&tonic[..tonic.len() - word.len()], Some(&word[1..])),
        None => (tonic, None),
    };
    let rest = &head[letter.len_utf8()..];
    let (accidental, mode) = match rest.chars().next() {
        Some(sign @ ('b' | '#' | '♭' | '♯')) => (sign.to_string(), &rest[sign.len_utf8()..]),
        _ => (String::new(), rest),
    };
    let mut used = 1;
    let mut name = format!("{letter}{accidental}");
    let worded = hyphened.or_else(|| ["flat", "sharp"].into_iter().find(|word| *word == second));
    if let Some(word) = worded.filter(|_| accidental.is_empty() && mode.is_empty()) {
        name += if word == "flat" { "b" } else { "#" };
        used += usize::from(hyphened.is_none());
    }
    let next = if used == 1 { second } else { third };
    name += match mode {
        "" => {
            let minor = ["m", "minor", "min"].contains(&next);
            used += usize::from(minor || ["major", "maj"].contains(&next));
            if minor { "m" } else { "" }
        }
        "m" | "min" | "minor" | "-" => "m",
        "maj" | "major" | "M" => "",
        _ => return None,
    };
    Some((name, used))
}

/// `4/4`, `6/8 time`, `meter 3/4`.
fn meter(atoms: &[String]) -> Option<(Says, Sure, usize)> {
    let word = |at: usize| atoms.get(at).map(|atom| atom.to_lowercase()).unwrap_or_default();
    let mut at = 0;
    at += usize::from(word(at) == "in");
    at += usize::from(matches!(word(at).as_str(), "time" | "meter" | "metre"));
    at += usize::from(matches!(word(at).as_str(), "sig" | "signature"));
    let figures = word(at);
    let (beats, unit) = figures.split_once('/')?;
    let meter = Meter::new(whole(beats)?, whole(unit)?)?;
    at += 1;
    at += usize::from(matches!(word(at).as_str(), "time" | "feel"));
    Some((Says::Meter(meter), Sure::Clear, at))
}

/// `72`, `72 bpm`, `tempo 72`, `♩ = 72`.
fn tempo(atoms: &[String]) -> Option<(Says, Sure, usize)> {
    let word = |at: usize| atoms.get(at).map(|atom| atom.to_lowercase()).unwrap_or_default();
    let mut at = usize::from(word(0) == "at");
    let mut unit = Beat::Own;
    let mut is_named = false;
    loop {
        match word(at).as_str() {
            "tempo" | "bpm" | "speed" | "@" => {}
            "q" | "♩" => unit = Beat::Quarter,
            "♩." => unit = Beat::DottedQuarter,
            "at" | "ca" | "ca." | "approx" | "approx." | "around" | "about" if is_named => {}
            _ => break,
        }
        is_named = true;
        at += 1;
    }
    let figure = word(at);
    let is_figure = figure.starts_with(|first: char| first.is_ascii_digit())
        && figure.chars().all(|letter| letter.is_ascii_digit() || letter == '.');
    let bpm = figure.parse().ok().filter(|_| is_figure).and_then(Tempo::new)?.bpm();
    at += 1;
    if matches!(word(at).as_str(), "bpm" | "b.p.m." | "bpm." | "/min") {
        is_named = true;
        at += 1;
    }
    let sure = if is_named { Sure::Clear } else { Sure::Bare };
    Some((Says::Tempo(Beats { bpm, unit }), sure, at))
}

fn whole(text: &str) -> Option<u8> {
    let is_number = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|_| is_number)
}

impl Beats {
    /// In beats of the meter's lower figure, as a set counts them; none where that is no tempo.
    pub(super) fn in_meter(self, meter: Meter) -> Option<Tempo> {
        let of_whole = f64::from(meter.unit());
        Tempo::new(match self.unit {
            Beat::Own => self.bpm,
            Beat::Quarter => self.bpm * of_whole / 4.0,
            Beat::DottedQuarter => self.bpm * of_whole * 3.0 / 8.0,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn said(text: &str) -> String {
        let words: Vec<&str> = text.split_whitespace().collect();
        match one(&words) {
            None => "nothing".into(),
            Some((Says::Key(key, then), sure)) => {
                format!(
                    "{}{} {sure:?}",
                    key.key(),
                    then.map(|then| format!(" {then}")).unwrap_or_default()
                )
            }
            Some((Says::Tempo(beats), sure)) => format!("{} {:?} {sure:?}", beats.bpm, beats.unit),
            Some((Says::Meter(meter), sure)) => format!("{meter} {sure:?}"),
        }
    }

    #[test]
    fn words_say_a_key_a_tempo_or_a_meter() {
        for (text, wanted) in [
            ("Bb", "Bb Clear"),
            ("B♭", "Bb Clear"),
            ("bb", "Bb Bare"),
            ("G", "G Bare"),
            ("Am", "Am Bare"),
            ("F#m", "F#m Clear"),
            ("Key of D flat", "Db Clear"),
            ("key: d-flat", "Db Clear"),
            ("Key:Bb", "Bb Clear"),
            ("key = A", "A Clear"),
            ("in A", "A Clear"),
            ("in the key of C sharp minor", "C#m Clear"),
            ("Eb major", "Eb Clear"),
            ("Ebmaj", "Eb Clear"),
            ("Bb -> C", "Bb then C Clear"),
            ("G to A", "G then A Clear"),
            ("in a", "A Bare"),
            ("in the", "nothing"),
            ("H", "nothing"),
            ("G7", "nothing"),
            ("72", "72 Own Bare"),
            ("72bpm", "72 Own Clear"),
            ("72.5 BPM", "72.5 Own Clear"),
            ("Tempo: 72", "72 Own Clear"),
            ("@ 72", "72 Own Clear"),
            ("at 72 bpm", "72 Own Clear"),
            ("at 72", "72 Own Bare"),
            ("♩=72", "72 Quarter Clear"),
            ("♩. = 56", "56 DottedQuarter Clear"),
            ("7", "nothing"),
            ("500 bpm", "nothing"),
            ("6/8", "6/8 Clear"),
            ("6/8 time", "6/8 Clear"),
            ("4/10", "nothing"),
            ("+4/4", "nothing"),
        ] {
            assert_eq!(said(text), wanted, "{text}");
        }
        assert_eq!(all("Bb 72 bpm 4/4").map(|all| all.len()), Some(3));
        assert_eq!(all("in Bb at 72").map(|all| all.len()), Some(2));
        assert_eq!(all("Bb shapes"), None);
    }

    /// Source: the meaning of the notes; a whole note is four quarters.
    #[test]
    fn a_note_beside_the_tempo_says_which_beat_it_counts() {
        let (six, four) = (Meter::new(6, 8).unwrap(), Meter::COMMON);
        for (unit, meter, wanted) in [
            (Beat::Own, six, 56.0),
            (Beat::Quarter, six, 112.0),
            (Beat::DottedQuarter, six, 168.0),
            (Beat::Quarter, four, 56.0),
        ] {
            let beats = Beats { bpm: 56.0, unit };
            assert_eq!(beats.in_meter(meter), Tempo::new(wanted), "{unit:?} {meter}");
        }
    }
}
