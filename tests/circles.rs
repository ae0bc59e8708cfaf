//! No file of `src` needs, over whatever way round, a file that needs it; nor does a module of the job page. A folder's `mod.rs`
//! is its door, and whoever names it needs all that is behind it. Only the files behind a door may use what stands in it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use crate::architecture::sources;

/// Names from the top: `["space", "case", "Case"]`.
pub(crate) type Names = Vec<String>;

/// A `use` or a path in code, as far as it is written: where it starts from, and what it names.
struct Named {
    names: Names,
    /// `pub use`: whoever names it here means it there.
    passed_on: bool,
}

/// The names of a tree behind `::`, `a::{b, c::d}` as `a::b` and `a::c::d`, and the rest of the text.
fn tree<'t>(text: &'t str, before: &[String], found: &mut Vec<Names>) -> &'t str {
    let text = text.trim_start();
    if let Some(mut rest) = text.strip_prefix('{') {
        while !rest.trim_start().is_empty() {
            rest = rest.trim_start().trim_start_matches(',').trim_start();
            if let Some(after) = rest.strip_prefix('}') {
                return after;
            }
            let after = tree(rest, before, found);
            // Whatever is no name, `as name` and the like, ends at the next comma or brace.
            rest = after.find([',', '}']).map_or("", |at| &after[at..]);
        }
        return rest;
    }
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_' && c != '*' && c != '#').unwrap_or(text.len());
    if end == 0 {
        return text;
    }
    let names: Names = before.iter().cloned().chain([text[..end].to_owned()]).collect();
    match text[end..].strip_prefix("::") {
        Some(rest) if rest.starts_with(|c: char| c.is_alphabetic() || "_{*".contains(c)) => tree(rest, &names, found),
        _ => {
            found.push(names);
            &text[end..]
        }
    }
}

/// `["space", "case"]` for `src/space/case.rs`, `["space"]` for `src/space/mod.rs`.
pub(crate) fn module(path: &str) -> Names {
    let path = path.trim_start_matches("src/").trim_end_matches(".rs").trim_end_matches("/mod");
    path.split('/').map(str::to_owned).collect()
}

/// All that a file names of ours. `modules` are what stands in a path before `::` by itself: the modules of its folder, and
/// those that it imports, each with its names from the top.
fn named(own: &[String], code: &str, modules: &BTreeMap<String, Names>) -> Vec<Named> {
    let mut all = Vec::new();
    let starts = ["crate", "self", "super"].into_iter().chain(modules.keys().map(String::as_str));
    for start in starts {
        for (at, _) in code.match_indices(&format!("{start}::")) {
            let before = &code[..at];
            if before.ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':') {
                continue;
            }
            let line = before.rsplit(['\n', ';', '{', '}']).next().unwrap_or_default().trim();
            let passed_on = line.starts_with("pub") && line.ends_with("use");
            let mut found = Vec::new();
            tree(&code[at..], &[], &mut found);
            let whole = |names: Names| match modules.get(start) {
                Some(module) => [module.as_slice(), &names[1..]].concat(),
                None => from_the_top(own, &names),
            };
            all.extend(found.into_iter().map(|names| Named { names: whole(names), passed_on }));
        }
    }
    all
}

fn from_the_top(own: &[String], names: &[String]) -> Names {
    let mut at = own.to_vec();
    let mut names = names;
    match names.first().map(String::as_str) {
        Some("crate") => {
            at.clear();
            names = &names[1..];
        }
        Some("self") => names = &names[1..],
        _ => {}
    }
    while names.first().is_some_and(|name| name == "super") {
        at.pop();
        names = &names[1..];
    }
    at.extend_from_slice(names);
    at
}

