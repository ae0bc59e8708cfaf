//! Languages: texts out to a PO file and back, what is refused of a translation, and what stays the same in every language.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use fitwright::compile::{self, CannotTranslate, Compiled, Words};
use fitwright::labels::{ENGLISH, FOR_THE_MAKER, Language, language_of, pieces, tags};
use fitwright::po::{self, Entry, File};
use fitwright::world::Memory;
use fitwright::xliff;
use serde_json::Value;

/// Our own little procedure: a shelf bolted to a van's wall.
const SHELF: &str = "procedure shelf \"Shelf\"

use std/fasteners
use std/hand-tools
use std/hazards

part shelf \"Shelf, 0.5 m\"
part shelf-bolt   bolt M8 x 25 mm, class 8.8, hex head
part shelf-washer washer M8

kit {
  box { 1 shelf }
  bag A { 4 shelf-bolt, 4 shelf-washer }
}

joint shelf-joint \"Shelf to wall\" {
  each   shelf-bolt, shelf-washer
  count  4
  torque 20.5 N.m +- 2 N.m
  thread plated
  grip   6 mm
  into   steel 12 mm through
}

section fit \"Fit the shelf\" {
  step hang \"Hang the shelf\" {
    caution sharp-edge {
      hazard      \"The sheet has a sharp edge.\"
      consequence \"It cuts fingers.\"
      avoid       \"Wear gloves.\"
    }
    > Hold the [shelf] *at least* [1.5 m] above the floor.
    > Push the bolts in.
    take  1 shelf
    place shelf-joint
    takes 5 min
    note  \"It hangs by itself.\"
  }
  step torque-shelf \"Torque the shelf\" {
    snug    shelf-joint with socket-13
    tighten shelf-joint with torque-wrench-3-8-drive, socket-13
    takes   5 min
  }
  handover { sign installer }
}
";

fn top(path: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn german() -> &'static Language {
    language_of("de").expect("German")
}

fn compiled(text: &str) -> Compiled {
    let compiled = compile::check("shelf.fitw", &Memory::default().with("shelf.fitw", text));
    assert!(!compiled.has_errors(), "{:?}", compiled.findings());
    compiled
}

/// The file of a text, with each translation made of the text itself: the words turned round.
fn filled(text: &str) -> File {
    let mut file = compiled(text).words(german(), None).expect("clean").file;
    for entry in &mut file.entries {
        entry.text = format!("Ä {}", entry.source.replace('*', "**").replace("**", "*"));
    }
    file
}

/// As a build has it.
fn words(texts: &File) -> Option<Words<'_>> {
    Some(Words { texts, bytes: b"as it lies there" })
}

fn faults(text: &str, file: &File) -> Vec<po::Fault> {
    match compiled(text).translate(german(), words(file)) {
        Err(CannotTranslate::Faults(faults)) => faults,
        other => panic!("it should be refused: {other:?}"),
    }
}

fn entry<'f>(file: &'f mut File, key: &str) -> &'f mut Entry {
    let found = file.entries.iter_mut().find(|entry| entry.context.as_deref() == Some(key));
    found.unwrap_or_else(|| panic!("{key} is there"))
}

fn manual(compiled: &Compiled) -> String {
    let outputs = compile::build(compiled).expect("clean").expect("it is built");
    String::from_utf8(outputs.file("manual.html").expect("a manual").to_vec()).expect("UTF-8")
}

#[test]
fn what_is_written_is_read_again_and_numbers_and_mentions_are_held() {
    let file = filled(SHELF);
    let text = po::write(&file);
    let read = po::read(text.as_bytes()).expect("it is a PO file");
    let bare = |file: &File| file.entries.iter().map(|e| Entry { line: 0, ..e.clone() }).collect::<Vec<_>>();
    assert_eq!((bare(&read), &read.header), (bare(&file), &file.header));
    let texts: BTreeMap<&str, &str> =
        read.entries.iter().map(|e| (e.context.as_deref().unwrap_or(""), e.source.as_str())).collect();
    assert_eq!(texts["step.hang.do.1"], "Hold the {shelf} *at least* {q1} above the floor.");
    assert_eq!(texts["part.shelf.title"], "Shelf, {q1}");
    assert_eq!(texts["step.hang.caution.1.avoid"], "Wear gloves.");
    assert!(
        texts.values().all(|text| text.split(['{', '}']).step_by(2).all(|plain| !plain.contains(char::is_numeric)))
    );
}

