//! `check --fix`: what it makes, what it leaves alone, and what it says.

use std::fs;

use super::Scratch;

pub(super) const SLIPS: &str = "procedure oil-jaw \"Oil the jaw\"\n\npart cross-beam \"Cross-beam\"\n\nvehicle { 1 cross-beam }\n\nsection oil \"Oil it\" \
                     {\n  accept FW0502 \"Once it was so.\"\n  step wipe \"Wipe the beam\" {\n    > Wipe the [cross-beam].\n    remove 1 \
                     cros-beam\n    takes 5 min;\n    refit 1 cross-beam\n  }\n  handover { sign installer }\n}\n";

const MENDED: &str = "procedure oil-jaw \"Oil the jaw\"\n\npart cross-beam \"Cross-beam\"\n\nvehicle { 1 cross-beam }\n\nsection oil \"Oil it\" \
                      {\n  step wipe \"Wipe the beam\" {\n    > Wipe the [cross-beam].\n    remove 1 cross-beam\n    takes 5 min\n    refit 1 \
                      cross-beam\n  }\n  handover { sign installer }\n}\n";

#[test]
fn what_is_safe_is_mended_and_told() {
    let scratch = Scratch::new().with("jobs/oil.fitw", SLIPS);
    let ran = scratch.run(&["check", "--fix", "jobs"]).expect(0);
    let text = fs::read_to_string(scratch.0.join("jobs/oil.fitw")).expect("there");
    assert_eq!(text, MENDED, "{}", ran.err);
    assert!(ran.err.contains("jobs/oil.fitw: 3 fixes\n  FW0201: Write `cross-beam`\n"), "{}", ran.err);
    assert!(ran.err.contains("FW0101: Delete it") && ran.err.contains("FW0116: Take it out"), "{}", ran.err);
    assert!(ran.out.contains("no findings"), "{}", ran.out);
    // A second run has nothing to do, and says nothing.
    let ran = scratch.run(&["check", "--fix", "jobs"]).expect(0);
    assert!(ran.err.is_empty(), "{}", ran.err);
}

#[test]
fn line_ends_and_a_mark_at_the_beginning_stay() {
    let marked = format!("\u{feff}{}", SLIPS.replace('\n', "\r\n"));
    let scratch = Scratch::new().with("oil.fitw", &marked);
    scratch.run(&["check", "--fix", "oil.fitw"]).expect(0);
    let text = fs::read_to_string(scratch.0.join("oil.fitw")).expect("there");
    assert_eq!(text, format!("\u{feff}{}", MENDED.replace('\n', "\r\n")));
}

#[test]
fn what_somebody_must_look_at_is_left_and_offered_to_machines() {
    let unused = "procedure oil-jaw \"Oil the jaw\"\n\ntool jaw-key \"Key for the jaws\"\n\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" \
                  {\n    > Wipe the jaw.\n  }\n  handover { sign installer }\n}\n";
    let scratch = Scratch::new().with("oil.fitw", unused);
    let ran = scratch.run(&["check", "--fix", "--format", "json", "oil.fitw"]).expect(0);
    assert_eq!(fs::read_to_string(scratch.0.join("oil.fitw")).expect("there"), unused);
    let line: serde_json::Value = serde_json::from_str(ran.out.lines().next().expect("a line")).expect("JSON");
    let fix = &line["fixes"][0];
    assert_eq!((&fix["title"], &fix["confidence"]), (&"Take it out".into(), &"look".into()), "{line}");
    let edit = &fix["edits"][0];
    assert_eq!(
        (&edit["file"], &edit["line"], &edit["end_line"], &edit["text"]),
        (&"oil.fitw".into(), &3.into(), &5.into(), &"".into())
    );
    assert_eq!(line["fixes"][1]["confidence"], "blanks");
}

#[test]
fn a_library_of_the_project_is_mended_and_a_file_outside_is_not() {
    let uses = "procedure oil-jaw \"Oil the jaw\"\n\nuse lib/ours\n\nsection oil \"Oil it\" {\n  step wipe \"Wipe the jaw\" {\n    > Wipe the \
                jaw.\n    use jaw-rag\n  }\n  handover { sign installer }\n}\n";
    let library = "library ours \"Ours\"\n\ntool jaw-rag \"Rag\";\n";
    let scratch = Scratch::new().with("job/oil.fitw", uses).with("job/lib/ours.fitw", library);
    scratch.run(&["check", "--fix", "job/oil.fitw"]).expect(0);
    assert_eq!(fs::read_to_string(scratch.0.join("job/lib/ours.fitw")).expect("there"), library.replace(';', ""));
    #[cfg(unix)]
    {
        let scratch = Scratch::new().with("job/oil.fitw", uses).with("elsewhere.fitw", library);
        fs::create_dir(scratch.0.join("job/lib")).expect("made");
        std::os::unix::fs::symlink(scratch.0.join("elsewhere.fitw"), scratch.0.join("job/lib/ours.fitw"))
            .expect("linked");
        scratch.run(&["check", "--fix", "job/oil.fitw"]).expect(1);
        assert_eq!(fs::read_to_string(scratch.0.join("elsewhere.fitw")).expect("there"), library);
    }
}
