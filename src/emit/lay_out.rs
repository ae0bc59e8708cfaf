//! What is laid out before the work: tools and protective equipment, how many, and for which fittings.
//!
//! A *need* is one place in a step's list of tools. As many of a tool are laid out as one line of the procedure needs
//! at once. A place that names alternatives is met by any of them: it gets a row of its own only where no line's other
//! tools can serve.

use std::collections::BTreeMap;

use serde::Serialize;

use super::other_size::other_standard;
use super::words::{Words, and_between, listed, or_between, own_range, own_unit, sentence_case};
use crate::labels::{ENGLISH, fill};
use crate::model::{Drive, DriveSize, Guard, LineKind, MentionTarget, ProtectionId, StepId, Tool, ToolId, ToolNeed};
use crate::plan::Plan;
use crate::plan::occurrence::Occurrence;

/// Of more conditions than this, a row names the first ones and counts the others.
const MOST_CONDITIONS: usize = 4;

/// One row of the tool list.
#[derive(Serialize)]
pub(super) struct ToolRow {
    /// Names in the source, one for each alternative.
    pub(super) names: Vec<String>,
    /// The same tools in the model.
    #[serde(skip)]
    pub(super) ids: Vec<ToolId>,
    pub(super) title: String,
    pub(super) count: u32,
    /// Size, range and smallest reading in words.
    pub(super) detail: String,
    /// Whether the work can be done without.
    pub(super) optional: bool,
    pub(super) remark: Option<String>,
    /// What an optional tool is good for.
    #[serde(skip)]
    pub(super) benefit: Option<String>,
    pub(super) when: Option<String>,
    /// The steps that use it.
    #[serde(skip)]
    pub(super) steps: Vec<StepId>,
}

/// One row of protective equipment.
#[derive(Serialize)]
pub(super) struct WearRow {
    pub(super) name: String,
    pub(super) title: String,
    pub(super) remark: Option<String>,
    pub(super) when: Option<String>,
    /// The steps that ask for it; empty where it is worn throughout.
    #[serde(skip)]
    pub(super) steps: Vec<StepId>,
}

/// How many at once, where, and what for.
#[derive(Default)]
struct Demand {
    count: u32,
    steps: Vec<StepId>,
    needed: bool,
    benefits: Vec<String>,
}

impl Demand {
    fn add(&mut self, count: u32, need: &ToolNeed<'_>) {
        self.count = self.count.max(count);
        if !self.steps.contains(&need.step) {
            self.steps.push(need.step);
        }
        self.needed |= !need.optional;
        if let Some(benefit) = need.benefit.filter(|benefit| !self.benefits.iter().any(|own| own == benefit)) {
            self.benefits.push(benefit.to_owned());
        }
    }
}

/// The tools in the order of their declaration, optional ones last.
pub(super) fn tools(plan: &Plan) -> Vec<ToolRow> {
    let procedure = plan.procedure();
    let words = Words::new(procedure);
    let needs = procedure.tool_needs();
    let mut single: BTreeMap<ToolId, Demand> = BTreeMap::new();
    for need in &needs {
        for (tool, count) in singles(need) {
            single.entry(tool).or_default().add(count, need);
        }
    }
    let occurrence = plan.occurrence();
    let sure: BTreeMap<ToolId, u64> = single
        .iter()
        .filter(|(_, demand)| demand.needed)
        .map(|(tool, demand)| (*tool, occurrence.certain(&demand.steps)))
        .collect();
    let mut several: BTreeMap<Vec<ToolId>, Demand> = BTreeMap::new();
    for need in &needs {
        for (tools, count) in unmet(need, &single, &sure, occurrence.possible(need.step)) {
            several.entry(tools).or_default().add(count, need);
        }
    }
    let mut all: Vec<(Vec<ToolId>, Demand)> =
        single.into_iter().map(|(tool, demand)| (vec![tool], demand)).chain(several).collect();
    all.sort_by_key(|(tools, demand)| (!demand.needed, tools.clone()));
    all.into_iter().map(|(tools, demand)| tool_row(words, &tools, demand, occurrence)).collect()
}

