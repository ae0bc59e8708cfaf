//! Compares what the compiler says with what brute force claims.

use fitwright::diagnostics::{Case, CaseInput, Code, Finding};
use fitwright::model::{Procedure, Reading};
use fitwright::source::Span;

use super::answers::Answers;
use super::claims::{Claim, DECIDED, claims};
use super::replay::{Replay, replay, shows, some_walk_passes, touches};
use super::shortest::{Short, Shown, lengths};
use super::trace::{Answer, Lacks, Subject};

/// Every difference between the compiler and brute force, one sentence each; empty where they agree.
pub fn differences(procedure: &Procedure, answers: &Answers, findings: &[Finding]) -> Vec<String> {
    let claims = claims(procedure, answers);
    let decided: Vec<&Finding> = findings.iter().filter(|finding| DECIDED.contains(&finding.code)).collect();
    let mut differences = Vec::new();
    for finding in &decided {
        let backing: Vec<&Claim> = claims.iter().filter(|claim| speaks_of(procedure, finding, claim)).collect();
        if backing.is_empty() {
            differences.push(format!(
                "false alarm: {} {} at {:?} with {}",
                finding.code,
                finding.message,
                finding.span().map(|span| span.range()),
                case_in_words(finding.case.as_ref())
            ));
            continue;
        }
        differences.extend(counts(procedure, answers, finding, &backing));
        differences.extend(replays(procedure, finding, &backing));
    }
    for claim in claims.iter().filter(|claim| claim.certain) {
        // What a claim asks for may be told by a code that brute force does not decide in general.
        if !findings.iter().any(|finding| speaks_of(procedure, finding, claim)) {
            let said = claim.codes.first().map_or("", |code| code.text());
            let about = subject_words(procedure, claim.subject).join(" ");
            differences.push(format!(
                "false silence: {said} {about} at {:?}; shown by {}",
                claim.places.first().map(|span| span.range()),
                answers_in_words(procedure, &claim.example)
            ));
        }
    }
    differences
}

/// What is longer in a printed case than its fault needs, one sentence each.
pub fn longer(procedure: &Procedure, answers: &Answers, findings: &[Finding]) -> Vec<String> {
    let claims = claims(procedure, answers);
    let decided = findings.iter().filter(|finding| DECIDED.contains(&finding.code));
    let of = |finding: &Finding| {
        let backing: Vec<&Claim> = claims.iter().filter(|claim| speaks_of(procedure, finding, claim)).collect();
        too_long(procedure, answers, finding, &backing)
    };
    decided.flat_map(of).collect()
}

/// Whether a finding can be the one that a claim asks for.
fn speaks_of(procedure: &Procedure, finding: &Finding, claim: &Claim) -> bool {
    let there = finding.span().is_none_or(|span| claim.places.iter().any(|place| touches(*place, span)));
    let says = match claim.subject {
        Subject::Load(_, sum) => format!("draw {sum} A together"),
        Subject::Trial(circuit, Lacks::Point(at)) => {
            let point = procedure.circuits[circuit].points.rows().get(at).map_or("", |point| &point.id);
            format!("`{point}` need not be connected")
        }
        Subject::Trial(_, Lacks::Fuse) => "need not be in".to_owned(),
        Subject::Trial(_, Lacks::Current) => "can still isolate it".to_owned(),
        _ => String::new(),
    };
    claim.codes.contains(&finding.code)
        && there
        && finding.message.contains(&says)
        && (names(procedure, finding, claim.subject) || claim.or.iter().any(|other| names(procedure, finding, *other)))
}

/// Whether a finding speaks of a subject: it points at its declaration, or says its name or title.
fn names(procedure: &Procedure, finding: &Finding, subject: Subject) -> bool {
    let words = subject_words(procedure, subject);
    if words.is_empty() {
        return true;
    }
    let says = |text: &str| words.iter().any(|word| text.contains(word.as_str()));
    let declared = declaration(procedure, subject);
    says(&finding.message)
        || finding.labels.iter().any(|label| says(&label.text) || declared.is_some_and(|at| touches(at, label.span)))
}

