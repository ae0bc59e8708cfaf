//! Procedures that are wrong in the workshop by one edit, and their right neighbours.
//!
//! A file of `tests/silence` is about one rule, or a few. It begins with what its cases share; each case begins with a line
//! `=== trap CODE … : what is wrong` or `=== right : why`, and goes on with what it adds. A trap raises its codes and
//! nothing else; a right neighbour raises nothing at all. What a short case leaves out on purpose does not count: `LEFT_OUT`.

use std::path::Path;

use fitwright::compile;
use fitwright::diagnostics::render;
use fitwright::world::Memory;

/// Of use, of what is left over, of holes, of ends and numbers of a wire, of wording: a short case says no more than it is about. They count where it names them.
const LEFT_OUT: &[&str] = &[
    "FW0203", "FW0214", "FW0407", "FW0502", "FW0602", "FW0604", "FW0610", "FW0718", "FW0911", "FW0918", "FW0924",
    "FW1209", "FW1213",
];

/// The picture that cases show, 2 to 1.
pub(crate) const RAIL: &str =
    r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><path d="M2 15H38" stroke="black"/></svg>"#;

/// A case of a file.
pub(crate) struct Case {
    name: String,
    codes: Vec<String>,
    pub(crate) text: String,
}

pub(crate) fn cases(text: &str) -> Vec<Case> {
    let (common, rest) = text.split_once("\n=== ").unwrap_or((text, ""));
    let of = |case: &str| {
        let (head, body) = case.split_once('\n').expect("a case has a text");
        let (codes, name) = head.split_once(':').expect("a case says what it shows");
        let mut words = codes.split_whitespace();
        let sort = words.next().unwrap_or_default();
        let codes: Vec<String> = words.map(str::to_owned).collect();
        assert!(matches!(sort, "trap" | "right") && codes.is_empty() == (sort == "right"), "`{head}`");
        Case { name: name.trim().to_owned(), codes, text: format!("{common}\n{body}") }
    };
    rest.split("\n=== ").map(of).collect()
}

/// What the compiler says of a text: the codes, and all of it for a person.
fn said(text: &str) -> (Vec<String>, String) {
    let world = Memory::default().with("case.fitw", text.as_bytes()).with("rail.svg", RAIL);
    let compiled = compile::check("case.fitw", &world);
    let style = render::Style { color: false, width: 100, unicode: true };
    let mut codes: Vec<String> = compiled.findings().iter().map(|finding| finding.code.text().to_owned()).collect();
    codes.sort();
    codes.dedup();
    (codes, render::human(compiled.findings(), compiled.sources(), style))
}

#[test]
fn traps_are_found_and_their_right_neighbours_are_not() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/silence");
    let mut files: Vec<_> =
        std::fs::read_dir(folder).expect("the folder is there").filter_map(|entry| Some(entry.ok()?.path())).collect();
    files.sort();
    let (mut differences, mut traps) = (Vec::new(), 0);
    for file in files.iter().filter(|file| file.extension().is_some_and(|ending| ending == "txt")) {
        let text = std::fs::read_to_string(file).expect("listed before");
        for mut case in cases(&text) {
            traps += usize::from(!case.codes.is_empty());
            case.codes.sort();
            let (mut codes, report) = said(&case.text);
            codes.retain(|code| !LEFT_OUT.contains(&code.as_str()) || case.codes.contains(code));
            if codes != case.codes {
                let file = file.file_name().unwrap_or_default().to_string_lossy();
                differences.push(format!("{file}: {}: wanted {:?}\n{report}", case.name, case.codes));
            }
        }
    }
    assert!(traps >= 3, "{traps} traps");
    assert!(differences.is_empty(), "{}", differences.join("\n"));
}
