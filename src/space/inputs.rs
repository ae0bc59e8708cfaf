//! What a run of the job takes in: a value of each option and given, and of each reading every time that it is taken.
//!
//! A *variable* is one such value. It is written in bits so that every assignment of the bits means a value: the value
//! is the number of the first bit that is set, and the last value where none is. A *comparison* is an atom of its own
//! where more than one number decides it; whether numbers exist that make it so is worked out when a model is found.

use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Signed, Zero};

use super::cells::Cells;
use super::formula::{Circuit, Formula};
use super::ids::{EventId, Input};
use crate::model::{ArithmeticOp, CompareOp, Expr, IdMap, NumberId, Procedure};
use crate::quantity::Exact;

/// A variable, by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct VarId(pub u32);

/// One value that a run takes in.
#[derive(Debug, Clone)]
pub(super) struct Variable {
    /// Of which input.
    pub input: Input,
    /// The reading at which it is taken; `None` for what is known before the job.
    pub taken: Option<EventId>,
    /// `is[n]`: it has the value (or lies in the cell) `n`.
    pub is: Vec<Formula>,
    /// `at_least[n]`: its value (or cell) is `n` or later.
    pub at_least: Vec<Formula>,
    /// The atom of its first bit; the others follow. There is one bit less than there are values.
    first_bit: u32,
}

/// A comparison that more than one number decides.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Comparison {
    /// `sum of factor * variable <= bound` (`<` where strict); the first factor is 1.
    Linear { terms: Vec<(VarId, Exact)>, bound: Exact, strict: bool },
    /// Any other, with the variable of each number.
    General { left: Expr, op: CompareOp, right: Expr, numbers: Vec<(NumberId, VarId)> },
    /// Too many readings could be meant: nothing is known of it.
    Unknown,
}

impl Comparison {
    /// The variables that decide it.
    pub fn variables(&self) -> Vec<VarId> {
        match self {
            Comparison::Linear { terms, .. } => terms.iter().map(|(var, _)| *var).collect(),
            Comparison::General { numbers, .. } => numbers.iter().map(|(_, var)| *var).collect(),
            Comparison::Unknown => Vec::new(),
        }
    }

    /// Whether it holds for numbers; `None` where that cannot be worked out.
    pub fn holds(&self, number: impl Fn(VarId) -> Option<Exact>) -> Option<bool> {
        match self {
            Comparison::Linear { terms, bound, strict } => {
                let sum = terms.iter().try_fold(Exact::zero(), |sum, (var, factor)| {
                    sum.checked_add(&number(*var)?.checked_mul(factor)?)
                })?;
                Some(if *strict { sum < *bound } else { sum <= *bound })
            }
            Comparison::General { left, op, right, numbers } => {
                let of = |id: NumberId| numbers.iter().find(|(n, _)| *n == id).and_then(|(_, var)| number(*var));
                Some(op.holds(left.value(&of)?, right.value(&of)?))
            }
            Comparison::Unknown => None,
        }
    }
}

/// The least and the greatest value of an expression over intervals (ends included). `None` where it is too large, or
/// where a divisor can be zero.
pub fn range_of(expr: &Expr, number: &impl Fn(NumberId) -> Option<(Exact, Exact)>) -> Option<(Exact, Exact)> {
    match expr {
        Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => Some((*value, *value)),
        Expr::Number(id, _) => number(*id),
        Expr::Extreme(which, of) => {
            let ranges: Option<Vec<(Exact, Exact)>> = of.iter().map(|one| range_of(one, number)).collect();
            ranges?.into_iter().reduce(|(a, b), (c, d)| (which.of(a, c), which.of(b, d)))
        }
        Expr::Binary(op, left, right) => {
            let (a, b) = range_of(left, number)?;
            let (c, d) = range_of(right, number)?;
            let corners: [Exact; 4] = match op {
                ArithmeticOp::Add => return Some((a.checked_add(&c)?, b.checked_add(&d)?)),
                ArithmeticOp::Subtract => return Some((a.checked_sub(&d)?, b.checked_sub(&c)?)),
                ArithmeticOp::Multiply => {
                    [a.checked_mul(&c)?, a.checked_mul(&d)?, b.checked_mul(&c)?, b.checked_mul(&d)?]
                }
                ArithmeticOp::Divide if !c.is_positive() && !d.is_negative() => return None,
                ArithmeticOp::Divide => {
                    [a.checked_div(&c)?, a.checked_div(&d)?, b.checked_div(&c)?, b.checked_div(&d)?]
                }
            };
            let [first, rest @ ..] = corners;
            Some(rest.into_iter().fold((first, first), |(low, high), x| (low.min(x), high.max(x))))
        }
    }
}

