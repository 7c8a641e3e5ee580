//! `chord`: a chord's voicings, what is one string away from one of them, or the name of what is fingered.

mod named;
mod near;
mod voicings;

use super::asked::Given;
use super::load::load_player;
use super::paper::Paper;
use super::{Outcome, Status, Trouble};
use crate::music::{AskedKey, Chord, Family, Fret, Note, NumberChord, Numbering, Voicing};
use std::io::Write;
use std::path::PathBuf;

#[derive(clap::Args)]
#[command(after_long_help = MORE)]
pub(crate) struct Args {
    /// The chord that sounds: `Gm7`, `F/A`, or with --key a number of that key, `4`, `5/7`
    #[arg(required_unless_present = "frets")]
    symbol: Option<String>,
    /// Where the capo is: 0 (none) to 11
    #[arg(long, value_name = "FRET", allow_hyphen_values = true, default_value = "0")]
    capo: String,
    /// The key that sounds: reads numbers and names the shapes
    #[arg(long, value_name = "KEY")]
    key: Option<String>,
    /// How many are shown, 0 for all [default: 8, and with --near all]
    #[arg(long, value_name = "N")]
    limit: Option<usize>,
    /// Every playable voicing one string away, and what the chord then is called
    #[arg(long)]
    near: bool,
    /// With --near: the voicing that you play now [default: that of the key's shapes, else the first]
    #[arg(long, value_name = "FRETS", requires = "near", allow_hyphen_values = true)]
    from: Option<String>,
    /// Instead of a chord: name what is fingered, low string first, like x32010
    #[arg(long, value_name = "FRETS", conflicts_with_all = ["symbol", "near"], allow_hyphen_values = true)]
    frets: Option<String>,
    /// The player's file: for which hand and in which signs diagrams are drawn
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
}

/// A paragraph is one line, as the terminal's width is not ours; a table is as narrow as terminals are.
const MORE: &str = "\
A chord is what sounds: with the capo on, the answer says what to finger for it. Frets are counted from the capo, low \
string first, `x` for a string that does not sound; 1 to 4 are the fingers, 1 the first finger.

With --json:
  SYMBOL   {chord, sounds, capo, notes, count,
            voicings: [{frets, fingers, midi}]}
  --near   {chord, sounds, capo, from: {frets, fingers, midi}, count,
            near: [{string, frets, fingers, midi, names: [{chord, sounds}]}]}
  --frets  {frets, fingers, midi, capo, names: [{chord, sounds, notes}]}
`chord` and `notes` are as fingered, `sounds` and `midi` as heard; `count` is of all there are, whatever the limit. \
`string` is the one that changes, 6 the low one. `fingers` is null where no hand in low position presses the frets, \
and `names` has the most usual first.";

/// A chord, and how it is to be fingered.
struct Asked {
    sounds: Chord,
    fingered: Chord,
    capo: Fret,
    key: Option<AskedKey>,
    /// The family of open shapes that gives the key at that capo.
    family: Option<Family>,
}

/// How the answer is printed.
enum Printed {
    Json,
    Words(Paper),
}

/// So many voicings are shown where nobody asks for more.
const FEW: usize = 8;

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let capo = given("--capo", &args.capo).fret()?;
    let key = args.key.as_deref().map(|key| given("--key", key).key()).transpose()?;
    if let Some(frets) = &args.frets {
        let frets = given("--frets", frets).frets()?;
        named::write(frets, capo, key, args.limit.unwrap_or(0), &printed(args)?, out)?;
        return Ok(Status::Fine);
    }
    let symbol = given("SYMBOL", args.symbol.as_deref().unwrap_or_default());
    let asked = Asked::new(symbol.chord(key)?, capo, key);
    if args.near {
        let from = args.from.as_deref().map(|from| given("--from", from));
        match near::start(from, &asked)? {
            Some(from) => near::write(&asked, &from, args.limit.unwrap_or(0), &printed(args)?, out)?,
            None => return Err(Trouble::Said(nothing_to_start_from(&asked))),
        }
    } else {
        voicings::write(&asked, args.limit.unwrap_or(FEW), &printed(args)?, out)?;
    }
    Ok(Status::Fine)
}

