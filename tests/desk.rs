//! What an editor is answered, held against the compiler: a name changed wherever the desk says that it stands leaves a procedure
//! that says the same.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fitwright::compile;
use fitwright::desk::{self, Desk, Shade};
use fitwright::source::FileId;
use fitwright::world::Memory;

fn demos() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures")
}

/// A folder of the demos in memory.
fn project(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(inside) = folders.pop() {
        for entry in fs::read_dir(inside).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("below").to_string_lossy().replace('\\', "/");
                files.insert(name, fs::read(&path).expect("readable"));
            }
        }
    }
    files
}

fn world(files: &BTreeMap<String, Vec<u8>>) -> Memory {
    files.iter().fold(Memory::default(), |world, (name, bytes)| world.with(name.clone(), bytes.clone()))
}

/// Every procedure of the demos, with its project.
fn each_demo(mut look: impl FnMut(&str, &BTreeMap<String, Vec<u8>>)) {
    let mut count = 0;
    for folder in [demos(), demos().join("family")] {
        let files = project(&folder);
        for name in files.keys().filter(|name| !name.contains('/') && name.ends_with(".fitw")) {
            look(name, &files);
            count += 1;
        }
    }
    assert!(count >= 8, "the demos were not found");
}

#[test]
fn a_name_changed_at_all_its_places_changes_nothing_else() {
    let (mut renamed, mut given) = (0, 0);
    each_demo(|name, files| {
        let whole = world(files);
        let (desk, _) = Desk::open(name, &whole);
        let before = compile::check(name, &whole);
        assert_eq!(before.findings(), [], "{name}");
        let account = before.account().judged.clone();
        // A third of the names is a minute less, and another third for each procedure.
        let own =
            desk.things().filter(|thing| thing.declared.library.as_ref().is_none_or(|of| !of.starts_with("std/")));
        for (at, thing) in own.enumerate().filter(|(at, _)| at % 3 == name.len() % 3) {
            let mut texts: BTreeMap<String, String> = BTreeMap::new();
            for span in desk.places_of(thing).into_iter().rev() {
                let file = desk.sources().get(span.file).expect("a file that was read");
                let text = texts.entry(file.name.clone()).or_insert_with(|| file.text.to_string());
                assert_eq!(&text[span.range()], thing.name(), "{name}");
                text.replace_range(span.range(), &format!("renamed-{at}"));
            }
            assert!(!texts.is_empty(), "{name}: `{}` stands nowhere", thing.name());
            let mut after = files.clone();
            after.extend(texts.into_iter().map(|(file, text)| (file, text.into_bytes())));
            let compiled = compile::check(name, &world(&after));
            let found: Vec<String> =
                compiled.findings().iter().map(|finding| format!("{} {}", finding.code, finding.message)).collect();
            // A section of a library that expects this very name is given it without a word: then the server refuses.
            if found.iter().any(|one| one.starts_with("FW0212")) {
                given += 1;
                continue;
            }
            assert_eq!(found, Vec::<String>::new(), "{name}: `{}` renamed", thing.name());
            assert_eq!(compiled.account().judged, account, "{name}: `{}` renamed", thing.name());
            renamed += 1;
        }
    });
    assert!(renamed > 120 && given < 9, "{renamed} names, {given} given");
}

#[test]
fn each_place_that_names_something_leads_to_its_declaration_and_has_a_hover() {
    each_demo(|name, files| {
        let (desk, _) = Desk::open(name, &world(files));
        for thing in desk.things() {
            for span in desk.places_of(thing).into_iter().filter(|span| span.file == FileId::new(0)) {
                let (at, found) = desk
                    .thing_at(span.start as usize)
                    .unwrap_or_else(|| panic!("{name}: nothing is named at `{}` {span:?}", thing.name()));
                assert_eq!(at, span, "{name}: `{}`", thing.name());
                // `M8` may be a thread and a washer at once.
                assert!(desk.places_of(found).contains(&span), "{name}: `{}`", thing.name());
                let hover = desk.hover(span.end as usize - 1, None).expect("there is something to know");
                assert!(hover.text.contains(thing.name()), "{name}: {}", hover.text);
            }
        }
    });
}

