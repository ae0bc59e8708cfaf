//! What somebody asks a procedure to be tailored to: `arm=powered`, `roof-rating=150 kg`.

use num_traits::{CheckedDiv, CheckedSub};

use super::Refusal;
use super::settled::Settled;
use crate::diagnostics::suggest;
use crate::model::{ChoiceId, ChoiceKind, NumberInput, NumberKind, Procedure};
use crate::quantity::{Quantity, Unit, number};

/// A name and a value, as somebody wrote them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wish {
    /// The option or given.
    pub name: String,
    /// Its value.
    pub value: String,
}

impl Wish {
    /// Reads `NAME=VALUE`.
    ///
    /// # Errors
    /// Where there is no `=`, or nothing on one of its sides.
    pub fn parse(text: &str) -> Result<Wish, Refusal> {
        let (name, value) = text.split_once('=').unwrap_or((text, ""));
        let (name, value) = (name.trim(), unquoted(value.trim()));
        if name.is_empty() || value.is_empty() {
            return Err(Refusal::Form { text: text.to_owned() });
        }
        Ok(Wish { name: name.to_owned(), value: value.to_owned() })
    }

    /// As somebody would write it in a terminal.
    pub fn shown(&self) -> String {
        if self.value.contains(char::is_whitespace) {
            format!("{}=\"{}\"", self.name, self.value)
        } else {
            format!("{}={}", self.name, self.value)
        }
    }
}

/// Quotes that the terminal has left around a value.
fn unquoted(value: &str) -> &str {
    value.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).map_or(value, str::trim)
}

/// Whether the procedure declares the name as anything that a wish may be about, readings and results included: the
/// refusal of those is worth more than silence.
pub fn knows(procedure: &Procedure, name: &str) -> bool {
    procedure.choices.rows().iter().any(|choice| choice.name.id == name)
        || procedure.numbers.rows().iter().any(|number| number.name.id == name)
        || procedure.facts.rows().iter().any(|fact| fact.name.id == name)
}

/// The options and givens, in order of declaration, options first.
pub fn names(procedure: &Procedure) -> Vec<&str> {
    let options = procedure.choices.rows().iter().filter(|choice| choice.kind == ChoiceKind::Option);
    let givens = procedure.numbers.rows().iter().filter(|number| number.kind == NumberKind::Given);
    let options = options.map(|choice| choice.name.id.as_str());
    options.chain(givens.map(|number| number.name.id.as_str())).collect()
}

/// Settles what the wishes say.
pub(super) fn settle(procedure: &Procedure, wishes: &[Wish]) -> Result<Settled, Refusal> {
    let mut settled = Settled::default();
    let mut seen: Vec<&Wish> = Vec::new();
    for wish in wishes {
        if let Some(other) = seen.iter().find(|other| other.name == wish.name && other.value != wish.value) {
            let (first, second) = (other.value.clone(), wish.value.clone());
            return Err(Refusal::Twice { name: wish.name.clone(), first, second });
        }
        one(procedure, wish, &mut settled)?;
        seen.push(wish);
    }
    Ok(settled)
}

fn one(procedure: &Procedure, wish: &Wish, settled: &mut Settled) -> Result<(), Refusal> {
    if let Some((id, choice)) = procedure.choices.iter().find(|(_, choice)| choice.name.id == wish.name) {
        return match choice.kind {
            ChoiceKind::Option => {
                let value = value_of(procedure, id, wish)?;
                settled.choices.insert(id, value);
                Ok(())
            }
            ChoiceKind::Observe => Err(Refusal::ReadOnTheJob { name: wish.name.clone() }),
            ChoiceKind::Result => Err(Refusal::Result { name: wish.name.clone() }),
        };
    }
    if let Some((id, number)) = procedure.numbers.iter().find(|(_, number)| number.name.id == wish.name) {
        return match number.kind {
            NumberKind::Given => {
                let amount = amount_of(number, wish)?;
                settled.numbers.insert(id, amount);
                Ok(())
            }
            NumberKind::Measure => Err(Refusal::ReadOnTheJob { name: wish.name.clone() }),
        };
    }
    if let Some(fact) = procedure.facts.rows().iter().find(|fact| fact.name.id == wish.name) {
        return Err(Refusal::Fact { name: wish.name.clone(), value: fact.value.source_form() });
    }
    let known = names(procedure);
    let near = suggest::nearest(&wish.name, known.iter().copied()).map(str::to_owned);
    let known = known.into_iter().map(str::to_owned).collect();
    Err(Refusal::UnknownName { procedure: procedure.name.id.clone(), name: wish.name.clone(), near, known })
}

/// The number of the value; its words do for its name where they are written in full.
fn value_of(procedure: &Procedure, id: ChoiceId, wish: &Wish) -> Result<usize, Refusal> {
    let values = &procedure.choices[id].values;
    if let Some(at) = values.iter().position(|value| value.id == wish.value) {
        return Ok(at);
    }
    let by_words = values.iter().find(|value| value.label.to_lowercase() == wish.value.to_lowercase());
    let near = match by_words {
        Some(value) => Some(value.id.clone()),
        None => suggest::nearest(&wish.value, values.iter().map(|value| value.id.as_str())).map(str::to_owned),
    };
    let known = values.iter().map(|value| value.id.clone()).collect();
    Err(Refusal::UnknownValue { name: wish.name.clone(), value: wish.value.clone(), near, known })
}

fn amount_of(number: &NumberInput, wish: &Wish) -> Result<Quantity, Refusal> {
    let range = format!("{} to {}", number.low, number.high);
    let refuse = |why: String| {
        Err(Refusal::Amount { name: wish.name.clone(), value: wish.value.clone(), why, range: range.clone() })
    };
    let digits = |c: char| c.is_ascii_digit() || " .,/+-".contains(c);
    let split = wish.value.find(|c| !digits(c)).unwrap_or(wish.value.len());
    let (digits, unit) = wish.value.split_at(split);
    let (digits, unit) = (digits.trim(), unit.trim());
    if unit.is_empty() {
        return refuse(format!("it has no unit; write for example \"{digits} {}\"", number.low.unit.spelling()));
    }
    let Some(unit) = Unit::lookup(unit) else {
        let near = suggest::nearest(unit, Unit::known());
        let hint = near.map_or_else(String::new, |near| format!("; did you mean {near}?"));
        return refuse(format!("{unit} is not a unit that is known here{hint}"));
    };
    if unit.kind() != number.low.kind() {
        return refuse(format!("that is {}, and {} is meant", unit.kind().name(), number.low.kind().name()));
    }
    let (value, written) = match number::parse(digits) {
        Ok(read) => read,
        Err(fault) => {
            let forms = fault.suggestions().join(" or ");
            let hint = if forms.is_empty() { String::new() } else { format!("; write {forms}") };
            return refuse(format!("\"{digits}\" is not a number that is read in one way only{hint}"));
        }
    };
    let amount = Quantity::new(value, unit, written);
    let (Some(base), Some(low), Some(high)) = (amount.base(), number.low.base(), number.high.base()) else {
        return refuse("the number is too large to be held exactly".to_owned());
    };
    if base < low || base > high {
        return refuse("that is outside what the procedure is made for".to_owned());
    }
    let steps = number.reads.as_ref().and_then(|reads| {
        let step = reads.step_base()?;
        base.checked_sub(&number.low.unit.offset())?.checked_div(&step)
    });
    match (steps, &number.reads) {
        (Some(steps), Some(reads)) if !steps.is_integer() => refuse(format!("it is stated in steps of {reads} only")),
        _ => Ok(amount),
    }
}
