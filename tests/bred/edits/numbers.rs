//! Numbers, sizes and units that are not the right ones.

use super::Edits;
use crate::bred::text::{Statement, Word};

/// Machine threads by size, and the same in inches.
const THREADS: &[&[&str]] =
    &[&["M5", "M6", "M8", "M10", "M12"], &["1/4-20", "5/16-18", "3/8-16", "7/16-14", "1/2-13", "5/8-11"]];

/// Classes and grades from the stronger to the weaker.
const CLASSES: &[&[&str]] = &[&["10.9", "8.8", "5.8", "4.6"], &["8", "5", "2"], &["A2-70", "A2-50"]];

/// Sizes of hexagons across flats, as tools are named.
const HEXAGONS: &[&[&str]] =
    &[&["7", "8", "10", "13", "16", "18"], &["7-16-inch", "1-2-inch", "9-16-inch", "3-4-inch", "7-8-inch"]];

/// What people mistake for each other.
const UNITS: &[(&str, &str)] = &[
    ("N.m", "lbf.ft"),
    ("lbf.ft", "N.m"),
    ("lbf.in", "lbf.ft"),
    ("mm", "in"),
    ("in", "mm"),
    ("m", "ft"),
    ("ft", "m"),
    ("kg", "lb"),
    ("lb", "kg"),
    ("degC", "degF"),
    ("degF", "degC"),
    ("mm2", "AWG"),
    ("V", "A"),
    ("A", "V"),
    ("min", "h"),
    ("mOhm", "Ohm"),
];

pub fn put(edits: &mut Edits) {
    let text = edits.text;
    for statement in &text.statements {
        let words = if statement.home == "file" { whole(edits, statement) } else { text.head_or_list(statement) };
        counts(edits, statement, &words);
        torques(edits, statement, &words);
        sizes(edits, statement, &words);
        wires(edits, statement, &words);
        units(edits, statement, &words);
        tools(edits, statement, &words);
    }
}

/// Of a declaration, its block too where its lines are no statements of their own.
fn whole(edits: &Edits, statement: &Statement) -> Vec<Word> {
    const READ_WHOLE: &[&str] = &["given", "measure", "limit", "fact", "vehicle", "require", "tool"];
    if READ_WHOLE.contains(&statement.word.as_str()) { edits.text.words(statement) } else { edits.text.head(statement) }
}

fn is_count(word: &Word) -> Option<u32> {
    word.text.parse().ok()
}

/// One more, one less.
fn counts(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    const COUNTED: &[&str] = &[
        "take", "remove", "refit", "discard", "bag", "box", "shop", "vehicle", "each", "count", "bundle", "repair",
        "use", "pattern", "place",
    ];
    if !COUNTED.contains(&statement.word.as_str()) {
        return;
    }
    let family = "counts";
    for word in words {
        let Some(count) = is_count(word) else { continue };
        let kind = match statement.word.as_str() {
            "bag" | "box" | "shop" | "vehicle" => "a count of the kit",
            "each" => "a count of a fastening",
            "count" => "how many fastenings",
            "repair" | "pattern" => "how many times",
            "bundle" => "how many wires",
            _ => "a count of a line",
        };
        edits.word((family, &format!("{kind}, one more")), statement, word, &format!("{}", count + 1));
        if count > 1 {
            edits.word((family, &format!("{kind}, one less")), statement, word, &format!("{}", count - 1));
        }
    }
    if statement.word == "each" {
        for word in words.iter().filter(|word| is_count(word).is_some_and(|count| count > 1)) {
            edits.word((family, "a count of a fastening forgotten"), statement, word, "");
        }
    }
}

/// A number as it is written, times something: `22`, `0.4`, `3 1/2` is left alone.
pub(super) fn times(text: &str, factor: f64) -> Option<String> {
    let number: f64 = text.parse().ok()?;
    let scaled = format!("{:.3}", number * factor);
    Some(scaled.trim_end_matches('0').trim_end_matches('.').to_owned())
}

