//! What the drawing of a fastening says.

use super::stack::{Held, Stack};
use crate::emit::phrase::joint::hole_words;
use crate::emit::phrase::kit::grade_words;
use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::Joint;

impl Stack<'_> {
    pub(super) fn caption(&self, scale: &str) -> String {
        let (nuts, washers) = (!self.assembly.nuts.is_empty(), !self.assembly.washers.is_empty());
        let thick = match (nuts, washers) {
            (true, true) => Some(spoken().fastening.nut_and_washers),
            (true, false) => Some(spoken().fastening.nut_alone),
            (false, true) => Some(spoken().fastening.washers_alone),
            (false, false) => None,
        };
        let caption = fill(spoken().fastening.caption, &[("scale", scale)]);
        std::iter::once(caption.as_str()).chain(thick).collect::<Vec<_>>().join(" ")
    }

    /// What the drawing shows, in words.
    pub(super) fn says(&self, words: Words<'_>, joint: &Joint, scale: &str) -> String {
        let labels = &spoken().fastening;
        let pieces = self.in_order(words, joint).join("; ");
        let mut says = vec![fill(labels.says, &[("scale", scale), ("pieces", &pieces)])];
        says.extend(joint.into.as_ref().map(|hole| format!("{}: {}.", spoken().joint.into, hole_words(words, hole))));
        says.push(spoken().joint.by_proportion.to_owned());
        if matches!(self.held, Held::Nuts) && self.bolt.is_some() && !self.assembly.washers.is_empty() {
            says.push(labels.shared_out.to_owned());
        }
        if self.bolt.is_none() {
            says.push(labels.stud_open.to_owned());
        }
        says.join(" ")
    }

    /// What lies on the axis, from the head to the end.
    fn in_order(&self, words: Words<'_>, joint: &Joint) -> Vec<String> {
        let mut order: Vec<String> = self.bolt_title(joint).into_iter().collect();
        for at in 0..=self.layers.len() {
            if at == self.before {
                order.push(match &joint.grip {
                    None => spoken().fastening.clamped.to_owned(),
                    Some(grip) => fill(spoken().fastening.clamped_grip, &[("grip", &words.quantity(grip))]),
                });
            }
            order.extend(self.layers.get(at).map(|layer| layer.title.clone()));
        }
        order
    }

    /// What the bolt is called, or the stud that is there already.
    pub(super) fn bolt_title(&self, joint: &Joint) -> Option<String> {
        let carries = self.assembly.bolt.as_ref()?;
        let Some(stud) = joint.onto.as_ref().filter(|_| !carries.is_part) else { return Some(carries.title.clone()) };
        let size = fill(spoken().kit.stud, &[("size", &stud.thread.id)]);
        let class = stud.grade.as_ref().map(|grade| grade_words(Some(&stud.thread), grade));
        let stud = std::iter::once(size).chain(class).collect::<Vec<_>>().join(", ");
        Some(fill(spoken().fastening.stud_there, &[("stud", &stud)]))
    }
}
