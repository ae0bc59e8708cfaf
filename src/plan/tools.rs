//! What is laid out before the work: which tools, how many, and for which fittings.
//!
//! A *need* is what one line asks for at once; a *place* is one entry of its list of tools. As many of a tool are laid out
//! as one line needs at once. A place that names alternatives is met by any of them: it gets a row of its own for those
//! fittings in which no tool that lies there for another line can serve.

use std::collections::BTreeMap;

use super::Plan;
use super::occurrence::{Fittings, Occurrence};
use crate::model::{Cond, Place, Procedure, StepId, ToolId, ToolNeed};
use crate::source::Span;

/// A row of the list: any one of these tools, as many as are needed at once.
#[derive(Debug)]
pub(crate) struct LaidOut {
    /// One tool, or alternatives in order of declaration.
    pub(crate) any_of: Vec<ToolId>,
    pub(crate) count: u32,
    /// Whether the work can be done without.
    pub(crate) optional: bool,
    /// What an optional tool is good for, each text once.
    pub(crate) benefits: Vec<String>,
    /// The steps that use it, each once.
    pub(crate) uses: Vec<Use>,
    /// Where lines ask for it, in order, each with the fittings in which it is laid out for this place.
    pub(crate) places: Vec<(Span, Fittings)>,
    /// The fittings in which it may be needed.
    pub(crate) possible: Fittings,
    /// Those in which it surely is.
    pub(crate) certain: Fittings,
    /// Whether it is needed whatever the fitting and the readings.
    pub(crate) always: bool,
}

/// A step that uses what is laid out.
#[derive(Debug, Clone)]
pub(crate) struct Use {
    pub(crate) step: StepId,
    /// Only where this holds too: in the other fittings of the step a tool of another row serves.
    pub(crate) only: Option<Cond>,
}

/// The tools in the order of their declaration, optional ones last.
pub(super) fn of(procedure: &Procedure, occurrence: &Occurrence) -> Vec<LaidOut> {
    let needs = procedure.tool_needs();
    let mut single: BTreeMap<ToolId, Demand> = BTreeMap::new();
    for need in &needs {
        for (tool, count, place) in singles(need) {
            single.entry(tool).or_default().add(need, place, count, occurrence.possible(need.step));
        }
    }
    let sure: BTreeMap<ToolId, Fittings> = single
        .iter()
        .filter(|(_, demand)| demand.needed)
        .map(|(tool, demand)| (*tool, demand.certain(occurrence)))
        .collect();
    let mut several: BTreeMap<Vec<ToolId>, Demand> = BTreeMap::new();
    for need in needs.iter().filter(|need| need.places.iter().any(|place| place.any_of.len() > 1)) {
        for (tools, missing) in unmet(need, &single, &sure, occurrence) {
            several.entry(tools).or_default().add(need, missing.place, missing.count, missing.fittings);
        }
    }
    let mut all: Vec<(Vec<ToolId>, Demand)> =
        single.into_iter().map(|(tool, demand)| (vec![tool], demand)).chain(several).collect();
    all.sort_by_key(|(tools, demand)| (!demand.needed, tools.clone()));
    all.into_iter().map(|(tools, demand)| demand.row(procedure, tools, occurrence)).collect()
}

/// How many at once, where, and what for.
#[derive(Default)]
struct Demand {
    count: u32,
    needed: bool,
    benefits: Vec<String>,
    steps: Vec<(StepId, Fittings)>,
    places: Vec<(Span, Fittings)>,
}

impl Demand {
    fn add(&mut self, need: &ToolNeed<'_>, place: Span, count: u32, fittings: Fittings) {
        self.count = self.count.max(count);
        match self.steps.iter_mut().find(|(step, _)| *step == need.step) {
            Some((_, own)) => *own |= fittings,
            None => self.steps.push((need.step, fittings)),
        }
        self.places.push((place, fittings));
        self.needed |= !need.optional;
        if let Some(benefit) = need.benefit.filter(|benefit| !self.benefits.iter().any(|own| own == benefit)) {
            self.benefits.push(benefit.to_owned());
        }
    }

    /// The fittings in which one of its steps surely happens, and needs it there.
    fn certain(&self, occurrence: &Occurrence) -> Fittings {
        self.steps.iter().fold(0, |all, (step, fittings)| all | (occurrence.certain(&[*step]) & fittings))
    }

