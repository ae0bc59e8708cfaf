//! FW1125, FW1126 and FW0630: who lifts what is heavy, and what is said of masses.

use super::proof::Proof;
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Counted, Either, Fact, HazardId, Line, LineKind, Part, PartId, Procedure, Step, walk};
use crate::quantity::{Exact, Kind, Measure, Quantity};
use crate::source::Span;
use num_traits::{CheckedAdd, CheckedMul, ToPrimitive};
use std::cmp::Ordering;

/// What one person lifts at most under the best conditions, in kilograms: the load constant of the revised lifting equation
/// (NIOSH Publication 94-110, 23 kg or 51 lb; from memory). Your own rules go before it.
const MOST_FOR_ONE: i128 = 23;

/// Hazards of the standard library that only tools bring which lift instead of people.
const LIFTS: &[&str] = &["suspended-load", "falling-vehicle"];

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    for step in procedure.steps.rows() {
        proof.findings.extend(too_few(procedure, step));
        proof.findings.extend(too_heavy(procedure, step));
    }
    for fact in procedure.facts.rows().iter().filter(|fact| fact.value.kind() == Kind::Mass) {
        proof.findings.extend(of_one_part(procedure, fact).or_else(|| of_all_parts(procedure, fact)));
    }
}

fn people(step: &Step) -> u32 {
    step.takes.as_ref().map_or(1, |takes| takes.people)
}

/// FW1125: once for each hazard of a step.
fn too_few(procedure: &Procedure, step: &Step) -> Vec<Finding> {
    let mut told: Vec<HazardId> = Vec::new();
    let mut found = Vec::new();
    for line in step.lines.iter().filter(|line| !handled(procedure, line).is_empty()) {
        for hazard in procedure.brought_by(line) {
            let row = &procedure.hazards[hazard];
            if people(step) >= row.people || told.contains(&hazard) || is_lifted(procedure, step, hazard) {
                continue;
            }
            told.push(hazard);
            let (at, label) = match &step.takes {
                Some(takes) => (takes.span, format!("{} here", counted(takes.people))),
                None => (step.name.span, "how many people it takes is not said".to_owned()),
            };
            found.push(
                Finding::new(
                    Code::FW1125,
                    format!(
                        "step {} is work for {}, and `{}` asks for {}",
                        step.number,
                        counted(people(step)),
                        row.called,
                        counted(row.people)
                    ),
                    at,
                    label,
                )
                .also(line.span, format!("brings: {}", row.name.title.to_lowercase()))
                .because("Whoever plans the job sends one, and one person alone does what injures the back.")
                .repair(format!(
                    "Write `takes {} people` (with its time before it, where you know it), or use a tool that lifts.",
                    row.people
                ))
                .mend(step.takes.as_ref().map(|takes| {
                    let time = takes.time.as_ref().map_or_else(String::new, |time| format!("{}, ", time.source_form()));
                    let line = format!("takes {time}{} people", row.people);
                    Mend::look(format!("Write `{line}`"), Change::Line(takes.span, line))
                })),
            );
        }
    }
    found
}

fn counted(people: u32) -> String {
    if people == 1 { "one person".to_owned() } else { format!("{people} people") }
}

/// Whether a tool of the step lifts instead of people.
fn is_lifted(procedure: &Procedure, step: &Step, hazard: HazardId) -> bool {
    let instead = &procedure.hazards[hazard].people_unless;
    let brought = step.lines.iter().flat_map(|line| procedure.brought_by(line));
    brought.into_iter().any(|other| instead.contains(&procedure.hazards[other].called))
}

