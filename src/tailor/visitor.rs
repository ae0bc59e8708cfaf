//! Goes through everything in a procedure that refers to something by its id.
//!
//! One walk serves twice: to note what is referred to, and to write the new ids once the tables have been thinned out.

use crate::model::{
    Action, ActionId, ArmPattern, Called, Check, CheckElse, ChoiceId, Choose, ChooseSubject, Circuit, CircuitId,
    Comparison, Cond, CondKind, Counted, Expr, FactId, Figure, FigureId, HandoverLine, HazardId, Id, Joint, JointId,
    Limit, Line, LineKind, Mention, MentionTarget, Need, Node, NumberId, NumberInput, Part, PartId, Procedure, Prose,
    ProtectionId, Reading, Record, Said, Section, SetResult, State, StateId, Step, StepId, Table, Tool, ToolId,
    ToolUse, walk_mut,
};
use crate::source::Span;

/// What is done with each id, and with the texts and sums that ids stand in; nothing, unless said otherwise.
#[allow(missing_docs, reason = "each is the id of the same name")]
pub(super) trait Ids {
    fn choice(&mut self, _id: &mut ChoiceId) {}
    /// A value of a choice, by number; asked before the choice itself.
    fn value(&mut self, _of: ChoiceId, _value: &mut usize) {}
    /// As [`Ids::value`], where a result is given the value.
    fn set_value(&mut self, of: ChoiceId, value: &mut usize) {
        self.value(of, value);
    }
    fn number(&mut self, _id: &mut NumberId) {}
    fn fact(&mut self, _id: &mut FactId) {}
    fn part(&mut self, _id: &mut PartId) {}
    fn tool(&mut self, _id: &mut ToolId) {}
    fn protection(&mut self, _id: &mut ProtectionId) {}
    fn hazard(&mut self, _id: &mut HazardId) {}
    fn action(&mut self, _id: &mut ActionId) {}
    fn joint(&mut self, _id: &mut JointId) {}
    fn circuit(&mut self, _id: &mut CircuitId) {}
    fn state(&mut self, _id: &mut StateId) {}
    fn figure(&mut self, _id: &mut FigureId) {}
    fn step(&mut self, _id: &mut StepId) {}
    /// A part of a sum, before the ids in it.
    fn expr(&mut self, _expr: &mut Expr) {}
    /// A prose, before its mentions.
    fn prose(&mut self, _prose: &mut Prose) {}
    /// A quoted text, before its mentions.
    fn said(&mut self, _said: &mut Said) {}
}

/// All of a procedure: what it says as a whole, and every row of its tables.
pub(super) fn everything(procedure: &mut Procedure, ids: &mut dyn Ids) {
    whole(procedure, ids);
    for group in &mut procedure.kit {
        group.when.iter_mut().for_each(|when| cond(when, ids));
        counted(&mut group.entries, ids);
    }
    for group in &mut procedure.vehicle {
        group.when.iter_mut().for_each(|when| cond(when, ids));
        counted(&mut group.entries, ids);
    }
    each(&mut procedure.limits, |row| limit(row, ids));
    each(&mut procedure.steps, |row| step(row, ids));
    each(&mut procedure.numbers, |row| number(row, ids));
    each(&mut procedure.parts, |row| part(row, ids));
    each(&mut procedure.tools, |row| tool(row, ids));
    each(&mut procedure.hazards, |row| row.answered_by.iter_mut().for_each(|worn| ids.protection(worn)));
    each(&mut procedure.actions, |row| action(row, ids));
    each(&mut procedure.joints, |row| joint(row, ids));
    each(&mut procedure.joints, |row| tied(row, ids));
    each(&mut procedure.circuits, |row| circuit(row, ids));
    each(&mut procedure.states, |row| state(row, ids));
    each(&mut procedure.figures, |row| figure(row, ids));
}

/// Every row of a table.
pub(super) fn each<I: Id, T>(table: &mut Table<I, T>, mut change: impl FnMut(&mut T)) {
    for id in table.ids() {
        change(&mut table[id]);
    }
}

