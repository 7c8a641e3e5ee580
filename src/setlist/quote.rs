//! Text as a value in YAML: bare where every reader takes it as that text, else in quotes.

/// What some reader of YAML takes for something other than text.
///
/// Source: YAML 1.2.2, section 10.3.2 (the core schema), and the types of YAML 1.1 (bool, null, float), from memory.
const NO_TEXT: [&str; 12] = [
    "null", "true", "false", "yes", "no", "on", "off", "y", "n", "nan", "inf", "infinity",
];

/// The text as a value or a key of YAML, in a block or between brackets. It is one line without control characters.
pub(super) fn scalar(text: &str) -> String {
    if is_plain(text) {
        return text.to_owned();
    }
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for letter in text.chars() {
        if matches!(letter, '"' | '\\') {
            quoted.push('\\');
        }
        quoted.push(letter);
    }
    quoted.push('"');
    quoted
}

/// Narrower than YAML is: nothing that any reader could take amiss.
fn is_plain(text: &str) -> bool {
    let inside = |letter: char| letter.is_alphanumeric() || " '’.-–()+/&!?♭♯".contains(letter);
    text.starts_with(char::is_alphabetic)
        && !text.ends_with(' ')
        && text.chars().all(inside)
        && !NO_TEXT.contains(&text.to_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::scalar;

    #[test]
    fn only_what_could_be_taken_amiss_is_quoted() {
        for (text, written) in [
            ("Lanterns at Millpond", "Lanterns at Millpond"),
            ("Wren's Song (slow)", "Wren's Song (slow)"),
            ("no", "\"no\""),
            ("On", "\"On\""),
            ("1999", "\"1999\""),
            ("7 Lamps", "\"7 Lamps\""),
            ("Lamps: seven", "\"Lamps: seven\""),
            ("Lamps #7", "\"Lamps #7\""),
            ("Reeds, in the Shallows", "\"Reeds, in the Shallows\""),
            ("- Lamps", "\"- Lamps\""),
            ("say \"when\" \\ now", "\"say \\\"when\\\" \\\\ now\""),
            ("", "\"\""),
        ] {
            assert_eq!(scalar(text), written, "{text}");
        }
    }
}
