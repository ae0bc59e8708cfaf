//! FW1202: a torque in the words of a step, other than the one of the joint that the step tightens.

use std::ops::Range;

use super::Words;
use super::amounts;
use super::text::{Sort, Text};
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, LineKind, Procedure, StepId};
use crate::quantity::{Kind, Measure, Quantity};
use crate::source::Span;
use std::cmp::Ordering;

pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    let Some(step) = text.step.filter(|_| matches!(text.sort, Sort::Instruction | Sort::Told | Sort::Heading)) else {
        return;
    };
    let procedure = words.procedure;
    for (run, measure) in torques(words, text) {
        let Some(place) = text.place(&run) else { continue };
        if is_no_setting(words, text, &run) {
            continue;
        }
        let joints = tightened(procedure, step);
        let fitting = joints.iter().any(|(joint, torque)| agrees(joint, torque, &measure, text, &run));
        if !fitting {
            words.tell(finding(procedure, step, &joints, &measure, place));
        }
    }
}

/// The torques of a text, in brackets and outside.
fn torques(words: &Words<'_>, text: &Text<'_>) -> Vec<(Range<usize>, Measure)> {
    let mut found: Vec<(Range<usize>, Measure)> = amounts::of(text, words.english)
        .into_iter()
        .filter(|amount| amount.kind() == Kind::Torque)
        .map(|amount| (amount.run, Measure::Range { low: amount.low, high: amount.high }))
        .collect();
    for at in 0..text.tokens.len() {
        let measure = text.mention(at).and_then(|mention| amounts::mentioned(words.procedure, &mention.target));
        found.extend(measure.filter(|measure| measure.kind() == Kind::Torque).map(|measure| (at..at + 1, measure)));
    }
    found.sort_by_key(|(run, _)| run.start);
    // `45 lbf.ft (61 N.m)` is one torque, twice: the second agrees where the first does.
    found.dedup_by(|second, first| second.0.start == first.0.end + 1 && text.is_sign(first.0.end, "("));
    found
}

/// The joints that a step tightens to a torque.
fn tightened(procedure: &Procedure, step: StepId) -> Vec<(&Joint, &Measure)> {
    let tightened = procedure.steps[step].lines.iter().filter_map(|line| match &line.kind {
        LineKind::Tighten(joint, _) => Some(&procedure.joints[*joint]),
        _ => None,
    });
    tightened.flat_map(|joint| joint.torques().into_iter().map(move |(torque, _)| (joint, torque))).collect()
}

/// Words of sentences about what a nut takes before it clamps, or what breaks it loose.
const NO_SETTING: &[&str] = &["prevailing", "prevails", "breakaway", "breaks"];

fn is_no_setting(words: &Words<'_>, text: &Text<'_>, run: &Range<usize>) -> bool {
    let sentence = text.sentence_of(run.start);
    let mut said = sentence.into_iter().flatten().map(|at| (at, text.lower(at)));
    words.english
        && said.any(|(at, word)| {
            // The nut's insert, and not the verb.
            let insert =
                word.starts_with("insert") && at.checked_sub(1).is_some_and(|at| is_before_insert(text.lower(at)));
            insert || NO_SETTING.contains(&word)
        })
}

fn is_before_insert(word: &str) -> bool {
    matches!(word, "the" | "nylon" | "its" | "an" | "new" | "nut's")
}

/// Whether a torque is that of a joint, lies within its tolerance, is one of its earlier stages, or a bound above it.
fn agrees(joint: &Joint, torque: &Measure, said: &Measure, text: &Text<'_>, run: &Range<usize>) -> bool {
    let (Some(low), Some(high)) = (torque.low().or_else(|| torque.high()), torque.high().or_else(|| torque.low()))
    else {
        return false;
    };
    let ends: Vec<Quantity> = [said.low(), said.nominal(), said.high()].into_iter().flatten().collect();
    let above = |one: &Quantity, other: &Quantity| one.compare(other) == Some(Ordering::Greater);
    let within = |end: &Quantity| {
        let inside = !above(&low, end) && !above(end, &high);
        inside || amounts::about_the_same(end, &low) || amounts::about_the_same(end, &high)
    };
    let stages = joint.pattern.as_ref().is_some_and(|pattern| pattern.stages > 1) && is_of_a_stage(text, run);
    let is_bound = matches!(said, Measure::AtMost(_) | Measure::Below(_)) || bounds(text, run);
    ends.iter().all(within)
        || (stages && ends.iter().all(|end| above(&low, end)))
        || (is_bound && ends.iter().all(|end| !above(&high, end)))
}

/// Whether a sentence speaks of one of several rounds.
fn is_of_a_stage(text: &Text<'_>, run: &Range<usize>) -> bool {
    const STAGES: &[&str] = &[
        "first",
        "stage",
        "stages",
        "half",
        "third",
        "round",
        "rounds",
        "pass",
        "then",
        "begin",
        "initially",
        "steps",
        "before",
    ];
    let sentence = text.sentence_of(run.start);
    sentence.into_iter().flatten().any(|at| STAGES.contains(&text.lower(at)))
}

/// `Do not exceed 60 N.m`, `no more than 60 N.m`, `60 N.m at most`
fn bounds(text: &Text<'_>, run: &Range<usize>) -> bool {
    let before = run.start.saturating_sub(3)..run.start;
    let after = run.end..run.end + 2;
    let is = |at: usize| matches!(text.lower(at), "exceed" | "more" | "above" | "over" | "most" | "max" | "maximum");
    before.into_iter().chain(after).any(is)
}

fn finding(procedure: &Procedure, step: StepId, joints: &[(&Joint, &Measure)], said: &Measure, place: Span) -> Finding {
    let row = &procedure.steps[step];
    let said = match said {
        Measure::Range { low, high } if amounts::same(low, high) => Measure::Exact(*low),
        other => *other,
    };
    let said = crate::checks::words::shown(procedure, &said);
    let because = "One who reads the words and one who reads the line tighten differently; the torque that is judged, for which a \
                   wrench is laid out and which the record asks for, is the joint's.";
    match joints.first() {
        Some((joint, torque)) => {
            let own = crate::checks::words::shown(procedure, torque);
            let more = if joints.len() > 1 { " first" } else { "" };
            Finding::new(
                Code::FW1202,
                format!("the words say {said}, and `{}` is tightened to {own}", joint.name.id),
                place,
                "another torque than the joint's",
            )
            .also(joint.name.span, format!("the joint that step {} tightens{more}: {own}", row.number))
            .because(because)
            .repair("Take the torque out of the words: the step prints the joint's. If it is right, change the joint.")
        }
        None => Finding::new(
            Code::FW1202,
            format!("the words say {said}, and step {} tightens no joint to a torque", row.number),
            place,
            "a torque that belongs to no joint",
        )
        .also(row.name.span, "the step")
        .because("A torque that stands in words only is not judged, no wrench is laid out for it, and no record asks for it.")
        .repair("Declare the joint with its `torque`, and write `tighten JOINT with …` in this step."),
    }
}
