//! What the program asks of the system, as strace sees it: `check` and `build` open no socket and start no process.

use std::process::Command;

use super::Scratch;

const RACK: &str = include_str!("../../procedures/finch-vise.fitw");

/// The calls of a run that reach out of the process: sockets and programs that it starts. `None` without strace, or where the
/// system lets nobody trace.
fn reached(scratch: &Scratch, arguments: &[&str]) -> Option<(i32, Vec<String>)> {
    let log = scratch.0.join("calls.log");
    let ran = Command::new("strace")
        .args(["-f", "-qq", "-e", "trace=%network,%process", "-o"])
        .arg(&log)
        .arg(env!("CARGO_BIN_EXE_fitwright"))
        .args(arguments)
        .current_dir(&scratch.0)
        .output();
    let calls =
        ran.as_ref().ok().and_then(|_| std::fs::read_to_string(&log).ok()).filter(|calls| calls.contains("execve("));
    let (Ok(ran), Some(calls)) = (ran, calls) else {
        println!("skipped: no strace here, or it may not trace");
        return None;
    };
    let out = calls.lines().filter(|call| reaches_out(call)).map(str::to_owned).collect();
    Some((ran.status.code().unwrap_or(-1), out))
}

/// Whether a call is of the network, or begins a process. A thread shares the memory of the process, and is none.
fn reaches_out(call: &str) -> bool {
    let name = call.split_whitespace().nth(1).unwrap_or_default();
    let name = name.split('(').next().unwrap_or_default();
    match name {
        "clone" | "clone3" => !call.contains("CLONE_THREAD"),
        "fork" | "vfork" | "execve" | "execveat" => true,
        "exit" | "exit_group" | "wait4" | "waitid" | "rt_sigreturn" | "arch_prctl" | "kill" | "tgkill" | "tkill" => {
            false
        }
        "socket" | "socketpair" | "connect" | "bind" | "listen" | "accept" | "accept4" | "sendto" | "sendmsg"
        | "recvfrom" | "recvmsg" | "getsockname" | "getpeername" | "setsockopt" | "getsockopt" | "shutdown" => true,
        _ => false,
    }
}

#[test]
fn check_and_build_open_no_socket_and_start_no_process() {
    let scratch = Scratch::new().with("a/finch-vise.fitw", RACK).with("b/finch-vise.fitw", RACK);
    let runs: [&[&str]; 4] = [
        &["check", "a"],
        &["check", "--account", "--jobs", "2", "a", "b"],
        &["build", "--jobs", "2", "--annex", "a"],
        &["build", "--with", "top=plain", "a/finch-vise.fitw"],
    ];
    for arguments in runs {
        let Some((code, calls)) = reached(&scratch, arguments) else { return };
        assert_eq!(code, 0, "{arguments:?}");
        // The first is the program itself, begun by strace.
        let [first, others @ ..] = calls.as_slice() else { panic!("{arguments:?}: strace saw nothing begin") };
        assert!(first.contains("execve("), "{first}");
        assert_eq!(others, Vec::<String>::new(), "{arguments:?}");
    }
}

/// That the reading of calls is not blind: an old edition comes from git, which is the one program that is started.
#[test]
fn the_one_program_that_is_started_is_git() {
    let scratch = Scratch::new().with("finch-vise.fitw", RACK);
    let Some((_, calls)) = reached(&scratch, &["compare", "HEAD:finch-vise.fitw", "finch-vise.fitw"]) else { return };
    let begun: Vec<&String> = calls.iter().filter(|call| call.contains("execve(")).skip(1).collect();
    assert!(!begun.is_empty(), "{calls:?}");
    assert!(begun.iter().all(|call| call.contains("git\"")), "{begun:?}");
    assert!(!calls.iter().any(|call| call.contains("socket")), "{calls:?}");
}
