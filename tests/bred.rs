//! Bred faults: what a tired writer does to the demos, done at every place where it can be done, and what becomes of it.
//!
//! An edit is *caught* by an error or a warning, *told* by a note or a row of the account, *equivalent* where the checklist's
//! data are the same or the interpreter of `tests/oracle` sees the same jobs, and else *silent*. What is silent stands in
//! `silent.txt` with its reason, and that list may only shrink. A share of all edits is tried, the same each time;
//! `FITWRIGHT_SURVEY=1 cargo test --test all bred:: -- --nocapture` tries all, and prints how many of each kind are found; with
//! words in the place of the `1`, the edits whose line in `silent.txt` has or would have these words: a demo, a kind, a step.

mod alike;
mod compared;
mod edits;
mod judge;
mod right;
mod silent;
mod table;
mod text;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use edits::Edit;
use judge::{Original, Verdict};
use table::Table;

/// So many edits are tried where not all are.
const SAMPLE: usize = 150;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures")
}

/// Pictures by their paths in the project.
type Figures = Vec<(String, Vec<u8>)>;

fn figures() -> Figures {
    let folder = folder().join("figures");
    let entries = std::fs::read_dir(folder).expect("the folder is there").filter_map(Result::ok);
    let read = |entry: std::fs::DirEntry| {
        let name = format!("figures/{}", entry.file_name().to_string_lossy());
        (name, std::fs::read(entry.path()).expect("listed before"))
    };
    entries.map(read).collect()
}

/// The demos, in order of their names, and a text of forms that they lack.
fn originals(figures: &Figures) -> Vec<Original> {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .expect("the folder is there")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter_map(|name| Some(name.strip_suffix(".fitw")?.to_owned()))
        .collect();
    names.sort();
    let read = |name: String| {
        let text = std::fs::read_to_string(folder().join(format!("{name}.fitw"))).expect("listed before");
        Original::new(&name, &text, figures)
    };
    let mut all: Vec<Original> = names.into_iter().map(read).collect();
    all.push(Original::new("finch-forms", include_str!("bred/forms.fitw"), figures));
    all
}

/// An edit, with what it is called in the list of the silent ones.
struct Bred<'o> {
    original: &'o Original,
    edit: Edit,
    key: String,
}

fn breed(originals: &[Original]) -> Vec<Bred<'_>> {
    let of = |original: &'_ Original| edits::all(&original.text);
    let bred = originals.iter().flat_map(|original| of(original).into_iter().map(move |edit| (original, edit)));
    bred.map(|(original, edit)| {
        let key = format!("{} | {} | {}", original.text.name, edit.kind, edit.what);
        Bred { original, edit, key }
    })
    .collect()
}

/// FNV-1a (Fowler, Noll, Vo), which is the same on every machine.
fn hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

/// One of each kind as far as the sample goes, and others after that, as their keys' hashes fall.
fn sample<'b, 'o>(bred: &'b [Bred<'o>]) -> Vec<&'b Bred<'o>> {
    let mut by_hash: Vec<&Bred> = bred.iter().collect();
    by_hash.sort_by_key(|one| hash(&one.key));
    let mut kinds = BTreeSet::new();
    let (first, rest): (Vec<&Bred>, Vec<&Bred>) =
        by_hash.into_iter().partition(|one| kinds.insert(one.edit.kind.clone()));
    first.into_iter().chain(rest).take(SAMPLE).collect()
}

fn judge_all(tried: &[&Bred], figures: &Figures) -> Vec<Verdict> {
    let half = tried.len().div_ceil(2).max(1);
    let judge =
        |part: &[&Bred]| -> Vec<Verdict> { part.iter().map(|one| one.original.judge(&one.edit, figures)).collect() };
    std::thread::scope(|scope| {
        let parts: Vec<_> = tried.chunks(half).map(|part| scope.spawn(move || judge(part))).collect();
        parts.into_iter().flat_map(|part| part.join().expect("it judges")).collect()
    })
}

fn is_asked(variable: &str) -> bool {
    std::env::var_os(variable).is_some()
}

