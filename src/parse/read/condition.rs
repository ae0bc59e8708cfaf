//! Conditions and arithmetic.
//!
//! The grammar has one ladder for both; here it is decided which of the two a piece is, and a piece that is the wrong
//! one is explained.

use super::atoms::{Origin, amount, measure};
use crate::diagnostics::{Code, Finding};
use crate::parse::limits;
use crate::parse::tree::{ArithmeticOp, CompareOp, Comparison, Cond, Expr};
use crate::source::Span;
use fitwright_grammar::Rule;
use pest::iterators::Pair;

/// A condition, from the rule `cond`.
pub(super) fn condition(origin: Origin, pair: Pair<'_, Rule>, findings: &mut Vec<Finding>) -> Option<Cond> {
    if too_many(origin, &pair, findings) {
        return None;
    }
    let mut reader = Reader { origin, findings };
    let any = pair.into_inner().next()?;
    match reader.any(any)? {
        Piece::Cond(cond) => Some(cond),
        Piece::Expr(expr) => {
            reader.not_a_condition(&expr);
            None
        }
    }
}

/// `A + B <= C`, from the rule `comparison`.
pub(super) fn comparison(origin: Origin, pair: Pair<'_, Rule>, findings: &mut Vec<Finding>) -> Option<Comparison> {
    if too_many(origin, &pair, findings) {
        return None;
    }
    let span = origin.span(&pair);
    let mut reader = Reader { origin, findings };
    let mut sides = Vec::new();
    let mut op = None;
    for part in pair.into_inner() {
        match part.as_rule() {
            Rule::sum => sides.push(reader.sum(part)),
            Rule::compare => op = compare_op(part.as_str()),
            _ => {}
        }
    }
    let mut sides = sides.into_iter();
    let left = reader.number(sides.next()??)?;
    let right = reader.number(sides.next()??)?;
    Some(Comparison { left, op: op?, right, span })
}

/// Bounds the size of one condition: each part is one level of the tree at worst, and later stages walk the tree.
fn too_many(origin: Origin, pair: &Pair<'_, Rule>, findings: &mut Vec<Finding>) -> bool {
    let operands = pair.clone().into_inner().flatten().filter(|part| part.as_rule() == Rule::operand).count();
    if operands > limits::OPERANDS {
        let message = format!("a condition or sum has {} parts at most, and this one has {operands}", limits::OPERANDS);
        let finding = Finding::new(Code::FW0108, message, origin.span(pair), "too long")
            .repair("Give parts of it a name of their own: a `fact`, a `limit` or a `result`.");
        findings.push(finding);
    }
    operands > limits::OPERANDS
}

/// What a piece turned out to be.
enum Piece {
    Cond(Cond),
    Expr(Expr),
}

struct Reader<'f> {
    origin: Origin,
    findings: &'f mut Vec<Finding>,
}

