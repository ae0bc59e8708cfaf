//! The one walk over the flow.
//!
//! [`walk`] gives every node of a body, each before what stands inside it, in the order of the text; while it goes, it
//! tells on which way the last one stands. [`walk_mut`] visits them to change them. Neither recurses, so how deep a
//! procedure is nested costs no stack. By hand, the flow is taken apart only where its structure is the matter: where it
//! is made, unrolled, pruned or set out on a page.

use super::{Check, Choose, Cond, IdMap, Node, Procedure, StepId};

/// A condition on the way to a node, and whether it must hold or fail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Guard<'a> {
    /// A `when` of a section, step or branch.
    Holds(&'a Cond),
    /// The `else` of a branch.
    Fails(&'a Cond),
    /// An arm of a `choose`, by number.
    Arm(&'a Choose, usize),
    /// Inside the repair of a check.
    Repairs(&'a Check),
}

/// The conditions on the way to each step, outermost first.
pub type Ways<'a> = IdMap<StepId, Vec<Guard<'a>>>;

/// All nodes of a body and of the bodies inside it.
pub fn walk(body: &[Node]) -> Walk<'_> {
    Walk { open: vec![Body { depth: 0, guard: None, rest: body }], way: Vec::new(), repairs: true }
}

/// A walk under way, made by [`walk`].
#[derive(Debug, Clone)]
pub struct Walk<'a> {
    /// What is still to be given, the next body last.
    open: Vec<Body<'a>>,
    /// The conditions on the way to the node that was given last.
    way: Vec<Guard<'a>>,
    repairs: bool,
}

/// What is left of a body.
#[derive(Debug, Clone)]
struct Body<'a> {
    /// How many conditions lie on the way to the node that it is inside.
    depth: usize,
    /// Its own.
    guard: Option<Guard<'a>>,
    rest: &'a [Node],
}

impl<'a> Iterator for Walk<'a> {
    type Item = &'a Node;

    fn next(&mut self) -> Option<&'a Node> {
        loop {
            let body = self.open.last_mut()?;
            let Some((node, rest)) = body.rest.split_first() else {
                self.open.pop();
                continue;
            };
            body.rest = rest;
            self.way.truncate(body.depth);
            self.way.extend(body.guard);
            self.open_inside(node);
            return Some(node);
        }
    }
}

impl<'a> Walk<'a> {
    /// The same without what stands in repairs.
    pub fn without_repairs(self) -> Self {
        Walk { repairs: false, ..self }
    }