/// What intervals on both sides say of a comparison, if they decide it.
pub fn decided(left: (Exact, Exact), op: CompareOp, right: (Exact, Exact)) -> Option<bool> {
    let at_most = |(a, b): (Exact, Exact), (c, d): (Exact, Exact)| match () {
        () if b <= c => Some(true),
        () if a > d => Some(false),
        () => None,
    };
    match op {
        CompareOp::AtMost => at_most(left, right),
        CompareOp::AtLeast => at_most(right, left),
        CompareOp::Over => at_most(left, right).map(|holds| !holds),
        CompareOp::Below => at_most(right, left).map(|holds| !holds),
        CompareOp::Equal if left.0 == left.1 && left == right => Some(true),
        CompareOp::Equal if left.1 < right.0 || right.1 < left.0 => Some(false),
        CompareOp::Equal => None,
    }
}

/// All variables and comparisons.
#[derive(Debug)]
pub(super) struct Inputs {
    /// The variables, in the order in which they become known.
    pub variables: Vec<Variable>,
    /// Those of each input, in the same order.
    of_input: HashMap<Input, Vec<VarId>>,
    /// The cells of each number, by its id; `None` where its range is empty or too large to be held.
    pub cells: IdMap<NumberId, Option<Cells>>,
    /// The comparisons with their atoms.
    pub comparisons: Vec<(Comparison, Formula)>,
    /// What each atom is.
    pub atoms: Vec<Atom>,
    known: HashMap<String, Formula>,
    /// What came of comparisons that are tied together: while a case is made small, the same ones come up again and again.
    pub settled: RefCell<HashMap<Tied, Settled>>,
}

/// Comparisons that are tied together, and what their numbers may be.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Tied {
    /// Whether each is to hold.
    pub senses: Vec<(Formula, bool)>,
    /// The cell of each variable, and the number at which it is held.
    pub numbers: Vec<(usize, Option<Exact>)>,
}

/// What came out of comparisons.
#[derive(Debug, Clone)]
pub(super) enum Settled {
    /// Numbers of variables, in their order.
    Numbers(Vec<(VarId, Exact)>),
    /// These cannot all hold, where these variables have the numbers at which they are held.
    Clash(Vec<Formula>, Vec<VarId>),
    /// Not decided within the bounds.
    Unknown,
}

/// What an atom is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Atom {
    /// A bit of a variable.
    Bit(VarId),
    /// The comparison of this number.
    Compares(usize),
    /// How a technician goes on where a condition cannot be told.
    Guess,
}

impl Inputs {
    /// No variable yet.
    pub fn new(cells: IdMap<NumberId, Option<Cells>>) -> Inputs {
        Inputs {
            variables: Vec::new(),
            of_input: HashMap::new(),
            cells,
            comparisons: Vec::new(),
            atoms: Vec::new(),
            known: HashMap::new(),
            settled: RefCell::default(),
        }
    }

    /// A new variable of an input.
    pub fn add(&mut self, circuit: &mut Circuit, procedure: &Procedure, input: Input, taken: Option<EventId>) -> VarId {
        let values = match input {
            Input::Choice(id) => procedure.choices[id].values.len(),
            Input::Number(id) => self.cells_of(id).map_or(1, |cells| cells.cells.len()),
        };
        let var = VarId(u32::try_from(self.variables.len()).unwrap_or(u32::MAX));
        let first_bit = u32::try_from(self.atoms.len()).unwrap_or(u32::MAX);
        let (mut is, mut at_least) = (Vec::with_capacity(values), Vec::with_capacity(values));
        let mut left = Formula::ALWAYS;
        for value in 0..values {
            at_least.push(left);
            if value + 1 == values {
                is.push(left);
            } else {
                let bit = circuit.atom();
                self.atoms.push(Atom::Bit(var));
                is.push(circuit.both(left, bit));
                left = circuit.both(left, !bit);
            }
        }
        self.of_input.entry(input).or_default().push(var);
        self.variables.push(Variable { input, taken, is, at_least, first_bit });
        var
    }