fn given<'a>(name: &'a str, text: &'a str) -> Given<'a> {
    Given { name, text }
}

fn printed(args: &Args) -> Result<Printed, Trouble> {
    if args.json {
        return Ok(Printed::Json);
    }
    let (_, rig, _) = load_player(args.player.clone())?;
    Ok(Printed::Words(Paper::new(&rig)))
}

fn nothing_to_start_from(asked: &Asked) -> String {
    format!("error: no hand can press {} in the first four frets\n", asked.fingered)
}

/// The family of open shapes that gives the key with the capo there.
fn shapes(capo: Fret, key: Option<AskedKey>) -> Option<Family> {
    Family::at(capo, key?.key())
}

/// What is fingered for a chord that sounds: in the spelling of the key's own shapes where it has some.
fn fingered(sounds: Chord, capo: Fret, key: Option<AskedKey>) -> Chord {
    match key.zip(shapes(capo, key)) {
        Some((key, family)) => NumberChord::of(sounds, home(key)).on(family.tonic()),
        None => sounds.moved(-i32::from(capo.number())),
    }
}

/// What sounds when a chord is fingered: in the spelling of the key where its own shapes serve.
fn heard(fingered: Chord, capo: Fret, key: Option<AskedKey>) -> Chord {
    match key.zip(shapes(capo, key)) {
        Some((key, family)) => NumberChord::of(fingered, family.tonic()).on(home(key)),
        None => fingered.moved(i32::from(capo.number())),
    }
}

fn home(key: AskedKey) -> Note {
    key.key().relative_major().tonic()
}

/// The first so many, all for 0.
fn first<T>(all: &[T], limit: usize) -> &[T] {
    match limit {
        0 => all,
        limit => &all[..limit.min(all.len())],
    }
}

impl Asked {
    /// A chord as it sounds.
    fn new(sounds: Chord, capo: Fret, key: Option<AskedKey>) -> Asked {
        Asked {
            sounds,
            fingered: fingered(sounds, capo, key),
            capo,
            key,
            family: shapes(capo, key),
        }
    }

    /// A chord as it is fingered.
    fn of_fingered(fingered: Chord, capo: Fret, key: Option<AskedKey>) -> Asked {
        Asked {
            sounds: heard(fingered, capo, key),
            fingered,
            capo,
            key,
            family: shapes(capo, key),
        }
    }

    /// Another chord fingered here, as it is heard.
    fn heard(&self, fingered: Chord) -> Chord {
        heard(fingered, self.capo, self.key)
    }

    /// How the key's own shapes finger the chord, where it is one of theirs.
    fn own(&self) -> Option<Voicing> {
        let family = self.family?;
        let degrees = family.degrees();
        let plain = degrees.iter().map(|degree| degree.plain);
        let open = degrees.iter().map(|degree| degree.open);
        let slash = degrees.iter().filter_map(|degree| degree.slash);
        let is_asked = |number: NumberChord| number.on(family.tonic()).heard() == self.fingered.heard();
        let mut shapes = plain.chain(open).chain(slash);
        Some(shapes.find(|shape| is_asked(shape.number))?.voicing)
    }

    /// What sounds, and what is fingered for it: one line, or two with the capo on.
    fn heading(&self, paper: &Paper) -> Vec<String> {
        let in_key = |key: AskedKey| {
            let number = NumberChord::of(self.sounds, home(key));
            let number = number.written(key.key(), Numbering::default());
            paper.words(&format!(", {number} in {key}"))
        };
        let in_key = self.key.map(in_key).unwrap_or_default();
        let shapes = self
            .family
            .map(|family| format!(", {family} shapes"))
            .unwrap_or_default();
        let [sounds, fingered] = [self.sounds, self.fingered].map(|chord| {
            let notes = paper.notes(chord.notes());
            (paper.chord(chord), notes)
        });
        match self.capo {
            Fret::OPEN => vec![format!("{}{in_key}{shapes}: {}", sounds.0, sounds.1)],
            capo => vec![
                format!("{} sounds{in_key}: {}", sounds.0, sounds.1),
                format!("{} is fingered, capo {capo}{shapes}: {}", fingered.0, fingered.1),
            ],
        }
    }
}
