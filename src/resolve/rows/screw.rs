//! Self-tapping screws: their rows, and the recess that a standard gives to a size.
//!
//! A *mark* names a recess by its standard: `PH2`, `T20`.

use super::super::Resolver;
use super::super::attribute::word;
use crate::diagnostics::{Code, Finding, suggest};
use crate::model::{Drive, Fastener, Head, Tapping};
use crate::parse::tree::{Name, Row};
use crate::quantity::{Kind, Quantity};

impl<'t> Resolver<'t> {
    /// Whether a name is that of a self-tapping size rather than of a machine thread.
    pub(in crate::resolve) fn is_tapping(&self, name: &Name) -> bool {
        name.text.starts_with("ST") || self.standards.screws.contains_key(name.text.as_str())
    }

    /// A self-tapping size by its name.
    pub(in crate::resolve) fn tapping(&mut self, name: &Name) -> Option<Tapping> {
        if let Some(row) = self.standards.screws.get(name.text.as_str()).copied() {
            self.note_use(name.span, row.name.span);
            return self.screw_row(row);
        }
        let near = suggest::nearest(&name.text, self.standards.screws.keys().copied());
        let finding = Finding::new(
            Code::FW0201,
            format!("no library here has the self-tapping screw `{}`", name.text),
            name.span,
            "unknown size",
        );
        let finding = match near {
            _ if self.standards.screws.is_empty() => finding.repair("Add `use std/fasteners` at the top of the file."),
            Some(near) => {
                finding.repair(format!("Write `{near}`, or add a row for `{}` to a library of yours.", name.text))
            }
            None => finding.repair("Write a size such as `ST4.2`, or its diameter: `screw 4.2 mm x 19 mm, …`."),
        };
        if !(self.unread.contains(&name.text) || self.lacks_a_library && self.standards.screws.is_empty()) {
            self.report(finding);
        }
        None
    }

    /// `screw ST4.2 4.2 mm x 1.4 mm, cross-recess PH2, …`
    pub(in crate::resolve) fn screw_row(&mut self, row: &'t Row) -> Option<Tapping> {
        let size = row.attributes.first().filter(|attribute| attribute.word.is_none());
        let Some(size) = size else {
            self.report(
                Finding::new(
                    Code::FW0114,
                    format!("the self-tapping screw `{}` has no size", row.name.text),
                    row.span,
                    "diameter and pitch",
                )
                .repair("Begin with both: `screw ST4.2 4.2 mm x 1.4 mm, …`."),
            );
            return None;
        };
        let (diameter, pitch_mm) = self.thread_size(size, "4.2 mm x 1.4 mm")?;
        let mut tapping = Tapping {
            id: row.name.text.clone(),
            diameter,
            pitch_mm,
            hex_head: None,
            cross_recess: None,
            hexalobular: None,
            sources: Vec::new(),
        };
        for attribute in row.attributes.iter().skip(1) {
            match word(attribute) {
                "hex-head" => tapping.hex_head = self.attribute_quantity(attribute, &[Kind::Length]),
                "cross-recess" => tapping.cross_recess = self.mark(attribute, "PH2"),
                "hexalobular" => tapping.hexalobular = self.mark(attribute, "T20"),
                "source" => {
                    let sources = self.sources(attribute);
                    tapping.sources.extend(sources);
                }
                _ => self.unknown_attribute(attribute, "hex-head, cross-recess, hexalobular, source"),
            }
        }
        self.hold_tapping(row, &tapping)?;
        Some(tapping)
    }

    /// `cross recess`, `hexalobular` without a mark: the mark that the standard gives to the size.
    pub(in crate::resolve) fn usual_recess(
        &mut self,
        fastener: &mut Fastener,
        drive: Drive,
        written: &Name,
    ) -> Option<()> {
        let (machine, tapping) = (&fastener.thread, &fastener.tapping);
        let mark = match drive {
            Drive::CrossRecess => (machine.as_ref().and_then(|row| row.cross_recess.clone()))
                .or_else(|| tapping.as_ref().and_then(|row| row.cross_recess.clone())),
            _ => (machine.as_ref().and_then(|row| row.hexalobular.clone()))
                .or_else(|| tapping.as_ref().and_then(|row| row.hexalobular.clone())),
        };
        let Some(mark) = mark else {
            let example = if drive == Drive::CrossRecess { "cross recess PH2" } else { "hexalobular T20" };
            self.report(
                Finding::new(
                    Code::FW0114,
                    format!("`{}` does not say which size of recess", written.text),
                    written.span,
                    "no row gives it for this screw",
                )
                .because("Without the size, nobody can say which bit fits.")
                .repair(format!("Write its mark, for example `{example}`.")),
            );
            return None;
        };
        fastener.words.push(format!("{} {mark}", written.text));
        fastener.head = Some(Head { drive, sizes: Vec::new(), mark: Some(mark) });
        Some(())
    }
}

/// The hexagon of a self-tapping screw.
pub(in crate::resolve) fn hex_of(tapping: Option<&Tapping>) -> Vec<Quantity> {
    tapping.and_then(|tapping| tapping.hex_head).into_iter().collect()
}
