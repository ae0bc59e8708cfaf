//! `format`: every text that can be read comes out in one form, says the same, and keeps its comments.

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::{Code, Severity};
use fitwright::format::{Refusal, format};
use fitwright::parse::written::{Entry, written};
use fitwright::world::Memory;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use crate::context;

fn top() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All source files below some folders, by their path.
fn files() -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let mut folders: Vec<PathBuf> = ["procedures", "shared", "tests"].iter().map(|name| top().join(name)).collect();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "fitw") {
                let name = path.strip_prefix(top()).expect("below").to_string_lossy().into_owned();
                found.insert(name, fs::read_to_string(&path).expect("text"));
            }
        }
    }
    assert!(found.len() > 40, "the sources were not found");
    found
}

/// The examples in fences of a page, each as a whole file.
fn examples(page: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        let Some(info) = line.strip_prefix("```") else { continue };
        let text: String = lines.by_ref().take_while(|line| *line != "```").map(|line| format!("{line}\n")).collect();
        if info.starts_with("fitw") && !info.contains("bytes") {
            let place = info.split(' ').find_map(|word| word.strip_prefix("in=")).unwrap_or("file");
            found.push(context::whole(place, &text));
        }
    }
    found
}

/// Every text that the tests of this file go over, by a name.
fn texts() -> Vec<(String, String)> {
    let mut texts: Vec<(String, String)> = files().into_iter().collect();
    let mut pages = vec![top().join("grammar/language.md"), top().join("README.md")];
    for entry in fs::read_dir(top().join("site/findings")).expect("the pages of the codes") {
        pages.push(entry.expect("an entry").path());
    }
    pages.sort();
    for path in pages {
        let page = fs::read_to_string(&path).expect("a page");
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        texts.extend(examples(&page).into_iter().enumerate().map(|(at, text)| (format!("{name} {at}"), text)));
    }
    texts
}

/// The comments of a text, wherever they stand, in no order: one may move behind a brace.
fn comments(text: &str) -> Vec<String> {
    fn gather(text: &str, entries: &[Entry], into: &mut Vec<String>) {
        for entry in entries {
            match entry {
                Entry::Comment(comment) => into.push(text[comment.start as usize..comment.end as usize].to_string()),
                Entry::Prose { .. } => {}
                Entry::Statement(statement) => {
                    let own = statement.comments.iter();
                    into.extend(own.map(|c| text[c.start as usize..c.end as usize].to_string()));
                    statement.block.iter().for_each(|block| gather(text, &block.entries, into));
                }
            }
        }
    }
    let mut all = Vec::new();
    gather(text, &written(text).expect("it can be read"), &mut all);
    all.sort();
    all
}

/// What is said of a text, without places.
fn said(compiled: &Compiled) -> Vec<(Code, String)> {
    let mut all: Vec<_> = compiled.findings().iter().map(|f| (f.code, without_places(&f.message))).collect();
    all.sort();
    all
}

/// Lines and columns move.
fn without_places(message: &str) -> String {
    message.split("line ").next().unwrap_or("").to_string()
}

/// The checklist without the digests of its source.
fn checklist(compiled: &Compiled) -> Option<String> {
    let outputs = compile::build(compiled)?.expect("a build");
    let text = std::str::from_utf8(outputs.file("checklist.json")?).expect("UTF-8");
    let mut value: serde_json::Value = serde_json::from_str(text).expect("JSON");
    blank_digests(&mut value);
    Some(value.to_string())
}

fn blank_digests(value: &mut serde_json::Value) {
    match value {
        serde_json::Value::Object(members) => members.values_mut().for_each(blank_digests),
        serde_json::Value::Array(items) => items.iter_mut().for_each(blank_digests),
        serde_json::Value::String(text) if text.len() == 64 && text.bytes().all(|b| b.is_ascii_hexdigit()) => {
            text.clear();
        }
        _ => {}
    }
}

