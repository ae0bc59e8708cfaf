//! FW04: branches that miss or share values, readings used before they are taken, inputs that decide nothing, rules that
//! contradict each other, conditions that always hold, and paths that run out.

use std::collections::BTreeMap;

use super::carried::carried;
use super::gaps;
use super::proof::{Proof, Subject, not_decided};
use super::words::contradiction;
use crate::diagnostics::{Change, Code, Finding, MOST_OFFERED, Mend};
use crate::model::{
    ArmPattern, ChoiceKind, Choose, ChooseSubject, Cond, CondKind, Node, NumberKind, Procedure, Value, walk,
};
use crate::source::Span;
use crate::space::{Answer, Effect, Event, Formula, Input, Use};

/// FW0403: branches wholly outside the range, whatever the configuration.
pub(super) fn branches(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    for node in procedure.sections.iter().flat_map(|section| walk(&section.body)) {
        if let Node::Choose(choose) = node {
            outside(proof, choose);
        }
    }
}

fn outside(proof: &mut Proof<'_>, choose: &Choose) {
    let ChooseSubject::Number(number) = choose.subject else { return };
    let row = &proof.procedure.numbers[number];
    for arm in &choose.arms {
        let ArmPattern::In(interval, written) = &arm.pattern else { continue };
        if gaps::overlaps(row, interval) {
            continue;
        }
        proof.outside.push(arm.pattern_span);
        proof.findings.push(
            Finding::new(
                Code::FW0403,
                format!("`{}` can never be {}", row.name.id, written.source_form()),
                arm.pattern_span,
                "no reading lies here",
            )
            .also(row.range_span, format!("it can be {} to {}", row.low, row.high))
            .because("Either the range or the branch is not what was meant.")
            .repair("Correct the bounds, or remove the branch.")
            .mend(Mend::look("Remove the branch", Change::Drop(arm.pattern_span))),
        );
    }
}

/// FW0419 of the whole procedure: nothing can be decided of it.
fn too_much(at: Span) -> Finding {
    Finding::new(
        Code::FW0419,
        "nothing could be decided: with each repair as often as it may be done, this comes to too much",
        at,
        "400,000 things to do, or 200 branches in one another, are reached here",
    )
    .because("Every repetition is looked at as a place of its own. Repairs that stand in repairs multiply, and silence would claim that nothing can go wrong in any of them.")
    .repair("Let a repair end in `else stop` after fewer tries, or take a check out of the repair of another.")
}

/// FW0408. Gives whether the rules leave no configuration at all; then nothing else has a meaning.
pub(super) fn contradictory(proof: &mut Proof<'_>) -> bool {
    let rule = proof.procedure.rules.first();
    let at = rule.map_or(proof.procedure.head_span, |rule| rule.span);
    let finding = Finding::new(
        Code::FW0408,
        "the rules leave no configuration that could be ordered",
        at,
        "together with the others",
    )
    .because("Whatever a customer orders, some rule forbids it.")
    .repair("Compare the rules below and mend the one that says too much.");
    match proof.space.ask(Formula::ALWAYS) {
        Answer::Possible(_) => false,
        Answer::Undecided => {
            let undecided = proof.space.too_much_at().map(too_much);
            proof.findings.push(undecided.unwrap_or_else(|| not_decided(Code::FW0408, &finding)));
            true
        }
        Answer::Impossible => {
            let explained =
                proof.events.first().map(|event| event.id).map(|first| proof.space.explain(first, Formula::ALWAYS));
            let finding = match &explained {
                Some(explained) => contradiction(proof.procedure, finding, explained),
                None => finding,
            };
            proof.findings.push(finding);
            true
        }
    }
}

/// The rest of the family, over all runs.
pub(super) fn check(proof: &mut Proof<'_>) {
    let events = proof.events.clone();
    for event in events.iter() {
        match &event.effect {
            Effect::Judged { uses, .. } => unread(proof, event, uses),
            Effect::Chosen { choose, arms, uses } => {
                unread(proof, event, uses);
                gap(proof, event, choose, arms, uses);
                shared(proof, event, choose, arms);
            }
            Effect::RunsOut => runs_out(proof, event),
            _ => {}
        }
    }
    always(proof);
    inert(proof);
}