/// The parts that a line takes in hand.
fn handled<'p>(procedure: &'p Procedure, line: &'p Line) -> &'p [Counted<PartId>] {
    match &line.kind {
        LineKind::Take(parts)
        | LineKind::Remove(parts, _)
        | LineKind::Refit(parts)
        | LineKind::Discard(parts)
        | LineKind::Reuse(parts)
        | LineKind::KeepParts { parts, .. } => parts,
        LineKind::Place(joint) | LineKind::RemoveJoint(joint, _) | LineKind::RefitJoint(joint) => {
            &procedure.joints[*joint].each
        }
        _ => &[],
    }
}

/// FW1126: a part too heavy for those who take it, and nothing that says so.
fn too_heavy(procedure: &Procedure, step: &Step) -> Option<Finding> {
    let most = Exact::from_integer(MOST_FOR_ONE).checked_mul(&Exact::from_integer(i128::from(people(step))))?;
    let lifts = |id: HazardId| LIFTS.contains(&procedure.hazards[id].called.as_str());
    if step.lines.iter().flat_map(|line| procedure.brought_by(line)).any(lifts) {
        return None;
    }
    let entries = step.lines.iter().flat_map(|line| handled(procedure, line));
    let (entry, part, mass) = entries
        .filter_map(|entry| {
            let part = &procedure.parts[entry.what];
            let asks = part.brings.iter().any(|(hazard, _)| procedure.hazards[*hazard].people > 1);
            part.mass.filter(|_| !asks).map(|mass| (entry, part, mass))
        })
        .find(|(_, _, mass)| mass.base().is_some_and(|mass| mass > most))?;
    let at = step.takes.as_ref().map_or(step.name.span, |takes| takes.span);
    Some(
        Finding::new(
            Code::FW1126,
            format!("`{}` has a mass of {mass}, and step {} is work for {}", part.name.id, step.number, counted(people(step))),
            entry.span,
            "too heavy to be lifted so",
        )
        .also(at, format!("{} here", counted(people(step))))
        .also(part.span, format!("its mass: {mass}"))
        .because("Under the best conditions a person lifts 23 kg (51 lb) without harm, after the lifting equation of NIOSH (94-110).")
        .repair("Let the part `brings heavy-lift`, answer it, and write how many people it `takes`; or use a tool that lifts."),
    )
}

/// FW0630: `fact vise-mass` beside the mass of the part `vise`.
fn of_one_part(procedure: &Procedure, fact: &Fact) -> Option<Finding> {
    let stem = stem(fact)?;
    let part = procedure.parts.rows().iter().find(|part| part.name.id == stem)?;
    let own = part.mass?;
    let (low, high) = ends(&fact.value);
    let below = low.is_some_and(|low| is_more(&low, &own));
    let above = high.is_some_and(|high| is_more(&own, &high));
    (below || above).then(|| {
        contradiction(fact, format!("the mass of `{}` is {own}", part.name.id), part.span, "the part's own mass")
            .repair("Let both say the same, or say what the fact is about by another name.")
    })
}

/// FW0630: a fact about what the procedure fits, less than the parts that every job fits.
fn of_all_parts(procedure: &Procedure, fact: &Fact) -> Option<Finding> {
    let stem = stem(fact)?;
    if procedure.parts.rows().iter().any(|part| part.name.id == stem)
        || !procedure.name.id.split('-').any(|word| word == stem)
    {
        return None;
    }
    let high = fact.value.high().or_else(|| fact.value.nominal())?;
    let fitted = always_fitted(procedure);
    let sum = fitted.iter().try_fold(Exact::from_integer(0), |sum, (part, count)| {
        let each = part.mass?.base()?;
        sum.checked_add(&each.checked_mul(&Exact::from_integer(i128::from(*count)))?)
    })?;
    let total = Quantity::from_base(sum, high.unit, high.written)?;
    let (first, _) = fitted.first()?;
    is_more(&total, &high).then(|| {
        let parts: Vec<String> = fitted.iter().map(|(part, count)| format!("{count} `{}`", part.name.id)).collect();
        let parts = parts.join(", ");
        contradiction(
            fact,
            format!("the parts that every job fits come to {}", shown(&total)),
            first.span,
            "one of these parts",
        )
        .because(format!("They are {parts}. A limit that counts the fact lets a vehicle pass that bears less."))
        .repair("Correct the masses, or say what the fact is about by another name.")
    })
}

