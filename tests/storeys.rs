//! The storeys inside the larger modules: a file uses its own storey and those below, never one above. `tests/circles.rs`
//! finds the arrows, and forbids circles inside a storey. Changing a table here is changing the architecture.

use std::collections::{BTreeMap, BTreeSet};

use crate::architecture::sources;
use crate::circles::{Names, module, uses};

/// Whether the files of a storey may use one another.
#[derive(PartialEq)]
enum Storey {
    Together(&'static [&'static str]),
    Apart(&'static [&'static str]),
}
use Storey::{Apart, Together};

impl Storey {
    fn names(&self) -> &'static [&'static str] {
        match self {
            Together(names) | Apart(names) => names,
        }
    }
}

/// A folder of `src`, and its storeys from the ground up. A name is a file or a folder in it; the folder's `mod.rs`, the door,
/// stands on top of all.
const HOUSES: &[(&str, &[Storey])] = &[
    (
        "resolve",
        &[
            Together(&[
                "actions",
                "attribute",
                "builtin",
                "each",
                "expects",
                "failed",
                "misplaced",
                "quantities",
                "scope",
                "worst_case",
            ]),
            Together(&["load", "pictures", "plausible", "rows"]),
            Together(&["names"]),
            // What is written, sort by sort.
            Together(&[
                "amounts",
                "callouts",
                "circuits",
                "closed",
                "conditions",
                "conductors",
                "fasteners",
                "figures",
                "idle",
                "index",
                "joints",
                "later",
                "lines",
                "prose",
                "shared",
                "stages",
                "again",
                "supplies",
                "things",
                "unused",
            ]),
            Together(&["flow"]),
        ],
    ),
    (
        "space",
        &[
            Together(&["cells", "cone", "extremes", "fewest", "formula", "ids"]),
            // Numbers that comparisons tie together.
            Together(&["differences", "elimination", "linear", "plain", "satisfy"]),
            // What goes in, and what is known of it.
            Together(&["inputs", "numbers", "timeline", "witness"]),
            // What is asked, and who answers.
            Together(&["propagate", "solver", "terms"]),
            Together(&["count", "event", "lacking", "nearby", "seed", "watch"]),
            Together(&["unroll"]),
            // What is told of an answer, and what is emitted on the way.
            Together(&["bounds", "case", "enough", "explain", "implied", "repaired", "steps", "told"]),
        ],
    ),
    (
        "checks",
        &[
            Apart(&["advice", "carried", "from_kit", "gaps", "grains", "had", "heads", "lines", "matching", "words"]),
            Together(&["proof"]),
            Apart(&["heap", "given", "tight"]),
            // The families, which don't know each other.
            Apart(&[
                "alternatives",
                "beyond",
                "circuits",
                "divisors",
                "figures",
                "fit",
                "flow",
                "fuses",
                "handover",
                "idle_tools",
                "joints",
                "lacking",
                "lifting",
                "limits",
                "loads",
                "lugs",
                "members",
                "moved",
                "counted_twice",
                "never_set",
                "odd_units",
                "order",
                "other_lines",
                "parts",
                "pressure",
                "proportions",
                "prose",
                "reach",
                "references",
                "repairs",
                "repeats",
                "unrecorded",
                "waiting",
                "witnessed",
                "rules",
                "safety",
                "studs",
                "supplies",
                "terminals",
                "titles",
                "told",
                "tool_set",
                "tools",
                "torque",
                "wiring",
                "wrench",
            ]),
        ],
    ),
    (
        "emit",
        &[
            Apart(&["text", "words"]),
            Together(&["face", "phrase", "templates"]),
            Apart(&["compared", "drawing", "fitted"]),
            Apart(&["checklist", "sheets"]),
            Apart(&["build", "job"]),
        ],
    ),
    (
        "emit/sheets",
        &[
            Apart(&["frame", "store_table"]),
            Apart(&["manual", "packing_list", "pick_list", "record_summary", "tally", "wire_list", "fit_page"]),
        ],
    ),
    (
        "record",
        &[
            Apart(&["drawing", "numbers", "time", "unreadable"]),
            // The files, as they stand.
            Together(&["archive", "content", "event"]),
            // What the checklist asks for.
            Together(&["conditions", "criteria", "definition", "known", "program"]),
            Together(&["walk"]),
            Apart(&["does", "fault"]),
            // What the events come to.
            Together(&["job", "lines", "replay"]),
            Together(&["judge"]),
            Apart(&["facts", "summary", "words"]),
        ],
    ),
    (
        "fit",
        &[
            Apart(&["data", "head", "records", "sets"]),
            Together(&["asked", "numbers"]),
            Apart(&["cell", "products", "texts"]),
            Together(&["open"]),
            Together(&["judge"]),
            Together(&["write"]),
            Together(&["page"]),
        ],
    ),
];