/// The places of a line that one tool alone can fill, added up.
fn singles(need: &ToolNeed<'_>) -> BTreeMap<ToolId, u32> {
    let mut at_once = BTreeMap::new();
    for place in &need.places {
        if let [tool] = place.any_of.as_slice() {
            *at_once.entry(*tool).or_default() += place.count;
        }
    }
    at_once
}

/// The places with alternatives that the tools already laid out for other lines can't fill. `sure` has the fittings in
/// which each of those lies there, `possible` those in which this line can happen.
fn unmet(
    need: &ToolNeed<'_>,
    single: &BTreeMap<ToolId, Demand>,
    sure: &BTreeMap<ToolId, u64>,
    possible: u64,
) -> Vec<(Vec<ToolId>, u32)> {
    let mut in_use = singles(need);
    let mut unmet: Vec<(Vec<ToolId>, u32)> = Vec::new();
    for place in need.places.iter().filter(|place| place.any_of.len() > 1) {
        let mut missing = place.count;
        for tool in &place.any_of {
            let lies_there = sure.get(tool).is_some_and(|sure| possible & !sure == 0);
            let there = single.get(tool).filter(|_| lies_there);
            let used = in_use.entry(*tool).or_default();
            let spare = there.map_or(0, |demand| demand.count.saturating_sub(*used)).min(missing);
            *used += spare;
            missing -= spare;
        }
        if missing > 0 {
            let mut key = place.any_of.clone();
            key.sort();
            key.dedup();
            match unmet.iter_mut().find(|(tools, _)| *tools == key) {
                Some((_, total)) => *total += missing,
                None => unmet.push((key, missing)),
            }
        }
    }
    unmet
}

fn tool_row(words: Words<'_>, tools: &[ToolId], demand: Demand, occurrence: &Occurrence) -> ToolRow {
    let procedure = words.procedure;
    let rows: Vec<&Tool> = tools.iter().map(|tool| &procedure.tools[*tool]).collect();
    let details = rows.iter().zip(tools).map(|(tool, id)| {
        let detail = tool_detail(words, tool);
        [Some(detail), other_standard(procedure, *id, tools)].into_iter().flatten().collect::<Vec<_>>().join(", ")
    });
    let mut details: Vec<String> = details.filter(|detail| !detail.is_empty()).collect();
    details.dedup();
    let benefit = (!demand.benefits.is_empty()).then(|| demand.benefits.join("; "));
    ToolRow {
        names: rows.iter().map(|tool| tool.name.id.clone()).collect(),
        ids: tools.to_vec(),
        // The detail beside it says what tells it from others of its title.
        title: listed(rows.iter().map(|tool| tool.name.title.clone()), ENGLISH.word.or),
        count: demand.count,
        detail: details.join(&or_between()),
        optional: !demand.needed,
        remark: (!demand.needed).then(|| sentence_case(&done_without(benefit.as_deref()))),
        benefit: benefit.filter(|_| !demand.needed),
        when: when(words, &demand.steps, occurrence),
        steps: demand.steps,
    }
}

/// `can be done without; saves an hour`: of a tool that is no must.
pub(super) fn done_without(benefit: Option<&str>) -> String {
    std::iter::once(ENGLISH.tell.without).chain(benefit).collect::<Vec<_>>().join("; ")
}

/// What it turns, its range and its smallest reading.
pub(super) fn tool_detail(words: Words<'_>, tool: &Tool) -> String {
    let mut parts: Vec<String> = tool.turns.iter().map(drive_words).collect();
    parts.extend(tool.torque.map(|(low, high)| words.range(&low, &high)));
    // An instrument has one scale; its other system would be a scale that nobody finds on it.
    parts.extend(tool.measures.map(|(low, high)| own_range(&low, &high)));
    parts.extend(tool.reads.map(|reads| fill(ENGLISH.tool.reads, &[("value", &own_unit(&reads))])));
    parts.join(", ")
}

