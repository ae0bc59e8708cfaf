//! How fast: one run prints MB/s of parsing, of `check`, of `build`, and of pulldown-cmark on the same prose, and what a writer
//! waits for in an editor.
//!
//! The input is a demo procedure, laid out many times in one file with names of its own for each copy, so that it is
//! one valid procedure. `cargo bench` uses about 1 MB; `cargo bench -- 200` uses about 200 kB. Times are the best of
//! several runs, the process start not included; a megabyte is 10^6 bytes.

use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use fitwright::desk::Desk;
use fitwright::source::FileId;
use fitwright::world::Memory;
use fitwright::{compile, parse};

const DEMO: &str = include_str!("../procedures/kestrel-rack.fitw");
const NAME: &str = "large.fitw";

/// Words that begin a statement which declares a name.
const DECLARING: &[&str] = &[
    "option",
    "given",
    "measure",
    "observe",
    "result",
    "fact",
    "limit",
    "part",
    "tool",
    "protection",
    "hazard",
    "action",
    "joint",
    "circuit",
    "state",
    "section",
    "step",
    "check",
];

/// Words that begin a statement which stands once in a procedure.
const ONCE: &[&str] = &["procedure", "revision", "units", "use", "about"];

fn main() {
    let kilobytes = std::env::args().skip(1).find_map(|argument| argument.parse::<usize>().ok()).unwrap_or(1000);
    let text = enlarged(DEMO, kilobytes * 1000);
    let world = Memory::default().with(NAME, text.as_bytes());
    let compiled = compile::check(NAME, &world);
    let errors: Vec<&str> = compiled.findings().iter().map(|finding| finding.message.as_str()).collect();
    assert!(
        compiled.clean().is_some(),
        "the enlarged procedure is not clean: {:?}",
        errors.iter().take(3).collect::<Vec<_>>()
    );
    let steps = text.lines().filter(|line| line.trim_start().starts_with("step ")).count();
    println!("input: {:.2} MB, {} lines, {steps} steps", megabytes(text.len()), text.lines().count());

    let prose = prose_of(&text);
    let rows = [
        ("parse", text.len(), best(|| parse::parse(FileId::new(0), &text).0.items.len())),
        ("check", text.len(), best(|| compile::check(NAME, &world).findings().len())),
        (
            "build",
            text.len(),
            best(|| {
                let compiled = compile::check(NAME, &world);
                compile::build(&compiled).and_then(Result::ok).map_or(0, |outputs| outputs.files.len())
            }),
        ),
        (
            "pulldown-cmark, the same prose",
            prose.len(),
            best(|| {
                let mut html = String::new();
                pulldown_cmark::html::push_html(&mut html, pulldown_cmark::Parser::new(&prose));
                html.len()
            }),
        ),
    ];
    let reference = rows.last().map_or(0.0, |(_, bytes, time)| speed(*bytes, *time));
    println!("{:<32} {:>9} {:>10} {:>9} {:>16}", "", "MB", "time", "MB/s", "of pulldown-cmark");
    for (what, bytes, time) in rows {
        let rate = speed(bytes, time);
        println!(
            "{what:<32} {:>9.3} {:>7.1} ms {rate:>9.2} {:>16.4}",
            megabytes(bytes),
            time.as_secs_f64() * 1e3,
            rate / reference
        );
    }
    at_the_desk();
}

/// What a writer waits for in an editor: of each, the 95th of a hundred times, in milliseconds. Places are spread over the text.
fn at_the_desk() {
    let text = enlarged(DEMO, 200_000);
    let world = Memory::default().with(NAME, text.as_bytes());
    let (desk, read) = Desk::open(NAME, &world);
    let compiled = read.prove();
    let places = |n: usize| (text.len() / 100 * n..text.len()).find(|at| text.is_char_boundary(*at)).unwrap_or(0);
    let slow = |runs: usize, mut work: Box<dyn FnMut(usize) -> usize + '_>| {
        let mut times: Vec<Duration> = (0..runs)
            .map(|n| {
                let start = Instant::now();
                std::hint::black_box(work(n));
                start.elapsed()
            })
            .collect();
        times.sort();
        times.get(runs * 95 / 100).map_or(0.0, |time| time.as_secs_f64() * 1e3)
    };
    println!("at the desk, {:.2} MB, 95th percentile:", megabytes(text.len()));
    let told = |what: &str, ms: f64| println!("{what:<32} {ms:>7.1} ms");
    told("  keystroke to the text's faults", slow(20, Box::new(|_| Desk::open(NAME, &world).1.findings().len())));
    told("  keystroke to all findings", slow(20, Box::new(|_| Desk::open(NAME, &world).1.prove().findings().len())));
    told("  completion", slow(100, Box::new(|n| desk.completions(&text, places(n)).map_or(0, |found| found.1.len()))));
    told(
        "  hover",
        slow(100, Box::new(|n| desk.hover(places(n), Some(&compiled)).map_or(0, |hover| hover.text.len()))),
    );
    told("  colours of the whole text", slow(20, Box::new(|_| desk.colours(&text).len())));
}

fn megabytes(bytes: usize) -> f64 {
    bytes as f64 / 1e6
}

fn speed(bytes: usize, time: Duration) -> f64 {
    megabytes(bytes) / time.as_secs_f64()
}

