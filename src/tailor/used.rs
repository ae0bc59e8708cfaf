//! What a procedure refers to, everything that this refers to in turn included.

use std::collections::{BTreeMap, BTreeSet};

use super::visitor::{self, Ids};
use crate::model::{
    ActionId, Called, ChoiceId, CircuitId, FactId, FigureId, HazardId, Id, JointId, LimitId, NumberId, PartId,
    Procedure, ProtectionId, StateId, StepId, Table, ToolId,
};

/// Ids that something refers to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Used {
    pub choices: BTreeSet<ChoiceId>,
    /// Values that a condition, an arm or a `set` names, by choice.
    pub values: BTreeMap<ChoiceId, BTreeSet<usize>>,
    /// Of these, the values that a result is given.
    pub given: BTreeMap<ChoiceId, BTreeSet<usize>>,
    pub numbers: BTreeSet<NumberId>,
    pub facts: BTreeSet<FactId>,
    pub limits: BTreeSet<LimitId>,
    pub parts: BTreeSet<PartId>,
    pub tools: BTreeSet<ToolId>,
    pub protections: BTreeSet<ProtectionId>,
    pub hazards: BTreeSet<HazardId>,
    pub actions: BTreeSet<ActionId>,
    pub joints: BTreeSet<JointId>,
    pub circuits: BTreeSet<CircuitId>,
    pub states: BTreeSet<StateId>,
    pub figures: BTreeSet<FigureId>,
    pub steps: BTreeSet<StepId>,
}

impl Ids for Used {
    fn choice(&mut self, id: &mut ChoiceId) {
        self.choices.insert(*id);
    }
    fn value(&mut self, of: ChoiceId, value: &mut usize) {
        self.values.entry(of).or_default().insert(*value);
    }
    fn set_value(&mut self, of: ChoiceId, value: &mut usize) {
        self.values.entry(of).or_default().insert(*value);
        self.given.entry(of).or_default().insert(*value);
    }
    fn number(&mut self, id: &mut NumberId) {
        self.numbers.insert(*id);
    }
    fn fact(&mut self, id: &mut FactId) {
        self.facts.insert(*id);
    }
    fn part(&mut self, id: &mut PartId) {
        self.parts.insert(*id);
    }
    fn tool(&mut self, id: &mut ToolId) {
        self.tools.insert(*id);
    }
    fn protection(&mut self, id: &mut ProtectionId) {
        self.protections.insert(*id);
    }
    fn hazard(&mut self, id: &mut HazardId) {
        self.hazards.insert(*id);
    }
    fn action(&mut self, id: &mut ActionId) {
        self.actions.insert(*id);
    }
    fn joint(&mut self, id: &mut JointId) {
        self.joints.insert(*id);
    }
    fn circuit(&mut self, id: &mut CircuitId) {
        self.circuits.insert(*id);
    }
    fn state(&mut self, id: &mut StateId) {
        self.states.insert(*id);
    }
    fn figure(&mut self, id: &mut FigureId) {
        self.figures.insert(*id);
    }
    fn step(&mut self, id: &mut StepId) {
        self.steps.insert(*id);
    }
}

impl Used {
    /// All that a procedure refers to from its flow, its rules, the limits `limits` and the conditions of its kit. That a
    /// part is supplied or on the vehicle does not count.
    pub(super) fn by(procedure: &Procedure, limits: &BTreeSet<LimitId>) -> Used {
        let mut used = Used { limits: limits.clone(), ..Used::default() };
        let mut draft = procedure.clone();
        visitor::whole(&mut draft, &mut used);
        draft.kit.iter_mut().filter_map(|group| group.when.as_mut()).for_each(|when| visitor::cond(when, &mut used));
        draft
            .vehicle
            .iter_mut()
            .filter_map(|group| group.when.as_mut())
            .for_each(|when| visitor::cond(when, &mut used));
        used.close(draft)
    }

    /// Whether what a picture points at is among it.
    pub(super) fn has(&self, of: Called) -> bool {
        match of {
            Called::Part(id) => self.parts.contains(&id),
            Called::Tool(id) => self.tools.contains(&id),
            Called::Protection(id) => self.protections.contains(&id),
            Called::Choice(id) => self.choices.contains(&id),
            Called::Number(id) => self.numbers.contains(&id),
            Called::Joint(id) => self.joints.contains(&id),
            Called::Circuit(id) => self.circuits.contains(&id),
            Called::State(id) => self.states.contains(&id),
        }
    }

    /// Adds all rows that nothing in the full procedure refers to: the writer wants them there all the same.
    pub(super) fn with_what_stands_alone(mut self, draft: &Procedure, full: &Procedure, of_full: &Used) -> Used {
        add_alone(&mut self.choices, &full.choices, &of_full.choices);
        add_alone(&mut self.numbers, &full.numbers, &of_full.numbers);
        add_alone(&mut self.facts, &full.facts, &of_full.facts);
        add_alone(&mut self.parts, &full.parts, &of_full.parts);
        add_alone(&mut self.tools, &full.tools, &of_full.tools);
        add_alone(&mut self.protections, &full.protections, &of_full.protections);
        add_alone(&mut self.hazards, &full.hazards, &of_full.hazards);
        add_alone(&mut self.actions, &full.actions, &of_full.actions);
        add_alone(&mut self.joints, &full.joints, &of_full.joints);
        add_alone(&mut self.circuits, &full.circuits, &of_full.circuits);
        add_alone(&mut self.figures, &full.figures, &of_full.figures);
        add_alone(&mut self.states, &full.states, &of_full.states);
        self.close(draft.clone())
    }

    /// Adds what the rows that are used refer to, until nothing new is found.
    fn close(mut self, mut draft: Procedure) -> Used {
        loop {
            let before = self.clone();
            for id in before.steps.iter().filter(|id| id.index() < draft.steps.len()) {
                let lines = draft.steps[*id].lines.iter();
                self.hazards.extend(lines.flat_map(|line| draft.brought_by(line)));
            }
            rows(&mut draft.steps, &before.steps, |row| visitor::step(row, &mut self));
            rows(&mut draft.limits, &before.limits, |row| visitor::limit(row, &mut self));
            rows(&mut draft.numbers, &before.numbers, |row| visitor::number(row, &mut self));
            rows(&mut draft.parts, &before.parts, |row| visitor::part(row, &mut self));
            rows(&mut draft.tools, &before.tools, |row| visitor::tool(row, &mut self));
            rows(&mut draft.actions, &before.actions, |row| visitor::action(row, &mut self));
            rows(&mut draft.joints, &before.joints, |row| visitor::joint(row, &mut self));
            rows(&mut draft.circuits, &before.circuits, |row| visitor::circuit(row, &mut self));
            rows(&mut draft.states, &before.states, |row| visitor::state(row, &mut self));
            if self == before {
                return self;
            }
        }
    }
}

fn rows<I: Id + Ord, T>(table: &mut Table<I, T>, wanted: &BTreeSet<I>, mut each: impl FnMut(&mut T)) {
    for id in wanted {
        each(&mut table[*id]);
    }
}

fn add_alone<I: Id + Ord, T>(used: &mut BTreeSet<I>, table: &Table<I, T>, of_full: &BTreeSet<I>) {
    used.extend(table.ids().filter(|id| !of_full.contains(id)));
}
