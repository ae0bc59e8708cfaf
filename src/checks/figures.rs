//! FW1305 to FW1307, FW1309 and FW1310: what pictures point at, whether they are shown where a text speaks of them, and
//! whether they can be read on paper.

use super::carried::mentions;
use super::had::Had;
use super::proof::Proof;
use crate::diagnostics::{Case, CaseInput, Change, Code, Finding, Mend};
use crate::model::{
    Called, Callout, Check, Figure, FigureId, IdMap, LineKind, Mention, MentionTarget, Node, Procedure, Shown, Step,
    StepId, walk,
};
use crate::plan::figures::OnPaper;
use crate::plan::occurrence::{Fittings, Occurrence};
use crate::source::Span;

/// Under so many dots an inch edges and small parts blur at arm's length: common practice of printers, who ask for 300 of
/// photographs in books and for half of it on sheets.
const LEAST_PER_INCH: u32 = 150;

/// What can be said of a picture alone.
pub(super) fn pictures(proof: &mut Proof<'_>) {
    let figures = proof.procedure.figures.rows();
    proof.findings.extend(figures.iter().filter_map(coarse));
    proof.findings.extend(figures.iter().filter_map(crowded));
}

/// FW1310.
fn coarse(figure: &Figure) -> Option<Finding> {
    let (size, paper) = (figure.size, OnPaper::of(figure));
    let per_inch = OnPaper::per_inch(size.width, paper.width);
    if !size.pixels || per_inch >= u64::from(LEAST_PER_INCH) {
        return None;
    }
    let (width, height) = paper.pixels_for(LEAST_PER_INCH);
    let finding = Finding::new(
        Code::FW1310,
        format!("the picture `{}` is printed with {per_inch} dots an inch", figure.path),
        figure.path_span,
        format!("{} × {} pixels", size.width, size.height),
    );
    Some(
        finding
            .because(format!(
                "It is printed {} mm wide. Under {LEAST_PER_INCH} dots an inch, edges and small parts blur.",
                paper.width / 10
            ))
            .repair(format!(
                "Take the picture with at least {width} × {height} pixels; enlarging the file adds nothing."
            )),
    )
}

/// FW1309, the first two callouts of a figure that nobody could tell apart.
fn crowded(figure: &Figure) -> Option<Finding> {
    let paper = OnPaper::of(figure);
    let pairs = figure
        .callouts
        .iter()
        .enumerate()
        .flat_map(|(at, one)| figure.callouts.iter().skip(at + 1).map(move |other| (one, other)));
    let (one, other) = pairs.into_iter().find(|(one, other)| paper.covers(one, other))?;
    let finding = Finding::new(
        Code::FW1309,
        format!("callouts {} and {} stand on one another", one.number, other.number),
        other.span,
        "covers the other",
    );
    Some(
        finding
            .also(one.span, "the other")
            .because("On paper their balloons take 5 mm each; one of the two numbers can't be read.")
            .repair("Move one of them, or point at both with a larger picture of that place."),
    )
}

/// What follows from where figures are shown and mentioned.
pub(super) fn check(proof: &mut Proof<'_>) {
    not_had(proof);
    let shown = shown_in(proof);
    let mentions = mentioned(proof);
    never_shown(proof, &shown);
    for (target, at, here) in mentions {
        let without = here & !shown[target];
        if without != 0 && shown[target] != 0 {
            let finding = not_shown(proof, target, at, without, shown[target]);
            if !proof.findings.contains(&finding) {
                proof.findings.push(finding);
            }
        }
    }
}

/// Every line that shows a figure, with its step.
fn lines(procedure: &Procedure) -> impl Iterator<Item = (StepId, &Shown, Span)> {
    let lines = procedure.steps.iter().flat_map(|(id, step)| step.lines.iter().map(move |line| (id, line)));
    lines.filter_map(|(id, line)| match &line.kind {
        LineKind::Figure(shown) => Some((id, shown, line.span)),
        _ => None,
    })
}

/// In which fittings a line shows its figure.
fn fittings_of(proof: &Proof<'_>, step: StepId, shown: &Shown) -> Fittings {
    let occurrence = proof.plan.occurrence();
    let holds = occurrence.fittings().iter().enumerate().fold(0, |bits, (at, fitting)| {
        let holds = shown.when.as_ref().and_then(|when| fitting.holds(when)) != Some(false);
        bits | Fittings::from(holds) << at
    });
    occurrence.possible(step) & holds
}

/// In which fittings each figure is shown.
fn shown_in(proof: &Proof<'_>) -> IdMap<FigureId, Fittings> {
    let mut all = proof.procedure.figures.each(0);
    for (step, shown, _) in lines(proof.procedure) {
        all[shown.figure] |= fittings_of(proof, step, shown);
    }
    all
}

/// What texts speak of figures: where, and in which fittings.
fn mentioned(proof: &Proof<'_>) -> Vec<(FigureId, Span, Fittings)> {
    let occurrence = proof.plan.occurrence();
    let figure = |mention: &Mention| match mention.target {
        MentionTarget::Figure(figure, _) => Some((figure, mention.span)),
        _ => None,
    };
    let about = proof.procedure.about.prose.iter().flat_map(|prose| &prose.mentions).filter_map(figure);
    let mut all: Vec<_> = about.map(|(figure, at)| (figure, at, occurrence.every())).collect();
    for event in proof.events.iter() {
        let here = event.place.step.map_or_else(|| occurrence.every(), |step| occurrence.possible(step));
        let found = mentions(proof.procedure, event).into_iter().filter_map(figure);
        all.extend(found.map(|(figure, at)| (figure, at, here)));
    }
    all
}