    /// A guess that nothing decides.
    pub fn guess(&mut self, circuit: &mut Circuit) -> Formula {
        self.atoms.push(Atom::Guess);
        circuit.atom()
    }

    /// The cells of a number.
    pub fn cells_of(&self, number: NumberId) -> Option<&Cells> {
        self.cells[number].as_ref()
    }

    /// The cells of a variable that is a number.
    pub fn cells_of_variable(&self, var: VarId) -> Option<&Cells> {
        match self.variable(var)?.input {
            Input::Number(number) => self.cells_of(number),
            Input::Choice(_) => None,
        }
    }

    /// All variables of an input, in the order in which they become known.
    pub fn all_of(&self, input: Input) -> &[VarId] {
        self.of_input.get(&input).map_or(&[], Vec::as_slice)
    }

    /// A variable.
    pub fn variable(&self, var: VarId) -> Option<&Variable> {
        self.variables.get(var.0 as usize)
    }

    /// The value (or cell) that bits mean.
    pub fn value(&self, var: VarId, bit: impl Fn(u32) -> bool) -> usize {
        let Some(variable) = self.variable(var) else { return 0 };
        let bits = variable.is.len().saturating_sub(1);
        (0..bits).find(|n| bit(variable.first_bit + *n as u32)).unwrap_or(bits)
    }

    /// The bits that mean a value (or cell); those behind them mean nothing then.
    pub fn bits_of(&self, var: VarId, value: usize) -> impl Iterator<Item = (u32, bool)> {
        let first = self.variable(var).map_or(0, |variable| variable.first_bit);
        let bits = self.variable(var).map_or(0, |variable| variable.is.len().saturating_sub(1));
        (0..bits).take(value + 1).map(move |n| (first + n as u32, n == value))
    }

    /// The variables behind atoms; a comparison counts for each of its numbers.
    pub fn variables_of(&self, atoms: &[u32]) -> BTreeSet<VarId> {
        let of = |atom: &u32| match self.atoms.get(*atom as usize) {
            Some(Atom::Bit(var)) => vec![*var],
            Some(Atom::Compares(at)) => self.comparisons.get(*at).map_or_else(Vec::new, |(c, _)| c.variables()),
            Some(Atom::Guess) | None => Vec::new(),
        };
        atoms.iter().flat_map(of).collect()
    }

    /// The formula of a comparison between variables: what their ranges decide, or an atom.
    pub fn compare(&mut self, circuit: &mut Circuit, comparison: Comparison) -> Formula {
        match comparison {
            Comparison::Linear { terms, bound, strict } => self.compare_linear(circuit, terms, bound, strict),
            Comparison::General { ref left, op, ref right, ref numbers } => {
                let range = |id: NumberId| {
                    let (_, var) = numbers.iter().find(|(n, _)| *n == id)?;
                    let domain = &self.cells_of_variable(*var)?.domain;
                    Some((domain.low, domain.high))
                };
                let ranges = range_of(left, &range).zip(range_of(right, &range));
                match ranges.and_then(|(left, right)| decided(left, op, right)) {
                    Some(true) => Formula::ALWAYS,
                    Some(false) => Formula::NEVER,
                    None => self.comparison_atom(circuit, comparison),
                }
            }
            Comparison::Unknown => self.comparison_atom(circuit, comparison),
        }
    }

