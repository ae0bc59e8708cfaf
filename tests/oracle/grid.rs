//! Which values of a number are worth trying, so that nothing is missed.
//!
//! Readings are few: all of them are tried. A given may be any real number; for it, every value at which some condition
//! changes its answer is tried, and one value between each two of them. Conditions may compare two givens with each other,
//! so that the values at which answers change depend on the givens chosen before; the *lines* (linear forms that are
//! zero there) are carried from the last given down to the first by cutting each pair of them. For linear conditions
//! this misses no combination of answers. Products of two inputs are refused.

use std::collections::{BTreeMap, BTreeSet};

use fitwright::model::{
    ArithmeticOp, ArmPattern, ChooseSubject, Comparison, Cond, CondKind, Expr, Interval, Node, NumberId, NumberKind,
    Procedure,
};
use fitwright::quantity::Exact;
use num_traits::Zero;

use super::knowledge::{Known, base};

/// All readings of a number with a smallest step: its multiples within the range. Without one, only the ends.
pub fn readings(procedure: &Procedure, number: NumberId) -> Vec<Exact> {
    let input = &procedure.numbers[number];
    let (low, high) = (base(&input.low), base(&input.high));
    let Some(step) = input.reads.as_ref().map(base).filter(|step| *step > Exact::zero()) else {
        return vec![low, high];
    };
    let first = (low / step).ceil().to_integer();
    let last = (high / step).floor().to_integer();
    (first..=last).map(|times| step * Exact::from_integer(times)).collect()
}

/// Whether a number has finitely many values.
pub fn is_stepped(procedure: &Procedure, number: NumberId) -> bool {
    let input = &procedure.numbers[number];
    input.reads.is_some() || input.kind == NumberKind::Measure
}

/// A sum of multiples of numbers and a constant; it is zero where an answer changes.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line {
    factors: BTreeMap<NumberId, Exact>,
    constant: Exact,
}

impl Line {
    fn constant(value: Exact) -> Self {
        Line { factors: BTreeMap::new(), constant: value }
    }

    fn number(number: NumberId) -> Self {
        Line { factors: BTreeMap::from([(number, Exact::from_integer(1))]), constant: Exact::zero() }
    }

    fn times(&self, factor: Exact) -> Self {
        let factors = self.factors.iter().map(|(number, old)| (*number, *old * factor)).collect();
        Line { factors, constant: self.constant * factor }.tidy()
    }

    fn plus(&self, other: &Line) -> Self {
        let mut sum = self.clone();
        for (number, factor) in &other.factors {
            *sum.factors.entry(*number).or_insert_with(Exact::zero) += *factor;
        }
        sum.constant += other.constant;
        sum.tidy()
    }

    fn minus(&self, other: &Line) -> Self {
        self.plus(&other.times(Exact::from_integer(-1)))
    }

    fn tidy(mut self) -> Self {
        self.factors.retain(|_, factor| !factor.is_zero());
        self
    }

    fn factor(&self, number: NumberId) -> Exact {
        self.factors.get(&number).copied().unwrap_or_else(Exact::zero)
    }

    /// The line with one number's value put in.
    fn with(&self, number: NumberId, value: Exact) -> Self {
        let mut line = self.clone();
        if let Some(factor) = line.factors.remove(&number) {
            line.constant += factor * value;
        }
        line
    }

    /// Where two lines meet, told without the number that both of them hold.
    fn cut(&self, other: &Line, number: NumberId) -> Self {
        self.times(other.factor(number)).minus(&other.times(self.factor(number)))
    }
}

/// A procedure that the oracle cannot try exhaustively: it multiplies inputs with each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotLinear;

/// The lines of each given, in the order of declaration; those of a given speak only of it and earlier ones.
#[derive(Debug, Clone)]
pub struct Grid {
    levels: Vec<(NumberId, Vec<Line>)>,
    /// Numbers of which some condition speaks.
    spoken_of: BTreeSet<NumberId>,
}