#[test]
fn where_a_name_stands_it_would_be_proposed() {
    let (mut asked, mut missed) = (0, Vec::new());
    each_demo(|name, files| {
        let (desk, _) = Desk::open(name, &world(files));
        let text = desk.sources().get(FileId::new(0)).expect("the file").text.clone();
        for thing in desk.things() {
            for span in desk.places_of(thing).into_iter().filter(|span| span.file == FileId::new(0)) {
                if span == thing.at() {
                    continue;
                }
                asked += 1;
                let completions = desk.completions(&text, span.start as usize).map(|(_, all)| all).unwrap_or_default();
                // A section of a library is named with its library.
                let fits = |text: &str| text == thing.name() || text.ends_with(&format!(".{}", thing.name()));
                if !completions.iter().any(|one| fits(&one.text)) {
                    let line = text[..span.start as usize].rfind('\n').map_or(0, |at| at + 1);
                    missed.push(format!(
                        "{name}: `{}` in {}",
                        thing.name(),
                        text[line..].lines().next().unwrap_or_default().trim()
                    ));
                }
            }
        }
    });
    assert!(asked > 1000, "{asked} places");
    assert_eq!(missed, Vec::<String>::new(), "of {asked} places");
}

/// Words, units and signs that the demos have are proposed where they stand.
#[test]
fn where_a_word_or_unit_stands_it_would_be_proposed() {
    let (mut asked, mut missed) = (BTreeSet::new(), BTreeSet::new());
    each_demo(|name, files| {
        let (desk, _) = Desk::open(name, &world(files));
        let text = desk.sources().get(FileId::new(0)).expect("the file").text.clone();
        for piece in desk.colours(&text) {
            let (start, end) = (piece.at.start as usize, piece.at.end as usize);
            let (Some(word), Shade::Keyword | Shade::Unit) = (text.get(start..end), piece.is) else { continue };
            let line = text[..start].rfind('\n').map_or(0, |at| at + 1);
            let place = format!("`{word}` behind `{}`", text[line..start].trim());
            if !asked.insert(place.clone()) {
                continue;
            }
            let proposed = desk.completions(&text, start).map(|(_, all)| all).unwrap_or_default();
            // `at` of `at least`; and `1 time` and `3 flats` may be written, though `times` and `flat` are proposed.
            let is_it = |text: &str| {
                let other = |one: &str, other: &str| one.strip_suffix('s') == Some(other);
                text.split(' ').next() == Some(word) || text == word || other(text, word) || other(word, text)
            };
            if !proposed.iter().any(|one| is_it(&one.text)) {
                missed.insert(place);
            }
        }
    });
    assert!(asked.len() > 800, "{} words and units", asked.len());
    assert_eq!(missed, BTreeSet::new(), "of {}", asked.len());
}

#[test]
fn half_a_text_ends_nothing() {
    each_demo(|name, files| {
        let text = String::from_utf8(files[name].clone()).expect("text");
        for cut in (0..text.len()).step_by(397).filter(|cut| text.is_char_boundary(*cut)) {
            let torn = &text[..cut];
            let (desk, read) = Desk::open(name, &Memory::default().with(name, torn));
            let _ = (
                read.findings(),
                desk.hints(),
                desk.colours(torn),
                desk::outline(torn),
                desk::folds(torn),
                desk::links(torn),
            );
            for at in [cut, cut.saturating_sub(3), cut / 2] {
                let _ = (desk.completions(torn, at), desk.hover(at, None), desk.thing_at(at).is_some());
            }
        }
    });
}

