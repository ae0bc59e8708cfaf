//! A project file, many files at a time, and building only what changed.

use super::{Ran, Scratch, clean, faulty, top, with_warning};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::time::SystemTime;

const PLATES: &str = "library plates \"Plates\"\n\npart hook \"Coat hook\"\n";

/// The README's procedure under another name.
fn named(name: &str) -> String {
    clean().replace("procedure coat-hook", &format!("procedure {name}"))
}

/// The same with its hook from `lib/plates`.
fn using(name: &str) -> String {
    named(name)
        .replace("part hook        \"Coat hook\"\n", "")
        .replace("use std/hand-tools", "use std/hand-tools\nuse lib/plates")
}

/// Six procedures, of which two use a library.
fn project() -> Scratch {
    let mut scratch = Scratch::new()
        .with("fitwright.toml", "procedures = [\"vans\", \"trucks/four.fitw\"]\nlibraries = [\"lib\"]\n")
        .with("lib/plates.fitw", PLATES)
        .with("trucks/four.fitw", &using("four"))
        .with("trucks/apart.fitw", "not listed");
    for name in ["one", "three", "two", "five"] {
        scratch = scratch.with(&format!("vans/{name}.fitw"), &named(name));
    }
    scratch.with("vans/six.fitw", &using("six"))
}

/// When each folder was written.
fn times(scratch: &Scratch) -> BTreeMap<String, SystemTime> {
    let folders = fs::read_dir(scratch.0.join("out")).expect("built").map(|entry| entry.expect("an entry").path());
    let manuals = folders.map(|folder| folder.join("manual.html")).filter(|manual| manual.is_file());
    let time = |file: &Path| fs::metadata(file).and_then(|about| about.modified()).expect("a time");
    let name = |file: &Path| file.parent().and_then(Path::file_name).expect("a folder").to_string_lossy().into_owned();
    manuals.map(|manual| (name(&manual), time(&manual))).collect()
}

/// The folders that a call writes anew.
#[track_caller]
fn written_by(scratch: &Scratch, arguments: &[&str]) -> (Vec<String>, Ran) {
    let before = times(scratch);
    let ran = scratch.run(arguments).expect(0);
    let after = times(scratch);
    let new = after.iter().filter(|(name, time)| before.get(*name) != Some(time)).map(|(name, _)| name.clone());
    (new.collect(), ran)
}

#[test]
fn a_project_is_found_from_below_and_named_from_elsewhere() {
    let scratch = project().with("vans/notes/a.txt", "");
    let ran = scratch.run(&["check"]).expect(0);
    assert_eq!(ran.err, "Project fitwright.toml\n");
    assert!(ran.out.starts_with("7 files, no findings."), "{}", ran.out);
    let below = scratch.0.join("vans/notes");
    let run = |arguments: &[&str]| {
        Ran::from(scratch.command(arguments).current_dir(&below).output().expect("the program starts"))
    };
    let ran = run(&["check"]).expect(0);
    assert!(ran.err == "Project ../../fitwright.toml\n" && ran.out.starts_with("7 files"), "{}{}", ran.err, ran.out);
    assert!(run(&["build"]).expect(0).out.contains("Open ../../out/five/manual.html"), "the project's out");
    assert!(run(&["format", "--check"]).expect(0).out.contains("7 files, 0 would change."));
    assert!(run(&["uses", "hook"]).expect(0).out.contains("../../trucks/four.fitw"));
    // Findings are named as they are reached.
    fs::write(scratch.0.join("vans/five.fitw"), faulty().replace("procedure coat-hook", "procedure five")).expect("ok");
    let ran = run(&["check", "--format", "short"]).expect(1);
    assert!(ran.out.starts_with("../../vans/five.fitw:"), "{}", ran.out);
    // From elsewhere: the file, or its folder; some of it; and what the command line says goes before.
    let elsewhere = Scratch::new();
    let file = scratch.0.join("fitwright.toml").to_string_lossy().into_owned();
    let folder = scratch.0.to_string_lossy().into_owned();
    elsewhere.run(&["check", "--project", &file]).expect(1);
    elsewhere.run(&["check", "--project", &folder]).expect(1);
    let four = scratch.0.join("trucks/four.fitw").to_string_lossy().into_owned();
    elsewhere.run(&["build", "--project", &file, "--out", "here", &four]).expect(0);
    assert!(elsewhere.0.join("here/four/manual.html").is_file());
    elsewhere.run(&["uses", "--project", &file, "hook", &four]).expect(0);
    elsewhere.run(&["explain", "--project", &file, &four, "hook-joint"]).expect(0);
    // Where there is none, it is said; a build without a path is that of the demos then.
    for command in ["check", "format"] {
        let ran = elsewhere.run(&[command]).expect(2);
        assert!(ran.err.contains("there is no fitwright.toml in this folder or above"), "{}", ran.err);
    }
    let ran = elsewhere.run(&["check", "--project", "here"]).expect(2);
    assert!(ran.err.contains("there is no fitwright.toml in the folder here"), "{}", ran.err);
}