/// The files that each file uses, by their modules' names. A door uses the files behind it: whoever goes in by a door may
/// come to any of them.
pub(crate) fn uses(files: &[(Names, String)]) -> BTreeMap<Names, BTreeSet<Names>> {
    let modules: BTreeSet<&Names> = files.iter().map(|(module, _)| module).collect();
    let mut uses: BTreeMap<Names, BTreeSet<Names>> = BTreeMap::new();
    let mut passed: BTreeMap<Names, Names> = BTreeMap::new();
    let mut all: Vec<(&Names, Names)> = Vec::new();
    for (module, code) in files {
        let inside = |other: &&&Names| other.len() == module.len() + 1 && other.starts_with(module);
        let children: Vec<&Names> = modules.iter().copied().filter(|other| inside(&other)).collect();
        uses.entry(module.clone()).or_default().extend(children.iter().copied().cloned());
        let mut known: BTreeMap<String, Names> =
            children.into_iter().filter_map(|child| Some((child.last()?.clone(), child.clone()))).collect();
        for one in named(module, code, &known) {
            let mut names = one.names;
            names.pop_if(|last| last == "self");
            if let (true, Some(last)) = (modules.contains(&names), names.last()) {
                known.insert(last.clone(), names);
            }
        }
        for one in named(module, code, &known) {
            if let (true, Some(last)) = (one.passed_on, one.names.last()) {
                passed.insert(module.iter().cloned().chain([last.clone()]).collect(), one.names.clone());
            } else {
                all.push((module, one.names));
            }
        }
    }
    for (module, mut names) in all {
        // What a door passes on belongs to the file behind it.
        for _ in 0..8 {
            let Some(end) = (1..=names.len()).find(|end| passed.contains_key(&names[..*end])) else { break };
            let rest = names.split_off(end);
            names = passed[&names].clone();
            names.extend(rest);
        }
        let file = (1..=names.len()).rev().map(|end| names[..end].to_vec()).find(|of| modules.contains(of));
        if let Some(file) = file.filter(|file| !module.starts_with(file)) {
            uses.entry(module.clone()).or_default().insert(file);
        }
    }
    uses
}

/// A way from a file back to itself, if there is one.
fn circle<N: Ord + Clone>(uses: &BTreeMap<N, BTreeSet<N>>) -> Option<Vec<N>> {
    fn walk<N: Ord + Clone>(
        at: &N,
        uses: &BTreeMap<N, BTreeSet<N>>,
        way: &mut Vec<N>,
        done: &mut BTreeSet<N>,
    ) -> Option<Vec<N>> {
        if let Some(from) = way.iter().position(|one| one == at) {
            return Some(way[from..].to_vec());
        }
        if !done.insert(at.clone()) {
            return None;
        }
        way.push(at.clone());
        let found = uses.get(at).into_iter().flatten().find_map(|next| walk(next, uses, way, done));
        way.pop();
        found
    }
    let mut done = BTreeSet::new();
    uses.keys().find_map(|start| walk(start, uses, &mut Vec::new(), &mut done))
}

#[test]
fn no_file_needs_a_file_that_needs_it() {
    let files: Vec<(Names, String)> = sources().into_iter().map(|one| (module(&one.path), one.code)).collect();
    let uses = uses(&files);
    let arrows: usize = uses.values().map(BTreeSet::len).sum();
    assert!(arrows > 500, "the search finds only {arrows} arrows");
    let words = |way: Vec<Names>| way.iter().map(|one| one.join("/")).collect::<Vec<_>>().join(" -> ");
    assert_eq!(circle(&uses).map(words), None);
}

#[test]
fn no_module_of_the_job_page_needs_one_that_needs_it() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("site/job");
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("the page's modules") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).expect("a module");
        let named = text.split("from \"./").skip(1).filter_map(|rest| Some(rest.split_once('"')?.0.to_owned()));
        uses.insert(name, named.collect());
    }
    assert!(uses.values().map(BTreeSet::len).sum::<usize>() > 100, "the search finds nothing");
    assert_eq!(circle(&uses), None);
}

#[test]
fn the_search_finds_a_circle() {
    let file = |path: &str, code: &str| (module(path), code.to_owned());
    let door = file("src/a/mod.rs", "mod b;\nmod c;\npub use c::{d::E, F};\nfn f() -> b::B {}");
    let straight = [door.clone(), file("src/a/b.rs", "use super::F;"), file("src/a/c.rs", "pub struct F;")];
    assert_eq!(circle(&uses(&straight)), None);
    let round =
        [door, file("src/a/b.rs", "use super::{super::x, F as G};"), file("src/a/c.rs", "fn f(x: crate::a::b::B) {}")];
    assert_eq!(circle(&uses(&round)).map(|way| way.len()), Some(2));
    // By a door, and by a module that was imported.
    let by_door = [
        file("src/a/mod.rs", "pub mod b;"),
        file("src/a/b.rs", "use crate::x::{self, Y};\nfn f() { x::g() }"),
        file("src/x/mod.rs", "mod z;\npub use z::g;"),
        file("src/x/z.rs", "use crate::a::b::B;"),
    ];
    assert_eq!(circle(&uses(&by_door)).map(|way| way.len()), Some(3));
}
