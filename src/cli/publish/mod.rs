//! Writes a build: all of it or nothing.
//!
//! Every procedure has a folder of its own under the output folder. New folders are written whole beside the old ones,
//! then change places with them by renaming; a killed build leaves the old or the new. What belongs to the program is
//! what a folder's `build.json` lists; all else in it is *foreign* and stays.
//!
//! Between the two renames of a change of places a folder stands under its set-aside name only. A build that is killed
//! right there is completed by the next one, which begins by tidying up. A lock on the output folder keeps builds apart;
//! the system drops it with the process that holds it.

use std::collections::{BTreeMap, BTreeSet};
use std::env;
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use super::CannotRun;

/// The list of what a build wrote, in each folder.
pub const MANIFEST: &str = "build.json";
/// What a manifest calls itself.
const MANIFEST_FORMAT: &str = "fitwright-build";
/// New folders, not yet in their place.
const STAGE: &str = ".fitwright-new";
/// Begins the name of an old folder that is about to go.
const ASIDE: &str = ".fitwright-old-";
/// Held while a build writes.
const LOCK: &str = ".fitwright-lock";

/// What one procedure's folder shall hold.
#[derive(Debug, Clone)]
pub struct Folder {
    /// Its name: the procedure's.
    pub name: String,
    /// Paths in it, with forward slashes, and their bytes. One is the manifest.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// Writes the folders under `out`. `inputs` are the files that the build has read.
///
/// # Errors
/// Where `out` must not be written to, or the system refuses. No file of an earlier build is then lost.
pub fn publish(out: &Path, folders: &[Folder], inputs: &[PathBuf]) -> Result<(), CannotRun> {
    refuse_twins(folders)?;
    refuse_place(out, inputs)?;
    fs::create_dir_all(out).map_err(|error| CannotRun::writing(out, &error))?;
    let _lock = lock(out)?;
    tidy(out)?;
    for folder in folders {
        refuse_foreign(out, folder)?;
    }
    let stage = out.join(STAGE);
    let written = folders.iter().try_for_each(|folder| write_folder(&stage.join(&folder.name), folder));
    if let Err(error) = written {
        // What was staged is ours alone. That it cannot be removed either would not help the user more.
        let _ = fs::remove_dir_all(&stage);
        return Err(error);
    }
    for folder in folders {
        change_places(out, &folder.name)?;
    }
    if stage.exists() {
        fs::remove_dir(&stage).map_err(|error| CannotRun::writing(&stage, &error))?;
    }
    sync_folder(out);
    Ok(())
}

/// Two folders that a case-blind disk would take for one.
fn refuse_twins(folders: &[Folder]) -> Result<(), CannotRun> {
    let mut names = BTreeSet::new();
    for folder in folders {
        if !names.insert(folder.name.to_lowercase()) {
            return Err(CannotRun(format!(
                "two procedures are called {}; each needs a name of its own, because its folder bears it",
                folder.name
            )));
        }
    }
    Ok(())
}

/// Places where a mistyped folder name would do harm.
fn refuse_place(out: &Path, inputs: &[PathBuf]) -> Result<(), CannotRun> {
    let real = real_path(out)?;
    let refuse = |why: &str| Err(CannotRun(format!("will not write to {}: {why}", out.display())));
    let home = env::var_os("HOME").and_then(|home| fs::canonicalize(home).ok());
    if real.parent().is_none() {
        return refuse("it is the top of the disk");
    }
    if home.is_some_and(|home| home == real) {
        return refuse("it is your home folder; name a folder inside it");
    }
    if real.join(".git").exists() {
        return refuse("it is the top of a repository; name a folder inside it");
    }
    if real.exists() && !real.is_dir() {
        return refuse("it is not a folder");
    }
    for input in inputs {
        let source = fs::canonicalize(input).map_err(|error| CannotRun::reading(input, &error))?;
        if source.starts_with(&real) {
            return refuse(&format!("it holds the source {}; name another folder", input.display()));
        }
    }
    Ok(())
}

/// A path with all links followed, of which the last parts need not exist yet.
fn real_path(path: &Path) -> Result<PathBuf, CannotRun> {
    let mut missing: Vec<std::ffi::OsString> = Vec::new();
    let mut at = path.to_path_buf();
    loop {
        let shown = if at.as_os_str().is_empty() { Path::new(".") } else { &at };
        match fs::canonicalize(shown) {
            Ok(real) => return Ok(missing.iter().rev().fold(real, |folder, part| folder.join(part))),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                let name = at.file_name().ok_or_else(|| CannotRun::reading(path, &error))?;
                missing.push(name.to_owned());
                at.pop();
            }
            Err(error) => return Err(CannotRun::reading(path, &error)),
        }
    }
}

