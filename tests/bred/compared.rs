//! What `compare` says of each edit: it is told, at its place, and named as what it is.
//!
//! `FITWRIGHT_SURVEY=1` tries all of them, as beside.

use std::collections::BTreeSet;
use std::ops::Range;

use fitwright::compare::{Change, Comparison, Topic, What, compare};

use super::edits::Edit;
use super::judge::Original;

/// What an edit of a kind is about. Where a kind is not listed, its edits take a line or block away, and that is what is told.
const ABOUT: &[(&str, &[Topic])] = &[
    ("a bolt that is", &[Topic::Joint]),
    ("a bound moved", &[Topic::Check, Topic::Limit, Topic::Condition]),
    ("a bound of an arm moved", &[Topic::Condition]),
    ("a circuit for another", &[Topic::Circuit, Topic::Joint, Topic::Order]),
    ("a condition", &[Topic::Condition, Topic::Check]),
    ("a count of a fastening", &[Topic::Joint]),
    ("a count of a line", &[Topic::Part, Topic::Tool, Topic::Joint]),
    ("a count of the kit", &[Topic::Part]),
    ("a drop of", &[Topic::Circuit]),
    ("a fuse", &[Topic::Circuit]),
    ("a grip", &[Topic::Joint]),
    ("a hazard for another", &[Topic::Message]),
    ("a hole", &[Topic::Joint]),
    ("a joint for another", &[Topic::Joint, Topic::Record, Topic::Order]),
    ("a line in the next step", &[Topic::Order, Topic::Tool]),
    ("a line in the step before", &[Topic::Order, Topic::Tool]),
    ("a mass", &[Topic::Joint]),
    ("a number in a sentence", &[Topic::Told]),
    ("a number of an input", &[Topic::Limit, Topic::Reading]),
    ("a part for another in a sentence", &[Topic::Told]),
    ("a part in another bag", &[Topic::Part]),
    ("a stage dropped", &[Topic::Torque]),
    ("stages dropped", &[Topic::Torque]),
    ("a step in the", &[Topic::Order, Topic::Condition, Topic::Check]),
    ("a step out of its branch", &[Topic::Order]),
    ("a tolerance", &[Topic::Limit, Topic::Torque]),
    ("a weaker signal word", &[Topic::Message]),
    ("another begin or end of a state", &[Topic::State]),
    ("another value of a state", &[Topic::State]),
    ("arms with each other's names", &[Topic::Condition]),
    ("half", &[Topic::Torque]),
    ("half an amount", &[Topic::Part]),
    ("ten times an amount", &[Topic::Part]),
    ("twice an amount", &[Topic::Part]),
    ("half the", &[Topic::Circuit]),
    ("lines changed places", &[Topic::Order]),
    ("people dropped", &[Topic::Time]),
    ("sections changed places", &[Topic::Order]),
    ("steps changed places", &[Topic::Order]),
    ("ten times", &[Topic::Torque]),
    ("ten times the", &[Topic::Circuit]),
    ("twice", &[Topic::Torque]),
    ("twice the", &[Topic::Circuit]),
    ("without a safety message", &[Topic::Message]),
    ("without an arm", &[Topic::Condition]),
    ("without `tighten`", &[Topic::Joint]),
    ("without `take`", &[Topic::Part]),
    ("without `need`", &[Topic::State]),
    ("joint without `torque`", &[Topic::Torque]),
    ("file without `limit`", &[Topic::Limit]),
    ("about without `wear`", &[Topic::Protection]),
];

fn compared(original: &Original, edit: &Edit) -> Comparison {
    let (path, old) = original.with(&original.text.text);
    let (_, new) = original.with(&edit.apply(&original.text.text));
    compare((&path, &old), (&path, &new)).unwrap_or_else(|why| panic!("{}: {}", edit.what, why.0))
}

/// The lines of the old text that an edit touches, from the one that begins the list: a comma at its end carries a line on.
fn lines(original: &Original, edit: &Edit) -> Vec<Range<usize>> {
    let text = &original.text.text;
    let line = |at: usize| text[..at].matches('\n').count() + 1;
    let begins = |mut first: usize| {
        while first > 1 && text.lines().nth(first - 2).is_some_and(|before| before.trim_end().ends_with(',')) {
            first -= 1;
        }
        first
    };
    edit.changes.iter().map(|(at, _)| begins(line(at.start))..line(at.end) + 1).collect()
}

/// Why what is told of an edit is not right.
fn fault(original: &Original, edit: &Edit, compared: &Comparison) -> Option<String> {
    let told = || -> Vec<String> {
        compared.changes.iter().map(|one| format!("{} {}: {:?}", one.topic.key(), one.what.word(), one.new)).collect()
    };
    if compared.is_of_words() {
        return Some(format!("only words: {:?}", told()));
    }
    let is_there = |change: &Change| {
        let old = change.old.as_ref().map(|said| said.line as usize);
        let at = |line: usize| lines(original, edit).iter().any(|range| range.contains(&line));
        // What is new stands where the edit put it, or takes its lines from elsewhere.
        old.is_none_or(at) || change.what == What::Moved
    };
    // Where a name is not known any more, what names it may be read otherwise.
    let whole = compared.follows.is_some();
    if whole && !compared.changes.iter().all(is_there) {
        return Some(format!("told elsewhere: {:?}", told()));
    }
    let meant = ABOUT.iter().filter(|(kind, _)| edit.kind.starts_with(kind)).max_by_key(|(kind, _)| kind.len());
    let is_right = match meant {
        Some((_, topics)) => compared.changes.iter().all(|change| topics.contains(&change.topic)),
        None if edit.kind.contains("without `") => compared.changes.iter().any(|change| change.what == What::Removed),
        None => compared.changes.iter().any(|change| change.what != What::Renamed),
    };
    (!is_right && (whole || meant.is_none())).then(|| format!("named otherwise: {:?}", told()))
}

#[test]
fn each_edit_is_told_at_its_place_and_as_what_it_is() {
    let figures = super::figures();
    let originals = super::originals(&figures);
    let bred = super::breed(&originals);
    let all = super::is_asked("FITWRIGHT_SURVEY");
    let mut kinds = BTreeSet::new();
    // One of each kind; which one, falls as the hashes do.
    let mut by_hash: Vec<_> = bred.iter().collect();
    by_hash.sort_by_key(|one| super::hash(&one.key));
    let tried: Vec<_> = by_hash.into_iter().filter(|one| all || kinds.insert(one.edit.kind.clone())).collect();
    assert!(tried.len() > 100, "{} edits", tried.len());
    let half = tried.len().div_ceil(2);
    let faults: Vec<String> = std::thread::scope(|scope| {
        let judge = |part: &[&super::Bred]| -> Vec<String> {
            let fault = |one: &&super::Bred| {
                let compared = compared(one.original, &one.edit);
                Some(format!("{}\n    {}", one.key, fault(one.original, &one.edit, &compared)?))
            };
            part.iter().filter_map(fault).collect()
        };
        let parts: Vec<_> = tried.chunks(half).map(|part| scope.spawn(move || judge(part))).collect();
        parts.into_iter().flat_map(|part| part.join().expect("it compares")).collect()
    });
    assert!(faults.is_empty(), "{} of {}:\n{}", faults.len(), tried.len(), faults.join("\n"));
}
