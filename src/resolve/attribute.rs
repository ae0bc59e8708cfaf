//! How an attribute of a row is written: its leading word, its measures and words.

use crate::parse::tree::Attribute;

/// The leading word of an attribute; empty where it has none.
pub(super) fn word(attribute: &Attribute) -> &str {
    attribute.word.as_ref().map(|word| word.text.as_str()).unwrap_or_default()
}

/// Whether an attribute is only its word, then so many measures with these words between or after them.
pub(super) fn has_form(attribute: &Attribute, measures: usize, words: &[&str]) -> bool {
    let written = attribute.words.iter().map(|name| if name.text == "×" { "x" } else { name.text.as_str() });
    // What joins two measures stands between them.
    let joined = match (attribute.measures.as_slice(), attribute.words.first()) {
        ([first, second], Some(joint)) => first.span.end <= joint.span.start && joint.span.end <= second.span.start,
        _ => true,
    };
    attribute.measures.len() == measures && written.eq(words.iter().copied()) && attribute.text.is_none() && joined
}