/// Waits until no other build writes here.
fn lock(out: &Path) -> Result<File, CannotRun> {
    let path = out.join(LOCK);
    let cannot = |error: std::io::Error| CannotRun::writing(&path, &error);
    let file = File::options().create(true).append(true).open(&path).map_err(cannot)?;
    file.lock().map_err(cannot)?;
    Ok(file)
}

/// Completes or takes back what a killed build has left.
fn tidy(out: &Path) -> Result<(), CannotRun> {
    let stage = out.join(STAGE);
    if stage.exists() {
        fs::remove_dir_all(&stage).map_err(|error| CannotRun::writing(&stage, &error))?;
    }
    for entry in entries(out)? {
        let Some(name) = entry.file_name().and_then(|name| name.to_str()?.strip_prefix(ASIDE)) else { continue };
        let place = out.join(name);
        if place.exists() {
            retire(&entry, &place)?;
        } else {
            rename(&entry, &place)?;
        }
    }
    Ok(())
}

/// A folder that somebody else made, or a file of somebody else in the way.
fn refuse_foreign(out: &Path, folder: &Folder) -> Result<(), CannotRun> {
    let place = out.join(&folder.name);
    let Ok(about) = fs::symlink_metadata(&place) else { return Ok(()) };
    let refuse = |why: String| Err(CannotRun(format!("will not replace {}: {why}", place.display())));
    if !about.is_dir() {
        return refuse("it is a file or a link that Fitwright did not make".to_owned());
    }
    if entries(&place)?.is_empty() {
        return Ok(());
    }
    let Some(own) = own_files(&place) else {
        return refuse("Fitwright did not make this folder; move it, or name another folder with --out".to_owned());
    };
    for path in folder.files.keys() {
        if !own.contains(path) && fs::symlink_metadata(place.join(path)).is_ok() {
            return refuse(format!("Fitwright did not write its file {path}; move it elsewhere"));
        }
    }
    Ok(())
}

/// What the manifest of a folder lists, itself included; `None` where there is none of ours.
fn own_files(folder: &Path) -> Option<BTreeSet<String>> {
    let text = fs::read(folder.join(MANIFEST)).ok()?;
    let manifest: serde_json::Value = serde_json::from_slice(&text).ok()?;
    if manifest.get("format")?.get("name")? != MANIFEST_FORMAT {
        return None;
    }
    let listed = manifest.get("outputs")?.as_array()?;
    let plain = |path: &str| path.split('/').all(|part| !part.is_empty() && part != "." && part != "..");
    let names = listed.iter().filter_map(|output| output.get("name")?.as_str().filter(|path| plain(path)));
    Some(names.map(str::to_owned).chain([MANIFEST.to_owned()]).collect())
}

fn write_folder(place: &Path, folder: &Folder) -> Result<(), CannotRun> {
    for (path, bytes) in &folder.files {
        let file = place.join(path);
        let cannot = |error: std::io::Error| CannotRun::writing(&file, &error);
        let parent = file.parent().unwrap_or(place);
        fs::create_dir_all(parent).map_err(cannot)?;
        let mut new = File::options().write(true).create_new(true).open(&file).map_err(cannot)?;
        new.write_all(bytes).map_err(cannot)?;
        // A rename may reach the disk before the bytes do.
        new.sync_all().map_err(cannot)?;
        sync_folder(parent);
    }
    Ok(())
}

