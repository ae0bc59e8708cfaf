//! Places of the flow that a job can reach, and how they stand in each other.

use fitwright::model::{CheckElse, Node, Procedure, StepId};
use fitwright::source::Span;

/// A place of the flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    Section(usize),
    /// A step or check that is done (its own `when` holds).
    Step(StepId),
    /// A branch on one input, whichever arm is taken.
    Choose(Span),
    /// An arm, by the place of its pattern.
    Arm(Span),
    /// The first side of a `when`, by the place of the whole.
    Then(Span),
    /// The `else` of a `when`, by the place of the whole.
    Else(Span),
    /// The repair of a check.
    Repair(Span),
    /// A check fails for good.
    Fails(Span),
    Set(Span),
    Stop(Span),
    Handover(Span),
}

impl Place {
    /// The place of a statement; of a `when`, its first side.
    pub fn of(node: &Node) -> Place {
        match node {
            Node::Step(step) => Place::Step(*step),
            Node::Check(check) => Place::Step(check.step),
            Node::Choose(choose) => Place::Choose(choose.span),
            Node::When(when) => Place::Then(when.span),
            Node::Set(set) => Place::Set(set.span),
            Node::Stop(stop) => Place::Stop(stop.span),
            Node::Handover(handover) => Place::Handover(handover.span),
        }
    }
}

/// A place with what it stands in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    pub place: Place,
    /// Index of the place around it.
    pub parent: Option<usize>,
    /// Index of the place right before it in the same body.
    pub before: Option<usize>,
    /// Where a reader may be pointed to it, narrowest first.
    pub spans: Vec<Span>,
}

/// All places in the order of the text; a place comes after the one around it.
pub fn all(procedure: &Procedure) -> Vec<Standing> {
    let mut list = List { procedure, places: Vec::new() };
    let mut before = None;
    for (index, section) in procedure.sections.iter().enumerate() {
        let mut spans: Vec<Span> = section.when.iter().map(|when| when.span).collect();
        spans.extend([section.name.span, section.span]);
        let at = list.add(Place::Section(index), None, before, spans);
        list.body(&section.body, at);
        before = Some(at);
    }
    list.places
}

struct List<'p> {
    procedure: &'p Procedure,
    places: Vec<Standing>,
}

impl List<'_> {
    fn add(&mut self, place: Place, parent: Option<usize>, before: Option<usize>, spans: Vec<Span>) -> usize {
        self.places.push(Standing { place, parent, before, spans });
        self.places.len() - 1
    }

    fn body(&mut self, body: &[Node], parent: usize) {
        let mut before = None;
        for node in body {
            before = Some(self.node(node, parent, before));
        }
    }

    fn step(&mut self, step: StepId, parent: usize, before: Option<usize>) -> usize {
        let row = &self.procedure.steps[step];
        let mut spans: Vec<Span> = row.when.iter().map(|when| when.span).collect();
        spans.extend([row.name.span, row.span]);
        self.add(Place::Step(step), Some(parent), before, spans)
    }

    fn node(&mut self, node: &Node, parent: usize, before: Option<usize>) -> usize {
        let around = Some(parent);
        match node {
            Node::Step(step) => self.step(*step, parent, before),
            Node::Check(check) => {
                let at = self.step(check.step, parent, before);
                if let Some(repair) = &check.repair {
                    let inner = self.add(Place::Repair(repair.span), Some(at), None, vec![repair.span]);
                    self.body(&repair.body, inner);
                }
                let fails = match &check.otherwise {
                    CheckElse::Stop(stop) => stop.span,
                    CheckElse::GoOn(_, span) => *span,
                };
                self.add(Place::Fails(fails), Some(at), None, vec![fails]);
                at
            }
            Node::Choose(choose) => {
                let at = self.add(Place::Choose(choose.span), around, before, vec![choose.subject_span, choose.span]);
                for arm in &choose.arms {
                    let spans = vec![arm.pattern_span, arm.span];
                    let inner = self.add(Place::Arm(arm.pattern_span), Some(at), None, spans);
                    self.body(&arm.body, inner);
                }
                at
            }
            Node::When(when) => {
                let at = self.add(Place::Then(when.span), around, before, vec![when.cond.span, when.span]);
                self.body(&when.then, at);
                if !when.otherwise.is_empty() {
                    let inner = self.add(Place::Else(when.span), around, before, vec![when.cond.span, when.span]);
                    self.body(&when.otherwise, inner);
                }
                at
            }
            Node::Set(set) => self.add(Place::Set(set.span), around, before, vec![set.span]),
            Node::Stop(stop) => self.add(Place::Stop(stop.span), around, before, vec![stop.span]),
            Node::Handover(handover) => self.add(Place::Handover(handover.span), around, before, vec![handover.span]),
        }
    }
}
