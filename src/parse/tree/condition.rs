//! Conditions and what they compare.

use super::{Amount, Measure, Name};
use crate::source::Span;

/// A condition.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cond {
    /// `A or B`
    Any(Vec<Cond>),
    /// `A and B`
    All(Vec<Cond>),
    /// `not A`
    Not(Box<Cond>, Span),
    /// `arm is powered` · `arm is not powered`
    Is { subject: Name, negated: bool, value: Name },
    /// `door-gap is at least 25 mm` · `rail-width is 46 mm to 53 mm`
    Measures { subject: Name, negated: bool, measure: Measure },
    /// `rack-mass + ladder-mass <= roof-rating`
    Compares(Comparison),
}

/// `EXPR OP EXPR`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Comparison {
    /// Left side.
    pub left: Expr,
    /// `<=`, `<`, `>=`, `>`, `=`
    pub op: CompareOp,
    /// Right side.
    pub right: Expr,
    /// All of it.
    pub span: Span,
}

/// How two sides compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CompareOp {
    /// `<=`
    AtMost,
    /// `<`
    Below,
    /// `>=`
    AtLeast,
    /// `>`
    Over,
    /// `=`
    Equal,
}

/// Arithmetic.
#[allow(missing_docs, reason = "fields are the parts of the form, under the names that the form gives them")]
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Expr {
    /// A fact, given or measure.
    Name(Name),
    /// `38 kg`, `2`
    Amount(Amount),
    /// `A + B`, `A - B`, `A * B`, `A / B`, grouped to the left; `*` and `/` bind closer, round brackets closest
    Binary { op: ArithmeticOp, left: Box<Expr>, right: Box<Expr>, span: Span },
    /// `least of (A, B, …)`, `greatest of (A, B, …)`: two or more
    Extreme { greatest: bool, of: Vec<Expr>, span: Span },
}

/// Arithmetic signs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArithmeticOp {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`
    Multiply,
    /// `/`
    Divide,
}

impl Cond {
    /// Where the condition stands.
    pub fn span(&self) -> Option<Span> {
        match self {
            Cond::Any(parts) | Cond::All(parts) => {
                let first = parts.first()?.span()?;
                Some(first.to(parts.last()?.span()?))
            }
            Cond::Not(_, span) => Some(*span),
            Cond::Is { subject, value, .. } => Some(subject.span.to(value.span)),
            Cond::Measures { subject, measure, .. } => Some(subject.span.to(measure.span)),
            Cond::Compares(comparison) => Some(comparison.span),
        }
    }
}

impl Expr {
    /// Where the expression stands.
    pub fn span(&self) -> Span {
        match self {
            Expr::Name(name) => name.span,
            Expr::Amount(amount) => amount.span,
            Expr::Binary { span, .. } | Expr::Extreme { span, .. } => *span,
        }
    }
}
