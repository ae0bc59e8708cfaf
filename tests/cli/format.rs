//! `fitwright format`: which files it writes, which not, and how it ends.

use super::{Ran, Scratch};
use std::fs;
use std::io::Write;
use std::process::Stdio;

const SET: &str = "procedure hook \"Hook\"\nunits metric, inch\n";
const UNSET: &str = "procedure   hook \"Hook\"\n\n\nunits metric , inch";
const BROKEN: &str = "procedure   hook \"Hook\nunits   metric\n";

#[test]
fn it_writes_what_changes_and_lists_it() {
    let scratch = Scratch::new().with("a.fitw", SET).with("b.fitw", UNSET).with("lib/c.fitw", UNSET);
    let before = fs::metadata(scratch.0.join("a.fitw")).and_then(|about| about.modified()).expect("a time");
    let ran = scratch.run(&["format", "."]);
    assert_eq!((ran.code, ran.out.as_str(), ran.err.as_str()), (Some(0), "./b.fitw\n2 files, 1 changed.\n", ""));
    let set = fs::read_to_string(scratch.0.join("b.fitw")).expect("there");
    assert_eq!(set, "procedure hook \"Hook\"\n\nunits metric, inch\n");
    assert_eq!(fs::metadata(scratch.0.join("a.fitw")).and_then(|about| about.modified()).expect("a time"), before);
    assert_eq!(fs::read_to_string(scratch.0.join("lib/c.fitw")).expect("there"), UNSET, "below the folder");
}

#[test]
fn a_check_writes_nothing_and_fails_where_something_would_change() {
    let scratch = Scratch::new().with("a.fitw", SET).with("b.fitw", UNSET);
    let before = scratch.files(".");
    let ran = scratch.run(&["format", "--check", "."]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(1), "./b.fitw\n2 files, 1 would change.\n"));
    assert_eq!(scratch.run(&["format", "--check", "a.fitw"]).code, Some(0));
    assert_eq!(before, scratch.files("."));
}

#[test]
fn what_cannot_be_read_is_told_and_left_and_the_others_are_set() {
    let scratch = Scratch::new().with("a.fitw", BROKEN).with("b.fitw", UNSET);
    fs::write(scratch.0.join("c.fitw"), b"procedure hook \"H\xfcgel\"\n").expect("written");
    let ran = scratch.run(&["format", "a.fitw", "b.fitw", "c.fitw"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(1), "b.fitw\n3 files, 1 changed.\n"));
    for words in
        ["FW0104", "a.fitw:1:", "a.fitw: it cannot be read, and is left as it is", "FW0107", "c.fitw: it cannot"]
    {
        assert!(ran.err.contains(words), "{words} is missing in {}", ran.err);
    }
    assert_eq!(fs::read_to_string(scratch.0.join("a.fitw")).expect("there"), BROKEN);
    assert_eq!(scratch.run(&["format", "--check", "a.fitw"]).code, Some(1));
}

#[test]
fn marks_of_other_systems_are_kept_or_dropped() {
    let scratch = Scratch::new().with("a.fitw", &format!("\u{feff}{}", SET.replace('\n', "\r\n")));
    assert_eq!(scratch.run(&["format", "a.fitw"]).code, Some(0));
    let set = fs::read_to_string(scratch.0.join("a.fitw")).expect("there");
    assert_eq!(set, SET.replace('\n', "\r\n"), "CRLF stays, the byte order mark goes");
    assert_eq!(scratch.run(&["format", "--check", "a.fitw"]).code, Some(0));
}

#[cfg(unix)]
#[test]
fn no_link_is_followed_and_permissions_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let scratch = Scratch::new().with("real.fitw", UNSET).with("own.fitw", UNSET);
    symlink(scratch.0.join("real.fitw"), scratch.0.join("link.fitw")).expect("a link");
    fs::set_permissions(scratch.0.join("own.fitw"), fs::Permissions::from_mode(0o640)).expect("set");
    let ran = scratch.run(&["format", "link.fitw", "own.fitw"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), "own.fitw\n2 files, 1 changed.\n"), "{}", ran.err);
    assert!(ran.err.contains("it is a link; name the file itself"), "{}", ran.err);
    assert_eq!(fs::read_to_string(scratch.0.join("real.fitw")).expect("there"), UNSET);
    let mode = fs::metadata(scratch.0.join("own.fitw")).expect("there").permissions().mode();
    assert_eq!(mode & 0o777, 0o640);
}

fn piped(scratch: &Scratch, arguments: &[&str], text: &[u8]) -> Ran {
    let mut command = scratch.command(arguments);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("the program starts");
    child.stdin.take().expect("a pipe").write_all(text).expect("written");
    Ran::from(child.wait_with_output().expect("it ends"))
}

#[test]
fn a_dash_is_from_standard_input_to_standard_output() {
    let scratch = Scratch::new();
    let ran = piped(&scratch, &["format", "-"], UNSET.as_bytes());
    assert_eq!((ran.code, ran.out.as_str()), (Some(0), "procedure hook \"Hook\"\n\nunits metric, inch\n"));
    let ran = piped(&scratch, &["format", "-"], BROKEN.as_bytes());
    assert_eq!((ran.code, ran.out.as_str()), (Some(1), ""), "an editor must not take a message for the text");
    assert!(ran.err.contains("FW0104") && ran.err.contains("standard input: it cannot be read"), "{}", ran.err);
    assert_eq!(piped(&scratch, &["format", "--check", "-"], UNSET.as_bytes()).code, Some(1));
    assert_eq!(piped(&scratch, &["format", "--check", "-"], SET.as_bytes()).code, Some(0));
    assert_eq!(piped(&scratch, &["format", "-", "a.fitw"], b"").code, Some(2));
}

#[test]
fn what_is_no_source_is_refused() {
    let scratch = Scratch::new().with("notes.txt", "procedure").with("empty/notes.txt", "");
    for path in ["notes.txt", "empty", "nowhere.fitw"] {
        assert_eq!(scratch.run(&["format", path]).code, Some(2), "{path}");
    }
}
