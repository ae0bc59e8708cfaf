//! The flow without what no remaining job comes to.

use std::collections::BTreeSet;

use super::reach::{Can, Reach, Simple, Simplify};
use super::settled::Settled;
use crate::model::{
    Arm, ArmPattern, Check, ChoiceId, Choose, ChooseSubject, Cond, CondKind, Line, LineKind, Node, Procedure, Repair,
    Section, StepId, When, walk_mut,
};

/// What is left of the flow.
pub(super) struct Left {
    pub sections: Vec<Section>,
    /// The steps that are left; of those that are not, the rows are still in the table.
    pub steps: BTreeSet<StepId>,
}

/// Takes out of a procedure's flow what can't happen, and out of its steps the conditions that are decided.
pub(super) fn prune(draft: &mut Procedure, reach: &Reach, simplify: &mut Simplify<'_, '_>) -> Left {
    let sections = std::mem::take(&mut draft.sections);
    let mut pruner = Pruner { draft, reach, simplify, steps: BTreeSet::new() };
    let sections = sections.into_iter().enumerate().filter_map(|(at, section)| pruner.section(at, section)).collect();
    Left { sections, steps: pruner.steps }
}

struct Pruner<'a, 's, 'p> {
    draft: &'a mut Procedure,
    reach: &'a Reach,
    simplify: &'a mut Simplify<'s, 'p>,
    steps: BTreeSet<StepId>,
}