/// The shortest of at least two runs within about two seconds. The result is looked at, so that the work is done.
fn best(mut work: impl FnMut() -> usize) -> Duration {
    let mut shortest = Duration::MAX;
    let began = Instant::now();
    for run in 0.. {
        let start = Instant::now();
        std::hint::black_box(work());
        shortest = shortest.min(start.elapsed());
        if run >= 1 && began.elapsed() > Duration::from_secs(2) {
            break;
        }
    }
    shortest
}

/// The prose of a procedure as CommonMark.
fn prose_of(text: &str) -> String {
    let mut prose = String::new();
    for line in text.lines() {
        match line.trim_start().strip_prefix('>') {
            Some(words) => {
                prose.push_str(words.trim_start());
                prose.push('\n');
            }
            None if prose.ends_with("\n\n") || prose.is_empty() => {}
            None => prose.push('\n'),
        }
    }
    prose
}

/// The procedure, its content repeated under other names until it is about so many bytes long.
fn enlarged(demo: &str, bytes: usize) -> String {
    let statements = statements(demo);
    let word = |statement: &str| statement.split_whitespace().next().unwrap_or_default().to_owned();
    let (once, many): (Vec<&String>, Vec<&String>) =
        statements.iter().partition(|statement| ONCE.contains(&word(statement).as_str()));
    let names = declared(demo);
    let one: usize = many.iter().map(|statement| statement.len()).sum();
    let copies = (bytes / one.max(1)).max(1);
    let mut text: String = once.into_iter().map(String::as_str).collect();
    // A procedure has one kit and one list of what is on the vehicle: those of all copies go into one.
    let mut joined = BTreeMap::from([("kit", Vec::new()), ("vehicle", Vec::new())]);
    for copy in 1..=copies {
        for statement in &many {
            let first = word(statement);
            let does = |line: &str| statement.contains(&format!("\n  {line} "));
            if copy != copies && first == "section" && !does("step") && !does("check") {
                continue;
            }
            let body = if copy == copies { (*statement).clone() } else { without_handover(statement) };
            let body = renamed(&body, &names, copy);
            match joined.get_mut(first.as_str()) {
                Some(parts) => parts.extend(inside(&body)),
                None => text.push_str(&body),
            }
        }
    }
    for (word, parts) in joined {
        let between = if word == "vehicle" { ", " } else { "\n" };
        if !parts.is_empty() {
            text.push_str(&format!("{word} {{\n{}\n}}\n", parts.join(between)));
        }
    }
    text
}

/// What stands in the braces of a statement.
fn inside(statement: &str) -> Option<String> {
    let (start, end) = (statement.find('{')?, statement.rfind('}')?);
    Some(statement.get(start + 1..end)?.trim().to_owned())
}

/// Statements of the top level, each with its line end.
fn statements(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut at = String::new();
    // Figures stay out, with what is said of them: their bytes would be measured once a copy, and say nothing about text.
    let figures: Vec<String> = text
        .lines()
        .filter_map(|line| line.strip_prefix("figure ")?.split_whitespace().next())
        .map(|name| format!("[{name}]"))
        .collect();
    let mut in_figure = false;
    let says = |line: &&str| {
        let was = in_figure;
        in_figure = if was { !line.starts_with('}') } else { line.starts_with("figure ") && opens(line) };
        let of_figure = figures.iter().any(|name| line.contains(name));
        !(was
            || in_figure
            || of_figure
            || line.trim_start().starts_with('#')
            || line.trim_start().starts_with("figure "))
    };
    for line in text.lines().filter(says) {
        if line.trim().is_empty() && at.is_empty() {
            continue;
        }
        at.push_str(line);
        at.push('\n');
        let ends = if at.lines().count() == 1 { !opens(line) } else { line.starts_with('}') };
        if ends {
            all.push(std::mem::take(&mut at));
        }
    }
    all
}

/// Whether a line leaves a block open.
fn opens(line: &str) -> bool {
    let code = line.split(" #").next().unwrap_or_default();
    code.matches('{').count() > code.matches('}').count()
}

fn without_handover(section: &str) -> String {
    let mut kept = String::new();
    let mut inside = false;
    for line in section.lines() {
        inside |= line.trim_start().starts_with("handover");
        if !inside {
            kept.push_str(line);
            kept.push('\n');
        }
        inside &= line.trim_end() != "  }";
    }
    kept
}

/// The names that a procedure declares.
fn declared(text: &str) -> BTreeSet<&str> {
    text.lines()
        .filter_map(|line| {
            let mut words = line.split_whitespace();
            let first = words.next()?;
            words.next().filter(|_| DECLARING.contains(&first) && !line.trim_start().starts_with('>'))
        })
        .collect()
}

/// A statement with the declared names, and the letters of bags, marked by the number of the copy.
fn renamed(statement: &str, names: &BTreeSet<&str>, copy: usize) -> String {
    let mut out = String::with_capacity(statement.len() * 2);
    for line in statement.lines() {
        let mut quoted = false;
        let mut name = String::new();
        let mut before = String::new();
        for c in line.chars().chain(['\n']) {
            if !quoted && (c.is_ascii_alphanumeric() || c == '-' || c == '/') {
                name.push(c);
                continue;
            }
            out.push_str(&name);
            if names.contains(name.as_str())
                || matches!(before.as_str(), "bag" | "box") && !name.is_empty() && name != "when"
            {
                out.push_str(&format!("-{copy}"));
            }
            if !name.is_empty() {
                before = std::mem::take(&mut name);
            }
            if c == '{' {
                before.clear();
            }
            quoted ^= c == '"';
            out.push(c);
        }
    }
    out
}