/// Each at its line and column, with what to write; nothing is done.
#[test]
fn what_is_wrong_in_a_project_file_is_told_at_its_place() {
    let scratch = project()
        .with("docs/readme.txt", "no procedure")
        .with("big.toml", &format!("procedures = [\"vans\"]\n#{}", "x".repeat(10_000_000)));
    let cases: &[(&str, &[&str])] = &[
        ("", &["1:1: it does not say where the procedures are; write `procedures = [\"procedures\"]`"]),
        ("\n\nprocedure = [\"vans\"]", &["3:1: `procedure` is no key of a project file; did you mean `procedures`?"]),
        (
            "procedures = [\"vans\"]\nspeed = 3",
            &["2:1: `speed` is no key of a project file; it has `procedures`, `lib"],
        ),
        ("procedures = \"vans\"", &["1:14: `procedures` is a list of texts; write `procedures = [\"procedures\"]`"]),
        ("procedures = [1]", &["1:15: `procedures` is a list of texts, and this is an integer"]),
        ("procedures = []", &["1:14: a project has procedures"]),
        ("procedures = [\n  \"vans\",\n  \"vasn\",\n]", &["3:3: there is no `vasn`", "did you mean `vans`?"]),
        ("procedures = [\"vans\", \"./vans/\"]", &["1:23: `./vans/` is listed twice"]),
        ("procedures = [\"../vans\"]", &["1:15: `../vans` leads out of the project; write a path in the folder"]),
        ("procedures = [\"/etc\"]", &["1:15: `/etc` leads out of the project"]),
        ("procedures = [\"vans\\\\x\"]", &["1:15: `vans\\x` has a backslash; write the path with forward slashes"]),
        ("procedures = [\"\"]", &["1:15: this names nothing; `.` is the folder of this file"]),
        ("procedures = [\"docs\"]", &["1:15: there is no .fitw file in the folder `docs`"]),
        ("procedures = [\"docs/readme.txt\"]", &["1:15: `docs/readme.txt` is no .fitw file and no folder"]),
        (
            "procedures = [\"vans\"]\ndeny = [\"notes\"]",
            &["2:9: `notes` cannot be denied; write `deny = [\"warnings\"]`"],
        ),
        ("procedures = [\"vans\"]\nout = 3", &["2:7: `out` is a text, and this is an integer; write `out = \"out\"`"]),
        (
            "procedures = [\"vans\"]\nout = \"../out\"",
            &["2:7: `../out` leads out of the project", "--out can name any"],
        ),
        ("procedures = [\"vans\"]\nout = \".\"", &["2:7: `.` holds this file; write a folder in it"]),
        ("procedures = [\"vans\"", &["this is no TOML"]),
        ("procedures = [\"vans\"]\nprocedures = [\"vans\"]", &["2:1: this is no TOML"]),
        // All of it at once, in order of the text.
        ("deny = 1\nprocedures = 1\nx = 1", &["1:8: `deny`", "2:14: `procedures`", "3:1: `x`", "has to be put right"]),
    ];
    for (text, wanted) in cases {
        fs::write(scratch.0.join("fitwright.toml"), text).expect("written");
        let before = scratch.files("");
        for command in ["check", "build", "format"] {
            let ran = scratch.run(&[command]).expect(2);
            let mut from = 0;
            for words in *wanted {
                let at = ran.err[from..].find(words);
                from += at.unwrap_or_else(|| panic!("{text:?}: no {words:?} in\n{}", ran.err));
            }
            assert!(ran.err.lines().all(|line| line.starts_with("fitwright")), "{}", ran.err);
        }
        assert_eq!(scratch.files(""), before, "{text}");
    }
    fs::write(scratch.0.join("fitwright.toml"), b"procedures = [\"vans\"]\n# caf\xe9\n").expect("written");
    let ran = scratch.run(&["check"]).expect(2);
    assert!(ran.err.contains("fitwright.toml:2:6: this is not UTF-8 text"), "{}", ran.err);
    let ran = scratch.run(&["check", "--project", "big.toml"]).expect(2);
    assert!(ran.err.contains("big.toml is larger than 1 MiB"), "{}", ran.err);
    // As deep and as many as somebody may write them: told, and not for ever.
    for text in [
        format!("procedures = {}", "[".repeat(500_000)),
        format!("a{} = 1", ".a".repeat(200_000)),
        (0..50_000).map(|key| format!("k{key} = 1\n")).collect(),
    ] {
        fs::write(scratch.0.join("fitwright.toml"), text).expect("written");
        let ran = scratch.run(&["check"]).expect(2);
        assert!(ran.err.lines().count() <= 30, "{} lines", ran.err.lines().count());
    }
}

