//! The program as its users meet it: the real binary, real folders.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

#[cfg(target_os = "linux")]
mod bounds;
mod ci;
mod compare;
mod files;
mod fit;
mod fix;
mod format;
#[cfg(target_os = "linux")]
mod kills;
mod new;
mod preview;
mod project;
mod server;
mod shell;
#[cfg(target_os = "linux")]
mod system;
mod tally;
mod uses;
mod with;
mod words;

/// A folder of the test's own, removed at its end.
struct Scratch(PathBuf);

impl Scratch {
    fn new() -> Scratch {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let name = format!("fitwright-cli-{}-{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed));
        let path = std::env::temp_dir().join(name);
        fs::create_dir_all(&path).expect("a scratch folder");
        Scratch(fs::canonicalize(path).expect("it exists"))
    }

    fn with(self, path: &str, text: &str) -> Scratch {
        let file = self.0.join(path);
        fs::create_dir_all(file.parent().expect("a folder")).expect("made");
        fs::write(file, text).expect("written");
        self
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fitwright"));
        command.args(arguments).current_dir(&self.0).env_remove("COLUMNS").env_remove("LC_ALL").env("LANG", "C.UTF-8");
        command
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        Ran::from(self.command(arguments).output().expect("the program starts"))
    }

    /// Every file below, with its content.
    fn files(&self, below: &str) -> BTreeMap<String, Vec<u8>> {
        let mut found = BTreeMap::new();
        let mut folders = vec![self.0.join(below)];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(&folder).into_iter().flatten() {
                let path = entry.expect("an entry").path();
                if path.file_name().is_some_and(|name| name == ".fitwright-made") {
                    // What a build was made from is no output: by it the next build knows what is the same.
                } else if path.is_dir() {
                    folders.push(path);
                } else if path.file_name().is_some_and(|name| name != ".fitwright-lock") {
                    let name = path.strip_prefix(&self.0).expect("below").to_string_lossy().into_owned();
                    found.insert(name, fs::read(&path).expect("readable"));
                }
            }
        }
        found
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

struct Ran {
    code: Option<i32>,
    out: String,
    err: String,
}

impl From<Output> for Ran {
    fn from(output: Output) -> Ran {
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
        Ran { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
    }
}

impl Ran {
    #[track_caller]
    fn expect(self, code: i32) -> Ran {
        assert_eq!(self.code, Some(code), "standard output:\n{}\nstandard error:\n{}", self.out, self.err);
        assert!(!self.err.contains("panicked"), "{}", self.err);
        self
    }

    /// The codes of findings in JSON lines.
    fn codes(&self) -> Vec<String> {
        let code = |line: &str| {
            let value: serde_json::Value = serde_json::from_str(line).expect("a line is JSON");
            value["code"].as_str().expect("a code").to_owned()
        };
        self.out.lines().map(code).collect()
    }
}

fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The procedure of the README, which must work as shown.
fn clean() -> String {
    let readme = fs::read_to_string(top().join("README.md")).expect("the README");
    let start = readme.find("```fitw\n").expect("a procedure") + "```fitw\n".len();
    let end = readme[start..].find("```").expect("its end");
    readme[start..start + end].to_owned()
}

/// The same with a washer too few.
fn faulty() -> String {
    clean().replace("4 hook-washer", "3 hook-washer")
}

/// The same with a tool that nothing uses: a warning.
fn with_warning() -> String {
    clean().replace("\njoint ", "\ntool spare-hammer \"Hammer\" { }\n\njoint ")
}

#[test]
fn the_readme_procedure_is_clean_and_every_break_that_it_proposes_is_found() {
    let broken = [
        (clean().replace("9 N.m +- 1 N.m", "80 N.m"), "FW0506"),
        (faulty(), "FW0603"),
        (clean().replace("    place hook-joint\n", ""), "FW0701"),
    ];
    let scratch = Scratch::new().with("coat-hook.fitw", &clean());
    scratch.run(&["check", "--deny", "warnings", "coat-hook.fitw"]).expect(0);
    for (text, code) in broken {
        let scratch = Scratch::new().with("coat-hook.fitw", &text);
        let ran = scratch.run(&["check", "--format", "json", "coat-hook.fitw"]).expect(1);
        assert!(ran.codes().iter().any(|found| found == code), "{code} not in {}", ran.out);
    }
}

#[test]
fn help_tells_what_there_is() {
    let scratch = Scratch::new();
    let help = scratch.run(&["--help"]).expect(0).out;
    for word in ["check", "build", "record", "explain", "new", "Examples:"] {
        assert!(help.contains(word), "{word} not in {help}");
    }
    scratch.run(&[]).expect(2);
    scratch.run(&["chekc"]).expect(2);
    for command in ["check", "build", "record", "explain", "new"] {
        let help = scratch.run(&[command, "--help"]).expect(0).out;
        assert!(help.contains("Example"), "{help}");
        assert!(help.lines().all(|line| line.chars().count() <= 100), "{help}");
    }
}

#[test]
fn exit_codes_tell_clean_from_findings_from_trouble() {
    let scratch = Scratch::new()
        .with("good.fitw", &clean())
        .with("bad.fitw", &faulty())
        .with("warns.fitw", &with_warning())
        .with("notes.txt", "not a procedure");
    let ran = scratch.run(&["check", "good.fitw"]).expect(0);
    assert!(ran.out.starts_with("1 file, no findings.\nJudged: 1 fitting, "), "{}", ran.out);
    let ran = scratch.run(&["check", "bad.fitw", "good.fitw"]).expect(1);
    assert!(ran.out.contains("error FW0603") && ran.out.contains("bad.fitw:"), "{}", ran.out);
    assert!(ran.out.contains("`fitwright explain FW0603` tells more about a finding.\nJudged: "), "{}", ran.out);
    assert!(!ran.out.contains('\x1b'), "no colour in a pipe");
    let ran = scratch.run(&["check", "warns.fitw"]).expect(0);
    assert!(ran.out.contains("warning FW0502"), "{}", ran.out);
    scratch.run(&["check", "--deny", "warnings", "warns.fitw"]).expect(1);
    for trouble in ["gone.fitw", "notes.txt", "gone"] {
        let ran = scratch.run(&["check", "good.fitw", trouble]).expect(2);
        assert!(ran.err.contains(trouble), "{}", ran.err);
    }
    fs::create_dir(scratch.0.join("empty")).expect("made");
    scratch.run(&["check", "empty"]).expect(2);
    scratch.run(&["explain", "FW9999"]).expect(2);
}

#[test]
fn a_warning_can_be_accepted_with_a_reason_and_an_idle_acceptance_is_told() {
    let accept = "accept FW0502 \"It is laid out for the next job.\"\ntool spare-hammer";
    let scratch = Scratch::new()
        .with("accepted.fitw", &with_warning().replace("tool spare-hammer", accept))
        .with("idle.fitw", &clean().replace("joint hook-joint", "accept FW0502 \"Once true.\"\njoint hook-joint"))
        .with("mute.fitw", &with_warning().replace("tool spare-hammer", "accept FW0502\ntool spare-hammer"));
    scratch.run(&["check", "--deny", "warnings", "accepted.fitw"]).expect(0);
    let idle = scratch.run(&["check", "--format", "json", "--deny", "warnings", "idle.fitw"]).expect(1);
    assert_eq!(idle.codes(), ["FW0116"]);
    let mute = scratch.run(&["check", "--format", "json", "mute.fitw"]).expect(1);
    assert!(mute.codes().contains(&"FW0115".to_owned()), "{}", mute.out);
}

#[test]
fn a_folder_means_its_procedures_in_order_and_libraries_come_with_their_users() {
    let library = "library ours \"Ours\"\n\npart hook \"Coat hook\"\n";
    let using = clean()
        .replace("part hook        \"Coat hook\"\n", "")
        .replace("use std/hand-tools", "use std/hand-tools\nuse ours");
    let scratch = Scratch::new()
        .with("jobs/b.fitw", &faulty())
        .with("jobs/a.fitw", &faulty())
        .with("jobs/ours.fitw", library)
        .with("jobs/uses.fitw", &using)
        .with("jobs/below/c.fitw", "not looked at");
    let ran = scratch.run(&["check", "--format", "json", "jobs"]).expect(1);
    let files: Vec<String> = ran
        .out
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).expect("JSON")["file"].to_string())
        .collect();
    assert!(files.iter().all(|file| file == "\"jobs/a.fitw\"" || file == "\"jobs/b.fitw\""), "{files:?}");
    assert!(files.is_sorted() && files.len() >= 2, "{files:?}");
    scratch.run(&["check", "jobs/uses.fitw", "jobs/ours.fitw"]).expect(0);
    let ran = scratch.run(&["build", "jobs/ours.fitw"]).expect(2);
    assert!(ran.err.contains("library"), "{}", ran.err);
}

#[test]
fn nothing_outside_the_project_is_read() {
    let outside = Scratch::new().with("secret.fitw", "library secret \"do-not-show\"\n");
    let using = |name: &str| clean().replace("use std/hand-tools", &format!("use std/hand-tools\nuse {name}"));
    let scratch = Scratch::new()
        .with("up.fitw", &using("../secret"))
        .with("link.fitw", &using("linked"))
        .with("device.fitw", &using("zero"))
        .with("folder.fitw", &using("dir"))
        .with("dir.fitw/x", "");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(outside.0.join("secret.fitw"), scratch.0.join("linked.fitw")).expect("linked");
        std::os::unix::fs::symlink("/dev/zero", scratch.0.join("zero.fitw")).expect("linked");
        let made = Command::new("mkfifo").arg(scratch.0.join("pipe.fitw")).status().expect("mkfifo runs");
        assert!(made.success());
        fs::write(scratch.0.join("waits.fitw"), using("pipe")).expect("written");
        scratch.run(&["check", "waits.fitw"]).expect(1);
        scratch.run(&["check", "pipe.fitw"]).expect(2);
        for name in ["link.fitw", "device.fitw"] {
            let ran = scratch.run(&["check", name]).expect(1);
            assert!(!ran.out.contains("do-not-show"), "{}", ran.out);
        }
    }
    for name in ["up.fitw", "folder.fitw"] {
        scratch.run(&["check", name]).expect(1);
    }
    scratch.run(&["check", "--project", "dir.fitw", "up.fitw"]).expect(2);
}