/// FW0406 and FW0411
fn unread<'p>(proof: &mut Proof<'p>, event: &Event<'p>, uses: &[Use]) {
    for looked in uses {
        if looked.unknown == Formula::NEVER {
            continue;
        }
        let sure = proof.sure(event);
        let broken = proof.space.both(sure, looked.unknown);
        let (input, span) = (looked.input, looked.span);
        let code = match input {
            Input::Choice(id) if proof.procedure.choices[id].kind == ChoiceKind::Result => Code::FW0411,
            Input::Choice(_) | Input::Number(_) => Code::FW0406,
        };
        proof.oblige((code, span, Subject::Input(input)), event.id, broken, move |proof| {
            let name = match input {
                Input::Choice(id) => &proof.procedure.choices[id].name,
                Input::Number(id) => &proof.procedure.numbers[id].name,
            };
            if let Some(finding) = super::given::decides_without(proof.procedure, input, span) {
                finding
            } else if code == Code::FW0411 {
                Finding::new(
                    code,
                    format!("`{}` decides here and is not set on every path", name.id),
                    span,
                    "not set yet on some path",
                )
                .also(name.span, "the result")
                .because("The technician would not know which way to go.")
                .repair(format!("Write `set {} …` in every branch before this place.", name.id))
                .mend(set_before(proof.procedure, input, span))
            } else {
                Finding::new(
                    code,
                    format!("`{}` decides here and is not read on every path", name.id),
                    span,
                    "not read yet on some path",
                )
                .also(name.span, "the reading")
                .because("The technician would have to guess.")
                .repair(format!("Write `read {}` in a step that every path takes before this place.", name.id))
                .mend(Mend::in_step_before(span, format!("read {}", name.id)))
            }
        });
    }
}

/// The values of a result, each set in the step before.
fn set_before(procedure: &Procedure, input: Input, at: Span) -> Vec<Mend> {
    let Input::Choice(id) = input else { return Vec::new() };
    let row = &procedure.choices[id];
    let set = |value: &Value| Mend::in_step_before(at, format!("set {} {}", row.name.id, value.id));
    row.values.iter().take(MOST_OFFERED).map(set).collect()
}

/// FW0401
fn gap<'p>(proof: &mut Proof<'p>, event: &Event<'p>, choose: &'p Choose, arms: &[Formula], uses: &[Use]) {
    let covered = proof.space.any(arms.iter().copied());
    let unknown = proof.space.any(uses.iter().map(|looked| looked.unknown));
    let sure = proof.sure(event);
    let broken = proof.space.all([sure, !covered, !unknown]);
    let span = choose.subject_span;
    proof.oblige((Code::FW0401, span, Subject::Place), event.id, broken, move |proof| {
        let missed = gaps::missed(proof.procedure, choose);
        let name = subject_name(proof.procedure, choose);
        let finding = Finding::new(
            Code::FW0401,
            format!(
                "{} {} no branch of `choose {name}`",
                gaps::list(&missed),
                if missed.len() == 1 { "matches" } else { "match" }
            ),
            span,
            "no branch takes these",
        );
        finding
            .because("A technician with this reading in hand would not know what to do.")
            .repair("Let the branches meet at neighbouring readings, add a branch, or end with `otherwise { … }`.")
            .mend(Mend::blanks(
                "End with `otherwise`",
                Change::Inside(choose.span, "otherwise { stop \"…\" }".to_owned()),
            ))
    });
}

/// FW0402
fn shared<'p>(proof: &mut Proof<'p>, event: &Event<'p>, choose: &'p Choose, arms: &[Formula]) {
    for (second, (b, covers)) in choose.arms.iter().zip(arms).enumerate() {
        for (first, (a, before)) in choose.arms.iter().zip(arms).enumerate().take(second) {
            if !can_share(&a.pattern, &b.pattern) {
                continue;
            }
            let both = proof.space.both(*before, *covers);
            if both == Formula::NEVER {
                continue;
            }
            let sure = proof.sure(event);
            let broken = proof.space.both(sure, both);
            let key = (Code::FW0402, b.pattern_span, Subject::Arm(first));
            proof.oblige(key, event.id, broken, move |proof| {
                let name = subject_name(proof.procedure, choose);
                let values = gaps::common(proof.procedure, choose, &a.pattern, &b.pattern);
                Finding::new(
                    Code::FW0402,
                    format!("{values} of `{name}` fits two branches"),
                    b.pattern_span,
                    "fits here",
                )
                .also(a.pattern_span, "and here")
                .because("Two technicians with the same reading would do different things.")
                .repair("Move one of the bounds, so that each reading fits just one branch.")
            });
        }
    }
}

