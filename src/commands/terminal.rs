//! What the environment says of the terminal: its name, its letters, its width.

/// The width where nobody says another.
const COLUMNS: usize = 80;
/// Narrower than a diagram with its name nothing can be shown, and wider nobody reads.
const LEAST: usize = 12;
const MOST: usize = 500;

/// The terminal's name, empty where there is none.
pub(super) fn term() -> String {
    std::env::var("TERM").unwrap_or_default()
}

/// Whether the locale is UTF-8, by the first of the variables that is set, as the system reads them.
pub(super) fn is_utf8() -> bool {
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
        .into_iter()
        .filter_map(|name| std::env::var(name).ok());
    let locale = locale
        .into_iter()
        .find(|value| !value.is_empty())
        .unwrap_or_default()
        .to_lowercase();
    locale.contains("utf-8") || locale.contains("utf8")
}

/// The columns of the terminal that the answer is printed on; 80 where it goes elsewhere.
pub(super) fn columns() -> usize {
    let size = rustix::termios::tcgetwinsize(std::io::stdout());
    let columns = size.map_or(COLUMNS, |size| usize::from(size.ws_col));
    match columns {
        0 => COLUMNS,
        columns => columns.clamp(LEAST, MOST),
    }
}