#[test]
fn a_build_says_the_translation_with_the_numbers_of_the_locale() {
    let mut shelf = compiled(SHELF);
    let lacks = shelf.translate(german(), words(&filled(SHELF))).expect("it fits");
    assert_eq!((lacks.missing.len(), lacks.outdated.len()), (0, 0));
    let manual = manual(&shelf);
    for wanted in [
        "lang=\"de\"",
        "Ä Hang the shelf",
        "20,5\u{a0}N·m",
        "1,5\u{a0}m",
        "0,5\u{a0}m",
        "VORSICHT",
        "Schritt",
        "<em>at least</em>",
    ] {
        assert!(manual.contains(wanted), "{wanted}");
    }
    assert!(!manual.contains("20.5\u{a0}N·m") && !manual.contains("CAUTION"));
    // What is not translated from this text stands in English, with a mark.
    let mut file = filled(SHELF);
    entry(&mut file, "step.hang.note.1").text.clear();
    entry(&mut file, "step.torque-shelf.title").source = "Torque it".to_owned();
    let mut shelf = compiled(SHELF);
    let lacks = shelf.translate(german(), words(&file)).expect("it fits");
    assert_eq!(lacks.missing, ["step.hang.note.1"]);
    assert_eq!(lacks.outdated, ["step.torque-shelf.title"]);
    let build = compile::build(&shelf).expect("clean").expect("outputs");
    let build: Value = serde_json::from_slice(build.file("build.json").expect("a record of the build")).expect("JSON");
    assert_eq!(build["language"], "de");
    // Worked out by `printf 'as it lies there' | sha256sum`.
    let sha256 = "b10f981cd7e218508c6da5417cb4164ae2d6ec0644878cccc4e8b79e58f06c50";
    let translation = serde_json::json!({"bytes": 16, "sha256": sha256, "texts": lacks.all,
        "missing": ["step.hang.note.1"], "outdated": ["step.torque-shelf.title"]});
    assert_eq!(build["translation"], translation);
    let manual = self::manual(&shelf);
    assert!(manual.contains("It hangs by itself. [en]") && manual.contains("Torque the shelf [en]"));
}

#[test]
fn a_safety_message_without_its_translation_is_refused() {
    let key = "step.hang.caution.1.avoid";
    for (change, says) in [
        (Box::new(|e: &mut Entry| e.text.clear()) as Box<dyn Fn(&mut Entry)>, "is not translated"),
        (Box::new(|e| e.source = "Wear thick gloves.".to_owned()), "of another text"),
        (Box::new(|e| e.fuzzy = true), "of another text"),
    ] {
        let mut file = filled(SHELF);
        change(entry(&mut file, key));
        let faults = faults(SHELF, &file);
        assert!(faults.iter().any(|fault| fault.what.contains(key) && fault.what.contains(says)), "{faults:?}");
    }
    let mut file = filled(SHELF);
    file.entries.retain(|entry| entry.context.as_deref() != Some(key));
    assert_eq!(faults(SHELF, &file).len(), 1);
}

