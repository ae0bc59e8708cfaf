//! Events that answer a line of the begun step, and the values that answers and lines bring.

use num_traits::{CheckedAdd, CheckedDiv, CheckedSub, Zero};

use super::content::{InputText, NumberText, TakenText};
use super::definition::Definition;
use super::event::{Value, What};
use super::fault::Fault;
use super::job::{Job, Mode};
use super::known::Answer;
use super::numbers::{self, AmountText};
use super::program::Asks;
use crate::labels::{fill, spoken};
use crate::quantity::Exact;

/// What an event gives to which line.
struct Given {
    step: usize,
    line: usize,
    /// Which input or fastening of the line, from 0.
    which: u32,
}

impl Job<'_> {
    /// An `acknowledge`, `reading`, `torque`, `text`, `photo` or `leave-out`.
    pub(super) fn apply_line(&mut self, at: usize, what: &What, mode: Mode) -> Result<(), Fault> {
        let Some(given) = self.asked(what) else { return Err(self.misfit(what)) };
        let late = !matches!(what, What::Acknowledge { .. }) && self.walk.message_open(self.program());
        match what {
            What::Reading { input, typed, .. } => {
                let Some(place) = self.definition.input(input) else { return Err(self.misfit(what)) };
                self.learn(at, place)?;
                self.compare_typed(at, place, typed.as_ref());
            }
            What::Torque { .. } => self.judge_torque(at, &given)?,
            What::Text { .. } => self.judge_number(at, &given)?,
            _ => {}
        }
        // What was remedied is kept, and the fastening goes on asking for its torque.
        if let Some(begun) = self.walk.begun.as_mut().filter(|_| !what.is_remedied()) {
            begun.given.insert((given.line, given.which));
        }
        if late && mode == Mode::Live {
            self.note(at, Fault::BeforeMessages { does: super::does::does(what, self.definition) });
        }
        Ok(())
    }

    /// The line of the begun step that asks for this very event and has not got it yet.
    fn asked(&self, what: &What) -> Option<Given> {
        let id = match what {
            What::Acknowledge { line }
            | What::Reading { line, .. }
            | What::Torque { line, .. }
            | What::Text { line, .. }
            | What::Photo { line, .. }
            | What::LeaveOut { line, .. } => line,
            _ => return None,
        };
        let begun = self.walk.begun.as_ref().filter(|_| self.walk.stopped_at().is_none())?;
        let (step, line) = *self.program().lines.get(id).filter(|(step, _)| *step == begun.step)?;
        let asks = &self.program().steps.get(step)?.lines.get(line)?.asks;
        let which = match (what, asks) {
            (What::Acknowledge { .. }, Asks::Message { .. }) => 0,
            (What::Text { .. }, Asks::Text { .. }) => 0,
            (What::Photo { .. } | What::LeaveOut { .. }, Asks::Photo { .. }) => 0,
            (What::Torque { fastening, .. }, Asks::Torque { count, .. }) => {
                (*fastening).checked_sub(1).filter(|which| which < count)?
            }
            (What::Reading { input, .. }, Asks::Read { inputs }) => {
                let place = self.definition.input(input)?;
                u32::try_from(inputs.iter().position(|one| *one == place)?).ok()?
            }
            _ => return None,
        };
        (!begun.given.contains(&(line, which))).then_some(Given { step, line, which })
    }

    /// Takes the value of an answer or reading as the input's, and judges it.
    pub(super) fn learn(&mut self, at: usize, input: usize) -> Result<(), Fault> {
        let value = self.slots.get(at).and_then(|slot| slot.value.clone());
        let (answer, fault) = understand(self.definition, input, value.as_ref())?;
        let before = self.broken_rules();
        self.walk.known.answer(input, answer);
        if let Some(fault) = fault {
            self.doubt(at, fault);
        }
        for rule in self.broken_rules() {
            if !before.contains(&rule) {
                let reason = self.program().rules.get(rule).map_or_else(String::new, |rule| rule.reason.clone());
                self.doubt(at, Fault::Rule(reason));
            }
        }
        Ok(())
    }

    fn broken_rules(&self) -> Vec<usize> {
        let known = &self.walk.known;
        let broken = |rule: &super::program::Rule| {
            rule.when.as_ref().map_or(Some(true), |when| when.holds(known)) == Some(true)
                && rule.holds.holds(known) == Some(false)
        };
        (self.program().rules.iter().enumerate()).filter(|(_, rule)| broken(rule)).map(|(at, _)| at).collect()
    }

    /// What was typed in another unit lies within half of a smallest reading.
    fn compare_typed(&mut self, at: usize, input: usize, typed: Option<&AmountText>) {
        let Some(typed) = typed else { return };
        let Some(InputText::Measure(number)) = self.definition.inputs.get(input) else { return };
        let corrected = self.slots.get(at).is_some_and(|slot| slot.corrected_at.is_some());
        let near = || {
            let reads = number.reads.as_ref()?;
            let step = self.definition.units.get(&reads.unit)?.span(numbers::parse(&reads.value)?)?;
            let typed = understood(self.definition, typed, &number.quantity)?;
            let distance = typed.checked_sub(&self.walk.known.number(input)?)?;
            let twice = distance.checked_add(&distance)?;
            Some(twice <= step && -twice <= step)
        };
        if !corrected && near() != Some(true) {
            let fault = Fault::Value {
                of: number.title.clone(),
                value: self.definition.printed(typed),
                accepted: "what was typed must round to what was recorded".to_owned(),
            };
            self.doubt(at, fault);
        }
    }

    fn judge_torque(&mut self, at: usize, given: &Given) -> Result<(), Fault> {
        let program = self.program();
        let asks = program.steps.get(given.step).and_then(|step| step.lines.get(given.line)).map(|line| &line.asks);
        let Some(Asks::Torque { joint, within, quantity, .. }) = asks else { return Ok(()) };
        let Some(Value::Amount(amount)) = self.slots.get(at).and_then(|slot| slot.value.clone()) else {
            return Ok(());
        };
        let wanted = quantity.as_deref().unwrap_or("torque");
        let remedied = self.slots.get(at).is_some_and(|slot| slot.event.what.is_remedied());
        let fault = torque_fault(self.definition, joint, given.which, &amount);
        match understood(self.definition, &amount, wanted) {
            None => return Err(fault),
            Some(base) if !within.contains(base) && !remedied => self.doubt(at, fault),
            Some(_) => {}
        }
        Ok(())
    }

    /// A text that must say how many were taken.
    fn judge_number(&mut self, at: usize, given: &Given) -> Result<(), Fault> {
        let program = self.program();
        let asks = program.steps.get(given.step).and_then(|step| step.lines.get(given.line)).map(|line| &line.asks);
        let Some(Asks::Text { what, number: Some(wanted) }) = asks else { return Ok(()) };
        let Some(Value::Text(text)) = self.slots.get(at).and_then(|slot| slot.value.as_ref()) else { return Ok(()) };
        match number_fault(what, *wanted, text) {
            Some(fault) if TakenText::number(text).is_none() => return Err(fault),
            Some(fault) => self.doubt(at, fault),
            None => {}
        }
        Ok(())
    }

    /// Whether a new value for an event can be understood at all.
    pub(super) fn can_be_corrected(&self, what: &What, value: &Value) -> Result<(), Fault> {
        match (what, value) {
            (What::Answer { input, .. } | What::Reading { input, .. }, value) => {
                let place = self.definition.input(input).ok_or_else(|| self.misfit(what))?;
                understand(self.definition, place, Some(value)).map(|_| ())
            }
            (What::Torque { line, fastening, .. }, Value::Amount(amount)) => {
                let place = self.program().lines.get(line);
                let asks = place.and_then(|(step, line)| self.program().steps.get(*step)?.lines.get(*line));
                let Some(Asks::Torque { joint, quantity, .. }) = asks.map(|line| &line.asks) else { return Ok(()) };
                let wanted = quantity.as_deref().unwrap_or("torque");
                understood(self.definition, amount, wanted)
                    .map(|_| ())
                    .ok_or_else(|| torque_fault(self.definition, joint, fastening.saturating_sub(1), amount))
            }
            (What::Text { line, .. }, Value::Text(text)) => {
                let place = self.program().lines.get(line);
                let asks = place.and_then(|(step, line)| self.program().steps.get(*step)?.lines.get(*line));
                let Some(Asks::Text { what, number: Some(wanted) }) = asks.map(|line| &line.asks) else {
                    return Ok(());
                };
                number_fault(what, *wanted, text).filter(|_| TakenText::number(text).is_none()).map_or(Ok(()), Err)
            }
            _ => Ok(()),
        }
    }
}

