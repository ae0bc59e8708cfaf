//! The page of each code, held by its own examples: what a page shows as bad raises that code and nothing else, what it
//! shows as good raises nothing, and what it shows as accepted is silent because of its `accept` line.
//!
//! An example is a project. A fence says what it is: `fitw bad`, `fitw good`, `fitw accepted`; with `file=lib/ours.fitw`
//! it is one more file of the example before it, and with `bytes` its `\u{202E}` and `\xB1` stand for that character
//! and that byte. Pages about records show records; `findings/records.rs` says how. What no page can show is made in `made`, and the page says it in words.
//!
//! `cargo test --test all findings:: -- --nocapture` prints what the compiler says to every bad example.

mod fixes;
mod records;

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::render::{self, Style};
use fitwright::diagnostics::{Attribute, Code, Family, Finding, Severity};
use fitwright::source::Sources;
use fitwright::world::Memory;

/// The path of the procedure in every example.
const MAIN: &str = "example.fitw";

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shows {
    Bad,
    Good,
    Accepted,
}

/// A project or a record that a page shows.
struct Example {
    shows: Shows,
    files: Vec<(String, Vec<u8>)>,
    /// Of a record: the language of the fence, and its further words.
    record: Option<(String, Vec<String>)>,
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("site/findings")
}

fn page(code: Code) -> String {
    let path = folder().join(format!("{code}.md"));
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// All examples of a page, those that the test makes included.
fn examples(code: Code) -> Vec<Example> {
    let page = page(code);
    let mut found: Vec<Example> = Vec::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        let Some(info) = line.strip_prefix("```") else { continue };
        let text: String = lines.by_ref().take_while(|line| *line != "```").map(|line| format!("{line}\n")).collect();
        add(&mut found, code, info, &text);
    }
    found.extend(made(code));
    found
}

fn add(found: &mut Vec<Example>, code: Code, info: &str, text: &str) {
    let mut words = info.split_whitespace();
    let language = words.next().unwrap_or_default();
    let shows = match words.next() {
        Some("bad") => Shows::Bad,
        Some("good") => Shows::Good,
        Some("accepted") => Shows::Accepted,
        _ => panic!("{code}: the fence `{info}` says neither bad, good nor accepted"),
    };
    if code.family() == Family::Records {
        let words = words.map(str::to_owned).collect();
        let files = vec![(MAIN.to_owned(), text.as_bytes().to_vec())];
        found.push(Example { shows, files, record: Some((language.to_owned(), words)) });
        return;
    }
    let (mut path, mut bytes) = (None, text.as_bytes().to_vec());
    for word in words {
        match word.strip_prefix("file=") {
            Some(other) => path = Some(other.to_owned()),
            None if word == "bytes" => bytes = undone(text),
            None => panic!("{code}: the fence `{info}` says `{word}`"),
        }
    }
    match (path, found.last_mut()) {
        (None, _) => {
            assert_eq!(language, "fitw", "{code}: the procedure of an example is written in the language");
            found.push(Example { shows, files: vec![(MAIN.to_owned(), bytes)], record: None });
        }
        (Some(path), Some(example)) if example.shows == shows => example.files.push((path, bytes)),
        (Some(path), _) => panic!("{code}: `{path}` stands before the example that it belongs to"),
    }
}

/// `\u{202E}` as that character and `\xB1` as that byte.
fn undone(text: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find('\\') {
        bytes.extend_from_slice(&rest.as_bytes()[..at]);
        rest = &rest[at..];
        if let Some(number) = rest.strip_prefix("\\u{") {
            let (number, after) = number.split_once('}').expect("a closing brace after \\u{");
            let number = u32::from_str_radix(number, 16).expect("a number of a character");
            let character = char::from_u32(number).expect("a character of that number");
            bytes.extend_from_slice(character.encode_utf8(&mut [0; 4]).as_bytes());
            rest = after;
        } else if let Some(number) = rest.strip_prefix("\\x") {
            bytes.push(u8::from_str_radix(&number[..2], 16).expect("two digits of a byte"));
            rest = &number[2..];
        } else {
            bytes.push(b'\\');
            rest = &rest[1..];
        }
    }
    bytes.extend_from_slice(rest.as_bytes());
    bytes
}

