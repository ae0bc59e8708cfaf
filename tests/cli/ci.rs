//! What a check says to machines that run it, and the baseline of an old collection.

use std::fs;

use serde_json::Value;

use super::Scratch;

/// A tool that nothing uses, twice over where there are two.
fn jaw(tools: &[&str], line: &str) -> String {
    let tools: String = tools.iter().map(|tool| format!("tool {tool} \"Key {tool}\"\n")).collect();
    format!(
        "procedure oil-jaw \"Oil the jaw\"\n\n{tools}\nsection oil \"Oil it\" {{\n  step wipe \"Wipe the jaw\" {{\n    > Wipe the jaw.\n{line}  }}\n  \
         handover {{ sign installer }}\n}}\n"
    )
}

fn results(text: &str) -> Vec<Value> {
    let log: Value = serde_json::from_str(text).expect("JSON");
    log["runs"][0]["results"].as_array().expect("results").clone()
}

#[test]
fn one_line_a_finding_and_nothing_else() {
    let scratch = Scratch::new().with("jobs/oil.fitw", &jaw(&["key"], "    use jaw-rg\n"));
    let ran = scratch.run(&["check", "--format", "short", "jobs"]).expect(1);
    assert_eq!(ran.out, "jobs/oil.fitw:8:9: error FW0501 no list names the tool `jaw-rg`\n");
    let ran = scratch.run(&["check", "--format", "annotations", "jobs"]).expect(1);
    assert!(
        ran.out
            .starts_with("::error file=jobs/oil.fitw,line=8,col=9,endColumn=15,title=FW0501::no list names the tool"),
        "{}",
        ran.out
    );
    assert_eq!(ran.out.lines().count(), 1);
    let clean = Scratch::new().with("oil.fitw", &jaw(&[], ""));
    for format in ["short", "annotations"] {
        assert_eq!(clean.run(&["check", "--format", format, "oil.fitw"]).expect(0).out, "");
    }
    assert!(results(&clean.run(&["check", "--format", "sarif", "oil.fitw"]).expect(0).out).is_empty());
    for format in ["short", "annotations", "sarif"] {
        clean.run(&["check", "--account", "--format", format, "oil.fitw"]).expect(2);
    }
}

#[test]
fn a_result_is_known_again_wherever_it_stands() {
    let finger = |text: &str| {
        let scratch = Scratch::new().with("a b/oil.fitw", text);
        let ran = scratch.run(&["check", "--format", "sarif", "a b"]);
        let found = results(&ran.out);
        assert!(found.iter().all(|result| result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "a%20b/oil.fitw"));
        let print =
            |result: &Value| result["partialFingerprints"]["fitwrightFinding/v1"].as_str().expect("one").to_owned();
        found.iter().map(print).collect::<Vec<_>>()
    };
    let once = finger(&jaw(&["key"], ""));
    let moved = finger(&jaw(&["key"], "").replace("\n\ntool key", "\n# A remark.\n\n  tool   key"));
    assert_eq!(once, moved, "blanks and lines are no part of it");
    let two = finger(&jaw(&["key", "other"], ""));
    assert!(two.len() == 2 && two[0] == once[0] && two[1] != once[0], "{two:?}");
}

#[test]
fn what_is_accepted_is_told_with_its_reason() {
    let text = jaw(&["key"], "").replace("tool key", "accept FW0502 \"It hangs by the bench.\"\ntool key");
    let scratch = Scratch::new().with("oil.fitw", &text);
    let ran = scratch.run(&["check", "--format", "sarif", "--deny", "warnings", "oil.fitw"]).expect(0);
    let found = results(&ran.out);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0]["suppressions"][0]["justification"], "It hangs by the bench.");
    assert_eq!(found[0]["suppressions"][0]["kind"], "inSource");
}

#[test]
fn a_baseline_tolerates_what_it_lists_and_only_shrinks() {
    let scratch = Scratch::new().with("oil.fitw", &jaw(&["key", "other"], ""));
    let strict = ["check", "--format", "short", "--deny", "warnings", "--baseline", "old.json", "oil.fitw"];
    let ran = scratch.run(&["check", "--write-baseline", "old.json", "oil.fitw"]).expect(0);
    assert!(ran.err.contains("old.json: 2 findings tolerated"), "{}", ran.err);
    let first = fs::read_to_string(scratch.0.join("old.json")).expect("written");
    assert!(!first.contains("\"line"), "no line numbers: {first}");
    let ran = scratch.run(&strict).expect(0);
    assert_eq!((ran.out.as_str(), ran.err.as_str()), ("", ""));
    // A third of the same code is told; the two are not.
    fs::write(scratch.0.join("oil.fitw"), jaw(&["new", "key", "other"], "")).expect("written");
    let ran = scratch.run(&strict).expect(1);
    assert!(ran.out.contains("`new`") && ran.out.lines().count() == 1, "{}", ran.out);
    let ran = scratch.run(&["check", "--format", "sarif", "--baseline", "old.json", "oil.fitw"]).expect(0);
    let states: Vec<Value> = results(&ran.out).iter().map(|result| result["baselineState"].clone()).collect();
    assert_eq!(states, ["new", "unchanged", "unchanged"]);
    // One is mended: in CI the check fails and writes nothing; elsewhere the file shrinks.
    fs::write(scratch.0.join("oil.fitw"), jaw(&["other"], "")).expect("written");
    let mut command = scratch.command(&strict);
    let output = command.env("CI", "true").output().expect("it starts");
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("1 finding of old.json gone"));
    assert_eq!(fs::read_to_string(scratch.0.join("old.json")).expect("there"), first);
    let output = scratch.command(&strict).env_remove("CI").output().expect("it starts");
    assert_eq!(output.status.code(), Some(0));
    let second = fs::read_to_string(scratch.0.join("old.json")).expect("there");
    assert_eq!(second.matches("\"hash\"").count(), 1, "{second}");
    // With an error some rules do not look: nothing counts as gone.
    fs::write(scratch.0.join("oil.fitw"), jaw(&["other"], "    use no-such-tool\n")).expect("written");
    let output = scratch.command(&strict).env_remove("CI").output().expect("it starts");
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(fs::read_to_string(scratch.0.join("old.json")).expect("there"), second);
}

