//! Every form of the language, as tree.

use super::read;
use fitwright::source::Sources;
use std::fmt::Debug;

/// The tree of one statement on one line: names, numbers and texts bare, places left out.
fn compact(node: &impl Debug) -> String {
    let mut out = format!("{node:?}");
    for (from, to) in [("Some(", "("), ("None", "-"), ("accepts: [], ", "")] {
        out = out.replace(from, to);
    }
    while let Some(at) = out.find("Span { file: ") {
        let end = out[at..].find('}').map_or(out.len(), |end| at + end + 1);
        let start = ["pattern_span: ", "span: "].iter().find_map(|label| {
            let before = out[..at].strip_suffix(label)?;
            Some(before.strip_suffix(", ").unwrap_or(before).len())
        });
        out.replace_range(start.unwrap_or(at)..end, "");
    }
    for (from, to) in [("Name { text: ", "Name {"), ("Text { value: ", "Text {"), ("Number { text: ", "Number {")] {
        out = out.replace(from, to);
    }
    for kind in ["Name {", "Text {", "Number {"] {
        while let Some(at) = out.find(kind) {
            let end = out[at..].find("\" }").map_or(out.len(), |end| at + end + 1);
            let inside = out[at + kind.len()..end].to_string();
            out.replace_range(
                at..(end + 2).min(out.len()),
                if kind == "Text {" { &inside } else { inside.trim_matches('"') },
            );
        }
    }
    out
}

/// All statements of a file: as written, then as tree.
fn shown(text: &str) -> String {
    let (tree, findings, sources) = read(text);
    assert!(findings.is_empty(), "{findings:#?}");
    let mut out = format!("{}\n", compact(&tree.head));
    for item in &tree.items {
        out.push_str(&format!("\n{}\n=> {}\n", sources.text(item.span), compact(&item.node)));
        for accept in &item.accepts {
            out.push_str(&format!("   {}\n", compact(accept)));
        }
    }
    out
}

fn snapshot(name: &str, text: &str) {
    insta::with_settings!({ omit_expression => true, prepend_module_to_snapshot => false, snapshot_path => "snapshots" }, {
        insta::assert_snapshot!(name, shown(text));
    });
}

#[test]
fn the_sample() {
    snapshot("tree_of_the_sample", include_str!("sample.fitw"));
}

#[test]
fn what_the_sample_does_not_say() {
    snapshot("tree_of_more", include_str!("more.fitw"));
}

#[test]
fn rows_of_libraries() {
    snapshot("tree_of_rows", include_str!("rows.fitw"));
}

#[test]
fn each_library_of_the_project_is_in_order() {
    for entry in std::fs::read_dir("shared/std").expect("the standard library") {
        let path = entry.expect("an entry").path();
        let text = std::fs::read_to_string(&path).expect("a text");
        let (_, findings, _) = read(&text);
        assert!(findings.is_empty(), "{}: {findings:#?}", path.display());
    }
}

/// Every name, number and text of the tree stands where its span says.
#[test]
fn places_are_right() {
    for text in [include_str!("sample.fitw"), include_str!("more.fitw"), include_str!("rows.fitw")] {
        for text in [text.to_string(), text.replace('\n', "\r\n"), format!("\u{feff}{text}")] {
            let (tree, _, sources) = read(&text);
            let leaves = leaves(&format!("{:?} {:?}", tree.head, tree.items));
            assert!(leaves.len() > 50);
            for (kind, value, start, end) in leaves {
                let there = text.get(start..end).expect("within the text");
                let written = match kind {
                    "Text" if there.starts_with('"') => there[1..there.len() - 1].replace("\\\"", "\""),
                    _ => there.split_whitespace().collect::<Vec<_>>().join(" "),
                };
                let value = if kind == "Text" { value } else { value.split_whitespace().collect::<Vec<_>>().join(" ") };
                assert_eq!(written.trim_end(), value.trim_end(), "{kind} at {start}..{end}");
            }
            let _: Sources = sources;
        }
    }
}

/// `Name { text: "x", span: Span { file: FileId(0), start: 1, end: 2 } }` and its like, from a printed tree.
fn leaves(printed: &str) -> Vec<(&'static str, String, usize, usize)> {
    let mut found = Vec::new();
    for (kind, mark) in [("Name", "Name { text: "), ("Number", "Number { text: "), ("Text", "Text { value: ")] {
        for rest in printed.split(mark).skip(1) {
            let Some((value, place)) = rest.split_once(", span: Span { file: FileId(0), start: ") else { continue };
            let value = value.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(value);
            let value = value.replace("\\\"", "\"").replace("\\\\", "\\");
            let (start, place) = place.split_once(", end: ").expect("an end");
            let end = place.split_once(' ').expect("a number").0;
            found.push((kind, value, start.parse().expect("a number"), end.parse().expect("a number")));
        }
    }
    found
}
