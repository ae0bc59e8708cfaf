//! JSON Schemas (2020-12) of the file formats, made from the types that write and read them.
//!
//! Each format has two. The *strict* one is for writers: no member that the format does not have, but for names that
//! begin with `x-`. The *tolerant* one is for readers: members that it does not know are let through, so that a file of
//! a later minor version fits. Words of closed lists are checked by both.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

/// For whom a schema is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum For {
    /// Strict.
    Writers,
    /// Tolerant.
    Readers,
}

/// The schema of a type as it is published, with a line end.
pub fn text<T: JsonSchema>(id: &str, whom: For) -> String {
    let mut settings = SchemaSettings::draft2020_12();
    settings.meta_schema = Some("https://json-schema.org/draft/2020-12/schema".into());
    let mut schema = settings.into_generator().into_root_schema_for::<T>().to_value();
    if whom == For::Writers {
        let extended = extended_definitions(&schema);
        close(&mut schema, &extended, true);
        leave_out_null(&mut schema);
    }
    if let Some(members) = schema.as_object_mut() {
        members.insert("$id".to_owned(), id.into());
    }
    let mut text = serde_json::to_string_pretty(&schema).unwrap_or_default();
    text.push('\n');
    text
}

/// Definitions that some object takes over and adds members to: a statement of the flow is a step with its `kind`. They
/// can't be closed themselves; whoever refers to them is.
fn extended_definitions(schema: &Value) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    each_object(schema, &mut |members| {
        if let (Some(Value::String(to)), true) = (members.get("$ref"), members.contains_key("properties")) {
            found.insert(to.clone());
        }
    });
    found
}

fn each_object(value: &Value, found: &mut dyn FnMut(&Map<String, Value>)) {
    match value {
        Value::Object(members) => {
            found(members);
            members.values().for_each(|value| each_object(value, found));
        }
        Value::Array(values) => values.iter().for_each(|value| each_object(value, found)),
        _ => {}
    }
}

/// Lets objects have no further members; `closes` is false for one that others add members to.
fn close(value: &mut Value, extended: &BTreeSet<String>, closes: bool) {
    match value {
        Value::Object(members) => {
            // What is spread over alternatives is closed once, where they come together.
            let mixed = members.contains_key("properties") && members.contains_key("oneOf");
            for (name, value) in members.iter_mut() {
                match (name.as_str(), value) {
                    ("oneOf", value) if mixed => close(value, extended, false),
                    ("$defs", Value::Object(definitions)) => {
                        for (name, definition) in definitions {
                            close(definition, extended, !extended.contains(&format!("#/$defs/{name}")));
                        }
                    }
                    ("properties", Value::Object(properties)) => {
                        properties.values_mut().for_each(|property| close(property, extended, true));
                    }
                    (_, value) => close(value, extended, closes),
                }
            }
            let refers = matches!(members.get("$ref"), Some(Value::String(to)) if extended.contains(to));
            if closes && (refers || members.contains_key("properties")) {
                members.entry("type").or_insert_with(|| "object".into());
                members.insert("patternProperties".to_owned(), json!({ "^x-": true }));
                members.insert("unevaluatedProperties".to_owned(), Value::Bool(false));
            }
        }
        Value::Array(values) => values.iter_mut().for_each(|value| close(value, extended, closes)),
        _ => {}
    }
}

/// A writer leaves an optional member out; it does not write `null`.
fn leave_out_null(value: &mut Value) {
    match value {
        Value::Object(members) => {
            members.values_mut().for_each(leave_out_null);
            if let Some(Value::Array(types)) = members.get_mut("type") {
                types.retain(|kind| kind != "null");
                if let [only] = types.as_slice() {
                    let only = only.clone();
                    members.insert("type".to_owned(), only);
                }
            }
            if let Some(Value::Array(all)) = members.get("anyOf")
                && let [Value::Object(one), Value::Object(null)] = all.as_slice()
                && null.get("type").is_some_and(|kind| kind == "null")
            {
                let one = one.clone();
                members.remove("anyOf");
                members.extend(one);
            }
        }
        Value::Array(values) => values.iter_mut().for_each(leave_out_null),
        _ => {}
    }
}
