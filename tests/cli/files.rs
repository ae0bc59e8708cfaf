//! Files of the user: what a summary and a build are written over, and what not.

use super::{Ran, Scratch, clean, vector};
use std::fs;
use std::process::Stdio;

/// Names and bytes of all plain files, and where links lead.
#[cfg(unix)]
fn everything(scratch: &Scratch) -> Vec<(std::path::PathBuf, Vec<u8>)> {
    use std::os::unix::ffi::OsStrExt;
    let (mut found, mut folders) = (Vec::new(), vec![scratch.0.clone()]);
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            let about = fs::symlink_metadata(&path).expect("it is there");
            if about.is_symlink() {
                let to = fs::read_link(&path).expect("a link");
                found.push((path, to.as_os_str().as_bytes().to_vec()));
            } else if about.is_dir() {
                folders.push(path.clone());
                found.push((path, Vec::new()));
            } else if about.is_file() && path.file_name() != Some(".fitwright-lock".as_ref()) {
                found.push((path.clone(), fs::read(&path).expect("readable")));
            }
        }
    }
    found.sort();
    found
}

#[test]
fn a_summary_touches_no_file_but_its_own() {
    let summary = |file: &'static str, record: &'static str| ["record", "--summary", file, "checklist.json", record];
    let scratch = vector("12-markup").with("rr.new", "the user's own");
    fs::rename(scratch.0.join("job.jsonl"), scratch.0.join("rr.html.new")).expect("renamed");
    // Names that a temporary file might have had are those of the record and of somebody's file.
    let before = scratch.files("");
    scratch.run(&summary("rr.html", "rr.html.new")).expect(0);
    scratch.run(&summary("rr", "rr.html.new")).expect(0);
    let mut after = scratch.files("");
    assert!(after.remove("rr.html").is_some() && after.remove("rr").is_some());
    assert_eq!(after, before);
    // An older page is replaced, and keeps who may read it.
    fs::write(scratch.0.join("rr"), "old").expect("written");
    scratch.run(&summary("rr", "rr.html.new")).expect(0);
    assert!(fs::read_to_string(scratch.0.join("rr")).expect("the page").contains("The record is complete."));
    let _ = (fs::remove_file(scratch.0.join("rr")), fs::remove_file(scratch.0.join("rr.html")));
    for name in
        ["checklist.json", "./checklist.json", "rr.html.new", "none/rr.html", "none/../checklist.json", ".", "rr/"]
    {
        scratch.run(&summary(name, "rr.html.new")).expect(2);
        assert_eq!(scratch.files(""), before, "{name}");
    }
}

#[cfg(unix)]
#[test]
fn a_summary_follows_no_link_and_replaces_no_pipe() {
    use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};
    let scratch = vector("12-markup").with("other.html", "mine").with("locked.html", "mine");
    let at = |name: &str| scratch.0.join(name);
    symlink("other.html", at("link.html")).expect("linked");
    symlink("nowhere.html", at("dangling.html")).expect("linked");
    symlink("/dev/stdout", at("device.html")).expect("linked");
    fs::hard_link(at("job.jsonl"), at("same.html")).expect("linked");
    fs::create_dir(at("folder.html")).expect("made");
    fs::set_permissions(at("locked.html"), fs::Permissions::from_mode(0o444)).expect("set");
    let made = std::process::Command::new("mkfifo").arg(at("pipe.html")).status().expect("mkfifo runs");
    assert!(made.success());
    let before = everything(&scratch);
    let names = ["link.html", "dangling.html", "device.html", "same.html", "folder.html", "pipe.html", "locked.html"];
    for name in names.into_iter().chain(["/dev/stdout", "/dev/null", "/dev/full"]) {
        let ran = scratch.run(&["record", "--summary", name, "checklist.json", "job.jsonl"]).expect(2);
        assert!(ran.err.contains(name) && ran.err.contains("is not written"), "{}", ran.err);
        assert_eq!(everything(&scratch), before, "{name}");
    }
    assert!(fs::symlink_metadata(at("pipe.html")).expect("there").file_type().is_fifo());
    assert!(fs::symlink_metadata("/dev/null").expect("there").file_type().is_char_device());
    // A page is as readable as the one before it.
    fs::write(at("page.html"), "old").expect("written");
    fs::set_permissions(at("page.html"), fs::Permissions::from_mode(0o600)).expect("set");
    scratch.run(&["record", "--summary", "page.html", "checklist.json", "job.jsonl"]).expect(0);
    assert_eq!(fs::metadata(at("page.html")).expect("there").permissions().mode() & 0o777, 0o600);
}