#[test]
fn what_can_be_read_comes_out_in_a_form_that_stays_and_keeps_its_comments() {
    let (mut set, mut refused) = (0, 0);
    for (name, text) in texts() {
        match format(&text) {
            Ok(once) => {
                set += 1;
                assert_eq!(format(&once).as_ref(), Ok(&once), "{name} changes twice");
                assert_eq!(comments(&text), comments(&once), "{name}");
                assert!(once.is_empty() || once.ends_with('\n') && !once.ends_with("\n\n"), "{name}");
                assert!(!once.contains("\n\n\n"), "{name}");
            }
            Err(Refusal::Unread(findings)) => {
                refused += 1;
                assert!(findings.iter().any(|f| f.severity() == Severity::Error), "{name}");
            }
            Err(Refusal::WouldChange) => panic!("{name} would change:\n{text}"),
        }
    }
    println!("{set} set, {refused} refused");
    assert!(set > 600 && refused > 80, "{set} set, {refused} refused");
}

#[test]
fn what_is_said_of_a_text_does_not_change_and_neither_does_its_checklist() {
    let all = files();
    let mut built = 0;
    for (name, text) in &all {
        let Ok(set) = format(text) else { continue };
        let folder = Path::new(name).parent().expect("a folder").to_string_lossy().into_owned();
        let inside = |path: &str| path.strip_prefix(&format!("{folder}/")).map(str::to_string);
        let project = |main: &str| {
            let mut world = Memory::default();
            for (path, text) in &all {
                if let Some(path) = inside(path) {
                    world = world.with(path, text.as_str());
                }
            }
            for figure in figures(&top().join(&folder)) {
                let bytes = fs::read(top().join(&folder).join(&figure)).expect("a picture");
                world = world.with(figure, bytes);
            }
            let main_path = inside(name).expect("in its folder");
            compile::check(&main_path, &world.with(main_path.as_str(), main))
        };
        let (before, after) = (project(text), project(&set));
        assert_eq!(said(&before), said(&after), "{name}");
        let (before, after) = (checklist(&before), checklist(&after));
        assert!(before == after, "the checklist of {name} is another one");
        built += usize::from(before.is_some());
    }
    assert!(built > 8, "{built} checklists were compared");
}

fn figures(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder.join("figures")) else { return Vec::new() };
    entries.map(|entry| format!("figures/{}", entry.expect("an entry").file_name().to_string_lossy())).collect()
}

#[test]
fn our_own_files_have_their_form() {
    for (name, text) in files() {
        if name.starts_with("shared/") || name.starts_with("procedures/") && !name.contains("/faulty/") {
            assert!(format(&text).as_ref() == Ok(&text), "{name}: run `fitwright format` on it");
        }
    }
    let started = include_str!("../site/new.fitw").replace("NAME", "bench-vise").replace("TITLE", "Bench vise");
    assert_eq!(format(&started).as_ref(), Ok(&started));
    let readme = include_str!("../README.md");
    let example = examples(readme).into_iter().next().expect("the first procedure");
    assert_eq!(format(&example).as_ref(), Ok(&example));
}

/// How a demo is damaged where blanks have no meaning: between tokens, at the ends of lines, before lines, in blank lines.
#[derive(Debug, Clone, Copy)]
struct Damage {
    seed: u64,
    tabs: bool,
    crlf: bool,
    lost: bool,
}

/// A number from a seed, the next one with each call (xorshift).
fn next(seed: &mut u64) -> u64 {
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    *seed
}

