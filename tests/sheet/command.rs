//! `sheet` as a process: where it writes, what it says, and what it never overwrites.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn sheet(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_footlights"))
        .current_dir(folder)
        .arg("sheet")
        .args(args)
        .env_remove("XDG_CONFIG_HOME")
        .env("HOME", folder)
        .output()
        .unwrap()
}

#[track_caller]
fn check(output: &Output, status: i32, stdout: &str, stderr: &str) {
    let found = (
        output.status.code().unwrap(),
        String::from_utf8_lossy(&output.stdout).into_owned(),
        String::from_utf8_lossy(&output.stderr).into_owned(),
    );
    assert_eq!(found, (status, stdout.to_owned(), stderr.to_owned()));
}

const SET: &str = "set: Mill\nsongs:\n- { song: Reeds, key: Bb }\n";

#[test]
fn a_sheet_is_written_beside_its_set_and_told() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("mill.yaml"), SET).unwrap();
    for _ in 0..2 {
        check(&sheet(folder.path(), &["set", "mill.yaml"]), 0, "wrote mill.pdf\n", "");
    }
    check(&sheet(folder.path(), &["keys"]), 0, "wrote keys.pdf\n", "");
    check(
        &sheet(folder.path(), &["keys", "--paper", "letter", "--out", "a/b.pdf"]),
        1,
        "",
        "a/b.pdf: error: the folder that it is to stand in is not there\nhint: Nothing was changed.\n",
    );
    let mut names: Vec<_> = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    names.sort();
    assert_eq!(names, ["keys.pdf", "mill.pdf", "mill.yaml"]);
    let bytes = fs::read(folder.path().join("mill.pdf")).unwrap();
    assert!(bytes.starts_with(b"%PDF-") && bytes.ends_with(b"%%EOF"), "whole");
}

#[test]
fn what_is_no_pdf_is_never_replaced() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("mill.yaml"), SET).unwrap();
    let refusal = |name: &str| {
        format!(
            "{name}: error: this file is no PDF, and so it is not replaced\nhint: Name another with `--out FILE`.\n"
        )
    };
    check(
        &sheet(folder.path(), &["set", "mill.yaml", "--out", "mill.yaml"]),
        1,
        "",
        &refusal("mill.yaml"),
    );
    check(&sheet(folder.path(), &["keys", "--out", "."]), 1, "", &refusal("."));
    assert_eq!(fs::read_to_string(folder.path().join("mill.yaml")).unwrap(), SET);
    fs::write(folder.path().join("empty.pdf"), "").unwrap();
    check(
        &sheet(folder.path(), &["keys", "--out", "empty.pdf"]),
        0,
        "wrote empty.pdf\n",
        "",
    );
}

#[test]
fn letters_that_cannot_be_printed_are_warned_of() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("mill.yaml"), SET.replace("Reeds", "渡")).unwrap();
    check(
        &sheet(folder.path(), &["set", "mill.yaml"]),
        0,
        "wrote mill.pdf\n",
        "mill.pdf: warning: the sheet's fonts lack `渡`: `?` stands there\n",
    );
}

#[test]
fn a_set_that_is_wrong_has_no_sheet() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("mill.yaml"), SET.replace("Bb", "H")).unwrap();
    let output = sheet(folder.path(), &["set", "mill.yaml"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        String::from_utf8_lossy(&output.stderr).starts_with("mill.yaml:3:"),
        "{output:?}"
    );
    assert!(!folder.path().join("mill.pdf").exists());
}