fn torques(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    if statement.word != "torque" || statement.home != "joint" {
        return;
    }
    let Some(value) = words.get(1) else { return };
    for (kind, factor) in
        [("half as much again", 1.5), ("half", 0.5), ("ten times", 10.0), ("a tenth", 0.1), ("twice", 2.0)]
    {
        if let Some(other) = times(&value.text, factor) {
            edits.word(("torques", kind), statement, value, &other);
        }
    }
    if let Some(tolerance) = words.iter().position(|word| word.text == "+-").and_then(|at| words.get(at + 1)) {
        for (kind, factor) in [("a tolerance five times as wide", 5.0), ("a tolerance a tenth as wide", 0.1)] {
            if let Some(other) = times(&tolerance.text, factor) {
                edits.word(("torques", kind), statement, tolerance, &other);
            }
        }
    }
}

fn beside(rows: &[&[&'static str]], word: &str) -> Vec<&'static str> {
    let mut found = Vec::new();
    for row in rows {
        if let Some(at) = row.iter().position(|other| *other == word) {
            found.extend(at.checked_sub(1).and_then(|at| row.get(at)));
            found.extend(row.get(at + 1));
        }
    }
    found
}

/// Threads, lengths, classes, heads, inserts, what a joint clamps and what it goes into.
fn sizes(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    let is_part = statement.home == "file" && statement.word == "part";
    let is_stud = matches!(statement.word.as_str(), "onto" | "point");
    for (at, word) in words.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| words.get(at)).map_or("", |word| word.text.as_str());
        if is_part || is_stud {
            for other in beside(THREADS, &word.text) {
                edits.word(("sizes", "a thread of the next size"), statement, word, other);
            }
            if matches!(before, "class" | "grade") {
                for other in beside(CLASSES, &word.text) {
                    edits.word(("sizes", "another class"), statement, word, other);
                }
            }
        }
        if is_part && before == "x" && words.iter().any(|word| matches!(word.text.as_str(), "bolt" | "screw")) {
            for (kind, factor) in [("a bolt that is shorter", 0.6), ("a bolt that is longer", 2.0)] {
                if let Some(other) = times(&word.text, factor) {
                    edits.word(("sizes", kind), statement, word, &other);
                }
            }
        }
        let next_is = |text: &str| words.get(at + 1).is_some_and(|word| word.text == text);
        if is_part && word.text == "hex" && next_is("head") {
            edits.word(("sizes", "another head"), statement, word, "socket");
        }
        if is_part && word.text == "socket" && next_is("head") {
            edits.word(("sizes", "another head"), statement, word, "hex");
        }
        if is_part && word.text == "nylon" && next_is("insert") {
            let comma = &words[at - 1];
            let cut = comma.at.start..words[at + 1].at.end;
            edits.put(("sizes", "an insert forgotten"), statement, "", vec![(cut, String::new())]);
        }
        if is_part && (word.text.starts_with("PH") || word.text.starts_with("T2")) {
            let other = if word.text.starts_with("PH") { "PH3" } else { "T25" };
            edits.word(("sizes", "another recess"), statement, word, other);
        }
    }
    match statement.word.as_str() {
        "grip" => {
            scaled(edits, statement, words, "sizes", &[("a grip twice as long", 2.0), ("a grip half as long", 0.5)])
        }
        "into" => {
            scaled(edits, statement, words, "sizes", &[("a hole twice as large", 2.0), ("a hole half as large", 0.5)])
        }
        "thread" if statement.home == "joint" => {
            for other in ["dry", "oiled", "plated", "anti-seize"] {
                if words.get(1).is_some_and(|word| word.text != other && word.text != "unknown") {
                    edits.word(("torques", "another state of the thread"), statement, &words[1], other);
                }
            }
        }
        "mass" => scaled(edits, statement, words, "sizes", &[("a mass ten times", 10.0), ("a mass a tenth", 0.1)]),
        "range" => {}
        "given" | "measure" | "fact" => {
            scaled(
                edits,
                statement,
                words,
                "conditions",
                &[("a number of an input doubled", 2.0), ("a number of an input halved", 0.5)],
            );
        }
        _ => {}
    }
}

/// The first number of a line, times something; a mixed fraction is left alone.
fn scaled(edits: &mut Edits, statement: &Statement, words: &[Word], family: &'static str, kinds: &[(&str, f64)]) {
    let numbers = words.iter().filter(|word| word.text.parse::<f64>().is_ok_and(|number| number > 0.0));
    for word in numbers {
        for (kind, factor) in kinds {
            if let Some(other) = times(&word.text, *factor) {
                edits.word((family, kind), statement, word, &other);
            }
        }
    }
}

fn wires(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    if statement.home != "circuit" {
        return;
    }
    let kinds: &[(&str, f64)] = match statement.word.as_str() {
        "fuse" | "breaker" => &[("a fuse twice as large", 2.0), ("a fuse half as large", 0.5)],
        "load" => &[("twice the load", 2.0), ("half the load", 0.5)],
        "run" => &[("ten times the run", 10.0)],
        "source" => &[("twice the voltage", 2.0)],
        "insulation" => &[("insulation for less heat", 0.6)],
        "ambient" => &[("a warmer place", 2.0)],
        "drop" => &[("a drop of a tenth", 0.1), ("a drop of ten times", 10.0)],
        "wire" => &[("a wire half the size", 0.5), ("a wire of twice the size", 2.0)],
        "chassis" => &[("a return of ten times the resistance", 10.0)],
        _ => &[],
    };
    scaled(edits, statement, words, "wiring", kinds);
    if statement.word == "wire"
        && let Some(metal) = words.iter().find(|word| word.text == "copper")
    {
        edits.word(("wiring", "another metal"), statement, metal, "aluminium");
    }
}

fn units(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    if matches!(statement.home, "step" | "handover" | "about") && statement.word != "takes" {
        return;
    }
    for pair in words.windows(2) {
        let [number, unit] = pair else { continue };
        if !number.text.starts_with(|c: char| c.is_ascii_digit()) {
            continue;
        }
        for (_, other) in UNITS.iter().filter(|(one, _)| *one == unit.text) {
            let mut changes = vec![(unit.at.clone(), (*other).to_owned())];
            // Whoever takes the wrong unit takes it for the tolerance too, and for both ends of a range.
            changes.extend(
                words
                    .iter()
                    .filter(|word| word.text == unit.text && word.at != unit.at)
                    .map(|word| (word.at.clone(), (*other).to_owned())),
            );
            let said = format!(" | {} {} → {other}", number.text, unit.text);
            edits.put(("units", "a unit of the other system or kind"), statement, &said, changes);
        }
    }
}

/// A tool of the size beside it; a torque wrench of the size beside it.
fn tools(edits: &mut Edits, statement: &Statement, words: &[Word]) {
    if statement.home != "step" {
        return;
    }
    for word in words {
        for sort in ["socket-", "spanner-", "hex-key-", "hex-bit-"] {
            let Some(size) = word.text.strip_prefix(sort) else { continue };
            let rows: &[&[&str]] = if sort.starts_with("hex") { &[&["4", "5", "6", "8"]] } else { HEXAGONS };
            for other in beside(rows, size) {
                edits.word(("tools", "a tool of the next size"), statement, word, &format!("{sort}{other}"));
            }
        }
        if word.text.starts_with("torque-wrench-") && word.text.contains("-drive") {
            for (one, other) in [("1-4", "1-2"), ("3-8", "1-2"), ("3-8", "1-4")] {
                if word.text.contains(one) {
                    edits.word(("tools", "another torque wrench"), statement, word, &word.text.replace(one, other));
                }
            }
            let ratchet = "ratchet-3-8-drive";
            edits.word(("tools", "a ratchet for a torque wrench"), statement, word, ratchet);
        }
        if word.text.starts_with("screwdriver-") {
            for other in ["screwdriver-ph1", "screwdriver-t25"] {
                edits.word(("tools", "a tool of the next size"), statement, word, other);
            }
        }
    }
}