fn damaged(text: &str, damage: Damage) -> String {
    let mut seed = damage.seed | 1;
    // Where a token, a comment or a prose line begins or ends; inside them nothing is touched.
    let mut within = vec![false; text.len() + 1];
    mark(&written(text).expect("it can be read"), &mut within);
    let mut out = String::new();
    for (number, line) in text.split_inclusive('\n').enumerate() {
        let start = line.as_ptr() as usize - text.as_ptr() as usize;
        if line.trim().is_empty() && number > 0 {
            out.push_str(&"  \n\n".repeat(next(&mut seed) as usize % 3));
        }
        let mut in_blank = false;
        for (at, c) in line.char_indices() {
            let blank = c == ' ' && !within[start + at];
            if blank && damage.lost {
                // All blanks of a run but one are lost; those before the line all.
                let leads = line[..at].trim().is_empty();
                if !in_blank && !leads {
                    out.push(' ');
                }
            } else if blank && next(&mut seed).is_multiple_of(4) {
                out.push_str(if damage.tabs { "\t" } else { "    " });
            } else if c == '\n' {
                if !within[(start + at).saturating_sub(1)] {
                    out.push_str(if next(&mut seed).is_multiple_of(3) { "  " } else { "" });
                }
                out.push_str(if damage.crlf { "\r\n" } else { "\n" });
            } else {
                out.push(c);
            }
            in_blank = blank;
        }
    }
    out
}

fn mark(entries: &[Entry], within: &mut [bool]) {
    let mut fill = |start: u32, end: u32| within[start as usize..end as usize].fill(true);
    let mut blocks = Vec::new();
    for entry in entries {
        match entry {
            Entry::Comment(comment) => fill(comment.start, comment.end),
            Entry::Prose { start, end } => fill(*start, *end),
            Entry::Statement(statement) => {
                statement.tokens.iter().for_each(|token| fill(token.start, token.end));
                statement.comments.iter().for_each(|comment| fill(comment.start, comment.end));
                blocks.extend(&statement.block);
            }
        }
    }
    for block in blocks {
        mark(&block.entries, within);
    }
}