#[cfg(unix)]
#[test]
fn no_link_leads_out_of_a_project_or_round_and_round() {
    use std::os::unix::fs::symlink;
    let outside = Scratch::new().with("vans/secret.fitw", "procedure do-not-show \"x\"\n");
    let scratch = project();
    let file = scratch.0.join("fitwright.toml");
    symlink(&outside.0, scratch.0.join("away")).expect("linked");
    symlink(".", scratch.0.join("vans/again")).expect("linked");
    symlink("loop-b", scratch.0.join("loop-a")).expect("linked");
    symlink("loop-a", scratch.0.join("loop-b")).expect("linked");
    for (text, wanted) in [
        ("procedures = [\"away/vans\"]", "`away/vans` leads out of the project by a link"),
        ("procedures = [\"loop-a\"]", "`loop-a` cannot be read"),
        ("procedures = [\"vans\", \"vans/again/again\"]", "`vans/again/again` is listed twice"),
        ("procedures = [\"vans\"]\nout = \"away/out\"", "`away/out` leads out of the project by a link"),
    ] {
        fs::write(&file, text).expect("written");
        let ran = scratch.run(&["build"]).expect(2);
        assert!(ran.err.contains(wanted) && !ran.err.contains("do-not-show"), "{}", ran.err);
    }
    // Through the circle, file by file: each is taken once.
    fs::write(&file, "procedures = [\"vans\", \"vans/again/one.fitw\"]").expect("written");
    assert!(scratch.run(&["build"]).expect(0).out.starts_with("Wrote 5 procedures"));
    assert_eq!(outside.files("").len(), 1);
    // A project file that is a link to nowhere, or a pipe, is told and not passed over.
    fs::remove_file(&file).expect("removed");
    symlink("nowhere", &file).expect("linked");
    assert!(scratch.run(&["build"]).expect(2).err.contains("fitwright.toml cannot be read"));
    fs::remove_file(&file).expect("removed");
    fs::create_dir(&file).expect("made");
    assert!(scratch.run(&["build"]).expect(2).err.contains("fitwright.toml is not a file"));
}

#[test]
fn a_project_may_deny_warnings_and_the_command_line_goes_before_it() {
    let scratch = Scratch::new()
        .with("fitwright.toml", "procedures = [\".\"]\ndeny = [\"warnings\"]\nout = \"made/here\"\n")
        .with("coat-hook.fitw", &with_warning());
    for command in ["check", "build"] {
        let ran = scratch.run(&[command]).expect(1);
        assert!(ran.out.contains("FW0502") || ran.err.contains("FW0502"), "{}{}", ran.out, ran.err);
    }
    assert!(!scratch.0.join("made").exists());
    scratch.run(&["check", "--deny", "nothing"]).expect(0);
    scratch.run(&["build", "--deny", "nothing"]).expect(0);
    assert!(scratch.0.join("made/here/coat-hook/manual.html").is_file());
    scratch.run(&["build", "--project", "fitwright.toml", "coat-hook.fitw"]).expect(1);
    scratch.run(&["build", "--deny", "warnings", "coat-hook.fitw"]).expect(1);
    scratch.run(&["build", "coat-hook.fitw"]).expect(0);
}

