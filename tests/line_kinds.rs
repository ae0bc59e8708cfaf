//! What must know a kind of line of a step (`use`, `wear`, `tighten` …). The kinds are those of the model; for each, every
//! place is searched for its name, so that a kind that is added tells which place was forgotten.
//!
//! The Rust compiler names some of these places by itself; the grammar, the pages, the schemas, the labels and the scripts
//! it does not see.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// The names of a kind. Nearly always they follow from the one in the model; [`OTHERWISE`] has those that do not.
struct Kind {
    /// In the model: `RemoveJoint`.
    model: String,
    /// In the tree: `Remove`.
    tree: String,
    /// Its rule in the grammar: `remove`.
    rule: String,
    /// What a line in the language begins with: `remove`.
    word: String,
    /// In the checklist, in Rust: `RemoveJoint`. A kind of the model may be several there.
    does: Vec<String>,
    /// Its label in the margin: `remove`.
    row: String,
}

/// The names of a kind as [`Kind`] has them: in the model, in the tree, the rule, the word, in the checklist, the label.
type Names = (&'static str, &'static str, &'static str, &'static str, &'static [&'static str], &'static str);

/// Kinds whose names differ.
const OTHERWISE: &[Names] = &[
    ("Prose", "Prose", "prose", ">", &["Text"], "prose"),
    ("Message", "Message", "message", "warning", &["Message"], "message"),
    ("Use", "Use", "use_tools", "use", &["Use"], "use"),
    ("Do", "Do", "do_action", "do", &["Do"], "do"),
    ("RemoveJoint", "Remove", "remove", "remove", &["RemoveJoint"], "remove"),
    ("RefitJoint", "Refit", "refit", "refit", &["RefitJoint"], "refit"),
    ("MakeParts", "MakeParts", "make_parts", "make", &["Text"], "make_parts"),
    ("Reuse", "Reuse", "reuse", "reuse", &["Text"], "reuse"),
    ("KeepParts", "KeepParts", "keep_parts", "keep", &["Text"], "keep_parts"),
    ("Wait", "Wait", "wait", "wait", &["Text"], "wait"),
    (
        "Record",
        "Record",
        "record",
        "record",
        &["RecordTorque", "RecordReading", "RecordText", "RecordPhoto"],
        "write_down",
    ),
];

/// What is to be found: any of these, or all, where a kind of the model is several in the checklist.
enum Texts {
    Any(Vec<String>),
    All(Vec<String>),
}

/// Where the name of each kind must stand: what the place is for, the file or folder, and the texts of which one is to be found there.
struct Place {
    what: &'static str,
    path: &'static str,
    /// The part of it that is searched: between two texts, or all of it.
    within: Option<(&'static str, &'static str)>,
    texts: fn(&Kind) -> Texts,
    /// Kinds that the place rightly lacks, and why.
    not: (&'static [&'static str], &'static str),
}

const NONE: (&[&str], &str) = (&[], "");

