//! Conditions, comparisons, rules and limits.

use super::Resolver;
use super::names::nearest_value;
use super::quantities::interval;
use super::scope::{Target, Wanted};
use crate::diagnostics::{Code, Confidence, Finding, MOST_OFFERED, Mend, suggest};
use crate::model::{
    ArithmeticOp, ChoiceId, CompareOp, Comparison, Cond, CondKind, Expr, Extreme, Interval, Limit, NumberId, Rule,
    Value,
};
use crate::parse::tree::{self, Name};
use crate::quantity::{Dimension, Kind, Measure};
use crate::source::Span;
use num_traits::Zero;

/// What an expression measures: its dimension, and its kind where one is sure.
#[derive(Clone, Copy)]
struct Measured {
    dimension: Dimension,
    kind: Option<Kind>,
}

impl<'t> Resolver<'t> {
    /// Lowers a condition. Where a part of it can't be, the whole is left out.
    pub(super) fn cond(&mut self, written: &tree::Cond) -> Option<Cond> {
        let span = written.span()?;
        let kind = match written {
            tree::Cond::Any(parts) => CondKind::Any(self.conds(parts)?),
            tree::Cond::All(parts) => CondKind::All(self.conds(parts)?),
            tree::Cond::Not(inner, _) => CondKind::Not(Box::new(self.cond(inner)?)),
            tree::Cond::Is { subject, negated, value } => {
                return self.is(subject, value, span).map(|kind| negate(kind, *negated, span));
            }
            tree::Cond::Measures { subject, negated, measure } => {
                return self.measures(subject, measure).map(|kind| negate(kind, *negated, span));
            }
            tree::Cond::Compares(comparison) => {
                let compared = self.comparison(comparison)?;
                self.one_value_each(&compared)?;
                CondKind::Compares(compared)
            }
        };
        Some(Cond { kind, span })
    }

    /// Lowers a condition that may be missing; the outer `None` says that it is there and broken.
    pub(super) fn optional_cond(&mut self, written: Option<&tree::Cond>) -> Option<Option<Cond>> {
        match written {
            None => Some(None),
            Some(written) => self.cond(written).map(Some),
        }
    }

    fn conds(&mut self, parts: &[tree::Cond]) -> Option<Vec<Cond>> {
        // Every part is looked at, so that one mistake does not hide the next.
        let lowered: Vec<Option<Cond>> = parts.iter().map(|part| self.cond(part)).collect();
        lowered.into_iter().collect()
    }

    fn is(&mut self, subject: &Name, value: &Name, span: Span) -> Option<CondKind> {
        match self.find(subject, Wanted::Input)? {
            Target::Choice(choice) => Some(CondKind::Is(choice, self.value(choice, value)?)),
            _ => {
                let message = format!("`{}` is a number; it can't be `{}`", subject.text, value.text);
                self.report(
                    Finding::new(Code::FW0208, message, span, "a number compared with a word")
                        .repair(format!("Compare it with a quantity: `{} is at least 25 mm`.", subject.text)),
                );
                None
            }
        }
    }

    fn measures(&mut self, subject: &Name, measure: &tree::Measure) -> Option<CondKind> {
        match self.find(subject, Wanted::Input)? {
            Target::Number(number) => Some(CondKind::In(number, self.interval_of(number, measure)?.0)),
            _ => {
                let message = format!("`{}` has named values; it can't be compared with a quantity", subject.text);
                self.report(
                    Finding::new(Code::FW0208, message, measure.span, "a word is meant here")
                        .also(subject.span, "not a number")
                        .repair(format!("Write `{} is VALUE` with one of its values.", subject.text)),
                );
                None
            }
        }
    }

    /// The values of a number that a measure covers; checks the kind and the instrument's fineness.
    pub(super) fn interval_of(&mut self, number: NumberId, measure: &tree::Measure) -> Option<(Interval, Measure)> {
        let kind = self.procedure.numbers[number].low.unit.kind();
        let lowered = self.measure(measure, &[kind])?;
        let interval = interval(&lowered)?;
        self.fineness(number, &interval, measure.span);
        Some((interval, lowered))
    }

    /// FW0307: a bound between two readings of the instrument.
    fn fineness(&mut self, number: NumberId, interval: &Interval, span: Span) {
        let input = &self.procedure.numbers[number];
        let Some(reads) = input.reads else { return };
        let name = input.name.id.clone();
        let declared = input.name.span;
        for end in [&interval.low, &interval.high].into_iter().flatten() {
            if end.written.is_on_steps(&reads) == Some(false) {
                let written = end.written;
                let message = format!("`{written}` is finer than `{name}` is read: in steps of {reads}");
                self.report(
                    Finding::new(Code::FW0307, message, span, "between two readings")
                        .also(declared, format!("read in steps of {reads}"))
                        .because("Nobody can see on the instrument on which side of this value the reading lies.")
                        .repair(format!("Write a multiple of {reads}, or name a finer instrument.")),
                );
                return;
            }
        }
    }

