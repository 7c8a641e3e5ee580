//! A show that is played and killed, beside a sequencer that says where it should stand.

use crate::Dice;
use crate::terminal::{Pedal, Terminal};
use footlights::plan::{Planned, solve};
use footlights::screen::title;
use footlights::sequencer::{Action, Line, Sequencer, cue};
use footlights::setlist;
use rustix::fs::{Mode, OFlags};
use serde_json::Value;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_footlights");
const SET: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/setlists/harvest-evening.yaml");
/// Switches that act at the press, each as soon as it comes.
const ACTIONS: [&str; 8] = ["next", "back", "again", "peek", "lock", "key-up", "key-down", "undo"];
/// How often each is pressed, of 16: most presses go on.
const PRESSED: [usize; 16] = [0, 0, 0, 0, 0, 0, 0, 1, 2, 2, 3, 4, 4, 5, 6, 7];
const FIRST_CC: u8 = 80;
/// Nothing takes this long; it has failed.
const TOO_LONG: Duration = Duration::from_secs(20);

pub(crate) struct Show {
    planned: Planned,
    folder: TempDir,
    terminal: Terminal,
    pedal: Pedal,
    /// Where the show stood when it was started last.
    start: Sequencer,
    /// What was pressed since, and when.
    pressed: Vec<(Action, Instant)>,
    /// Lines of the journal that tell of accepted actions, before the last start.
    told: usize,
}

/// What a kill did.
pub(crate) struct Killed {
    pub(crate) presses: usize,
    /// Presses that no line tells of.
    pub(crate) lost: usize,
    /// How long before the kill the first of them was.
    pub(crate) oldest_lost: Option<Duration>,
}

impl Show {
    pub(crate) fn open() -> Show {
        let folder = tempfile::tempdir().expect("a folder");
        let switches = ACTIONS
            .iter()
            .zip(FIRST_CC..)
            .map(|(action, cc)| format!("    - {{ cc: {cc}, do: {action} }}\n"));
        let player = format!(
            "pedals:\n  debounce_ms: 0\n  switches:\n{}",
            switches.collect::<String>()
        );
        let player_file = folder.path().join("player.yaml");
        fs::write(&player_file, player).expect("a file can be written");
        let set = setlist::read(Path::new(SET), Some(&player_file))
            .expect("the demo set is good")
            .set;
        let plan = solve(&set).expect("the demo set has a plan");
        let planned = Planned { set, plan };
        let pedal = Pedal::new(folder.path()).expect("a named pipe can be made");
        let terminal = start(&folder, &pedal);
        let mut show = Show {
            start: Sequencer::open(&planned),
            planned,
            folder,
            terminal,
            pedal,
            pressed: Vec::new(),
            told: 0,
        };
        show.until_it_stands_at(&Sequencer::open(&show.planned));
        show
    }

    /// Presses at random moments, for up to 150 ms. What the start before has not read yet waits in the pipe.
    pub(crate) fn play(&mut self, dice: &mut Dice) {
        let end = Instant::now() + Duration::from_micros(dice.below(150_000));
        while Instant::now() < end {
            let place = PRESSED[dice.below(PRESSED.len() as u64) as usize];
            let cc = FIRST_CC + place as u8;
            let action = Action::parse(ACTIONS[place]).expect("an action");
            self.pressed.push((action, Instant::now()));
            self.pedal
                .send(&[0xB0, cc, 127, 0xB0, cc, 0])
                .expect("the pipe is open");
            self.read(Duration::from_micros(dice.below(20_000)));
        }
    }

    /// kill -9, and what stands when it was started again.
    pub(crate) fn kill_and_come_back(&mut self, dice: &mut Dice) -> Killed {
        let killed_at = Instant::now();
        self.terminal.kill();
        // What it had not read when it died is not for the next one.
        drain(self.pedal.path());
        let told = self.journal().iter().filter(|line| is_told(line)).count() - self.told;
        let (stands, taken) = self.after(told);
        let lost = &self.pressed[taken..];
        let accepted = lost.iter().map(|(_, at)| killed_at.saturating_duration_since(*at));
        let killed = Killed {
            presses: self.pressed.len(),
            lost: lost.len(),
            oldest_lost: accepted.max(),
        };
        self.told += told;
        self.pressed.clear();
        self.terminal = start(&self.folder, &self.pedal);
        // Now and then it dies while it comes back.
        while dice.below(4) == 0 {
            self.read(Duration::from_micros(dice.below(20_000)));
            self.terminal.kill();
            self.terminal = start(&self.folder, &self.pedal);
        }
        self.until_it_stands_at(&stands);
        self.start = stands;
        killed
    }

