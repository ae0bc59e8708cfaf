//! What a person needs before starting.

use serde::Serialize;

use super::rows::RowWriter;
use super::sums::{Piece, sum};
use crate::emit::phrase::fitting::{self, MetView};
use crate::emit::phrase::flow::{decided_after, rule_words};
use crate::emit::phrase::kit::{self, GroupRow, PartRow};
use crate::emit::phrase::lay_out::{self, ToolRow, WearRow};
use crate::emit::phrase::time::Time;
use crate::emit::words::{Words, with_label};
use crate::labels::{fill, spoken};
use crate::model::{ChoiceKind, Cond, Limit, NumberInput, NumberKind, Rule};
use crate::source::Span;

/// What stands before the steps.
#[derive(Serialize)]
pub(super) struct Opening {
    about: Vec<String>,
    fits: Vec<String>,
    skill: Vec<String>,
    licence: Vec<String>,
    time: Option<Time>,
    limits: Vec<LimitView>,
    met: Vec<MetView>,
    rules: Vec<RuleView>,
    options: Vec<OptionView>,
    givens: Vec<GivenView>,
    wear: Vec<WearRow>,
    tools_needed: Vec<ToolGroup>,
    kit_groups: Vec<GroupRow>,
    vehicle: Vec<PartRow>,
    contents: Vec<Entry>,
}

/// Tools under one condition: those that every job needs come first.
#[derive(Serialize)]
struct ToolGroup {
    when: Option<String>,
    rows: Vec<ToolRow>,
}

#[derive(Serialize)]
struct LimitView {
    title: String,
    when: Option<String>,
    words: String,
    /// The same with blanks, where it can be worked out before the job.
    sum: Vec<Piece>,
    otherwise: Option<String>,
    /// When it can be decided, where that is on the job.
    known: Option<String>,
}

#[derive(Serialize)]
struct RuleView {
    words: String,
    reason: String,
}

#[derive(Serialize)]
struct OptionView {
    title: String,
    values: Vec<String>,
}

#[derive(Serialize)]
struct GivenView {
    title: String,
    range: String,
    unit: &'static str,
}

#[derive(Serialize)]
struct Entry {
    anchor: String,
    number: u32,
    title: String,
}

/// Collects it.
pub(super) fn opening(writer: &RowWriter<'_>, time: Option<Time>) -> Opening {
    let words = writer.words;
    let procedure = words.procedure;
    let about = &procedure.about;
    Opening {
        about: about.prose.iter().map(|prose| writer.prose(prose)).collect(),
        fits: about.fits.clone(),
        skill: about.skill.clone(),
        licence: about.licence.clone(),
        time,
        limits: procedure.limits.rows().iter().map(|limit| limit_view(words, limit)).collect(),
        met: fitting::met(words),
        rules: procedure.rules.iter().map(|rule| rule_view(words, rule)).collect(),
        options: options(words),
        givens: givens(words),
        wear: lay_out::protection(writer.plan),
        tools_needed: by_condition(lay_out::tools(writer.plan)),
        kit_groups: kit::groups(words),
        vehicle: kit::on_vehicle(words),
        contents: contents(words),
    }
}

/// A condition is said once, not beside each tool.
fn by_condition(tools: Vec<ToolRow>) -> Vec<ToolGroup> {
    let mut groups = vec![ToolGroup { when: None, rows: Vec::new() }];
    for row in tools {
        match groups.iter_mut().find(|group| group.when == row.when) {
            Some(group) => group.rows.push(row),
            None => groups.push(ToolGroup { when: row.when.clone(), rows: vec![row] }),
        }
    }
    groups.retain(|group| !group.rows.is_empty());
    groups
}

fn limit_view(words: Words<'_>, limit: &Limit) -> LimitView {
    let known = decided_after(words, limit).map(|step| {
        let step = &words.procedure.steps[step];
        fill(spoken().front.known_after, &[("number", &step.number)])
    });
    LimitView {
        title: limit.name.title.clone(),
        when: limit.when.as_ref().map(|when| words.cond(when)),
        words: words.comparison(&limit.holds, true),
        sum: if known.is_none() { sum(words, &limit.holds) } else { Vec::new() },
        otherwise: limit.otherwise.as_ref().map(|text| words.said(text)),
        known,
    }
}

fn rule_view(words: Words<'_>, rule: &Rule) -> RuleView {
    RuleView { words: rule_words(words, rule), reason: rule.reason.clone() }
}

fn options(words: Words<'_>) -> Vec<OptionView> {
    let options = words.procedure.choices.rows().iter().filter(|choice| choice.kind == ChoiceKind::Option);
    options
        .map(|choice| OptionView {
            title: choice.name.title.clone(),
            values: choice.values.iter().map(|value| value.label.clone()).collect(),
        })
        .collect()
}

fn givens(words: Words<'_>) -> Vec<GivenView> {
    let givens = words.procedure.numbers.rows().iter().filter(|number| number.kind == NumberKind::Given);
    let there = givens.filter(|number| !number.when.as_ref().is_some_and(Words::is_never));
    there
        .map(|number| GivenView {
            title: number.name.title.clone(),
            range: asked_in_words(words, number),
            unit: number.low.unit.symbol(),
        })
        .collect()
}

/// `only when Arm: powered arm`
fn only_when(words: Words<'_>, when: &Cond) -> String {
    fill(spoken().kit.only_when, &[("when", &words.cond(when))])
}

/// The range of a given, how finely it is stated, and where it is asked: `50 kg to 300 kg; only when Arm: powered arm`.
fn asked_in_words(words: Words<'_>, number: &NumberInput) -> String {
    let range = words.range(&number.low, &number.high);
    let stated = match &number.reads {
        Some(reads) => format!("{range}, {}", fill(spoken().tell.read_to, &[("reads", &words.quantity(reads))])),
        None => range,
    };
    match &number.when {
        Some(when) => format!("{stated}; {}", only_when(words, when)),
        None => stated,
    }
}

fn contents(words: Words<'_>) -> Vec<Entry> {
    let entry = |section: &crate::model::Section| Entry {
        anchor: format!("section-{}", section.name.id),
        number: section.number,
        title: section.name.title.clone(),
    };
    words.procedure.sections.iter().map(entry).collect()
}

/// How the vehicle must be when it leaves by this stop or handover.
pub(super) fn leave_as(writer: &RowWriter<'_>, place: Span) -> Vec<String> {
    let leaving = writer.plan.leaving();
    let told = |id| {
        let state = &writer.words.procedure.states[id];
        let (value, _) = state.ends?;
        let so = with_label(&state.name.title, &state.values.get(value)?.label);
        Some(match state.when.as_ref().filter(|_| leaving.is_partly_there(place, id)) {
            Some(when) => format!("{so}; {}", only_when(writer.words, when)),
            None => so,
        })
    };
    leaving.at(place).filter_map(told).collect()
}