/// Words of a closed list are proposed, and of a row of sizes only what can stand there.
#[test]
fn what_can_stand_there_is_proposed_and_nothing_else() {
    let proposed = |line: &str| -> Vec<String> {
        let text = format!("procedure lamp \"Lamp\"\nuse std/fasteners\nuse std/wiring\n{line}");
        let (desk, _) = Desk::open("lamp.fitw", &Memory::default().with("lamp.fitw", text.as_str()));
        let found = desk.completions(&text, text.len()).map(|(_, all)| all).unwrap_or_default();
        found.into_iter().map(|one| one.text).collect()
    };
    let joint = |line: &str| proposed(&format!("joint foot \"Foot\" {{\n  {line} "));
    assert_eq!(joint("thread"), ["anti-seize", "dry", "oiled", "plated", "thread-locker", "waxed", "unknown"]);
    assert!(joint("into").starts_with(&["aluminium".into(), "cast-iron".into(), "steel".into()]));
    assert!(joint("pattern").contains(&"cross".into()));
    let has = |line: &str, words: &[&str]| {
        let all = proposed(line);
        words
            .iter()
            .filter(|word| !all.contains(&(**word).to_owned()))
            .map(|word| (*word).to_owned())
            .collect::<Vec<String>>()
    };
    let none: Vec<String> = Vec::new();
    let bolt = "part foot-bolt bolt M8 x 30 mm, ";
    assert_eq!(has("part foot-bolt ", &["bolt", "nut", "screw", "stud", "terminal", "washer"]), none);
    assert_eq!(has(bolt, &["class", "hex head", "countersunk head"]), none);
    assert_eq!(has(&format!("{bolt}hex "), &["head", "hex head"]), ["hex head"]);
    assert_eq!(has(&format!("{bolt}class "), &["8.8", "10.9"]), none);
    assert_eq!(has(&format!("{bolt}class "), &["nut-class-8"]), ["nut-class-8"]);
    assert_eq!(has("part foot-nut nut M8, class ", &["8", "10"]), none);
    assert_eq!(has("part foot-nut nut M8, ", &["nylon insert", "class"]), none);
    assert!(!proposed("part foot-nut nut M8, ").contains(&"hex head".to_owned()));
    assert_eq!(has("circuit feed { wire 2.5 mm2 ", &["copper", "aluminium"]), none);
    assert_eq!(has("joint foot { torque 22 N.m ", &["+-", "to", "while"]), none);
    let torques = ["N.cm", "N.m", "kgf.cm", "kgf.m", "lbf.ft", "lbf.in", "ozf.in"];
    assert!(proposed("joint foot { torque 22 N.m +- 2 ").starts_with(&torques.map(str::to_owned)));
    assert!(!proposed("section a { step b { take 2 ").contains(&"N.m".to_owned()));
    let row = "terminal ring \"Ring\" wire ";
    assert_eq!(proposed(row), Vec::<String>::new());
    assert!(proposed(&format!("{row}2.5 mm2 to 4 mm2, stud ")).contains(&"M8".to_owned()));
    assert_eq!(proposed(&format!("{row}2.5 mm2 to 4 mm2, stud M8, source ")), Vec::<String>::new());
}

/// Of the procedure that feeds it later, its circuits are proposed, by their titles there.
#[test]
fn circuits_of_the_later_procedure_are_proposed() {
    let later = "procedure van \"Van\"\ncircuit van-feed \"Feed of the van\" { source 12 V }\ncircuit other \"Other\" { source 12 V }\n";
    let proposed = |line: &str, at: usize| -> Vec<(String, String)> {
        let text = format!(
            "procedure box \"Box\"\ncircuit feed \"Feed\" {{\n  fed later by other of van\n}}\ncircuit lamp \"Lamp\" {{\n  {line}\n}}\n"
        );
        let world = Memory::default().with("box.fitw", text.as_str()).with("van.fitw", later);
        let (desk, _) = Desk::open("box.fitw", &world);
        let offset = text.find(line).expect("the line") + at;
        let found = desk.completions(&text, offset).map(|(_, all)| all).unwrap_or_default();
        found.into_iter().map(|one| (one.text, one.detail)).collect()
    };
    let both = [("other", "circuit of van: Other"), ("van-feed", "circuit of van: Feed of the van")];
    let both: Vec<(String, String)> =
        both.iter().map(|(name, detail)| (name.to_string(), detail.to_string())).collect();
    assert_eq!(proposed("fed later by ", 13), both);
    assert_eq!(proposed("fed later by v of van", 14), both);
    assert_eq!(proposed("fed later by v of hut", 14), Vec::new());
}