/// The storey of a file below a folder, from 0; `None` for the folder's door and for files elsewhere.
fn storey(folder: &[String], storeys: &[Storey], file: &Names) -> Option<usize> {
    let own = file.get(folder.len()).filter(|_| file.starts_with(folder))?;
    storeys.iter().position(|storey| storey.names().contains(&own.as_str()))
}

/// What is wrong with a folder: an arrow up, one between files that stand apart, a file in no storey or in two, an entry
/// without a file, a storey that nothing right above it rests on.
fn faults(folder: &str, storeys: &[Storey], uses: &BTreeMap<Names, BTreeSet<Names>>) -> Vec<String> {
    let path: Names = folder.split('/').map(str::to_owned).collect();
    let inside: BTreeSet<&str> = uses
        .keys()
        .filter(|file| file.starts_with(&path))
        .filter_map(|file| Some(file.get(path.len())?.as_str()))
        .collect();
    let entries: Vec<&str> = storeys.iter().flat_map(|storey| storey.names()).copied().collect();
    let mut found: Vec<String> = Vec::new();
    for name in &inside {
        match entries.iter().filter(|entry| *entry == name).count() {
            1 => {}
            0 => found.push(format!("{folder}/{name} stands in no storey")),
            _ => found.push(format!("{folder}/{name} stands in two storeys")),
        }
    }
    let missing = entries.iter().filter(|entry| !inside.contains(**entry));
    found.extend(missing.map(|entry| format!("{folder} has no {entry}, which a storey names")));
    let mut rests: BTreeSet<usize> = BTreeSet::new();
    for (file, used) in uses {
        let Some(own) = storey(&path, storeys, file) else { continue };
        for other in used {
            let Some(its) = storey(&path, storeys, other) else { continue };
            let apart = its == own && matches!(storeys[own], Apart(_)) && file[path.len()] != other[path.len()];
            if its > own || apart {
                let how = if apart { "stands apart from" } else { "stands below" };
                found.push(format!("{} {how} {}, and uses it", file.join("/"), other.join("/")));
            }
            if its + 1 == own {
                rests.insert(own);
            }
        }
    }
    let idle = (1..storeys.len()).filter(|own| !rests.contains(own));
    found.extend(idle.map(|own| format!("{folder}: nothing in {:?} uses the storey below it", storeys[own].names())));
    found
}

#[test]
fn arrows_go_down_inside_the_larger_modules() {
    let files: Vec<(Names, String)> = sources().into_iter().map(|one| (module(&one.path), one.code)).collect();
    let uses = uses(&files);
    let found: Vec<String> = HOUSES.iter().flat_map(|(folder, storeys)| faults(folder, storeys, &uses)).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_search_sees_each_fault() {
    let file = |path: &str, code: &str| (module(path), code.to_owned());
    let files = [
        file("src/a/mod.rs", "mod low;\nmod high;\nmod side;\nuse crate::a::high::H;"),
        file("src/a/low.rs", "pub struct L;"),
        file("src/a/high/mod.rs", "mod inner;\nuse super::low::L;"),
        file("src/a/high/inner.rs", "use crate::a::side::S;"),
        file("src/a/side.rs", "use crate::b::B;"),
        file("src/b.rs", "use crate::a::high::H;"),
    ];
    let uses = uses(&files);
    let count = |storeys: &[Storey]| faults("a", storeys, &uses).len();
    assert_eq!(faults("a", &[Apart(&["low"]), Together(&["high", "side"])], &uses), Vec::<String>::new());
    assert_eq!(count(&[Apart(&["low"]), Apart(&["high", "side"])]), 1, "beside each other");
    assert_eq!(count(&[Apart(&["low"]), Apart(&["high"]), Apart(&["side"])]), 2, "an arrow up, and nothing rests");
    assert_eq!(count(&[Apart(&["low"]), Together(&["high"])]), 1, "in no storey");
    assert_eq!(count(&[Apart(&["low"]), Together(&["high", "side", "gone"])]), 1, "no such file");
    assert_eq!(count(&[Together(&["low", "side"]), Together(&["high", "side"])]), 1, "in two storeys");
}