fn number_fault(what: &str, wanted: TakenText, text: &str) -> Option<Fault> {
    let good = TakenText::number(text).is_some_and(|number| wanted.has(number));
    (!good).then(|| {
        let ends = [("least", &*wanted.least.to_string()), ("most", &*wanted.most.to_string())];
        Fault::Value { of: what.to_owned(), value: text.to_owned(), accepted: fill(spoken().kit.between, &ends) }
    })
}

fn torque_fault(definition: &Definition, joint: &str, which: u32, amount: &AmountText) -> Fault {
    let joint = definition.joints.iter().find(|one| one.id == joint);
    let title = joint.map_or("", |joint| joint.title.as_str());
    Fault::Value {
        of: format!("{title}, fastening {}", u64::from(which) + 1),
        value: definition.printed(amount),
        accepted: joint.and_then(|joint| joint.torque.as_ref()).map_or_else(String::new, |torque| torque.shown.clone()),
    }
}

/// An amount in base units, where its unit is listed and measures that quantity.
fn understood(definition: &Definition, amount: &AmountText, quantity: &str) -> Option<Exact> {
    definition.units.get(&amount.unit).filter(|unit| unit.quantity == quantity)?;
    definition.base(amount)
}

/// What a value means as an answer, and what is wrong with it. An error where it means nothing.
fn understand(definition: &Definition, input: usize, value: Option<&Value>) -> Result<(Answer, Option<Fault>), Fault> {
    let Some(input) = definition.inputs.get(input) else { return Err(nothing("", "")) };
    match (input, value) {
        (
            InputText::Option(choice) | InputText::Observe(choice) | InputText::Result(choice),
            Some(Value::Choice(value)),
        ) if choice.values.iter().any(|one| one.id == *value) => Ok((Answer::Choice(value.clone()), None)),
        (InputText::Given(number) | InputText::Measure(number), Some(Value::Amount(amount))) => {
            let base = understood(definition, amount, &number.quantity);
            let fault = || Fault::Value {
                of: number.title.clone(),
                value: definition.printed(amount),
                accepted: accepted(definition, number),
            };
            let base = base.ok_or_else(fault)?;
            let good = is_accepted(definition, number, base);
            Ok((Answer::Number(amount.clone(), base), (!good).then(fault)))
        }
        (input, value) => Err(nothing(input.title(), &said(value))),
    }
}