impl Grid {
    /// Gathers every line of a procedure.
    pub fn new(procedure: &Procedure) -> Result<Self, NotLinear> {
        let mut lines = Vec::new();
        every_threshold(procedure, &mut lines)?;
        let spoken_of = lines.iter().flat_map(|line| line.factors.keys().copied()).collect();
        let free: Vec<NumberId> = procedure.numbers.ids().filter(|number| !is_stepped(procedure, *number)).collect();
        for number in procedure.numbers.ids().filter(|number| is_stepped(procedure, *number)) {
            let values = readings(procedure, number);
            lines = lines
                .into_iter()
                .flat_map(|line| match line.factor(number).is_zero() {
                    true => vec![line],
                    false => values.iter().map(|value| line.with(number, *value)).collect(),
                })
                .collect();
            tidy(&mut lines);
        }
        for number in &free {
            let input = &procedure.numbers[*number];
            for end in [&input.low, &input.high] {
                lines.push(Line::number(*number).minus(&Line::constant(base(end))));
            }
        }
        let mut levels = Vec::new();
        for number in free.into_iter().rev() {
            let (here, mut below): (Vec<Line>, Vec<Line>) =
                lines.into_iter().partition(|line| !line.factor(number).is_zero());
            for (at, one) in here.iter().enumerate() {
                below.extend(here.iter().skip(at + 1).map(|other| one.cut(other, number)));
            }
            tidy(&mut below);
            levels.push((number, here));
            lines = below;
        }
        levels.reverse();
        Ok(Grid { levels, spoken_of })
    }

    /// The values of a given worth trying, where the earlier givens are known.
    pub fn values(&self, procedure: &Procedure, number: NumberId, known: &Known) -> Vec<Exact> {
        if is_stepped(procedure, number) {
            return readings(procedure, number);
        }
        let input = &procedure.numbers[number];
        let (low, high) = (base(&input.low), base(&input.high));
        let lines = self.levels.iter().find(|(level, _)| *level == number).map_or(&[][..], |(_, lines)| lines);
        let mut stops: Vec<Exact> = lines.iter().filter_map(|line| zero_of(line, number, known)).collect();
        stops.extend([low, high]);
        stops.retain(|stop| low <= *stop && *stop <= high);
        stops.sort_unstable();
        stops.dedup();
        let half = Exact::new(1, 2);
        let between = stops.windows(2).map(|pair| (pair[0] + pair[1]) * half).collect::<Vec<_>>();
        // One value stands for all where no condition speaks of it.
        if let (false, Some(middle)) = (self.spoken_of.contains(&number), between.first()) {
            return vec![*middle];
        }
        stops.extend(between);
        stops.sort_unstable();
        stops
    }
}

/// Where a line is zero for a number, the others being known.
fn zero_of(line: &Line, number: NumberId, known: &Known) -> Option<Exact> {
    let mut rest = line.constant;
    for (other, factor) in &line.factors {
        if *other != number {
            rest += *factor * known.number(*other)?;
        }
    }
    Some(-rest / line.factor(number))
}

/// Sorts, makes each line's first factor one, and drops doubles and what depends on nothing.
fn tidy(lines: &mut Vec<Line>) {
    lines.retain(|line| !line.factors.is_empty());
    for line in lines.iter_mut() {
        if let Some(first) = line.factors.values().next().copied() {
            *line = line.times(first.recip());
        }
    }
    lines.sort_unstable();
    lines.dedup();
}

fn every_threshold(procedure: &Procedure, lines: &mut Vec<Line>) -> Result<(), NotLinear> {
    for rule in &procedure.rules {
        of_cond(&rule.holds, lines)?;
        rule.when.iter().try_for_each(|when| of_cond(when, lines))?;
    }
    for limit in procedure.limits.rows() {
        of_comparison(&limit.holds, lines)?;
        limit.when.iter().try_for_each(|when| of_cond(when, lines))?;
    }
    let things = procedure.kit.iter().map(|group| &group.when);
    let things = things.chain(procedure.vehicle.iter().map(|group| &group.when));
    let things = things.chain(procedure.joints.rows().iter().map(|joint| &joint.when));
    let things = things.chain(procedure.circuits.rows().iter().map(|circuit| &circuit.when));
    let things = things.chain(procedure.states.rows().iter().map(|state| &state.when));
    let things = things.chain(procedure.steps.rows().iter().map(|step| &step.when));
    let things = things.chain(procedure.sections.iter().map(|section| &section.when));
    things.flatten().try_for_each(|when| of_cond(when, lines))?;
    procedure.sections.iter().try_for_each(|section| of_body(&section.body, lines))
}