impl Reader<'_> {
    /// `A or B`
    fn any(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let span = self.origin.span(&pair);
        let mut parts: Vec<Pair<'_, Rule>> = pair.into_inner().filter(|part| part.as_rule() == Rule::all).collect();
        if parts.len() == 1 {
            return self.all(parts.pop()?);
        }
        if parts.iter().any(|part| part.clone().into_inner().filter(|p| p.as_rule() == Rule::inverse).count() > 1) {
            self.mixed(span);
        }
        let mut conds: Vec<Cond> = Vec::new();
        for part in parts {
            let piece = self.all(part)?;
            let cond = self.cond_after(piece, conds.last(), "or")?;
            conds.push(cond);
        }
        Some(Piece::Cond(Cond::Any(conds)))
    }

    /// `A and B`
    fn all(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let mut parts: Vec<Pair<'_, Rule>> = pair.into_inner().filter(|part| part.as_rule() == Rule::inverse).collect();
        if parts.len() == 1 {
            return self.inverse(parts.pop()?);
        }
        let mut conds: Vec<Cond> = Vec::new();
        for part in parts {
            let piece = self.inverse(part)?;
            let cond = self.cond_after(piece, conds.last(), "and")?;
            conds.push(cond);
        }
        Some(Piece::Cond(Cond::All(conds)))
    }

    /// `not A`
    fn inverse(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let span = self.origin.span(&pair);
        let mut negated = false;
        let mut piece = None;
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::w_not => negated = true,
                Rule::relation => piece = self.relation(part),
                _ => {}
            }
        }
        if !negated {
            return piece;
        }
        let cond = self.cond(piece?)?;
        Some(Piece::Cond(Cond::Not(Box::new(cond), span)))
    }

    /// `A is v`, `A is not at least Q`, `A + B <= C`, or something in brackets.
    fn relation(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let span = self.origin.span(&pair);
        let mut parts = pair.into_inner();
        let left = self.sum(parts.next()?)?;
        let Some(link) = parts.next() else { return Some(left) };
        if link.as_rule() == Rule::compare {
            let op = compare_op(link.as_str())?;
            let right = self.sum(parts.next()?)?;
            let comparison = Comparison { left: self.number(left)?, op, right: self.number(right)?, span };
            return Some(Piece::Cond(Cond::Compares(comparison)));
        }
        let Piece::Expr(Expr::Name(subject)) = left else {
            self.findings.push(
                Finding::new(Code::FW0101, "what stands before `is` is one name", span, "more than a name before `is`")
                    .repair("Compare a sum with `<=`, `<`, `>=`, `>` or `=`."),
            );
            return None;
        };
        let mut negated = false;
        for part in parts {
            match part.as_rule() {
                Rule::w_not => negated = true,
                Rule::measure => {
                    let measure = measure(self.origin, part)?;
                    return Some(Piece::Cond(Cond::Measures { subject, negated, measure }));
                }
                Rule::value_name => {
                    let value = self.origin.name(&part);
                    return Some(Piece::Cond(Cond::Is { subject, negated, value }));
                }
                _ => {}
            }
        }
        None
    }

    fn sum(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let mut left = None;
        let mut op = ArithmeticOp::Add;
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::plus_or_minus if part.as_str() == "+" => op = ArithmeticOp::Add,
                Rule::plus_or_minus => op = ArithmeticOp::Subtract,
                Rule::product => {
                    let right = self.product(part)?;
                    left = Some(self.join(left, op, right)?);
                }
                _ => {}
            }
        }
        left
    }

    fn product(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let mut left = None;
        let mut op = ArithmeticOp::Multiply;
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::times_or_divided if matches!(part.as_str(), "*" | "×") => op = ArithmeticOp::Multiply,
                Rule::times_or_divided => op = ArithmeticOp::Divide,
                Rule::operand => {
                    let right = self.operand(part)?;
                    left = Some(self.join(left, op, right)?);
                }
                _ => {}
            }
        }
        left
    }

    fn join(&mut self, left: Option<Piece>, op: ArithmeticOp, right: Piece) -> Option<Piece> {
        let Some(left) = left else { return Some(right) };
        let left = self.number(left)?;
        let right = self.number(right)?;
        let span = left.span().to(right.span());
        Some(Piece::Expr(Expr::Binary { op, left: Box::new(left), right: Box::new(right), span }))
    }

    fn operand(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let part = pair.into_inner().next()?;
        match part.as_rule() {
            Rule::input_name => Some(Piece::Expr(Expr::Name(self.origin.name(&part)))),
            Rule::amount => Some(Piece::Expr(Expr::Amount(amount(self.origin, part)?))),
            Rule::extreme => self.extreme(part),
            Rule::bracketed => {
                let inside = part.into_inner().find(|p| p.as_rule() == Rule::any)?;
                self.any(inside)
            }
            _ => None,
        }
    }

    /// `least of (A, B)`
    fn extreme(&mut self, pair: Pair<'_, Rule>) -> Option<Piece> {
        let span = self.origin.span(&pair);
        let mut greatest = false;
        let mut of = Vec::new();
        for part in pair.into_inner() {
            match part.as_rule() {
                Rule::w_greatest => greatest = true,
                Rule::sum => {
                    let piece = self.sum(part)?;
                    of.push(self.number(piece)?);
                }
                _ => {}
            }
        }
        Some(Piece::Expr(Expr::Extreme { greatest, of, span }))
    }

    /// A piece where a condition is needed.
    fn cond(&mut self, piece: Piece) -> Option<Cond> {
        match piece {
            Piece::Cond(cond) => Some(cond),
            Piece::Expr(expr) => {
                self.not_a_condition(&expr);
                None
            }
        }
    }

    /// A piece after `or` or `and`: `side is kerb or road` is explained by what stands before.
    fn cond_after(&mut self, piece: Piece, before: Option<&Cond>, link: &str) -> Option<Cond> {
        let (Piece::Expr(Expr::Name(value)), Some(Cond::Is { subject, .. })) = (&piece, before) else {
            return self.cond(piece);
        };
        let message = format!("`{}` after `{link}` is not a whole condition", value.text);
        let repair = format!("Say it whole: `… {link} {} is {}`.", subject.text, value.text);
        self.findings
            .push(Finding::new(Code::FW0101, message, value.span, "this says nothing by itself").repair(repair));
        None
    }

    /// A piece where a number is needed.
    fn number(&mut self, piece: Piece) -> Option<Expr> {
        match piece {
            Piece::Expr(expr) => Some(expr),
            Piece::Cond(cond) => {
                if let Some(span) = cond.span() {
                    let message = "a condition stands here where a quantity or a name of one is needed";
                    self.findings
                        .push(Finding::new(Code::FW0101, message, span, "a condition, not a quantity").repair(
                        "Join conditions with `and` or `or`, and compare quantities with `<=`, `<`, `>=`, `>` or `=`.",
                    ));
                }
                None
            }
        }
    }

    fn not_a_condition(&mut self, expr: &Expr) {
        let (message, repair) = match expr {
            Expr::Name(name) => (
                format!("`{}` alone is not a condition", name.text),
                format!("Say what it must be: `{} is VALUE`, or `{} is at least 25 mm`.", name.text, name.text),
            ),
            _ => (
                "this is a quantity, and a condition is needed here".to_string(),
                "Compare it with something: `<=`, `<`, `>=`, `>` or `=`.".to_string(),
            ),
        };
        self.findings.push(Finding::new(Code::FW0101, message, expr.span(), "not a condition").repair(repair));
    }

    fn mixed(&mut self, span: Span) {
        self.findings.push(
            Finding::new(
                Code::FW0101,
                "`and` and `or` are mixed here, and it can be read in two ways",
                span,
                "which of the two belongs together first?",
            )
            .because("One reader would do the step where another would leave it out.")
            .repair("Put round brackets around what belongs together: `(A and B) or C`, or `A and (B or C)`."),
        );
    }
}

fn compare_op(sign: &str) -> Option<CompareOp> {
    Some(match sign {
        "<=" | "≤" => CompareOp::AtMost,
        ">=" | "≥" => CompareOp::AtLeast,
        "<" => CompareOp::Below,
        ">" => CompareOp::Over,
        "=" => CompareOp::Equal,
        _ => return None,
    })
}
