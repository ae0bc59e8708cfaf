//! Broken snippets: source, then what the compiler says. Each stands in the surroundings that its heading names.

use super::{context, read};
use fitwright::diagnostics::render::{Style, human};
use std::fmt::Write;

/// Every snippet of a file of snippets with its messages.
fn told(cases: &str) -> String {
    let mut out = String::new();
    for case in cases.split("\n--- ").skip(1) {
        let (heading, snippet) = case.split_once('\n').expect("a heading and a snippet");
        let (title, surroundings) = heading.rsplit_once(" | ").expect("a title and its surroundings");
        let text = context::wrap(surroundings, snippet);
        let (_, findings, sources) = read(&text);
        let said = human(&findings, &sources, Style { width: 100, ..Style::default() });
        writeln!(out, "=== {title}\n\n{}\n\n{}\n", snippet.trim_end(), said.trim_end()).expect("a string");
    }
    out
}

macro_rules! files {
    ($($name:ident)*) => {
        $(#[test]
        fn $name() {
            insta::with_settings!({ omit_expression => true, prepend_module_to_snapshot => false, snapshot_path => "snapshots" }, {
                insta::assert_snapshot!(stringify!($name), told(include_str!(concat!("broken/", stringify!($name), ".txt"))));
            });
        })*
    };
}

files! { steps flow declarations texts characters layout conditions }

#[test]
fn no_snippet_is_in_order() {
    for cases in [
        include_str!("broken/steps.txt"),
        include_str!("broken/flow.txt"),
        include_str!("broken/declarations.txt"),
        include_str!("broken/texts.txt"),
        include_str!("broken/characters.txt"),
        include_str!("broken/layout.txt"),
        include_str!("broken/conditions.txt"),
    ] {
        assert!(!told(cases).contains("no findings"));
        for case in cases.split("\n--- ").skip(1) {
            let (heading, snippet) = case.split_once('\n').expect("a heading");
            let surroundings = heading.rsplit_once(" | ").expect("its surroundings").1;
            let (_, findings, _) = read(&context::wrap(surroundings, snippet));
            let wanted =
                heading.split_once(" x").and_then(|(_, rest)| rest.split(' ').next()?.parse().ok()).unwrap_or(1);
            assert_eq!(findings.len(), wanted, "{heading}: {findings:#?}");
        }
    }
}