    /// The number of a value in its choice.
    pub(super) fn value(&mut self, choice: ChoiceId, name: &Name) -> Option<usize> {
        let row = &self.procedure.choices[choice];
        let found = row.values.iter().position(|value| value.id == name.text);
        if found.is_none() && !self.unread.contains(&name.text) {
            let finding = no_such_value(&row.name.id, row.name.span, &row.values, name);
            self.report(finding);
        }
        let means = found.and_then(|at| Some(self.procedure.choices[choice].values.get(at)?.span));
        means.into_iter().for_each(|means| self.note_use(name.span, means));
        found
    }

    /// `require … when … "reason"`
    pub(super) fn rule(
        &mut self,
        holds: &tree::Cond,
        when: Option<&tree::Cond>,
        reason: Option<&tree::Text>,
        span: Span,
    ) {
        let (holds, when) = (self.cond(holds), self.optional_cond(when));
        let (Some(holds), Some(when)) = (holds, when) else { return };
        if let Some(place) =
            self.known_before_the_job(&holds).or_else(|| when.as_ref().and_then(|c| self.known_before_the_job(c)))
        {
            self.report(
                Finding::new(
                    Code::FW0207,
                    "a rule speaks of what is only known on the job",
                    place,
                    "not known before the job",
                )
                .because(
                    "`require` rules out combinations that nobody will order; a reading can't be ruled out beforehand.",
                )
                .repair("Use a `check` with `expect` for a reading that must be good."),
            );
            return;
        }
        let reason = reason.map(|reason| reason.value.clone()).unwrap_or_default();
        self.procedure.rules.push(Rule { holds, when, reason, span });
    }

    /// The condition of a given. It speaks of options alone: these are asked first, and then it is known what else is asked.
    pub(super) fn condition_of_given(&mut self, when: Option<&tree::Cond>) -> Option<Option<Cond>> {
        let when = self.optional_cond(when)?;
        let Some(place) = when.as_ref().and_then(|when| self.other_than_options(when)) else { return Some(when) };
        self.report(
            Finding::new(
                Code::FW0207,
                "the condition of a given speaks of something else than options",
                place,
                "not an option",
            )
            .because("Options are asked first; whether a number is asked at all must be known then.")
            .repair("Write a condition on options, or ask for the number in every fitting."),
        );
        None
    }

    /// The first place in a condition that names something else than an option.
    pub(super) fn other_than_options(&self, cond: &Cond) -> Option<Span> {
        match &cond.kind {
            CondKind::Any(parts) | CondKind::All(parts) => parts.iter().find_map(|part| self.other_than_options(part)),
            CondKind::Not(inner) => self.other_than_options(inner),
            CondKind::Is(choice, _) if self.procedure.choices[*choice].kind == crate::model::ChoiceKind::Option => None,
            CondKind::Is(..) | CondKind::In(..) | CondKind::Compares(_) => Some(cond.span),
        }
    }

    /// The first place in a condition that names something read or decided on the job.
    fn known_before_the_job(&self, cond: &Cond) -> Option<Span> {
        use crate::model::{ChoiceKind, NumberKind};
        match &cond.kind {
            CondKind::Any(parts) | CondKind::All(parts) => {
                parts.iter().find_map(|part| self.known_before_the_job(part))
            }
            CondKind::Not(inner) => self.known_before_the_job(inner),
            CondKind::Is(choice, _) => {
                (self.procedure.choices[*choice].kind != ChoiceKind::Option).then_some(cond.span)
            }
            CondKind::In(number, _) => {
                (self.procedure.numbers[*number].kind == NumberKind::Measure).then_some(cond.span)
            }
            CondKind::Compares(comparison) => {
                let mut read = None;
                for side in [&comparison.left, &comparison.right] {
                    side.each_number(&mut |number, span| {
                        if self.procedure.numbers[number].kind == NumberKind::Measure {
                            read = read.or(Some(span));
                        }
                    });
                }
                read
            }
        }
    }

    /// A `limit`.
    pub(super) fn lower_limit(&mut self, written: &tree::Limit, span: Span) -> Option<Target> {
        let name = self.naming(&written.name, written.title.as_ref(), false);
        let when = self.optional_cond(written.when.as_ref())?;
        let mut holds = self.comparison(written.holds.as_ref()?)?;
        self.take_worse_ends(&mut holds)?;
        let otherwise = written.otherwise.as_ref().map(|text| self.said(text));
        Some(Target::Limit(self.procedure.limits.push(Limit { name, when, holds, otherwise, span })))
    }

