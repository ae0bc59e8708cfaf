//! The program is killed, or refused by the system, at each call by which it changes the disk: strace does both. Every folder of a
//! build is then the old one or the new one, whole; files of others are as they were; and the next run ends as if nothing had been.
//!
//! `FITWRIGHT_EVERY_CALL=1` takes every call; else all renames and removals of folders, and some of the others.

use std::collections::{BTreeMap, BTreeSet};
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::Command;

use super::fix::SLIPS;
use super::{Scratch, clean, fs, vector};

/// The calls by which a program changes the disk.
const CHANGES: &str = "openat,write,rename,renameat,renameat2,link,linkat,unlink,unlinkat,mkdir,mkdirat,rmdir,fsync,fdatasync,\
                       fchmod,chmod,ftruncate,truncate,symlink,symlinkat,flock";
/// Of the calls that are many, one in so many is taken, unless all are asked for.
const EACH: usize = 23;

/// One call of a run: its name, and the how manieth of that name it is.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Call {
    name: String,
    nth: usize,
    line: String,
}

/// Starts the program under strace, with more for strace to do.
fn traced(scratch: &Scratch, strace: &[String], arguments: &[&str]) -> Option<std::process::Output> {
    let mut command = Command::new("strace");
    command.args(["-f", "-qq", "-o", "../calls.log", "-e", &format!("trace={CHANGES}")]).args(strace);
    command.arg(env!("CARGO_BIN_EXE_fitwright")).args(arguments).current_dir(scratch.0.join("work"));
    command.env_remove("COLUMNS").env_remove("LC_ALL").env("LANG", "C.UTF-8").output().ok()
}

/// The calls of a run that is left alone; `None` where nothing can be traced.
fn calls(scratch: &Scratch, arguments: &[&str], code: i32) -> Option<Vec<Call>> {
    let ran = traced(scratch, &[], arguments);
    let log = fs::read_to_string(scratch.0.join("calls.log")).unwrap_or_default();
    let (Some(ran), true) = (ran, log.contains("openat(")) else {
        println!("skipped: no strace here, or it may not trace");
        return None;
    };
    assert_eq!(ran.status.code(), Some(code), "{arguments:?}: {}", String::from_utf8_lossy(&ran.stderr));
    let mut count: BTreeMap<String, usize> = BTreeMap::new();
    let mut all = Vec::new();
    let mut threads = BTreeSet::new();
    for line in log.lines() {
        let Some((thread, call)) = line.split_once(char::is_whitespace) else { continue };
        let Some((name, _)) = call.trim_start().split_once('(') else { continue };
        threads.insert(thread.to_owned());
        let nth = count.entry(name.to_owned()).or_default();
        *nth += 1;
        all.push(Call { name: name.to_owned(), nth: *nth, line: call.to_owned() });
    }
    // strace counts the calls of each thread by themselves.
    assert_eq!(threads.len(), 1, "{arguments:?} writes from one thread");
    all.retain(changes);
    Some(all)
}

/// Whether a call changes the disk. What is printed does not.
fn changes(call: &Call) -> bool {
    match call.name.as_str() {
        "openat" => call.line.contains("O_CREAT"),
        "write" => !["write(1,", "write(2,"].iter().any(|start| call.line.starts_with(start)),
        _ => true,
    }
}

/// Those of the calls that are tried.
fn tried(calls: Vec<Call>) -> Vec<Call> {
    let every = std::env::var_os("FITWRIGHT_EVERY_CALL").is_some();
    let is_rare = |call: &Call| matches!(call.name.as_str(), "rename" | "rmdir" | "link" | "linkat" | "flock");
    let chosen = calls.into_iter().enumerate().filter(|(at, call)| every || is_rare(call) || at % EACH == 0);
    chosen.map(|(_, call)| call).collect()
}

/// A project, worked on in `work` by one command again and again.
struct Trial<'a> {
    scratch: Scratch,
    arguments: &'a [&'a str],
    /// What `work` holds before the run, and after one that nobody disturbs.
    before: BTreeMap<String, Vec<u8>>,
    after: BTreeMap<String, Vec<u8>>,
    /// What the command answers where all of its work was done.
    again: i32,
    calls: Vec<Call>,
}

