//! Parts, the kit, what is on the vehicle, and the lines about the whole procedure.

use super::Resolver;
use super::amounts::Place;
use super::fasteners::standard_title;
use super::scope::{Target, Wanted};
use crate::diagnostics::{Code, Finding};
use crate::model::{KitGroup, KitKind, Part, ProtectionId, Terminal, Unknown, UnknownValue, VehicleGroup};
use crate::parse::tree::{self, AboutLine, CountedName, Name, PartLine};
use crate::quantity::Kind;
use crate::source::Span;

impl<'t> Resolver<'t> {
    pub(super) fn part(&mut self, part: &'t tree::Part, library: bool, span: Span) -> Option<Target> {
        let spec = part.spec.as_ref();
        let terminal = match spec.filter(|spec| spec.kind.text == "terminal") {
            Some(spec) => Some(self.terminal_of(spec)?),
            None => None,
        };
        let fastener = match spec.filter(|_| terminal.is_none()) {
            Some(spec) => {
                let drive = part.lines.iter().any(|line| matches!(line.node, PartLine::Unknown { what: "drive", .. }));
                Some(self.fastener(spec, drive)?)
            }
            None => None,
        };
        let mut name = self.naming(&part.name, part.title.as_ref(), library);
        if let (None, Some(spec), Some(fastener)) = (&part.title, &part.spec, &fastener) {
            name.title = standard_title(spec, fastener);
        }
        let mut row = Part {
            name,
            fastener,
            terminal,
            mass: None,
            number: None,
            short: None,
            unknown: Vec::new(),
            consumable: false,
            comes_by: None,
            single_use: false,
            brings: Vec::new(),
            span,
        };
        for item in &part.lines {
            self.accepts_unless(library, item);
            match &item.node {
                PartLine::Mass(mass) => row.mass = self.single_quantity(mass, &[Kind::Mass]).or(row.mass),
                PartLine::Unknown { what, why } => row.unknown.extend(self.unknown_value(what, why, item.span)),
                PartLine::Consumable => row.consumable = true,
                PartLine::SingleUse => row.single_use = true,
                PartLine::Brings(names) => row.brings.extend(self.hazards_named(names)),
                PartLine::PartNumber(number) => row.number = Some(number.value.clone()),
                PartLine::Short(short) => row.short = self.some_words(short, "what sentences call it"),
                PartLine::Source(names) => names.iter().for_each(|name| drop(self.reference(name))),
            }
        }
        self.known_after_all(&row);
        Some(Target::Part(self.procedure.parts.push(row)))
    }

    /// FW0113: what is said to be unknown is said all the same.
    fn known_after_all(&mut self, part: &Part) {
        let fastener = part.fastener.as_ref();
        for unknown in &part.unknown {
            let said = match unknown.what {
                UnknownValue::Size => fastener.is_some_and(|fastener| fastener.thread.is_some()),
                UnknownValue::Drive => fastener.is_some_and(|fastener| fastener.head.is_some()),
                _ => false,
            };
            if said {
                let message = format!("`{}` says its {} and that nobody knows it", part.name.id, unknown.what.words());
                self.report(
                    Finding::new(Code::FW0113, message, unknown.span, "known after all")
                        .also(part.span, "said here")
                        .repair("Take this line out, or what it says is unknown."),
                );
            }
        }
    }

    /// `terminal ring-8-m8`: the row of a library that says what it fits.
    fn terminal_of(&mut self, spec: &tree::Spec) -> Option<Terminal> {
        let Some(row) = spec.thread.as_ref().or(spec.attributes.first()) else {
            self.missing(
                "this terminal does not say which it is",
                spec.span,
                "its row is missing",
                "Name a row of a library: `terminal ring-8-m8`.",
            );
            return None;
        };
        let Some(Target::Part(found)) = self.find(row, Wanted::Terminal) else { return None };
        self.procedure.parts[found].terminal.clone()
    }

    pub(super) fn kit(&mut self, groups: &'t [tree::Item<tree::KitGroup>]) {
        for item in groups {
            self.accepts_for(&item.accepts, item.span, true);
            let group = &item.node;
            let kind = match group.kind.text.as_str() {
                "bag" => KitKind::Bag,
                "shop" => KitKind::Shop,
                _ => KitKind::Box,
            };
            // What is supplied is not yet used: only the steps use it.
            self.counting_uses = false;
            let entries = self.much_of_parts(&group.entries, Place::Kit);
            self.counting_uses = true;
            let Some(when) = self.optional_cond(group.when.as_ref()) else { continue };
            let name = group.name.as_ref().map(|name| name.text.clone());
            self.procedure.kit.push(KitGroup { kind, name, when, entries, span: item.span });
        }
    }

    pub(super) fn vehicle(&mut self, when: Option<&'t tree::Cond>, entries: &'t [CountedName], span: Span) {
        self.counting_uses = false;
        let entries = self.counted_parts(entries);
        self.counting_uses = true;
        let Some(when) = self.optional_cond(when) else { return };
        self.procedure.vehicle.push(VehicleGroup { when, entries, span });
    }

    pub(super) fn about(&mut self, lines: &'t [tree::Item<AboutLine>]) {
        for item in lines {
            self.accepts(item);
            match &item.node {
                AboutLine::Prose(prose) => {
                    let prose = self.prose(prose);
                    self.procedure.about.prose.push(prose);
                }
                AboutLine::Skill(text) => self.procedure.about.skill.push(text.value.clone()),
                AboutLine::Fits(text) => self.procedure.about.fits.push(text.value.clone()),
                AboutLine::Licence(text) => self.procedure.about.licence.push(text.value.clone()),
                AboutLine::Wear(names) => {
                    let worn = self.protections(names);
                    self.procedure.about.wear.extend(worn);
                }
            }
        }
    }

    pub(super) fn protections(&mut self, names: &[Name]) -> Vec<ProtectionId> {
        let mut found = Vec::new();
        for name in names {
            if let Some(Target::Protection(protection)) = self.find(name, Wanted::Protection) {
                found.push(protection);
            }
        }
        found
    }

    /// A value that is said to be unknown, with a reason that says something.
    pub(super) fn unknown_value(&mut self, what: &str, why: &tree::Text, span: Span) -> Option<Unknown> {
        if why.value.trim().is_empty() {
            self.missing(
                "this text is empty",
                why.span,
                "say why it is unknown, and who decides",
                format!("Write the reason: `{what} unknown \"The vehicle's own; its handbook decides.\"`."),
            );
        }
        UnknownValue::of_word(what).map(|what| Unknown { what, why: why.value.clone(), span })
    }

    /// The words of a text, without what ends a sentence; says so where it is empty.
    pub(super) fn some_words(&mut self, text: &tree::Text, wanted: &str) -> Option<String> {
        let words = text.value.trim().trim_end_matches('.').trim_end();
        if words.is_empty() {
            self.missing("this text is empty", text.span, "nothing here", format!("Write {wanted}, or take it out."));
            return None;
        }
        Some(words.to_owned())
    }

    /// Says that a group of a statement came to nothing.
    pub(super) fn missing(
        &mut self,
        what: impl Into<String>,
        at: Span,
        label: impl Into<String>,
        repair: impl Into<String>,
    ) {
        self.report(Finding::new(Code::FW0114, what, at, label).repair(repair));
    }
}