/// Whether two patterns may fit one value. Of hundreds of branches, nearly all are told apart by what is written.
fn can_share(a: &ArmPattern, b: &ArmPattern) -> bool {
    match (a, b) {
        (ArmPattern::In(a, _), ArmPattern::In(b, _)) => a.meets(b),
        (ArmPattern::Values(a), ArmPattern::Values(b)) => a.iter().any(|value| b.contains(value)),
        _ => false,
    }
}

fn subject_name<'p>(procedure: &'p Procedure, choose: &Choose) -> &'p str {
    match choose.subject {
        ChooseSubject::Choice(id) => &procedure.choices[id].name.id,
        ChooseSubject::Number(id) => &procedure.numbers[id].name.id,
    }
}

/// FW0412
fn runs_out<'p>(proof: &mut Proof<'p>, event: &Event<'p>) {
    let has_handover = proof.events.iter().any(|event| matches!(event.effect, Effect::Handover(_)));
    // Without any handover, that is the message.
    if !has_handover {
        return;
    }
    let sure = proof.sure(event);
    let head = proof.procedure.head_span;
    let last = proof.procedure.sections.last().map(|section| section.name.span);
    proof.oblige((Code::FW0412, head, Subject::Place), event.id, sure, move |_| {
        let finding =
            Finding::new(Code::FW0412, "a path ends without handover or stop", head, "the text runs out on some path");
        let finding = match last {
            Some(last) => finding
                .also(last, "the last section")
                .mend(Mend::blanks("End with a stop", Change::Inside(last, "stop \"…\"".to_owned()))),
            None => finding,
        };
        finding
            .because("The technician comes to the end and nobody says whether the job is done.")
            .repair("Let every path end in `handover { … }` or in `stop \"…\"`.")
    });
}

/// FW0410: conditions that hold whenever they are looked at.
fn always(proof: &mut Proof<'_>) {
    let mut conditions: Vec<(&Cond, Formula, Formula)> = Vec::new();
    let mut known: BTreeMap<Span, usize> = BTreeMap::new();
    let events = proof.events.clone();
    for event in events.iter() {
        let Effect::Judged { condition, holds, .. } = &event.effect else { continue };
        let (kept, failed) = (proof.space.both(event.guard, *holds), proof.space.both(event.guard, !*holds));
        let at = *known.entry(condition.span).or_insert(conditions.len());
        match conditions.get_mut(at) {
            Some((_, held, not_held)) => {
                *held = proof.space.either(*held, kept);
                *not_held = proof.space.either(*not_held, failed);
            }
            None => conditions.push((condition, kept, failed)),
        }
    }
    let failed: Vec<Formula> = conditions.iter().map(|(_, _, failed)| *failed).collect();
    let answers = proof.space.ask_each(&failed);
    for ((condition, kept, _), answer) in conditions.iter().zip(answers) {
        let finding = Finding::new(
            Code::FW0410,
            "this condition always holds here",
            condition.span,
            "holds in every configuration",
        )
        .because("A reader takes it for a choice, and looks for the other side.")
        .repair("Remove the condition, or mend it if it was meant to decide something.")
        .mend(Mend::look("Remove the condition", Change::DropCondition(condition.span)));
        match answer {
            Answer::Possible(_) => {}
            Answer::Undecided => proof.findings.push(not_decided(Code::FW0410, &finding)),
            Answer::Impossible => {
                if matches!(proof.space.ask(*kept), Answer::Possible(_)) {
                    proof.findings.push(finding);
                }
            }
        }
    }
}