/// Every file of `work`, hidden ones too, but the lock and the records of a build.
fn work(scratch: &Scratch) -> BTreeMap<String, Vec<u8>> {
    let all = scratch.files("work").into_iter();
    all.map(|(path, bytes)| (path.trim_start_matches("work/").to_owned(), bytes)).collect()
}

/// Temporary files and folders, wherever they are, those among the records of a build too.
fn left_over(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        if name.starts_with(".fitwright-") && name != ".fitwright-lock" && name != ".fitwright-made" {
            found.push(path.display().to_string());
        }
        if path.is_dir() {
            found.extend(left_over(&path));
        }
    }
    found
}

impl<'a> Trial<'a> {
    /// `None` where nothing can be traced.
    fn new(scratch: Scratch, arguments: &'a [&'a str], code: i32, again: i32) -> Option<Trial<'a>> {
        copy(&scratch.0.join("work"), &scratch.0.join("kept"));
        let before = work(&scratch);
        let calls = calls(&scratch, arguments, code)?;
        let after = work(&scratch);
        assert_ne!(before, after, "{arguments:?} writes something");
        assert_eq!(left_over(&scratch.0.join("work")), Vec::<String>::new());
        assert!(calls.len() > 3, "{calls:?}");
        Some(Trial { scratch, arguments, before, after, again, calls })
    }

    fn restore(&self) {
        fs::remove_dir_all(self.scratch.0.join("work")).expect("removed");
        copy(&self.scratch.0.join("kept"), &self.scratch.0.join("work"));
    }

    /// Runs it with one call made to kill, or to fail.
    fn disturbed(&self, call: &Call, how: &str) -> std::process::Output {
        let inject = format!("inject={}:{how}:when={}", call.name, call.nth);
        traced(&self.scratch, &["-e".to_owned(), inject], self.arguments).expect("strace ran a moment ago")
    }

    /// That what stands is whole: each file of ours is the old or the new one, all of a folder alike, and no file of others changed.
    /// `parts` says which files belong together.
    fn stands_whole(&self, said: &str, parts: impl Fn(&str) -> String) {
        let now = work(&self.scratch);
        let mut sides: BTreeMap<String, [bool; 2]> = BTreeMap::new();
        let names: BTreeSet<&String> = self.before.keys().chain(self.after.keys()).collect();
        let folder_is_there = |path: &str| self.scratch.0.join("work").join(parts(path)).exists();
        for name in names {
            let (old, new, is) = (self.before.get(name), self.after.get(name), now.get(name));
            if old == new {
                // Somebody else's: where it was, or, while its folder changes places, in the old one.
                let aside = |(path, bytes): (&String, &Vec<u8>)| {
                    path.contains(".fitwright-old-")
                        && path.ends_with(name.as_str().split_once('/').map_or("?", |(_, rest)| rest))
                        && Some(bytes) == old
                };
                assert!(is == old || now.iter().any(aside), "{said}: {name} is as it was");
                continue;
            }
            if folder_is_there(name) {
                let side = sides.entry(parts(name)).or_insert([true, true]);
                *side = [side[0] && is == old, side[1] && is == new];
            } else {
                assert!(is.is_none());
            }
        }
        for (part, side) in sides {
            assert!(side[0] || side[1], "{said}: {part} is neither the old nor the new one");
        }
    }

    /// Whether all is as after a run that nobody disturbs. A temporary file that could not be removed may stand beside it.
    fn is_done(&self) -> bool {
        let mut now = work(&self.scratch);
        now.retain(|name, _| {
            !name.rsplit('/').next().is_some_and(|file| file.starts_with(".fitwright-") && file.ends_with(".part"))
        });
        now == self.after
    }

    /// That the next run ends as if nothing had been.
    fn recovers(&self, said: &str) {
        let done = self.is_done();
        let ran =
            self.scratch.command(self.arguments).current_dir(self.scratch.0.join("work")).output().expect("it starts");
        let (code, err) = (ran.status.code(), String::from_utf8_lossy(&ran.stderr).into_owned());
        assert!(code == Some(0) || done && code == Some(self.again), "{said}: {code:?} {err}");
        assert_eq!(left_over(&self.scratch.0.join("work")), Vec::<String>::new(), "{said}");
        let now = work(&self.scratch);
        let differing: Vec<&String> =
            now.keys().chain(self.after.keys()).filter(|name| now.get(*name) != self.after.get(*name)).collect();
        assert_eq!(differing, Vec::<&String>::new(), "{said}");
    }

    /// Killed at each call.
    fn killed(&self, parts: impl Fn(&str) -> String) -> usize {
        let calls = tried(self.calls.clone());
        for call in &calls {
            self.restore();
            let said = format!("{:?} killed at {} {} ({})", self.arguments, call.name, call.nth, call.line);
            let ran = self.disturbed(call, "signal=KILL");
            assert_eq!(ran.status.signal(), Some(9), "{said}");
            self.stands_whole(&said, &parts);
            self.recovers(&said);
        }
        calls.len()
    }

    /// Refused by the system at each call, with one error after the other in turn.
    fn refused(&self, errors: &[&str], parts: impl Fn(&str) -> String) -> usize {
        let calls = tried(self.calls.clone());
        for (call, error) in calls.iter().zip(errors.iter().cycle()) {
            self.restore();
            let said = format!("{:?}: {error} at {} {} ({})", self.arguments, call.name, call.nth, call.line);
            let ran = self.disturbed(call, &format!("error={error}"));
            let err = String::from_utf8_lossy(&ran.stderr).into_owned();
            assert!(
                !err.contains("panicked") && matches!(ran.status.code(), Some(0 | 2)),
                "{said}: {:?} {err}",
                ran.status
            );
            self.stands_whole(&said, &parts);
            if ran.status.code() == Some(0) {
                assert!(self.is_done(), "{said}: it says that all is well");
            } else {
                assert!(err.contains("fitwright: "), "{said}: {err}");
            }
            self.recovers(&said);
        }
        calls.len()
    }
}

