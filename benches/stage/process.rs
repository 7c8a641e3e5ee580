//! What the kernel says of a running process (Linux, `/proc`): its writes, its switches, its memory.

use std::fs;

/// Write calls so far, of all threads.
pub(crate) fn writes(pid: u32) -> u64 {
    field(&read(&format!("/proc/{pid}/io")), "syscw:")
}

/// Context switches so far, wanted and not, of all threads.
pub(crate) fn switches(pid: u32) -> u64 {
    let tasks = fs::read_dir(format!("/proc/{pid}/task")).expect("the process runs");
    tasks
        .map(|task| {
            let status = read(&task.expect("a task").path().join("status").to_string_lossy());
            field(&status, "voluntary_ctxt_switches:") + field(&status, "nonvoluntary_ctxt_switches:")
        })
        .sum()
}

/// Time on a processor so far, of all threads, in ns (the first figure of `schedstat`).
pub(crate) fn busy_ns(pid: u32) -> u64 {
    let tasks = fs::read_dir(format!("/proc/{pid}/task")).expect("the process runs");
    let busy = |task: std::io::Result<fs::DirEntry>| {
        let told = read(&task.expect("a task").path().join("schedstat").to_string_lossy());
        let busy = told
            .split_whitespace()
            .next()
            .and_then(|figure| figure.parse::<u64>().ok());
        busy.unwrap_or_else(|| panic!("no time in {told}"))
    };
    tasks.map(busy).sum()
}

pub(crate) fn threads(pid: u32) -> u64 {
    field(&status(pid), "Threads:")
}

/// Resident memory in kB, files that are mapped included.
pub(crate) fn resident_kb(pid: u32) -> u64 {
    field(&status(pid), "VmRSS:")
}

/// The most that it ever was, in kB.
pub(crate) fn resident_most_kb(pid: u32) -> u64 {
    field(&status(pid), "VmHWM:")
}

/// Of it what the process made itself, in kB.
pub(crate) fn own_kb(pid: u32) -> u64 {
    field(&status(pid), "RssAnon:")
}

fn status(pid: u32) -> String {
    read(&format!("/proc/{pid}/status"))
}

fn read(path: &str) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

fn field(text: &str, name: &str) -> u64 {
    let line = text.lines().find_map(|line| line.strip_prefix(name));
    let number = line
        .and_then(|rest| rest.split_whitespace().next())
        .and_then(|number| number.parse().ok());
    number.unwrap_or_else(|| panic!("no {name} in\n{text}"))
}
