//! What paper and data say of whom a tailored procedure is for.

use serde::Serialize;

use super::checklist::inputs::Chosen;
use super::checklist::terms::{Amount, Number};
use super::words::{Words, with_label};
use crate::labels::{ENGLISH, fill};
use crate::model::{ChosenValue, MetLimit, Procedure};
use crate::quantity::Measure;

/// The block under the title.
#[derive(Serialize)]
pub(super) struct ForView {
    chosen: Vec<ChosenView>,
    left_out: Option<String>,
}

#[derive(Serialize)]
struct ChosenView {
    title: String,
    words: String,
    follows: bool,
}

/// A limit that holds whatever is still open.
#[derive(Serialize)]
pub(super) struct MetView {
    /// Name of the limit.
    #[serde(skip)]
    pub(super) id: String,
    pub(super) title: String,
    pub(super) when: Option<String>,
    pub(super) words: String,
    /// What its sides come to: `98 kg ≤ 150 kg`.
    pub(super) numbers: Option<String>,
}

/// Whom it is for; `None` for the full procedure.
pub(super) fn block(procedure: &Procedure) -> Option<ForView> {
    let tailored = procedure.tailored.as_ref()?;
    let view = |one: Chosen| ChosenView { title: one.title, words: one.words, follows: one.follows };
    let left_out = (!tailored.left_out.is_empty()).then(|| {
        let parts = tailored.left_out.join("; ");
        fill(ENGLISH.about.not_here, &[("parts", &parts)])
    });
    Some(ForView { chosen: chosen(procedure).into_iter().map(view).collect(), left_out })
}

/// In one line, for running headers: `For: Arm: powered arm, 12 V; Loading side: kerb side`.
pub(super) fn line(procedure: &Procedure) -> Option<String> {
    procedure.tailored.as_ref()?;
    let words = |one: Chosen| with_label(&one.title, &procedure.in_sentence(&one.words));
    let words: Vec<String> = chosen(procedure).into_iter().map(words).collect();
    Some(format!("{}: {}", ENGLISH.list.whom, words.join("; ")))
}

/// What is settled, as data.
pub(super) fn chosen(procedure: &Procedure) -> Vec<Chosen> {
    let words = Words::new(procedure);
    let chosen = procedure.tailored.iter().flat_map(|tailored| &tailored.chosen);
    chosen
        .map(|one| {
            let (value, amount, said) = match &one.value {
                ChosenValue::Value(value) => (Some(value.id.clone()), None, value.label.clone()),
                ChosenValue::Amount(amount) => {
                    let unit = amount.unit.ucum().to_owned();
                    (None, Some(Amount { value: Number(amount.decimal()), unit }), words.quantity(amount))
                }
            };
            let (id, title) = (one.name.id.clone(), one.name.title.clone());
            Chosen { id, title, value, amount, words: said, follows: one.follows }
        })
        .collect()
}

/// The limits that are met.
pub(super) fn met(words: Words<'_>) -> Vec<MetView> {
    let met = words.procedure.tailored.iter().flat_map(|tailored| &tailored.met);
    met.map(|met| met_view(words, met)).collect()
}

fn met_view(words: Words<'_>, MetLimit { limit, sides }: &MetLimit) -> MetView {
    let side = |measure: &Measure| words.measure(measure);
    MetView {
        id: limit.name.id.clone(),
        title: limit.name.title.clone(),
        when: limit.when.as_ref().map(|when| words.cond(when)),
        words: words.comparison(&limit.holds, true),
        numbers: sides
            .as_ref()
            .map(|(left, right)| format!("{} {} {}", side(left), Words::sign(limit.holds.op, true), side(right))),
    }
}
