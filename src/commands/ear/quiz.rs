//! `ear` on a terminal: questions, answers, and the score.

use super::own;
use super::score;
use super::set;
use super::{Args, rig};
use crate::commands::leaving::{uncut, when_asked_to_end};
use crate::commands::load::{bindings, load_player};
use crate::commands::looks::plain_look;
use crate::commands::stage::state_folder;
use crate::commands::{Outcome, Status, Trouble};
use crate::ear::{
    Answered, Ask, Done, Drill, History, HistoryFile, Instrument, Quiz, Repertoire, Seed, Sitting, Speaker, report,
};
use crate::pedal::Wanted;
use crate::screen::{Poster, Screen};
use crate::show::{Asked, Doors, Practice, PracticeOpening, errors, practise};
use std::io::{IsTerminal, Write, stdin, stdout};
use std::path::PathBuf;
use std::time::{SystemTime, UNIX_EPOCH};

/// The history's name in the state folder.
const FILE: &str = "ear.jsonl";

pub(super) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let path = state_folder().map(|folder| folder.join(FILE));
    let (mut file, history) = HistoryFile::open(path.as_deref()).map_err(|error| cannot_keep(path.as_ref(), &error))?;
    if args.json || args.score {
        let report = report(&history, None);
        if args.json {
            serde_json::to_writer(&mut *out, &report).map_err(std::io::Error::from)?;
            writeln!(out)?;
        } else {
            score::write(&report, &gaps(args)?, out)?;
        }
        return Ok(Status::Fine);
    }
    ask(args, &mut file, history, out)
}

/// A sitting, from the first question to the score.
fn ask(args: &Args, file: &mut HistoryFile, history: History, out: &mut impl Write) -> Outcome {
    let (_, rig, sources) = load_player(args.player.clone())?;
    let look = plain_look(&rig).map_err(Trouble::said)?;
    let drill = args.drill.drill();
    let repertoire = repertoire(args)?;
    if let Some(words) = lacks(&repertoire, drill) {
        return Err(Trouble::said(words));
    }
    if !stdin().is_terminal() || !stdout().is_terminal() {
        return Err(Trouble::said(
            "`ear` asks on a terminal; `footlights ear render --out DIR` writes the sounds as files",
        ));
    }
    let speaker = quietly(Speaker::open).map_err(Trouble::said)?;
    let began = now();
    let seed = Seed::new(args.seed.unwrap_or_else(seed));
    let (sitting, first) = Sitting::begin(Quiz::new(drill, repertoire, history, seed, began), began);
    let inputs = if args.port.is_empty() {
        rig.pedals.input.clone()
    } else {
        args.port.clone()
    };
    let opening = PracticeOpening {
        screen: Screen::new(look),
        bindings: bindings(&rig.pedals, sources)?,
        pedals: rig.pedals,
        doors: Doors {
            raw_ports: args.raw_midi.clone(),
            wanted: Wanted { inputs, output: None },
        },
        state_folder: state_folder(),
    };
    let mut room = Room {
        sitting,
        speaker,
        file,
        trouble: None,
    };
    room.take(first);
    when_asked_to_end(Status::Fine, || ())?;
    let ended = uncut(|| practise(opening, &mut room));
    let Room { sitting, trouble, .. } = room;
    score::write(&report(sitting.quiz().history(), Some(began)), &gaps(args)?, out)?;
    ended.map_err(Trouble::said)?;
    trouble.map_or(Ok(Status::Fine), |words| Err(Trouble::said(words)))
}

/// What a kind of question cannot do without.
fn lacks(repertoire: &Repertoire, drill: Drill) -> Option<&'static str> {
    match drill {
        Drill::Gap if !repertoire.has_gaps() => {
            Some("the drill of gaps moves a single pickup of the model: leave out --own, and have a single pickup")
        }
        Drill::Name | Drill::Odd | Drill::Same if repertoire.positions().len() < 2 => {
            Some("this guitar has one pickup position: there is nothing to tell apart, but `--drill gap` moves it")
        }
        Drill::Name | Drill::Odd | Drill::Gap | Drill::Same => None,
    }
}

/// What the questions are played on.
fn repertoire(args: &Args) -> Result<Repertoire, Trouble> {
    match (&args.own, &args.set) {
        (Some(folder), _) => {
            let instrument = Instrument::of(&rig(args.player.clone())?.guitar);
            own::repertoire(folder, &instrument)
        }
        (None, Some(path)) => set::repertoire(path, args.player.clone()),
        (None, None) => Ok(Repertoire::of_guitar(Instrument::of(&rig(args.player.clone())?.guitar))),
    }
}

/// How far the guitar's own pickups lie apart, neighbours alone, in mm.
fn gaps(args: &Args) -> Result<Vec<f64>, Trouble> {
    let pickups = rig(args.player.clone())?.guitar.pickups;
    let pairs = pickups
        .windows(2)
        .map(|pair| pair[0].from_bridge_mm - pair[1].from_bridge_mm);
    Ok(pairs.collect())
}

/// The system's sound library has its say on standard error; we say it ourselves.
fn quietly<T>(work: impl FnOnce() -> T) -> T {
    errors::send_to_log(None);
    let done = work();
    errors::give_back();
    done
}

fn cannot_keep(path: Option<&PathBuf>, error: &std::io::Error) -> Trouble {
    let path = path.map(|path| path.display().to_string()).unwrap_or_default();
    Trouble::with(path, format!("the history cannot be kept there: {error}"))
}

/// Seconds since 1970.
fn now() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |now| now.as_secs())
}

/// A seed that nobody knows.
fn seed() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |now| now.as_nanos() as u64)
}

/// The sitting, its sound and its history.
struct Room<'f> {
    sitting: Sitting,
    speaker: Speaker,
    file: &'f mut HistoryFile,
    trouble: Option<String>,
}

impl Room<'_> {
    /// Plays and writes what came of something; whether the sitting goes on.
    fn take(&mut self, done: Done) -> bool {
        if let Some(play) = &done.play {
            self.speaker.play(&play.sounds, play.softer);
        }
        if let Some(wrote) = &done.wrote {
            self.keep(wrote);
        }
        !done.over
    }

    fn keep(&mut self, answered: &Answered) {
        if let Err(error) = self.file.append(answered) {
            self.trouble = Some(format!("an answer could not be kept: {error}"));
        }
    }
}

impl Practice for Room<'_> {
    fn page(&self) -> Poster {
        let page = self.sitting.page();
        let trouble = if self.speaker.has_failed() {
            Some("the sound device has failed; q leaves, and `stage.log` has its words")
        } else {
            self.trouble.as_deref()
        };
        Poster {
            heading: page.heading,
            news: page.news,
            options: page.options,
            chosen: page.chosen,
            note: trouble.map_or(page.note, String::from),
        }
    }

    fn hear(&mut self, asked: Asked) -> bool {
        let ask = match asked {
            Asked::Step => Ask::Step,
            Asked::Go => Ask::Go,
            Asked::Option(option) => Ask::Option(option),
            Asked::Again => Ask::Again,
        };
        let done = self.sitting.hear(ask, now());
        self.take(done)
    }
}
