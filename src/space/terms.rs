//! Conditions as formulas at a place of the procedure.
//!
//! A condition is judged from left to right, as a person would: in `arm is powered and lamp is yes` the lamp is looked
//! at only where the arm is powered. A *use* is a place in a condition that looks at an input, with the runs in which
//! it does so before there is anything to look at. Then the condition can't be told: it neither holds nor fails, and the
//! job may go on either way, by a *guess*.

use num_traits::{CheckedDiv, Signed};

use super::cells::{Cells, Cut, Domain, ends};
use super::extremes::{Split, split};
use super::formula::{Circuit, Formula};
use super::ids::{BlockId, EventId, Input, Subject};
use super::inputs::{Comparison, Inputs, VarId, linear_form};
use super::timeline::{Asked, Reach, Source, Timelines};
use crate::model::{
    Arm, ArmPattern, Choose, ChooseSubject, CompareOp, Comparison as Written, Cond, CondKind, IdMap, Interval, Node,
    NumberId, Procedure, walk,
};
use crate::quantity::Exact;
use crate::source::Span;

/// A place in a condition that looks at an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Use {
    /// The input or result.
    pub input: Input,
    /// The part of the condition that names it.
    pub span: Span,
    /// The condition cannot be told because this has no value yet. Means something only together with the guard of the
    /// event.
    pub unknown: Formula,
}

/// In which runs a condition holds and in which it fails; in the others it cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Truth {
    pub holds: Formula,
    pub fails: Formula,
}

impl Truth {
    pub const ALWAYS: Truth = Truth { holds: Formula::ALWAYS, fails: Formula::NEVER };
}

/// A moment of the procedure: right before an event, in a block.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment {
    pub at: EventId,
    pub block: BlockId,
}

/// All that formulas are made of.
#[derive(Debug)]
pub(super) struct Terms<'p> {
    pub procedure: &'p Procedure,
    pub circuit: Circuit,
    pub inputs: Inputs,
    pub timelines: Timelines,
}

