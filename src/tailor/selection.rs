//! What somebody asks a procedure to be tailored to: `arm=powered`, `roof-rating=150 kg`.

use std::collections::BTreeMap;

use num_traits::{CheckedDiv, CheckedSub};

use super::Refusal;
use super::settled::Settled;
use crate::diagnostics::suggest;
use crate::model::{Choice, ChoiceId, ChoiceKind, NumberId, NumberInput, NumberKind, Procedure};
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

/// The values of options and the amounts of givens that the wishes ask for.
pub type Asked = (BTreeMap<ChoiceId, usize>, BTreeMap<NumberId, Quantity>);

/// What the wishes ask for, each by itself: whether the rules allow them together, [`tailor`](super::tailor) says.
///
/// # Errors
/// Where a wish names what can't be chosen, or a value that it can't have.
pub fn asked(procedure: &Procedure, wishes: &[Wish]) -> Result<Asked, Refusal> {
    settle(procedure, wishes).map(|settled| (settled.choices, settled.numbers))
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
    let choice = &procedure.choices[id];
    value(choice, &wish.value).map_err(|near| {
        let known = choice.values.iter().map(|value| value.id.clone()).collect();
        Refusal::UnknownValue { name: wish.name.clone(), value: wish.value.clone(), near, known }
    })
}

/// The number of the value that has this name.
///
/// # Errors
/// The name that was perhaps meant, where none has it.
pub fn value(choice: &Choice, name: &str) -> Result<usize, Option<String>> {
    let values = &choice.values;
    values.iter().position(|value| value.id == name).ok_or_else(|| {
        let by_words = values.iter().find(|value| value.label.to_lowercase() == name.to_lowercase());
        match by_words {
            Some(value) => Some(value.id.clone()),
            None => suggest::nearest(name, values.iter().map(|value| value.id.as_str())).map(str::to_owned),
        }
    })
}

fn amount_of(number: &NumberInput, wish: &Wish) -> Result<Quantity, Refusal> {
    let read = amount(number, &wish.value, None).and_then(|amount| within(number, &amount).map(|()| amount));
    read.map_err(|why| Refusal::Amount {
        name: wish.name.clone(),
        value: wish.value.clone(),
        why,
        range: format!("{} to {}", number.low, number.high),
    })
}

/// An amount of the kind of a given, such as `150 kg`. Where it has no unit of its own, it is in `unit`.
///
/// # Errors
/// Says what is wrong with it. Whether the given can have it, [`within`] says.
pub fn amount(number: &NumberInput, text: &str, unit: Option<Unit>) -> Result<Quantity, String> {
    let kind = number.low.kind();
    let text = text.trim();
    let (below_zero, text) = match text.strip_prefix(['-', '−']) {
        Some(rest) if kind.can_be_below_zero() => (true, rest.trim_start()),
        _ => (false, text),
    };
    let digits = |c: char| c.is_ascii_digit() || " .,/+-".contains(c);
    let split = text.find(|c| !digits(c)).unwrap_or(text.len());
    let (digits, own) = text.split_at(split);
    let (digits, own) = (digits.trim(), own.trim());
    let unit = match (Unit::lookup(own), unit) {
        (Some(own), _) => own,
        (None, Some(unit)) if own.is_empty() => unit,
        (None, None) if own.is_empty() => {
            return Err(format!("it has no unit; write for example \"{digits} {}\"", number.low.unit.spelling()));
        }
        (None, _) => {
            let near = suggest::nearest(own, Unit::known());
            let hint = near.map_or_else(String::new, |near| format!("; did you mean {near}?"));
            return Err(format!("{own} is not a unit that is known here{hint}"));
        }
    };
    if unit.kind() != kind {
        return Err(format!("that is {}, and {} is meant", unit.kind().name(), kind.name()));
    }
    let (value, written) = number::parse(digits).map_err(|fault| {
        let forms = fault.suggestions().join(" or ");
        let hint = if forms.is_empty() { String::new() } else { format!("; write {forms}") };
        format!("\"{digits}\" is not a number that is read in one way only{hint}")
    })?;
    Ok(Quantity::new(if below_zero { -value } else { value }, unit, written))
}

/// Whether a given can have this amount.
///
/// # Errors
/// Where it is too large to be held, outside the range, or between the steps in which it is stated.
pub fn within(number: &NumberInput, amount: &Quantity) -> Result<(), String> {
    let (Some(base), Some(low), Some(high)) = (amount.base(), number.low.base(), number.high.base()) else {
        return Err("the number is too large to be held exactly".to_owned());
    };
    if base < low || base > high {
        return Err("that is outside what the procedure is made for".to_owned());
    }
    let steps = number.reads.as_ref().and_then(|reads| {
        let step = reads.step_base()?;
        base.checked_sub(&number.low.unit.offset())?.checked_div(&step)
    });
    match (steps, &number.reads) {
        (Some(steps), Some(reads)) if !steps.is_integer() => Err(format!("it is stated in steps of {reads} only")),
        _ => Ok(()),
    }
}
