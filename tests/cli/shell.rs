//! What shells and `man` are told of the command line: real shells read it.

use std::process::Command;

use super::Scratch;

/// The commands that the program's own help lists.
fn commands(scratch: &Scratch) -> Vec<String> {
    let help = scratch.run(&["--help"]).expect(0).out;
    let lines = help.lines().skip_while(|line| !line.starts_with("Commands:")).skip(1);
    let listed =
        lines.take_while(|line| !line.is_empty()).filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: Vec<String> = listed.filter_map(|line| line.split_whitespace().next()).map(str::to_owned).collect();
    assert!(names.len() > 10, "{help}");
    names
}

/// Whether a program is there; a test that lacks it says so and holds nothing.
fn has(program: &str, test: &str) -> bool {
    let there = Command::new(program).arg("--version").output().is_ok_and(|ran| ran.status.success());
    if !there {
        println!("skipped: {test}, there is no {program}");
    }
    there
}

/// What bash offers for the last of these words.
fn offered(scratch: &Scratch, words: &[&str]) -> Vec<String> {
    let typed = words.last().copied().unwrap_or_default();
    let before = words.iter().rev().nth(1).copied().unwrap_or_default();
    let script = format!(
        "source ./completions.bash && COMP_WORDS=({}) && COMP_CWORD={} && _fitwright fitwright '{typed}' '{before}'; printf '%s\\n' \"${{COMPREPLY[@]}}\"",
        words.iter().map(|word| format!("'{word}'")).collect::<Vec<_>>().join(" "),
        words.len() - 1,
    );
    let ran = Command::new("bash").args(["--norc", "--noprofile", "-c", &script]).current_dir(&scratch.0).output();
    let ran = ran.expect("bash starts");
    assert_eq!(String::from_utf8_lossy(&ran.stderr), "", "{words:?}");
    String::from_utf8_lossy(&ran.stdout).lines().filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

#[test]
fn bash_completes_commands_options_and_their_values() {
    let scratch = Scratch::new();
    if !has("bash", "completion in bash") {
        return;
    }
    let script = scratch.run(&["completions", "bash"]).expect(0).out;
    std::fs::write(scratch.0.join("completions.bash"), &script).expect("written");
    for command in commands(&scratch) {
        assert_eq!(offered(&scratch, &["fitwright", &command]), [command.as_str()], "{command}");
    }
    assert_eq!(offered(&scratch, &["fitwright", "check", "--forma"]), ["--format"]);
    assert_eq!(offered(&scratch, &["fitwright", "check", "--format", "s"]), ["short", "sarif"]);
    assert_eq!(offered(&scratch, &["fitwright", "completions", "z"]), ["zsh"]);
    assert_eq!(offered(&scratch, &["fitwright", "frobnicate", "--forma"]), Vec::<String>::new());
}

#[test]
fn zsh_and_fish_read_their_scripts() {
    let scratch = Scratch::new();
    for shell in ["zsh", "fish"] {
        let script = scratch.run(&["completions", shell]).expect(0).out;
        for command in commands(&scratch) {
            assert!(script.contains(&command), "{shell} is not told of {command}");
        }
        let file = scratch.0.join(format!("completions.{shell}"));
        std::fs::write(&file, &script).expect("written");
        if has(shell, "syntax of its completions") {
            let ran = Command::new(shell).arg("-n").arg(&file).output().expect("it starts");
            assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
        }
    }
    scratch.run(&["completions", "csh"]).expect(2);
}

#[test]
fn every_command_has_a_page_that_man_can_show() {
    let scratch = Scratch::new();
    let mut pages = vec![(String::from("fitwright"), scratch.run(&["manpage"]).expect(0).out)];
    pages.extend(commands(&scratch).into_iter().map(|name| {
        let page = scratch.run(&["manpage", &name]).expect(0).out;
        (format!("fitwright-{name}"), page)
    }));
    let can_show = has("man", "pages as man shows them");
    for (name, page) in pages {
        assert!(page.contains(&format!(".TH {name} 1")), "{name}: {page}");
        if !can_show {
            continue;
        }
        let file = scratch.0.join(format!("{name}.1"));
        std::fs::write(&file, &page).expect("written");
        let shown =
            Command::new("man").args(["--warnings", "-E", "UTF-8", "-l"]).arg(&file).env("MANWIDTH", "80").output();
        let shown = shown.expect("man starts");
        assert_eq!(String::from_utf8_lossy(&shown.stderr), "", "{name}");
        let shown = String::from_utf8_lossy(&shown.stdout).into_owned();
        for words in ["NAME", "SYNOPSIS", "DESCRIPTION", &name] {
            assert!(shown.contains(words), "{name} lacks {words}:\n{shown}");
        }
    }
    let check = scratch.run(&["manpage", "check"]).expect(0).out;
    assert!(check.contains("deny") && check.contains("Exit codes"), "{check}");
    let ran = scratch.run(&["manpage", "frobnicate"]).expect(2);
    assert!(ran.err.contains("there is no command `frobnicate`"), "{}", ran.err);
}
