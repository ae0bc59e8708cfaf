//! The house's rules, held by reading `src/`: who may use whom, which one file names an engine, and that the library
//! does not panic by design. Changing a table here is changing the architecture; say why in the commit.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Which modules of ours each module may name, apart from itself.
const MAY_USE: &[(&str, &[&str])] = &[
    ("source", &[]),
    ("po", &[]),
    // The same texts in the other form.
    ("xliff", &["po"]),
    ("labels", &["po"]),
    ("world", &[]),
    ("diagnostics", &["source"]),
    ("parse", &["source", "diagnostics"]),
    ("format", &["source", "diagnostics", "parse"]),
    ("quantity", &["labels"]),
    ("prose", &[]),
    ("model", &["source", "quantity"]),
    ("trade", &["quantity"]),
    ("resolve", &["source", "world", "diagnostics", "parse", "prose", "quantity", "model", "trade"]),
    ("intake", &["source", "parse", "prose", "quantity", "resolve", "format"]),
    ("space", &["source", "quantity", "model"]),
    ("working", &["source", "labels", "quantity", "model", "trade"]),
    ("plan", &["source", "quantity", "model", "space", "working"]),
    ("checks", &["source", "diagnostics", "prose", "quantity", "model", "space", "trade", "working", "plan"]),
    ("canonical", &[]),
    ("tailor", &["source", "prose", "diagnostics", "labels", "quantity", "model", "space", "canonical"]),
    ("account", &["source", "diagnostics", "labels", "model", "working", "plan"]),
    // The promise as a table, printed on a page and held by tests.
    ("obligations", &["diagnostics", "parse"]),
    // Edits keep the layout of a text, and so ask the parser for it.
    ("mend", &["source", "diagnostics", "parse"]),
    ("schema", &[]),
    // Texts of a procedure out to a translator, and back.
    ("translate", &["prose", "canonical", "labels", "po", "quantity", "model"]),
    // Reads the files as a stranger would: it knows no model and no compiler.
    ("record", &["source", "diagnostics", "quantity", "canonical", "schema", "labels"]),
    // Counts what `record` judged; it replays nothing itself.
    ("tally", &["source", "diagnostics", "quantity", "record", "schema"]),
    (
        "emit",
        &[
            "source",
            "prose",
            "quantity",
            "model",
            "working",
            "plan",
            "account",
            "canonical",
            "schema",
            "labels",
            "tally",
        ],
    ),
    ("uses", &["source", "world", "diagnostics", "model", "resolve"]),
    (
        "compare",
        &["source", "world", "parse", "quantity", "model", "resolve", "working", "plan", "emit", "schema", "uses"],
    ),
    (
        "compile",
        &[
            "source",
            "world",
            "diagnostics",
            "model",
            "resolve",
            "working",
            "plan",
            "checks",
            "account",
            "tailor",
            "emit",
            "compare",
            "mend",
            "labels",
            "po",
            "translate",
        ],
    ),
    ("audit", &["source", "diagnostics", "parse", "resolve"]),
    // Asks what the proofs ask, of one vehicle after the other; the sums are theirs.
    ("fit", &["source", "diagnostics", "labels", "quantity", "model", "space", "tailor", "emit", "schema"]),
    // What an editor asks; who carries the answers to one is a host.
    ("desk", &["source", "world", "diagnostics", "parse", "quantity", "model", "resolve", "compile"]),
    (
        "cli",
        &[
            "account",
            "source",
            "world",
            "diagnostics",
            "canonical",
            "model",
            "compile",
            "tailor",
            "emit",
            "record",
            "audit",
            "uses",
            "desk",
            "format",
            "intake",
            "compare",
            "tally",
            "labels",
            "po",
            "translate",
            "fit",
            "xliff",
        ],
    ),
    ("main", &[]),
];

/// Each engine, and the one file or folder that may name it, so that it can be replaced there.
const ENGINES: &[(&str, &str)] = &[
    ("miette", "src/diagnostics/render.rs"),
    ("pest", "src/parse/"),
    ("fitwright_grammar", "src/parse/"),
    ("minijinja", "src/emit/"),
    ("pulldown_cmark", "src/prose"),
    ("batsat", "src/space/"),
    ("clap", "src/cli/"),
    ("clap_complete", "src/cli/shell.rs"),
    ("clap_mangen", "src/cli/shell.rs"),
    ("httparse", "src/cli/preview/"),
    ("lsp_server", "src/cli/server/"),
    ("lsp_types", "src/cli/server/"),
    ("strsim", "src/diagnostics/suggest.rs"),
    ("sha2", "src/canonical.rs"),
];

/// What would end the program instead of telling the user.
const ENDINGS: &[&str] = &[".unwrap()", ".expect(\"", "panic!(", "unreachable!(", "todo!(", "unimplemented!("];