#[test]
fn no_error_is_ever_tolerated() {
    let scratch = Scratch::new().with("oil.fitw", &jaw(&[], "    use no-such-tool\n"));
    let ran = scratch.run(&["check", "--write-baseline", "old.json", "oil.fitw"]).expect(1);
    assert!(ran.err.contains("1 error is not:"), "{}", ran.err);
    let forged = "{\"format\":\"fitwright-baseline\",\"version\":1,\"findings\":[{\"file\":\"oil.fitw\",\"checked\":\"oil.fitw\",\"code\":\"FW0501\",\"hash\":\"0\"}]}";
    for text in [
        forged,
        "{}",
        "[",
        "{\"format\":\"other\",\"version\":1,\"findings\":[]}",
        "{\"format\":\"fitwright-baseline\",\"version\":2,\"findings\":[]}",
    ] {
        fs::write(scratch.0.join("bad.json"), text).expect("written");
        scratch.run(&["check", "--baseline", "bad.json", "oil.fitw"]).expect(2);
    }
    scratch.run(&["check", "--baseline", "none.json", "oil.fitw"]).expect(2);
    scratch.run(&["check", "--baseline", "old.json", "--with", "a=b", "oil.fitw"]).expect(2);
}

/// The examples of the page on CI, in order, in a repository of their own.
#[test]
fn the_examples_of_the_page_work() {
    let page = fs::read_to_string(super::top().join("site/ci.md")).expect("the page");
    let scratch = Scratch::new().with("procedures/oil.fitw", &jaw(&[], ""));
    let program = std::path::Path::new(env!("CARGO_BIN_EXE_fitwright")).parent().expect("its folder").to_owned();
    let path = std::env::join_paths(
        std::iter::once(program).chain(std::env::split_paths(&std::env::var_os("PATH").expect("set"))),
    );
    let path = path.expect("a path");
    let shell = |script: &str| {
        let mut command = std::process::Command::new("sh");
        command.args(["-c", script]).current_dir(&scratch.0).env("PATH", &path).env_remove("CI");
        let output = command.output().expect("a shell");
        (output.status.code(), String::from_utf8_lossy(&output.stdout).into_owned())
    };
    let scripts: Vec<&str> = page.split("```sh\n").skip(1).filter_map(|rest| rest.split("```").next()).collect();
    assert_eq!(scripts.len(), 4);
    let (plain, hook, taken_on, later) = (scripts[0], scripts[1], scripts[2], scripts[3]);
    assert_eq!(shell(plain).0, Some(0));
    assert!(scratch.0.join("out/oil-jaw/manual.html").is_file());
    // The same lines stop at a warning, and write nothing.
    fs::remove_dir_all(scratch.0.join("out")).expect("removed");
    fs::write(scratch.0.join("procedures/oil.fitw"), jaw(&["key"], "")).expect("written");
    assert_eq!(shell(plain).0, Some(1));
    assert!(!scratch.0.join("out").exists());
    assert_eq!((shell(taken_on).0, shell(later).0), (Some(0), Some(0)));
    fs::write(scratch.0.join("procedures/oil.fitw"), jaw(&["key", "new"], "")).expect("written");
    assert_eq!(shell(later).0, Some(1));
    // The hook, where there is a git: silent without a procedure, and in the way of one with an error.
    if shell("git init -q . && git config user.email a@b.c && git config user.name a").0 == Some(0) {
        assert!(hook.starts_with("#!/bin/sh\n"));
        fs::write(scratch.0.join(".git/hooks/pre-commit"), hook).expect("written");
        let commit = "chmod +x .git/hooks/pre-commit && git add -A && git commit -qm x";
        assert_eq!(shell(commit).0, Some(0), "warnings are no errors");
        fs::write(scratch.0.join("procedures/oil.fitw"), jaw(&[], "    use no-such-tool\n")).expect("written");
        assert_ne!(shell(commit).0, Some(0));
        fs::write(scratch.0.join("note.txt"), "x").expect("written");
        assert_eq!(shell("git reset -q && git add note.txt && git commit -qm x").0, Some(0));
    }
    // The commands of the workflow are commands of the program.
    let workflow = page.split("```yaml\n").nth(1).and_then(|rest| rest.split("```").next()).expect("a workflow");
    let commands: Vec<&str> =
        workflow.lines().filter_map(|line| line.split_once("run: fitwright")).map(|(_, rest)| rest).collect();
    assert_eq!(commands.len(), 2);
    for command in commands {
        let code = shell(&format!("fitwright{command}")).0;
        assert!(matches!(code, Some(0 | 1)), "fitwright{command}: {code:?}");
    }
}
