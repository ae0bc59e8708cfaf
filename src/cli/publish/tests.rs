//! The set as it stands after builds, killed builds, and what others put among it.

use super::stage::{Stage, write_folder};
use super::*;
use std::env;
use std::fs;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};

/// A folder of the test's own, removed at its end.
struct Scratch(PathBuf);

impl Scratch {
    fn new() -> Scratch {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let name = format!("fitwright-publish-{}-{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed));
        let path = env::temp_dir().join(name);
        fs::create_dir_all(&path).expect("a scratch folder");
        Scratch(path)
    }

    fn out(&self) -> PathBuf {
        self.0.join("out")
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn folder(name: &str, files: &[(&str, &str)]) -> Folder {
    let outputs: Vec<_> = files.iter().map(|(path, _)| serde_json::json!({ "name": path })).collect();
    let mut all: BTreeMap<String, Vec<u8>> =
        files.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec())).collect();
    let manifest = serde_json::json!({ "format": { "name": MANIFEST_FORMAT }, "outputs": outputs });
    all.insert(MANIFEST.into(), manifest.to_string().into_bytes());
    Folder { name: name.into(), files: all }
}

/// Writes these folders, without records.
fn publish(out: &Path, folders: &[Folder], inputs: &[PathBuf]) -> Result<Vec<String>, CannotRun> {
    gathered(Publication::new(out), folders, inputs)?.publish()
}

fn gathered(mut all: Publication, folders: &[Folder], inputs: &[PathBuf]) -> Result<Publication, CannotRun> {
    for folder in folders {
        all.add(folder.clone(), None, &format!("{}.fitw", folder.name), inputs)?;
    }
    Ok(all)
}

/// A build that was killed right after its mark.
fn staged(out: &Path, folders: &[Folder]) {
    let mut stage = Stage::open(out).expect("free");
    folders.iter().for_each(|folder| stage.write(folder).expect("staged"));
    stage.mark().expect("marked");
}

/// Files and links below a folder, by their paths in it.
fn walk(base: &Path, within: &str, files: &mut Vec<String>) {
    for entry in disk::entries(&base.join(within)).expect("readable") {
        let name = entry.file_name().expect("a name").to_string_lossy().into_owned();
        let path = if within.is_empty() { name } else { format!("{within}/{name}") };
        if disk::is_folder(&entry).expect("readable") { walk(base, &path, files) } else { files.push(path) }
    }
}

fn content(path: &Path) -> BTreeMap<String, String> {
    let mut files = Vec::new();
    walk(path, "", &mut files);
    files
        .into_iter()
        .filter(|file| !file.ends_with(MANIFEST) && file != LOCK)
        .map(|file| (file.clone(), fs::read_to_string(path.join(&file)).expect("readable")))
        .collect()
}

fn texts(files: &[(&str, &str)]) -> BTreeMap<String, String> {
    files.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())).collect()
}

#[test]
fn a_second_build_replaces_the_first_and_keeps_what_is_foreign() {
    let scratch = Scratch::new();
    let out = scratch.out();
    publish(&out, &[folder("a", &[("manual.html", "old"), ("gone.html", "old")])], &[]).expect("written");
    fs::write(out.join("a/my-notes.txt"), "mine").expect("written");
    fs::write(out.join("elsewhere.txt"), "mine").expect("written");
    publish(&out, &[folder("a", &[("manual.html", "new")]), folder("b", &[("x", "1")])], &[]).expect("written");
    let expected = [("a/manual.html", "new"), ("a/my-notes.txt", "mine"), ("b/x", "1"), ("elsewhere.txt", "mine")];
    assert_eq!(content(&out), texts(&expected));
}

