//! Takes the rows out of the tables that nothing refers to any more, and writes the new ids everywhere.

use std::collections::{BTreeMap, BTreeSet};

use super::used::Used;
use super::visitor::{self, Ids};
use crate::model::{
    ActionId, ChoiceId, CircuitId, Counted, FactId, FigureId, HazardId, Id, JointId, NumberId, PartId, Procedure,
    ProtectionId, StateId, StepId, Table, ToolId, Value,
};

/// Old ids with their new ones.
#[derive(Default)]
struct New {
    choices: BTreeMap<ChoiceId, ChoiceId>,
    values: BTreeMap<ChoiceId, Vec<usize>>,
    numbers: BTreeMap<NumberId, NumberId>,
    facts: BTreeMap<FactId, FactId>,
    parts: BTreeMap<PartId, PartId>,
    tools: BTreeMap<ToolId, ToolId>,
    protections: BTreeMap<ProtectionId, ProtectionId>,
    hazards: BTreeMap<HazardId, HazardId>,
    actions: BTreeMap<ActionId, ActionId>,
    joints: BTreeMap<JointId, JointId>,
    circuits: BTreeMap<CircuitId, CircuitId>,
    states: BTreeMap<StateId, StateId>,
    figures: BTreeMap<FigureId, FigureId>,
    steps: BTreeMap<StepId, StepId>,
}

/// Ids that have no new one are left as they are: `Used` has noted every id that the visit comes to.
fn renew<I: Ord + Copy>(new: &BTreeMap<I, I>, id: &mut I) {
    if let Some(found) = new.get(id) {
        *id = *found;
    }
}

impl Ids for New {
    fn choice(&mut self, id: &mut ChoiceId) {
        renew(&self.choices, id);
    }
    fn value(&mut self, of: ChoiceId, value: &mut usize) {
        if let Some(at) = self.values.get(&of).and_then(|kept| kept.iter().position(|old| old == value)) {
            *value = at;
        }
    }
    fn number(&mut self, id: &mut NumberId) {
        renew(&self.numbers, id);
    }
    fn fact(&mut self, id: &mut FactId) {
        renew(&self.facts, id);
    }
    fn part(&mut self, id: &mut PartId) {
        renew(&self.parts, id);
    }
    fn tool(&mut self, id: &mut ToolId) {
        renew(&self.tools, id);
    }
    fn protection(&mut self, id: &mut ProtectionId) {
        renew(&self.protections, id);
    }
    fn hazard(&mut self, id: &mut HazardId) {
        renew(&self.hazards, id);
    }
    fn action(&mut self, id: &mut ActionId) {
        renew(&self.actions, id);
    }
    fn joint(&mut self, id: &mut JointId) {
        renew(&self.joints, id);
    }
    fn circuit(&mut self, id: &mut CircuitId) {
        renew(&self.circuits, id);
    }
    fn state(&mut self, id: &mut StateId) {
        renew(&self.states, id);
    }
    fn figure(&mut self, id: &mut FigureId) {
        renew(&self.figures, id);
    }
    fn step(&mut self, id: &mut StepId) {
        renew(&self.steps, id);
    }
}

/// Keeps the rows that are used, and of each choice the values that `values` lists (all where it lists none).
pub(super) fn renumbered(mut procedure: Procedure, used: &Used, values: BTreeMap<ChoiceId, Vec<usize>>) -> Procedure {
    let mut new = New::default();
    for (choice, kept) in &values {
        let row = &mut procedure.choices[*choice];
        row.values = kept.iter().filter_map(|value| row.values.get(*value).cloned()).collect::<Vec<Value>>();
    }
    new.values = values;
    keep(&mut procedure.choices, &used.choices, &mut new.choices);
    keep(&mut procedure.numbers, &used.numbers, &mut new.numbers);
    keep(&mut procedure.facts, &used.facts, &mut new.facts);
    keep(&mut procedure.limits, &used.limits, &mut BTreeMap::new());
    keep(&mut procedure.parts, &used.parts, &mut new.parts);
    keep(&mut procedure.tools, &used.tools, &mut new.tools);
    keep(&mut procedure.protections, &used.protections, &mut new.protections);
    keep(&mut procedure.hazards, &used.hazards, &mut new.hazards);
    keep(&mut procedure.actions, &used.actions, &mut new.actions);
    keep(&mut procedure.joints, &used.joints, &mut new.joints);
    keep(&mut procedure.circuits, &used.circuits, &mut new.circuits);
    keep(&mut procedure.figures, &used.figures, &mut new.figures);
    keep(&mut procedure.states, &used.states, &mut new.states);
    keep(&mut procedure.steps, &used.steps, &mut new.steps);
    let still_there = |entries: &mut Vec<Counted<PartId>>| entries.retain(|entry| used.parts.contains(&entry.what));
    procedure.kit.iter_mut().for_each(|group| still_there(&mut group.entries));
    procedure.kit.retain(|group| !group.entries.is_empty());
    procedure.vehicle.iter_mut().for_each(|group| still_there(&mut group.entries));
    procedure.vehicle.retain(|group| !group.entries.is_empty());
    // What would answer a hazard is no use of it: what nobody wears any more is gone.
    visitor::each(&mut procedure.hazards, |row| row.answered_by.retain(|worn| used.protections.contains(worn)));
    // Nor is it a use of a circuit or part that a joint would hold it.
    visitor::each(&mut procedure.joints, |row| {
        row.at.retain(|at| used.circuits.contains(&at.circuit));
        row.joins.retain(|(part, _)| used.parts.contains(part));
    });
    // What a picture points at and this fitting has not is no callout of it.
    visitor::each(&mut procedure.figures, |row| {
        row.callouts.iter_mut().for_each(|callout| callout.of.retain(|of| used.has(*of)));
        row.callouts.retain(|callout| !callout.of.is_empty());
    });
    visitor::everything(&mut procedure, &mut new);
    procedure
}

fn keep<I: Id + Ord, T: Clone>(table: &mut Table<I, T>, used: &BTreeSet<I>, new: &mut BTreeMap<I, I>) {
    let mut kept = Table::default();
    for (id, row) in table.iter().filter(|(id, _)| used.contains(id)) {
        new.insert(id, kept.push(row.clone()));
    }
    *table = kept;
}
