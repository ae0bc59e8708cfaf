//! Cases and contradictions in the writer's words.

use std::sync::Arc;

use crate::diagnostics::{Case, CaseInput, CaseStep, Finding};
use crate::model::{IdMap, Procedure, Step, StepId};
use crate::quantity::{Exact, Measure, Quantity, Unit, UnitPreference, Written, display};
use crate::space::{self, Because, Explanation, Input, Taken};

/// As words begin a sentence.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The words of each step, which the cases of a procedure share.
pub(super) fn case_steps(procedure: &Procedure) -> IdMap<StepId, Arc<CaseStep>> {
    let said = |row: &Step| CaseStep {
        number: row.number.clone(),
        name: row.name.id.clone(),
        title: row.name.title.clone(),
        span: row.name.span,
    };
    procedure.steps.map(|_, row| Arc::new(said(row)))
}

/// A case as it is printed: names and values as they would be written in the source, steps by their numbers.
pub(super) fn case(procedure: &Procedure, steps: &IdMap<StepId, Arc<CaseStep>>, found: &space::Case) -> Case {
    let inputs = found.inputs.iter().map(|input| case_input(procedure, input)).collect();
    let steps = found.steps.iter().map(|passed| Arc::clone(&steps[passed.step])).collect();
    Case { inputs, steps, outcome: None }
}

fn case_input(procedure: &Procedure, input: &space::CaseInput) -> CaseInput {
    let (name, value) = match (input.input, input.taken) {
        (Input::Choice(choice), Taken::Value(value)) => {
            let row = &procedure.choices[choice];
            (row.name.id.clone(), row.values.get(value).map(|value| value.id.clone()).unwrap_or_default())
        }
        (Input::Number(number), Taken::Number(base)) => {
            let row = &procedure.numbers[number];
            (row.name.id.clone(), in_unit(base, row.low.unit))
        }
        (Input::Choice(choice), Taken::Number(_)) => (procedure.choices[choice].name.id.clone(), String::new()),
        (Input::Number(number), Taken::Value(_)) => (procedure.numbers[number].name.id.clone(), String::new()),
    };
    let says = match input.input {
        Input::Choice(choice) if procedure.choices[choice].seen => {
            Some(in_quotes(&procedure.choices[choice].name.title))
        }
        _ => None,
    };
    CaseInput { name, says, value, occasion: input.occasion }
}

/// The most characters of a text that are told in a case.
const MOST_TOLD: usize = 48;

/// A text of the writer's in the place of a name.
fn in_quotes(text: &str) -> String {
    match text.char_indices().nth(MOST_TOLD) {
        Some((cut, _)) => format!("\"{}…\"", text.get(..cut).unwrap_or(text).trim_end()),
        None => format!("\"{text}\""),
    }
}

/// A value in base units, as it would be written in the unit of its input.
pub(super) fn in_unit(base: Exact, unit: Unit) -> String {
    Quantity::from_base(base, unit, Written::Decimals(0)).map(|quantity| quantity.to_string()).unwrap_or_default()
}

/// Adds the places that contradict each other.
pub(super) fn contradiction(procedure: &Procedure, mut finding: Finding, explained: &Explanation) -> Finding {
    let Explanation::Contradiction(parts) = explained else { return finding };
    let first = finding.span();
    for part in parts.iter().take(6) {
        let (span, words) = match part {
            Because::Holds(span) => (*span, "this must hold"),
            Because::Fails(span) => (*span, "this must not hold"),
            Because::Arm(span) => (*span, "this branch must be taken"),
            Because::NotArm(span) => (*span, "this branch must not be taken"),
            Because::Failed(span) => (*span, "this check must have failed"),
            Because::NotEnded(span) => (*span, "the job must not have ended here"),
            Because::Rule(at) => match procedure.rules.get(*at) {
                Some(rule) => (rule.span, "this rule must hold"),
                None => continue,
            },
        };
        if first != Some(span) {
            finding = finding.also(span, words);
        }
    }
    finding
}

/// An amount as it is written, or, where that is in the other unit system than the procedure's first, in both.
pub(super) fn shown(procedure: &Procedure, measure: &Measure) -> String {
    let system = measure.low().or_else(|| measure.high()).and_then(|end| end.unit.system());
    match system {
        Some(system) if system != procedure.units.first => {
            let both = UnitPreference { first: procedure.units.first, second: Some(system) };
            display::measure(measure, both)
        }
        _ => measure.source_form(),
    }
}

/// `1/4 in or 3/8 in`
pub(super) fn listed_sizes(sizes: &[Quantity]) -> String {
    sizes.iter().map(Quantity::to_string).collect::<Vec<_>>().join(" or ")
}

/// As [`shown`], from one value to another.
pub(super) fn shown_range(procedure: &Procedure, low: Quantity, high: Quantity) -> String {
    if low == high { shown(procedure, &Measure::Exact(low)) } else { shown(procedure, &Measure::Range { low, high }) }
}