/// A folder with all that is in it.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("made");
    for entry in fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let place = to.join(path.file_name().expect("a name"));
        if path.is_dir() { copy(&path, &place) } else { assert!(fs::copy(&path, &place).is_ok(), "copied") }
    }
}

fn procedure(name: &str, look: &str) -> String {
    format!(
        "procedure {name} \"A {name}\"\n\nsection one \"One\" {{\n  step look \"{look}\" {{\n    > {look}.\n  }}\n  handover {{ sign installer }}\n}}\n"
    )
}

/// Two procedures that were built, with files of the user among what was written, and changed since.
fn built_and_changed() -> Scratch {
    let old = |name| procedure(name, "Look at the rail");
    let scratch = Scratch::new().with("work/heron.fitw", &old("heron")).with("work/wren.fitw", &old("wren"));
    let ran = scratch
        .command(&["build", "--out", "out", "."])
        .current_dir(scratch.0.join("work"))
        .output()
        .expect("it starts");
    assert!(ran.status.success());
    let new = |name| procedure(name, "Look at the rail and the box");
    scratch
        .with("work/heron.fitw", &new("heron"))
        .with("work/wren.fitw", &new("wren"))
        .with("work/out/notes.txt", "mine")
        .with("work/out/heron/notes.txt", "mine too")
        .with("work/out/heron/deep/er.txt", "and this")
        .with("work/out/other/thing.txt", "not a build")
}

const BUILD: &[&str] = &["build", "--jobs", "1", "--out", "out", "."];

/// A build replaces folders.
fn folder_of_build(path: &str) -> String {
    path.rsplit_once('/').map_or(path, |(folder, _)| folder).to_owned()
}

/// Other commands write single files.
fn itself(path: &str) -> String {
    path.to_owned()
}

#[test]
fn a_build_that_is_killed_at_any_call_leaves_whole_folders_and_the_next_one_ends_well() {
    let Some(trial) = Trial::new(built_and_changed(), BUILD, 0, 0) else { return };
    let renames = trial.calls.iter().filter(|call| call.name.starts_with("rename")).count();
    assert!(renames >= 6, "two folders change places, and two records are written: {renames}");
    assert!(trial.killed(folder_of_build) >= 12);
    // The first build of all.
    let first = Scratch::new().with("work/heron.fitw", &procedure("heron", "Look at the rail"));
    let Some(trial) = Trial::new(first, BUILD, 0, 0) else { return };
    trial.killed(folder_of_build);
}

