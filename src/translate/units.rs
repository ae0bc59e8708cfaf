//! The texts of a procedure as a translator gets them.

use std::collections::BTreeMap;

use super::marked::{Held, Marked, Markup, as_it_is};
use super::texts::{self, Place, Text};
use crate::labels::{Language, pseudo};
use crate::model::{Mention, MentionTarget, Procedure};
use crate::prose;
use crate::quantity::display;

/// A text of a procedure, as a translator gets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unit {
    /// Its name, the same for as long as the thing and what is said of it are: `step.park.title`.
    pub key: String,
    /// The text; what must not be touched stands in braces.
    pub text: String,
    /// What stands for each brace.
    pub notes: Vec<String>,
    /// Whether it is of a safety message, or says who may do the work.
    pub safety: bool,
    marked: Marked,
    markup: Markup,
    pub(super) family: Option<String>,
}

/// The texts of a procedure, in the order of its source. Texts without a word are none.
pub fn units(procedure: &Procedure) -> Vec<Unit> {
    let mut units: Vec<Unit> = Vec::new();
    let mut known: BTreeMap<String, String> = BTreeMap::new();
    let mut own = procedure.clone();
    texts::each(&mut own, &mut |place, text| {
        let (marked, markup, mentions) = taken(&text);
        if !marked.has_words() || known.contains_key(&place.key) {
            return;
        }
        known.insert(place.key.clone(), marked.text.clone());
        let notes = notes(procedure, &marked, mentions);
        let Place { key, safety, family } = place;
        units.push(Unit { key, text: marked.text.clone(), notes, safety, marked, markup, family });
    });
    units
}

/// A text with what is held of it.
pub(super) fn taken<'t>(text: &'t Text<'_>) -> (Marked, Markup, &'t [Mention]) {
    let (source, markup, mentions): (&str, Markup, &[Mention]) = match text {
        Text::Plain(text) => (text, Markup::Plain, &[]),
        Text::Said(said) => (&said.text, Markup::Said, &said.mentions),
        Text::Prose(prose) => (&prose.markdown, Markup::Prose, &prose.mentions),
    };
    (Marked::of(source, markup, mentions), markup, mentions)
}

fn notes(procedure: &Procedure, marked: &Marked, mentions: &[Mention]) -> Vec<String> {
    let says = |held: &Held| {
        let inside = held.text.trim_start_matches('[').trim_end_matches(']');
        let mention = mentions.iter().find(|mention| held.is_mention && mention.text == inside);
        let shown = mention.map_or_else(|| held.text.clone(), |mention| named(procedure, &mention.target));
        format!("{{{}}}: {shown}", held.name)
    };
    marked.held.iter().map(says).collect()
}

/// What a mention shows, for whoever translates around it.
fn named(procedure: &Procedure, target: &MentionTarget) -> String {
    let name = match target {
        MentionTarget::Quantity(measure) => return display::measure(measure, procedure.units),
        MentionTarget::Fact(fact) => return display::measure(&procedure.facts[*fact].value, procedure.units),
        MentionTarget::Step(step) | MentionTarget::Action(step, _) => {
            return format!("the number of step {}", procedure.steps[*step].name.id);
        }
        MentionTarget::Figure(..) => return "the number of a figure".to_owned(),
        MentionTarget::Part(id) => procedure.parts[*id].short.as_ref().unwrap_or(&procedure.parts[*id].name.title),
        MentionTarget::Tool(id) => procedure.tools[*id].short.as_ref().unwrap_or(&procedure.tools[*id].name.title),
        MentionTarget::Protection(id) => &procedure.protections[*id].name.title,
        MentionTarget::Choice(id) => &procedure.choices[*id].name.title,
        MentionTarget::Number(id) => &procedure.numbers[*id].name.title,
        MentionTarget::Joint(id) => &procedure.joints[*id].name.title,
        MentionTarget::Circuit(id) => &procedure.circuits[*id].name.title,
        MentionTarget::State(id) => &procedure.states[*id].name.title,
    };
    name.clone()
}

impl Unit {
    /// The translation as it stands in the model.
    pub(super) fn read(&self, translation: &str, language: &Language) -> Result<String, String> {
        let text = self.marked.put_back(translation, self.markup, language)?;
        if self.markup == Markup::Prose {
            let own = as_it_is(&self.marked, self.markup, language).unwrap_or_default();
            let (wanted, faults) = (prose::mentions(&own).0, prose::mentions(&text));
            if let Some(fault) = faults.1.first() {
                return Err(fault.message());
            }
            if wanted.len() != faults.0.len() || prose::made_of(&own) != prose::made_of(&text) {
                return Err("emphasis, lists or links are others than in the text".to_owned());
            }
        }
        Ok(text)
    }

    /// What a pseudo-language makes of it; the text itself, where marks of CommonMark would become others.
    pub(super) fn pseudo(&self, language: &'static Language) -> String {
        let text = pseudo(&self.text);
        if self.read(&text, language).is_ok() { text } else { self.text.clone() }
    }
}