    fn comparison(&mut self, written: &tree::Comparison) -> Option<Comparison> {
        let (left, right) = (self.expr(&written.left), self.expr(&written.right));
        let ((left, left_is), (right, right_is)) = (left?, right?);
        let kinds_differ = matches!((left_is.kind, right_is.kind), (Some(a), Some(b)) if a != b);
        if left_is.dimension != right_is.dimension || kinds_differ {
            let message = "the two sides can't be compared";
            self.report(
                Finding::new(Code::FW0310, message, written.left.span(), format!("this is {}", words_of(left_is)))
                    .also(written.right.span(), format!("this is {}", words_of(right_is)))
                    .because("Neither of them is more or less than the other, so the comparison says nothing.")
                    .repair("Compare two quantities of the same kind."),
            );
            return None;
        }
        let op = match written.op {
            tree::CompareOp::AtMost => CompareOp::AtMost,
            tree::CompareOp::Below => CompareOp::Below,
            tree::CompareOp::AtLeast => CompareOp::AtLeast,
            tree::CompareOp::Over => CompareOp::Over,
            tree::CompareOp::Equal => CompareOp::Equal,
        };
        Some(Comparison { left, op, right, span: written.span })
    }

    fn expr(&mut self, written: &tree::Expr) -> Option<(Expr, Measured)> {
        match written {
            tree::Expr::Name(name) => self.named_number(name),
            tree::Expr::Amount(amount) => self.amount(amount),
            tree::Expr::Binary { op, left, right, span } => {
                let (left, right) = (self.expr(left), self.expr(right));
                self.binary(*op, left?, right?, *span)
            }
            tree::Expr::Extreme { greatest, of, span } => self.extreme(*greatest, of, *span),
        }
    }

    fn named_number(&mut self, name: &Name) -> Option<(Expr, Measured)> {
        let (expr, kind) = match self.find(name, Wanted::Number)? {
            Target::Number(number) => (Expr::Number(number, name.span), self.procedure.numbers[number].low.unit.kind()),
            Target::Fact(fact) => {
                let row = &self.procedure.facts[fact];
                // Of a range, the stated value stands here until it is known which end is worse.
                let quantity = row.value.stated();
                (Expr::Fact(fact, quantity.base()?, name.span), quantity.unit.kind())
            }
            _ => return None,
        };
        Some((expr, Measured { dimension: kind.dimension(), kind: Some(kind) }))
    }

    fn amount(&mut self, amount: &tree::Amount) -> Option<(Expr, Measured)> {
        if amount.unit.is_none() {
            let (value, _) = crate::quantity::number::parse(&amount.number.text).ok().or_else(|| {
                let message = format!("`{}` is not a number that can be used", amount.number.text);
                self.report(
                    Finding::new(Code::FW0309, message, amount.span, "can't be read")
                        .repair("Write digits with at most one point, or a fraction."),
                );
                None
            })?;
            let none = Measured { dimension: Kind::Share.dimension(), kind: None };
            return Some((Expr::Amount(value, None, amount.span), none));
        }
        let quantity = self.quantity(amount, &Kind::ALL, None)?;
        let kind = quantity.unit.kind();
        Some((
            Expr::Amount(quantity.base()?, Some(quantity), amount.span),
            Measured { dimension: kind.dimension(), kind: Some(kind) },
        ))
    }

    /// `least of (A, B)`
    fn extreme(&mut self, greatest: bool, of: &[tree::Expr], span: Span) -> Option<(Expr, Measured)> {
        // Every part is looked at, so that one mistake does not hide the next.
        let parts: Vec<Option<(Expr, Measured)>> = of.iter().map(|part| self.expr(part)).collect();
        let parts: Vec<(Expr, Measured)> = parts.into_iter().collect::<Option<_>>()?;
        let mut measured = parts.first()?.1;
        for ((_, is), written) in parts.iter().zip(of).skip(1) {
            let kinds_differ = matches!((measured.kind, is.kind), (Some(a), Some(b)) if a != b);
            if measured.dimension != is.dimension || kinds_differ {
                let (first, this) = (words_of(measured), words_of(*is));
                let message = format!("{first} and {this} can't be compared with each other");
                self.report(
                    Finding::new(Code::FW0310, message, written.span(), format!("this is {this}"))
                        .also(span, "compared here")
                        .because("Neither of them is more or less than the other.")
                        .repair("List quantities of one kind: masses only, or lengths only."),
                );
                return None;
            }
            measured.kind = first_kind(measured, *is);
        }
        let which = if greatest { Extreme::Greatest } else { Extreme::Least };
        Some((Expr::Extreme(which, parts.into_iter().map(|(expr, _)| expr).collect()), measured))
    }