fn of_body(body: &[Node], lines: &mut Vec<Line>) -> Result<(), NotLinear> {
    for node in body {
        match node {
            Node::Check(check) => {
                check.expects.iter().try_for_each(|cond| of_cond(cond, lines))?;
                check.repair.iter().try_for_each(|repair| of_body(&repair.body, lines))?;
            }
            Node::Choose(choose) => {
                for arm in &choose.arms {
                    if let (ArmPattern::In(interval, _), ChooseSubject::Number(number)) = (&arm.pattern, choose.subject)
                    {
                        of_interval(number, interval, lines);
                    }
                    of_body(&arm.body, lines)?;
                }
            }
            Node::When(when) => {
                of_cond(&when.cond, lines)?;
                of_body(&when.then, lines)?;
                of_body(&when.otherwise, lines)?;
            }
            Node::Step(_) | Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
    Ok(())
}

fn of_cond(cond: &Cond, lines: &mut Vec<Line>) -> Result<(), NotLinear> {
    match &cond.kind {
        CondKind::Any(parts) | CondKind::All(parts) => parts.iter().try_for_each(|part| of_cond(part, lines)),
        CondKind::Not(inner) => of_cond(inner, lines),
        CondKind::Is(..) => Ok(()),
        CondKind::In(number, interval) => {
            of_interval(*number, interval, lines);
            Ok(())
        }
        CondKind::Compares(comparison) => of_comparison(comparison, lines),
    }
}

fn of_interval(number: NumberId, interval: &Interval, lines: &mut Vec<Line>) {
    for end in [&interval.low, &interval.high].into_iter().flatten() {
        lines.push(Line::number(number).minus(&Line::constant(end.base)));
    }
}

fn of_comparison(comparison: &Comparison, lines: &mut Vec<Line>) -> Result<(), NotLinear> {
    let right = of_expr(&comparison.right)?;
    for left in of_expr(&comparison.left)? {
        lines.extend(right.iter().map(|right| left.minus(right)));
    }
    Ok(())
}

/// The lines of which an expression always is one: more than one where it is the least or the greatest of several.
fn of_expr(expr: &Expr) -> Result<Vec<Line>, NotLinear> {
    Ok(match expr {
        Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => vec![Line::constant(*value)],
        Expr::Number(number, _) => vec![Line::number(*number)],
        Expr::Extreme(_, of) => of.iter().map(of_expr).collect::<Result<Vec<_>, _>>()?.concat(),
        Expr::Binary(op, left, right) => {
            let right = of_expr(right)?;
            let mut found = Vec::new();
            for left in of_expr(left)? {
                for right in &right {
                    found.push(of_operation(*op, &left, right)?);
                }
            }
            found
        }
    })
}

fn of_operation(op: ArithmeticOp, left: &Line, right: &Line) -> Result<Line, NotLinear> {
    Ok(match op {
        ArithmeticOp::Add => left.plus(right),
        ArithmeticOp::Subtract => left.minus(right),
        ArithmeticOp::Multiply if right.factors.is_empty() => left.times(right.constant),
        ArithmeticOp::Multiply if left.factors.is_empty() => right.times(left.constant),
        ArithmeticOp::Divide if right.factors.is_empty() && !right.constant.is_zero() => {
            left.times(right.constant.recip())
        }
        ArithmeticOp::Multiply | ArithmeticOp::Divide => return Err(NotLinear),
    })
}

/// The procedure's numbers that a technician knows before the job.
pub fn givens(procedure: &Procedure) -> impl Iterator<Item = NumberId> + '_ {
    procedure.numbers.iter().filter(|(_, input)| input.kind == NumberKind::Given).map(|(number, _)| number)
}
