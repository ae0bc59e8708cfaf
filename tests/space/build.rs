//! A small builder of models, so that tests say only what they are about.

use fitwright::model::*;
use fitwright::quantity::{Exact, Measure, Quantity, Unit, Written};
use fitwright::source::{FileId, Span};

/// A procedure in the making; every place gets a span of its own.
pub struct Build {
    pub p: Procedure,
    at: usize,
}

/// A number of millimetres, or kilograms, as a quantity.
pub fn amount(value: i64, unit: &str) -> Quantity {
    let unit = Unit::lookup(unit).expect("a unit of the table");
    Quantity::new(Exact::from_integer(i128::from(value)), unit, Written::Decimals(0))
}

/// A text without mentions.
pub fn said(text: &str) -> Said {
    Said { text: text.to_owned(), mentions: Vec::new(), place: None }
}

pub fn base(value: i64, unit: &str) -> Exact {
    amount(value, unit).base().expect("small")
}

impl Build {
    pub fn new() -> Build {
        Build { p: Procedure::empty(), at: 0 }
    }

    pub fn span(&mut self) -> Span {
        self.at += 10;
        Span::new(FileId::new(0), self.at, self.at + 5)
    }

    pub fn naming(&mut self, id: &str) -> Naming {
        Naming { id: id.to_owned(), title: id.to_owned(), span: self.span(), from_library: false, at: None }
    }

    fn values(&mut self, names: &[&str]) -> Vec<Value> {
        let value = |name: &&str| Value { id: (*name).to_owned(), label: (*name).to_owned(), span: self.span() };
        names.iter().map(value).collect()
    }

    pub fn choice(&mut self, kind: ChoiceKind, id: &str, values: &[&str]) -> ChoiceId {
        let choice = Choice { name: self.naming(id), kind, seen: false, values: self.values(values) };
        self.p.choices.push(choice)
    }

    pub fn option(&mut self, id: &str, values: &[&str]) -> ChoiceId {
        self.choice(ChoiceKind::Option, id, values)
    }

    pub fn observe(&mut self, id: &str, values: &[&str]) -> ChoiceId {
        self.choice(ChoiceKind::Observe, id, values)
    }

    pub fn number(&mut self, kind: NumberKind, id: &str, low: i64, high: i64, reads: Option<i64>) -> NumberId {
        let unit = if kind == NumberKind::Given { "kg" } else { "mm" };
        let number = NumberInput {
            when: None,
            name: self.naming(id),
            kind,
            low: amount(low, unit),
            high: amount(high, unit),
            range_span: self.span(),
            reads: reads.map(|reads| amount(reads, unit)),
            with: None,
        };
        self.p.numbers.push(number)
    }

    pub fn measure(&mut self, id: &str, low: i64, high: i64) -> NumberId {
        self.number(NumberKind::Measure, id, low, high, Some(1))
    }

    pub fn given(&mut self, id: &str, low: i64, high: i64) -> NumberId {
        self.number(NumberKind::Given, id, low, high, None)
    }

    pub fn state(&mut self, id: &str, values: &[&str], starts: usize) -> StateId {
        let state = State {
            name: self.naming(id),
            when: None,
            values: self.values(values),
            starts,
            ends: None,
            span: self.span(),
        };
        self.p.states.push(state)
    }

    pub fn part(&mut self, id: &str) -> PartId {
        let part = Part {
            name: self.naming(id),
            fastener: None,
            terminal: None,
            mass: None,
            number: None,
            short: None,
            unknown: Vec::new(),
            consumable: false,
            comes_by: None,
            single_use: false,
            brings: Vec::new(),
            span: self.span(),
        };
        self.p.parts.push(part)
    }

    pub fn kit(&mut self, when: Option<Cond>, entries: &[(u32, PartId)]) {
        let span = self.span();
        let entries = entries
            .iter()
            .map(|(count, what)| Counted {
                count: *count,
                much: HowMuch::Count,
                what: *what,
                either: Either::Alone,
                span,
            })
            .collect();
        self.p.kit.push(KitGroup { kind: KitKind::Box, name: None, when, entries, span });
    }

    // Conditions.

    fn cond(&mut self, kind: CondKind) -> Cond {
        Cond { kind, span: self.span() }
    }

    pub fn is(&mut self, choice: ChoiceId, value: usize) -> Cond {
        self.cond(CondKind::Is(choice, value))
    }

    pub fn not(&mut self, inner: Cond) -> Cond {
        self.cond(CondKind::Not(Box::new(inner)))
    }

    pub fn all(&mut self, parts: Vec<Cond>) -> Cond {
        self.cond(CondKind::All(parts))
    }

    pub fn any(&mut self, parts: Vec<Cond>) -> Cond {
        self.cond(CondKind::Any(parts))
    }

    pub fn interval(&self, number: NumberId, low: Option<i64>, high: Option<i64>) -> Interval {
        let unit = if self.p.numbers[number].kind == NumberKind::Given { "kg" } else { "mm" };
        let end = |value: i64| End { base: base(value, unit), included: true, written: amount(value, unit) };
        Interval { low: low.map(end), high: high.map(end) }
    }

    pub fn within(&mut self, number: NumberId, low: Option<i64>, high: Option<i64>) -> Cond {
        let interval = self.interval(number, low, high);
        self.cond(CondKind::In(number, interval))
    }