/// The places, on the way from the text to the outputs. DEVELOPERS.md names each of them.
const PLACES: &[Place] = &[
    Place {
        what: "its form",
        path: "grammar/fitwright.pest",
        within: None,
        texts: |kind| Texts::Any(vec![format!("\n{} ", kind.rule)]),
        not: (&["Prose"], "prose is told by its sign before the grammar is asked"),
    },
    Place {
        what: "the line as written",
        path: "src/parse/tree/flow.rs",
        within: Some(("pub enum StepLine {", "\n}")),
        texts: |kind| Texts::Any(vec![format!("\n    {}", kind.tree)]),
        not: NONE,
    },
    Place {
        what: "its reading",
        path: "src/parse/read/flow.rs",
        within: None,
        texts: |kind| Texts::Any(vec![format!("StepLine::{}", kind.tree)]),
        not: NONE,
    },
    Place {
        what: "the form that a message about it shows",
        path: "src/parse/forms/table.rs",
        within: None,
        texts: |kind| Texts::Any(vec![format!("form(Step, \"{}\"", kind.word)]),
        not: (&["Prose"], "prose has no word"),
    },
    Place {
        what: "its examples in the reference of the language",
        path: "grammar/language.md",
        within: None,
        texts: |kind| {
            Texts::Any(vec![
                format!("\n{} ", kind.word),
                format!("\n  {} ", kind.word),
                format!("\n    {} ", kind.word),
                format!(" {{ {} ", kind.word),
            ])
        },
        not: NONE,
    },
    Place {
        what: "its lowering",
        path: "src/resolve/",
        within: None,
        texts: |kind| Texts::Any(vec![format!("LineKind::{}", kind.model)]),
        not: NONE,
    },
    Place {
        what: "the event that it is on a path",
        path: "src/space/",
        within: None,
        texts: |kind| Texts::Any(vec![format!("LineKind::{}", kind.model)]),
        not: NONE,
    },
    Place {
        what: "what it refers to, for a fitting",
        path: "src/tailor/",
        within: None,
        texts: |kind| Texts::Any(vec![format!("LineKind::{}", kind.model)]),
        not: NONE,
    },
    Place {
        what: "what is proved of it",
        path: "src/checks/",
        within: None,
        texts: |kind| Texts::Any(vec![format!("LineKind::{}", kind.model), format!("Effect::{}", kind.model)]),
        not: NONE,
    },
    Place {
        what: "whether it may bring a hazard",
        path: "src/model/flow.rs",
        within: None,
        texts: |kind| Texts::Any(vec![format!("ActionKind::{}", kind.tree)]),
        not: (
            &[
                "Prose",
                "Note",
                "Message",
                "Read",
                "Wear",
                "Need",
                "Make",
                "MakeParts",
                "Reuse",
                "KeepParts",
                "Set",
                "Do",
                "Record",
                "Wait",
                "Figure",
            ],
            "it asks for no work with a part; an action names its hazards itself, and a tool that prose mentions or a reading is taken \
             with is used; making parts is to use its tools, or to take, and keeping them for the owner or using them again brings what they bring (`model/hazards.rs`)",
        ),
    },
    Place {
        what: "its type in the checklist",
        path: "src/emit/checklist/flow.rs",
        within: Some(("pub enum Does {", "\n}")),
        texts: |kind| Texts::All(kind.does.iter().map(|does| format!("\n    {does}")).collect()),
        not: NONE,
    },
    Place {
        what: "its line of the checklist",
        path: "src/emit/checklist/",
        within: None,
        texts: |kind| Texts::Any(vec![format!("LineKind::{}", kind.model)]),
        not: NONE,
    },
    Place {
        what: "its form in the strict schema",
        path: "site/schema/checklist-1.schema.json",
        within: None,
        texts: |kind| kebabs(kind, "\"const\": \"", "\""),
        not: NONE,
    },
    Place {
        what: "its row on the page of the format",
        path: "site/checklist-format.md",
        within: None,
        texts: |kind| kebabs(kind, "`", "`"),
        not: NONE,
    },
    Place {
        what: "its row in the manual",
        path: "src/emit/sheets/manual/",
        within: None,
        texts: |kind| Texts::Any(vec![format!("LineKind::{}", kind.model)]),
        not: NONE,
    },
    Place {
        what: "its label",
        path: "src/labels/mod.rs",
        within: Some(("    Row {", "\n    }")),
        texts: |kind| Texts::Any(vec![format!(" {}: \"", kind.row), format!("r#{}: \"", kind.row)]),
        not: (&["Prose", "Note", "Message", "Figure"], "it stands there without a label"),
    },
    Place {
        what: "its line on the job page",
        path: "site/job/parts.js",
        within: None,
        texts: |kind| kebabs(kind, "case \"", "\""),
        not: (&["Message", "Read", "Record"], "the job page asks for it: `asking.js`"),
    },
    Place {
        what: "its word in the job page's list of kinds",
        path: "site/job/checklist.js",
        within: Some(("kind: `", "`")),
        texts: |kind| kebabs(kind, " ", ""),
        not: NONE,
    },
    Place {
        what: "its members, for the job page's judge",
        path: "site/job/shapes.js",
        within: None,
        texts: |kind| kebabs(kind, "does kind=", " "),
        not: NONE,
    },
    Place {
        what: "its kind for the judge of records, who asks for nothing where `record/program.rs` does not name it",
        path: "src/record/content.rs",
        within: Some(("pub enum DoesText {", "\n}")),
        texts: |kind| Texts::All(kind.does.iter().map(|does| format!("\n    {does}")).collect()),
        not: NONE,
    },
    Place {
        what: "the procedure with every kind",
        path: "tests/emit/every-kind.fitw",
        within: None,
        texts: |kind| Texts::Any(vec![format!(" {} ", kind.word)]),
        not: (&["Disconnect"], "`tests/emit/order.rs` and a demo have one"),
    },
];

/// The names in the checklist between two marks.
fn kebabs(kind: &Kind, before: &str, after: &str) -> Texts {
    Texts::All(kind.does.iter().map(|does| format!("{before}{}{after}", kebab(does, '-'))).collect())
}

/// `remove-joint` for `RemoveJoint`.
fn kebab(name: &str, joint: char) -> String {
    let mut words = String::new();
    for c in name.chars() {
        if c.is_uppercase() && !words.is_empty() {
            words.push(joint);
        }
        words.extend(c.to_lowercase());
    }
    words
}

