//! What a vehicle is asked: rules, limits, and stops of the flow, as conditions whose parts that numbers decide are numbered,
//! so that they are worked out once a row, whatever is chosen.

use crate::model::{
    Arm, ArmPattern, ChoiceId, ChoiceKind, Choose, ChooseSubject, Comparison, Cond, CondKind, Guard, Interval, LimitId,
    Node, NumberId, Procedure, walk,
};
use crate::source::Span;

/// A condition.
#[derive(Debug, Clone)]
pub enum Tree {
    Const(bool),
    All(Vec<Tree>),
    Any(Vec<Tree>),
    Not(Box<Tree>),
    Is(ChoiceId, usize),
    /// By number, in [`Asked::leaves`].
    Leaf(usize),
}

/// What numbers alone decide.
#[derive(Debug, Clone, PartialEq)]
pub enum Leaf {
    In(NumberId, Interval),
    Compares(Comparison),
}

/// Who asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    /// A rule, by its place in the procedure.
    Rule(usize),
    Limit(LimitId),
    /// A stop of the flow, by its place in [`Asked::stops`].
    Stop(usize),
}

/// What must hold.
#[derive(Debug)]
pub struct Requirement {
    pub who: Who,
    pub tree: Tree,
    /// Whether readings or results stand in it.
    pub on_the_job: bool,
}

/// Something that is there or happens under a condition.
#[derive(Debug)]
pub struct Under<T> {
    pub what: T,
    pub tree: Tree,
}

/// An arm of a branch, by its branch.
#[derive(Debug, Clone, Copy)]
pub struct ArmOf<'p> {
    pub choose: &'p Choose,
    pub arm: &'p Arm,
}

/// All that is asked.
#[derive(Debug)]
pub struct Asked<'p> {
    pub leaves: Vec<Leaf>,
    pub requirements: Vec<Requirement>,
    /// When each limit applies, and the leaf that says whether it holds.
    pub limits: Vec<(LimitId, Tree, usize)>,
    /// The stops of the flow: what is said, and where.
    pub stops: Vec<&'p crate::model::Stop>,
    /// Arms of branches over what is known before the job.
    pub arms: Vec<Under<ArmOf<'p>>>,
    /// Groups of the kit, by their place in the procedure.
    pub kit: Vec<Under<usize>>,
}