#[test]
fn what_a_translation_must_not_do_is_told_with_its_line() {
    let key = "step.hang.do.1";
    for (translation, says) in [
        ("Halte *mindestens* {q1}.", "`{shelf}` is missing"),
        ("{shelf} {shelf} *x* {q1}", "more often"),
        ("{shelf} *x* {q1} {q2}", "`{q2}` is not held"),
        ("{shelf} *x* {q1} 52", "digit `5`"),
        ("{shelf} *x* {q1} [shelf]", "`[`"),
        ("{shelf} x {q1}", "emphasis"),
        ("- {shelf} *x* {q1}", "emphasis, lists or links"),
        ("{shelf} *x* {q1} <b>a</b>", "emphasis, lists or links"),
        ("{shelf} *x* {q1} \u{202e}a", "U+202E"),
        ("{shelf} *x* {q1} \u{1}", "U+0001"),
        ("{shelf *x* {q1}", "brace"),
    ] {
        let mut file = filled(SHELF);
        entry(&mut file, key).text = translation.to_owned();
        let text = po::write(&file);
        let line = 1 + text.lines().position(|line| line.contains("Hold the {shelf}")).expect("it is there");
        let read = po::read(text.as_bytes()).expect("PO");
        let faults = faults(SHELF, &read);
        assert_eq!(faults.len(), 1, "{translation}: {faults:?}");
        assert!(faults[0].what.contains(says) && faults[0].line == line, "{translation}: {faults:?}, not line {line}");
    }
    // Two things that would be called alike.
    let mut file = filled(SHELF);
    entry(&mut file, "step.hang.title").text = "Brett".to_owned();
    entry(&mut file, "step.torque-shelf.title").text = "Brett".to_owned();
    assert!(faults(SHELF, &file)[0].what.contains("both be called"));
}

#[test]
fn a_file_that_is_no_po_file_is_refused_with_the_line() {
    let header = "msgid \"\"\nmsgstr \"Content-Type: text/plain; charset=UTF-8\\n\"\n\n";
    let one = "msgctxt \"a\"\nmsgid \"x\"\nmsgstr \"y\"\n";
    for (text, line, says) in [
        (format!("{header}{one}\n{one}"), 9, "a second time"),
        (format!("{header}msgid \"x\n"), 4, "not closed"),
        (format!("{header}msgid \"x\"\n"), 4, "`msgstr` is missing"),
        (format!("{header}msgctxt \"x\"\n\n{one}"), 5, "`msgid` is missing"),
        (format!("{header}msgid \"x\"\nmsgid_plural \"y\"\n"), 5, "no plural forms"),
        (format!("{header}msgid \"x\"\nmsgstr[0] \"y\"\n"), 5, "no plural forms"),
        (format!("{header}hello\n"), 4, "none of a PO file"),
        (format!("{header}msgid \"\\q\"\n"), 4, "backslash"),
        (format!("{header}\"x\"\n"), 4, "belongs to nothing"),
        (format!("{header}msgid \"{}\"\nmsgstr \"\"\n", "x".repeat(30_000)), 4, "longer than"),
        ("msgid \"\"\nmsgstr \"Content-Type: text/plain; charset=ISO-8859-1\\n\"\n".to_owned(), 1, "character set"),
        (format!("{header}{header}"), 4, "second header"),
    ] {
        let faults = po::read(text.as_bytes()).expect_err("it is refused");
        assert!(faults.iter().any(|fault| fault.line == line && fault.what.contains(says)), "{says}: {faults:?}");
    }
    assert_eq!(po::read(b"msgid \"\"\nmsgstr \"\"\n\nmsgid \"\xe4\"\n").expect_err("Latin-1")[0].line, 4);
    assert!(po::read(b"\xff\xfem\0s\0").expect_err("UTF-16")[0].what.contains("UTF-16"));
    assert!(po::read(&vec![b'x'; po::MOST_BYTES + 1]).expect_err("too large")[0].what.contains("8 MB"));
    // A byte order mark and the line ends of Windows are no fault.
    let file = po::read(format!("\u{feff}{header}{one}").replace('\n', "\r\n").as_bytes()).expect("it is read");
    assert_eq!((file.entries.len(), file.entries[0].line), (1, 5));
    // Nothing that comes in ends the program.
    let whole = po::write(&filled(SHELF));
    for end in (0..whole.len()).filter(|end| whole.is_char_boundary(*end)).step_by(7) {
        let _ = po::read(&whole.as_bytes()[..end]);
    }
}

