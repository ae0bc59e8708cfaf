//! `compare` and `build --since`: files, revisions of a git repository, and what the manual shows.

use std::process::Command;

use super::Scratch;

const VISE: &str = include_str!("../../procedures/finch-vise.fitw");

fn edited() -> String {
    let torque = VISE.lines().find(|line| line.trim_start().starts_with("torque ")).expect("a torque");
    let number: f64 = torque.split_whitespace().nth(1).and_then(|word| word.parse().ok()).expect("a number");
    VISE.replace(torque, &torque.replacen(&number.to_string(), &(number + 1.0).to_string(), 1))
}

fn two() -> Scratch {
    Scratch::new().with("old/finch-vise.fitw", VISE).with("new/finch-vise.fitw", &edited())
}

const FILES: [&str; 2] = ["old/finch-vise.fitw", "new/finch-vise.fitw"];

#[test]
fn two_files_are_compared_in_words_and_for_machines() {
    let project = two();
    let ran = project.run(&["compare", FILES[0], FILES[1]]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(
        ran.out.contains(
            "1 change; look at each of them for safety.\n\nTorques  (look at it for safety)\n  joint vise-joint"
        ),
        "{}",
        ran.out
    );
    let ran = project.run(&["compare", "--deny", "safety", "--format", "json", FILES[0], FILES[1]]);
    assert_eq!(ran.code, Some(1), "{}", ran.err);
    let data: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(data["changes"].as_array().map(Vec::len), Some(1), "{data}");
    let ran = project.run(&["compare", "--deny", "safety", FILES[0], FILES[0]]);
    assert_eq!((ran.code, ran.out.lines().last()), (Some(0), Some("Nothing changed but comments and blanks.")));
}

fn git(project: &Scratch, words: &[&str]) {
    let asked = Command::new("git")
        .args(["-c", "user.name=Writer", "-c", "user.email=writer@example.org", "-c", "init.defaultBranch=main"])
        .args(words)
        .current_dir(&project.0)
        .output();
    let asked = asked.expect("git is there: the tests' sources came by it");
    assert!(asked.status.success(), "{words:?}: {}", String::from_utf8_lossy(&asked.stderr));
}

#[test]
fn a_file_is_read_as_it_was_at_a_revision_with_its_libraries() {
    let library = "library ours \"Ours\"\ntool our-bar \"Bar, 300 mm\" { turns hex 13 mm }\n";
    let used = "procedure bar \"Bar\"\nuse lib/ours\nsection work \"Work\" {\n  step look \"Look\" {\n    > Look.\n    use our-bar\n  }\n}\n";
    let project = Scratch::new().with("shop/bar.fitw", used).with("shop/lib/ours.fitw", library);
    git(&project, &["init", "-q"]);
    git(&project, &["add", "."]);
    git(&project, &["commit", "-q", "-m", "first"]);
    git(&project, &["tag", "-a", "v1", "-m", "released"]);
    let project = project.with("shop/lib/ours.fitw", &library.replace("13 mm", "14 mm"));
    let ran = project.run(&["compare", "HEAD:shop/bar.fitw", "shop/bar.fitw"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    assert!(
        ran.out
            .contains("Tools\n  tool our-bar \"Bar, 300 mm\", step 1.1\n    - turns hex 13 mm\n    + turns hex 14 mm"),
        "{}",
        ran.out
    );
    // From another folder, by a tag, and after the file is gone from the disk.
    std::fs::remove_file(project.0.join("shop/bar.fitw")).expect("removed");
    let mut command = project.command(&["compare", "v1:bar.fitw", "HEAD:bar.fitw"]);
    let ran = command.current_dir(project.0.join("shop")).output().expect("it starts");
    assert!(
        String::from_utf8_lossy(&ran.stdout).contains("Nothing changed"),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    for (old, why) in [
        ("v9:shop/bar.fitw", "git knows no revision v9"),
        ("HEAD:shop/none.fitw", "there is no file shop/none.fitw at the revision HEAD"),
        ("HEAD:../bar.fitw", "git"),
        ("--help:shop/bar.fitw", "unexpected argument"),
        ("HEAD:shop/lib", "is not a .fitw file"),
    ] {
        let ran = project.run(&["compare", old, "HEAD:shop/bar.fitw"]);
        assert_eq!(ran.code, Some(2), "{old}: {}", ran.out);
        assert!(ran.err.contains(why), "{old}: {}", ran.err);
    }
}

#[test]
fn a_file_whose_name_has_a_colon_is_the_file() {
    let project = Scratch::new().with("a:b.fitw", VISE).with("c.fitw", VISE);
    assert_eq!(project.run(&["compare", "a:b.fitw", "c.fitw"]).code, Some(0));
}

#[test]
fn what_cannot_be_compared_is_told_in_a_sentence() {
    let project = two().with("lib.fitw", "library ours \"Ours\"\n");
    for (words, why) in [
        (["compare", "none.fitw", FILES[0]], "none.fitw cannot be read: there is no such file or folder"),
        (["compare", "lib.fitw", FILES[0]], "lib.fitw is no procedure; compare the procedures that use it"),
        (["compare", "old", "new"], "old is not a .fitw file"),
    ] {
        let ran = project.run(&words);
        assert_eq!(ran.code, Some(2));
        assert!(ran.err.contains(why), "{}", ran.err);
    }
}

#[test]
fn the_manual_shows_what_differs_since_an_older_edition() {
    let project = two();
    let ran = project.run(&["build", "--since", FILES[0], FILES[1]]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let read = |path: &str| std::fs::read_to_string(project.0.join(path)).expect("written");
    let manual = read("out/finch-vise/manual.html");
    assert!(manual.contains("Changed since revision"), "the list");
    assert!(manual.contains("<tr data-changed><th scope=\"row\">Vise to bench"), "the torque in the table");
    // The same edition twice: no bar, and the list says so.
    let ran = project.run(&["build", "--since", FILES[0], FILES[0], "--out", "same"]);
    assert_eq!(ran.code, Some(0), "{}", ran.err);
    let same = read("same/finch-vise/manual.html");
    assert!(same.contains("Nothing that is printed here.") && !same.contains(" data-changed>"));
    // Without it nothing is there, and nothing else differs by it.
    project.run(&["build", FILES[1], "--out", "plain"]);
    let plain = read("plain/finch-vise/manual.html");
    assert!(!plain.contains("Changed since") && !plain.contains(" data-changed>"));
    assert_eq!(read("plain/finch-vise/checklist.json"), read("out/finch-vise/checklist.json"));
    for (words, why) in [
        (vec!["build", "--since", FILES[0], "new"], "--since is for one procedure; name its file"),
        (vec!["build", "--since", "none.fitw", FILES[1]], "none.fitw cannot be read"),
    ] {
        let ran = project.run(&words);
        assert_eq!((ran.code, ran.err.contains(why)), (Some(2), true), "{}", ran.err);
    }
}