impl Kind {
    fn of(model: &str) -> Kind {
        if let Some((_, tree, rule, word, does, row)) = OTHERWISE.iter().find(|(name, ..)| *name == model) {
            let does = does.iter().map(|one| (*one).to_owned()).collect();
            let own = |text: &str| text.to_owned();
            return Kind { model: own(model), tree: own(tree), rule: own(rule), word: own(word), does, row: own(row) };
        }
        let (word, row) = (kebab(model, '-'), kebab(model, '_'));
        let own = model.to_owned();
        Kind { model: own.clone(), tree: own.clone(), rule: row.clone(), word, does: vec![own], row }
    }
}

fn top() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A file's text, or that of all Rust files in a folder.
fn text_of(path: &Path) -> String {
    if path.is_file() {
        return fs::read_to_string(path).expect("a text");
    }
    let entries = fs::read_dir(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.expect("an entry").path()).collect();
    paths.retain(|path| path.is_dir() || path.extension().is_some_and(|ending| ending == "rs"));
    paths.iter().map(|path| text_of(path)).collect()
}

/// What of a place is searched. Of a page about the language it is the examples.
fn searched(place: &Place) -> String {
    let text = text_of(&top().join(place.path));
    if place.path.ends_with("language.md") {
        return text.split("```").skip(1).step_by(2).collect();
    }
    let Some((from, to)) = place.within else { return text };
    let (_, after) = text.split_once(from).unwrap_or_else(|| panic!("{} has no {from:?}", place.path));
    after.split(to).next().unwrap_or_default().to_owned()
}

/// Whether a text has a name that does not go on: `LineKind::Re` is not in `LineKind::Read`, nor `remove` in `remove-joint`.
fn has(text: &str, name: &str) -> bool {
    let goes_on = |c: char| c.is_alphanumeric() || c == '_' || c == '-';
    let whole = |end: usize| !name.ends_with(goes_on) || !text[end..].starts_with(goes_on);
    text.match_indices(name).any(|(at, _)| whole(at + name.len()))
}

/// The kinds of the model, in order.
fn kinds() -> Vec<String> {
    let model = text_of(&top().join("src/model"));
    let (_, after) = model.split_once("pub enum LineKind {\n").expect("the kinds of lines");
    let (body, _) = after.split_once("\n}").expect("their end");
    let variants = body.lines().filter_map(|line| line.strip_prefix("    "));
    let variants = variants.filter(|line| line.starts_with(|c: char| c.is_ascii_uppercase()));
    variants.map(|line| line.chars().take_while(|c| c.is_alphanumeric()).collect()).collect()
}

/// What is wrong with one place, for one kind.
fn missing(place: &Place, text: &str, name: &str) -> Option<String> {
    let (texts, found) = match (place.texts)(&Kind::of(name)) {
        Texts::Any(texts) => (texts.join("` or `"), texts.iter().any(|one| has(text, one))),
        Texts::All(texts) => (texts.join("` and `"), texts.iter().all(|one| has(text, one))),
    };
    let excused = place.not.0.contains(&name);
    match (found, excused) {
        (true, false) | (false, true) => None,
        (false, false) => Some(format!(
            "{} does not know `LineKind::{name}` ({}): no `{}`",
            place.path,
            place.what,
            texts.replace('\n', "")
        )),
        (true, true) => Some(format!("{} knows `LineKind::{name}`, and this test says that it does not", place.path)),
    }
}

#[test]
fn every_place_knows_every_kind_of_line() {
    let kinds = kinds();
    assert!(kinds.len() > 20, "the kinds were not found whole: {kinds:?}");
    let mut wrong = String::new();
    for place in PLACES {
        let text = searched(place);
        for line in kinds.iter().filter_map(|kind| missing(place, &text, kind)) {
            let _ = writeln!(wrong, "{line}");
        }
        for name in place.not.0 {
            assert!(kinds.iter().any(|kind| kind == name), "{}: the model has no `LineKind::{name}`", place.path);
            assert!(!place.not.1.is_empty(), "{}: no reason", place.path);
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// A kind that nothing knows is missed at every place: the search can fail.
#[test]
fn a_new_kind_is_missed_everywhere() {
    for place in PLACES {
        let text = searched(place);
        assert!(missing(place, &text, "Burnish").is_some(), "{} is said to know it", place.path);
    }
}

#[test]
fn developers_are_told_of_every_place() {
    let page = text_of(&top().join("DEVELOPERS.md"));
    let (_, after) = page.split_once("- **A line of a step**").expect("the recipe");
    let recipe = after.split("\n- **").next().unwrap_or_default();
    for place in PLACES {
        let path = place.path.trim_start_matches("src/").trim_end_matches('/');
        assert!(recipe.contains(&format!("`{path}")), "{path} is not in the recipe for a line of a step");
    }
}