#[test]
fn a_file_that_is_brought_up_to_date_loses_nothing() {
    let mut old = filled(SHELF);
    entry(&mut old, "step.hang.do.2").comments.push("the translator's own".to_owned());
    old.header.push(("Last-Translator".to_owned(), "A. Translator".to_owned()));
    let before: BTreeSet<String> = old.entries.iter().map(|entry| entry.text.clone()).collect();
    // One action before the others, one text reworded, one gone.
    let text = SHELF
        .replace("    > Hold the", "    > Clean the wall.\n    > Hold the")
        .replace("Wear gloves.", "Wear thick gloves.")
        .replace("    note  \"It hangs by itself.\"\n", "");
    let merged = compiled(&text).words(german(), Some(&old)).expect("clean");
    let after: BTreeSet<String> = merged.file.entries.iter().map(|entry| entry.text.clone()).collect();
    assert!(before.is_subset(&after), "{:?}", before.difference(&after).collect::<Vec<_>>());
    assert_eq!((merged.outdated, merged.kept, merged.all - merged.done - merged.outdated), (1, 1, 1));
    let mut file = merged.file;
    assert_eq!(file.field("Last-Translator"), Some("A. Translator"));
    let moved = entry(&mut file, "step.hang.do.3");
    assert_eq!((moved.text.as_str(), moved.fuzzy), ("Ä Push the bolts in.", false));
    assert_eq!(moved.comments, ["the translator's own"]);
    let reworded = entry(&mut file, "step.hang.caution.1.avoid");
    assert_eq!((reworded.fuzzy, reworded.previous.as_deref()), (true, Some("Wear gloves.")));
    assert!(entry(&mut file, "step.hang.note.1").obsolete);
    // Written, read and brought up to date once more, it is the same; and where the old text comes back, so does its translation.
    let text_of = |file: &File| po::write(file);
    let read = po::read(text_of(&file).as_bytes()).expect("PO");
    let again = compiled(&text).words(german(), Some(&read)).expect("clean").file;
    assert_eq!(text_of(&again), text_of(&file));
    let back = compiled(SHELF).words(german(), Some(&read)).expect("clean");
    assert_eq!(
        (back.done, back.all),
        (back.all - 1, back.all),
        "the reworded message stays fuzzy until somebody looks"
    );
    assert!(faults(&text, &read).iter().any(|fault| fault.what.contains("caution.1.avoid")));
}

/// Members of the checklist that hold texts. The digest of a step's content is one of texts too.
const TEXTS: &[&str] = &[
    "title",
    "text",
    "markdown",
    "fits",
    "skill",
    "licence",
    "local_codes",
    "total",
    "when_words",
    "time",
    "remarks",
    "people",
    "people_remark",
    "label",
    "shown",
    "reads_shown",
    "reason",
    "words",
    "stop",
    "detail",
    "called",
    "when",
    "benefit",
    "licensed",
    "from",
    "thread",
    "clamps_with",
    "metal",
    "tight",
    "ends",
    "drop_words",
    "carries_words",
    "content_digest",
    "expects_words",
    "alt",
    "nature",
    "consequence",
    "avoid",
    "covers",
    "what",
    "until",
    "work",
    "who",
    "colour",
    "wire_words",
    "order_words",
    "stages_words",
    "carries",
    "value_words",
    "group_title",
    "why",
    "language",
];

/// The members in which two checklists differ, and what differs otherwise than in a text.
fn differ(one: &Value, other: &Value, name: &str, found: &mut BTreeSet<String>) {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            let names: BTreeSet<&String> = one.keys().chain(other.keys()).collect();
            for name in names {
                match (one.get(name), other.get(name)) {
                    (Some(one), Some(other)) => differ(one, other, name, found),
                    _ if name == "language" || name == "detail" => {}
                    _ => drop(found.insert(format!("{name} is in one only"))),
                }
            }
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            one.iter().zip(other).for_each(|(one, other)| differ(one, other, name, found));
        }
        (Value::String(_), Value::String(_)) if one != other => drop(found.insert(name.to_owned())),
        _ if one != other => drop(found.insert(format!("{name}: {one} and {other}"))),
        _ => {}
    }
}

