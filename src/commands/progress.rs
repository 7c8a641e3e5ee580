//! One line that says how far long work is; on a terminal alone, and gone when the work is done.

use std::io::{IsTerminal, Write};

/// How far the work is.
pub(super) struct Progress {
    what: &'static str,
    of: usize,
    done: usize,
    shown: bool,
}

/// The bar's width in cells.
const WIDTH: usize = 30;

impl Progress {
    /// Work of so many steps.
    pub(super) fn new(what: &'static str, of: usize) -> Progress {
        let shown = std::io::stderr().is_terminal();
        let progress = Progress {
            what,
            of,
            done: 0,
            shown,
        };
        progress.show();
        progress
    }

    pub(super) fn step(&mut self) {
        self.done += 1;
        self.show();
    }

    fn show(&self) {
        if self.shown {
            eprint!("\r{}", line(self.what, self.done, self.of));
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.shown {
            eprint!("\r\x1b[K");
            let _ = std::io::stderr().flush();
        }
    }
}

fn line(what: &str, done: usize, of: usize) -> String {
    let full = (done * WIDTH).checked_div(of).unwrap_or(WIDTH).min(WIDTH);
    format!("{what} {}{} {done} of {of}", "=".repeat(full), "-".repeat(WIDTH - full))
}

#[cfg(test)]
mod tests {
    use super::line;

    #[test]
    fn a_bar_fills_from_nothing_to_all() {
        let empty = format!("rendering {} 0 of 5", "-".repeat(30));
        assert_eq!(line("rendering", 0, 5), empty);
        assert_eq!(line("rendering", 5, 5), format!("rendering {} 5 of 5", "=".repeat(30)));
        assert!(line("rendering", 0, 0).ends_with("0 of 0"));
    }
}
