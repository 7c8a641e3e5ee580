//! A stage that a test can play: it presses, types, and reads the screen as a terminal would show it.

use crate::terminal::{Cells, Pedal, Running, Terminal};
use std::ffi::{OsStr, OsString};
use std::fs;
use std::num::NonZeroU16;
use std::path::Path;
use std::process::ExitStatus;
use std::rc::Rc;
use std::thread;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use vt100::{Callbacks, Parser, Screen};

const PROGRAM: &str = env!("CARGO_BIN_EXE_footlights");
/// However slow the machine, what is waited for has come by then.
const PATIENCE: Duration = Duration::from_secs(30);
/// When nothing has come for this long, nothing more is on its way.
const QUIET: Duration = Duration::from_millis(250);

pub(crate) struct Show {
    terminal: Terminal,
    pedal: Option<Pedal>,
    screen: Parser<Title>,
    folder: Rc<TempDir>,
}

/// What the window's title says.
#[derive(Default)]
struct Title(String);

impl Callbacks for Title {
    fn set_window_title(&mut self, _: &mut Screen, title: &[u8]) {
        self.0 = String::from_utf8_lossy(title).into_owned();
    }
}

impl Show {
    /// The demo set with its player, in a folder of its own where it may be changed.
    pub(crate) fn open(cells: Cells) -> Show {
        Show::open_with(cells, |player| player)
    }

    /// The demo set, its player file changed.
    pub(crate) fn open_with(cells: Cells, change: impl FnOnce(String) -> String) -> Show {
        let folder = tempfile::tempdir().unwrap();
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists");
        fs::create_dir(folder.path().join("songs")).unwrap();
        for file in ["harvest-evening.yaml", "songs/ferry-in-the-fog.yaml"] {
            fs::copy(from.join(file), folder.path().join(file)).unwrap();
        }
        let player = fs::read_to_string(from.join("player.yaml")).unwrap();
        fs::write(folder.path().join("player.yaml"), change(player)).unwrap();
        let mut show = Show::start("stage", Rc::new(folder), cells, &[]);
        show.until_title("Capo 3, G shapes: Lanterns at Millpond");
        show
    }

    /// The practice of the same set, with the same player, pedal and state folder.
    pub(crate) fn practice(&self) -> Show {
        let (rows, columns) = self.screen.screen().size();
        Show::start("rehearse", Rc::clone(&self.folder), (columns.get(), rows.get()), &[])
    }

    /// The same as a job of a shell, which then does what the script says; in it `$@` is the program.
    pub(crate) fn in_a_shell(&self, script: &str) -> Show {
        let (rows, columns) = self.screen.screen().size();
        let shell = ["sh", "-c", &format!("set -m; {script}"), "sh", PROGRAM].map(OsString::from);
        Show::start_as(
            &shell,
            "stage",
            Rc::clone(&self.folder),
            (columns.get(), rows.get()),
            &["--fresh"],
        )
    }

    /// A command about the pedal, which listens to it.
    pub(crate) fn pedal_command(command: &str, cells: Cells) -> Show {
        let folder = Rc::new(tempfile::tempdir().unwrap());
        let pedal = Pedal::new(folder.path()).unwrap();
        let args = ["pedal", command, "--raw-midi"].map(OsString::from);
        let args: Vec<OsString> = args.into_iter().chain([pedal.path().into()]).collect();
        Show::on_a_terminal(PROGRAM.as_ref(), &args, folder, pedal, cells)
    }

    /// Starts the program on what the folder holds.
    fn start(command: &str, folder: Rc<TempDir>, cells: Cells, more: &[&str]) -> Show {
        Show::start_as(&[PROGRAM.into()], command, folder, cells, more)
    }

    fn start_as(program: &[OsString], command: &str, folder: Rc<TempDir>, cells: Cells, more: &[&str]) -> Show {
        let pedal = Pedal::new(folder.path()).unwrap();
        let args: [OsString; 6] = [
            command.into(),
            folder.path().join("harvest-evening.yaml").into(),
            "--player".into(),
            folder.path().join("player.yaml").into(),
            "--raw-midi".into(),
            pedal.path().into(),
        ];
        let args = program[1..].iter().cloned().chain(args);
        let args: Vec<OsString> = args.chain(more.iter().map(OsString::from)).collect();
        Show::on_a_terminal(&program[0], &args, folder, pedal, cells)
    }

    fn on_a_terminal(program: &OsStr, args: &[OsString], folder: Rc<TempDir>, pedal: Pedal, cells: Cells) -> Show {
        let terminal = Terminal::start(program, args, folder.path(), cells).unwrap();
        let (columns, rows) = cells;
        let screen = Parser::new_with_callbacks(positive(rows), positive(columns), 0, Title::default());
        Show {
            terminal,
            pedal: Some(pedal),
            screen,
            folder,
        }
    }

    /// Another show of the same set, on a terminal of its own, while this one may run on.
    pub(crate) fn another(&self, more: &[&str]) -> Show {
        let (rows, columns) = self.screen.screen().size();
        Show::start("stage", Rc::clone(&self.folder), (columns.get(), rows.get()), more)
    }