/// Makes a comparison of the readings that its numbers mean.
type Make<'a, 'p> = dyn FnMut(&mut Terms<'p>, &[(NumberId, VarId)]) -> Formula + 'a;

/// The most combinations of readings that one comparison may mean at one place.
const MOST_COMBINATIONS: usize = 512;

impl<'p> Terms<'p> {
    /// Cuts the numbers at every constant that the procedure compares them with.
    pub fn new(procedure: &'p Procedure) -> Terms<'p> {
        let mut cuts: IdMap<NumberId, Vec<Cut>> = procedure.numbers.each(Vec::new());
        collect_cuts(procedure, &mut |number, cut| cuts[number].push(cut));
        let cells =
            procedure.numbers.map(|id, number| Some(Cells::new(Domain::of(number)?, std::mem::take(&mut cuts[id]))));
        Terms { procedure, circuit: Circuit::new(), inputs: Inputs::new(cells), timelines: Timelines::default() }
    }

    /// The reach of an input at a moment.
    fn reach(&self, subject: Subject, moment: Moment) -> Reach {
        self.timelines.reach(subject, moment.at, moment.block)
    }

    /// An answer about a subject at a moment.
    pub fn asked(&mut self, subject: Subject, moment: Moment, asked: Asked) -> Formula {
        let reach = self.reach(subject, moment);
        self.timelines.formula(&mut self.circuit, &self.inputs, subject, reach, asked)
    }

    /// Whether an input or result has a value.
    pub fn known(&mut self, input: Input, moment: Moment) -> Formula {
        self.asked(input.subject(), moment, Asked::Known)
    }

    /// Whether a number lies in cells `first..end`.
    pub fn in_cells(&mut self, number: NumberId, moment: Moment, first: usize, end: usize) -> Formula {
        if first >= end {
            return Formula::NEVER;
        }
        let from = self.asked(Subject::Number(number), moment, Asked::AtLeast(first));
        let beyond = self.asked(Subject::Number(number), moment, Asked::AtLeast(end));
        self.circuit.both(from, !beyond)
    }

    /// Whether a number lies in an interval; `None` where the procedure's cells do not show it.
    pub fn within(&mut self, number: NumberId, moment: Moment, interval: &Interval) -> Option<Formula> {
        let (first, end) = self.inputs.cells_of(number)?.covered(interval)?;
        Some(self.in_cells(number, moment, first, end))
    }

    /// The condition at a moment. What it looks at is added to `uses`.
    pub fn condition(&mut self, cond: &Cond, moment: Moment, uses: &mut Vec<Use>) -> Truth {
        match &cond.kind {
            CondKind::Any(parts) => {
                let truth = self.parts(parts, true, moment, uses);
                Truth { holds: truth.fails, fails: truth.holds }
            }
            CondKind::All(parts) => self.parts(parts, false, moment, uses),
            CondKind::Not(inner) => {
                let truth = self.condition(inner, moment, uses);
                Truth { holds: truth.fails, fails: truth.holds }
            }
            CondKind::Is(choice, value) => {
                let known = self.used(Input::Choice(*choice), cond.span, moment, uses);
                let holds = self.asked(Subject::Choice(*choice), moment, Asked::Is(*value));
                self.leaf(known, holds)
            }
            CondKind::In(number, interval) => {
                let known = self.used(Input::Number(*number), cond.span, moment, uses);
                let holds = self.within(*number, moment, interval);
                let holds = holds.unwrap_or_else(|| self.inputs.compare(&mut self.circuit, Comparison::Unknown));
                self.leaf(known, holds)
            }
            CondKind::Compares(written) => self.comparison(written, moment, uses),
        }
    }

    /// All of the parts hold, or, `turned`, all fail. Each is looked at only where those before it did not settle it.
    fn parts(&mut self, parts: &[Cond], turned: bool, moment: Moment, uses: &mut Vec<Use>) -> Truth {
        let mut sum = Truth::ALWAYS;
        for part in parts {
            let before = uses.len();
            let truth = self.condition(part, moment, uses);
            for one in uses.iter_mut().skip(before) {
                one.unknown = self.circuit.both(sum.holds, one.unknown);
            }
            let (goes_on, settles) = if turned { (truth.fails, truth.holds) } else { (truth.holds, truth.fails) };
            let settled_here = self.circuit.both(sum.holds, settles);
            sum.fails = self.circuit.either(sum.fails, settled_here);
            sum.holds = self.circuit.both(sum.holds, goes_on);
        }
        sum
    }

    /// How the job goes on after a condition: as it says, and by a guess where it cannot be told.
    pub fn taken(&mut self, truth: Truth) -> Formula {
        let told = self.circuit.either(truth.holds, truth.fails);
        self.or_guess(truth.holds, !told)
    }

    /// The formula, or a guess in the runs in which nothing tells.
    fn or_guess(&mut self, formula: Formula, untold: Formula) -> Formula {
        if untold == Formula::NEVER {
            return formula;
        }
        let guess = self.inputs.guess(&mut self.circuit);
        let guessed = self.circuit.both(untold, guess);
        self.circuit.either(formula, guessed)
    }

    /// By which arms the job may go on: those that fit, and any by a guess where the subject has no value.
    pub fn arms_taken(&mut self, arms: &[Formula], known: Formula) -> Vec<Formula> {
        arms.iter().map(|covers| self.or_guess(*covers, !known)).collect()
    }

    fn leaf(&mut self, known: Formula, holds: Formula) -> Truth {
        Truth { holds: self.circuit.both(known, holds), fails: self.circuit.both(known, !holds) }
    }

    /// Notes that an input is looked at; gives the runs in which it has a value.
    pub fn used(&mut self, input: Input, span: Span, moment: Moment, uses: &mut Vec<Use>) -> Formula {
        let known = self.known(input, moment);
        uses.push(Use { input, span, unknown: !known });
        known
    }

    /// A written comparison at a moment. It can be told as soon as all its numbers have a value.
    pub fn comparison(&mut self, written: &Written, moment: Moment, uses: &mut Vec<Use>) -> Truth {
        let numbers = numbers_of(written);
        let known: Vec<Formula> =
            numbers.iter().map(|(number, span)| self.used(Input::Number(*number), *span, moment, uses)).collect();
        let known = self.circuit.all(known);
        let holds = match split(written) {
            Some(parts) => self.joined(&parts, moment),
            None => self.inputs.compare(&mut self.circuit, Comparison::Unknown),
        };
        self.leaf(known, holds)
    }

    /// A comparison taken apart, where all its numbers have a value.
    fn joined(&mut self, parts: &Split, moment: Moment) -> Formula {
        match parts {
            Split::One(comparison) => {
                let mut numbers: Vec<NumberId> = numbers_of(comparison).into_iter().map(|(number, _)| number).collect();
                numbers.sort_unstable();
                numbers.dedup();
                self.comparison_of_known(comparison, &numbers, moment)
            }
            Split::All(parts) => {
                let all: Vec<Formula> = parts.iter().map(|part| self.joined(part, moment)).collect();
                self.circuit.all(all)
            }
            Split::Any(parts) => {
                let any: Vec<Formula> = parts.iter().map(|part| self.joined(part, moment)).collect();
                self.circuit.any(any)
            }
        }
    }

    /// The comparison where all its numbers have a value.
    fn comparison_of_known(&mut self, written: &Written, numbers: &[NumberId], moment: Moment) -> Formula {
        let Some((terms, constant)) = linear_form(&written.left, &written.right) else {
            let mut budget = MOST_COMBINATIONS;
            return self.combined(numbers, moment, &mut Vec::new(), &mut budget, &mut |terms, numbers| {
                let (left, right) = (written.left.clone(), written.right.clone());
                let numbers = numbers.to_vec();
                terms.inputs.compare(&mut terms.circuit, Comparison::General { left, op: written.op, right, numbers })
            });
        };
        if let [(number, factor)] = terms.as_slice() {
            let alone = threshold(*factor, constant).and_then(|at| {
                let (first, end) = covered_alone(self.inputs.cells_of(*number)?, written.op, at, factor.is_negative())?;
                Some(self.in_cells(*number, moment, first, end))
            });
            return alone.unwrap_or_else(|| self.inputs.compare(&mut self.circuit, Comparison::Unknown));
        }
        let named: Vec<NumberId> = terms.iter().map(|(number, _)| *number).collect();
        let mut budget = MOST_COMBINATIONS;
        self.combined(&named, moment, &mut Vec::new(), &mut budget, &mut |all, numbers| {
            let of = |number: NumberId| numbers.iter().find(|(n, _)| *n == number).map(|(_, var)| *var);
            let with = |sign: i128| -> Vec<(VarId, Exact)> {
                terms.iter().filter_map(|(n, f)| Some((of(*n)?, f * Exact::from_integer(sign)))).collect()
            };
            let mut at_most = |sign: i128, strict: bool| {
                let bound = -constant * Exact::from_integer(sign);
                let comparison = Comparison::Linear { terms: with(sign), bound, strict };
                all.inputs.compare(&mut all.circuit, comparison)
            };
            match written.op {
                CompareOp::AtMost => at_most(1, false),
                CompareOp::Below => at_most(1, true),
                CompareOp::AtLeast => at_most(-1, false),
                CompareOp::Over => at_most(-1, true),
                CompareOp::Equal => {
                    let (not_above, not_below) = (at_most(1, false), at_most(-1, false));
                    all.circuit.both(not_above, not_below)
                }
            }
        })
    }

    /// Goes through the readings that the numbers can mean at the moment.
    fn combined(
        &mut self,
        numbers: &[NumberId],
        moment: Moment,
        chosen: &mut Vec<(NumberId, VarId)>,
        budget: &mut usize,
        made: &mut Make<'_, 'p>,
    ) -> Formula {
        let Some((number, rest)) = numbers.split_first() else {
            if *budget == 0 {
                return self.inputs.compare(&mut self.circuit, Comparison::Unknown);
            }
            *budget -= 1;
            return made(self, chosen);
        };
        let subject = Subject::Number(*number);
        let candidates = self.timelines.candidates(subject, self.reach(subject, moment));
        let mut parts = Vec::with_capacity(candidates.len());
        for (version, settled) in candidates {
            let Source::Taken(var) = version.source else { continue };
            chosen.push((*number, var));
            let holds = self.combined(rest, moment, chosen, budget, made);
            chosen.pop();
            parts.push((if settled { Formula::ALWAYS } else { version.guard }, holds));
        }
        let unread = Formula::NEVER;
        parts.into_iter().rev().fold(unread, |older, (guard, holds)| self.circuit.choose(guard, holds, older))
    }

    /// What each arm of a branch covers, whether or not another covers it too; nothing where the subject has no value.
    pub fn arms(&mut self, choose: &Choose, known: Formula, moment: Moment) -> Vec<Formula> {
        let own: Vec<Option<Formula>> = choose.arms.iter().map(|arm| self.pattern(choose, arm, moment)).collect();
        let covered = self.circuit.any(own.iter().flatten().copied());
        let rest = self.circuit.both(known, !covered);
        own.into_iter().map(|pattern| pattern.unwrap_or(rest)).collect()
    }

    fn pattern(&mut self, choose: &Choose, arm: &Arm, moment: Moment) -> Option<Formula> {
        match (&arm.pattern, choose.subject) {
            (ArmPattern::Otherwise, _) => None,
            (ArmPattern::Values(values), ChooseSubject::Choice(choice)) => {
                let parts: Vec<Formula> =
                    values.iter().map(|value| self.asked(Subject::Choice(choice), moment, Asked::Is(*value))).collect();
                Some(self.circuit.any(parts))
            }
            (ArmPattern::In(interval, _), ChooseSubject::Number(number)) => {
                let within = self.within(number, moment, interval);
                Some(within.unwrap_or_else(|| self.inputs.compare(&mut self.circuit, Comparison::Unknown)))
            }
            _ => Some(Formula::NEVER),
        }
    }
}

/// Where `factor * x + constant` changes its sign.
fn threshold(factor: Exact, constant: Exact) -> Option<Exact> {
    (-constant).checked_div(&factor)
}

/// The cells in which `x OP at` holds; the comparison is turned where the factor was negative.
fn covered_alone(cells: &Cells, op: CompareOp, at: Exact, turned: bool) -> Option<(usize, usize)> {
    let before = cells.begins_at(Cut { at, after: false });
    let after = cells.begins_at(Cut { at, after: true });
    let all = cells.cells.len();
    let op = match (op, turned) {
        (CompareOp::AtMost, true) => CompareOp::AtLeast,
        (CompareOp::AtLeast, true) => CompareOp::AtMost,
        (CompareOp::Below, true) => CompareOp::Over,
        (CompareOp::Over, true) => CompareOp::Below,
        (op, _) => op,
    };
    Some(match op {
        CompareOp::AtMost => (0, after?),
        CompareOp::Below => (0, before?),
        CompareOp::AtLeast => (before?, all),
        CompareOp::Over => (after?, all),
        CompareOp::Equal => (before?, after?),
    })
}

/// The numbers that a comparison names.
fn numbers_of(written: &Written) -> Vec<(NumberId, Span)> {
    let mut found = Vec::new();
    written.left.each_number(&mut |number, span| found.push((number, span)));
    written.right.each_number(&mut |number, span| found.push((number, span)));
    found
}

/// The inputs that a condition names, each once, in order.
pub(super) fn inputs_of(cond: &Cond, found: &mut Vec<Input>) {
    let mut add = |input: Input| {
        if !found.contains(&input) {
            found.push(input);
        }
    };
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().for_each(|part| inputs_of(part, found)),
        CondKind::Not(inner) => inputs_of(inner, found),
        CondKind::Is(choice, _) => add(Input::Choice(*choice)),
        CondKind::In(number, _) => add(Input::Number(*number)),
        CondKind::Compares(written) => inputs_of_comparison(written, found),
    }
}

/// The inputs that a comparison names.
pub(super) fn inputs_of_comparison(written: &Written, found: &mut Vec<Input>) {
    for (number, _) in numbers_of(written) {
        if !found.contains(&Input::Number(number)) {
            found.push(Input::Number(number));
        }
    }
}

/// Finds every constant that a number is compared with.
fn collect_cuts(procedure: &Procedure, found: &mut impl FnMut(NumberId, Cut)) {
    for rule in &procedure.rules {
        cond_cuts(&rule.holds, found);
        rule.when.iter().for_each(|cond| cond_cuts(cond, found));
    }
    for limit in procedure.limits.rows() {
        limit.when.iter().for_each(|cond| cond_cuts(cond, found));
        comparison_cuts(&limit.holds, found);
    }
    procedure.kit.iter().filter_map(|group| group.when.as_ref()).for_each(|cond| cond_cuts(cond, found));
    procedure.vehicle.iter().filter_map(|group| group.when.as_ref()).for_each(|cond| cond_cuts(cond, found));
    procedure.joints.rows().iter().filter_map(|joint| joint.when.as_ref()).for_each(|cond| cond_cuts(cond, found));
    procedure.circuits.rows().iter().filter_map(|c| c.when.as_ref()).for_each(|cond| cond_cuts(cond, found));
    procedure.states.rows().iter().filter_map(|state| state.when.as_ref()).for_each(|cond| cond_cuts(cond, found));
    procedure.steps.rows().iter().filter_map(|step| step.when.as_ref()).for_each(|cond| cond_cuts(cond, found));
    for section in &procedure.sections {
        section.when.iter().for_each(|cond| cond_cuts(cond, found));
        flow_cuts(&section.body, found);
    }
}

fn flow_cuts(body: &[Node], found: &mut impl FnMut(NumberId, Cut)) {
    for node in walk(body) {
        match node {
            Node::Check(check) => check.expects.iter().for_each(|cond| cond_cuts(cond, found)),
            Node::When(when) => cond_cuts(&when.cond, found),
            Node::Choose(choose) => {
                if let ChooseSubject::Number(number) = choose.subject {
                    arm_cuts(number, &choose.arms, found);
                }
            }
            _ => {}
        }
    }
}

fn arm_cuts(number: NumberId, arms: &[Arm], found: &mut impl FnMut(NumberId, Cut)) {
    for arm in arms {
        if let ArmPattern::In(interval, _) = &arm.pattern {
            interval_cuts(number, interval, found);
        }
    }
}

fn cond_cuts(cond: &Cond, found: &mut impl FnMut(NumberId, Cut)) {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().for_each(|part| cond_cuts(part, found)),
        CondKind::Not(inner) => cond_cuts(inner, found),
        CondKind::Is(..) => {}
        CondKind::In(number, interval) => interval_cuts(*number, interval, found),
        CondKind::Compares(written) => comparison_cuts(written, found),
    }
}

fn interval_cuts(number: NumberId, interval: &Interval, found: &mut impl FnMut(NumberId, Cut)) {
    let (low, high) = ends(interval);
    low.into_iter().chain(high).for_each(|cut| found(number, cut));
}

fn comparison_cuts(written: &Written, found: &mut impl FnMut(NumberId, Cut)) {
    if let Some(parts) = split(written) {
        parts.each(&mut |part| cuts_of_one(part, found));
    }
}

fn cuts_of_one(written: &Written, found: &mut impl FnMut(NumberId, Cut)) {
    let Some((terms, constant)) = linear_form(&written.left, &written.right) else { return };
    let [(number, factor)] = terms.as_slice() else { return };
    let Some(at) = threshold(*factor, constant) else { return };
    let above = matches!(written.op, CompareOp::AtMost | CompareOp::Over) != factor.is_negative();
    match written.op {
        CompareOp::Equal => [false, true].into_iter().for_each(|after| found(*number, Cut { at, after })),
        _ => found(*number, Cut { at, after: above }),
    }
}
