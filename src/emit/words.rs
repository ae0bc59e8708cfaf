//! Conditions, lists and amounts in the words that a technician reads.
//!
//! Everything here is plain text; the templates escape it. Sizes of tools and threads are printed in their own unit
//! only, because a socket of 0.512 in does not exist; all other amounts follow the procedure's `units`.

use crate::labels::{fill, language, spoken};
use crate::model::{
    ArithmeticOp, Arm, ArmPattern, Choice, ChoiceId, ChoiceKind, Choose, ChooseSubject, CompareOp, Comparison, Cond,
    CondKind, Counted, Expr, Extreme, Guard, Interval, Joint, MentionTarget, NumberId, PartId, Procedure, Said,
    StateId, ToolUse, Wait,
};
use crate::prose;
use crate::quantity::display::Printed;
use crate::quantity::{Measure, Quantity, UnitPreference, display};

/// Turns what the model says into words.
#[derive(Clone, Copy)]
pub(super) struct Words<'a> {
    pub(super) procedure: &'a Procedure,
}

impl<'a> Words<'a> {
    pub(super) fn new(procedure: &'a Procedure) -> Self {
        Words { procedure }
    }

    /// An amount in the procedure's unit systems. What is stated in square millimetres is the size of a conductor, and is
    /// ordered by that name.
    pub(super) fn measure(&self, measure: &Measure) -> String {
        if measure.stated().unit.spelling() == "mm2" {
            return display::measure(measure, UnitPreference { first: crate::quantity::System::Metric, second: None });
        }
        display::measure(measure, self.procedure.units)
    }

    /// A torque of a joint, in the units that its wrench shows too.
    pub(super) fn torque(&self, joint: &Joint, torque: &Measure) -> Printed {
        display::printed_for(torque, self.procedure.units, self.procedure.wrench_units(joint))
    }

    /// A single value in the procedure's unit systems.
    pub(super) fn quantity(&self, quantity: &Quantity) -> String {
        self.measure(&Measure::Exact(*quantity))
    }

    /// From one value to another.
    pub(super) fn range(&self, low: &Quantity, high: &Quantity) -> String {
        self.measure(&Measure::Range { low: *low, high: *high })
    }

    /// A condition.
    pub(super) fn cond(&self, cond: &Cond) -> String {
        self.signed(cond, true, false)
    }

    /// Whether it is the condition of what a tailored procedure has not.
    pub(super) fn is_never(cond: &Cond) -> bool {
        matches!(&cond.kind, CondKind::Any(parts) if parts.is_empty())
    }

    /// The opposite of a condition.
    pub(super) fn opposite(&self, cond: &Cond) -> String {
        self.signed(cond, false, false)
    }

    /// Each condition on the way once.
    pub(super) fn guard_list(&self, guards: &[Guard<'_>]) -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        for one in guards.iter().flat_map(|guard| self.guard(guard)) {
            if !words.contains(&one) {
                words.push(one);
            }
        }
        words
    }

    /// One condition on the way; a repair happens only where its check does.
    fn guard(&self, guard: &Guard<'_>) -> Vec<String> {
        match guard {
            Guard::Holds(cond) => vec![self.cond(cond)],
            Guard::Fails(cond) => vec![self.opposite(cond)],
            Guard::Arm(choose, at) => {
                choose.arms.get(*at).map(|arm| self.arm_with_subject(choose, arm)).into_iter().collect()
            }
            Guard::Repairs(check) => {
                let step = &self.procedure.steps[check.step];
                let repair = fill(spoken().condition.repaired, &[("number", &step.number)]);
                step.when.iter().map(|when| self.cond(when)).chain([repair]).collect()
            }
        }
    }

    /// An arm as a condition of its own: `Top of the rail: 46 mm to 70 mm`.
    pub(super) fn arm_with_subject(&self, choose: &Choose, arm: &Arm) -> String {
        match choose.subject {
            ChooseSubject::Number(number) => format!("{}: {}", self.number(number), self.arm(choose, arm)),
            ChooseSubject::Choice(choice) => {
                with_label(&self.procedure.choices[choice].name.title, &self.arm(choose, arm))
            }
        }
    }

