//! The checklist as a reader sees it: what a record is judged by, and nothing else of the file.

use serde::Deserialize;
use serde_json::Value;

use super::bounds;
use super::conditions::{Condition, Names};
use super::content::{ChosenText, ConditionText, Content, InputText, JointText, ProcedureText};
use super::criteria::Criteria;
use super::known::{Answer, Answered, Known};
use super::numbers::{self, AmountText, Unit, Units};
use super::program::Program;
use super::unreadable::{ChecklistFault, EvaluateFault, FormFault};
use crate::canonical;
use crate::labels::{Language, english, language, language_of, speaking};

/// A checklist that a record can be judged by.
#[derive(Debug)]
pub struct Definition {
    /// Digest of the whole file.
    pub digest: String,
    /// Which procedure.
    pub procedure: ProcedureText,
    /// The language of its texts, in which a summary is written too; English where we have no words of that language.
    pub language: &'static Language,
    pub(super) units: Units,
    pub(super) inputs: Vec<InputText>,
    /// Circumstances to print: the title of a joint.
    pub(super) joints: Vec<JointText>,
    pub(super) program: Program,
    /// What is asked of readings, in words of its language.
    pub(super) criteria: Criteria,
    /// What was settled when the checklist was made.
    pub(super) effectivity: Vec<ChosenText>,
}

#[derive(Debug, Deserialize)]
struct File {
    format: Format,
    features_required: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct Format {
    name: String,
    version: String,
}

/// Reads a checklist.
///
/// # Errors
/// Where a record can't be judged by this file.
pub fn read(text: &str) -> Result<Definition, ChecklistFault> {
    if text.len() > bounds::CHECKLIST_BYTES {
        return Err(ChecklistFault::TooLarge);
    }
    let value: Value = serde_json::from_str(text).map_err(|error| ChecklistFault::NotJson(error.to_string()))?;
    let file = File::deserialize(&value).map_err(|_| ChecklistFault::NoChecklist)?;
    if file.format.name != "fitwright-checklist" {
        return Err(ChecklistFault::OtherFormat(file.format.name));
    }
    if file.format.version.split('.').next() != Some("1") {
        return Err(ChecklistFault::OtherVersion(file.format.version));
    }
    if let Some(feature) = file.features_required.into_iter().next() {
        return Err(ChecklistFault::Feature(feature));
    }
    let content = Content::deserialize(&value).map_err(|error| ChecklistFault::Form(FormFault::of(&error)))?;
    let mut units = Units::new();
    for unit in &content.units {
        let read = Unit::read(unit).ok_or_else(|| ChecklistFault::Unit(unit.code.clone()))?;
        units.insert(unit.code.clone(), read);
    }
    let program = Program::of(&content, &units)?;
    let find = |id: &str| content.inputs.iter().position(|input| input.id() == id);
    let language = content.procedure.language.as_deref().and_then(language_of).unwrap_or_else(english);
    let criteria = speaking(language, || Criteria::of(&content, &units, &Names { input: &find, units: &units }))?;
    Ok(Definition {
        digest: canonical::digest(&value),
        language,
        procedure: content.procedure,
        units,
        inputs: content.inputs,
        joints: content.joints,
        program,
        criteria,
        effectivity: content.effectivity,
    })
}

impl Definition {
    /// What was settled when it was made, in words; empty where it is for every fitting.
    pub fn fitting(&self) -> String {
        let one = |chosen: &ChosenText| format!("{}: {}", chosen.title, chosen.words);
        self.effectivity.iter().filter(|chosen| !chosen.follows).map(one).collect::<Vec<_>>().join("; ")
    }

    /// The place of an input in the list.
    pub(super) fn input(&self, id: &str) -> Option<usize> {
        self.inputs.iter().position(|input| input.id() == id)
    }

    /// An amount in print: `47 mm`.
    pub(super) fn printed(&self, amount: &AmountText) -> String {
        let symbol = self.units.get(&amount.unit).map_or(amount.unit.as_str(), |unit| unit.symbol.as_str());
        format!("{} {symbol}", language().number(&amount.value))
    }

    pub(super) fn base(&self, amount: &AmountText) -> Option<crate::quantity::Exact> {
        numbers::base(&amount.value, &amount.unit, &self.units)
    }
}

impl Definition {
    /// What a condition results in under some answers, both as JSON: for those who try conditions alone.
    ///
    /// # Errors
    /// Where the condition is none, or names what the checklist does not declare.
    pub fn evaluate(&self, condition: &Value, answers: &Value) -> Result<Option<bool>, EvaluateFault> {
        let text = ConditionText::deserialize(condition).map_err(|error| EvaluateFault::Form(error.to_string()))?;
        let find = |id: &str| self.input(id);
        let names = Names { input: &find, units: &self.units };
        let mut known = Known::nothing(self.inputs.len());
        for (id, answered) in answers.as_object().into_iter().flatten() {
            let answer =
                match Answered::deserialize(answered).map_err(|error| EvaluateFault::Form(error.to_string()))? {
                    Answered::Choice(choice) => Answer::Choice(choice),
                    Answered::Amount(amount) => {
                        let base = self.base(&amount).ok_or_else(|| EvaluateFault::Amount(amount.value.clone()))?;
                        Answer::Number(amount, base)
                    }
                };
            known.answer(names.find(id)?, answer);
        }
        Ok(Condition::read(&text, &names)?.holds(&known))
    }
}