/// The name and title of a subject; empty for those that are known by their place.
fn subject_words(procedure: &Procedure, subject: Subject) -> Vec<String> {
    let naming = match subject {
        Subject::Branch(_) | Subject::Path => return Vec::new(),
        Subject::Reading(Reading::Choice(choice)) | Subject::Result(choice) => &procedure.choices[choice].name,
        Subject::Reading(Reading::Number(number)) => &procedure.numbers[number].name,
        Subject::Part(part) => &procedure.parts[part].name,
        Subject::Joint(joint) | Subject::Lug(joint) | Subject::Member(joint) | Subject::Holes(joint) => {
            &procedure.joints[joint].name
        }
        Subject::State(state) => &procedure.states[state].name,
        Subject::Circuit(circuit) | Subject::Trial(circuit, _) | Subject::Load(circuit, _) => {
            &procedure.circuits[circuit].name
        }
        Subject::Limit(limit) => &procedure.limits[limit].name,
        Subject::Hazard(hazard) => &procedure.hazards[hazard].name,
    };
    vec![naming.id.clone(), naming.title.clone()]
}

fn declaration(procedure: &Procedure, subject: Subject) -> Option<Span> {
    match subject {
        Subject::Part(part) => Some(procedure.parts[part].span),
        Subject::Joint(joint) | Subject::Lug(joint) | Subject::Member(joint) | Subject::Holes(joint) => {
            Some(procedure.joints[joint].span)
        }
        Subject::State(state) => Some(procedure.states[state].span),
        Subject::Circuit(circuit) | Subject::Trial(circuit, _) | Subject::Load(circuit, _) => {
            Some(procedure.circuits[circuit].span)
        }
        Subject::Limit(limit) => Some(procedure.limits[limit].span),
        Subject::Hazard(hazard) => Some(procedure.hazards[hazard].name.span),
        Subject::Reading(Reading::Choice(choice)) | Subject::Result(choice) => {
            Some(procedure.choices[choice].name.span)
        }
        Subject::Reading(Reading::Number(number)) => Some(procedure.numbers[number].name.span),
        Subject::Branch(span) => Some(span),
        Subject::Path => None,
    }
}

/// FW0603 says how many are taken and how many supplied: the difference must be the exact worst.
fn counts(procedure: &Procedure, answers: &Answers, finding: &Finding, backing: &[&Claim]) -> Option<String> {
    if finding.code != Code::FW0603 {
        return None;
    }
    let outcome =
        finding.case.as_ref().and_then(|case| case.outcome.clone()).unwrap_or_else(|| finding.message.clone());
    let Some((taken, supplied)) = two_numbers(&outcome) else {
        return Some(format!("no counts: {} `{outcome}`", finding.message));
    };
    let short = taken - supplied;
    let agrees = backing.iter().any(|claim| match claim.subject {
        Subject::Part(part) => {
            let balance = answers.part(part);
            // Of what is made the first line where too few are there is told; of parts that stand for one another the first
            // way in which one is short.
            let several = super::parts::is_made(procedure, part) || !procedure.in_place_of_each()[part].is_empty();
            let least = if several { 1 } else { balance.worst_certain.max(1) };
            least <= short && short <= balance.worst
        }
        _ => false,
    });
    let wanted: Vec<i64> = backing
        .iter()
        .filter_map(|claim| match claim.subject {
            Subject::Part(part) => Some(answers.part(part).worst),
            _ => None,
        })
        .collect();
    (!agrees).then(|| format!("wrong count: {} says {short} short, brute force {wanted:?}", finding.message))
}

/// The first two whole numbers of a text that stand as words of their own.
fn two_numbers(text: &str) -> Option<(i64, i64)> {
    let mut numbers = text.split_whitespace().filter_map(|word| word.trim_matches([',', ';', '.']).parse::<i64>().ok());
    Some((numbers.next()?, numbers.next()?))
}

/// The case of a finding must show its fault, whatever the inputs that it does not name.
fn replays(procedure: &Procedure, finding: &Finding, backing: &[&Claim]) -> Option<String> {
    let case = finding.case.as_ref()?;
    if !is_shown_by_walks(finding.code) {
        return None;
    }
    let (codes, places) = (codes(&finding.code), places(finding, backing));
    let what = match replay(procedure, case) {
        Replay::Walked(walks) => {
            let without = walks.iter().find(|walk| !shows(walk, codes, &places));
            match without {
                Some(walk) => format!("does not show with {}", answers_in_words(procedure, &walk.answers)),
                None if !some_walk_passes(procedure, case, codes, &places) => "no job passes these steps".to_owned(),
                None => return None,
            }
        }
        other => format!("{other:?}"),
    };
    Some(format!("case of {} {}: {} {what}", finding.code, finding.message, case_in_words(Some(case))))
}

/// The codes with which a walk may show a fault. A limit that is broken in every configuration shows as one that is broken
/// in this one.
fn codes(code: &Code) -> &[Code] {
    match code {
        Code::FW1001 => &[Code::FW1002, Code::FW1003],
        Code::FW1101 => &[Code::FW1101, Code::FW1102],
        code => std::slice::from_ref(code),
    }
}