/// No file may be longer.
const MOST_LINES: usize = 600;

/// A file of `src/`, by its path from the project's top.
pub(crate) struct Source {
    pub(crate) path: String,
    /// All of it.
    text: String,
    /// Without comments and without its tests.
    pub(crate) code: String,
}

pub(crate) fn sources() -> Vec<Source> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    let mut folders = vec![top.join("src")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("a folder of src") {
            let path = entry.expect("an entry of src").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(&path).expect("a source file");
                let name = path.strip_prefix(top).expect("below the top").to_string_lossy().replace('\\', "/");
                let code = if name.ends_with("/tests.rs") { String::new() } else { code_of(&text) };
                found.push(Source { path: name, text, code });
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    assert!(found.len() > 20, "src was not found whole");
    found
}

/// The lines that run in the program: no comments, nothing after the mark of the tests, which stand last.
fn code_of(text: &str) -> String {
    let tests = text.find("#[cfg(test)]\nmod tests").unwrap_or(text.len());
    text[..tests].lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// `diagnostics` for `src/diagnostics/json.rs`.
fn module_of(path: &str) -> &str {
    path.trim_start_matches("src/").split('/').next().unwrap_or_default().trim_end_matches(".rs")
}

/// The first names after `crate::`, those in braces too.
fn named_modules(code: &str) -> BTreeSet<String> {
    let word = |text: &str| text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut names = BTreeSet::new();
    for after in code.split("crate::").skip(1) {
        match after.strip_prefix('{') {
            None => {
                names.insert(word(after));
            }
            Some(list) => {
                let mut depth = 0;
                let mut start = true;
                for (at, c) in list.char_indices() {
                    match c {
                        '{' => depth += 1,
                        '}' if depth == 0 => break,
                        '}' => depth -= 1,
                        ',' if depth == 0 => start = true,
                        c if start && c.is_alphabetic() => {
                            names.insert(word(&list[at..]));
                            start = false;
                        }
                        _ => {}
                    }
                }
            }
        }
    }
    names.remove("");
    names
}

#[test]
fn modules_use_only_what_the_table_allows() {
    let allowed: BTreeMap<&str, &[&str]> = MAY_USE.iter().copied().collect();
    let modules: BTreeSet<&str> = allowed.keys().copied().collect();
    let mut breaches = Vec::new();
    for source in sources() {
        let module = module_of(&source.path);
        if module == "lib" {
            continue;
        }
        let Some(may) = allowed.get(module) else {
            breaches.push(format!("{} belongs to no module of the table", source.path));
            continue;
        };
        for named in named_modules(&source.code) {
            let ours = modules.contains(named.as_str());
            if ours && named != module && !may.contains(&named.as_str()) {
                breaches.push(format!("{} uses {named}, which {module} may not", source.path));
            }
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

#[test]
fn developers_are_shown_the_table() {
    let page = include_str!("../DEVELOPERS.md");
    let mut shown: Vec<(&str, Vec<&str>)> = Vec::new();
    let (_, table) = page.split_once("| module |").expect("the table");
    for line in table.lines().skip(2).take_while(|line| line.starts_with('|')) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let [module, _, _, may] = cells[..] else { panic!("{line}") };
        let may = if may == "nothing of ours" { Vec::new() } else { may.split(", ").collect() };
        shown.push((module.trim_matches('`'), may));
    }
    let allowed = MAY_USE.iter().filter(|(module, _)| *module != "main").map(|(module, may)| (*module, may.to_vec()));
    let by_name = |mut rows: Vec<(&'static str, Vec<&'static str>)>| {
        rows.sort_unstable();
        rows
    };
    assert_eq!(by_name(shown), by_name(allowed.collect()));
}

#[test]
fn every_permission_of_the_table_is_used() {
    let mut used: BTreeSet<(String, String)> = BTreeSet::new();
    for source in sources() {
        let module = module_of(&source.path).to_owned();
        used.extend(named_modules(&source.code).into_iter().map(|named| (module.clone(), named)));
    }
    let idle: Vec<String> = MAY_USE
        .iter()
        .flat_map(|(module, may)| may.iter().map(move |named| ((*module).to_owned(), (*named).to_owned())))
        .filter(|pair| !used.contains(pair))
        .map(|(module, named)| format!("{module} may use {named} and does not"))
        .collect();
    assert!(idle.is_empty(), "{}", idle.join("\n"));
}

#[test]
fn the_table_has_no_circles() {
    // A module may use only modules that stand above it in the table.
    let mut above = BTreeSet::new();
    for (module, may) in MAY_USE {
        for used in *may {
            assert!(above.contains(used), "{module} may use {used}, which stands below it");
        }
        above.insert(*module);
    }
}

#[test]
fn each_engine_is_named_in_one_place() {
    let mut breaches = Vec::new();
    let mut used = BTreeSet::new();
    for source in sources() {
        for (engine, place) in ENGINES {
            let names = source
                .code
                .match_indices(&format!("{engine}::"))
                .any(|(at, _)| !source.code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':'));
            if names && !source.path.starts_with(place) {
                breaches.push(format!("{} names {engine}; only {place} may", source.path));
            }
            if names {
                used.insert(*engine);
            }
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
    assert!(used.contains("miette") && used.contains("clap"), "the search finds nothing: {used:?}");
}

#[test]
fn only_the_plan_has_a_joint_or_circuit_worked_out() {
    // `joint::working(…)`, `working(…)` after an import; not a method of that name, and not where it is defined.
    let calls = |code: &str| {
        code.match_indices("working(").any(|(at, _)| {
            let before = &code[..at];
            !before.ends_with("fn ") && !before.ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '.')
        })
    };
    let callers: Vec<String> = sources().into_iter().filter(|source| calls(&source.code)).map(|one| one.path).collect();
    assert_eq!(callers, ["src/plan/workings.rs"], "take it from `Plan`, where it stands for all readers");
}

#[test]
fn the_library_does_not_panic_by_design() {
    let mut breaches = Vec::new();
    for source in sources() {
        for (number, line) in source.code.lines().enumerate() {
            if ENDINGS.iter().any(|ending| line.contains(ending)) {
                breaches.push(format!("{} (line {} of its code): {}", source.path, number + 1, line.trim()));
            }
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

/// What in a family of checks could lose a finding without a word: an id that is asked for its number, to look up a row
/// that may not be there or to be packed into a key with something else; a row by number that is passed over where it is
/// missing, or read as what no run does. A map by id has every row, a key is a tuple or an enum. An `else` after another sort of `Option`, or after a
/// look-up by a place (`get(&span)`), is not meant: there "none" says something.
fn loses_rows(code: &str) -> Vec<String> {
    let mut found: Vec<String> = code
        .lines()
        .filter(|line| {
            let read_as_never = line.contains("unwrap_or(Formula::NEVER)")
                && (line.contains(".first()") || line.split(".get(").skip(1).any(|key| !key.starts_with('&')));
            read_as_never || [".index()", "from_index(", "1 << 32"].iter().any(|sign| line.contains(sign))
        })
        .map(|line| line.trim().to_owned())
        .collect();
    for statement in code.split("let ").skip(1) {
        let Some((looked, then)) = statement.split_once("else {") else { continue };
        let at_once = !looked.contains([';', '{']);
        let by_number = looked.split(".get").skip(1).any(|call| {
            let key = call.strip_prefix("_mut").unwrap_or(call).strip_prefix('(');
            key.is_some_and(|key| !key.starts_with('&'))
        });
        let passes = ["return", "continue"].iter().any(|way| then.trim_start().starts_with(way));
        if at_once && by_number && passes {
            found.push(format!("let {looked}else"));
        }
    }
    found
}

#[test]
fn no_finding_is_lost_with_a_missing_row() {
    let checks = sources().into_iter().filter(|source| source.path.starts_with("src/checks/"));
    let lost: Vec<String> = checks
        .flat_map(|source| loses_rows(&source.code).into_iter().map(move |what| format!("{}: {what}", source.path)))
        .collect();
    assert!(lost.is_empty(), "{}", lost.join("\n"));
    // The search sees what it must, and lets stand what it should.
    for lost in [
        "let Some(row) = rows.get_mut(joint.index()) else { return };",
        "let Some(row) =\n    rows.get(number).copied()\nelse {\n    continue;\n};",
        "let (Some(a), Some(b)) = (arms.get(first), arms.get(second)) else { continue };",
        "let key = part.index() + JOINTS;",
        "const JOINTS: usize = 1 << 32;",
        "let here = connected.get(point).copied().unwrap_or(Formula::NEVER);",
        "let source = connected.first().copied().unwrap_or(Formula::NEVER);",
    ] {
        assert!(!loses_rows(lost).is_empty(), "{lost}");
    }
    for kept in [
        "let Some(bolt) = &assembly.bolt else { return };",
        "let Some(place) = places.get(&when.span) else { return };",
        "let before = next.get(&number).copied().unwrap_or(Formula::NEVER);",
        "let row = rows.get(number); if let Some(row) = row { a } else { return }",
    ] {
        assert!(loses_rows(kept).is_empty(), "{kept}");
    }
}

/// Who takes the flow apart by hand, and why the walk of `model` would not do.
const BY_HAND: &[(&str, &str)] = &[
    ("src/model/walk.rs", "is the walk"),
    ("src/resolve/flow.rs", "makes the flow"),
    ("src/space/unroll.rs", "unrolls it into events"),
    ("src/checks/reach.rs", "goes in only where a run comes by"),
    ("src/checks/repeats.rs", "asks which steps stand right behind each other"),
    ("src/checks/prose/jacks.rs", "asks what a step before, on the same way, has left raised"),
    ("src/checks/prose/crossed.rs", "holds the branches on one choice against each other"),
    ("src/tailor/flow.rs", "prunes it"),
    ("src/plan/time.rs", "adds up along the ways"),
    ("src/emit/sheets/manual/flow.rs", "sets it out as blocks"),
    ("src/emit/drawing/flow_map/mod.rs", "draws it"),
    ("src/emit/checklist/fill/flow.rs", "writes it as data"),
    ("src/emit/checklist/fill/content.rs", "goes through the checklist's flow, which is a type of its own"),
];

#[test]
fn the_flow_is_taken_apart_by_hand_only_where_its_structure_is_the_matter() {
    // Who tells branches from other nodes and goes on to what stands inside them goes through the flow.
    let goes_through = |code: &str| {
        ["Node::Choose(", "Node::When("].iter().any(|node| code.contains(node))
            && ["when.then", "arm.body", "repair.body"].iter().any(|inside| code.contains(inside))
    };
    let listed: BTreeSet<&str> = BY_HAND.iter().map(|(path, _)| *path).collect();
    let found: BTreeSet<String> =
        sources().into_iter().filter(|source| goes_through(&source.code)).map(|source| source.path).collect();
    let others: Vec<&String> = found.iter().filter(|path| !listed.contains(path.as_str())).collect();
    assert!(others.is_empty(), "use model::walk, or say in BY_HAND why not: {others:?}");
    let idle: Vec<&&str> = listed.iter().filter(|path| !found.contains(**path)).collect();
    assert!(idle.is_empty(), "no longer by hand: {idle:?}");
}

#[test]
fn files_stay_readable() {
    let long: Vec<String> = sources()
        .iter()
        .filter(|source| source.text.lines().count() > MOST_LINES)
        .map(|source| format!("{} has {} lines", source.path, source.text.lines().count()))
        .collect();
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn every_demo_procedure_and_figure_is_built_in() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let list = fs::read_to_string(top.join("src/cli/demos.rs")).expect("the list");
    for entry in fs::read_dir(top.join("procedures")).expect("the demos") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let ours = ["fitw", "svg", "png", "jpg", "po"].iter().any(|ending| name.ends_with(&format!(".{ending}")));
        assert!(!ours || list.contains(&format!("procedures/{name}\"")), "{name} is not in src/cli/demos.rs");
    }
}

/// What a folder was made by is known by what the program was made from (`src/cli/build/made_from.rs`): so all that is built in has to be watched.
#[test]
fn what_is_built_in_comes_from_where_the_build_looks() {
    let script = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli/build/made_from.rs"))
        .expect("the build script");
    let sources = sources();
    let built_in =
        sources.iter().flat_map(|source| source.text.match_indices("include_").map(move |at| (source, at.0)));
    let mut seen = 0;
    for (source, at) in built_in {
        let Some(path) = source.text[at..].split('"').nth(1).filter(|path| path.starts_with("../")) else { continue };
        let folder = path.split('/').find(|part| *part != "..").expect("a folder");
        assert!(script.contains(&format!("\"{folder}\"")), "{}: {path}", source.path);
        seen += 1;
    }
    assert!(seen > 40, "{seen}");
}

#[test]
fn the_search_sees_what_it_must() {
    let names = named_modules("use crate::{a::{b, c}, d}; fn f(x: crate::e::T) {}");
    assert_eq!(names.into_iter().collect::<Vec<_>>(), ["a", "d", "e"]);
    let code = code_of("let a = 1;\n  // panic!(\n#[cfg(test)]\nmod tests { b.unwrap() }");
    assert_eq!(code, "let a = 1;");
}

/// What a random test has found becomes a test with a name; seeds in a file would lie at the top of the project.
#[test]
fn no_random_test_leaves_a_file() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders = vec![top.join("src"), top.join("tests")];
    let (random, quiet) = (["prop", "test! {"].concat(), ["failure_persistence", ": None"].concat());
    let mut seen = 0;
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(&path).expect("a source file");
                let blocks = text.matches(&random).count();
                seen += blocks;
                assert!(text.matches(&quiet).count() >= blocks, "{} keeps seeds", path.display());
            }
        }
    }
    assert!(seen > 10, "{seen} random tests are looked at");
    assert!(!top.join("proptest-regressions").exists());
}