/// `hex 13 mm`, `cross recess PH2`
pub(super) fn drive_words(turns: &DriveSize) -> String {
    let drive = drive_name(turns.drive);
    let size = turns.size.as_ref().map(own_unit);
    [Some(drive.to_owned()), size, turns.mark.clone()].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// A drive in words.
pub(super) fn drive_name(drive: Drive) -> &'static str {
    match drive {
        Drive::Hex => ENGLISH.tool.hex,
        Drive::HexSocket => ENGLISH.tool.hex_socket,
        Drive::CrossRecess => ENGLISH.tool.cross_recess,
        Drive::Slot => ENGLISH.tool.slot,
        Drive::Hexalobular => ENGLISH.tool.hexalobular,
    }
}

/// Protective equipment: first what is worn throughout, then what single steps ask for.
pub(super) fn protection(plan: &Plan) -> Vec<WearRow> {
    let procedure = plan.procedure();
    let words = Words::new(procedure);
    let mut steps: BTreeMap<ProtectionId, Vec<StepId>> = BTreeMap::new();
    for (id, step) in procedure.steps.iter() {
        for line in &step.lines {
            let worn: Vec<ProtectionId> = match &line.kind {
                LineKind::Wear(worn) => worn.clone(),
                LineKind::Prose(prose) => prose
                    .mentions
                    .iter()
                    .filter_map(|mention| match mention.target {
                        MentionTarget::Protection(protection) => Some(protection),
                        _ => None,
                    })
                    .collect(),
                _ => continue,
            };
            for protection in worn {
                let steps = steps.entry(protection).or_default();
                if !steps.contains(&id) {
                    steps.push(id);
                }
            }
        }
    }
    let row = |id: ProtectionId, remark: String, when, steps: &[StepId]| {
        let name = &procedure.protections[id].name;
        let (name, title) = (name.id.clone(), name.title.clone());
        WearRow { name, title, remark: Some(remark), when, steps: steps.to_vec() }
    };
    let throughout = procedure.about.wear.iter().map(|id| row(*id, ENGLISH.tool.throughout.to_owned(), None, &[]));
    let occurrence = plan.occurrence();
    let others = steps.iter().filter(|(id, _)| !procedure.about.wear.contains(id)).map(|(id, steps)| {
        let numbers = listed(steps.iter().map(|step| procedure.steps[*step].number.clone()), ENGLISH.word.and);
        let text = if steps.len() == 1 { ENGLISH.word.in_step } else { ENGLISH.word.in_steps };
        let remark = fill(text, &[("numbers", &numbers)]);
        row(*id, remark, when(words, steps, occurrence), steps)
    });
    throughout.chain(others).collect()
}

/// Under which condition any of the steps happens; `None` where one always does.
fn when(words: Words<'_>, steps: &[StepId], occurrence: &Occurrence) -> Option<String> {
    if occurrence.always(steps) {
        return None;
    }
    let ways: Vec<Vec<Guard<'_>>> = steps.iter().map(|step| words.procedure.conditions_of(*step)).collect();
    let mut lists: Vec<Vec<String>> = Vec::new();
    for list in ways.iter().map(|way| words.guard_list(way)) {
        if !lists.contains(&list) {
            lists.push(list);
        }
    }
    // "A, or A and B" is A: a way that asks for more than another adds nothing.
    let adds = |at: usize, list: &[String]| {
        !lists.iter().enumerate().any(|(other_at, other)| {
            let within = other.iter().all(|word| list.contains(word));
            within && (other.len() < list.len() || (other.len() == list.len() && other_at < at))
        })
    };
    let wanted =
        lists.iter().enumerate().filter(|(at, list)| adds(*at, list)).map(|(_, list)| list.join(&and_between()));
    let mut conditions: Vec<String> = wanted.filter(|words| !words.is_empty()).collect();
    let more = conditions.len().saturating_sub(MOST_CONDITIONS);
    if more > 1 {
        conditions.truncate(MOST_CONDITIONS);
        conditions.push(fill(ENGLISH.condition.other_cases, &[("n", &more.to_string())]));
    }
    (!conditions.is_empty()).then(|| conditions.join(&or_between()))
}
