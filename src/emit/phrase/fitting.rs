//! What paper and data say of whom a tailored procedure is for.

use serde::Serialize;

use crate::emit::words::{Words, with_label};
use crate::labels::{fill, spoken};
use crate::model::{Chosen, ChosenValue, MetLimit, Procedure};
use crate::quantity::Measure;

/// The block under the title.
#[derive(Serialize)]
pub(in crate::emit) struct ForView {
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
pub(in crate::emit) struct MetView {
    /// Name of the limit.
    #[serde(skip)]
    pub(in crate::emit) id: String,
    pub(in crate::emit) title: String,
    pub(in crate::emit) when: Option<String>,
    pub(in crate::emit) words: String,
    /// What its sides come to: `98 kg ≤ 150 kg`.
    pub(in crate::emit) numbers: Option<String>,
}

/// Whom it is for; `None` for the full procedure.
pub(in crate::emit) fn block(procedure: &Procedure) -> Option<ForView> {
    let tailored = procedure.tailored.as_ref()?;
    let words = Words::new(procedure);
    let view = |one: &Chosen| ChosenView {
        title: one.name.title.clone(),
        words: value_words(words, one),
        follows: one.follows,
    };
    let left_out = (!tailored.left_out.is_empty()).then(|| {
        let parts = tailored.left_out.join("; ");
        fill(spoken().about.not_here, &[("parts", &parts)])
    });
    Some(ForView { chosen: chosen(procedure).map(view).collect(), left_out })
}

/// In one line, for running headers: `For: Arm: powered arm, 12 V; Loading side: kerb side`.
pub(in crate::emit) fn line(procedure: &Procedure) -> Option<String> {
    procedure.tailored.as_ref()?;
    let value = |one: &Chosen| procedure.in_sentence(&value_words(Words::new(procedure), one));
    let words = |one: &Chosen| with_label(&one.name.title, &value(one));
    let words: Vec<String> = chosen(procedure).map(words).collect();
    Some(format!("{}: {}", spoken().list.whom, words.join("; ")))
}

/// The value of what is settled, as it stands on paper.
pub(in crate::emit) fn value_words(words: Words<'_>, one: &Chosen) -> String {
    match &one.value {
        ChosenValue::Value(value) => value.label.clone(),
        ChosenValue::Amount(amount) => words.quantity(amount),
    }
}

fn chosen(procedure: &Procedure) -> impl Iterator<Item = &Chosen> {
    procedure.tailored.iter().flat_map(|tailored| &tailored.chosen)
}

/// The limits that are met.
pub(in crate::emit) fn met(words: Words<'_>) -> Vec<MetView> {
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