    /// The sequencer after so many accepted actions, and how many presses that took: those refused at the end count as
    /// taken too, for they change nothing.
    fn after(&self, accepted: usize) -> (Sequencer, usize) {
        let (mut sequencer, mut count, mut taken) = (self.start.clone(), 0, 0);
        for (action, _) in &self.pressed {
            let mut next = sequencer.clone();
            if next.apply(&self.planned, action).is_ok() {
                if count == accepted {
                    break;
                }
                count += 1;
            }
            sequencer = next;
            taken += 1;
        }
        assert_eq!(count, accepted, "the journal tells of more than was pressed");
        (sequencer, taken)
    }

    /// Until the terminal's title and the line that the journal opens with are those of this page.
    fn until_it_stands_at(&mut self, sequencer: &Sequencer) {
        let wanted = title(&cue(&self.planned, sequencer.state()));
        let (begun, mut seen) = (Instant::now(), Vec::new());
        let shown = |seen: &[u8]| {
            let text = String::from_utf8_lossy(seen);
            text.rsplit_once("\x1b]2;")
                .and_then(|(_, rest)| rest.split_once('\x07').map(|(title, _)| title.to_owned()))
        };
        while shown(&seen).is_none() {
            assert!(begun.elapsed() < TOO_LONG, "no page");
            seen.extend(self.read(Duration::from_millis(20)));
        }
        assert_eq!(shown(&seen).as_deref(), Some(&*wanted), "the wrong page");
        let line = serde_json::to_value(Line::new(&self.planned, sequencer.state())).expect("a line");
        loop {
            assert!(begun.elapsed() < TOO_LONG, "no line of the opening");
            self.read(Duration::from_millis(1));
            let journal = self.journal();
            // The line after the header that this very process has written.
            let ours = journal.iter().skip_while(|line| line["pid"] != self.terminal.pid());
            if let Some(opened) = ours.skip(1).find(|line| line["did"] == "open") {
                for (name, value) in line.as_object().expect("an object") {
                    assert_eq!(&opened[name], value, "`{name}` of the page");
                }
                return;
            }
        }
    }

    /// The whole lines of the one journal; none before it is made.
    fn journal(&self) -> Vec<Value> {
        let path = self.folder.path().join("footlights/journal");
        let files = |path: PathBuf| {
            fs::read_dir(path)
                .into_iter()
                .flatten()
                .flatten()
                .map(|entry| entry.path())
        };
        let found: Vec<PathBuf> = files(path).flat_map(files).collect();
        assert!(found.len() < 2, "{found:?}");
        let text = found
            .first()
            .map(|file| fs::read_to_string(file).expect("a journal"))
            .unwrap_or_default();
        text.lines()
            .filter_map(|line| serde_json::from_str(line).ok())
            .collect()
    }

    fn read(&mut self, wait: Duration) -> Vec<u8> {
        let mut bytes = vec![0; 1 << 16];
        let count = self.terminal.read(&mut bytes, wait).expect("a terminal can be read");
        bytes.truncate(count);
        bytes
    }
}

/// Takes away what nobody has read.
fn drain(pipe: &OsStr) {
    let how = OFlags::RDWR | OFlags::NONBLOCK | OFlags::CLOEXEC;
    let pipe = rustix::fs::open(pipe, how, Mode::empty()).expect("a pipe");
    while rustix::io::read(&pipe, &mut [0; 4096]).is_ok_and(|count| count > 0) {}
}

fn is_told(line: &Value) -> bool {
    line.get("did").is_some_and(|did| did != "open")
}

fn start(folder: &TempDir, pedal: &Pedal) -> Terminal {
    let player = folder.path().join("player.yaml");
    let args: [&OsStr; 6] = [
        "stage".as_ref(),
        SET.as_ref(),
        "--player".as_ref(),
        player.as_ref(),
        "--raw-midi".as_ref(),
        pedal.path(),
    ];
    Terminal::start(PROGRAM.as_ref(), &args, folder.path(), (80, 24)).expect("the stage starts")
}