    fn dimension(&mut self, dimension: Option<Dimension>, span: Span) -> Option<Dimension> {
        if dimension.is_none() {
            self.report(
                Finding::new(Code::FW0310, "this multiplies too many units together", span, "no such quantity")
                    .repair("Check the arithmetic."),
            );
        }
        dimension
    }

    fn binary(
        &mut self,
        op: tree::ArithmeticOp,
        (left, left_is): (Expr, Measured),
        (right, right_is): (Expr, Measured),
        span: Span,
    ) -> Option<(Expr, Measured)> {
        let (op, measured) = match op {
            tree::ArithmeticOp::Add | tree::ArithmeticOp::Subtract => {
                let kinds_differ = matches!((left_is.kind, right_is.kind), (Some(a), Some(b)) if a != b)
                    || left_is.kind.is_some_and(|kind| !kind.has_arithmetic());
                if left_is.dimension != right_is.dimension || kinds_differ {
                    let (left, right) = (words_of(left_is), words_of(right_is));
                    let message = format!("{left} and {right} can't be added to or taken from each other");
                    self.report(
                        Finding::new(Code::FW0310, message, span, "not of the same kind")
                            .because("Whatever came out would say nothing about the vehicle.")
                            .repair(
                                "Add or subtract quantities of one kind: a mass and a mass, a length and a length.",
                            ),
                    );
                    return None;
                }
                let op = if op == tree::ArithmeticOp::Add { ArithmeticOp::Add } else { ArithmeticOp::Subtract };
                (op, Measured { dimension: left_is.dimension, kind: first_kind(left_is, right_is) })
            }
            tree::ArithmeticOp::Multiply => {
                let dimension = self.dimension(left_is.dimension.times(right_is.dimension), span)?;
                let kind = scaled_kind(left_is, right_is).or_else(|| scaled_kind(right_is, left_is));
                (ArithmeticOp::Multiply, Measured { dimension, kind })
            }
            tree::ArithmeticOp::Divide => {
                let dimension = self.dimension(left_is.dimension.over(right_is.dimension), span)?;
                (ArithmeticOp::Divide, Measured { dimension, kind: scaled_kind(left_is, right_is) })
            }
        };
        let expr = fold(op, left, right);
        if expr.is_none() {
            self.report(
                Finding::new(
                    Code::FW0309,
                    "this arithmetic can't be done exactly",
                    span,
                    "too large, or divided by zero",
                )
                .repair("Check the numbers."),
            );
        }
        Some((expr?, measured))
    }
}

/// The kind of the first that has one.
fn first_kind(left: Measured, right: Measured) -> Option<Kind> {
    left.kind.or(right.kind)
}

/// What an expression measures, with its article: `a mass`.
fn words_of(measured: Measured) -> String {
    measured.kind.map_or_else(|| measured.dimension.words(), |kind| kind.name().to_owned())
}

/// The kind of a product or quotient where the other side is a plain number.
fn scaled_kind(scaled: Measured, by: Measured) -> Option<Kind> {
    let plain = by.kind.is_none_or(|kind| kind == Kind::Share) && by.dimension == Kind::Share.dimension();
    if plain { scaled.kind } else { None }
}

/// Works out what is constant, so that a division by zero shows here and not later.
fn fold(op: ArithmeticOp, left: Expr, right: Expr) -> Option<Expr> {
    match (left.constant(), right.constant()) {
        (Some(a), Some(b)) => op.apply(a, b).map(|_| Expr::Binary(op, Box::new(left), Box::new(right))),
        (None, Some(b)) if op == ArithmeticOp::Divide && b.is_zero() => None,
        _ => Some(Expr::Binary(op, Box::new(left), Box::new(right))),
    }
}

fn negate(kind: CondKind, negated: bool, span: Span) -> Cond {
    let cond = Cond { kind, span };
    if negated { Cond { kind: CondKind::Not(Box::new(cond)), span } } else { cond }
}

/// FW0208 with the values that there are.
pub(super) fn no_such_value(subject: &str, declared: Span, values: &[Value], name: &Name) -> Finding {
    let message = format!("`{subject}` has no value `{}`", name.text);
    let all: Vec<String> = values.iter().map(|value| format!("`{}`", value.id)).collect();
    let finding = Finding::new(Code::FW0208, message, name.span, "not one of its values")
        .also(declared, format!("its values are {}", all.join(", ")));
    match nearest_value(&name.text, values.iter().map(|value| value.id.as_str())) {
        Some(near) => {
            let sure = suggest::how_sure(&name.text, near, values.iter().map(|value| value.id.as_str()));
            finding.repair(format!("Write `{near}`.")).mend(Mend::write(sure, name.span, near))
        }
        None => finding
            .repair(format!("Write one of {}.", all.join(", ")))
            .mend(values.iter().take(MOST_OFFERED).map(|value| Mend::write(Confidence::Look, name.span, &value.id))),
    }
}