fn places(finding: &Finding, backing: &[&Claim]) -> Vec<Span> {
    finding.span().into_iter().chain(backing.iter().flat_map(|claim| claim.places.iter().copied())).collect()
}

/// The case of a finding must be no longer than its fault needs; see `shortest`.
fn too_long(procedure: &Procedure, answers: &Answers, finding: &Finding, backing: &[&Claim]) -> Vec<String> {
    let Some(case) = finding.case.as_ref().filter(|_| is_shown_by_walks(finding.code)) else { return Vec::new() };
    let places = places(finding, backing);
    let counted = case.outcome.as_deref().filter(|_| finding.code == Code::FW0603).and_then(two_numbers);
    let part = backing.iter().find_map(|claim| match claim.subject {
        Subject::Part(part) => Some(part),
        _ => None,
    });
    let of_all = !case.outcome.as_ref().is_some_and(|outcome| outcome.contains("so far"));
    let told = |(part, (taken, supplied))| Short { part, short: taken - supplied, taken: of_all.then_some(taken) };
    let short = part.zip(counted).map(told);
    // By its own place, if it shows there; some findings stand where nothing happens.
    let own: Vec<Span> = finding.span().into_iter().collect();
    let there = |span: Span| own.iter().any(|place| touches(*place, span));
    let mut faults = answers.faults.values().filter(|seen| codes(&finding.code).contains(&seen.fault.code));
    let there_only = faults.any(|seen| there(seen.fault.at));
    let places = if there_only { &own } else { &places };
    let subjects: Vec<Subject> = match finding.code {
        // Several states, parts or joints can be left wrong at one end, several joints clamp what a line removes, and one check
        // brings several hazards; a state that changes ends the isolation of several circuits.
        Code::FW0731
        | Code::FW0960
        | Code::FW0961
        | Code::FW0802
        | Code::FW0803
        | Code::FW0805
        | Code::FW0901
        | Code::FW1101
        | Code::FW1102 => backing.iter().map(|claim| claim.subject).collect(),
        // At one condition several readings can be missing: each has a case of its own.
        Code::FW0406 | Code::FW0411 => {
            let own = backing.iter().map(|claim| claim.subject);
            own.filter(|subject| names(procedure, finding, *subject)).collect()
        }
        _ => Vec::new(),
    };
    let shown = Shown { codes: codes(&finding.code), places, there_only, subjects: &subjects, short };
    let words = case_in_words(Some(case));
    let told = |long: String| format!("{long} in the case of {} {}: {words}", finding.code, finding.message);
    lengths(procedure, answers, case, &shown).into_iter().map(told).collect()
}

/// `arm = powered, lamp (2) = lit: 1.1 measure, 1.2 place`
fn case_in_words(case: Option<&Case>) -> String {
    let Some(case) = case else { return "no case".to_owned() };
    let input = |input: &CaseInput| format!("{} ({}) = {}", input.name, input.occasion, input.value);
    let inputs: Vec<String> = case.inputs.iter().map(input).collect();
    let steps: Vec<&str> = case.steps.iter().map(|step| step.name.as_str()).collect();
    format!("{}: {} {}", inputs.join(", "), steps.join(", "), case.outcome.as_deref().unwrap_or_default())
}

/// Answers of a walk, for a person.
pub fn answers_in_words(procedure: &Procedure, answers: &[Answer]) -> String {
    let words = answers.iter().map(|answer| match *answer {
        Answer::Choice { choice, occasion, value } => {
            let row = &procedure.choices[choice];
            format!("{} ({occasion}) = {}", row.name.id, row.values.get(value).map_or("?", |value| &value.id))
        }
        Answer::Number { number, occasion, base } => {
            let row = &procedure.numbers[number];
            let value = base / row.low.unit.factor();
            format!("{} ({occasion}) = {value} {}", row.name.id, row.low.unit.spelling())
        }
        Answer::Guess { way } => format!("guess {way}"),
    });
    words.collect::<Vec<_>>().join(", ")
}

/// Whether single walks show a fault of this code, rather than all walks together.
fn is_shown_by_walks(code: Code) -> bool {
    !matches!(
        code,
        Code::FW0404
            | Code::FW0405
            | Code::FW0407
            | Code::FW0408
            | Code::FW0409
            | Code::FW0410
            | Code::FW0423
            | Code::FW0610
            | Code::FW0807
            | Code::FW1001
            | Code::FW1005
    )
}