    /// Kills the program as nothing can be guarded against, and starts it again.
    pub(crate) fn kill_and_start_again(&mut self, more: &[&str]) {
        self.terminal.kill();
        *self = self.another(more);
    }

    /// What the command says without a terminal, about the same set and player.
    pub(crate) fn asked(&self, command: &[&str]) -> std::process::Output {
        let home = self.folder.path();
        let mut asked = std::process::Command::new(PROGRAM);
        asked.args(command).arg(home.join("harvest-evening.yaml"));
        asked.arg("--player").arg(home.join("player.yaml"));
        for name in ["HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"] {
            asked.env(name, home);
        }
        asked.env("LC_ALL", "C.UTF-8").output().unwrap()
    }

    /// What all journals hold, one after the other.
    pub(crate) fn journals(&self) -> Vec<String> {
        let folders = fs::read_dir(self.folder.path().join("footlights/journal"));
        let folders = folders.into_iter().flatten().map(|entry| entry.unwrap().path());
        let files = folders.flat_map(|folder| fs::read_dir(folder).unwrap());
        let mut files: Vec<_> = files.map(|entry| entry.unwrap().path()).collect();
        files.sort();
        files.iter().map(|file| fs::read_to_string(file).unwrap()).collect()
    }

    /// Until so many lines tell of a page, openings included, and no write is half done.
    #[track_caller]
    pub(crate) fn until_journal_has(&mut self, pages: usize) {
        self.until(&format!("{pages} lines in the journal"), |show| {
            let all = show.journals().concat();
            all.ends_with('\n') && all.matches("\"did\":").count() == pages
        });
    }

    /// A short press of a momentary switch that has done its bouncing, as a foot makes it.
    pub(crate) fn tap(&mut self, cc: u8) {
        self.send(&[0xB0, cc, 127]);
        self.send(&[0xB0, cc, 0]);
    }

    /// Bytes from the pedal, in one write.
    pub(crate) fn send(&mut self, bytes: &[u8]) {
        self.pedal
            .as_mut()
            .expect("the pedal is plugged in")
            .send(bytes)
            .unwrap();
    }

    pub(crate) fn unplug(&mut self) {
        self.pedal = None;
    }

    pub(crate) fn plug_in(&mut self) {
        self.pedal = Some(Pedal::new(self.folder.path()).unwrap());
    }

    pub(crate) fn type_keys(&mut self, keys: &str) {
        self.terminal.write(keys.as_bytes()).unwrap();
    }

    /// What another program writes on the terminal.
    pub(crate) fn write_over(&mut self, text: &str) {
        self.screen.process(text.as_bytes());
    }

    pub(crate) fn signal(&self, signal: &str) {
        let pid = self.terminal.pid().to_string();
        let status = std::process::Command::new("sh")
            .args(["-c", &format!("kill -{signal} {pid}")])
            .status();
        assert!(status.unwrap().success(), "kill -{signal}");
    }

    /// Both the terminal and the emulator that reads it.
    pub(crate) fn resize(&mut self, cells: Cells) {
        self.settle();
        self.screen.set_size(positive(cells.1), positive(cells.0));
        self.terminal.resize(cells).unwrap();
    }

    /// The terminal alone, and nothing that it shows is read.
    pub(crate) fn resize_unread(&mut self, cells: Cells) {
        self.terminal.resize(cells).unwrap();
    }

    /// From here on what is read is taken for a terminal of this size.
    pub(crate) fn emulate(&mut self, cells: Cells) {
        self.screen.set_size(positive(cells.1), positive(cells.0));
    }