    /// The words of a value within a sentence.
    fn value(&self, choice: &Choice, value: usize) -> String {
        self.procedure.in_sentence(label(choice, value))
    }

    /// What an arm covers, without naming the input.
    pub(super) fn arm(&self, choose: &Choose, arm: &Arm) -> String {
        match (&arm.pattern, choose.subject) {
            (ArmPattern::In(_, measure), _) => display::boundary(measure, self.procedure.units),
            (ArmPattern::Values(values), ChooseSubject::Choice(choice)) => {
                let choice = &self.procedure.choices[choice];
                listed(values.iter().map(|value| self.value(choice, *value)), spoken().word.or)
            }
            (ArmPattern::Otherwise, ChooseSubject::Choice(id)) => {
                let choice = &self.procedure.choices[id];
                let named = |value: &usize| {
                    choose.arms.iter().any(|a| matches!(&a.pattern, ArmPattern::Values(v) if v.contains(value)))
                };
                let rest = (0..choice.values.len()).filter(|value| !named(value));
                listed(rest.map(|value| self.value(choice, value)), spoken().word.or)
            }
            (ArmPattern::Otherwise, ChooseSubject::Number(_)) => spoken().condition.other_reading.to_owned(),
            (ArmPattern::Values(_), ChooseSubject::Number(_)) => String::new(),
        }
    }

