//! Past shows, out of their journals: what was played, and how long each song and section really took.

#![allow(clippy::disallowed_methods, reason = "an outer room: it reads journals")]

use crate::show::journal::journals;
use crate::show::journal::line::{Header, Read, SongHeader, Told, WHOLE, begun_at, read};
use serde::Serialize;
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader};
use std::path::{Path, PathBuf};

/// A show as it was played.
#[derive(Debug, Default, PartialEq, Serialize)]
pub(crate) struct Past {
    /// When it was opened, in UTC.
    pub(crate) at: String,
    pub(crate) set: String,
    /// The set file.
    pub(crate) path: String,
    /// Whether it was played to its end page and left there.
    pub(crate) over: bool,
    /// Seconds that it ran, what it lay dead left out.
    pub(crate) s: f64,
    /// In the order played; a song gone back to comes again.
    pub(crate) songs: Vec<PlayedSong>,
}

#[derive(Debug, Default, PartialEq, Serialize)]
pub(crate) struct PlayedSong {
    /// From 1.
    pub(crate) song: usize,
    pub(crate) title: String,
    /// Seconds on its gap page.
    pub(crate) gap_s: f64,
    /// Seconds on its section pages.
    pub(crate) s: f64,
    /// Seconds of all its steps by the set, where all are known.
    pub(crate) planned_s: Option<f64>,
    pub(crate) sections: Vec<PlayedSection>,
}

#[derive(Debug, Default, PartialEq, Serialize)]
pub(crate) struct PlayedSection {
    /// From 1.
    pub(crate) step: usize,
    pub(crate) section: String,
    pub(crate) times: u32,
    pub(crate) s: f64,
    /// Seconds by the set, as often as it was played, where they are known.
    pub(crate) planned_s: Option<f64>,
}

/// All shows in which anything was done, newest first.
///
/// # Errors
/// Where the folder of the journals is there but cannot be read.
pub(crate) fn past_shows(state_folder: &Path) -> io::Result<Vec<Past>> {
    let folders = match fs::read_dir(journals(state_folder)) {
        Ok(folders) => folders,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(error),
    };
    let mut shows = Vec::new();
    for folder in folders {
        let files = fs::read_dir(folder?.path()).into_iter().flatten().flatten();
        let journals = files.filter(|file| file.file_name().to_str().and_then(begun_at).is_some());
        shows.extend(journals.filter_map(|file| read_show(&file.path())));
    }
    shows.sort_by(|a, b| b.at.cmp(&a.at));
    Ok(shows)
}

/// A journal that cannot be read, or tells of nothing, is no show.
fn read_show(path: &PathBuf) -> Option<Past> {
    let mut lines = BufReader::new(File::open(path).ok()?);
    let mut reader = Reader::default();
    let mut line = Vec::new();
    while lines.read_until(b'\n', &mut line).ok()? > 0 {
        reader.line(&String::from_utf8_lossy(&line));
        line.clear();
    }
    reader.acted.then_some(reader.past)
}

/// Adds up a show, line by line.
#[derive(Default)]
struct Reader {
    past: Past,
    /// The set as it was planned when the last header was written.
    songs: Vec<SongHeader>,
    /// Where the show stands, and since when.
    stands: Option<Told>,
    acted: bool,
}

impl Reader {
    fn line(&mut self, line: &str) {
        if line.starts_with(WHOLE) {
            return;
        }
        match read(line) {
            Some(Read::Header(header)) => self.header(header),
            Some(Read::Told(told)) => {
                self.pass(told.ms);
                self.acted |= told.did != "open";
                self.stand(told);
            }
            Some(Read::Closing { ms, over }) => {
                self.pass(ms);
                self.stands = None;
                self.past.over = over;
            }
            Some(Read::Whole(_)) | None => {}
        }
    }

    fn header(&mut self, header: Header) {
        if self.past.path.is_empty() {
            self.past.at = header.at;
            self.past.path = header.path;
            self.past.set = header.set;
        }
        self.past.over = false;
        self.songs = header.songs;
    }

    /// The page stood until `ms`. Where that is earlier another run of the program has begun, and nobody knows how
    /// long the page stood in the one before.
    fn pass(&mut self, ms: f64) {
        let Some(stands) = &self.stands else { return };
        let s = (ms - stands.ms) / 1000.0;
        if s < 0.0 {
            return;
        }
        self.past.s += s;
        let Some(song) = self.past.songs.last_mut().filter(|_| stands.page.page != "end") else {
            return;
        };
        // A look ahead is a look from where one stands.
        let looks = stands.page.page == "peek";
        match song.sections.last_mut() {
            Some(section) if stands.page.page == "section" || looks => {
                section.s += s;
                song.s += s;
            }
            Some(_) | None => song.gap_s += s,
        }
    }

    fn stand(&mut self, told: Told) {
        let before = self.stands.take().map(|told| told.page);
        let page = &told.page;
        match &*page.page {
            "gap" | "section" => {
                let here = self.past.songs.last().is_some_and(|song| song.song == page.song);
                if !here || before.as_ref().is_some_and(|before| before.page == "end") {
                    self.past.songs.push(PlayedSong {
                        song: page.song,
                        title: page.title.clone().unwrap_or_default(),
                        planned_s: planned(&self.songs, page.song),
                        ..PlayedSong::default()
                    });
                }
            }
            _ => {}
        }
        if let (Some(song), Some(name)) = (self.past.songs.last_mut(), &page.section) {
            let looked = before.as_ref().is_some_and(|before| before.page == "peek");
            let stays = looked || before.is_some_and(|before| before.song == page.song && before.step == page.step);
            match song.sections.last_mut() {
                Some(section) if stays && section.step == page.step => section.times = section.times.max(page.times),
                _ => song.sections.push(PlayedSection {
                    step: page.step,
                    section: name.clone(),
                    times: page.times,
                    ..PlayedSection::default()
                }),
            }
            if let Some(section) = song.sections.last_mut() {
                let once = step(&self.songs, page.song, page.step);
                section.planned_s = once.map(|s| s * f64::from(section.times));
            }
        }
        self.stands = Some(told);
    }
}

