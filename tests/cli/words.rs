//! `words`, and `build --language`: files, messages, exit codes.

use super::Scratch;

const HOOK: &str = "procedure hook \"Hook\"\n\nuse std/hazards\n\nsection fit \"Fit the hook\" {\n  step hang \"Hang the hook\" {\n    \
                    caution sharp-edge {\n      hazard      \"The sheet has a sharp edge.\"\n      consequence \"It cuts fingers.\"\n      avoid       \
                    \"Wear gloves.\"\n    }\n    > Hang the hook on the rail.\n    takes 5 min\n  }\n  handover { sign installer }\n}\n";

/// The file as it was written, with every text translated.
fn filled(scratch: &Scratch) -> String {
    let text = std::fs::read_to_string(scratch.0.join("jobs/hook.de.po")).expect("it was written");
    let mut source = String::new();
    let lines = text.lines().map(|line| {
        if let Some(text) = line.strip_prefix("msgid \"") {
            source = text.trim_end_matches('"').to_owned();
        }
        if line == "msgstr \"\"" && !source.is_empty() { format!("msgstr \"Ü {source}\"") } else { line.to_owned() }
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

#[test]
fn texts_are_written_beside_the_procedure_and_built_from_there() {
    let scratch = Scratch::new().with("jobs/hook.fitw", HOOK);
    let none = scratch.run(&["build", "--language", "de", "jobs/hook.fitw"]);
    assert_eq!(none.code, Some(2));
    assert!(none.err.contains("jobs/hook.de.po is not there"), "{}", none.err);
    let ran = scratch.run(&["words", "jobs/hook.fitw", "--to", "de"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(ran.out.starts_with("Wrote jobs/hook.de.po: "), "{}", ran.out);
    // Nothing is translated: the safety message is refused, with the line of each of its texts.
    let refused = scratch.run(&["build", "--language", "de", "jobs/hook.fitw"]);
    assert_eq!(refused.code, Some(1));
    assert!(
        refused.err.contains("jobs/hook.de.po:") && refused.err.ends_with("Nothing was written.\n"),
        "{}",
        refused.err
    );
    assert!(scratch.files("out").is_empty());
    let text = filled(&scratch);
    let scratch = scratch.with("jobs/hook.de.po", &text);
    let built = scratch.run(&["build", "--language", "de", "jobs/hook.fitw"]);
    assert_eq!((built.code, built.err.as_str()), (Some(0), ""), "{}", built.out);
    assert!(scratch.files("out").keys().any(|path| path.contains("hook.de/manual.html")), "{}", built.out);
    // The build of the source stands beside it, and what is brought up to date is the same.
    assert_eq!(scratch.run(&["build", "jobs/hook.fitw"]).code, Some(0));
    assert!(scratch.files("out").keys().any(|path| path.contains("hook/manual.html")));
    let again = scratch.run(&["words", "jobs/hook.fitw", "--to", "de"]);
    assert!(again.out.contains(" 0 to translate, 0 changed since"), "{}", again.out);
    assert_eq!(std::fs::read_to_string(scratch.0.join("jobs/hook.de.po")).expect("there"), text);
}

#[test]
fn what_lacks_is_told_and_stands_on_paper_with_a_mark() {
    let scratch = Scratch::new().with("jobs/hook.fitw", HOOK);
    scratch.run(&["words", "jobs/hook.fitw", "--to", "de"]);
    let text = filled(&scratch).replace("msgstr \"Ü Hang the hook\"", "msgstr \"\"");
    let scratch = scratch.with("other.po", &text);
    let built = scratch.run(&["build", "--language", "de", "--words", "other.po", "jobs/hook.fitw"]);
    assert_eq!(built.code, Some(0), "{}", built.err);
    assert!(built.err.contains("hook: 1 of ") && built.err.contains("step.hang.title"), "{}", built.err);
    let files = scratch.files("out");
    let (_, manual) = files.iter().find(|(path, _)| path.contains("manual.html")).expect("a manual");
    assert!(String::from_utf8_lossy(manual).contains("Hang the hook [en]"));
}

#[test]
fn what_cannot_be_done_is_said() {
    let scratch = Scratch::new().with("jobs/hook.fitw", HOOK).with("jobs/hook.de.po", "hello\n");
    for (arguments, code, says) in [
        (&["words", "jobs/hook.fitw", "--to", "tlh"][..], 2, "no labels in `tlh`"),
        (&["words", "jobs/hook.fitw", "--to", "de"], 1, "jobs/hook.de.po:1:"),
        (&["words", "jobs/hook.fitw", "--to", "de", "--out", "jobs/hook.fitw"], 1, "none of a PO file"),
        (&["build", "--language", "de", "jobs/hook.fitw"], 1, "jobs/hook.de.po:1:"),
        (&["build", "--language", "de", "--since", "jobs/hook.fitw", "jobs/hook.fitw"], 2, "--since"),
        (&["build", "--words", "x.po", "jobs/hook.fitw"], 2, "--language"),
        (&["build", "--language", "de", "--words", "x.po", "jobs/hook.fitw"], 2, "x.po"),
    ] {
        let ran = scratch.run(arguments);
        assert_eq!(ran.code, Some(code), "{arguments:?}: {}", ran.err);
        assert!(ran.err.contains(says), "{arguments:?}: {}", ran.err);
    }
    assert!(scratch.files("out").is_empty());
    assert_eq!(std::fs::read_to_string(scratch.0.join("jobs/hook.fitw")).expect("there"), HOOK);
    assert_eq!(std::fs::read_to_string(scratch.0.join("jobs/hook.de.po")).expect("there"), "hello\n");
}
