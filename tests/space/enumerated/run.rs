//! Every run of a small procedure, one after the other: an interpreter that knows the model and nothing of the space.

use std::collections::BTreeMap;

use fitwright::model::*;
use fitwright::quantity::Exact;
use fitwright::source::Span;
use fitwright::space::{Input, Taken};

/// What happens, in words that both sides can say.
pub type Said = (Span, u32, &'static str);

/// The values of one run: a list that is gone through in order, and extended where it ends.
#[derive(Debug, Clone, Default)]
pub struct Tape {
    taken: Vec<(usize, usize)>,
    at: usize,
}

impl Tape {
    fn next(&mut self, of: usize) -> usize {
        if self.at == self.taken.len() {
            self.taken.push((0, of));
        }
        self.at += 1;
        self.taken[self.at - 1].0
    }

    /// The next list in order, if there is one.
    pub fn advance(&mut self) -> bool {
        self.at = 0;
        while let Some((value, of)) = self.taken.pop() {
            if value + 1 < of {
                self.taken.push((value + 1, of));
                return true;
            }
        }
        false
    }
}

pub enum End {
    Ended,
    /// A rule forbids the run.
    Forbidden,
}

pub struct Run<'p> {
    p: &'p Procedure,
    tape: Tape,
    /// Readings to be taken, instead of those of the tape.
    given: Option<BTreeMap<(Input, u32), Taken>>,
    occasions: BTreeMap<Input, u32>,
    choices: BTreeMap<ChoiceId, usize>,
    numbers: BTreeMap<NumberId, Exact>,
    states: Vec<usize>,
    decided: Vec<bool>,
    round: u32,
    pub said: Vec<Said>,
    took: BTreeMap<(Input, u32), Taken>,
    pub unmet: bool,
    unknown: bool,
}

