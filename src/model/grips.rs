//! What a tool turns or holds at a joint.
//!
//! A *grip* is one side of a joint: the head of a bolt or screw, or a nut.

use super::{DriveSize, FastenerKind, Head, Joint, Procedure, Tool};
use std::cmp::Ordering;

/// One side of a joint that a tool must grip.
#[derive(Debug, Clone, Copy)]
pub struct Grip<'p> {
    /// What is gripped.
    pub kind: FastenerKind,
    /// How it is turned.
    pub head: &'p Head,
}

impl Grip<'_> {
    /// What is gripped, in words.
    pub fn what(&self) -> &'static str {
        match self.kind {
            FastenerKind::Bolt => "bolt head",
            FastenerKind::Screw => "screw head",
            FastenerKind::Nut | FastenerKind::Stud | FastenerKind::Washer => "nut",
        }
    }
}

impl Procedure {
    /// The sides of a joint that are turned or held. A nut that is captive, and a bolt whose neck holds it, need no tool.
    pub fn grips(&self, joint: &Joint) -> Vec<Grip<'_>> {
        let mut grips = Vec::new();
        for entry in &joint.each {
            let Some(fastener) = &self.parts[entry.what].fastener else { continue };
            let holds_itself =
                fastener.words.iter().any(|word| matches!(word.as_str(), "captive" | "square neck" | "weld"));
            let Some(head) = fastener.head.as_ref().filter(|_| !holds_itself) else { continue };
            if fastener.kind != FastenerKind::Washer {
                grips.push(Grip { kind: fastener.kind, head });
            }
        }
        grips
    }
}

impl Tool {
    /// Whether it fits a head, of the current or of the older standard.
    pub fn fits(&self, head: &Head) -> bool {
        self.turns.iter().any(|turns| turns.drive == head.drive && size_fits(turns, head))
    }
}

fn size_fits(turns: &DriveSize, head: &Head) -> bool {
    match (&turns.size, &turns.mark) {
        (Some(size), _) => head.sizes.iter().any(|head| head.compare(size) == Some(Ordering::Equal)),
        (None, Some(mark)) => head.mark.as_ref().is_some_and(|head| head == mark),
        // A tool that names no size (a slot driver, adjustable pliers) is taken at its word.
        (None, None) => true,
    }
}