/// What is said of the whole, the flow and the rules; rows of tables, kit and vehicle apart.
pub(super) fn whole(procedure: &mut Procedure, ids: &mut dyn Ids) {
    procedure.about.prose.iter_mut().for_each(|one| prose(one, ids));
    procedure.about.wear.iter_mut().for_each(|worn| ids.protection(worn));
    for rule in &mut procedure.rules {
        cond(&mut rule.holds, ids);
        rule.when.iter_mut().for_each(|when| cond(when, ids));
    }
    for met in procedure.tailored.iter_mut().flat_map(|tailored| &mut tailored.met) {
        limit(&mut met.limit, ids);
    }
    procedure.sections.iter_mut().for_each(|one| section(one, ids));
}

fn section(section: &mut Section, ids: &mut dyn Ids) {
    section.when.iter_mut().for_each(|when| cond(when, ids));
    body(&mut section.body, ids);
}

fn body(nodes: &mut [Node], ids: &mut dyn Ids) {
    walk_mut(nodes, |node| match node {
        Node::Step(id) => ids.step(id),
        Node::Check(one) => check(one, ids),
        Node::Choose(one) => choose(one, ids),
        Node::When(when) => cond(&mut when.cond, ids),
        Node::Set(one) => set(one, ids),
        Node::Stop(stop) => said(&mut stop.text, ids),
        Node::Handover(handover) => handover.lines.iter_mut().for_each(|line| match line {
            HandoverLine::Prose(one) => prose(one, ids),
            HandoverLine::Show(text)
            | HandoverLine::Keep(text)
            | HandoverLine::Dispose(text)
            | HandoverLine::Note(text) => said(text, ids),
            HandoverLine::Sign(_) => {}
        }),
    });
}

/// What stands in its arms apart.
fn choose(choose: &mut Choose, ids: &mut dyn Ids) {
    match &mut choose.subject {
        ChooseSubject::Number(number) => ids.number(number),
        ChooseSubject::Choice(choice) => {
            for arm in &mut choose.arms {
                if let ArmPattern::Values(values) = &mut arm.pattern {
                    values.iter_mut().for_each(|value| ids.value(*choice, value));
                }
            }
            ids.choice(choice);
        }
    }
}

/// What stands in its repair apart.
fn check(check: &mut Check, ids: &mut dyn Ids) {
    ids.step(&mut check.step);
    check.expects.iter_mut().for_each(|expect| cond(expect, ids));
    match &mut check.otherwise {
        CheckElse::Stop(stop) => said(&mut stop.text, ids),
        CheckElse::GoOn(text, _) => said(text, ids),
    }
}

fn set(set: &mut SetResult, ids: &mut dyn Ids) {
    ids.set_value(set.result, &mut set.value);
    ids.choice(&mut set.result);
}

/// A condition.
pub(super) fn cond(one: &mut Cond, ids: &mut dyn Ids) {
    match &mut one.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter_mut().for_each(|part| cond(part, ids)),
        CondKind::Not(inner) => cond(inner, ids),
        CondKind::Is(choice, value) => {
            ids.value(*choice, value);
            ids.choice(choice);
        }
        CondKind::In(number, _) => ids.number(number),
        CondKind::Compares(one) => comparison(one, ids),
    }
}

/// The row of a limit.
pub(super) fn limit(limit: &mut Limit, ids: &mut dyn Ids) {
    limit.when.iter_mut().for_each(|when| cond(when, ids));
    comparison(&mut limit.holds, ids);
    limit.otherwise.iter_mut().for_each(|text| said(text, ids));
}

fn comparison(one: &mut Comparison, ids: &mut dyn Ids) {
    expr(&mut one.left, ids);
    expr(&mut one.right, ids);
}