/// With three digits at least, whatever the unit.
fn shown(total: &Quantity) -> String {
    let value = total.value.to_f64().unwrap_or_default();
    let digits = if value < 10.0 { 2 } else { 1 };
    format!("{value:.digits$} {}", total.unit.spelling())
}

fn contradiction(fact: &Fact, other: String, place: Span, label: &str) -> Finding {
    Finding::new(
        Code::FW0630,
        format!("`{}` is {}, and {other}", fact.name.id, fact.value.source_form()),
        fact.value_span,
        "cannot be so",
    )
    .also(place, label)
    .because("Limits count the one, people lift the other.")
}

/// What a fact's name says it is the mass of: `rack` of `rack-mass`.
fn stem(fact: &Fact) -> Option<&str> {
    fact.name.id.strip_suffix("-mass").or_else(|| fact.name.id.strip_suffix("-weight"))
}

fn ends(measure: &Measure) -> (Option<Quantity>, Option<Quantity>) {
    (measure.low(), measure.high())
}

/// Whether one mass is more than another by more than its rounding: a part in two hundred.
fn is_more(one: &Quantity, other: &Quantity) -> bool {
    let more = one.compare(other) == Some(Ordering::Greater);
    let ratio = one.base().and_then(|one| one.to_f64()).zip(other.base().and_then(|other| other.to_f64()));
    more && ratio.is_some_and(|(one, other)| one > 1.005 * other)
}

/// The parts with a mass that every job takes and none gives back, with their counts.
fn always_fitted(procedure: &Procedure) -> Vec<(&Part, u32)> {
    let mut counts = procedure.parts.each(0_u32);
    // A joint gets what was taken and is in hand first.
    let mut in_hand = procedure.parts.each(0_u32);
    for section in procedure.sections.iter().filter(|section| section.when.is_none()) {
        let mut flow = walk(&section.body).without_repairs();
        while let Some(node) = flow.next() {
            let Some(step) = node.step().map(|step| &procedure.steps[step]) else { continue };
            if !flow.way().is_empty() || step.when.is_some() {
                continue;
            }
            for line in &step.lines {
                let placed = matches!(line.kind, LineKind::Place(_));
                for (part, count) in taken(procedure, line) {
                    let from_hand = if placed { count.min(in_hand[part]) } else { 0 };
                    counts[part] = counts[part].saturating_add(count - from_hand);
                    in_hand[part] =
                        if placed { in_hand[part] - from_hand } else { in_hand[part].saturating_add(count) };
                }
            }
        }
    }
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        if let LineKind::Remove(parts, _) | LineKind::Discard(parts) | LineKind::KeepParts { parts, .. } = &line.kind {
            let of_the_kit =
                |part| matches!(line.kind, LineKind::KeepParts { from_kit, .. } if procedure.is_spare(part, from_kit));
            let gone = parts.iter().filter(|entry| !of_the_kit(entry.what));
            gone.for_each(|entry| counts[entry.what] = 0);
        }
    }
    let all = procedure.parts.iter().map(|(id, part)| (part, counts[id]));
    all.filter(|(part, count)| part.mass.is_some() && *count > 0).collect()
}

/// The parts that a line takes out of the kit, or puts into a joint.
fn taken(procedure: &Procedure, line: &Line) -> Vec<(PartId, u32)> {
    match &line.kind {
        LineKind::Take(parts) => {
            let taken = parts.iter().filter(|entry| entry.either != Either::Or);
            taken.map(|entry| (entry.what, entry.count)).collect()
        }
        LineKind::Place(joint) => procedure.joints[*joint].parts().collect(),
        _ => Vec::new(),
    }
}
