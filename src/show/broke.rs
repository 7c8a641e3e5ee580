//! A panic: reported to the log whole, with the thread it happened in, and told to the loop, which then ends in order.

use crate::show::event::Event;
use crossbeam_channel::Sender;
use std::backtrace::Backtrace;
use std::panic::PanicHookInfo;
use std::sync::{Mutex, PoisonError};

/// What is known of the first panic, and who is to be told.
static WATCH: Mutex<Option<Watch>> = Mutex::new(None);

struct Watch {
    to: Sender<Event>,
    words: Option<String>,
}

/// Watches every thread from here on.
pub(super) fn watch(to: Sender<Event>) {
    *lock() = Some(Watch { to, words: None });
    std::panic::set_hook(Box::new(report));
}

/// Ends the watch; the words of the first panic, where there was one.
pub(super) fn end() -> Option<String> {
    let _ = std::panic::take_hook();
    lock().take().and_then(|watch| watch.words)
}

/// Whether a thread has broken: its work is no longer done.
pub(super) fn has_broken() -> bool {
    lock().as_ref().is_some_and(|watch| watch.words.is_some())
}

/// Standard error is the log while the stage is up.
#[allow(clippy::print_stderr, reason = "the report goes to the log")]
fn report(panic: &PanicHookInfo<'_>) {
    let thread = std::thread::current();
    let thread = thread.name().unwrap_or("without a name");
    let words = panic.payload_as_str().unwrap_or("no words");
    let place = panic.location().map(|place| format!(" at {place}")).unwrap_or_default();
    eprintln!(
        "footlights {} broke in its thread `{thread}`{place}:",
        env!("CARGO_PKG_VERSION")
    );
    eprintln!("{words}\n{}", Backtrace::force_capture());
    let mut watch = lock();
    if let Some(watch) = watch.as_mut() {
        watch.words.get_or_insert_with(|| words.to_owned());
        // A loop with events waiting is awake already.
        let _ = watch.to.try_send(Event::Broke);
    }
}

fn lock() -> std::sync::MutexGuard<'static, Option<Watch>> {
    WATCH.lock().unwrap_or_else(PoisonError::into_inner)
}