impl<'p> Asked<'p> {
    pub fn of(procedure: &'p Procedure) -> Asked<'p> {
        let mut asked = Asked {
            leaves: Vec::new(),
            requirements: Vec::new(),
            limits: Vec::new(),
            stops: Vec::new(),
            arms: Vec::new(),
            kit: Vec::new(),
        };
        for (at, rule) in procedure.rules.iter().enumerate() {
            let holds = asked.cond(&rule.holds);
            let tree = match &rule.when {
                Some(when) => Tree::Any(vec![Tree::Not(Box::new(asked.cond(when))), holds]),
                None => holds,
            };
            asked.require(procedure, Who::Rule(at), tree);
        }
        for (id, limit) in procedure.limits.iter() {
            let leaf = asked.leaf(Leaf::Compares(limit.holds.clone()));
            let when = limit.when.as_ref().map_or(Tree::Const(true), |when| asked.cond(when));
            let tree = Tree::Any(vec![Tree::Not(Box::new(when.clone())), Tree::Leaf(leaf)]);
            asked.limits.push((id, when, leaf));
            asked.require(procedure, Who::Limit(id), tree);
        }
        asked.flow(procedure);
        for (at, group) in procedure.kit.iter().enumerate() {
            let tree = group.when.as_ref().map_or(Tree::Const(true), |when| asked.cond(when));
            asked.kit.push(Under { what: at, tree });
        }
        asked
    }

    /// Stops and arms, each under the conditions on its way. What stands in a repair waits for a reading.
    fn flow(&mut self, procedure: &'p Procedure) {
        for section in &procedure.sections {
            let own = section.when.as_ref().map(|when| self.cond(when));
            let mut nodes = walk(&section.body).without_repairs();
            while let Some(node) = nodes.next() {
                if !matches!(node, Node::Stop(_) | Node::Choose(_)) {
                    continue;
                }
                let way: Vec<Guard<'p>> = nodes.way().to_vec();
                let mut parts: Vec<Tree> = own.iter().cloned().collect();
                parts.extend(way.iter().map(|guard| self.guard(guard)));
                match node {
                    Node::Stop(stop) => {
                        let who = Who::Stop(self.stops.len());
                        self.stops.push(stop);
                        self.require(procedure, who, Tree::Not(Box::new(Tree::All(parts))));
                    }
                    Node::Choose(choose) if is_before(procedure, choose.subject) => {
                        for (at, arm) in choose.arms.iter().enumerate() {
                            let mut parts = parts.clone();
                            parts.push(self.arm(choose, at));
                            self.arms.push(Under { what: ArmOf { choose, arm }, tree: Tree::All(parts) });
                        }
                    }
                    _ => {}
                }
            }
        }
    }

    fn require(&mut self, procedure: &Procedure, who: Who, tree: Tree) {
        let on_the_job = self.waits(procedure, &tree);
        self.requirements.push(Requirement { who, tree, on_the_job });
    }

    fn waits(&self, procedure: &Procedure, tree: &Tree) -> bool {
        let measured = |number: NumberId| !is_before(procedure, ChooseSubject::Number(number));
        match tree {
            Tree::Const(_) => false,
            Tree::All(parts) | Tree::Any(parts) => parts.iter().any(|part| self.waits(procedure, part)),
            Tree::Not(inner) => self.waits(procedure, inner),
            Tree::Is(choice, _) => procedure.choices[*choice].kind != ChoiceKind::Option,
            Tree::Leaf(leaf) => self.leaves.get(*leaf).is_some_and(|leaf| leaf.numbers().into_iter().any(measured)),
        }
    }

    fn guard(&mut self, guard: &Guard<'_>) -> Tree {
        match guard {
            Guard::Holds(cond) => self.cond(cond),
            Guard::Fails(cond) => Tree::Not(Box::new(self.cond(cond))),
            Guard::Arm(choose, at) => self.arm(choose, *at),
            // Repairs are not walked.
            Guard::Repairs(_) => Tree::Const(false),
        }
    }

    /// The first arm that fits is taken; `otherwise` where no other fits.
    fn arm(&mut self, choose: &Choose, at: usize) -> Tree {
        let Some(arm) = choose.arms.get(at) else { return Tree::Const(false) };
        let others: Vec<&Arm> = match arm.pattern {
            ArmPattern::Otherwise => {
                choose.arms.iter().filter(|other| other.pattern != ArmPattern::Otherwise).collect()
            }
            _ => choose.arms.iter().take(at).filter(|other| other.pattern != ArmPattern::Otherwise).collect(),
        };
        let mut parts: Vec<Tree> =
            others.into_iter().map(|other| Tree::Not(Box::new(self.pattern(choose.subject, &other.pattern)))).collect();
        parts.push(self.pattern(choose.subject, &arm.pattern));
        Tree::All(parts)
    }

    fn pattern(&mut self, subject: ChooseSubject, pattern: &ArmPattern) -> Tree {
        match (subject, pattern) {
            (ChooseSubject::Choice(choice), ArmPattern::Values(values)) => {
                Tree::Any(values.iter().map(|value| Tree::Is(choice, *value)).collect())
            }
            (ChooseSubject::Number(number), ArmPattern::In(interval, _)) => {
                Tree::Leaf(self.leaf(Leaf::In(number, interval.clone())))
            }
            (_, ArmPattern::Otherwise) => Tree::Const(true),
            _ => Tree::Const(false),
        }
    }

    fn cond(&mut self, cond: &Cond) -> Tree {
        match &cond.kind {
            CondKind::Any(parts) => Tree::Any(parts.iter().map(|part| self.cond(part)).collect()),
            CondKind::All(parts) => Tree::All(parts.iter().map(|part| self.cond(part)).collect()),
            CondKind::Not(inner) => Tree::Not(Box::new(self.cond(inner))),
            CondKind::Is(choice, value) => Tree::Is(*choice, *value),
            CondKind::In(number, interval) => Tree::Leaf(self.leaf(Leaf::In(*number, interval.clone()))),
            CondKind::Compares(comparison) => Tree::Leaf(self.leaf(Leaf::Compares(comparison.clone()))),
        }
    }

    fn leaf(&mut self, leaf: Leaf) -> usize {
        self.leaves.iter().position(|own| *own == leaf).unwrap_or_else(|| {
            self.leaves.push(leaf);
            self.leaves.len() - 1
        })
    }
}

impl Leaf {
    /// The numbers in it, each once.
    pub fn numbers(&self) -> Vec<NumberId> {
        match self {
            Leaf::In(number, _) => vec![*number],
            Leaf::Compares(comparison) => {
                let mut found: Vec<NumberId> = Vec::new();
                let mut add = |number: NumberId, _: Span| {
                    if !found.contains(&number) {
                        found.push(number);
                    }
                };
                comparison.left.each_number(&mut add);
                comparison.right.each_number(&mut add);
                found
            }
        }
    }
}

/// Whether it is known before the job: an option or a given.
pub fn is_before(procedure: &Procedure, subject: ChooseSubject) -> bool {
    match subject {
        ChooseSubject::Choice(choice) => procedure.choices[choice].kind == ChoiceKind::Option,
        ChooseSubject::Number(number) => procedure.numbers[number].kind == crate::model::NumberKind::Given,
    }
}

/// What is so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    Yes,
    No,
    Open,
}

impl Known {
    pub fn sure(holds: bool) -> Known {
        if holds { Known::Yes } else { Known::No }
    }

    pub fn not(self) -> Known {
        match self {
            Known::Yes => Known::No,
            Known::No => Known::Yes,
            Known::Open => Known::Open,
        }
    }
}

impl Tree {
    /// Whether it holds, where `is` knows the choices and `leaf` what numbers decide. `Open` where that does not follow.
    pub fn known(&self, is: &impl Fn(ChoiceId, usize) -> Known, leaf: &impl Fn(usize) -> Known) -> Known {
        let of = |parts: &[Tree], ends: Known| {
            let mut all = ends.not();
            for part in parts {
                match part.known(is, leaf) {
                    known if known == ends => return ends,
                    Known::Open => all = Known::Open,
                    _ => {}
                }
            }
            all
        };
        match self {
            Tree::Const(holds) => Known::sure(*holds),
            Tree::All(parts) => of(parts, Known::No),
            Tree::Any(parts) => of(parts, Known::Yes),
            Tree::Not(inner) => inner.known(is, leaf).not(),
            Tree::Is(choice, value) => is(*choice, *value),
            Tree::Leaf(at) => leaf(*at),
        }
    }

    /// Whether only options stand in it.
    pub fn is_of_options(&self, procedure: &Procedure) -> bool {
        match self {
            Tree::Const(_) => true,
            Tree::All(parts) | Tree::Any(parts) => parts.iter().all(|part| part.is_of_options(procedure)),
            Tree::Not(inner) => inner.is_of_options(procedure),
            Tree::Is(choice, _) => procedure.choices[*choice].kind == ChoiceKind::Option,
            Tree::Leaf(_) => false,
        }
    }
}