#[test]
fn several_threads_tell_and_write_what_one_does() {
    let mut scratch =
        Scratch::new().with("fitwright.toml", "procedures = [\"jobs\"]\n").with("lib/plates.fitw", PLATES);
    for at in 0..24 {
        let name = format!("job-{at}");
        let text = match at % 4 {
            0 => with_warning().replace("procedure coat-hook", &format!("procedure {name}")),
            1 => using(&name),
            _ => named(&name),
        };
        scratch = scratch.with(&format!("jobs/{name}.fitw"), &text);
    }
    let check = |jobs: &str| scratch.run(&["check", "--account", "--jobs", jobs]).expect(0).out;
    let one = check("1");
    assert_eq!(one.matches("FW0502").count(), 6 + 1, "{one}");
    for jobs in ["2", "3", "64"] {
        assert_eq!(check(jobs), one);
    }
    let build = |out: &str, jobs: &str| {
        let ran = scratch.run(&["build", "--out", out, "--jobs", jobs]).expect(0);
        let files = scratch.files(out).into_iter().map(|(name, bytes)| (name.replacen(out, "out", 1), bytes));
        (ran.out.replace(out, "out"), ran.err, files.collect::<Vec<_>>())
    };
    assert!(build("single", "1") == build("several", "4"));
    for jobs in ["0", "-1", "many"] {
        scratch.run(&["check", "--jobs", jobs]).expect(2);
    }
    // With a fault in one, nothing at all, and the same words.
    fs::write(scratch.0.join("jobs/job-7.fitw"), faulty()).expect("written");
    let fails = |jobs: &str| scratch.run(&["build", "--out", "none", "--jobs", jobs]).expect(1).err;
    assert_eq!(fails("1"), fails("4"));
    assert!(!scratch.0.join("none").exists());
}

#[test]
fn only_what_changed_is_built_again() {
    let scratch = project();
    let all = ["five", "four", "one", "six", "three", "two"];
    scratch.run(&["build"]).expect(0);
    let first = scratch.files("out");
    let (new, ran) = written_by(&scratch, &["build"]);
    assert!(new.is_empty(), "{new:?}");
    assert!(ran.out.starts_with("6 procedures, all unchanged; nothing was written to out."), "{}", ran.out);
    assert!(ran.out.contains("Open out/five/manual.html"), "{}", ran.out);
    // A procedure, and back.
    let two = scratch.0.join("vans/two.fitw");
    fs::write(&two, named("two").replace("Push the bolts", "Press the bolts")).expect("written");
    let (new, ran) = written_by(&scratch, &["build"]);
    assert_eq!(new, ["two"]);
    assert!(ran.out.starts_with("6 procedures, 5 unchanged; wrote 1 to out:\n  two  build.json"), "{}", ran.out);
    fs::write(&two, named("two")).expect("written");
    assert_eq!(written_by(&scratch, &["build"]).0, ["two"]);
    assert!(scratch.files("out") == first);
    // A library.
    fs::write(scratch.0.join("lib/plates.fitw"), PLATES.replace("Coat hook", "Hook of steel")).expect("written");
    assert_eq!(written_by(&scratch, &["build"]).0, ["four", "six"]);
    assert!(scratch.files("out").iter().any(|(name, bytes)| {
        name == "out/six/manual.html" && String::from_utf8_lossy(bytes).contains("Hook of steel")
    }));
    // What was altered or lost is made good, whatever file it is; what is not ours stays and is no reason.
    let now = scratch.files("out");
    for (file, lost) in [("one/manual.html", false), ("one/build.json", false), ("three/pick-list.csv", true)] {
        let path = scratch.0.join("out").join(file);
        if lost {
            fs::remove_file(&path)
        } else {
            fs::write(&path, [fs::read(&path).expect("it is there"), b" ".into()].concat())
        }
        .expect("changed");
        assert_eq!(written_by(&scratch, &["build"]).0, [&file[..file.find('/').expect("a folder")]], "{file}");
        assert!(scratch.files("out") == now, "{file}");
    }
    fs::write(scratch.0.join("out/one/notes.txt"), "mine").expect("written");
    assert!(written_by(&scratch, &["build"]).0.is_empty());
    fs::remove_dir_all(scratch.0.join("out/five")).expect("removed");
    assert_eq!(written_by(&scratch, &["build"]).0, ["five"]);
    // Other options are another build; all is built where it is asked for.
    let (new, _) = written_by(&scratch, &["build", "--annex"]);
    assert_eq!(new, all);
    assert!(written_by(&scratch, &["build", "--annex"]).0.is_empty());
    assert_eq!(written_by(&scratch, &["build"]).0, all);
    assert_eq!(written_by(&scratch, &["build", "--again"]).0, all);
    // Called otherwise, from elsewhere, or some of it: the same build.
    assert!(written_by(&scratch, &["build", "--project", ".", "vans/one.fitw", "trucks/four.fitw"]).0.is_empty());
    let moved = Scratch::new();
    fs::rename(&scratch.0, moved.0.join("moved")).expect("moved");
    let ran = moved.run(&["build", "--project", "moved"]).expect(0);
    assert!(ran.out.starts_with("6 procedures, all unchanged"), "{}", ran.out);
}