/// FW1306, of figures and of lines.
fn never_shown(proof: &mut Proof<'_>, shown: &IdMap<FigureId, Fittings>) {
    let procedure = proof.procedure;
    let mut findings = Vec::new();
    for (id, figure) in procedure.figures.iter().filter(|(_, figure)| figure.number.is_none()) {
        let Some(name) = &figure.name else { continue };
        let spoken = mentioned(proof).into_iter().find(|(target, ..)| *target == id).map(|(_, at, _)| at);
        let finding = match spoken {
            None => Finding::new(
                Code::FW1306,
                format!("the figure `{}` is declared and never shown", name.id),
                name.span,
                "never shown",
            )
            .because("A picture that nobody sees is often a line that was lost.")
            .mend(Mend::drop(name.span)),
            Some(at) => Finding::new(
                Code::FW1307,
                format!("figure `{}` is spoken of and never shown", name.id),
                at,
                "not shown in any step",
            )
            .also(name.span, "the figure")
            .because("The reader looks for a picture that is on no sheet."),
        };
        findings
            .push(finding.repair(format!("Write `figure {}` in the step that it belongs to, or remove it.", name.id)));
    }
    for (step, line, span) in lines(procedure) {
        let figure = &procedure.figures[line.figure];
        let possible = proof.plan.occurrence().possible(step);
        // A step that no fitting does was told itself.
        if possible == 0 || fittings_of(proof, step, line) != 0 {
            continue;
        }
        let called = figure.name.as_ref().map_or(figure.path.as_str(), |name| &name.id);
        let condition = line.when.as_ref().map_or(span, |when| when.span);
        let finding = Finding::new(
            Code::FW1306,
            format!("the figure `{called}` is shown here in no fitting"),
            span,
            "never shown",
        )
        .because("No fitting that does this step has the options that its condition asks for.")
        .repair("Correct the condition, or remove the line.")
        .mend(Mend::drop(span));
        let finding = if shown[line.figure] == 0 { finding.also(condition, "never so here") } else { finding };
        findings.push(finding);
    }
    proof.findings.extend(findings);
}

/// FW1307.
fn not_shown(proof: &Proof<'_>, target: FigureId, at: Span, without: Fittings, shown: Fittings) -> Finding {
    let figure = &proof.procedure.figures[target];
    let name = figure.name.as_ref().map_or(figure.path.as_str(), |name| &name.id);
    let message = format!("figure `{name}` is spoken of in a fitting that does not show it");
    let finding = Finding::new(Code::FW1307, message, at, "not shown in every fitting that reads this")
        .also(figure.span, "the figure")
        .because("The reader looks for a picture that is not on the sheets of this fitting.")
        .repair("Say it under the condition of the figure, or show the figure wherever it is spoken of.");
    let Some(first) = Occurrence::each(without).next() else { return finding };
    let values = proof.plan.occurrence().telling(first, shown);
    let input = |(choice, value): (crate::model::ChoiceId, usize)| {
        let row = &proof.procedure.choices[choice];
        let value = row.values.get(value)?.id.clone();
        Some(CaseInput { name: row.name.id.clone(), says: None, value, occasion: 1 })
    };
    finding.case(Case { inputs: values.into_iter().filter_map(input).collect(), ..Case::default() })
}

/// FW1305.
fn not_had(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut findings: Vec<Finding> = Vec::new();
    let mut expects = procedure.steps.each(Vec::new());
    for node in procedure.sections.iter().flat_map(|section| walk(&section.body)) {
        if let Node::Check(Check { step, expects: all, .. }) = node {
            expects[*step].extend(all.iter());
        }
    }
    for (id, shown, span) in lines(procedure) {
        let figure = &procedure.figures[shown.figure];
        // Where it is never shown, its callouts ask nothing.
        if figure.callouts.is_empty() || fittings_of(proof, id, shown) == 0 {
            continue;
        }
        let step = &procedure.steps[id];
        let had = Had::of(procedure, step, &expects[id]);
        let mut told: Vec<&[Called]> = Vec::new();
        for callout in figure.callouts.iter().filter(|callout| !had.has(callout)) {
            if !told.contains(&callout.of.as_slice()) {
                told.push(&callout.of);
                findings.extend(lacking(procedure, step, figure, callout, span));
            }
        }
    }
    proof.findings.extend(findings);
}

fn lacking(procedure: &Procedure, step: &Step, figure: &Figure, callout: &Callout, span: Span) -> Option<Finding> {
    let of = name_of(procedure, *callout.of.first()?);
    let finding = Finding::new(
        Code::FW1305,
        format!(
            "`{of}` is callout {} of this figure, and step `{}` has nothing to do with it",
            callout.number, step.name.id
        ),
        span,
        "shown here",
    );
    let name = figure.name.as_ref().map_or("", |name| &name.id);
    Some(
        finding
            .also(callout.span, "the callout")
            .mend(Mend::look("Remove the callout", Change::Drop(callout.span)))
            .because("The technician looks for the use of what a picture points at: a line was lost, or the wrong thing is pointed at.")
            .repair(format!("Say in the step what is done with [{of}], point at something else, or show `{name}` where {of} is used.")),
    )
}

/// What it is called in the source; of a thing at several places, what all of them are called.
fn name_of(procedure: &Procedure, of: Called) -> String {
    let name = procedure.naming(of);
    name.at.as_ref().map_or_else(|| name.id.clone(), |at| at.of.clone())
}