    /// A file in the show's own folder.
    pub(crate) fn path(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    /// Puts a file beside the set.
    pub(crate) fn write(&self, file: &str, text: &str) {
        fs::write(self.folder.path().join(file), text).unwrap();
    }

    /// A file beside the set.
    pub(crate) fn read(&self, file: &str) -> String {
        fs::read_to_string(self.folder.path().join(file)).unwrap()
    }

    #[track_caller]
    pub(crate) fn until_title(&mut self, title: &str) {
        self.until(&format!("the title `{title}`"), |show| show.title() == title);
    }

    /// Until the screen's own small text says so.
    #[track_caller]
    pub(crate) fn until_says(&mut self, words: &str) {
        self.until(&format!("`{words}` on the screen"), |show| show.text().contains(words));
    }

    #[track_caller]
    pub(crate) fn until(&mut self, what: &str, mut is_so: impl FnMut(&mut Show) -> bool) {
        let start = Instant::now();
        while !is_so(self) {
            let (title, text) = (self.title().to_owned(), self.text());
            assert!(
                start.elapsed() < PATIENCE,
                "waited for {what}; there is `{title}` and\n{text}"
            );
            self.take_in(Duration::from_millis(10));
        }
    }

    /// Reads all that is on its way.
    pub(crate) fn settle(&mut self) {
        while self.take_in(QUIET) > 0 {}
    }

    /// Has every cell drawn anew, as on a terminal of another size.
    pub(crate) fn have_all_drawn(&mut self) {
        self.settle();
        self.signal("WINCH");
        while self.take_in(QUIET) == 0 {}
        self.settle();
    }

    /// Reads what comes until the program has ended.
    pub(crate) fn until_ended(&mut self) -> ExitStatus {
        let mut status = None;
        self.until("the end", |show| {
            status = show.terminal.ended().unwrap();
            status.is_some()
        });
        self.settle();
        status.expect("it has ended")
    }

    /// Waits for the end without reading what is shown.
    pub(crate) fn until_ended_unread(&mut self) -> ExitStatus {
        let start = Instant::now();
        loop {
            if let Some(status) = self.terminal.ended().unwrap() {
                return status;
            }
            assert!(start.elapsed() < PATIENCE, "it waits for a terminal that does not read");
            thread::sleep(Duration::from_millis(10));
        }
    }

    fn take_in(&mut self, wait: Duration) -> usize {
        let mut bytes = [0; 1 << 14];
        let count = self.terminal.read(&mut bytes, wait).unwrap();
        self.screen.process(&bytes[..count]);
        count
    }

    pub(crate) fn title(&self) -> &str {
        &self.screen.callbacks().0
    }

    pub(crate) fn text(&self) -> String {
        self.screen.screen().contents()
    }

    /// The picture as an eye sees it, colours and all, cell by cell: a blank shows its ground alone.
    pub(crate) fn picture(&self) -> String {
        let screen = self.screen.screen();
        let (rows, columns) = screen.size();
        let cells = (0..rows.get()).flat_map(|row| (0..columns.get()).map(move |column| (row, column)));
        let cells = cells.filter_map(|(row, column)| screen.cell(row, column));
        let seen = |cell: &vt100::Cell| match cell.contents().trim() {
            "" if cell.inverse() => format!(" {:?}", cell.fgcolor()),
            "" => format!(" {:?}", cell.bgcolor()),
            // A full block and a blank in reverse look the same.
            "█" if !cell.inverse() => format!(" {:?}", cell.fgcolor()),
            sign => format!(
                "{sign}{:?}{:?}{}{}",
                cell.fgcolor(),
                cell.bgcolor(),
                cell.bold(),
                cell.inverse()
            ),
        };
        cells.map(seen).collect()
    }

    /// The terminal is a shell's again: its settings, the first screen, the cursor, and no paste brackets.
    #[track_caller]
    pub(crate) fn assert_given_back(&self) {
        self.assert_settings_given_back();
        let screen = self.screen.screen();
        assert!(!screen.alternate_screen(), "still on the alternate screen");
        assert!(!screen.hide_cursor(), "the cursor is still hidden");
        assert!(!screen.bracketed_paste(), "pasted text is still bracketed");
    }

    /// Echo, line editing and all else are as they were, whatever the terminal shows.
    #[track_caller]
    pub(crate) fn assert_settings_given_back(&self) {
        assert!(
            self.terminal.is_as_found().unwrap(),
            "the terminal's settings are not as they were"
        );
    }

    /// Whether line editing and echo are off.
    pub(crate) fn is_raw(&self) -> bool {
        !self.terminal.is_cooked().unwrap()
    }

    #[track_caller]
    pub(crate) fn assert_taken(&self) {
        assert!(self.screen.screen().alternate_screen(), "not on the alternate screen");
        assert!(!self.terminal.is_as_found().unwrap(), "the terminal is not raw");
    }

    /// What a shell does with its terminal while the program is stopped.
    pub(crate) fn shell_takes_the_terminal(&self) {
        self.terminal.cook().unwrap();
    }

    /// Whether the kernel has stopped the process, as ctrl-Z does (Linux, `/proc`).
    pub(crate) fn is_stopped(&self) -> bool {
        let stat = fs::read_to_string(format!("/proc/{}/stat", self.terminal.pid())).unwrap();
        stat.rsplit(')')
            .next()
            .is_some_and(|rest| rest.trim_start().starts_with('T'))
    }

    /// Resident memory in kB (Linux, `/proc`).
    pub(crate) fn resident_kb(&self) -> u64 {
        let status = fs::read_to_string(format!("/proc/{}/status", self.terminal.pid())).unwrap();
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:")).unwrap();
        line.split_whitespace().next().unwrap().parse().unwrap()
    }

    /// Closes the window, and waits for the program to end.
    pub(crate) fn close_window(self) -> ExitStatus {
        let mut running: Running = self.terminal.close();
        let start = Instant::now();
        loop {
            if let Some(status) = running.ended().unwrap() {
                return status;
            }
            assert!(start.elapsed() < PATIENCE, "it lives on without its terminal");
            thread::sleep(Duration::from_millis(10));
        }
    }
}

fn positive(cells: u16) -> NonZeroU16 {
    NonZeroU16::new(cells).unwrap()
}