/// A fault that comes later is told as ever, and nothing is written, of the others neither.
#[test]
fn what_did_not_change_hides_no_fault_of_what_did() {
    let scratch = project();
    scratch.run(&["build"]).expect(0);
    let before = (scratch.files("out"), times(&scratch));
    fs::write(scratch.0.join("lib/plates.fitw"), PLATES.replace("part hook", "part hock")).expect("written");
    fs::write(scratch.0.join("vans/one.fitw"), named("one").replace("Push the", "Press the")).expect("written");
    let ran = scratch.run(&["build"]).expect(1);
    assert!(ran.err.contains("trucks/four.fitw") && ran.err.contains("vans/six.fitw"), "{}", ran.err);
    assert_eq!((scratch.files("out"), times(&scratch)), before);
    // A library that is gone.
    fs::remove_file(scratch.0.join("lib/plates.fitw")).expect("removed");
    fs::write(scratch.0.join("fitwright.toml"), "procedures = [\"vans\", \"trucks/four.fitw\"]\n").expect("written");
    scratch.run(&["build"]).expect(1);
    assert_eq!((scratch.files("out"), times(&scratch)), before);
    fs::write(scratch.0.join("lib/plates.fitw"), PLATES).expect("written");
    assert_eq!(written_by(&scratch, &["build"]).0, ["one"]);
}

/// Silence never comes from skipping.
#[test]
fn a_warning_is_told_each_time() {
    let scratch =
        Scratch::new().with("jobs/good.fitw", &named("good")).with("jobs/coat-hook.fitw", &with_warning()).with(
            "jobs/accepts.fitw",
            &with_warning()
                .replace("procedure coat-hook", "procedure accepts")
                .replace("tool spare-hammer", "accept FW0502 \"It is laid out for the next job.\"\ntool spare-hammer"),
        );
    let first = scratch.run(&["build", "jobs"]).expect(0);
    assert_eq!(first.err.matches("warning FW0502").count(), 1, "{}", first.err);
    let (new, again) = written_by(&scratch, &["build", "jobs"]);
    assert!(new.is_empty() && again.out.starts_with("3 procedures, all unchanged"), "{new:?} {}", again.out);
    assert_eq!(again.err, first.err);
    scratch.run(&["build", "--deny", "warnings", "jobs"]).expect(1);
}

/// A record is a help and no more: what it is not believed, is built.
#[test]
fn a_record_that_is_damaged_or_planted_does_no_harm() {
    let scratch = Scratch::new().with("jobs/coat-hook.fitw", &clean()).with("theirs/x.txt", "mine");
    scratch.run(&["build", "jobs"]).expect(0);
    let built = scratch.files("out");
    let made = scratch.0.join("out/.fitwright-made");
    let record = fs::read_dir(&made).expect("records").next().expect("one").expect("an entry").path();
    let text = fs::read_to_string(&record).expect("a record");
    for other in [
        String::new(),
        "[".repeat(100_000),
        text.replace("\"folder\": \"coat-hook\"", "\"folder\": \"../theirs\""),
        text.replace("\"manual.html\"", "\"../../theirs/x.txt\""),
        text.replace("\"program\": \"", "\"program\": \"0"),
        text.replace("fitwright-made-1", "fitwright-made-2"),
        "x".repeat(5_000_000),
    ] {
        assert_ne!(other, text);
        fs::write(&record, other).expect("written");
        assert_eq!(written_by(&scratch, &["build", "jobs"]).0, ["coat-hook"]);
        assert!(scratch.files("out") == built && fs::read_to_string(&record).expect("a record") == text);
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        fs::remove_dir_all(&made).expect("removed");
        symlink(scratch.0.join("theirs"), &made).expect("linked");
        for _ in 0..2 {
            let (new, ran) = written_by(&scratch, &["build", "jobs"]);
            assert_eq!(new, ["coat-hook"]);
            assert!(ran.err.contains("What was built is built again next time"), "{}", ran.err);
        }
        assert_eq!(scratch.files("theirs").len(), 1);
    }
}