fn nothing(title: &str, value: &str) -> Fault {
    Fault::Value { of: title.to_owned(), value: value.to_owned(), accepted: "one of its values".to_owned() }
}

fn said(value: Option<&Value>) -> String {
    match value {
        Some(Value::Choice(text) | Value::Text(text)) => text.clone(),
        Some(Value::Amount(amount)) => format!("{} {}", amount.value, amount.unit),
        None => String::new(),
    }
}

/// Within the range, and a whole multiple of the smallest reading.
fn is_accepted(definition: &Definition, number: &NumberText, base: Exact) -> bool {
    let low = definition.base(&number.low).is_some_and(|low| base >= low);
    let high = definition.base(&number.high).is_some_and(|high| base <= high);
    let multiple = number.reads.as_ref().is_none_or(|reads| {
        let in_unit = definition.units.get(&reads.unit).and_then(|unit| unit.of_base(base));
        let step = numbers::parse(&reads.value).filter(|step| !step.is_zero());
        match (in_unit, step) {
            (Some(value), Some(step)) => value.checked_div(&step).is_some_and(|times| times.is_integer()),
            _ => false,
        }
    });
    low && high && multiple
}

fn accepted(definition: &Definition, number: &NumberText) -> String {
    let range = if number.shown.is_empty() {
        format!("{} to {}", definition.printed(&number.low), definition.printed(&number.high))
    } else {
        number.shown.clone()
    };
    match &number.reads {
        Some(reads) => format!("{range}, in steps of {}", definition.printed(reads)),
        None => range,
    }
}