    fn row(self, procedure: &Procedure, any_of: Vec<ToolId>, occurrence: &Occurrence) -> LaidOut {
        let certain = self.certain(occurrence);
        let only = |step: StepId, fittings: Fittings| {
            let others = occurrence.possible(step) & !fittings;
            (others != 0).then(|| occurrence.condition(fittings, others, procedure.steps[step].name.span))
        };
        LaidOut {
            any_of,
            count: self.count,
            optional: !self.needed,
            benefits: self.benefits,
            possible: self.steps.iter().fold(0, |all, (_, fittings)| all | fittings),
            uses: self.steps.into_iter().map(|(step, own)| Use { step, only: only(step, own) }).collect(),
            places: self.places,
            certain,
            always: certain == occurrence.every(),
        }
    }
}

/// The tools of the places of a line that one tool alone can fill, added up, each with its first place.
fn singles(need: &ToolNeed<'_>) -> Vec<(ToolId, u32, Span)> {
    let mut at_once: Vec<(ToolId, u32, Span)> = Vec::new();
    for place in &need.places {
        let [tool] = place.any_of.as_slice() else { continue };
        match at_once.iter_mut().find(|(other, ..)| other == tool) {
            Some((_, count, _)) => *count = count.saturating_add(place.count),
            None => at_once.push((*tool, place.count, place.span)),
        }
    }
    at_once
}

/// What a line asks for that the tools laid out for other lines can't fill.
struct Missing {
    /// The first place that asks for it.
    place: Span,
    /// Most in any fitting.
    count: u32,
    fittings: Fittings,
}

/// The places with alternatives that no tool fills, by their alternatives. `sure` has the fittings in which each tool
/// surely lies there.
fn unmet(
    need: &ToolNeed<'_>,
    single: &BTreeMap<ToolId, Demand>,
    sure: &BTreeMap<ToolId, Fittings>,
    occurrence: &Occurrence,
) -> BTreeMap<Vec<ToolId>, Missing> {
    let mut unmet: BTreeMap<Vec<ToolId>, Missing> = BTreeMap::new();
    for fitting in Occurrence::each(occurrence.possible(need.step)) {
        let there = |tool: ToolId| {
            let lies_there = sure.get(&tool).is_some_and(|sure| sure & fitting != 0);
            single.get(&tool).filter(|_| lies_there).map_or(0, |demand| demand.count)
        };
        for (tools, (place, count)) in unmet_there(need, &there) {
            let missing = unmet.entry(tools).or_insert(Missing { place, count, fittings: 0 });
            missing.count = missing.count.max(count);
            missing.fittings |= fitting;
        }
    }
    unmet
}

/// The same in one fitting, `there` being how many of each tool lie there: how many of which alternatives, and the first
/// place that asks for them.
fn unmet_there(need: &ToolNeed<'_>, there: &dyn Fn(ToolId) -> u32) -> BTreeMap<Vec<ToolId>, (Span, u32)> {
    let mut in_use: BTreeMap<ToolId, u32> = singles(need).into_iter().map(|(tool, count, _)| (tool, count)).collect();
    let mut unmet: BTreeMap<Vec<ToolId>, (Span, u32)> = BTreeMap::new();
    for place in need.places.iter().filter(|place| place.any_of.len() > 1) {
        let mut missing = place.count;
        for tool in &place.any_of {
            let used = in_use.entry(*tool).or_default();
            let spare = there(*tool).saturating_sub(*used).min(missing);
            *used += spare;
            missing -= spare;
        }
        if missing > 0 {
            let (_, total) = unmet.entry(alternatives(place)).or_insert((place.span, 0));
            *total = total.saturating_add(missing);
        }
    }
    unmet
}

/// In order of declaration, each once.
fn alternatives(place: &Place) -> Vec<ToolId> {
    let mut tools = place.any_of.clone();
    tools.sort_unstable();
    tools.dedup();
    tools
}

impl Plan {
    /// What is laid out before the work: the tools in the order of their declaration, optional ones last.
    pub(crate) fn tools(&self) -> &[LaidOut] {
        self.tools.get(|| of(&self.procedure, self.occurrence()))
    }
}
