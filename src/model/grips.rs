//! What a tool turns or holds at a joint.
//!
//! A *grip* is one side of a joint: the head of a bolt or screw, or a nut.

use super::{Drive, DriveSize, FastenerKind, Head, Joint, PartId, Procedure, Tool};
use crate::quantity::{Exact, Quantity};
use num_traits::{CheckedMul, CheckedSub, Signed};
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
            FastenerKind::Stud => "stud",
            FastenerKind::Nut | FastenerKind::Washer => "nut",
        }
    }
}

impl Procedure {
    /// The sides of a joint that are turned or held. A nut that is captive, and a bolt whose neck holds it, need no tool.
    pub fn grips(&self, joint: &Joint) -> Vec<Grip<'_>> {
        let grips: Vec<Grip<'_>> = joint.each.iter().filter_map(|entry| self.grip(entry.what)).collect();
        // A stud stays where it is while its nut is turned.
        let has_nut = grips.iter().any(|grip| grip.kind == FastenerKind::Nut);
        grips.into_iter().filter(|grip| !(has_nut && grip.kind == FastenerKind::Stud)).collect()
    }

    /// What a tool turns or holds of a part; `None` for what is no fastener, and for one that takes no tool.
    pub fn grip(&self, part: PartId) -> Option<Grip<'_>> {
        let fastener = self.parts[part].fastener.as_ref()?;
        let takes_none =
            |word: &String| matches!(word.as_str(), "captive" | "square neck" | "weld" | "wing" | "knurled");
        if fastener.kind == FastenerKind::Washer || fastener.words.iter().any(takes_none) {
            return None;
        }
        Some(Grip { kind: fastener.kind, head: fastener.head.as_ref()? })
    }
}

impl Head {
    /// Whether anything tells its size: only then can a tool be held against it.
    pub fn is_known(&self) -> bool {
        !self.sizes.is_empty() || self.mark.is_some() || self.drive == Drive::Slot
    }
}

impl Tool {
    /// Whether it is of another size than a head by so little that it goes on, tightly or with play: by at most 1.2 %, as
    /// 11 mm on 7/16 in, 19 mm on 3/4 in or 16 mm on 5/8 in. The band is our own choice.
    pub fn nearly_fits(&self, head: &Head) -> bool {
        let near = |size: &Quantity, flats: &Quantity| {
            let (size, flats) = (size.base()?, flats.base()?);
            let off = size.checked_sub(&flats)?.abs();
            Some(off <= flats.checked_mul(&Exact::new(12, 1000))?)
        };
        let sizes = self.turns.iter().filter(|turns| turns.drive == head.drive).filter_map(DriveSize::only_size);
        sizes.into_iter().any(|size| head.sizes.iter().any(|flats| near(size, flats) == Some(true)))
    }

    /// Whether it fits a head, of the current or of the older standard.
    pub fn fits(&self, head: &Head) -> bool {
        self.turns.iter().any(|turns| turns.drive == head.drive && size_fits(turns, head))
    }
}

impl DriveSize {
    /// Its size, where it has just one.
    pub fn only_size(&self) -> Option<&Quantity> {
        self.size.as_ref().filter(|_| self.to.is_none())
    }
}

fn size_fits(turns: &DriveSize, head: &Head) -> bool {
    let within = |size: &Quantity, low: &Quantity, high: &Quantity| {
        size.compare(low).is_some_and(Ordering::is_ge) && size.compare(high).is_some_and(Ordering::is_le)
    };
    match (&turns.size, &turns.mark) {
        (Some(low), _) if turns.to.is_some() => {
            turns.to.iter().any(|high| head.sizes.iter().any(|head| within(head, low, high)))
        }
        (Some(size), _) => head.sizes.iter().any(|head| head.compare(size) == Some(Ordering::Equal)),
        (None, Some(mark)) => head.mark.as_ref().is_some_and(|head| head == mark),
        // A tool that names no size (a slot driver, adjustable pliers) is taken at its word.
        (None, None) => true,
    }
}