impl Pruner<'_, '_, '_> {
    fn settled(&self) -> &Settled {
        self.simplify.settled
    }

    fn simple(&mut self, cond: &Cond) -> Simple {
        let places = self.reach.places(cond);
        self.simplify.cond(cond, places)
    }

    /// What is left of an optional condition of something that can happen.
    fn when(&mut self, when: Option<Cond>) -> Option<Cond> {
        match self.simple(&when?) {
            Simple::Open(cond) => Some(cond),
            Simple::Always | Simple::Never => None,
        }
    }

    fn section(&mut self, at: usize, section: Section) -> Option<Section> {
        if !self.reach.can(Can::Section(at)) {
            return None;
        }
        let when = self.when(section.when);
        let body = self.body(section.body);
        (!body.is_empty()).then_some(Section { when, body, ..section })
    }

    fn body(&mut self, body: Vec<Node>) -> Vec<Node> {
        body.into_iter().flat_map(|node| self.node(node)).collect()
    }

    fn node(&mut self, node: Node) -> Vec<Node> {
        let reach = self.reach;
        let only_if = |can: bool, node: Node| if can { vec![node] } else { Vec::new() };
        match node {
            Node::Step(step) => {
                let can = self.step(step);
                only_if(can, Node::Step(step))
            }
            Node::Check(check) => self.check(check),
            Node::Choose(choose) => self.choose(choose),
            Node::When(when) => self.branch(when),
            Node::Set(ref set) => only_if(reach.can(Can::Statement(set.span)), node),
            Node::Stop(ref stop) => only_if(reach.can(Can::Statement(stop.span)), node),
            Node::Handover(ref handover) => only_if(reach.can(Can::Statement(handover.span)), node),
        }
    }

    /// Whether a step can happen; if so, its condition is simplified and it is kept.
    fn step(&mut self, step: StepId) -> bool {
        if !self.reach.can(Can::Step(step)) {
            return false;
        }
        self.steps.insert(step);
        let when = self.draft.steps[step].when.take();
        self.draft.steps[step].when = self.when(when);
        let lines = std::mem::take(&mut self.draft.steps[step].lines);
        self.draft.steps[step].lines = lines.into_iter().filter_map(|line| self.line(line)).collect();
        true
    }

    /// A line, unless it shows a picture that this fitting has not.
    fn line(&mut self, mut line: Line) -> Option<Line> {
        if let LineKind::Figure(shown) = &mut line.kind
            && let Some(when) = shown.when.take()
        {
            match self.simple(&when) {
                Simple::Always => {}
                Simple::Never => return None,
                Simple::Open(cond) => shown.when = Some(cond),
            }
        }
        Some(line)
    }

    fn check(&mut self, check: Check) -> Vec<Node> {
        if !self.step(check.step) {
            return Vec::new();
        }
        let mut expects = Vec::new();
        for expect in &check.expects {
            match self.simple(expect) {
                Simple::Always => {}
                // What can't pass is still what was asked for.
                Simple::Never => expects.push(expect.clone()),
                Simple::Open(cond) => expects.push(cond),
            }
        }
        if expects.is_empty() && !self.reach.can(Can::Fail(check.step)) {
            // Nothing is left to be decided: its lines are a step like any other.
            self.draft.steps[check.step].is_check = false;
            return vec![Node::Step(check.step)];
        }
        if expects.is_empty() {
            expects.clone_from(&check.expects);
        }
        let repair = check.repair.map(|repair| Repair { body: self.body(repair.body), ..repair });
        vec![Node::Check(Check { expects, repair, ..check })]
    }

    fn branch(&mut self, when: When) -> Vec<Node> {
        let simple = self.simple(&when.cond);
        let (then, otherwise) = (self.body(when.then), self.body(when.otherwise));
        match simple {
            Simple::Always => then,
            Simple::Never => otherwise,
            Simple::Open(_) if then.is_empty() && otherwise.is_empty() => Vec::new(),
            Simple::Open(cond) if then.is_empty() => {
                let cond = Cond { span: cond.span, kind: CondKind::Not(Box::new(cond)) };
                vec![Node::When(When { cond, then: otherwise, otherwise: then, span: when.span })]
            }
            Simple::Open(cond) => vec![Node::When(When { cond, then, otherwise, span: when.span })],
        }
    }

    fn choose(&mut self, choose: Choose) -> Vec<Node> {
        if let Some(taken) = self.settled().arm(&choose) {
            let body = taken.map(|arm| arm.body.clone()).unwrap_or_default();
            return self.body(body);
        }
        let can = |at: usize| self.reach.can(Can::Arm(choose.span, at));
        let possible: Vec<usize> = (0..choose.arms.len()).filter(|at| can(*at)).collect();
        let unread = self.reach.can(Can::Unread(choose.span));
        if unread || possible.len() > 1 {
            let all = unread || possible.len() == choose.arms.len();
            let patterns: Vec<ArmPattern> = if all {
                choose.arms.iter().map(|arm| arm.pattern.clone()).collect()
            } else {
                (0..choose.arms.len()).map(|at| self.explicit(&choose, at)).collect()
            };
            let arms = choose.arms.into_iter().zip(patterns).enumerate();
            let arms = arms.filter(|(at, _)| unread || possible.contains(at));
            let arms: Vec<Arm> =
                arms.map(|(_, (arm, pattern))| Arm { pattern, body: self.body(arm.body), ..arm }).collect();
            let nothing_left = arms.iter().all(|arm| arm.body.is_empty());
            return if nothing_left { Vec::new() } else { vec![Node::Choose(Choose { arms, ..choose })] };
        }
        let only = possible.first().and_then(|at| choose.arms.into_iter().nth(*at));
        only.map(|arm| self.body(arm.body)).unwrap_or_default()
    }

    /// What an arm covers once other arms are gone: "all else" must not grow.
    fn explicit(&self, choose: &Choose, at: usize) -> ArmPattern {
        let ChooseSubject::Choice(choice) = choose.subject else {
            return choose.arms.get(at).map_or(ArmPattern::Otherwise, |arm| arm.pattern.clone());
        };
        let named = |value: &usize| {
            choose.arms.iter().any(|arm| matches!(&arm.pattern, ArmPattern::Values(values) if values.contains(value)))
        };
        let values = match choose.arms.get(at).map(|arm| &arm.pattern) {
            Some(ArmPattern::Values(values)) => values.clone(),
            _ => (0..self.draft.choices[choice].values.len()).filter(|value| !named(value)).collect(),
        };
        ArmPattern::Values(values)
    }
}

/// Takes values out of arms that the branch's subject can't have any more.
pub(super) fn drop_values(sections: &mut [Section], gone: &dyn Fn(ChoiceId, usize) -> bool) {
    for section in sections {
        walk_mut(&mut section.body, |node| {
            if let Node::Choose(Choose { subject: ChooseSubject::Choice(choice), arms, .. }) = node {
                arms.iter_mut().for_each(|arm| drop_from(&mut arm.pattern, |value| gone(*choice, value)));
            }
        });
    }
}

/// Takes values out of what an arm covers, where others stay.
fn drop_from(pattern: &mut ArmPattern, gone: impl Fn(usize) -> bool) {
    if let ArmPattern::Values(values) = pattern
        && !values.iter().all(|value| gone(*value))
    {
        values.retain(|value| !gone(*value));
    }
}
