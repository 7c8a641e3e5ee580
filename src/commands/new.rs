//! `new`: a set file to start from, one made from a leader's list, or a player file.

use super::load::usual_player;
use super::replace::{self, place};
use super::{Outcome, Status, Trouble};
use crate::setlist::{ListRemark, SetDraft, because, read_list, starter_player, starter_set};
use std::fs::File;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The file to write; one that is there already is never touched
    #[arg(required_unless_present = "player_file")]
    file: Option<PathBuf>,
    /// A list of songs, one a line: a title, a key and, if given, a tempo and a meter; `-` reads standard input
    #[arg(long, value_name = "LIST")]
    from: Option<PathBuf>,
    /// A player file to start from, not a set; without FILE where it is looked for
    #[arg(long, conflicts_with = "from")]
    player_file: bool,
}

/// A list is a page or two; a longer file is not one.
const MOST_BYTES: u64 = 1 << 20;

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let usual = || args.player_file.then(usual_player).flatten();
    let Some(file) = args.file.clone().or_else(usual) else {
        let why = "neither HOME nor XDG_CONFIG_HOME says where a player's file belongs";
        return Err(Trouble::said(why).hint("Name a FILE."));
    };
    if std::fs::symlink_metadata(&file).is_ok() {
        let hint = match &args.file {
            Some(_) => "Give a name that is free.",
            None => "It is your player file; an editor changes it.",
        };
        return Err(is_there(&file, hint));
    }
    if args.player_file {
        return new_player(&file, args.file.is_none(), out);
    }
    new_set(&file, args.from.as_deref(), out)
}

fn new_player(file: &Path, is_usual: bool, out: &mut impl Write) -> Outcome {
    if is_usual && let Some(folder) = file.parent() {
        std::fs::create_dir_all(folder)
            .map_err(|error| Trouble::with(folder.display(), format!("cannot be made: {error}")))?;
    }
    write(file, starter_player())?;
    writeln!(
        out,
        "{}: a player file with what is usual, to make yours",
        file.display()
    )?;
    let named = if is_usual {
        String::new()
    } else {
        format!(" --player {}", file.display())
    };
    writeln!(out, "next: footlights pedal learn{named}")?;
    Ok(Status::Fine)
}

fn new_set(file: &Path, from: Option<&Path>, out: &mut impl Write) -> Outcome {
    let name = file
        .file_stem()
        .map(|name| name.to_string_lossy().replace(['-', '_'], " "));
    let name = name.unwrap_or_default();
    let Some(from) = from else {
        write(file, &starter_set(&name))?;
        writeln!(
            out,
            "{}: a set with two songs to put your own in the place of",
            file.display()
        )?;
        next_steps(out, file)?;
        return Ok(Status::Fine);
    };
    let bytes = read(from)?;
    let Some(list) = read_list(&bytes, &name) else {
        let hint =
            "One song a line: a title, a key and, if you like, a tempo and a meter, like `Seven Lamps - F#m - 126`.";
        return Err(Trouble::with(called(from), "there is no song in it").hint(hint));
    };
    write(file, &list.set.text())?;
    tell(from, &list.remarks)?;
    writeln!(out, "{}: {}", file.display(), counted(&list.set))?;
    next_steps(out, file)?;
    Ok(Status::Fine)
}

fn read(from: &Path) -> Result<Vec<u8>, Trouble> {
    let mut bytes = Vec::new();
    let read = if from == Path::new("-") {
        io::stdin().lock().take(MOST_BYTES + 1).read_to_end(&mut bytes)
    } else {
        File::open(from).and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes))
    };
    match read {
        Err(error) => Err(Trouble::with(called(from), because(&error))),
        Ok(count) if count as u64 > MOST_BYTES => {
            Err(Trouble::with(called(from), "this is longer than any list of songs"))
        }
        Ok(_) => Ok(bytes),
    }
}

fn called(from: &Path) -> String {
    match from == Path::new("-") {
        true => "standard input".into(),
        false => from.display().to_string(),
    }
}

fn write(file: &Path, text: &str) -> Result<(), Trouble> {
    place(file, text.as_bytes()).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => is_there(file, "Give a name that is free."),
        _ => Trouble::with(file.display(), replace::because(&error)),
    })
}

fn is_there(file: &Path, hint: &str) -> Trouble {
    let why = "there is something of this name already, which is left as it is";
    Trouble::with(file.display(), why).hint(hint)
}

/// What the list said and the set does not, on standard error, line by line.
fn tell(from: &Path, remarks: &[ListRemark]) -> io::Result<()> {
    let name = called(from);
    let mut errors = io::stderr().lock();
    remarks
        .iter()
        .try_for_each(|remark| writeln!(errors, "{name}:{}: warning: {}", remark.line, remark.words))
}

fn counted(set: &SetDraft) -> String {
    let unknown = set.songs.iter().filter(|song| song.key.is_none()).count();
    let songs = match set.songs.len() {
        1 => "1 song".into(),
        count => format!("{count} songs"),
    };
    match unknown {
        0 => songs,
        1 => format!("{songs}, 1 of them without its key"),
        _ => format!("{songs}, {unknown} of them without their keys"),
    }
}

fn next_steps(out: &mut impl Write, file: &Path) -> io::Result<()> {
    let name = file.display();
    writeln!(out, "next: footlights check {name}")?;
    writeln!(out, "      footlights plan {name}")?;
    writeln!(out, "      footlights stage {name}")
}
