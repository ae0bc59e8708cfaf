//! What a step means, as a digest: it changes with the step's words and lines and with everything that they name, and
//! stays when the step only gets another number.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::canonical;
use crate::emit::checklist::Checklist;
use crate::emit::checklist::flow::{Node, Section};

/// Fills in the content digest of every step.
pub(super) fn digest_steps(checklist: &mut Checklist) {
    let things = Things::of(checklist);
    let mut sections = std::mem::take(&mut checklist.flow);
    for Section { body, .. } in &mut sections {
        digest_body(body, &things);
    }
    checklist.flow = sections;
}

fn digest_body(body: &mut [Node], things: &Things) {
    for node in body {
        match node {
            Node::Step(step) => step.content_digest = things.digest(step),
            Node::Check(check) => {
                let digest = things.digest(check);
                check.step.content_digest = digest;
                if let Some(repair) = &mut check.repair {
                    digest_body(&mut repair.body, things);
                }
            }
            Node::Choose(choose) => choose.arms.iter_mut().for_each(|arm| digest_body(&mut arm.body, things)),
            Node::When(when) => {
                digest_body(&mut when.then, things);
                digest_body(&mut when.otherwise, things);
            }
            Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }
}

/// Everything that a step can name, by its id.
struct Things(BTreeMap<String, Value>);

impl Things {
    fn of(checklist: &Checklist) -> Things {
        let mut things = BTreeMap::new();
        let tables = [
            value(&checklist.inputs),
            value(&checklist.facts),
            value(&checklist.parts),
            value(&checklist.tools),
            value(&checklist.protection),
            value(&checklist.hazards),
            value(&checklist.actions),
            value(&checklist.joints),
            value(&checklist.circuits),
            value(&checklist.states),
        ];
        for row in tables.into_iter().filter_map(|table| table.as_array().cloned()).flatten() {
            if let Some(id) = row.get("id").and_then(Value::as_str) {
                things.insert(id.to_owned(), row);
            }
        }
        for asset in &checklist.assets {
            things.insert(asset.path.clone(), json!(asset.sha256));
        }
        Things(things)
    }

    /// Over the node and the things that it names, the things that those name, and so on.
    fn digest(&self, node: &impl Serialize) -> String {
        let node = meaning(value(node));
        let mut names = BTreeSet::new();
        texts(&node, &mut names);
        let mut named: Map<String, Value> = Map::new();
        while let Some(name) = names.pop_first() {
            if let (Some(thing), false) = (self.0.get(&name), named.contains_key(&name)) {
                texts(thing, &mut names);
                named.insert(name, thing.clone());
            }
        }
        canonical::digest(&json!({ "node": node, "named": named }))
    }
}

/// Types of ours always give a value.
fn value(data: &impl Serialize) -> Value {
    serde_json::to_value(data).unwrap_or_default()
}

/// Without what may change while the meaning stays: the numbers of steps and figures, also where a sentence names one.
fn meaning(value: Value) -> Value {
    match value {
        Value::Object(mut members) => {
            if members.contains_key("lines") {
                members.remove("number");
                members.remove("content_digest");
            }
            if members.contains_key("markdown") {
                members.remove("text");
            }
            if members.get("means").is_some_and(|means| means == &json!(super::super::flow::Means::Step)) {
                members.remove("words");
            }
            // A picture is called by its number, which changes with those before it.
            if members.contains_key("asset") {
                members.remove("number");
            }
            // Whoever checks is told the numbers of the steps.
            if members.contains_key("not_of") {
                members.remove("words");
            }
            // The words of a place for tools follow from the titles of its tools.
            if members.contains_key("any_of") {
                members.remove("words");
            }
            Value::Object(members.into_iter().map(|(name, value)| (name, meaning(value))).collect())
        }
        Value::Array(values) => Value::Array(values.into_iter().map(meaning).collect()),
        other => other,
    }
}

/// Every text in a value. One that is by chance the id of a thing it does not mean makes the digest cover too much, which
/// only asks for a step to be looked at again.
fn texts(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::String(text) => {
            found.insert(text.clone());
        }
        Value::Array(values) => values.iter().for_each(|value| texts(value, found)),
        Value::Object(members) => members.values().for_each(|value| texts(value, found)),
        _ => {}
    }
}
