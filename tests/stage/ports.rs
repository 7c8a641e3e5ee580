//! Cables in mid-song: a serial line in the pedal's place that hangs up and is there again.

use super::{NEXT, SIZE, step};
use crate::show::Show;
use pty_process::blocking::open;
use std::fs::{read_link, remove_file};
use std::io::Write;
use std::os::fd::{AsFd, AsRawFd};
use std::os::unix::fs::symlink;

#[test]
fn a_serial_line_that_hangs_up_in_mid_song_is_marked_and_taken_again() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_says("pedal ●");
    show.unplug();
    remove_file(show.path("pedal")).unwrap();
    for song in 0..5 {
        show.until_says("pedal ○ lost");
        let (mut master, line) = open().unwrap();
        let name = read_link(format!("/proc/self/fd/{}", line.as_fd().as_raw_fd())).unwrap();
        symlink(name, show.path("pedal")).unwrap();
        show.until_says("pedal ●");
        // A program opens a song, a Start its first step, on which the line stands that marks the ports.
        let before = show.picture();
        master.write_all(&[0xC0, song, 0xFA]).unwrap();
        if song > 0 {
            show.until("another page", |show| show.picture() != before);
        }
        show.until_says(&format!("{}/8", song + 1));
        drop((master, line));
        remove_file(show.path("pedal")).unwrap();
    }
    // The keys work meanwhile.
    show.until_says("pedal ○ lost");
    show.type_keys("8\r");
    show.until_title("No capo, A shapes: Seven Lamps");
}