#[test]
fn folders_and_files_of_somebody_else_are_not_replaced() {
    let scratch = Scratch::new();
    let out = scratch.out();
    fs::create_dir_all(out.join("a")).expect("made");
    fs::write(out.join("a/thesis.txt"), "mine").expect("written");
    publish(&out, &[folder("a", &[("x", "1")])], &[]).expect_err("not ours");
    assert_eq!(content(&out), texts(&[("a/thesis.txt", "mine")]));
    publish(&out, &[folder("b", &[("x", "1")])], &[]).expect("written");
    fs::write(out.join("b/job.html"), "mine").expect("written");
    publish(&out, &[folder("b", &[("job.html", "2")])], &[]).expect_err("in the way");
    assert_eq!(content(&out.join("b")), texts(&[("x", "1"), ("job.html", "mine")]));
}

#[test]
fn a_build_that_was_killed_is_completed_or_taken_back() {
    let scratch = Scratch::new();
    let out = scratch.out();
    publish(&out, &[folder("a", &[("x", "old")]), folder("b", &[("x", "old")])], &[]).expect("written");
    // Killed while it staged, and between the two renames of a change of places.
    fs::create_dir_all(out.join(STAGE).join("a")).expect("made");
    fs::write(out.join(STAGE).join("a/x"), "half").expect("written");
    fs::rename(out.join("a"), out.join(format!("{ASIDE}a"))).expect("renamed");
    // Killed after a change of places, before the old folder went.
    fs::rename(out.join("b"), out.join(format!("{ASIDE}b"))).expect("renamed");
    fs::write(out.join(format!("{ASIDE}b/notes")), "mine").expect("written");
    write_folder(&out.join("b"), &folder("b", &[("x", "new")])).expect("written");
    publish(&out, &[folder("c", &[("x", "1")])], &[]).expect("written");
    let expected = [("a/x", "old"), ("b/x", "new"), ("b/notes", "mine"), ("c/x", "1")];
    assert_eq!(content(&out), texts(&expected));
}

#[test]
fn a_folder_that_holds_the_sources_is_refused_before_anything_is_written() {
    let scratch = Scratch::new();
    let source = scratch.0.join("rack.fitw");
    fs::write(&source, "procedure").expect("written");
    for out in [scratch.0.clone(), scratch.0.join("sub/.."), source.clone()] {
        publish(&out, &[folder("a", &[("x", "1")])], std::slice::from_ref(&source)).expect_err("refused");
    }
    publish(Path::new("/"), &[folder("a", &[("x", "1")])], &[]).expect_err("refused");
    assert_eq!(content(&scratch.0), texts(&[("rack.fitw", "procedure")]));
}

#[test]
fn names_that_differ_in_case_only_are_refused() {
    let scratch = Scratch::new();
    publish(&scratch.out(), &[folder("a", &[]), folder("A", &[])], &[]).expect_err("twins");
    assert!(!scratch.out().exists());
}

#[test]
fn builds_at_once_leave_whole_sets() {
    let scratch = Scratch::new();
    let out = scratch.out();
    std::thread::scope(|scope| {
        for worker in 0..4 {
            let out = &out;
            scope.spawn(move || {
                for turn in 0..5 {
                    let text = format!("{worker}-{turn}");
                    publish(out, &[folder("a", &[("x", &text), ("y", &text)])], &[]).expect("written");
                }
            });
        }
    });
    let content = content(&out);
    assert_eq!(content.len(), 2);
    assert_eq!(content["a/x"], content["a/y"]);
}

#[test]
fn a_set_is_completed_once_all_of_it_was_staged() {
    let scratch = Scratch::new();
    let out = scratch.out();
    let set = |text: &str| ["a", "b", "c"].map(|name| folder(name, &[("x", text), ("d/y", text)]));
    let told = |text: &str| {
        let files = ["a", "b", "c"].into_iter().flat_map(|name| [format!("{name}/d/y"), format!("{name}/x")]);
        files.map(|file| (file, text.to_owned())).collect::<BTreeMap<_, _>>()
    };
    for killed_after in 0..=6 {
        let _ = fs::remove_dir_all(&out);
        publish(&out, &set("old"), &[]).expect("written");
        staged(&out, &set("new"));
        // The renames of a change of places, as far as they came.
        let renames = ["a", "b", "c"].into_iter().flat_map(|name| {
            let (place, aside) = (out.join(name), out.join(format!("{ASIDE}{name}")));
            [(place.clone(), aside), (out.join(STAGE).join(name), place)]
        });
        for (from, to) in renames.take(killed_after) {
            fs::rename(from, to).expect("renamed");
        }
        assert_eq!(leftovers::tidy(&out).expect("tidied"), Vec::<String>::new());
        assert_eq!(content(&out), told("new"), "killed after {killed_after} renames");
        // Without its mark the same build never was.
        publish(&out, &set("old"), &[]).expect("written");
        staged(&out, &set("new"));
        fs::remove_file(out.join(STAGE).join(MARK)).expect("removed");
        leftovers::tidy(&out).expect("tidied");
        assert_eq!(content(&out), told("old"));
    }
}