fn expr(one: &mut Expr, ids: &mut dyn Ids) {
    ids.expr(one);
    match one {
        Expr::Fact(fact, _, _) => ids.fact(fact),
        Expr::Number(number, _) => ids.number(number),
        Expr::Amount(..) => {}
        Expr::Binary(_, left, right) => {
            expr(left, ids);
            expr(right, ids);
        }
        Expr::Extreme(_, of) => of.iter_mut().for_each(|one| expr(one, ids)),
    }
}

/// A step with its lines.
pub(super) fn step(step: &mut Step, ids: &mut dyn Ids) {
    step.when.iter_mut().for_each(|when| cond(when, ids));
    step.lines.iter_mut().for_each(|one| line(one, ids));
}

fn line(line: &mut Line, ids: &mut dyn Ids) {
    match &mut line.kind {
        LineKind::Prose(one) => prose(one, ids),
        LineKind::Message(message) => {
            ids.hazard(&mut message.hazard);
            for text in [&mut message.nature, &mut message.consequence, &mut message.avoid] {
                said(text, ids);
            }
        }
        LineKind::Read(readings) => readings.iter_mut().for_each(|one| reading(one, ids)),
        LineKind::Use { tools, .. } => tool_uses(tools, ids),
        LineKind::Wear(worn) => worn.iter_mut().for_each(|one| ids.protection(one)),
        LineKind::Take(all)
        | LineKind::Refit(all)
        | LineKind::Discard(all)
        | LineKind::Reuse(all)
        | LineKind::KeepParts { parts: all, .. } => counted(all, ids),
        LineKind::Remove(all, tools) => {
            counted(all, ids);
            tool_uses(tools, ids);
        }
        LineKind::MakeParts { made, from, tools } => {
            counted(made, ids);
            counted(from, ids);
            tool_uses(tools, ids);
        }
        LineKind::Place(joint) | LineKind::RefitJoint(joint) => ids.joint(joint),
        LineKind::Snug(joint, tools)
        | LineKind::Tighten(joint, tools)
        | LineKind::Loosen(joint, tools)
        | LineKind::RemoveJoint(joint, tools) => {
            ids.joint(joint);
            tool_uses(tools, ids);
        }
        LineKind::Connect(circuit, _, tools) | LineKind::Disconnect(circuit, _, tools) => {
            ids.circuit(circuit);
            tool_uses(tools, ids);
        }
        LineKind::Need(one) => need(one, ids),
        LineKind::Make { state, .. } => ids.state(state),
        LineKind::Set(one) => set(one, ids),
        LineKind::Do(action) => ids.action(action),
        LineKind::Record(Record::Torque(joint)) => ids.joint(joint),
        LineKind::Record(Record::Reading(one)) => reading(one, ids),
        LineKind::Record(Record::Taken { parts, .. }) => parts.iter_mut().for_each(|part| ids.part(part)),
        LineKind::Note(text) => said(text, ids),
        LineKind::Wait(wait) => said(&mut wait.until, ids),
        LineKind::Figure(shown) => {
            ids.figure(&mut shown.figure);
            shown.when.iter_mut().for_each(|when| cond(when, ids));
        }
        LineKind::Record(Record::Text(_) | Record::Photo(_)) => {}
    }
}

fn reading(one: &mut Reading, ids: &mut dyn Ids) {
    match one {
        Reading::Choice(choice) => ids.choice(choice),
        Reading::Number(number) => ids.number(number),
    }
}

fn tool_uses(tools: &mut [ToolUse], ids: &mut dyn Ids) {
    tools.iter_mut().flat_map(|one| &mut one.any_of).for_each(|tool| ids.tool(tool));
}

/// Counts of parts.
pub(super) fn counted(all: &mut [Counted<PartId>], ids: &mut dyn Ids) {
    all.iter_mut().for_each(|one| ids.part(&mut one.what));
}

fn need(need: &mut Need, ids: &mut dyn Ids) {
    ids.state(&mut need.state);
}

fn prose(prose: &mut Prose, ids: &mut dyn Ids) {
    ids.prose(prose);
    prose.mentions.iter_mut().for_each(|one| mention(one, ids));
}

