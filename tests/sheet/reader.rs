//! What other programs find in a PDF: its words with their places, its tags, its faults.

use serde_json::Value;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

/// A PDF in a folder of its own.
pub(crate) struct Pdf {
    path: PathBuf,
    _folder: TempDir,
}

/// A word and its box in points, from the upper left corner of its page.
#[derive(Clone, Debug)]
pub(crate) struct Word {
    pub(crate) page: usize,
    pub(crate) words: String,
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

/// A node of the tags that has a meaning: its role, and its alternative text or title.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tagged {
    pub(crate) role: String,
    pub(crate) told: String,
}

impl Pdf {
    pub(crate) fn new(bytes: &[u8]) -> Pdf {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sheet.pdf");
        fs::write(&path, bytes).unwrap();
        Pdf { path, _folder: folder }
    }

    /// All words as they are copied out, in the order of reading, or none without poppler.
    pub(crate) fn text(&self) -> Option<String> {
        let output = run("pdftotext", &["-raw".as_ref(), &self.path, "-".as_ref()])?;
        Some(String::from_utf8(output.stdout).unwrap())
    }

    pub(crate) fn info(&self) -> Option<String> {
        let output = run("pdfinfo", &[&self.path])?;
        Some(String::from_utf8(output.stdout).unwrap())
    }

    pub(crate) fn fonts(&self) -> Option<String> {
        let output = run("pdffonts", &[&self.path])?;
        Some(String::from_utf8(output.stdout).unwrap())
    }

    /// Each word with its box, and the size of a page.
    pub(crate) fn boxes(&self) -> Option<(Vec<Word>, (f64, f64))> {
        let output = run("pdftotext", &["-bbox".as_ref(), &self.path, "-".as_ref()])?;
        let text = String::from_utf8(output.stdout).unwrap();
        let (mut page, mut words, mut size) = (0, Vec::new(), (0.0, 0.0));
        for line in text.lines().map(str::trim) {
            let number = |name: &str| attribute(line, name).parse::<f64>().unwrap();
            if line.starts_with("<page") {
                page += 1;
                size = (number("width"), number("height"));
            } else if line.starts_with("<word") {
                let inner = line.split_once('>').unwrap().1.trim_end_matches("</word>");
                words.push(Word {
                    page,
                    words: inner.to_owned(),
                    left: number("xMin"),
                    top: number("yMin"),
                    right: number("xMax"),
                    bottom: number("yMax"),
                });
            }
        }
        Some((words, size))
    }

    /// What qpdf has to say against the file: nothing where it is good.
    pub(crate) fn faults(&self) -> Option<String> {
        let output = run("qpdf", &["--check".as_ref(), &self.path])?;
        let good = output.status.success() && output.stderr.is_empty();
        Some(if good { String::new() } else { format!("{output:?}") })
    }

    /// The tags that carry a text of their own, in the order of reading.
    pub(crate) fn tags(&self) -> Option<Vec<Tagged>> {
        let output = run("qpdf", &["--json=2".as_ref(), "--json-key=qpdf".as_ref(), &self.path])?;
        let json: Value = serde_json::from_slice(&output.stdout).unwrap();
        let objects = &json["qpdf"][1];
        let root = &objects["trailer"]["value"]["/Root"];
        let catalog = object(objects, root);
        assert_eq!(catalog["/MarkInfo"]["/Marked"], true, "the file says that it is tagged");
        assert_eq!(catalog["/Lang"], "u:en", "the file says its language");
        let mut tags = Vec::new();
        gather(objects, object(objects, &catalog["/StructTreeRoot"]), &mut tags);
        Some(tags)
    }
}

fn gather(objects: &Value, node: &Value, tags: &mut Vec<Tagged>) {
    if let Some(role) = node["/S"].as_str() {
        let told = node["/Alt"].as_str().or(node["/T"].as_str());
        let told = told
            .map(|told| told.trim_start_matches("u:").to_owned())
            .unwrap_or_default();
        tags.push(Tagged {
            role: role.trim_start_matches('/').to_owned(),
            told,
        });
    }
    let kids = &node["/K"];
    let kids = kids.as_array().cloned().unwrap_or_else(|| vec![kids.clone()]);
    for kid in kids.iter().filter(|kid| kid.is_string() || kid.is_object()) {
        gather(objects, object(objects, kid), tags);
    }
}

/// What a reference like `12 0 R` leads to; anything else is itself.
fn object<'a>(objects: &'a Value, value: &'a Value) -> &'a Value {
    match value.as_str().filter(|name| name.ends_with(" R")) {
        Some(name) => &objects[format!("obj:{name}")]["value"],
        None => value,
    }
}

fn attribute<'a>(line: &'a str, name: &str) -> &'a str {
    let begin = format!("{name}=\"");
    let rest = line.split_once(&begin).unwrap().1;
    rest.split_once('"').unwrap().0
}

fn run(program: &str, args: &[&Path]) -> Option<Output> {
    match Command::new(program).args(args).output() {
        Ok(output) => Some(output),
        Err(_) => {
            // Not by `eprintln!`, which is kept back where a test passes.
            let told = format!("skipped: `{program}` is not installed\n");
            io::stderr().write_all(told.as_bytes()).unwrap();
            None
        }
    }
}