#[test]
fn what_a_tired_writer_does_is_found_or_listed_with_its_reason() {
    let figures = figures();
    let originals = originals(&figures);
    let bred = breed(&originals);
    let keys: BTreeSet<&str> = bred.iter().map(|one| one.key.as_str()).collect();
    assert_eq!(keys.len(), bred.len(), "each edit has a key of its own");
    let tried: Vec<&Bred> = match std::env::var("FITWRIGHT_SURVEY").ok() {
        Some(part) if part != "1" => bred.iter().filter(|one| one.key.contains(&part)).collect(),
        Some(_) => bred.iter().collect(),
        None => sample(&bred),
    };
    let verdicts = judge_all(&tried, &figures);
    let mut table = Table::default();
    tried.iter().zip(&verdicts).for_each(|(one, verdict)| table.count(&one.edit, *verdict));
    println!("{} of {} edits are tried\n{table}", tried.len(), bred.len());
    let kinds: BTreeSet<&str> = bred.iter().map(|one| one.edit.kind.as_str()).collect();
    assert!(kinds.len() >= 40, "{} kinds", kinds.len());

    let listed = silent::read();
    let is_silent: BTreeMap<&str, bool> =
        tried.iter().zip(&verdicts).map(|(one, verdict)| (one.key.as_str(), *verdict == Verdict::Silent)).collect();
    let mut wrong: Vec<String> = Vec::new();
    for (key, silent) in &is_silent {
        match (*silent, listed.contains_key(*key)) {
            (true, false) => wrong.push(format!("silent, and not listed: {key}")),
            (false, true) => wrong.push(format!("listed, and no longer silent: {key}")),
            _ => {}
        }
    }
    wrong.extend(
        listed.keys().filter(|key| !keys.contains(key.as_str())).map(|key| format!("listed, and no edit: {key}")),
    );
    wrong.extend(
        listed
            .iter()
            .filter(|(_, reason)| *reason == silent::NO_REASON)
            .map(|(key, _)| format!("without a reason: {key}")),
    );
    if is_asked("FITWRIGHT_WRITE_SILENT") {
        let mut anew = listed.clone();
        anew.retain(|key, _| keys.contains(key.as_str()) && is_silent.get(key.as_str()).copied().unwrap_or(true));
        for (key, _) in is_silent.iter().filter(|(_, silent)| **silent) {
            anew.entry((*key).to_owned()).or_insert_with(|| silent::NO_REASON.to_owned());
        }
        silent::write(&anew);
    }
    assert!(wrong.is_empty(), "{} differences\n{}", wrong.len(), wrong.join("\n"));
}

/// So many right variants are tried where not all are.
const RIGHT: usize = 105;

#[test]
fn what_leaves_a_procedure_right_raises_nothing() {
    let figures = figures();
    let originals = originals(&figures);
    let mut variants: Vec<(&Original, right::Variant)> = Vec::new();
    for original in &originals {
        variants.extend(right::all(&original.text).into_iter().map(|variant| (original, variant)));
    }
    let all = variants.len();
    if !is_asked("FITWRIGHT_SURVEY") {
        variants.sort_by_key(|(original, variant)| {
            hash(&format!("{} {} {}", original.text.name, variant.kind, variant.what))
        });
        let mut kinds = BTreeSet::new();
        let (first, rest): (Vec<_>, Vec<_>) = variants.into_iter().partition(|(_, variant)| kinds.insert(variant.kind));
        variants = first.into_iter().chain(rest).take(RIGHT).collect();
    }
    let half = variants.len().div_ceil(2).max(1);
    let judge = |part: &[(&Original, right::Variant)]| -> Vec<String> {
        let raised = part.iter().filter_map(|(original, variant)| {
            let compiled = original.compile(&variant.text);
            let said: Vec<String> =
                compiled.findings().iter().map(|one| format!("{} {}", one.code, one.message)).collect();
            let name = &original.text.name;
            (!said.is_empty()).then(|| format!("{name}: {}: {}: {}", variant.kind, variant.what, said.join("; ")))
        });
        raised.collect()
    };
    let wrong: Vec<String> = std::thread::scope(|scope| {
        let parts: Vec<_> = variants.chunks(half).map(|part| scope.spawn(move || judge(part))).collect();
        parts.into_iter().flat_map(|part| part.join().expect("it judges")).collect()
    });
    let kinds: BTreeSet<&str> = variants.iter().map(|(_, variant)| variant.kind).collect();
    println!("{} of {all} right variants of {} kinds are tried", variants.len(), kinds.len());
    assert!(variants.len() >= 100, "{} variants", variants.len());
    assert!(wrong.is_empty(), "{} are refused\n{}", wrong.len(), wrong.join("\n"));
}