/// A quoted text.
pub(super) fn said(said: &mut Said, ids: &mut dyn Ids) {
    ids.said(said);
    said.mentions.iter_mut().for_each(|one| mention(one, ids));
}

fn mention(mention: &mut Mention, ids: &mut dyn Ids) {
    match &mut mention.target {
        MentionTarget::Part(id) => ids.part(id),
        MentionTarget::Tool(id) => ids.tool(id),
        MentionTarget::Protection(id) => ids.protection(id),
        MentionTarget::Choice(id) => ids.choice(id),
        MentionTarget::Number(id) => ids.number(id),
        MentionTarget::Fact(id) => ids.fact(id),
        MentionTarget::Joint(id) => ids.joint(id),
        MentionTarget::Circuit(id) => ids.circuit(id),
        MentionTarget::State(id) => ids.state(id),
        MentionTarget::Figure(id, _) => ids.figure(id),
        MentionTarget::Step(id) | MentionTarget::Action(id, _) => ids.step(id),
        MentionTarget::Quantity(_) => {}
    }
}

fn brings(all: &mut [(HazardId, Span)], ids: &mut dyn Ids) {
    all.iter_mut().for_each(|(hazard, _)| ids.hazard(hazard));
}

/// The row of a number.
pub(super) fn number(number: &mut NumberInput, ids: &mut dyn Ids) {
    number.when.iter_mut().for_each(|when| cond(when, ids));
    number.with.iter_mut().for_each(|tool| ids.tool(tool));
}

/// The row of a part.
pub(super) fn part(part: &mut Part, ids: &mut dyn Ids) {
    brings(&mut part.brings, ids);
}

/// The row of a tool.
pub(super) fn tool(tool: &mut Tool, ids: &mut dyn Ids) {
    brings(&mut tool.brings, ids);
}

/// The row of an action.
pub(super) fn action(action: &mut Action, ids: &mut dyn Ids) {
    brings(&mut action.brings, ids);
    action.needs.iter_mut().for_each(|one| need(one, ids));
}

/// The row of a joint.
pub(super) fn joint(joint: &mut Joint, ids: &mut dyn Ids) {
    joint.when.iter_mut().for_each(|when| cond(when, ids));
    counted(&mut joint.each, ids);
}

/// What a joint is tied to, which is no use of it: a joint may hold lugs that this fitting has not.
fn tied(joint: &mut Joint, ids: &mut dyn Ids) {
    joint.at.iter_mut().for_each(|at| ids.circuit(&mut at.circuit));
    joint.joins.iter_mut().for_each(|(part, _)| ids.part(part));
}

/// What a picture points at, which is no use of it: a picture may show more than this fitting has.
fn figure(figure: &mut Figure, ids: &mut dyn Ids) {
    figure.callouts.iter_mut().flat_map(|callout| &mut callout.of).for_each(|of| match of {
        Called::Part(id) => ids.part(id),
        Called::Tool(id) => ids.tool(id),
        Called::Protection(id) => ids.protection(id),
        Called::Choice(id) => ids.choice(id),
        Called::Number(id) => ids.number(id),
        Called::Joint(id) => ids.joint(id),
        Called::Circuit(id) => ids.circuit(id),
        Called::State(id) => ids.state(id),
    });
}

/// The row of a state.
pub(super) fn state(state: &mut State, ids: &mut dyn Ids) {
    state.when.iter_mut().for_each(|when| cond(when, ids));
}

/// The row of a circuit.
pub(super) fn circuit(circuit: &mut Circuit, ids: &mut dyn Ids) {
    circuit.when.iter_mut().for_each(|when| cond(when, ids));
    circuit.points.iter_mut().flat_map(|(_, point)| &mut point.terminal).for_each(|terminal| ids.part(terminal));
    circuit.protection.iter_mut().flat_map(|one| &mut one.part).for_each(|(part, _)| ids.part(part));
    circuit.isolated_by.iter_mut().for_each(|one| need(one, ids));
}