    /// `sum of factors * numbers + constant OP 0`, the constant in the base unit.
    pub fn comparison(&mut self, terms: &[(i64, NumberId)], constant: Exact, op: CompareOp) -> Comparison {
        let span = self.span();
        let amount = |value: Exact| Expr::Amount(value, None, span);
        let mut left = amount(constant);
        for (factor, number) in terms {
            let factor = amount(Exact::from_integer(i128::from(*factor)));
            let times = Expr::Binary(ArithmeticOp::Multiply, Box::new(factor), Box::new(Expr::Number(*number, span)));
            left = Expr::Binary(ArithmeticOp::Add, Box::new(left), Box::new(times));
        }
        Comparison { left, op, right: amount(Exact::from_integer(0)), span }
    }

    pub fn compares(&mut self, comparison: Comparison) -> Cond {
        self.cond(CondKind::Compares(comparison))
    }

    pub fn rule(&mut self, holds: Cond, when: Option<Cond>) {
        let span = self.span();
        self.p.rules.push(Rule { holds, when, reason: String::new(), span });
    }

    pub fn limit(&mut self, holds: Comparison, when: Option<Cond>, stops: bool) -> LimitId {
        let limit = Limit {
            name: self.naming("limit"),
            when,
            holds,
            otherwise: stops.then(|| said("stop")),
            span: self.span(),
        };
        self.p.limits.push(limit)
    }

    // Flow.

    pub fn lines(&mut self, kinds: Vec<LineKind>) -> Vec<Line> {
        kinds.into_iter().map(|kind| Line { kind, by_hand: false, span: self.span() }).collect()
    }

    pub fn step_row(&mut self, when: Option<Cond>, kinds: Vec<LineKind>, is_check: bool) -> StepId {
        let number = format!("{}", self.p.steps.len() + 1);
        let lines = self.lines(kinds);
        let step = Step {
            name: self.naming(&number),
            number,
            is_check,
            when,
            lines,
            takes: None,
            spares_for: None,
            another_person: None,
            span: self.span(),
        };
        self.p.steps.push(step)
    }

    pub fn step(&mut self, kinds: Vec<LineKind>) -> Node {
        Node::Step(self.step_row(None, kinds, false))
    }

    pub fn step_when(&mut self, when: Cond, kinds: Vec<LineKind>) -> Node {
        Node::Step(self.step_row(Some(when), kinds, false))
    }

    pub fn when(&mut self, cond: Cond, then: Vec<Node>, otherwise: Vec<Node>) -> Node {
        Node::When(When { cond, then, otherwise, span: self.span() })
    }

    pub fn choose(&mut self, subject: ChooseSubject, arms: Vec<(ArmPattern, Vec<Node>)>) -> Node {
        let arm = |(pattern, body)| Arm { pattern, pattern_span: self.span(), body, span: self.span() };
        let arms = arms.into_iter().map(arm).collect();
        Node::Choose(Choose { subject, subject_span: self.span(), arms, span: self.span() })
    }

    pub fn arm_in(&self, number: NumberId, low: i64, high: i64) -> ArmPattern {
        let interval = self.interval(number, Some(low), Some(high));
        ArmPattern::In(interval, Measure::Range { low: amount(low, "mm"), high: amount(high, "mm") })
    }

    pub fn stop_row(&mut self) -> Stop {
        Stop { text: said("stop"), span: self.span() }
    }

    pub fn stop(&mut self) -> Node {
        Node::Stop(self.stop_row())
    }

    pub fn set(&mut self, result: ChoiceId, value: usize) -> Node {
        Node::Set(SetResult { result, value, span: self.span() })
    }

    pub fn handover(&mut self) -> Node {
        Node::Handover(Handover { lines: Vec::new(), signed: Vec::new(), span: self.span() })
    }

    pub fn check(
        &mut self,
        lines: Vec<LineKind>,
        expects: Vec<Cond>,
        repair: Option<(u32, Vec<Node>)>,
        otherwise: CheckElse,
    ) -> Node {
        self.check_when(None, lines, expects, repair, otherwise)
    }

    pub fn check_when(
        &mut self,
        when: Option<Cond>,
        lines: Vec<LineKind>,
        expects: Vec<Cond>,
        repair: Option<(u32, Vec<Node>)>,
        otherwise: CheckElse,
    ) -> Node {
        let step = self.step_row(when, lines, true);
        let span = self.span();
        let repair = repair.map(|(times, body)| Repair { times, body, span });
        Node::Check(Check { step, expects, repair, otherwise })
    }

    pub fn need(&mut self, state: StateId, value: usize) -> LineKind {
        LineKind::Need(Need { state, value, span: self.span() })
    }

    pub fn take(&mut self, count: u32, what: PartId) -> LineKind {
        LineKind::Take(vec![Counted { count, much: HowMuch::Count, what, either: Either::Alone, span: self.span() }])
    }

    pub fn section(&mut self, when: Option<Cond>, body: Vec<Node>) {
        let number = u32::try_from(self.p.sections.len()).expect("few") + 1;
        let section = Section { name: self.naming("section"), number, when, body, span: self.span() };
        self.p.sections.push(section);
    }
}
