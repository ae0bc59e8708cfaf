//! Three products with one source: the family in `procedures/family` is clean; what goes wrong in its shared wiring is said by
//! each of its procedures, at the library's line; and `uses` finds who is concerned.

use std::path::{Path, PathBuf};

use fitwright::compile::{self, Compiled};
use fitwright::diagnostics::render::{Style, human};
use fitwright::uses::Names;
use fitwright::world::Memory;

const PROCEDURES: &[&str] = &["kestrel-arm", "kestrel-awning", "kestrel-roof"];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/family")
}

fn text(path: &str) -> String {
    std::fs::read_to_string(folder().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The family, with an edit in its wiring.
fn world(from: &str, to: &str) -> Memory {
    let wiring = text("lib/wiring.fitw");
    assert!(from.is_empty() || wiring.contains(from), "{from}");
    let world = Memory::default()
        .with("lib/wiring.fitw", wiring.replacen(from, to, 1))
        .with("lib/rails.fitw", text("lib/rails.fitw"));
    PROCEDURES.iter().fold(world, |world, name| world.with(format!("{name}.fitw"), text(&format!("{name}.fitw"))))
}

fn shown(compiled: &Compiled) -> String {
    human(compiled.findings(), compiled.sources(), Style::default())
}

#[test]
fn the_family_is_clean_with_its_libraries() {
    let listed: Vec<String> = std::fs::read_dir(folder())
        .expect("the folder")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok()?.strip_suffix(".fitw").map(str::to_owned))
        .collect();
    assert_eq!(listed.len(), PROCEDURES.len(), "{listed:?}");
    let world = world("", "");
    let files = PROCEDURES.iter().map(|name| format!("{name}.fitw"));
    for path in files.chain(["lib/wiring.fitw".to_owned(), "lib/rails.fitw".to_owned()]) {
        let compiled = compile::check(&path, &world);
        assert!(compiled.findings().is_empty(), "{path}\n{}", shown(&compiled));
        assert_eq!(compiled.is_library(), path.starts_with("lib/"));
        if !compiled.is_library() {
            assert!(compile::build(&compiled).is_some_and(|outputs| outputs.is_ok()), "{path}");
        }
    }
}

/// What a hasty hand does to the one wiring section: each procedure says it, at the library's line, and names itself.
#[test]
fn a_fault_in_the_shared_section_is_said_by_all_three_at_its_line() {
    let edits = [
        // The lead is put back before the feed is connected.
        ("    make  negative-lead off\n", "", "FW0801", "need  negative-lead off"),
        // Nobody connects the feed.
        ("    connect feed\n", "    note \"Connected.\"\n", "FW0903", ""),
        // The warning comes after the work.
        (
            "    need    negative-lead off\n    warning live-circuit {",
            "    warning hot-surface {",
            "FW1101",
            "connect feed",
        ),
        // The vehicle leaves without its battery.
        ("    make  negative-lead on\n", "", "FW0802", ""),
        // A reading that nobody takes.
        ("    read   works\n", "", "FW0406", "works is yes"),
        // A part that no procedure gives.
        ("take  1 harness", "take  1 harnes", "FW0201", "harnes"),
        // One more than is in the box.
        ("take  1 harness", "take  2 harness", "FW0603", ""),
    ];
    for (from, to, code, line) in edits {
        let world = world(from, to);
        for name in PROCEDURES {
            let compiled = compile::check(&format!("{name}.fitw"), &world);
            let told = compiled.findings().iter().find(|finding| finding.code.text() == code);
            let told = told.unwrap_or_else(|| panic!("{name}, {code}: {}", shown(&compiled)));
            let file = |span| compiled.sources().get(span).map_or("", |file| file.name.as_str());
            let lines = told.labels.iter().filter(|label| file(label.span.file) == "lib/wiring.fitw");
            let in_library =
                lines.clone().any(|label| compiled.sources().text(label.span).contains(line.trim()) || line.is_empty());
            assert!(line.is_empty() || in_library, "{name}, {code}: {}", shown(&compiled));
            let says_who = |text: &str| text == format!("brought in here, as section `wiring` of `{name}`");
            assert!(
                lines.count() == 0 || told.labels.iter().any(|label| says_who(&label.text)),
                "{name}, {code}: {}",
                shown(&compiled)
            );
            // Once in each procedure.
            let heads = compiled.findings().iter().map(|one| (one.code, one.span(), one.message.clone()));
            let mut heads: Vec<_> = heads.collect();
            let all = heads.len();
            heads.dedup();
            assert_eq!(heads.len(), all, "{name}: {}", shown(&compiled));
        }
    }
}

/// The steps that use something, as `kestrel-arm 3.2`.
fn steps(name: &str) -> Vec<String> {
    let world = world("", "");
    let mut found = Vec::new();
    for procedure in PROCEDURES {
        let names = Names::read(&format!("{procedure}.fitw"), &world);
        assert!(!names.is_broken());
        for (_, uses) in names.uses(name) {
            found.extend(uses.iter().map(|one| match &one.step {
                Some(step) => format!("{procedure} {}", step.number),
                None => format!("{procedure} {}", one.statement),
            }));
        }
    }
    found.dedup();
    found
}

#[test]
fn uses_finds_every_step_that_a_change_concerns() {
    // The section, by its name and by its library.
    let feed = steps("lib/wiring.feed");
    assert_eq!(feed.len(), 6 + 6 + 6, "{feed:?}");
    assert!(
        feed.contains(&"kestrel-arm 3.1".to_owned()) && feed.contains(&"kestrel-roof 2.5.1".to_owned()),
        "{feed:?}"
    );
    // A part of the procedure, by the section that is given it.
    assert_eq!(steps("lamp-harness"), ["kestrel-roof 2.2", "kestrel-roof kit"]);
    // A tool that stands in a library and in procedures' own steps.
    assert_eq!(
        steps("torque-wrench-40"),
        ["kestrel-arm 1.2", "kestrel-awning 1.2", "kestrel-awning 2.1", "kestrel-roof 1.2"]
    );
    // A row of the standard library, through bolt and joint.
    assert_eq!(
        steps("std/fasteners.M10"),
        ["kestrel-arm 2.1", "kestrel-arm kit", "kestrel-arm 2.1", "kestrel-arm kit"]
    );
    // A joint, a state, a hazard.
    assert_eq!(steps("awning-joint"), ["kestrel-awning 2.1"]);
    assert_eq!(steps("lib/wiring.negative-lead").len(), 3 * 4);
    let live = steps("live-circuit");
    assert!(live.contains(&"kestrel-awning 3.3".to_owned()) && live.len() >= 6, "{live:?}");
    // What nothing uses is known, and has no steps; what is not there is not known.
    assert_eq!(steps("std/hand-tools.socket-19"), Vec::<String>::new());
    let names = Names::read("kestrel-arm.fitw", &world("", ""));
    let known: Vec<String> = names.known().collect();
    assert!(known.contains(&"lib/wiring.feed".to_owned()) && known.contains(&"arm-harness".to_owned()));
    assert!(!known.contains(&"lamp-harness".to_owned()));
}