/// Bad examples that are too large for a page.
fn made(code: Code) -> Vec<Example> {
    let bad =
        |text: String| Example { shows: Shows::Bad, files: vec![(MAIN.to_owned(), text.into_bytes())], record: None };
    if code != Code::FW0108 {
        return Vec::new();
    }
    let head = "procedure long-van \"Long van\"\n";
    let too_large = format!("{head}{}", "# The same line again and again.\n".repeat(9 * 1024 * 1024 / 33));
    let too_deep =
        format!("{head}section rails \"Rails\" {{\n{}{}}}\n", "when a is b {\n".repeat(70), "}\n".repeat(70));
    vec![bad(too_large), bad(too_deep)]
}

fn compiled(example: &Example) -> Compiled {
    let world = example.files.iter().fold(Memory::default(), |world, (path, bytes)| world.with(path, bytes.clone()));
    compile::check(MAIN, &world)
}

fn said(compiled: &Compiled) -> String {
    render::human(compiled.findings(), compiled.sources(), Style::default())
}

/// What is said to an example.
fn told(example: &Example) -> (Vec<Finding>, Sources) {
    match &example.record {
        Some((language, words)) => {
            let (_, bytes) = example.files.first().expect("its text");
            records::judged(language, words, std::str::from_utf8(bytes).expect("text"))
        }
        None => {
            let compiled = compiled(example);
            (compiled.findings().to_vec(), compiled.sources().clone())
        }
    }
}

/// What is wrong with one example of a page; empty where nothing is.
fn judge(code: Code, example: &Example) -> String {
    let (findings, sources) = told(example);
    let said = render::human(&findings, &sources, Style::default());
    let codes: Vec<Code> = findings.iter().map(|finding| finding.code).collect();
    let wanted: &[Code] = if example.shows == Shows::Bad { &[code] } else { &[] };
    if example.shows == Shows::Bad {
        println!("{said}");
    }
    let mut wrong = String::new();
    if codes != wanted {
        let _ = writeln!(wrong, "{code}: an example shown as {:?} raises {codes:?}\n{said}", example.shows);
    }
    for finding in &findings {
        if finding.repair.is_none() {
            let _ = writeln!(wrong, "{code}: no repair is offered for: {}", finding.message);
        }
    }
    wrong
}