/// FW0407: inputs on which nothing depends. Where a condition that names the input was told to hold always or never,
/// that is the cause, and the message.
fn inert(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut deciding = proof.space.deciding();
    for event in proof.events.iter() {
        let (Effect::Judged { uses, .. } | Effect::Chosen { uses, .. }) = &event.effect else { continue };
        // Looked at before it is read: it was meant to decide.
        deciding.extend(uses.iter().filter(|looked| looked.unknown != Formula::NEVER).map(|looked| looked.input));
    }
    deciding.extend(named_where_told(proof));
    for rule in &procedure.rules {
        rule.when.iter().chain([&rule.holds]).for_each(|cond| {
            named_in(cond, &mut |input| {
                deciding.insert(input);
            })
        });
    }
    let (told, read) = told_and_read(proof);
    let choices = procedure.choices.iter().filter(|(_, row)| row.kind != ChoiceKind::Result);
    let choices = choices.map(|(id, row)| (Input::Choice(id), &row.name, row.kind == ChoiceKind::Option));
    let numbers =
        procedure.numbers.iter().map(|(id, row)| (Input::Number(id), &row.name, row.kind == NumberKind::Given));
    for (input, name, before_job) in choices.chain(numbers) {
        if deciding.contains(&input) || told.contains(&input) || !(before_job || read.contains(&input)) {
            continue;
        }
        let (label, reason) = if before_job {
            ("asked before the job", "Somebody is asked for it before the job, and nothing comes of the answer.")
        } else {
            ("read on the job", "The technician reads it, and nothing comes of the reading.")
        };
        proof.findings.push(
            Finding::new(Code::FW0407, format!("`{}` decides nothing", name.id), name.span, label)
                .because(reason)
                .repair("Use it in a condition, record it, mention it in prose, or remove it.")
                .mend(before_job.then(|| Mend::drop(name.span))),
        );
    }
}

/// Inputs that are named in a condition, branch or limit about which something was said; where a limit turns every
/// vehicle away, in any.
fn named_where_told(proof: &Proof<'_>) -> Vec<Input> {
    let procedure = proof.procedure;
    let no_job = proof.turns_all_away();
    let told: Vec<Span> = proof
        .findings
        .iter()
        .filter(|finding| matches!(finding.code, Code::FW0403 | Code::FW0404 | Code::FW0410 | Code::FW1005))
        .filter_map(Finding::span)
        .collect();
    let mut named = Vec::new();
    for event in proof.events.iter() {
        match &event.effect {
            Effect::Judged { condition, .. } if no_job || told.contains(&condition.span) => {
                named_in(condition, &mut |input| named.push(input));
            }
            Effect::Chosen { choose, .. }
                if no_job || choose.arms.iter().any(|arm| told.contains(&arm.pattern_span)) =>
            {
                named.push(match choose.subject {
                    ChooseSubject::Choice(choice) => Input::Choice(choice),
                    ChooseSubject::Number(number) => Input::Number(number),
                });
            }
            _ => {}
        }
    }
    // A limit that always breaks turns vehicles away before the other limits are looked at; one that nothing breaks was told.
    let any = !proof.broken_limits.is_empty();
    let limits = procedure.limits.rows().iter().filter(|limit| any || told.contains(&limit.holds.span));
    for limit in limits {
        limit.when.iter().for_each(|cond| named_in(cond, &mut |input| named.push(input)));
        for side in [&limit.holds.left, &limit.holds.right] {
            side.each_number(&mut |number, _| named.push(Input::Number(number)));
        }
    }
    named
}

fn named_in(cond: &Cond, found: &mut dyn FnMut(Input)) {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().for_each(|part| named_in(part, found)),
        CondKind::Not(inner) => named_in(inner, found),
        CondKind::Is(choice, _) => found(Input::Choice(*choice)),
        CondKind::In(number, _) => found(Input::Number(*number)),
        CondKind::Compares(comparison) => {
            for side in [&comparison.left, &comparison.right] {
                side.each_number(&mut |number, _| found(Input::Number(number)));
            }
        }
    }
}

/// Inputs that a text or a record carries to a reader, and those that are read.
fn told_and_read(proof: &Proof<'_>) -> (Vec<Input>, Vec<Input>) {
    let (mut told, mut read) = (Vec::new(), Vec::new());
    for event in proof.events.iter() {
        if let Effect::Read(reading) = event.effect {
            read.push(Input::from(reading));
        }
        told.extend(carried(proof.procedure, event).into_iter().map(|(input, ..)| input));
    }
    (told, read)
}