impl<'p> Run<'p> {
    pub fn new(p: &'p Procedure, tape: Tape, given: Option<BTreeMap<(Input, u32), Taken>>) -> Run<'p> {
        Run {
            p,
            tape,
            given,
            occasions: BTreeMap::new(),
            choices: BTreeMap::new(),
            numbers: BTreeMap::new(),
            states: p.states.rows().iter().map(|s| s.starts).collect(),
            decided: vec![false; p.limits.len()],
            round: 0,
            said: Vec::new(),
            took: BTreeMap::new(),
            unmet: false,
            unknown: false,
        }
    }

    fn say(&mut self, span: Span, what: &'static str) {
        self.said.push((span, self.round, what));
    }

    fn take(&mut self, input: Input) {
        let occasion = self.occasions.entry(input).or_insert(0);
        *occasion += 1;
        let occasion = *occasion;
        let given = self.given.as_ref().map(|given| given[&(input, occasion)]);
        match input {
            Input::Choice(id) => {
                let value = match given {
                    Some(Taken::Value(value)) => value,
                    Some(Taken::Number(_)) => panic!("a choice has a value"),
                    None => self.tape.next(self.p.choices[id].values.len()),
                };
                self.choices.insert(id, value);
                self.took.insert((input, occasion), Taken::Value(value));
            }
            Input::Number(id) => {
                let number = &self.p.numbers[id];
                let (low, high) = (number.low.base().expect("small"), number.high.base().expect("small"));
                let step = number.reads.expect("all read in steps").base().expect("small");
                let value = match given {
                    Some(Taken::Number(value)) => {
                        assert!(value >= low && value <= high && ((value - low) / step).is_integer());
                        value
                    }
                    Some(Taken::Value(_)) => panic!("a number has no value"),
                    None => {
                        let count = ((high - low) / step).to_integer() as usize + 1;
                        low + step * Exact::from_integer(self.tape.next(count) as i128)
                    }
                };
                self.numbers.insert(id, value);
                self.took.insert((input, occasion), Taken::Number(value));
            }
        }
    }

    /// Whether a condition holds; what cannot be told is noted and guessed.
    fn judge(&mut self, cond: &Cond) -> bool {
        self.truth(cond).unwrap_or_else(|| self.guess(2) == 0)
    }

    fn guess(&mut self, ways: usize) -> usize {
        self.unknown = true;
        self.tape.next(ways)
    }

    /// Whether a condition holds, if that can be told.
    fn truth(&self, cond: &Cond) -> Option<bool> {
        // From left to right: the first part that cannot be told leaves the whole open.
        let decisive = |parts: &[Cond], answer: bool| {
            let first = parts.iter().map(|part| self.truth(part)).find(|truth| *truth != Some(!answer));
            first.unwrap_or(Some(!answer))
        };
        match &cond.kind {
            CondKind::Any(parts) => decisive(parts, true),
            CondKind::All(parts) => decisive(parts, false),
            CondKind::Not(inner) => self.truth(inner).map(|holds| !holds),
            CondKind::Is(choice, value) => self.choices.get(choice).map(|known| known == value),
            CondKind::In(number, interval) => self.numbers.get(number).map(|known| interval.contains(*known)),
            CondKind::Compares(comparison) => self.compare(comparison),
        }
    }

    fn compare(&self, comparison: &Comparison) -> Option<bool> {
        Some(comparison.op.holds(self.value(&comparison.left)?, self.value(&comparison.right)?))
    }

    fn value(&self, expr: &Expr) -> Option<Exact> {
        match expr {
            Expr::Fact(_, value, _) | Expr::Amount(value, _, _) => Some(*value),
            Expr::Number(id, _) => self.numbers.get(id).copied(),
            Expr::Binary(op, left, right) => op.apply(self.value(left)?, self.value(right)?),
            Expr::Extreme(which, of) => {
                let values: Option<Vec<Exact>> = of.iter().map(|one| self.value(one)).collect();
                match which {
                    Extreme::Least => values?.into_iter().min(),
                    Extreme::Greatest => values?.into_iter().max(),
                }
            }
        }
    }

    fn names_a_result(&self, cond: &Cond) -> bool {
        match &cond.kind {
            CondKind::Any(parts) | CondKind::All(parts) => parts.iter().any(|part| self.names_a_result(part)),
            CondKind::Not(inner) => self.names_a_result(inner),
            CondKind::Is(choice, _) => self.p.choices[*choice].kind == ChoiceKind::Result,
            CondKind::In(..) | CondKind::Compares(_) => false,
        }
    }

    /// Rules hold of all values that are known.
    fn rules(&mut self) -> Result<(), End> {
        for rule in &self.p.rules {
            let applies = rule.when.as_ref().map_or(Some(true), |when| self.truth(when));
            let named = rule.when.iter().chain([&rule.holds]).any(|cond| self.names_a_result(cond));
            if !named && applies == Some(true) && self.truth(&rule.holds) == Some(false) {
                return Err(End::Forbidden);
            }
        }
        Ok(())
    }

    fn limits(&mut self) -> Result<(), End> {
        for (id, limit) in self.p.limits.iter() {
            let applies = limit.when.as_ref().map_or(Some(true), |when| self.truth(when));
            let holds = match (applies, self.compare(&limit.holds)) {
                (Some(false), _) => true,
                (Some(true), Some(holds)) => holds,
                _ => continue,
            };
            if std::mem::replace(&mut self.decided[id.index()], true) {
                continue;
            }
            if let Some(when) = &limit.when {
                self.say(when.span, "judged");
            }
            if applies == Some(false) {
                continue;
            }
            self.say(limit.span, "limit");
            if !holds && limit.otherwise.is_some() {
                self.say(limit.span, "stop");
                return Err(End::Ended);
            }
        }
        Ok(())
    }

    pub fn whole(&mut self) -> Result<(), End> {
        for (id, choice) in self.p.choices.iter() {
            if choice.kind == ChoiceKind::Option {
                self.take(Input::Choice(id));
            }
        }
        for (id, number) in self.p.numbers.iter() {
            if number.kind == NumberKind::Given {
                self.take(Input::Number(id));
            }
        }
        self.rules()?;
        self.limits()?;
        for section in &self.p.sections {
            if let Some(when) = &section.when {
                self.say(when.span, "judged");
                if !self.judge(when) {
                    continue;
                }
            }
            self.body(&section.body)?;
        }
        self.say(self.p.head_span, "runs out");
        Ok(())
    }

    fn body(&mut self, body: &[Node]) -> Result<(), End> {
        body.iter().try_for_each(|node| self.node(node))
    }

    fn node(&mut self, node: &Node) -> Result<(), End> {
        match node {
            Node::Step(id) if self.applies(*id) => self.lines(*id),
            Node::Step(_) => Ok(()),
            Node::When(when) => {
                self.say(when.cond.span, "judged");
                let holds = self.judge(&when.cond);
                self.body(if holds { &when.then } else { &when.otherwise })
            }
            Node::Choose(choose) => {
                self.say(choose.span, "chosen");
                match self.arm(choose) {
                    Some(arm) => self.body(&choose.arms[arm].body),
                    None => Ok(()),
                }
            }
            Node::Set(set) => {
                self.say(set.span, "set");
                self.choices.insert(set.result, set.value);
                self.limits()
            }
            Node::Stop(stop) => {
                self.say(stop.span, "stop");
                Err(End::Ended)
            }
            Node::Handover(handover) => {
                self.say(handover.span, "handover");
                Err(End::Ended)
            }
            Node::Check(check) => {
                let outer = self.round;
                self.round = 0;
                if self.applies(check.step) {
                    self.attempts(check)?;
                }
                self.round = outer;
                Ok(())
            }
        }
    }

    fn arm(&mut self, choose: &Choose) -> Option<usize> {
        let known = match choose.subject {
            ChooseSubject::Choice(id) => self.choices.contains_key(&id),
            ChooseSubject::Number(id) => self.numbers.contains_key(&id),
        };
        if !known {
            return Some(self.guess(choose.arms.len() + 1)).filter(|arm| *arm < choose.arms.len());
        }
        let covers = |arm: &Arm| match (&arm.pattern, choose.subject) {
            (ArmPattern::Values(values), ChooseSubject::Choice(id)) => {
                self.choices.get(&id).is_some_and(|value| values.contains(value))
            }
            (ArmPattern::In(interval, _), ChooseSubject::Number(id)) => {
                self.numbers.get(&id).is_some_and(|value| interval.contains(*value))
            }
            _ => false,
        };
        let otherwise = choose.arms.iter().position(|arm| arm.pattern == ArmPattern::Otherwise);
        choose.arms.iter().position(covers).or(otherwise)
    }

    fn attempts(&mut self, check: &Check) -> Result<(), End> {
        let times = check.repair.as_ref().map_or(0, |repair| repair.times);
        for round in 0..=times {
            self.round = round;
            self.lines(check.step)?;
            let mut passes = true;
            for expect in &check.expects {
                self.say(expect.span, "judged");
                passes &= self.judge(expect);
            }
            self.say(self.p.steps[check.step].span, "verdict");
            if passes {
                return Ok(());
            }
            if let Some(repair) = check.repair.as_ref().filter(|_| round < times) {
                self.round = round + 1;
                self.body(&repair.body)?;
            }
        }
        match &check.otherwise {
            CheckElse::Stop(stop) => {
                self.say(stop.span, "stop");
                Err(End::Ended)
            }
            CheckElse::GoOn(_, span) => {
                self.say(*span, "go on");
                Ok(())
            }
        }
    }

    fn applies(&mut self, id: StepId) -> bool {
        let when = self.p.steps[id].when.as_ref();
        when.is_none_or(|when| {
            self.say(when.span, "judged");
            self.judge(when)
        })
    }

    fn lines(&mut self, id: StepId) -> Result<(), End> {
        let step = &self.p.steps[id];
        self.say(step.name.span, "step");
        for line in &step.lines {
            match &line.kind {
                LineKind::Read(readings) => {
                    for reading in readings {
                        self.say(line.span, "read");
                        self.take(Input::from(*reading));
                        self.rules()?;
                    }
                }
                LineKind::Make { state, value } => {
                    self.say(line.span, "make");
                    self.states[state.index()] = *value;
                }
                LineKind::Need(need) => {
                    self.say(line.span, "need");
                    self.unmet |= self.states[need.state.index()] != need.value;
                }
                LineKind::Set(set) => {
                    self.say(line.span, "set");
                    self.choices.insert(set.result, set.value);
                }
                other => panic!("{other:?} is not generated"),
            }
        }
        self.limits()
    }
}

/// What one run came to.
pub struct Ran {
    pub said: Vec<Said>,
    pub took: BTreeMap<(Input, u32), Taken>,
    pub unmet: bool,
    pub unknown: bool,
}

/// All runs, or `None` where there are too many.
pub fn every_run(p: &Procedure) -> Option<Vec<Ran>> {
    let mut tape = Tape::default();
    let mut runs = Vec::new();
    for _ in 0..4_000 {
        let mut run = Run::new(p, tape, None);
        if !matches!(run.whole(), Err(End::Forbidden)) {
            runs.push(Ran { said: run.said, took: run.took, unmet: run.unmet, unknown: run.unknown });
        }
        tape = run.tape;
        if !tape.advance() {
            return Some(runs);
        }
    }
    None
}
