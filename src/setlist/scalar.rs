//! What a value without quotes may be besides text: nothing, true or false, or a number.
//!
//! Source: YAML 1.2.2, section 10.3.2 (the core schema).

pub(super) fn is_null(text: &str) -> bool {
    matches!(text, "" | "~" | "null" | "Null" | "NULL")
}

pub(super) fn flag(text: &str) -> Option<bool> {
    match text {
        "true" | "True" | "TRUE" => Some(true),
        "false" | "False" | "FALSE" => Some(false),
        _ => None,
    }
}

/// A finite number.
pub(super) fn number(text: &str) -> Option<f64> {
    let (radix, digits) = match text.split_at_checked(2) {
        Some(("0o", digits)) => (8, digits),
        Some(("0x", digits)) => (16, digits),
        _ => (10, text),
    };
    let begins = |set: &[char]| digits.starts_with(|letter: char| letter.is_ascii_digit() || set.contains(&letter));
    match radix {
        10 if begins(&['+', '-', '.']) => digits.parse().ok().filter(|number: &f64| number.is_finite()),
        8 | 16 if !digits.starts_with(['+', '-']) => {
            i64::from_str_radix(digits, radix).ok().map(|number| number as f64)
        }
        _ => None,
    }
}

/// A whole number, also where it is written `8.0`.
pub(super) fn whole(text: &str) -> Option<i64> {
    // Beyond this not every whole number is a float; nothing here is so large.
    const MOST: f64 = 9e15;
    number(text)
        .filter(|number| number.fract() == 0.0 && number.abs() < MOST)
        .map(|number| number as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: YAML 1.2.2, examples 2.19 (integers), 2.20 (floating point), 2.21 (miscellaneous) and the table of
    // section 10.3.2, from memory.
    #[test]
    fn numbers_are_those_of_the_core_schema() {
        for (text, wanted) in [
            ("12345", Some(12345.0)),
            ("+12345", Some(12345.0)),
            ("0o14", Some(12.0)),
            ("0xC", Some(12.0)),
            ("1.23015e+3", Some(1230.15)),
            ("12.3015e+02", Some(1230.15)),
            ("1230.15", Some(1230.15)),
            ("-19", Some(-19.0)),
            ("0.", Some(0.0)),
            ("-0.0", Some(0.0)),
            (".5", Some(0.5)),
            ("-2E+05", Some(-200_000.0)),
            ("007", Some(7.0)),
            ("-.inf", None),
            (".nan", None),
            ("inf", None),
            ("NaN", None),
            ("infinity", None),
            ("1_000", None),
            ("12:30", None),
            ("0x", None),
            ("0o8", None),
            ("0x-1", None),
            ("1e999", None),
            ("", None),
            ("-", None),
            (".", None),
            ("+.e3", None),
            ("1 2", None),
            ("é1", None),
        ] {
            assert_eq!(number(text), wanted, "{text}");
        }
        assert_eq!(
            (whole("8"), whole("8.0"), whole("8.5"), whole("1e300")),
            (Some(8), Some(8), None, None)
        );
    }

    #[test]
    fn truth_and_nothing_are_those_of_the_core_schema() {
        for text in ["true", "True", "TRUE"] {
            assert_eq!(flag(text), Some(true), "{text}");
        }
        for text in ["yes", "on", "y", "tRUE", "1", ""] {
            assert_eq!(flag(text), None, "{text}");
        }
        for (text, wanted) in [
            ("", true),
            ("~", true),
            ("null", true),
            ("NULL", true),
            ("nULL", false),
            ("no", false),
        ] {
            assert_eq!(is_null(text), wanted, "{text}");
        }
    }
}