fn judge_all(family: Family) {
    let mut wrong = String::new();
    for code in family.codes() {
        for example in examples(*code) {
            wrong.push_str(&judge(*code, &example));
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// One test a family, so that they run beside each other and a failure names its family. A family that is missing here
/// doesn't compile.
macro_rules! families {
    ($($name:ident $family:ident)*) => {
        $(#[test] fn $name() { judge_all(Family::$family); })*

        const _: fn(Family) = |family| match family { $(Family::$family => ()),* };
    };
}

families! {
    pages_of_text Text
    pages_of_names Names
    pages_of_quantities Quantities
    pages_of_flow Flow
    pages_of_tools Tools
    pages_of_parts Parts
    pages_of_joints Joints
    pages_of_order Order
    pages_of_circuits Circuits
    pages_of_limits Limits
    pages_of_safety Safety
    pages_of_words Words
    pages_of_files Files
    pages_of_records Records
}

/// What is said of some codes in prose is what the catalogue says of them.
#[test]
fn the_readme_lists_what_only_the_full_procedure_is_asked() {
    let readme = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).expect("the page");
    let (_, after) = readme.split_once("\nof use at all (").expect("the sentence with the list");
    let (list, _) = after.split_once(')').expect("its end");
    let listed: Vec<&str> = list.split(',').map(str::trim).collect();
    let asked = Code::ALL.iter().filter(|code| code.is(Attribute::FullOnly));
    assert_eq!(listed, asked.map(|code| code.text()).collect::<Vec<_>>());
}

#[test]
fn every_code_has_its_page_and_every_page_its_code() {
    let pages: BTreeSet<String> = fs::read_dir(folder())
        .expect("the folder of the pages")
        .map(|entry| entry.expect("a page").file_name().to_string_lossy().into_owned())
        .collect();
    let codes: BTreeSet<String> = Code::ALL.iter().map(|code| format!("{code}.md")).collect();
    assert_eq!(pages, codes);
    for code in Code::ALL {
        assert_eq!(code.page(), page(*code), "{code}: the page that is built in");
    }
}

#[test]
fn a_page_has_its_title_words_and_examples() {
    for code in Code::ALL {
        let page = page(*code);
        let title = format!("# {code}: {}\n\n", code.title());
        assert!(page.starts_with(&title), "{code}: its page must begin with {title:?}");
        let words = page[title.len()..].split("```").next().unwrap_or_default();
        assert!(words.split_whitespace().count() >= 30, "{code}: too few words before the first example");
        let examples = examples(*code);
        let shows = |what| examples.iter().any(|example| example.shows == what);
        assert!(shows(Shows::Bad) && shows(Shows::Good), "{code}: a bad and a good example");
        // An acceptance of FW0116 would accept an acceptance; the line is taken out instead. A record accepts nothing.
        let of_records = code.family() == Family::Records;
        let can_be_accepted = code.severity() != Severity::Error && *code != Code::FW0116 && !of_records;
        assert_eq!(shows(Shows::Accepted), can_be_accepted, "{code}: an accepted example");
        for (path, bytes) in examples.iter().filter(|example| example.shows != Shows::Bad).flat_map(|one| &one.files) {
            let lines = bytes.iter().filter(|byte| **byte == b'\n').count();
            assert!(lines <= 45, "{code}: {path} has {lines} lines");
        }
    }
}

#[test]
fn an_accepted_example_is_silent_only_because_of_its_accept_line() {
    for code in Code::ALL {
        for mut example in examples(*code).into_iter().filter(|example| example.shows == Shows::Accepted) {
            let (_, bytes) = example.files.first_mut().expect("its procedure");
            let text = String::from_utf8(bytes.clone()).expect("text");
            let accept = format!("accept {code} ");
            assert!(text.contains(&accept), "{code}: no line `{accept}…`");
            let rest: Vec<&str> = text.lines().filter(|line| !line.trim_start().starts_with(&accept)).collect();
            *bytes = rest.join("\n").into_bytes();
            let codes: Vec<Code> = compiled(&example).findings().iter().map(|finding| finding.code).collect();
            assert_eq!(codes, [*code]);
        }
    }
}

/// A procedure around some declarations and some lines of its only section.
fn around(declarations: &str, lines: &str) -> Example {
    let text = format!(
        "procedure finch-vise \"Finch bench vise\"\n{declarations}\nsection mount \"Mount the vise\" {{\n{lines}\n  \
         handover {{ sign installer }}\n}}\n"
    );
    Example { shows: Shows::Bad, files: vec![(MAIN.to_owned(), text.into_bytes())], record: None }
}

/// One mistake, and what would also be told of it if each rule spoke for itself.
#[test]
fn one_cause_has_one_message() {
    let causes: &[(&str, Code, &str, &str)] = &[
        (
            "a line that can't be read declares what later lines name",
            Code::FW0101,
            "part vise-pad \"Pad\" { } of rubber\nkit { box { 1 vise-pad } }",
            "step lay \"Lay\" {\n> Lay the [vise-pad] down.\ntake 1 vise-pad\n}",
        ),
        (
            "a dash in a name stands for the hyphen that its users write",
            Code::FW0106,
            "part vise–pad \"Pad\"\nkit { box { 1 vise-pad } }",
            "step lay \"Lay\" {\n> Lay the pad down.\ntake 1 vise-pad\n}",
        ),
        (
            "a value that can't be read is named by a condition",
            Code::FW0106,
            "option top \"Top\" { steel  wооd }",
            "step oil \"Oil\" when top is wood {\n> Oil the top.\n}",
        ),
        (
            "a library that can't be found has the tools that are used",
            Code::FW0206,
            "use std/hand-tool",
            "step loosen-jaw \"Loosen\" {\n> Loosen the jaw.\nuse spanner-13\n}",
        ),
        (
            "a name that is a word of the language is mentioned",
            Code::FW0209,
            "",
            "step hold \"Hold\" {\n> Hold the vise.\n}\nstep wait \"Wait\" {\n> Go on with [hold].\n}",
        ),
        (
            "a condition looks at a reading that only its own branch takes",
            Code::FW0406,
            "observe steady \"Steady?\" { yes  no }",
            "when steady is no {\nstep push \"Push\" {\n> Push the vise.\nread steady\n}\n}",
        ),
        (
            "a step that no job comes to uses a tool that nothing else uses",
            Code::FW0404,
            "tool jaw-key \"Key\"\noption top \"Top\" { steel  wood }",
            "when top is steel {\nstep turn \"Turn\" when top is wood {\n> Turn the jaw.\nuse jaw-key\n}\nstep oil \"Oil\" {\n> Oil \
             it.\n}\n}",
        ),
    ];
    for (cause, code, declarations, lines) in causes {
        let compiled = compiled(&around(declarations, lines));
        let codes: Vec<Code> = compiled.findings().iter().map(|finding| finding.code).collect();
        assert_eq!(codes, [*code], "{cause}\n{}", said(&compiled));
    }
}

/// What a writer is told to write must be right for the very line that is wrong.
#[test]
fn repairs_fit_the_example() {
    let repairs: &[(Code, &str)] = &[
        (Code::FW0101, "`takes 10 min, two people`"),
        (Code::FW0207, "`use trim-tool`"),
        (Code::FW0301, "a mass in `kg`"),
        (Code::FW0504, "`socket-13`"),
        (Code::FW0505, "`hold with spanner-13`"),
        (Code::FW0506, "65 to 75 N.m"),
        (Code::FW0507, "20 to 24 N.m"),
        (Code::FW0601, "`box { 4 end-cap }`"),
        (Code::FW0602, "`take 4 end-cap`"),
        (Code::FW0607, "`take 2 trim-clip`"),
        (Code::FW0609, "`vehicle { 4 trim-clip }`"),
        (Code::FW0802, "`make lead on`"),
        (Code::FW1104, "`warning falling-object"),
    ];
    for (code, wanted) in repairs {
        let bad = examples(*code).into_iter().find(|example| example.shows == Shows::Bad).expect("a bad example");
        let compiled = compiled(&bad);
        let repair = compiled.findings().first().and_then(|finding| finding.repair.clone()).unwrap_or_default();
        assert!(repair.contains(wanted), "{code}: `{repair}` does not say {wanted}");
    }
}

#[test]
fn a_place_is_one_that_the_writer_can_change() {
    let own_file = |compiled: &Compiled| {
        let span = compiled.findings().first().and_then(|finding| finding.span()).expect("a place");
        compiled.sources().get(span.file).map(|file| (file.name.clone(), file.position(span.start).line))
    };
    // The name of a step is also that of a tool of the standard library.
    let lines = "step clamp \"Clamp\" {\n> Clamp the vise.\nuse spanner-13\n}";
    let clash = compiled(&around("use std/hand-tools", lines));
    assert_eq!(clash.findings().iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::FW0210]);
    assert_eq!(own_file(&clash), Some((MAIN.to_owned(), 4)));
    // A byte that is not UTF-8 is shown on its line.
    let bad = examples(Code::FW0107).into_iter().find(|example| example.shows == Shows::Bad).expect("a bad example");
    assert_eq!(own_file(&compiled(&bad)), Some((MAIN.to_owned(), 10)));
    // What can't be reached is shown with what it contradicts.
    let bad = examples(Code::FW0404).into_iter().find(|example| example.shows == Shows::Bad).expect("a bad example");
    assert_eq!(compiled(&bad).findings().first().map(|finding| finding.labels.len()), Some(2));
}