/// With room for one folder only the others are on the stage when the last is made.
#[test]
fn what_does_not_wait_in_memory_is_all_of_it_or_nothing_too() {
    let scratch = Scratch::new();
    let out = scratch.out();
    let set = |text: &str| ["a", "b", "c"].map(|name| folder(name, &[("x", text)]));
    publish(&out, &set("old"), &[]).expect("written");
    let large = |folders: &[Folder]| gathered(Publication::with_waiting(&out, 1), folders, &[]);
    let all = large(&set("new")).expect("gathered");
    assert_eq!(content(&out.join(STAGE)).len(), 3);
    assert!(content(&out).iter().all(|(path, text)| path.starts_with(STAGE) || text == "old"));
    lock::take_within(&out, std::time::Duration::ZERO).expect_err("nobody else writes meanwhile");
    all.publish().expect("written");
    assert!(content(&out).values().all(|text| text == "new"));
    // Let go, and one that can't be written: neither has been.
    drop(large(&set("newer")).expect("gathered"));
    assert!(content(&out).values().all(|text| text == "new") && !out.join(STAGE).exists());
    fs::create_dir(out.join("d")).expect("made");
    fs::write(out.join("d/mine"), "new").expect("written");
    let mut with_foreign = set("newer").to_vec();
    with_foreign.push(folder("d", &[("x", "newer")]));
    assert!(large(&with_foreign).is_err());
    assert!(content(&out).values().all(|text| text == "new") && !out.join(STAGE).exists());
    lock::take_within(&out, std::time::Duration::ZERO).expect("free again");
}

/// Who waits for a build that made the folder and comes to nothing finds neither folder nor lock, and makes its own.
#[test]
fn a_build_that_comes_to_nothing_leaves_no_folder_and_nobody_stranded() {
    let scratch = Scratch::new();
    let out = scratch.0.join("all/out");
    for _ in 0..20 {
        let one = folder("a", &[("x", "1")]);
        let nothing = gathered(Publication::with_waiting(&out, 1), std::slice::from_ref(&one), &[]).expect("gathered");
        let waiting = std::thread::spawn({
            let (out, one) = (out.clone(), folder("b", &[("x", "1")]));
            move || publish(&out, &[one], &[])
        });
        std::thread::sleep(std::time::Duration::from_millis(5));
        drop(nothing);
        waiting.join().expect("it ends").expect("written");
        assert_eq!(content(&out), texts(&[("b/x", "1")]));
        fs::remove_dir_all(&out).expect("removed");
    }
    drop(gathered(Publication::with_waiting(&out, 1), &[folder("a", &[("x", "1")])], &[]).expect("gathered"));
    assert_eq!(content(&scratch.0).len(), 0);
    assert!(scratch.0.join("all").exists() && !out.exists());
}

#[test]
fn a_lock_that_is_held_is_not_waited_for_without_end() {
    let scratch = Scratch::new();
    let held = lock::take(&scratch.0).expect("free");
    let began = std::time::Instant::now();
    let CannotRun(why) = lock::take_within(&scratch.0, std::time::Duration::from_millis(200)).expect_err("held");
    assert!(why.contains("another build"), "{why}");
    assert!(began.elapsed() < std::time::Duration::from_secs(20));
    drop(held);
    lock::take(&scratch.0).expect("free again");
}