#[test]
fn the_data_of_a_checklist_are_the_same_in_every_language() {
    let world = Memory::default()
        .with("kestrel-rack.fitw", fs::read(top("procedures/kestrel-rack.fitw")).expect("a demo"))
        .with("figures/kestrel-rail.svg", fs::read(top("procedures/figures/kestrel-rail.svg")).expect("its figure"));
    let file = po::read(&fs::read(top("procedures/kestrel-rack.de.po")).expect("its translation")).expect("PO");
    let checklist = |tag: &str| -> Value {
        let mut kestrel = compile::check("kestrel-rack.fitw", &world);
        let lacks = kestrel.translate(language_of(tag).expect("a language"), words(&file)).expect("it fits");
        assert_eq!((&lacks.missing, &lacks.outdated), (&Vec::new(), &Vec::new()), "the German demo is complete");
        let outputs = compile::build(&kestrel).expect("clean").expect("it is built");
        serde_json::from_slice(outputs.file("checklist.json").expect("a checklist")).expect("JSON")
    };
    let english = checklist("en");
    for tag in ["de", "en-XA", "ar-XB"] {
        let mut found = BTreeSet::new();
        differ(&english, &checklist(tag), "", &mut found);
        let others: Vec<&String> = found.iter().filter(|name| !TEXTS.contains(&name.as_str())).collect();
        assert!(others.is_empty(), "{tag}: {others:?}");
        assert!(found.contains("markdown") && found.contains("avoid"), "{tag}: {found:?}");
    }
}

#[test]
fn a_line_from_right_to_left_keeps_its_values_in_order() {
    let mut shelf = compiled(SHELF);
    shelf.translate(language_of("ar-XB").expect("mirrored"), None).expect("it needs no file");
    let manual = manual(&shelf);
    // UAX 9: LEFT-TO-RIGHT ISOLATE before, POP DIRECTIONAL ISOLATE behind.
    assert!(manual.contains("dir=\"rtl\"") && manual.contains("\u{2066}20.5\u{a0}N·m\u{2069}"));
    let job = compile::build(&shelf).expect("clean").expect("built");
    let job = String::from_utf8_lossy(job.file("job.html").expect("a page")).into_owned();
    assert!(job.contains("<html lang=\"ar-XB\" dir=\"rtl\">"));
    // English again afterwards: nothing of a language stays behind.
    assert!(self::manual(&compiled(SHELF)).contains("CAUTION"));
}

#[test]
fn each_catalogue_is_whole_and_says_of_each_label_whether_somebody_reviewed_it() {
    let page = fs::read_to_string(top("site/translation.md")).expect("the page");
    let mut seen = 0;
    for tag in tags() {
        let language = language_of(tag).expect("a language");
        if language.pseudo {
            continue;
        }
        seen += 1;
        let file = po::read(&fs::read(top(&format!("site/labels/{tag}.po"))).expect("a catalogue")).expect("PO");
        let mut labels = ENGLISH;
        let mut all = BTreeMap::new();
        labels.each(&mut |group, label, text| {
            if !FOR_THE_MAKER.contains(&group) {
                all.insert(format!("{group}.{label}"), *text);
            }
        });
        let by_key: BTreeMap<&str, &Entry> =
            file.entries.iter().map(|e| (e.context.as_deref().unwrap_or(""), e)).collect();
        for (key, english) in &all {
            let entry = by_key.get(key.as_str()).unwrap_or_else(|| panic!("{tag} lacks {key}"));
            assert_eq!((entry.source.as_str(), entry.fuzzy), (*english, false), "{tag}: {key} is of another text");
            assert!(!entry.text.is_empty(), "{tag}: {key}");
            let places = |text: &str| -> BTreeSet<String> {
                pieces(text)
                    .into_iter()
                    .filter_map(|piece| match piece {
                        fitwright::labels::Piece::Place(name) => Some(name.to_owned()),
                        fitwright::labels::Piece::Text(_) => None,
                    })
                    .collect()
            };
            assert_eq!(places(english), places(&entry.text), "{tag}: {key}");
            let digits = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
            assert_eq!(digits(english), digits(&entry.text), "{tag}: {key}");
            let mark = entry.comments.first().map(String::as_str).unwrap_or_default();
            assert!(mark == "from memory" || mark.starts_with("reviewed by "), "{tag}: {key} says “{mark}”");
        }
        assert_eq!(file.entries.len(), all.len(), "{tag} has entries that are no labels");
        let (reviewed, from_memory) = language.reviewed;
        assert_eq!(reviewed + from_memory, all.len(), "{tag}");
        let row = format!("| {} | `{tag}` | {} | {reviewed} | {from_memory} |", language.name, all.len());
        assert!(page.contains(&row), "site/translation.md says otherwise than\n{row}");
    }
    assert!(seen > 0);
}

