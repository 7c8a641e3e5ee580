//! The sheets read back by tools of others: poppler (written for 22.12) and qpdf (written for 11.3), from PDFs made in
//! process. Where a tool is missing, a test says so on standard error and checks nothing with it; `./dev test` installs
//! both where it may.

#![allow(
    clippy::unwrap_used,
    clippy::print_stderr,
    clippy::disallowed_methods,
    reason = "a test reads files, starts programs and may fail"
)]

mod command;
mod keys;
mod reader;
mod sets;