    /// `sum of terms <= bound`, brought to the form whose first factor is 1, so that equal comparisons are one atom.
    fn compare_linear(
        &mut self,
        circuit: &mut Circuit,
        terms: Vec<(VarId, Exact)>,
        bound: Exact,
        strict: bool,
    ) -> Formula {
        let Some((_, first)) = terms.first().copied() else {
            let holds = if strict { bound.is_positive() } else { !bound.is_negative() };
            return if holds { Formula::ALWAYS } else { Formula::NEVER };
        };
        let scaled: Option<Vec<(VarId, Exact)>> =
            terms.iter().map(|(var, factor)| Some((*var, factor.checked_div(&first)?))).collect();
        let (Some(terms), Some(bound)) = (scaled, bound.checked_div(&first)) else {
            return self.comparison_atom(circuit, Comparison::Unknown);
        };
        // Divided by a negative number, `<=` turns into `>=`, which is the contrary of `<`.
        let turned = first.is_negative();
        let strict = strict != turned;
        let range = terms.iter().try_fold((Exact::zero(), Exact::zero()), |(low, high), (var, factor)| {
            let domain = &self.cells_of_variable(*var)?.domain;
            let (a, b) = (domain.low.checked_mul(factor)?, domain.high.checked_mul(factor)?);
            Some((low.checked_add(&a.min(b))?, high.checked_add(&a.max(b))?))
        });
        let op = if strict { CompareOp::Below } else { CompareOp::AtMost };
        let formula = match range.and_then(|range| decided(range, op, (bound, bound))) {
            Some(true) => Formula::ALWAYS,
            Some(false) => Formula::NEVER,
            None => self.comparison_atom(circuit, Comparison::Linear { terms, bound, strict }),
        };
        if turned { !formula } else { formula }
    }

    fn comparison_atom(&mut self, circuit: &mut Circuit, comparison: Comparison) -> Formula {
        let same = (comparison != Comparison::Unknown).then(|| format!("{comparison:?}"));
        if let Some(formula) = same.as_ref().and_then(|key| self.known.get(key)) {
            return *formula;
        }
        let formula = circuit.atom();
        self.atoms.push(Atom::Compares(self.comparisons.len()));
        self.comparisons.push((comparison, formula));
        if let Some(key) = same {
            self.known.insert(key, formula);
        }
        formula
    }
}

/// A comparison as `sum of factors * numbers <= bound`-like data: `left - right` as factors by number and a constant.
/// `None` where it is not linear, or too large.
pub fn linear_form(left: &Expr, right: &Expr) -> Option<(Vec<(NumberId, Exact)>, Exact)> {
    let (mut terms, mut constant) = linear_of(left)?;
    let (others, other_constant) = linear_of(right)?;
    for (number, factor) in others {
        add_term(&mut terms, number, -factor)?;
    }
    constant = constant.checked_sub(&other_constant)?;
    terms.retain(|(_, factor)| !factor.is_zero());
    terms.sort_unstable();
    Some((terms, constant))
}

fn add_term(terms: &mut Vec<(NumberId, Exact)>, number: NumberId, factor: Exact) -> Option<()> {
    match terms.iter_mut().find(|(n, _)| *n == number) {
        Some((_, sum)) => *sum = sum.checked_add(&factor)?,
        None => terms.push((number, factor)),
    }
    Some(())
}

fn linear_of(expr: &Expr) -> Option<(Vec<(NumberId, Exact)>, Exact)> {
    match expr {
        Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => Some((Vec::new(), *value)),
        Expr::Number(id, _) => Some((vec![(*id, Exact::from_integer(1))], Exact::zero())),
        // `extremes` has taken these apart before; what is left is too much.
        Expr::Extreme(..) => None,
        Expr::Binary(op, left, right) => {
            let (mut terms, constant) = linear_of(left)?;
            let (others, other) = linear_of(right)?;
            let scale = |terms: Vec<(NumberId, Exact)>, constant: Exact, by: Exact| {
                let terms: Option<Vec<_>> = terms.into_iter().map(|(n, f)| Some((n, f.checked_mul(&by)?))).collect();
                Some((terms?, constant.checked_mul(&by)?))
            };
            match op {
                ArithmeticOp::Add | ArithmeticOp::Subtract => {
                    let plus = matches!(op, ArithmeticOp::Add);
                    for (number, factor) in others {
                        add_term(&mut terms, number, if plus { factor } else { -factor })?;
                    }
                    let sum = if plus { constant.checked_add(&other) } else { constant.checked_sub(&other) };
                    Some((terms, sum?))
                }
                ArithmeticOp::Multiply if others.is_empty() => scale(terms, constant, other),
                ArithmeticOp::Multiply if terms.is_empty() => scale(others, other, constant),
                ArithmeticOp::Divide if others.is_empty() && !other.is_zero() => scale(terms, constant, other.recip()),
                ArithmeticOp::Multiply | ArithmeticOp::Divide => None,
            }
        }
    }
}
