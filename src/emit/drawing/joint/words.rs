//! What the drawing of a fastening says.

use super::stack::{Held, Stack};
use crate::emit::words::Words;
use crate::model::Joint;

impl Stack<'_> {
    pub(super) fn caption(&self, scale: &str) -> String {
        let (nuts, washers) = (!self.assembly.nuts.is_empty(), !self.assembly.washers.is_empty());
        let thick = match (nuts, washers) {
            (true, true) => " Nut and washers at their thickest.",
            (true, false) => " Nut at its highest.",
            (false, true) => " Washers at their thickest.",
            (false, false) => "",
        };
        format!("In section, {scale}.{thick}")
    }

    /// What the drawing shows, in words.
    pub(super) fn says(&self, words: Words<'_>, joint: &Joint, scale: &str) -> String {
        let mut order = Vec::new();
        order.extend(self.assembly.bolt.as_ref().map(|bolt| bolt.title.clone()));
        let grip = joint.grip.as_ref().map_or_else(String::new, |grip| format!(", together {}", words.quantity(grip)));
        for at in 0..=self.layers.len() {
            if at == self.before {
                order.push(format!("the parts that are clamped{grip}"));
            }
            order.extend(self.layers.get(at).map(|layer| layer.title.clone()));
        }
        let mut says = format!("Seen from the side at a scale of {scale}, in this order: {}.", order.join("; "));
        if let Some(hole) = &joint.into {
            let metal = crate::emit::manual::metal_words(hole.metal);
            says.push_str(&format!(" It goes into {metal} with {} of thread.", words.quantity(&hole.depth)));
        }
        says.push_str(" Where the clamped parts meet is not stated, so they are drawn as one.");
        says.push_str(" Holes, bevels and the length of the thread are by proportion.");
        if matches!(self.held, Held::Nuts) && self.bolt.is_some() && !self.assembly.washers.is_empty() {
            says.push_str(" The washers are shared out as is usual; the steps say where each goes.");
        }
        if self.bolt.is_none() {
            says.push_str(" Where the stud ends is not stated.");
        }
        says
    }
}
