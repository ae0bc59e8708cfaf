//! The manual's data for machines: a schema.org HowTo (<https://schema.org/HowTo>) as JSON-LD.

use serde::Serialize;

use crate::emit::EmitError;
use crate::emit::phrase::time::Time;
use crate::emit::words::{Words, listed};
use crate::labels::spoken;
use crate::model::{Section, StepId, each_or_either, walk};

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct HowTo<'a> {
    #[serde(rename = "@context")]
    context: &'static str,
    #[serde(rename = "@type")]
    kind: &'static str,
    name: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    version: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    total_time: Option<&'a str>,
    tool: Vec<Thing>,
    supply: Vec<Thing>,
    step: Vec<HowToSection<'a>>,
}

#[derive(Serialize)]
struct Thing {
    #[serde(rename = "@type")]
    kind: &'static str,
    name: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct HowToSection<'a> {
    #[serde(rename = "@type")]
    kind: &'static str,
    position: u32,
    name: &'a str,
    item_list_element: Vec<HowToStep<'a>>,
}

#[derive(Serialize)]
struct HowToStep<'a> {
    #[serde(rename = "@type")]
    kind: &'static str,
    position: String,
    name: &'a str,
    url: String,
}

/// The JSON text.
pub(in crate::emit) fn how_to(words: Words<'_>, time: Option<&Time>) -> Result<String, EmitError> {
    let procedure = words.procedure;
    let mut supplied: Vec<String> = Vec::new();
    for some in procedure.kit.iter().flat_map(|group| each_or_either(&group.entries)) {
        let titles = some.iter().map(|entry| procedure.parts[entry.what].name.title.clone());
        let title = listed(titles, spoken().word.or);
        if !supplied.contains(&title) {
            supplied.push(title);
        }
    }
    let data = HowTo {
        context: "https://schema.org",
        kind: "HowTo",
        name: &procedure.name.title,
        version: procedure.revision.as_ref().map(|revision| revision.mark.as_str()),
        total_time: time.map(|time| time.duration.as_str()),
        tool: procedure.tools.ids().map(|tool| Thing { kind: "HowToTool", name: words.tool(tool) }).collect(),
        supply: supplied.into_iter().map(|name| Thing { kind: "HowToSupply", name }).collect(),
        step: procedure.sections.iter().map(|section| section_data(words, section)).collect(),
    };
    serde_json::to_string(&data).map_err(|error| EmitError::Data { fault: error.to_string() })
}

fn section_data<'a>(words: Words<'a>, section: &'a Section) -> HowToSection<'a> {
    let step = |id: StepId| {
        let step = &words.procedure.steps[id];
        HowToStep {
            kind: "HowToStep",
            position: step.number.clone(),
            name: &step.name.title,
            url: format!("#step-{}", step.name.id),
        }
    };
    HowToSection {
        kind: "HowToSection",
        position: section.number,
        name: &section.name.title,
        item_list_element: walk(&section.body).steps().map(step).collect(),
    }
}