/// Puts a staged folder in the place of the old one.
fn change_places(out: &Path, name: &str) -> Result<(), CannotRun> {
    let (staged, place, aside) = (out.join(STAGE).join(name), out.join(name), out.join(format!("{ASIDE}{name}")));
    let had_old = fs::symlink_metadata(&place).is_ok();
    if had_old {
        rename(&place, &aside)?;
    }
    if let Err(error) = rename(&staged, &place) {
        if had_old {
            rename(&aside, &place)?;
        }
        return Err(error);
    }
    sync_folder(out);
    if had_old { retire(&aside, &place) } else { Ok(()) }
}

/// Carries what is foreign over to the new folder, then removes the old one.
fn retire(old: &Path, new: &Path) -> Result<(), CannotRun> {
    let own = own_files(old).unwrap_or_default();
    let mut folders = Vec::new();
    let mut files = Vec::new();
    walk(old, "", &mut folders, &mut files)?;
    for path in files.iter().filter(|path| !own.contains(*path)) {
        let to = new.join(path);
        if let Some(parent) = to.parent() {
            fs::create_dir_all(parent).map_err(|error| CannotRun::writing(parent, &error))?;
        }
        rename(&old.join(path), &to)?;
    }
    for path in files.iter().filter(|path| own.contains(*path) && *path != MANIFEST) {
        remove_file(&old.join(path))?;
    }
    // Last, so that a second try still knows what was ours.
    if own.contains(MANIFEST) && files.iter().any(|path| path == MANIFEST) {
        remove_file(&old.join(MANIFEST))?;
    }
    for folder in folders.iter().rev() {
        let path = old.join(folder);
        // An empty folder of somebody's own is worth no more than the name it had.
        fs::remove_dir(&path).map_err(|error| CannotRun::writing(&path, &error))?;
    }
    fs::remove_dir(old).map_err(|error| CannotRun::writing(old, &error))
}

/// Files and folders below a folder, by their paths in it, outer folders first. Links count as files.
fn walk(base: &Path, within: &str, folders: &mut Vec<String>, files: &mut Vec<String>) -> Result<(), CannotRun> {
    for entry in entries(&base.join(within))? {
        let about = fs::symlink_metadata(&entry).map_err(|error| CannotRun::reading(&entry, &error))?;
        let name = entry.file_name().and_then(|name| name.to_str()).ok_or_else(|| {
            CannotRun(format!("{} has a name that is not Unicode; move it elsewhere", entry.display()))
        })?;
        let path = if within.is_empty() { name.to_owned() } else { format!("{within}/{name}") };
        if about.is_dir() {
            folders.push(path.clone());
            walk(base, &path, folders, files)?;
        } else {
            files.push(path);
        }
    }
    Ok(())
}

fn entries(folder: &Path) -> Result<Vec<PathBuf>, CannotRun> {
    let cannot = |error: std::io::Error| CannotRun::reading(folder, &error);
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder).map_err(cannot)? {
        paths.push(entry.map_err(cannot)?.path());
    }
    paths.sort();
    Ok(paths)
}

fn rename(from: &Path, to: &Path) -> Result<(), CannotRun> {
    fs::rename(from, to).map_err(|error| CannotRun::writing(to, &error))
}

fn remove_file(path: &Path) -> Result<(), CannotRun> {
    fs::remove_file(path).map_err(|error| CannotRun::writing(path, &error))
}

/// Makes renames in a folder durable, where the system knows how; where it does not, they are atomic all the same.
fn sync_folder(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
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

    fn content(path: &Path) -> BTreeMap<String, String> {
        let (mut folders, mut files) = (Vec::new(), Vec::new());
        walk(path, "", &mut folders, &mut files).expect("readable");
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
}