    /// What a `choose` looks at.
    pub(super) fn subject(&self, subject: ChooseSubject) -> &'a str {
        match subject {
            ChooseSubject::Choice(choice) => &self.procedure.choices[choice].name.title,
            ChooseSubject::Number(number) => self.number(number),
        }
    }

    fn number(&self, number: NumberId) -> &'a str {
        &self.procedure.numbers[number].name.title
    }

    /// A condition or, where `holds` is false, its opposite.
    fn signed(&self, cond: &Cond, holds: bool, inside: bool) -> String {
        match &cond.kind {
            // Left of a condition that is decided, where something must stand in its place.
            CondKind::Any(parts) | CondKind::All(parts) if parts.is_empty() => {
                let always = matches!(cond.kind, CondKind::All(_)) == holds;
                if always { spoken().condition.always } else { spoken().condition.never }.to_owned()
            }
            CondKind::Any(parts) => {
                self.joined(parts, holds, &if holds { or_between() } else { and_between() }, inside)
            }
            CondKind::All(parts) => {
                self.joined(parts, holds, &if holds { and_between() } else { or_between() }, inside)
            }
            CondKind::Not(part) => self.signed(part, !holds, inside),
            CondKind::Is(choice, value) => self.is(*choice, *value, holds),
            CondKind::In(number, interval) => {
                format!("{}: {}", self.number(*number), self.interval(interval, holds))
            }
            CondKind::Compares(comparison) => self.comparison(comparison, holds),
        }
    }

    fn joined(&self, parts: &[Cond], holds: bool, between: &str, inside: bool) -> String {
        let words: Vec<String> = parts.iter().map(|part| self.signed(part, holds, true)).collect();
        let text = words.join(between);
        if inside && words.len() > 1 { format!("({text})") } else { text }
    }

    /// `Arm: powered arm, 12 V`, `Is the lamp visible? yes`.
    fn is(&self, id: ChoiceId, value: usize, holds: bool) -> String {
        let choice = &self.procedure.choices[id];
        let words = match (holds, choice.values.len()) {
            (true, _) => self.value(choice, value),
            (false, 2) => self.value(choice, 1 - value.min(1)),
            (false, _) => fill(spoken().condition.not, &[("words", &self.value(choice, value))]),
        };
        with_label(&choice.name.title, &words)
    }

    /// `46 mm to 70 mm`, `at least 25 mm`, or the opposite.
    pub(super) fn interval(&self, interval: &Interval, holds: bool) -> String {
        let end = |included: bool, at: Measure, beyond: Measure| self.measure(if included { &at } else { &beyond });
        match (&interval.low, &interval.high) {
            (Some(low), Some(high)) if low.included && high.included => {
                let words = if low.base == high.base {
                    self.quantity(&low.written)
                } else {
                    self.range(&low.written, &high.written)
                };
                if holds { words } else { fill(spoken().condition.not, &[("words", &words)]) }
            }
            (Some(low), Some(high)) => {
                let low = end(low.included, Measure::AtLeast(low.written), Measure::Over(low.written));
                let high = end(high.included, Measure::AtMost(high.written), Measure::Below(high.written));
                fill(
                    if holds { spoken().condition.both } else { spoken().condition.not_both },
                    &[("low", &low), ("high", &high)],
                )
            }
            (Some(low), None) if holds => end(low.included, Measure::AtLeast(low.written), Measure::Over(low.written)),
            (Some(low), None) => end(low.included, Measure::Below(low.written), Measure::AtMost(low.written)),
            (None, Some(high)) if holds => {
                end(high.included, Measure::AtMost(high.written), Measure::Below(high.written))
            }
            (None, Some(high)) => end(high.included, Measure::Over(high.written), Measure::AtLeast(high.written)),
            (None, None) => if holds { spoken().condition.any } else { spoken().condition.none }.to_owned(),
        }
    }

    /// `38 kg + mass of the ladders ≤ permitted roof load`
    pub(super) fn comparison(&self, comparison: &Comparison, holds: bool) -> String {
        let sign = Words::sign(comparison.op, holds);
        format!("{} {sign} {}", self.expr(&comparison.left, 0), self.expr(&comparison.right, 0))
    }

    /// The sign of a comparison or, where `holds` is false, of its opposite.
    pub(super) fn sign(op: CompareOp, holds: bool) -> &'static str {
        match (op, holds) {
            (CompareOp::AtMost, true) | (CompareOp::Over, false) => "≤",
            (CompareOp::Below, true) | (CompareOp::AtLeast, false) => "<",
            (CompareOp::AtLeast, true) | (CompareOp::Below, false) => "≥",
            (CompareOp::Over, true) | (CompareOp::AtMost, false) => ">",
            (CompareOp::Equal, true) => "=",
            (CompareOp::Equal, false) => "≠",
        }
    }

    /// Arithmetic, with parentheses only where they are needed.
    fn expr(&self, expr: &Expr, binds: u8) -> String {
        match expr {
            Expr::Fact(fact, base, _) => {
                let fact = &self.procedure.facts[*fact];
                match fact.value {
                    Measure::Exact(_) => format!("{}, {}", fact.name.title, self.measure(&fact.value)),
                    // A limit counts with the end of the range that is worse.
                    _ => {
                        let stated = fact.value.stated();
                        let end = Quantity::from_base(*base, stated.unit, stated.written).unwrap_or(*stated);
                        fill(
                            spoken().condition.at_worst,
                            &[("what", &fact.name.title), ("value", &self.quantity(&end))],
                        )
                    }
                }
            }
            Expr::Number(number, _) => self.number(*number).to_owned(),
            Expr::Amount(_, Some(quantity), _) => self.quantity(quantity),
            Expr::Amount(value, None, _) => plain_number(*value),
            Expr::Extreme(which, of) => {
                let parts: Vec<String> = of.iter().map(|one| self.expr(one, 0)).collect();
                fill(extreme(*which), &[("parts", &parts.join("; "))])
            }
            Expr::Binary(op, left, right) => {
                let (sign, own) = match op {
                    ArithmeticOp::Add => ("+", 1),
                    ArithmeticOp::Subtract => ("−", 1),
                    ArithmeticOp::Multiply => ("×", 2),
                    ArithmeticOp::Divide => ("÷", 2),
                };
                // The right side of a minus or a division binds tighter: a − (b + c).
                let right_binds =
                    if matches!(op, ArithmeticOp::Subtract | ArithmeticOp::Divide) { own + 1 } else { own };
                let text = format!("{} {sign} {}", self.expr(left, own), self.expr(right, right_binds));
                if own < binds { format!("({text})") } else { text }
            }
        }
    }

    /// `Battery negative lead: off the post`
    pub(super) fn state(&self, state: StateId, value: usize) -> String {
        let state = &self.procedure.states[state];
        let value = state.values.get(value).map_or("", |value| value.label.as_str());
        with_label(&state.name.title, value)
    }

    /// A mention, in words that can stand in a sentence.
    pub(super) fn mention(&self, target: &MentionTarget) -> String {
        let procedure = self.procedure;
        let title = match target {
            MentionTarget::Quantity(measure) => return self.measure(measure),
            MentionTarget::Fact(fact) => return self.measure(&procedure.facts[*fact].value),
            MentionTarget::Step(step) => {
                return fill(spoken().flow.step, &[("number", &procedure.steps[*step].number)]);
            }
            MentionTarget::Figure(id, item) => {
                let figure = &procedure.figures[*id];
                let number = figure.number.unwrap_or_default().to_string();
                // A fitting has no callouts of what it has not.
                let item = item.filter(|item| figure.callouts.iter().any(|callout| callout.number == *item));
                return match item {
                    Some(item) => fill(spoken().flow.figure_item, &[("number", &number), ("item", &item.to_string())]),
                    None => fill(spoken().flow.figure, &[("number", &number)]),
                };
            }
            MentionTarget::Action(step, letter) => {
                let number = format!("{}\u{a0}{letter}", procedure.steps[*step].number);
                return fill(spoken().flow.step, &[("number", &number)]);
            }
            MentionTarget::Part(part) => {
                return procedure.parts[*part].short.clone().unwrap_or_else(|| self.part(*part));
            }
            MentionTarget::Tool(tool) => {
                return procedure.tools[*tool].short.clone().unwrap_or_else(|| self.tool(*tool));
            }
            MentionTarget::Protection(protection) => &procedure.protections[*protection].name.title,
            MentionTarget::Choice(choice) => &procedure.choices[*choice].name.title,
            MentionTarget::Number(number) => &procedure.numbers[*number].name.title,
            MentionTarget::Joint(joint) => &procedure.joints[*joint].name.title,
            MentionTarget::Circuit(circuit) => &procedure.circuits[*circuit].name.title,
            MentionTarget::State(state) => &procedure.states[*state].name.title,
        };
        title.clone()
    }

    /// What is waited for, without the full stop that its sentence brings; `None` where it is not said.
    pub(super) fn until(&self, wait: &Wait) -> Option<String> {
        let until = self.said(&wait.until);
        let until = until.trim_end_matches('.').trim_end();
        (!until.is_empty()).then(|| until.to_owned())
    }

    /// A quoted text with its mentions in words.
    pub(super) fn said(&self, said: &Said) -> String {
        prose::spoken(&said.text, &mut |text| {
            said.mentions
                .iter()
                .find(|mention| mention.text == text)
                .map(|mention| self.mention_in_full(&mention.target))
        })
    }

    /// As [`Words::mention`]; a result stands as the values that it can have.
    pub(super) fn mention_in_full(&self, target: &MentionTarget) -> String {
        match target {
            MentionTarget::Choice(id) if self.procedure.choices[*id].kind == ChoiceKind::Result => {
                let values = &self.procedure.choices[*id].values;
                listed(values.iter().map(|value| value.label.clone()), spoken().word.or)
            }
            other => self.mention(other),
        }
    }

    /// `2 × Washer M8`; a consumable has no count.
    pub(super) fn counted(&self, counted: &Counted<PartId>) -> String {
        let title = self.part(counted.what);
        if counted.count == 0 { title } else { format!("{} × {title}", counted.count) }
    }

    /// Parts of one fastening, `; ` between them because titles hold commas.
    pub(super) fn each(&self, each: &[Counted<PartId>]) -> String {
        each.iter().map(|counted| self.counted(counted)).collect::<Vec<_>>().join("; ")
    }

    /// `2 × Spanner, 19 mm or Socket, 19 mm`
    pub(super) fn tool_use(&self, tool: &ToolUse) -> String {
        let titles = tool.any_of.iter().map(|id| self.tool(*id));
        let words = listed(titles, spoken().word.or);
        if tool.count > 1 { format!("{} × {words}", tool.count) } else { words }
    }

    /// The tools of a line in a sentence; `None` where it lists none.
    pub(super) fn tools(&self, tools: &[ToolUse]) -> Option<String> {
        let turning: Vec<String> = tools.iter().filter(|tool| !tool.hold).map(|tool| self.tool_use(tool)).collect();
        let holding: Vec<String> = tools.iter().filter(|tool| tool.hold).map(|tool| self.tool_use(tool)).collect();
        let mut sentences = Vec::new();
        if !turning.is_empty() {
            sentences.push(fill(spoken().tell.with_tools, &[("tools", &turning.join("; "))]));
        }
        if !holding.is_empty() {
            sentences.push(fill(spoken().tell.hold, &[("tools", &holding.join("; "))]));
        }
        (!sentences.is_empty()).then(|| sentences.join(" "))
    }
}