/// Killed, and killed again while the next run tidies up.
#[test]
fn a_build_that_is_killed_twice_ends_well() {
    let Some(trial) = Trial::new(built_and_changed(), BUILD, 0, 0) else { return };
    let every = std::env::var_os("FITWRIGHT_EVERY_CALL").is_some();
    let renames: Vec<&Call> =
        trial.calls.iter().filter(|call| every && call.name != "fsync" || call.name == "rename").collect();
    let first = renames.iter().step_by(if every { 3 } else { 1 });
    for (turn, call) in first.enumerate() {
        // Five places of the second run, other ones each time.
        for place in 0..if every { 12 } else { 1 } {
            trial.restore();
            trial.disturbed(call, "signal=KILL");
            let second = &trial.calls[(turn * 7 + place * 13) % trial.calls.len()];
            let said = format!("killed at {} {}, then at {} {}", call.name, call.nth, second.name, second.nth);
            // It may have fewer calls of that name, and end.
            trial.disturbed(second, "signal=KILL");
            trial.stands_whole(&said, folder_of_build);
            trial.recovers(&said);
        }
    }
}

#[test]
fn a_build_that_the_system_refuses_at_any_call_leaves_whole_folders_and_says_so() {
    let Some(trial) = Trial::new(built_and_changed(), BUILD, 0, 0) else { return };
    assert!(trial.refused(&["ENOSPC", "EROFS", "EIO", "EACCES"], folder_of_build) >= 12);
}

#[test]
fn single_files_are_the_old_or_the_new_ones_wherever_the_program_is_killed_or_refused() {
    let untidy = clean().replace("\n  step ", "\n      step ");
    let mut trials: Vec<(Scratch, &[&str], i32, i32)> = vec![
        (
            Scratch::new().with("work/one.fitw", &untidy).with("work/two.fitw", &untidy),
            &["format", "one.fitw", "two.fitw"],
            0,
            0,
        ),
        (Scratch::new().with("work/mine.txt", "mine"), &["new", "bench-vise"], 0, 2),
    ];
    trials.push((Scratch::new().with("work/oil.fitw", SLIPS), &["check", "--fix", "oil.fitw"], 0, 0));
    let job = vector("12-markup");
    let text = |file: &str| fs::read_to_string(job.0.join(file)).expect("a file of the vector");
    let job = Scratch::new()
        .with("work/checklist.json", &text("checklist.json"))
        .with("work/job.jsonl", &text("job.jsonl"))
        .with("work/page.html", "an older page");
    trials.push((job, &["record", "--summary", "page.html", "checklist.json", "job.jsonl"], 0, 0));
    for (scratch, arguments, code, again) in trials {
        let Some(trial) = Trial::new(scratch, arguments, code, again) else { return };
        assert!(trial.killed(itself) > 0);
        trial.refused(&["ENOSPC", "EROFS"], itself);
    }
}

/// Two builds at once of two editions: each folder is one of theirs, whole, and so is the set.
#[test]
fn two_builds_at_once_leave_the_set_of_one_of_them() {
    let edition = |scratch: Scratch, folder: &str, look: &str| {
        let at = |name: &str| format!("{folder}/{name}.fitw");
        scratch.with(&at("heron"), &procedure("heron", look)).with(&at("wren"), &procedure("wren", look))
    };
    let scratch = edition(edition(Scratch::new(), "one", "Look at the rail"), "two", "Look at the box");
    let alone = |folder: &str| {
        scratch.run(&["build", "--out", "alone", folder]).expect(0);
        let files = scratch.files("alone").into_iter();
        files.map(|(path, bytes)| (path.trim_start_matches("alone/").to_owned(), bytes)).collect::<BTreeMap<_, _>>()
    };
    let sets = [alone("one"), alone("two")];
    assert_ne!(sets[0], sets[1]);
    for _ in 0..3 {
        let begin = |folder: &str| scratch.command(&["build", "--again", "--out", "both", folder]).output();
        std::thread::scope(|scope| {
            let both = ["one", "two"].map(|folder| scope.spawn(move || begin(folder)));
            for ran in both {
                let ran = ran.join().expect("no panic").expect("it starts");
                assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
            }
        });
        let now: BTreeMap<String, Vec<u8>> = scratch
            .files("both")
            .into_iter()
            .map(|(path, bytes)| (path.trim_start_matches("both/").to_owned(), bytes))
            .collect();
        assert!(sets.contains(&now), "a mixed set");
        assert_eq!(left_over(&scratch.0.join("both")), Vec::<String>::new());
    }
}