    /// The steps and checks among the nodes.
    pub fn steps(self) -> impl Iterator<Item = StepId> + 'a {
        self.filter_map(Node::step)
    }

    /// The conditions on the way from the body to the node that was given last, outermost first. Of the node itself, and of
    /// the section around the body, none is among them.
    pub fn way(&self) -> &[Guard<'a>] {
        &self.way
    }

    fn enter(&mut self, guard: Guard<'a>, rest: &'a [Node]) {
        self.open.push(Body { depth: self.way.len(), guard: Some(guard), rest });
    }

    /// Opens the bodies inside a node, the last first.
    fn open_inside(&mut self, node: &'a Node) {
        match node {
            Node::Check(check) => {
                if let Some(repair) = check.repair.as_ref().filter(|_| self.repairs) {
                    self.enter(Guard::Repairs(check), &repair.body);
                }
            }
            Node::Choose(choose) => {
                for (at, arm) in choose.arms.iter().enumerate().rev() {
                    self.enter(Guard::Arm(choose, at), &arm.body);
                }
            }
            Node::When(when) => {
                self.enter(Guard::Fails(&when.cond), &when.otherwise);
                self.enter(Guard::Holds(&when.cond), &when.then);
            }
            Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
}

/// Visits all nodes of a body and of the bodies inside it, each before what stands inside it, so that they can be changed.
pub fn walk_mut(body: &mut [Node], mut visit: impl FnMut(&mut Node)) {
    let mut open: Vec<&mut Node> = body.iter_mut().rev().collect();
    while let Some(node) = open.pop() {
        visit(node);
        match node {
            Node::Check(check) => open.extend(check.repair.iter_mut().flat_map(|repair| repair.body.iter_mut().rev())),
            Node::Choose(choose) => open.extend(choose.arms.iter_mut().rev().flat_map(|arm| arm.body.iter_mut().rev())),
            Node::When(when) => open.extend(when.otherwise.iter_mut().rev().chain(when.then.iter_mut().rev())),
            Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
}

impl Node {
    /// The step of a step or check.
    pub fn step(&self) -> Option<StepId> {
        match self {
            Node::Step(id) => Some(*id),
            Node::Check(check) => Some(check.step),
            _ => None,
        }
    }

    /// Whether it is one that other nodes can stand inside.
    pub fn has_inside(&self) -> bool {
        match self {
            Node::Check(check) => check.repair.is_some(),
            Node::Choose(_) | Node::When(_) => true,
            Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => false,
        }
    }
}

impl Procedure {
    /// For each step the conditions on the way to it, outermost first: its section's, its branches' and its own. Stops passed
    /// before it are not among them.
    pub fn ways(&self) -> Ways<'_> {
        let mut ways = self.steps.each(Vec::new());
        for section in &self.sections {
            let mut nodes = walk(&section.body);
            while let Some(node) = nodes.next() {
                let Some(step) = node.step() else { continue };
                let outside = section.when.iter().map(Guard::Holds);
                let own = self.steps[step].when.iter().map(Guard::Holds);
                ways[step] = outside.chain(nodes.way().iter().copied()).chain(own).collect();
            }
        }
        ways
    }
}

#[cfg(test)]
mod tests {
    use super::super::{
        Arm, ArmPattern, CheckElse, ChoiceId, ChooseSubject, CondKind, Id, Repair, Said, SetResult, Stop, When,
    };
    use super::*;
    use crate::source::{FileId, Span};
    use proptest::prelude::*;

    fn at(place: usize) -> Span {
        Span::new(FileId::new(0), place, place)
    }

    fn cond(place: usize) -> Cond {
        Cond { kind: CondKind::Is(ChoiceId::from_index(0), place), span: at(place) }
    }

    /// A flow with its nodes numbered in the order of the text, and what the walk must tell of each: worked out while the
    /// flow is made, by recursion.
    struct Made {
        next: usize,
        told: Vec<(usize, Vec<String>)>,
    }

    impl Made {
        /// Shapes say what comes next: more of the body, something with bodies inside, or its end.
        fn body(&mut self, shapes: &mut std::slice::Iter<'_, u8>, way: &[String]) -> Vec<Node> {
            let mut body = Vec::new();
            while let Some(shape) = shapes.next() {
                if *shape == 0 {
                    break;
                }
                let place = self.next;
                self.next += 1;
                self.told.push((place, way.to_vec()));
                let inside = |guard: &str| [way, &[format!("{guard} {place}")]].concat();
                body.push(match shape {
                    1 => Node::Step(StepId::from_index(place)),
                    2 => {
                        let then = self.body(shapes, &inside("holds"));
                        let otherwise = self.body(shapes, &inside("fails"));
                        Node::When(When { cond: cond(place), then, otherwise, span: at(place) })
                    }
                    3 => {
                        let arms = (0..3).map(|arm| Arm {
                            pattern: ArmPattern::Otherwise,
                            pattern_span: at(place),
                            body: self.body(shapes, &inside(&format!("arm {arm}"))),
                            span: at(place),
                        });
                        let arms = arms.collect();
                        let subject = ChooseSubject::Choice(ChoiceId::from_index(0));
                        Node::Choose(Choose { subject, subject_span: at(place), arms, span: at(place) })
                    }
                    4 => {
                        let body = self.body(shapes, &inside("repairs"));
                        let repair = Some(Repair { times: 1, body, span: at(place) });
                        let otherwise = CheckElse::Stop(Stop { text: Said::default(), span: at(place) });
                        Node::Check(Check { step: StepId::from_index(place), expects: Vec::new(), repair, otherwise })
                    }
                    _ => Node::Set(SetResult { result: ChoiceId::from_index(0), value: place, span: at(place) }),
                });
            }
            body
        }
    }

    fn place(node: &Node) -> usize {
        match node {
            Node::When(when) => when.span.start as usize,
            Node::Choose(choose) => choose.span.start as usize,
            Node::Set(set) => set.value,
            other => other.step().map_or(usize::MAX, Id::index),
        }
    }

    fn told(guard: &Guard<'_>) -> String {
        match guard {
            Guard::Holds(cond) => format!("holds {}", cond.span.start),
            Guard::Fails(cond) => format!("fails {}", cond.span.start),
            Guard::Arm(choose, arm) => format!("arm {arm} {}", choose.span.start),
            Guard::Repairs(check) => format!("repairs {}", check.step.index()),
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// Recursion is the oracle: each node once, in the order of the text, with its way; and so for those that change.
        #[test]
        fn every_node_is_given_once_with_its_way(shapes in prop::collection::vec(0u8..6, 0..60)) {
            let mut made = Made { next: 0, told: Vec::new() };
            let mut body = made.body(&mut shapes.iter(), &[]);
            let mut found = Vec::new();
            let mut nodes = walk(&body);
            while let Some(node) = nodes.next() {
                found.push((place(node), nodes.way().iter().map(told).collect::<Vec<_>>()));
            }
            prop_assert_eq!(&found, &made.told);
            let outside = |(_, way): &&(usize, Vec<String>)| !way.iter().any(|guard| guard.starts_with("repairs"));
            let wanted: Vec<usize> = made.told.iter().filter(outside).map(|(place, _)| *place).collect();
            prop_assert_eq!(walk(&body).without_repairs().map(place).collect::<Vec<_>>(), wanted);
            let mut changed = Vec::new();
            walk_mut(&mut body, |node| changed.push(place(node)));
            prop_assert_eq!(changed, made.told.iter().map(|(place, _)| *place).collect::<Vec<_>>());
        }
    }
}