#[test]
fn odd_file_names_do_not_break_a_line_or_steer_the_terminal() {
    let name = "a\n::error::\x1b[31m%\"b.fitw";
    let scratch = Scratch::new().with(name, &faulty());
    let ran = scratch.run(&["check", name]).expect(1);
    assert!(!ran.out.contains('\x1b') && !ran.out.lines().any(|line| line.starts_with("::error")), "{}", ran.out);
    let ran = scratch.run(&["check", "--format", "json", name]).expect(1);
    assert!(!ran.codes().is_empty());
    let ran = scratch.run(&["check", "b\n\x1b[31m.fitw"]).expect(2);
    assert_eq!(ran.err.lines().count(), 1, "{}", ran.err);
    assert!(!ran.err.contains('\x1b'), "{}", ran.err);
}

#[test]
fn a_reader_that_goes_away_is_no_fault_and_a_full_disk_is() {
    let scratch = Scratch::new().with("bad.fitw", &faulty());
    let mut child = scratch
        .command(&["explain"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    drop(child.stdout.take());
    let ran = Ran::from(child.wait_with_output().expect("it ends"));
    assert_eq!(ran.err, "");
    ran.expect(0);
    if let Ok(full) = fs::File::options().write(true).open("/dev/full") {
        let output = scratch.command(&["explain"]).stdout(full).output().expect("the program starts");
        Ran::from(output).expect(2);
    }
}

#[test]
fn every_code_has_its_page() {
    let scratch = Scratch::new();
    let list = scratch.run(&["explain"]).expect(0).out;
    let codes: Vec<&str> = list.split_whitespace().filter(|word| word.starts_with("FW") && word.len() == 6).collect();
    assert!(codes.len() > 70, "{list}");
    for code in ["fw0401", codes[0]] {
        let page = scratch.run(&["explain", code]).expect(0).out;
        assert!(page.to_uppercase().contains(&code.to_uppercase()), "{page}");
    }
}

#[test]
fn explain_shows_how_a_joint_was_worked_out() {
    let broken = clean().replace("    take  1 hook\n", "    take  9 hook\n");
    let scratch = Scratch::new().with("coat-hook.fitw", &clean()).with("broken.fitw", &broken);
    let shown = scratch.run(&["explain", "coat-hook.fitw", "hook-joint"]).expect(0).out.replace('\u{a0}', " ");
    // M6, class 8.8: 20.1 mm2 and 11 600 N by public copies of ISO 898-1.
    for words in ["Hook to locker door (hook-joint)", "20.1 mm²", "11.7 kN", "zinc plated", "Sources", "ISO 898-1"] {
        assert!(shown.contains(words), "no {words} in\n{shown}");
    }
    assert!(shown.lines().all(|line| line.chars().count() <= 100), "{shown}");
    let data = scratch.run(&["explain", "--format", "json", "coat-hook.fitw", "hook-joint"]).expect(0).out;
    let data: serde_json::Value = serde_json::from_str(&data).expect("one JSON object");
    assert_eq!(data["title"], "Hook to locker door (hook-joint)");
    let standings: Vec<&str> = data["lines"]
        .as_array()
        .expect("lines")
        .iter()
        .map(|line| line["standing"].as_str().expect("a word"))
        .collect();
    assert!(standings.contains(&"published") && standings.contains(&"computed"), "{standings:?}");
    assert_eq!(scratch.run(&["explain", "coat-hook.fitw"]).expect(0).out, "hook-joint\n");
    // Errors elsewhere do not hide it; they are mentioned.
    let ran = scratch.run(&["explain", "broken.fitw", "hook-joint"]).expect(0);
    assert!(ran.out.contains("20.1") && ran.err.contains("has errors"), "{}{}", ran.out, ran.err);
    let ran = scratch.run(&["explain", "coat-hook.fitw", "hok-joint"]).expect(2);
    assert!(ran.err.contains("did you mean `hook-joint`?"), "{}", ran.err);
    let ran = scratch.run(&["explain", "coat-hook.fitw", "lamp"]).expect(2);
    assert!(ran.err.contains("it has hook-joint"), "{}", ran.err);
    assert!(scratch.run(&["explain", "gone.fitw", "hook-joint"]).expect(2).err.contains("gone.fitw"));
}

#[test]
fn new_writes_a_clean_procedure_and_never_overwrites() {
    let scratch = Scratch::new();
    let ran = scratch.run(&["new", "bench-bracket"]).expect(0);
    assert!(ran.out.contains("fitwright check bench-bracket.fitw"), "{}", ran.out);
    scratch.run(&["check", "--deny", "warnings", "bench-bracket.fitw"]).expect(0);
    let text = fs::read_to_string(scratch.0.join("bench-bracket.fitw")).expect("written");
    assert!(text.starts_with("procedure bench-bracket \"Bench bracket\"\n"), "{text}");
    fs::write(scratch.0.join("bench-bracket.fitw"), "mine").expect("written");
    let ran = scratch.run(&["new", "bench-bracket"]).expect(2);
    assert!(ran.err.contains("exists already"), "{}", ran.err);
    assert_eq!(fs::read_to_string(scratch.0.join("bench-bracket.fitw")).expect("kept"), "mine");
    let ran = scratch.run(&["new", "../Odd Name"]).expect(2);
    assert!(ran.err.contains("try odd-name"), "{}", ran.err);
    assert_eq!(scratch.files("").len(), 1);
}

#[test]
fn build_without_a_path_writes_the_demos_and_says_where_to_look() {
    let scratch = Scratch::new();
    let ran = scratch.run(&["build"]).expect(0);
    assert!(ran.out.contains("out/kestrel-rack/manual.html"), "{}", ran.out);
    let files = scratch.files("out");
    for name in ["kestrel-rack", "wren-battery", "finch-vise"] {
        let lists = ["pick-list.html", "pick-list.csv", "packing-list.html", "packing-list.csv"];
        for file in ["manual.html", "checklist.json", "job.html", "build.json"].into_iter().chain(lists) {
            assert!(files.contains_key(&format!("out/{name}/{file}")), "{name}/{file}");
        }
    }
}

#[test]
fn the_same_source_gives_the_same_bytes_wherever_and_whenever() {
    let demos = top().join("procedures").to_string_lossy().into_owned();
    let scratch = Scratch::new();
    scratch.run(&["build"]).expect(0);
    let built_in = scratch.files("out");
    assert!(!built_in.is_empty());
    let top = top().to_string_lossy().into_owned();
    let mut command = scratch.command(&["build", &demos]);
    command.env("TZ", "Pacific/Chatham").env("LANG", "tr_TR").env("HOME", "/nonexistent").env("SOURCE_DATE_EPOCH", "1");
    Ran::from(command.output().expect("the program starts")).expect(0);
    let from_files = scratch.files("out");
    assert_eq!(built_in.keys().collect::<Vec<_>>(), from_files.keys().collect::<Vec<_>>());
    for (name, bytes) in &built_in {
        assert!(from_files[name] == *bytes, "{name} differs");
        let text = String::from_utf8_lossy(bytes);
        assert!(!text.contains(&top), "{name} names a folder of this machine");
    }
}

#[test]
fn a_build_with_errors_writes_nothing() {
    let scratch = Scratch::new().with("jobs/good.fitw", &clean()).with("jobs/bad.fitw", &faulty());
    let ran = scratch.run(&["build", "jobs"]).expect(1);
    assert!(ran.err.contains("FW0603") && ran.err.contains("Nothing was written."), "{}", ran.err);
    assert!(!scratch.0.join("out").exists());
    let scratch = scratch.with("jobs/bad.fitw", &clean().replace("coat-hook", "other-hook"));
    scratch.run(&["build", "jobs"]).expect(0);
    let before = scratch.files("out");
    let scratch = scratch.with("jobs/good.fitw", &faulty());
    scratch.run(&["build", "jobs"]).expect(1);
    assert_eq!(scratch.files("out"), before, "the old set stays whole");
}

#[test]
fn a_build_does_not_write_where_it_would_do_harm() {
    let scratch = Scratch::new().with("jobs/coat-hook.fitw", &clean()).with("theirs/coat-hook/thesis.txt", "mine");
    let before = scratch.files("");
    for out in [".", "jobs", "jobs/../jobs", "theirs", "jobs/coat-hook.fitw", "/"] {
        scratch.run(&["build", "--out", out, "jobs"]).expect(2);
    }
    assert_eq!(scratch.files(""), before);
    let twin = scratch.with("jobs/twin.fitw", &clean());
    let ran = twin.run(&["build", "--out", "out", "jobs"]).expect(2);
    assert!(ran.err.contains("coat-hook") && !twin.0.join("out").exists(), "{}", ran.err);
}

#[cfg(unix)]
#[test]
fn a_killed_build_leaves_the_old_or_the_new() {
    let scratch = Scratch::new().with("coat-hook.fitw", &clean());
    scratch.run(&["build", "coat-hook.fitw"]).expect(0);
    let old = scratch.files("out/coat-hook");
    fs::write(scratch.0.join("coat-hook.fitw"), clean().replace("Coat hook in the workshop", "Coat hook, mark two"))
        .expect("written");
    let began = std::time::Instant::now();
    scratch.command(&["build", "--out", "other", "coat-hook.fitw"]).output().expect("the program runs");
    let whole = began.elapsed();
    let new: BTreeMap<String, Vec<u8>> = scratch
        .files("other/coat-hook")
        .into_iter()
        .map(|(name, bytes)| (name.replacen("other", "out", 1), bytes))
        .collect();
    assert_ne!(old, new);
    let (mut kept, mut replaced) = (0, 0);
    for turn in 0..24_u32 {
        let mut child =
            scratch.command(&["build", "coat-hook.fitw"]).stdout(Stdio::null()).spawn().expect("the program starts");
        // Up to three times as long as it took once: the other tests of this file may slow it down.
        std::thread::sleep(whole * turn / 8);
        child.kill().expect("killed, or ended already");
        child.wait().expect("it ends");
        let mut found = scratch.files("out/coat-hook");
        if found.is_empty() {
            // Killed between the two renames: the set is whole under its set-aside name until the next build.
            found = scratch
                .files("out/.fitwright-old-coat-hook")
                .into_iter()
                .map(|(name, bytes)| (name.replacen(".fitwright-old-", "", 1), bytes))
                .collect();
        }
        assert!(found == old || found == new, "half a set after turn {turn}: {:?}", found.keys());
        if found == old {
            kept += 1
        } else {
            replaced += 1
        }
        // The old state again, by the program's own hand.
        if found == new {
            let again = Scratch::new().with("coat-hook.fitw", &clean());
            let out = scratch.0.join("out").to_string_lossy().into_owned();
            again.run(&["build", "--out", &out, "coat-hook.fitw"]).expect(0);
        }
    }
    assert!(kept > 0 && replaced > 0, "the kills came all too early or all too late: {kept} kept, {replaced} replaced");
    scratch.run(&["build", "coat-hook.fitw"]).expect(0);
    assert_eq!(scratch.files("out"), new, "nothing of the killed builds is left behind");
}

/// A conformance vector in a folder of the test's own.
fn vector(name: &str) -> Scratch {
    let folder = top().join("tests/conformance").join(name);
    let text = |file: &str| fs::read_to_string(folder.join(file)).expect("a file of the vector");
    Scratch::new().with("checklist.json", &text("checklist.json")).with("job.jsonl", &text("record.jsonl"))
}

#[test]
fn a_record_is_judged_with_the_exit_codes_of_a_check() {
    fn record<'a>(options: &[&'a str]) -> Vec<&'a str> {
        [&["record"], options, &["checklist.json", "job.jsonl"]].concat()
    }
    let json = record(&["--format", "json"]);

    let good = vector("02-every-kind");
    let ran = good.run(&record(&[])).expect(0);
    assert!(ran.out.contains("complete: handed over, 8 steps done, 32 lines judged."), "{}", ran.out);
    assert_eq!(good.run(&json).expect(0).codes(), ["FW1412"]);
    assert_eq!(vector("13-backwards").run(&json).expect(0).codes(), ["FW1411"]);
    vector("13-backwards").run(&record(&["--deny", "warnings"])).expect(1);

    // The head is on the paper, in groups, and as much of it as was written down.
    let head = ran.out.split("Head of the record: ").nth(1).expect("a head").trim().to_owned();
    good.run(&record(&["--head", &format!("{} {}", &head[..4], &head[4..8])])).expect(0);
    good.run(&record(&["--head", &head])).expect(0);
    let other = if head.starts_with('0') { "1" } else { "0" };
    let ran = good.run(&record(&["--format", "json", "--head", other])).expect(1);
    assert!(ran.codes().contains(&"FW1415".to_owned()), "{}", ran.out);

    for (name, codes) in [
        ("09-changed", &["FW1404"][..]),
        ("09-removed", &["FW1405"]),
        ("11-other-from-the-start", &["FW1403"]),
        ("07-line", &["FW1401"]),
        ("15-torque-out", &["FW1408"]),
        ("15-broken-off", &["FW1410"]),
        // What only follows from the first misfit is not told.
        ("09-new-chain", &["FW1407", "FW1410"]),
    ] {
        assert_eq!(vector(name).run(&json).expect(1).codes(), codes, "{name}");
    }
    let photos = vector("10-same").with("photos/rail.png", "another picture");
    assert_eq!(photos.run(&record(&["--format", "json", "--photos", "photos"])).expect(1).codes(), ["FW1406"]);

    good.run(&["record", "checklist.json", "none.jsonl"]).expect(2);
    good.run(&record(&["--photos", "none"])).expect(2);
    good.run(&["record", "checklist.json"]).expect(2);
}

#[test]
fn a_summary_is_written_beside_what_it_sums_up_and_never_over_it() {
    let scratch = vector("12-markup");
    let summary = |file: &'static str| ["record", "--summary", file, "checklist.json", "job.jsonl"];
    scratch.run(&summary("job.html")).expect(0);
    let page = fs::read_to_string(scratch.0.join("job.html")).expect("the page");
    assert!(page.contains("The record is complete.") && page.contains("{{7*7}}"), "{page}");
    assert!(!page.contains("<script") && !page.contains("<img"), "{page}");
    let head = fs::read_to_string(scratch.0.join("job.jsonl")).expect("the record");
    let head: serde_json::Value = serde_json::from_str(head.lines().last().expect("a line")).expect("JSON");
    for group in head["digest"].as_str().expect("a digest").as_bytes().chunks(4) {
        assert!(page.contains(&format!("<span>{}</span>", String::from_utf8_lossy(group))), "the head is on the page");
    }
    let before = scratch.files("");
    scratch.run(&summary("job.jsonl")).expect(2);
    scratch.run(&summary("none/job.html")).expect(2);
    assert_eq!(scratch.files(""), before);
    vector("11-other-from-the-start").run(&summary("job.html")).expect(2);
}
