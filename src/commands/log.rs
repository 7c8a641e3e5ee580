//! `log`: past shows, how long each song and section really took, and how long the set has them.

use super::stage::state_folder;
use super::{Outcome, Status, Trouble};
use crate::screen::steers;
use crate::show::{Past, PlayedSection, PlayedSong, past_shows};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::io::{self, Write};

#[derive(clap::Args)]
pub(crate) struct Args {
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
    /// No more shows than this, the newest first; 0 for all
    #[arg(long, value_name = "N", default_value_t = 0)]
    limit: usize,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let Some(folder) = state_folder() else {
        let why = "there is no state folder: neither XDG_STATE_HOME nor HOME is the path of a folder";
        return Err(Trouble::said(why));
    };
    let mut shows = past_shows(&folder)
        .map_err(|error| Trouble::said(format!("the journals in {} cannot be read: {error}", folder.display())))?;
    if args.limit > 0 {
        shows.truncate(args.limit);
    }
    if args.json {
        serde_json::to_writer(&mut *out, &shows).map_err(io::Error::from)?;
        writeln!(out)?;
    } else if shows.is_empty() {
        writeln!(
            out,
            "no show yet: `footlights stage SET` plays one, and it is told of here"
        )?;
    } else {
        for (place, show) in shows.iter().enumerate() {
            if place > 0 {
                writeln!(out)?;
            }
            tell(out, show)?;
        }
    }
    Ok(Status::Fine)
}

/// A show in words, each time beside that of the set.
fn tell(out: &mut impl Write, show: &Past) -> io::Result<()> {
    let at = show.at.parse::<Timestamp>().unwrap_or_default();
    let at = TimeZone::system().to_datetime(at);
    let ending = if show.over { "to its end" } else { "not to its end" };
    let at = at.strftime("%Y-%m-%d %H:%M");
    writeln!(out, "{at}  {}, {}, {ending}", plain(&show.set), length(show.s))?;
    for song in &show.songs {
        tell_song(out, song)?;
    }
    Ok(())
}

fn tell_song(out: &mut impl Write, song: &PlayedSong) -> io::Result<()> {
    let title = format!("{:>3}  {}", song.song, plain(&song.title));
    if song.sections.is_empty() {
        return writeln!(out, "{title:<36} on its gap page {}", length(song.gap_s));
    }
    write!(out, "{title:<36} {}", beside(song.s, song.planned_s))?;
    if song.gap_s >= 0.5 {
        write!(out, ", gap {}", length(song.gap_s))?;
    }
    writeln!(out)?;
    for section in &song.sections {
        let PlayedSection {
            section: name,
            times,
            s,
            planned_s,
            ..
        } = section;
        let times = if *times > 1 {
            format!(" x{times}")
        } else {
            String::new()
        };
        let name = format!("       {}{times}", plain(name));
        writeln!(out, "{name:<36} {}", beside(*s, *planned_s))?;
    }
    Ok(())
}

/// `1:04, in the set 1:00 (+0:04)`.
fn beside(s: f64, planned_s: Option<f64>) -> String {
    let Some(planned_s) = planned_s else { return length(s) };
    let more = s.round() - planned_s.round();
    let sign = if more < 0.0 { '-' } else { '+' };
    let difference = match more {
        0.0 => "as in the set".to_owned(),
        more => format!("in the set {} ({sign}{})", length(planned_s), length(more.abs())),
    };
    format!("{}, {difference}", length(s))
}

/// Minutes and seconds, and hours where there are any.
fn length(s: f64) -> String {
    let s = s.round() as u64;
    match (s / 3600, s / 60 % 60, s % 60) {
        (0, minutes, s) => format!("{minutes}:{s:02}"),
        (hours, minutes, s) => format!("{hours}:{minutes:02}:{s:02}"),
    }
}

/// A journal is a file like any other: nothing in it steers the terminal.
fn plain(text: &str) -> String {
    text.chars().filter(|&letter| !steers(letter)).take(LONGEST).collect()
}

/// The longest title that is printed, in characters.
const LONGEST: usize = 80;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_minutes_and_seconds_beside_those_of_the_set() {
        for (s, planned_s, words) in [
            (64.2, Some(60.0), "1:04, in the set 1:00 (+0:04)"),
            (58.0, Some(61.4), "0:58, in the set 1:01 (-0:03)"),
            (60.4, Some(60.0), "1:00, as in the set"),
            (3725.0, None, "1:02:05"),
        ] {
            assert_eq!(beside(s, planned_s), words, "{s} {planned_s:?}");
        }
    }

    #[test]
    fn a_song_without_sections_has_no_length_to_be_beside() {
        let song = PlayedSong {
            song: 2,
            title: "Reeds".into(),
            gap_s: 83.0,
            planned_s: None,
            ..PlayedSong::default()
        };
        let mut out = Vec::new();
        tell_song(&mut out, &song).unwrap();
        let told = String::from_utf8(out).unwrap();
        assert_eq!(
            told.split_whitespace().collect::<Vec<_>>().join(" "),
            "2 Reeds on its gap page 1:23"
        );
    }

    #[test]
    fn nothing_in_a_journal_steers_the_terminal() {
        assert_eq!(plain("Lan\u{1b}[2Jterns\u{7}\u{202e}"), "Lan[2Jterns");
    }
}
