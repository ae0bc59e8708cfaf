//! The torques of a joint: all to which a wrench is set, and the greatest.

use super::things::{Joint, Tightness};
use super::tightening::{Stage, StageDoes};
use crate::quantity::{Measure, Quantity};
use crate::source::Span;
use std::cmp::Ordering;

impl Joint {
    /// Every torque to which a wrench is set for it, with its place: those of its stages, or the one. Those of a
    /// `pattern`, which are worked out, are not among them.
    pub fn torques(&self) -> Vec<(&Measure, Span)> {
        if let (true, Tightness::Torque(torque, span)) = (self.stages.is_empty(), &self.tightness) {
            return vec![(torque, *span)];
        }
        self.stages.iter().filter_map(Stage::torque).collect()
    }

    /// The greatest of its torques, which its bolt must bear; `None` where it has none. Of equal ones the last.
    pub fn greatest_torque(&self) -> Option<(&Measure, Span)> {
        let top = |torque: &Measure| torque.high().or_else(|| torque.low());
        let not_less = |one: &Quantity, than: &Quantity| one.compare(than) != Some(Ordering::Less);
        self.torques().into_iter().reduce(|most, next| match (top(most.0), top(next.0)) {
            (Some(high), Some(other)) if not_less(&other, &high) => next,
            _ => most,
        })
    }

    /// Whether its greatest torque is what it is left with, so that its preload follows from that.
    pub fn is_left_at_greatest(&self) -> bool {
        let Some(last) = self.stages.last() else { return matches!(self.tightness, Tightness::Torque(..)) };
        matches!(last.does, StageDoes::Torque(_)) && self.greatest_torque().is_some_and(|(_, span)| span == last.span)
    }

    /// Whether it is left with play: loosened by a later line, or backed off as its last stage.
    pub fn ends_backed_off(&self) -> bool {
        self.backed_off || self.stages.last().is_some_and(|last| matches!(last.does, StageDoes::BackOff(_)))
    }
}
