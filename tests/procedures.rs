//! The demo procedures are clean, and the faulty ones raise exactly the findings that are marked in them.
//!
//! The rule for marks stands in `procedures/faulty/README.md`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use fitwright::compile;
use fitwright::diagnostics::{Finding, render};
use fitwright::source::Sources;
use fitwright::world::{ReadFault, World};

/// Files of a project: those below a folder.
struct Project(PathBuf);

impl World for Project {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let whole = self.0.join(path);
        if whole.is_dir() {
            return Err(ReadFault::NotAFile);
        }
        std::fs::read(whole).map_err(|_| ReadFault::Missing)
    }
}

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// Procedures in a folder, sorted.
fn procedures(folder: &Path) -> Vec<String> {
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".fitw"))
        .collect();
    found.sort();
    found
}

fn shown(findings: &[Finding], sources: &Sources) -> String {
    render::human(findings, sources, render::Style { color: false, width: 100, unicode: true })
}

#[test]
fn the_demo_procedures_are_clean() {
    let demos = Project(folder("procedures"));
    let names = procedures(&demos.0);
    assert!(names.len() >= 3, "{names:?}");
    for name in names {
        let compiled = compile::check(&name, &demos);
        assert!(compiled.findings().is_empty(), "{name}\n{}", shown(compiled.findings(), compiled.sources()));
        assert!(compiled.clean().is_some(), "{name}");
    }
}

/// A file, a line and a code.
type Mark = (String, usize, String);

fn codes_at_end(line: &str) -> Vec<String> {
    let Some((_, comment)) = line.rsplit_once('#') else { return Vec::new() };
    let codes: Vec<&str> = comment.split_whitespace().collect();
    let is_code =
        |code: &&str| code.len() == 6 && code.starts_with("FW") && code.bytes().skip(2).all(|b| b.is_ascii_digit());
    if codes.iter().all(is_code) { codes.into_iter().map(str::to_owned).collect() } else { Vec::new() }
}

fn marks(folder: &Path, name: &str) -> BTreeSet<Mark> {
    let bytes = std::fs::read(folder.join(name)).expect("listed before");
    let mut found = BTreeSet::new();
    let mut pending: Vec<String> = Vec::new();
    for (at, line) in String::from_utf8_lossy(&bytes).split('\n').enumerate() {
        found.extend(pending.drain(..).map(|code| (name.to_owned(), at + 1, code)));
        let codes = codes_at_end(line);
        if line.trim_start().starts_with('#') {
            pending = codes;
        } else {
            found.extend(codes.into_iter().map(|code| (name.to_owned(), at + 1, code)));
        }
    }
    found
}

#[test]
fn the_faulty_procedures_raise_what_is_marked_in_them() {
    let faulty = Project(folder("procedures/faulty"));
    let names = procedures(&faulty.0);
    assert!(names.len() >= 12, "one a family: {names:?}");
    let mut differences = Vec::new();
    for name in names {
        let compiled = compile::check(&name, &faulty);
        // Every file of the project that was read, so that marks in libraries count too.
        let mut wanted = BTreeSet::new();
        for (_, file) in compiled.sources().iter().filter(|(_, file)| !file.name.starts_with("std/")) {
            wanted.extend(marks(&faulty.0, &file.name));
        }
        let mut raised = BTreeSet::new();
        for finding in compiled.findings() {
            let span = finding.span().expect("the marked findings have places");
            let file = compiled.sources().get(span.file).expect("its file was read");
            raised.insert((file.name.clone(), file.position(span.start).line as usize, finding.code.text().to_owned()));
        }
        for missing in wanted.difference(&raised) {
            differences.push(format!("not raised: {missing:?}"));
        }
        for extra in raised.difference(&wanted) {
            differences.push(format!("not marked: {extra:?}\n{}", shown(compiled.findings(), compiled.sources())));
        }
    }
    assert!(differences.is_empty(), "{}", differences.join("\n"));
}