#[test]
fn two_procedures_with_one_name_are_refused_with_their_files() {
    let scratch = project();
    scratch.run(&["build"]).expect(0);
    let before = scratch.files("out");
    // One of them stands there unchanged.
    fs::write(scratch.0.join("vans/three.fitw"), named("two").replace("Push", "Press")).expect("written");
    let ran = scratch.run(&["build"]).expect(2);
    assert!(ran.err.contains("vans/three.fitw and vans/two.fitw are both called two"), "{}", ran.err);
    assert_eq!(scratch.files("out"), before);
}

#[test]
fn out_may_lie_among_the_procedures_and_never_over_them() {
    let scratch = Scratch::new().with("jobs/coat-hook.fitw", &clean());
    let set = |text: &str| {
        fs::write(scratch.0.join("fitwright.toml"), format!("procedures = [\"jobs\"]\nout = \"{text}\"\n"))
    };
    set("jobs/out").expect("written");
    for _ in 0..2 {
        scratch.run(&["build"]).expect(0);
    }
    assert!(scratch.0.join("jobs/out/coat-hook/manual.html").is_file());
    let before = scratch.files("");
    for (out, wanted) in [("jobs", "holds the source"), ("jobs/coat-hook.fitw", "jobs/coat-hook.fitw")] {
        set(out).expect("written");
        let ran = scratch.run(&["build"]).expect(2);
        assert!(ran.err.contains(wanted), "{}", ran.err);
    }
    set("jobs/out").expect("written");
    assert_eq!(scratch.files(""), before);
}

#[test]
fn a_dependency_file_lists_what_was_read_and_harms_nothing() {
    let figure = fs::read(top().join("procedures/figures/kestrel-rail.svg")).expect("a figure");
    let scratch = project()
        .with("vans/figures/rail.svg", &String::from_utf8(figure).expect("an SVG"))
        .with(
            "vans/one.fitw",
            &named("one").replace("    > Hold", "    figure \"figures/rail.svg\" \"The rail\"\n    > Hold"),
        )
        .with("odd #1/a b.fitw", &named("odd").replace("$", ""));
    let text = |arguments: &[&str]| {
        scratch.run(arguments).expect(0);
        fs::read_to_string(scratch.0.join("deps.d")).expect("written")
    };
    let wanted = "out/one/build.json: \\\n  vans/figures/rail.svg \\\n  vans/one.fitw \\\n  fitwright.toml\n\
                  out/four/build.json: \\\n  lib/plates.fitw \\\n  trucks/four.fitw \\\n  fitwright.toml\n";
    let call = ["build", "--depfile", "deps.d", "--project", "fitwright.toml", "vans/one.fitw", "trucks/four.fitw"];
    // The same when nothing was built.
    for _ in 0..2 {
        assert_eq!(text(&call), wanted);
    }
    let odd = text(&["build", "--depfile", "deps.d", "--out", "./my out", "odd #1/a b.fitw"]);
    assert_eq!(odd, "my\\ out/odd/build.json: \\\n  odd\\ \\#1/a\\ b.fitw\n");
    // With a fault it is left as it is.
    fs::write(scratch.0.join("bad.fitw"), faulty()).expect("written");
    scratch.run(&["build", "--depfile", "deps.d", "bad.fitw"]).expect(1);
    assert_eq!(fs::read_to_string(scratch.0.join("deps.d")).expect("there"), odd);
    let before = scratch.files("");
    for (file, path, why) in [
        ("vans/two.fitw", "vans/two.fitw", "the build reads it"),
        ("out/one/../one/manual.html", "vans/one.fitw", "the build writes it"),
        ("vans", "vans/two.fitw", "it is a folder"),
    ] {
        let ran = scratch.run(&["build", "--project", ".", "--out", "out", "--depfile", file, path]).expect(2);
        assert!(ran.err.contains(why), "{}", ran.err);
        assert_eq!(
            scratch.files("vans"),
            before.clone().into_iter().filter(|(name, _)| name.starts_with("vans/")).collect()
        );
    }
    scratch.run(&["build", "--depfile", "deps.d", "--out", "x"]).expect(0);
    let none = Scratch::new();
    assert!(none.run(&["build", "--depfile", "deps.d"]).expect(2).err.contains("come from no file"));
    for name in ["a:b.fitw", "100%.fitw"] {
        fs::write(scratch.0.join(name), named("strange")).expect("written");
        let ran = scratch.run(&["build", "--depfile", "deps.d", "--out", "y", name]).expect(2);
        assert!(ran.err.contains("rename the file") && !scratch.0.join("y").exists(), "{}", ran.err);
    }
}