fn demos() -> Vec<(String, String)> {
    let is_demo = |name: &String| name.starts_with("procedures/") && !name.contains("/faulty/");
    files().into_iter().filter(|(name, _)| is_demo(name)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_demo_that_lost_its_blanks_gets_them_back(seed: u64, which: prop::sample::Index, tabs: bool, crlf: bool, lost: bool) {
        let demos = demos();
        let (name, text) = &demos[which.index(demos.len())];
        let hurt = damaged(text, Damage { seed, tabs, crlf, lost });
        prop_assert!(hurt != *text);
        let set = format(&hurt).unwrap_or_else(|refusal| panic!("{name}: {refusal} {:?}", refusal.findings()));
        prop_assert!(set.replace("\r\n", "\n") == *text, "{}", name);
        prop_assert_eq!(set.contains('\r'), crlf);
    }

    #[test]
    fn nothing_that_somebody_types_ends_the_program(text in "[a-z{}\"#>,\\\\ \t\r\n0-9\u{feff}é-]{0,200}") {
        if let Ok(set) = format(&text) {
            prop_assert_eq!(format(&set), Ok(set));
        }
    }

    #[test]
    fn a_demo_with_a_piece_cut_out_is_set_or_refused(which: prop::sample::Index, from: prop::sample::Index, most in 1_usize..400) {
        let demos = demos();
        let (_, text) = &demos[which.index(demos.len())];
        let start = (0..=from.index(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
        let end = (start + most..).find(|at| *at >= text.len() || text.is_char_boundary(*at)).unwrap_or(start);
        let cut = format!("{}{}", &text[..start], text.get(end..).unwrap_or(""));
        match format(&cut) {
            Ok(set) => prop_assert_eq!(format(&set), Ok(set)),
            Err(Refusal::Unread(findings)) => prop_assert!(!findings.is_empty()),
            Err(Refusal::WouldChange) => prop_assert!(false, "would change"),
        }
    }
}

#[test]
fn deep_and_large_texts_are_refused_in_words() {
    let deep =
        format!("procedure p \"P\"\nsection s \"S\" {{\n{}{}}}\n", "when a is b {\n".repeat(70), "}\n".repeat(70));
    let brackets = format!("procedure p \"P\"\nrequire {}a{} is b\n", "(".repeat(50_000), ")".repeat(50_000));
    let large = format!("procedure p \"P\"\n{}", "# again\n".repeat(1_200_000));
    for text in [deep, brackets, large, String::new(), "{".repeat(10_000), "}".repeat(10_000)] {
        assert!(matches!(format(&text), Err(Refusal::Unread(findings)) if !findings.is_empty()));
    }
}

/// What each piece of layout comes to.
#[test]
fn each_piece_of_layout_has_one_form() {
    let pairs = [
        // Words, signs and marks.
        ("units   metric ,inch", "units metric, inch"),
        ("fact pull=22Nm+-10%", "fact pull = 22 Nm +- 10 %"),
        ("fact reach = 3   1/2 in", "fact reach = 3 1/2 in"),
        ("fact reach = 4\"", "fact reach = 4\""),
        (
            "limit a \"A\" { least of(b,c )*2<=d  else stop \"No.\" }",
            "limit a \"A\" { least of (b, c) * 2 <= d  else stop \"No.\" }",
        ),
        // Blocks: a brace alone on its line, several things on a line, nothing.
        ("option side \"S\"\n{\nkerb\nroad\n}", "option side \"S\" {\n  kerb\n  road\n}"),
        ("option side \"S\" {kerb road}", "option side \"S\" { kerb  road }"),
        ("option side \"S\" { kerb, road }", "option side \"S\" { kerb, road }"),
        ("about {\n}", "about { }"),
        ("kit { box { 1 a }   bag A { 2 b,3 c } }", "kit { box { 1 a }  bag A { 2 b, 3 c } }"),
        // Comments.
        ("units metric #  as  it is  ", "units metric                            #  as  it is"),
        (
            "option side \"S\" { # one\nkerb\n# two\n}",
            "option side \"S\" {                       # one\n  kerb\n  # two\n}",
        ),
        ("option side \"S\" # one\n# two\n{ kerb  road }", "option side \"S\" { kerb  road }          # one\n  # two"),
        // Columns.
        ("part a \"A\"\npart long-one \"B\" { consumable }", "part a        \"A\"\npart long-one \"B\" { consumable }"),
        ("part a \"A\"\n\npart long-one \"B\"", "part a \"A\"\n\npart long-one \"B\""),
        // A list goes on below its first entry.
        (
            "section s \"S\" {\nstep a \"A\" {\nuse spanner-10,\nspanner-13\ntakes 2 min\n}\n}",
            "section s \"S\" {\n  step a \"A\" {\n    use   spanner-10,\n          spanner-13\n    takes 2 min\n  }\n}",
        ),
        // `else` goes on behind the brace.
        (
            "section s \"S\" {\nwhen a is b {\nset c d\n}\nelse {\nset c e\n}\n}",
            "section s \"S\" {\n  when a is b {\n    set c d\n  } else {\n    set c e\n  }\n}",
        ),
        // Prose stays, with the blanks at its end; its place does not.
        ("about {\n      >   - `a  b`  \n>     c\n}", "about {\n  >   - `a  b`  \n  >     c\n}"),
        ("about {\n\n\n> a\n\n\n> b\n\n}", "about {\n\n  > a\n\n  > b\n}"),
    ];
    for (written, form) in pairs {
        let head = "procedure p \"P\"\n\n";
        let set = format(&format!("{head}{written}\n")).unwrap_or_else(|refusal| panic!("{written}: {refusal:?}"));
        assert_eq!(set.strip_prefix(head), Some(format!("{form}\n").as_str()), "{written}");
    }
    assert_eq!(format("\u{feff}\n\nprocedure  p \"P\"\n\n\n").as_deref(), Ok("procedure p \"P\"\n"));
    assert_eq!(format("procedure  p \"P\"\r\nunits  inch\n").as_deref(), Ok("procedure p \"P\"\r\nunits inch\r\n"));
}