/// What is written as XLIFF is read again as it was, whatever stands in it; what is of PO alone (flags, places, lines) apart.
#[test]
fn xliff_keeps_what_po_keeps() {
    let entry = |name: &str, source: &str, text: &str| Entry {
        context: Some(name.to_owned()),
        source: source.to_owned(),
        text: text.to_owned(),
        ..Entry::default()
    };
    let file = po::File {
        comments: vec!["Shelf in German.".to_owned()],
        header: vec![
            ("Language".to_owned(), "de".to_owned()),
            ("Last-Translator".to_owned(), "A <a@example.org>".to_owned()),
        ],
        entries: vec![
            entry("a.title", "Hold {shelf} {q1} & <wait>", "Halte {q1} {shelf} & <warte>"),
            entry("b.title", "Twice {q1} and {q1}, {{braces}}", "Zweimal {q1} und {q1}, {{Klammern}}"),
            Entry {
                fuzzy: true,
                previous: Some("Old \"text\"".to_owned()),
                comments: vec!["Ask the maker.".to_owned()],
                notes: vec!["{q1}: 20 N·m".to_owned()],
                ..entry("c.title", "New text\n  of two lines", "Alter Text")
            },
            entry("d.title", "Untranslated", ""),
            Entry { obsolete: true, ..entry("a.title", "Gone", "Fort") },
        ],
    };
    let written = xliff::write(&file, "shelf", ("en", "de"));
    let mut read = xliff::read(written.as_bytes()).expect("XLIFF");
    for entry in &mut read.entries {
        assert!(entry.line > 1);
        entry.line = 0;
    }
    assert_eq!(read, file);
}

/// Segments that a translator's program made of one text are one text again, and its remarks on a place change nothing.
#[test]
fn xliff_is_read_as_programs_for_translators_leave_it() {
    let unit = |inside: &str| {
        format!(
            "<?xml version='1.0'?>\n<xliff xmlns='urn:oasis:names:tc:xliff:document:2.0' version='2.0' srcLang='en' trgLang='de'>\n<file id='f'>\n\
             <unit id='t1' name='a.title'>{inside}</unit></file></xliff>"
        )
    };
    let read = |inside: &str| {
        let file = xliff::read(unit(inside).as_bytes()).expect("XLIFF");
        (file.entries[0].source.clone(), file.entries[0].text.clone())
    };
    let two = "<segment><source>Stop.</source><target>Halt.</target></segment><ignorable><source> </source></ignorable>\
               <segment><source>Wait <mrk id='m' type='term'>here</mrk>.</source><target>Warte &#x68;ier.</target></segment>";
    assert_eq!(read(two), ("Stop. Wait here.".to_owned(), "Halt. Warte hier.".to_owned()));
    let half =
        "<segment><source>Stop. </source><target>Halt. </target></segment><segment><source>Wait.</source></segment>";
    assert_eq!(read(half), ("Stop. Wait.".to_owned(), String::new()), "half a translation is none");
    for (bad, says) in [
        ("<segment><source>a<pc id='1'>b</pc></source></segment>".to_owned(), "`pc` stands in a text"),
        ("<segment><source>&nbsp;</source></segment>".to_owned(), "the entity `&nbsp;` is not declared"),
        (format!("<segment><source>{}</source></segment>", "x".repeat(30_000)), "longer than 20000 bytes"),
        ("<a>".repeat(100_000), "more than 32 deep"),
        ("<segment><source>a</segment>".to_owned(), "no XML that can be read"),
    ] {
        let faults = xliff::read(unit(&bad).as_bytes()).expect_err("refused");
        assert!(faults.len() == 1 && faults[0].line >= 4 && faults[0].what.contains(says), "{says}: {faults:?}");
    }
    for (bad, says) in [
        ("<html/>", "`html`"),
        ("", "no XLIFF"),
        ("<xliff version='1.2'/>", "XLIFF 1.2"),
        ("<!DOCTYPE x>", "document type"),
    ] {
        let faults = xliff::read(bad.as_bytes()).expect_err("refused");
        assert!(faults[0].what.contains(says), "{says}: {faults:?}");
    }
}
