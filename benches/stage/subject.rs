//! What is measured: the stage with the demo set, the bare echo, the bare frame, the bare press and `less`, each on its own
//! terminal.

use crate::terminal::{Cells, Pedal, Terminal};
use std::env;
use std::ffi::{OsStr, OsString};
use std::fs;
use std::io::{Read, Write};
use std::os::fd::AsFd;
use std::path::Path;
use std::thread;
use tempfile::TempDir;

const SET: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/setlists/harvest-evening.yaml");
const PLAYER: &str = include_str!("../../setlists/player.yaml");

/// The release binary as it runs with a player's own file, and its pedal.
pub(crate) struct Stage {
    pub(crate) terminal: Terminal,
    pub(crate) pedal: Pedal,
}

/// A folder with what a stage needs, so that starting one is nothing but starting it.
pub(crate) struct Scene {
    folder: TempDir,
    /// A library that stands before the system's own.
    first: Option<OsString>,
}

impl Scene {
    /// `debounce_ms` 0 lets presses follow one another at once.
    pub(crate) fn new(debounce_ms: u32) -> Scene {
        let folder = tempfile::tempdir().expect("a folder");
        let line = "debounce_ms: 80 ";
        assert!(PLAYER.contains(line), "the demo player's debounce");
        let player = PLAYER.replace(line, &format!("debounce_ms: {debounce_ms} "));
        fs::write(folder.path().join("player.yaml"), player).expect("a file can be written");
        Scene { folder, first: None }
    }

    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    /// From here on this library stands before the system's own when the stage is started.
    pub(crate) fn load_first(&mut self, library: OsString) {
        self.first = Some(library);
    }

    /// Starts the stage; its first picture is still to be read.
    pub(crate) fn start(&self, program: &OsStr, cells: Cells) -> Stage {
        let player = self.folder.path().join("player.yaml");
        let pedal = Pedal::new(self.folder.path()).expect("a named pipe can be made");
        let args: [&OsStr; 6] = [
            "stage".as_ref(),
            SET.as_ref(),
            "--player".as_ref(),
            player.as_ref(),
            "--raw-midi".as_ref(),
            pedal.path(),
        ];
        let terminal = match &self.first {
            None => Terminal::start(program, &args, self.path(), cells),
            Some(library) => {
                let mut first = OsString::from("LD_PRELOAD=");
                first.push(library);
                let args: Vec<&OsStr> = [&*first, program].into_iter().chain(args).collect();
                Terminal::start("env".as_ref(), &args, self.path(), cells)
            }
        };
        let terminal = terminal.expect("the stage starts");
        Stage { terminal, pedal }
    }
}

/// A press and what the switch sends when the foot lifts, by the demo player's switches.
pub(crate) type Press = (&'static [u8], &'static [u8]);
pub(crate) const NEXT: Press = (&[0xB0, 80, 127], &[0xB0, 80, 0]);
pub(crate) const FIRST_SONG: Press = (&[0xC0, 0], &[]);
pub(crate) const LAST_SONG: Press = (&[0xC0, 7], &[]);
/// System Start: the first step of the song.
pub(crate) const TOP: Press = (&[0xFA], &[]);

/// Goes round and round the steps of the last song, so that every press is a section change.
pub(crate) struct Round {
    step: usize,
}

impl Round {
    /// The steps of the demo set's last song.
    const STEPS: usize = 11;

    /// On the last song's gap page.
    pub(crate) fn new() -> Round {
        Round { step: 0 }
    }

    pub(crate) fn press(&mut self) -> Press {
        self.step = self.step % Self::STEPS + 1;
        if self.step == 1 { TOP } else { NEXT }
    }
}

/// This very program in another mode, on a terminal.
pub(crate) fn itself(mode: &[&str], cells: Cells, home: &Path) -> Terminal {
    let program = env::current_exe().expect("this program has a path");
    Terminal::start(program.as_os_str(), mode, home, cells).expect("this program starts anew")
}

/// `less` on a long text, or none where the machine has no `less`. The lines fill three quarters of the width.
pub(crate) fn less(cells: Cells, folder: &Path, pages: usize) -> Option<Terminal> {
    let text = folder.join("text");
    let words = "lanterns along the millpond wall and a ferry in the fog ";
    let lines = (0..pages * usize::from(cells.1)).map(|line| {
        let mut text = format!("{line} {}", words.repeat(4));
        text.truncate(usize::from(cells.0) * 3 / 4);
        text + "\n"
    });
    fs::write(&text, lines.collect::<String>()).expect("a text can be written");
    let found = env::split_paths(&env::var_os("PATH").unwrap_or_default()).any(|path| path.join("less").exists());
    found.then(|| {
        let program = OsString::from("less");
        Terminal::start(&program, &[text.as_os_str()], folder, cells).expect("less starts")
    })
}

/// The mode `--as-echo`: answers one byte with one byte, by nothing but a read and a write.
pub(crate) fn echo() {
    let stdin = std::io::stdin();
    let mut settings = rustix::termios::tcgetattr(&stdin).expect("a terminal");
    settings.make_raw();
    rustix::termios::tcsetattr(&stdin, rustix::termios::OptionalActions::Now, &settings).expect("a terminal");
    let mut terminal = fs::File::from(stdin.as_fd().try_clone_to_owned().expect("a descriptor"));
    let mut byte = [b'.'];
    while terminal.write_all(&byte).is_ok() && terminal.read_exact(&mut byte).is_ok() {}
}

/// A terminal with a picture of so many bytes on it, written in one write, and that picture.
fn picture(bytes: usize) -> (fs::File, Vec<u8>) {
    let mut text = vec![b'x'; bytes.saturating_sub(crate::reader::FRAME_END.len())];
    text.extend_from_slice(crate::reader::FRAME_END);
    let mut terminal = fs::File::from(std::io::stdout().as_fd().try_clone_to_owned().expect("a descriptor"));
    terminal.write_all(&text).expect("a terminal can be written");
    (terminal, text)
}

/// The mode `--as-frame`: writes one frame of so many bytes in one write, then waits to be killed.
pub(crate) fn frame(bytes: usize) {
    let mut terminal = picture(bytes).0;
    let _ = terminal.read(&mut [0]);
}

/// The mode `--as-press`: all that a press cannot do without. One thread reads the pedal, one writes a frame of so many
/// bytes, one appends a line to a file and syncs it; nothing is decoded, decided or drawn.
pub(crate) fn press(pedal: &str, journal: &str, bytes: usize) {
    /// As long as a line of the journal.
    const LINE: [u8; 120] = [b'x'; 120];
    let (to_main, pressed) = crossbeam_channel::unbounded();
    let mut pedal = fs::File::open(pedal).expect("the pipe can be opened");
    thread::spawn(move || {
        let mut message = [0; 16];
        while let Ok(count) = pedal.read(&mut message) {
            let _ = to_main.send(message[..count].to_vec());
        }
    });
    let (to_journal, lines) = crossbeam_channel::unbounded();
    let mut journal = fs::File::create(journal).expect("a file can be made");
    thread::spawn(move || {
        while lines.recv().is_ok() {
            journal.write_all(&LINE).expect("a file can be written");
            journal.sync_data().expect("a file can be synced");
        }
    });
    let (mut terminal, text) = picture(bytes);
    for message in pressed {
        if message != NEXT.1 {
            terminal.write_all(&text).expect("a terminal can be written");
            let _ = to_journal.send(());
        }
    }
}
