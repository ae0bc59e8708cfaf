//! What is kept for the owner: parts that came off, and what is left of the kit.

use super::{Counted, LineKind, PartId, Procedure};

impl Procedure {
    /// Whether some line takes the part off the vehicle, by itself or with its joint. What never comes off and is kept for the
    /// owner comes out of the kit.
    pub fn comes_off(&self, part: PartId) -> bool {
        let lines = self.steps.rows().iter().flat_map(|step| &step.lines);
        lines.into_iter().any(|line| match &line.kind {
            LineKind::Remove(list, _) => list.iter().any(|entry| entry.what == part),
            LineKind::RemoveJoint(joint, _) => self.joints[*joint].each.iter().any(|entry| entry.what == part),
            _ => false,
        })
    }

    /// Whether what is kept of the part comes out of the kit: the line says so (`from kit`), or none of it comes off.
    pub fn is_spare(&self, part: PartId, from_kit: bool) -> bool {
        if from_kit {
            return true;
        }
        let mut entries = self.kit.iter().flat_map(|group| &group.entries);
        entries.any(|entry| entry.what == part) && !self.comes_off(part)
    }

    /// Whether all that a line keeps comes out of the kit.
    pub fn are_spares(&self, parts: &[Counted<PartId>], from_kit: bool) -> bool {
        parts.iter().all(|entry| self.is_spare(entry.what, from_kit))
    }
}