fn planned(songs: &[SongHeader], song: usize) -> Option<f64> {
    let song = songs.get(song.checked_sub(1)?)?;
    // A song without sections has no length to be beside.
    let told = song.steps.iter().map(|step| step.s).sum();
    if song.steps.is_empty() { None } else { told }
}

fn step(songs: &[SongHeader], song: usize, step: usize) -> Option<f64> {
    songs.get(song.checked_sub(1)?)?.steps.get(step.checked_sub(1)?)?.s
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A header, then lines of a moment in seconds and a page: `1` a gap page, `1.2` a step, `1.2x2` it again, `p` a
    /// peek, `end`, `close` and `over`.
    fn show(lines: &str) -> Past {
        let mut reader = Reader::default();
        let header = r#"{"journal":1,"at":"2026-11-25T18:00:00.000Z","version":"0","pid":1,"path":"/s.yaml","identity":"","set":"Evening","songs":[{"title":"One","steps":[{"section":"Verse","s":20.0},{"section":"Chorus","s":10.0}]},{"title":"Two","steps":[{"section":"Verse","s":null}]}]}"#;
        reader.line(header);
        for line in lines.split(' ') {
            let (s, page) = line.split_once(':').unwrap();
            let ms = s.parse::<f64>().unwrap() * 1000.0;
            let told = |page: &str, song: usize, step: usize, times: u32| {
                let title = ["", "One", "Two"][song];
                let section = ["null", "\"Verse\"", "\"Chorus\""][step];
                format!(
                    r#"{{"ms":{ms},"did":"next","by":"key","page":"{page}","song":{song},"title":"{title}","step":{step},"of":2,"section":{section},"times":{times},"key":"C","fret":0,"shapes":"C","technique":null,"pickup":null,"move":0,"locked":false,"at":"2026-11-25T18:00:01Z"}}"#
                )
            };
            let number = |text: &str| text.parse::<usize>().unwrap();
            let line = match page {
                "header" => header.to_owned(),
                "close" | "over" => format!(r#"{{"over":{},"ms":{ms},"at":"2026-11-25T18:00:01Z"}}"#, page == "over"),
                "end" => told("end", 0, 0, 0),
                "torn" => told("gap", 1, 0, 0)[..40].to_owned(),
                page if page.starts_with('p') => told("peek", number(&page[1..]), 0, 0),
                page => match page.split_once('.') {
                    None => told("gap", number(page), 0, 0),
                    Some((song, step)) => {
                        let (step, times) = step.split_once('x').unwrap_or((step, "1"));
                        told("section", number(song), number(step), number(times) as u32)
                    }
                },
            };
            reader.line(&line);
        }
        reader.past
    }

    /// `One gap 5: Verse 20/20 x1, Chorus 12/10 x1` for each song.
    fn told(past: &Past) -> String {
        let section = |section: &PlayedSection| {
            let planned = section.planned_s.map_or("?".into(), |s| s.to_string());
            format!("{} {}/{planned} x{}", section.section, section.s, section.times)
        };
        let song = |song: &PlayedSong| {
            let sections: Vec<String> = song.sections.iter().map(section).collect();
            format!("{} gap {}: {}", song.title, song.gap_s, sections.join(", "))
        };
        past.songs.iter().map(song).collect::<Vec<_>>().join("; ")
    }

    #[test]
    fn each_song_and_section_took_as_long_as_its_pages_stood() {
        for (lines, wanted, s) in [
            (
                "0:1 5:1.1 25:1.2 37:2 40:2.1 50:end 60:over",
                "One gap 5: Verse 20/20 x1, Chorus 12/10 x1; Two gap 3: Verse 10/? x1",
                60.0,
            ),
            (
                "0:1 5:1.1 25:1.1x2 45:1.2 50:close",
                "One gap 5: Verse 40/40 x2, Chorus 5/10 x1",
                50.0,
            ),
            // A look ahead is part of where one stands, and going back begins a section anew.
            (
                "0:1 5:1.1 10:p2 20:1.1 30:1.2 31:1.1 40:close",
                "One gap 5: Verse 25/20 x1, Chorus 1/10 x1, Verse 9/20 x1",
                40.0,
            ),
            ("0:1 1:p2 4:1 6:1.1 9:close", "One gap 6: Verse 3/20 x1", 9.0),
            // What stood when the program died is not known; nothing is taken from what comes after.
            (
                "0:1 5:1.1 15:1.2 0:header 0:1.2 7:2 9:close",
                "One gap 5: Verse 10/20 x1, Chorus 7/10 x1; Two gap 2: ",
                24.0,
            ),
            ("0:1 2:torn 5:1.1 6:close", "One gap 5: Verse 1/20 x1", 6.0),
        ] {
            let past = show(lines);
            assert_eq!((told(&past).as_str(), past.s), (wanted, s), "{lines}");
        }
    }

    #[test]
    fn a_song_is_measured_against_its_whole_order_where_that_is_known() {
        let past = show("0:1 5:1.1 25:2 30:2.1 31:over");
        let planned: Vec<Option<f64>> = past.songs.iter().map(|song| song.planned_s).collect();
        assert_eq!((planned, past.over), (vec![Some(30.0), None], true));
        assert!(!show("0:1 5:1.1 25:close").over);
    }
}