#[test]
fn a_summary_can_go_to_standard_output() {
    let scratch = vector("12-markup");
    let before = scratch.files("");
    let ran = scratch.run(&["record", "--summary", "-", "checklist.json", "job.jsonl"]).expect(0);
    assert!(ran.out.starts_with("<!") && ran.out.trim_end().ends_with("</html>"), "{}", ran.out);
    assert!(ran.err.contains("complete: handed over"), "{}", ran.err);
    assert_eq!(scratch.files(""), before);
}

#[cfg(unix)]
#[test]
fn a_pipe_among_the_photographs_is_not_waited_for() {
    let scratch = vector("10-same").with("photos/x", "");
    let made =
        std::process::Command::new("mkfifo").arg(scratch.0.join("photos/rail.png")).status().expect("mkfifo runs");
    assert!(made.success());
    let mut child = scratch
        .command(&["record", "--photos", "photos", "checklist.json", "job.jsonl"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    for _ in 0..400 {
        if child.try_wait().expect("asked").is_some() {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    child.kill().expect("killed");
    panic!("it waits for the other end of the pipe");
}

#[cfg(unix)]
#[test]
fn a_library_is_not_read_without_end() {
    let ran = Scratch::new().run(&["library", "/dev/zero"]).expect(2);
    assert!(ran.err.contains("too large"), "{}", ran.err);
}

/// A folder with a source and one build of it.
fn built() -> Scratch {
    let scratch = Scratch::new().with("jobs/coat-hook.fitw", &clean());
    scratch.run(&["build", "jobs"]).expect(0);
    scratch
}

#[cfg(unix)]
#[test]
fn leftovers_with_planted_names_and_links_write_nothing_outside() {
    use std::os::unix::fs::symlink;
    let list = "{\"format\":{\"name\":\"fitwright-build\"},\"outputs\":[{\"name\":\"victim.txt\"},{\"name\":\"d/victim.txt\"}]}";
    // Each with what it would have reached: the folder above, a folder behind a link, a file behind one.
    let outside = || built().with("theirs/victim.txt", "theirs").with("victim.txt", "above");
    let theirs = |scratch: &Scratch| -> Vec<_> {
        everything(scratch).into_iter().filter(|(path, _)| !path.starts_with(scratch.0.join("out"))).collect()
    };
    let plant = |name: &str, what: &dyn Fn(&Scratch)| {
        let scratch = outside();
        what(&scratch);
        let before = theirs(&scratch);
        // Refused or tidied up: nothing outside changes, and there is no half-published folder.
        let ran = scratch.run(&["build", "jobs"]);
        assert!(matches!(ran.code, Some(0 | 2)), "{name}: {}", ran.err);
        assert_eq!(theirs(&scratch), before, "{name}");
        assert!(scratch.0.join("out/coat-hook/manual.html").is_file(), "{name}");
    };
    plant("the folder above", &|scratch| {
        if let Some(path) = scratch.0.join("out/.fitwright-old-..").to_str() {
            fs::create_dir(path).expect("made");
            fs::write(format!("{path}/planted.txt"), "planted").expect("written");
            fs::write(format!("{path}/victim.txt"), "planted").expect("written");
            fs::write(format!("{path}/build.json"), list.replace("victim", "other")).expect("written");
        }
    });
    plant("this folder", &|scratch| fs::create_dir(scratch.0.join("out/.fitwright-old-.")).expect("made"));
    plant("nothing", &|scratch| fs::create_dir(scratch.0.join("out/.fitwright-old-")).expect("made"));
    plant("a link to a folder", &|scratch| {
        symlink(scratch.0.join("theirs"), scratch.0.join("out/.fitwright-old-coat-hook")).expect("linked");
    });
    plant("a link that leads nowhere", &|scratch| {
        symlink(scratch.0.join("none"), scratch.0.join("out/.fitwright-old-coat-hook")).expect("linked");
    });
    plant("a file", &|scratch| fs::write(scratch.0.join("out/.fitwright-old-coat-hook"), "x").expect("written"));
    plant("a link in a leftover", &|scratch| {
        let old = scratch.0.join("out/.fitwright-old-coat-hook");
        fs::create_dir(&old).expect("made");
        symlink(scratch.0.join("theirs"), old.join("d")).expect("linked");
        fs::write(old.join("build.json"), list).expect("written");
    });
    plant("a link in the place of a leftover", &|scratch| {
        let old = scratch.0.join("out/.fitwright-old-coat-hook");
        fs::create_dir_all(old.join("d")).expect("made");
        fs::write(old.join("d/victim.txt"), "ours").expect("written");
        fs::write(old.join("d/planted.txt"), "planted").expect("written");
        fs::write(old.join("build.json"), list).expect("written");
        symlink(scratch.0.join("theirs"), scratch.0.join("out/coat-hook/d")).expect("linked");
    });
    plant("a linked stage", &|scratch| {
        symlink(scratch.0.join("theirs"), scratch.0.join("out/.fitwright-new")).expect("linked");
    });
    plant("a linked lock", &|scratch| {
        fs::remove_file(scratch.0.join("out/.fitwright-lock")).expect("removed");
        symlink(scratch.0.join("made-outside"), scratch.0.join("out/.fitwright-lock")).expect("linked");
    });
    plant("a linked place", &|scratch| {
        fs::rename(scratch.0.join("out/coat-hook"), scratch.0.join("out/moved")).expect("renamed");
        symlink(scratch.0.join("out/moved"), scratch.0.join("out/coat-hook")).expect("linked");
    });
    plant("a stage with planted names", &|scratch| {
        let stage = scratch.0.join("out/.fitwright-new");
        fs::create_dir(&stage).expect("made");
        fs::write(stage.join(".whole"), "").expect("written");
        symlink(scratch.0.join("theirs"), stage.join("coat-hook")).expect("linked");
    });
}

#[test]
fn what_was_written_after_a_kill_is_not_written_over() {
    let scratch = built();
    let out = scratch.0.join("out");
    // Killed after a change of places, before the old folder went; then the user wrote again.
    fs::write(out.join("coat-hook/notes.txt"), "first").expect("written");
    fs::rename(out.join("coat-hook"), out.join(".fitwright-old-coat-hook")).expect("renamed");
    scratch.run(&["build", "--out", "other", "jobs"]).expect(0);
    fs::rename(scratch.0.join("other/coat-hook"), out.join("coat-hook")).expect("renamed");
    fs::write(out.join("coat-hook/notes.txt"), "second").expect("written");
    let ran = scratch.run(&["build", "jobs"]).expect(0);
    let text = |name: &str| fs::read_to_string(out.join("coat-hook").join(name)).expect("a file");
    assert_eq!((text("notes.txt").as_str(), text("notes.txt.older").as_str()), ("second", "first"));
    assert!(ran.err.contains("notes.txt.older"), "{}", ran.err);
    assert!(!out.join(".fitwright-old-coat-hook").exists() && !out.join(".fitwright-new").exists());
    // And it goes on so.
    let again = scratch.run(&["build", "jobs"]).expect(0);
    assert_eq!((text("notes.txt").as_str(), again.err.as_str()), ("second", ""));
}

#[cfg(unix)]
#[test]
fn files_of_any_name_and_sort_stay_in_a_folder_that_is_built_again() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::symlink;
    let scratch = built().with("theirs/x.txt", "theirs");
    let place = scratch.0.join("out/coat-hook");
    fs::write(place.join(OsStr::from_bytes(b"n\xF6te.txt")), "mine").expect("written");
    fs::create_dir_all(place.join(OsStr::from_bytes(b"f\xFF")).join("deep")).expect("made");
    fs::write(place.join(OsStr::from_bytes(b"f\xFF")).join("deep/x"), "mine").expect("written");
    fs::create_dir(place.join("empty")).expect("made");
    symlink("../../theirs", place.join("folder-link")).expect("linked");
    symlink("../../theirs/x.txt", place.join("file-link")).expect("linked");
    symlink("nowhere", place.join("dangling")).expect("linked");
    let before = everything(&scratch);
    for _ in 0..2 {
        scratch.run(&["build", "jobs"]).expect(0);
        assert_eq!(everything(&scratch), before);
    }
}

#[test]
fn something_of_somebody_else_in_the_way_is_said_before_anything_moves() {
    // The figures of a procedure stand in a folder of their own.
    let scratch = built();
    let place = scratch.0.join("out/coat-hook");
    let ours = scratch.files("out");
    for name in ["manual.html", "job.html"] {
        fs::remove_file(place.join(name)).expect("removed");
        fs::create_dir(place.join(name)).expect("made");
        fs::write(place.join(name).join("mine.txt"), "mine").expect("written");
        let before = scratch.files("");
        let ran = scratch.run(&["build", "jobs"]).expect(2);
        assert!(ran.err.contains(name), "{}", ran.err);
        assert_eq!(scratch.files(""), before);
        fs::remove_dir_all(place.join(name)).expect("removed");
        scratch.run(&["build", "jobs"]).expect(0);
        assert_eq!(scratch.files("out"), ours);
    }
}

#[test]
fn a_build_that_waits_for_another_says_so() {
    let scratch = built();
    let lock = fs::File::options().append(true).open(scratch.0.join("out/.fitwright-lock")).expect("the lock");
    lock.lock().expect("locked");
    let child = scratch.command(&["build", "jobs"]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn();
    let child = child.expect("the program starts");
    std::thread::sleep(std::time::Duration::from_secs(6));
    drop(lock);
    let ran = Ran::from(child.wait_with_output().expect("it ends")).expect(0);
    assert!(ran.err.contains("Waiting for another build"), "{}", ran.err);
}

/// What can't be read would be missing from the page of a library, and its text would go to the terminal as it stands.
#[test]
fn a_library_with_faults_has_no_page() {
    let scratch = Scratch::new().with("broken.fitw", "library broken \"B\"\ntool {\n\u{1b}[31m\n");
    let ran = scratch.run(&["library", "broken.fitw"]).expect(2);
    assert!(ran.err.contains("run `fitwright check broken.fitw`"), "{}", ran.err);
    assert!(ran.out.is_empty() && !ran.err.contains('\u{1b}'), "{}", ran.out);
}

/// What is built stands in a folder of the procedure's name, and figures lie in the project: both go to any machine.
#[test]
fn names_that_windows_keeps_for_devices_are_refused() {
    let drawing = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\"><path d=\"M0 0h9\"/></svg>";
    let text = |name: &str, figure: &str| {
        format!(
            "procedure {name} \"A\"\nfigure shown \"{figure}\" \"Shown\"\nsection a \"A\" {{\n  step b \"B\" {{\n    > Do it.\n    figure shown\n  }}\n  \
             handover {{ sign installer }}\n}}\n"
        )
    };
    for (name, figure, code) in [
        ("con", "plain.svg", "FW0209"),
        ("lpt9", "plain.svg", "FW0209"),
        ("lpt0", "plain.svg", ""),
        ("console", "plain.svg", ""),
        ("plain", "nul.svg", "FW1303"),
        ("plain", "com1/plain.svg", "FW1303"),
    ] {
        let scratch = Scratch::new().with("a.fitw", &text(name, figure)).with(figure, drawing);
        let ran = scratch.run(&["check", "--format", "short", "a.fitw"]);
        let expected = i32::from(!code.is_empty());
        assert_eq!(
            (ran.code, ran.out.contains("error")),
            (Some(expected), expected == 1),
            "{name} {figure}: {}",
            ran.out
        );
        assert!(ran.out.contains(code), "{name} {figure}: {}", ran.out);
    }
}