/// The text around what the least or the greatest is taken of.
pub(super) fn extreme(which: Extreme) -> &'static str {
    if which == Extreme::Least { spoken().condition.least } else { spoken().condition.greatest }
}

/// The label of a value; empty for a number that the choice does not have.
pub(super) fn label(choice: &Choice, value: usize) -> &str {
    choice.values.get(value).map_or("", |value| value.label.as_str())
}

/// A quantity in its own unit only, for sizes of tools and threads.
pub(super) fn own_unit(quantity: &Quantity) -> String {
    let first = quantity.unit.system().unwrap_or(crate::quantity::System::Metric);
    display::quantity(quantity, UnitPreference { first, second: None })
}

/// A range in its own unit only, for the scale of an instrument.
pub(super) fn own_range(low: &Quantity, high: &Quantity) -> String {
    let first = low.unit.system().unwrap_or(crate::quantity::System::Metric);
    display::measure(&Measure::Range { low: *low, high: *high }, UnitPreference { first, second: None })
}

/// `a`, `a or b`, `a, b or c`.
pub(super) fn listed(items: impl Iterator<Item = String>, word: &str) -> String {
    let mut items: Vec<String> = items.collect();
    match items.pop() {
        None => String::new(),
        Some(last) if items.is_empty() => last,
        Some(last) => format!("{} {word} {last}", items.join(", ")),
    }
}

/// ` or `, between things that hold commas.
pub(super) fn or_between() -> String {
    format!(" {} ", spoken().word.or)
}

/// ` and `, as [`or_between`].
pub(super) fn and_between() -> String {
    format!(" {} ", spoken().word.and)
}

/// `Loading side: kerb`, and `Is it visible? yes`: a question keeps its mark.
pub(super) fn with_label(title: &str, label: &str) -> String {
    if title.ends_with(['?', '.', ':']) { format!("{title} {label}") } else { format!("{title}: {label}") }
}

/// The text for one, or that for any other number, with the number in its place `{n}`.
pub(super) fn counted(count: u32, one: &str, many: &str) -> String {
    fill(if count == 1 { one } else { many }, &[("n", &count.to_string())])
}

/// An exact number without unit: `2`, `0.5`, `1/3`.
pub(super) fn plain_number(value: crate::quantity::Exact) -> String {
    match crate::quantity::Unit::lookup("%") {
        Some(unit) => language().number(&Quantity::new(value, unit, crate::quantity::Written::Decimals(0)).decimal()),
        None => value.to_string(),
    }
}
