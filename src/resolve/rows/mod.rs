//! The rows of libraries, by name, and what all sorts of them say alike: sizes, marks, sources. What a thread, washer, screw
//! or wire is has a file each.

mod screw;
mod thread;
mod washer;
mod wire;

pub(super) use screw::hex_of;

use std::collections::BTreeMap;

use super::Resolver;
use super::attribute::{has_form, word};
use super::scope::Level;
use crate::diagnostics::{Code, Finding, suggest};
use crate::model::Reference;
use crate::parse::tree::{self, Attribute, Decl, MeasureForm, Row};
use crate::quantity::{Kind, Measure, Quantity};
use crate::source::{FileId, Span};

/// Rows by name, as written.
#[derive(Default)]
pub(super) struct Standards<'t> {
    threads: BTreeMap<&'t str, &'t Row>,
    grades: BTreeMap<&'t str, &'t Row>,
    pub(super) wires: BTreeMap<&'t str, &'t Row>,
    pub(super) washers: BTreeMap<&'t str, &'t Row>,
    pub(super) insert_nuts: BTreeMap<&'t str, &'t Row>,
    pub(super) fuses: BTreeMap<&'t str, &'t Row>,
    pub(super) breakers: BTreeMap<&'t str, &'t Row>,
    pub(super) screws: BTreeMap<&'t str, &'t Row>,
    /// The level of the file that a row stands in, by its place.
    levels: BTreeMap<Span, Level>,
    /// By name and file: rows name the publications of their own file.
    references: BTreeMap<(&'t str, FileId), Reference>,
    /// Rows of the file that is being compiled, to be looked at even where nothing uses them.
    own: Vec<&'t Decl>,
}

impl<'t> Standards<'t> {
    /// Adds a row; says so where its name is taken. The nearest level's row is the one that counts.
    pub fn collect(&mut self, decl: &'t Decl, level: Level) -> Option<Finding> {
        if level == Level::Own {
            self.own.push(decl);
        }
        let (table, row) = match decl {
            Decl::Thread(row) => (&mut self.threads, row),
            Decl::Grade(row) => (&mut self.grades, row),
            Decl::Wire(row) => (&mut self.wires, row),
            Decl::Washer(row) => (&mut self.washers, row),
            Decl::Screw(row) => (&mut self.screws, row),
            Decl::InsertNut(row) => (&mut self.insert_nuts, row),
            Decl::Fuse(row) => (&mut self.fuses, row),
            Decl::Breaker(row) => (&mut self.breakers, row),
            Decl::Reference { name, title, confirmed } => {
                let words =
                    |text: &Option<tree::Text>| text.as_ref().map(|text| text.value.clone()).unwrap_or_default();
                let reference = Reference { publication: words(title), confirmed: words(confirmed) };
                self.references.entry((&name.text, name.span.file)).or_insert(reference);
                return None;
            }
            _ => return None,
        };
        self.levels.insert(row.span, level);
        let Some(first) = table.get(row.name.text.as_str()).copied() else {
            table.insert(&row.name.text, row);
            return None;
        };
        let before = self.levels.get(&first.span).copied().unwrap_or(Level::Own);
        if level < before {
            table.insert(&row.name.text, row);
        }
        match (before, level) {
            _ if before == level => Some(given_twice(first, row)),
            (Level::Own, _) => Some(hides(first, row)),
            _ => None,
        }
    }
}

fn given_twice(first: &Row, row: &Row) -> Finding {
    Finding::new(Code::FW0202, format!("`{}` is given twice", row.name.text), row.name.span, "given again here")
        .also(first.name.span, "first given here")
        .because("Two rows for one size can't both be right.")
        .repair("Keep one of the two.")
}

fn hides(own: &Row, hidden: &Row) -> Finding {
    Finding::new(
        Code::FW0210,
        format!("the row `{}` of this file counts here, not the library's", own.name.text),
        own.name.span,
        "this one counts",
    )
    .also(hidden.name.span, "hidden here")
    .because("What this file gives for a size goes before what a library gives.")
    .repair("Leave it so, or remove the row if the library's is what you want.")
}

impl<'t> Resolver<'t> {
    /// Looks at the rows of the file itself, so that a library's mistakes show when it is checked.
    pub(super) fn own_rows(&mut self) {
        for decl in self.standards.own.clone() {
            match decl {
                Decl::Thread(row) => drop(self.thread_row(row)),
                Decl::Grade(row) => drop(self.grade_row(row)),
                Decl::Wire(row) => drop(self.wire_row(row)),
                Decl::Washer(row) => drop(self.washer_row(row)),
                Decl::InsertNut(row) => drop(self.insert_nut_row(row)),
                Decl::Fuse(row) => drop(self.protector_row(row, true)),
                Decl::Breaker(row) => drop(self.protector_row(row, false)),
                Decl::Screw(row) => drop(self.screw_row(row)),
                _ => {}
            }
        }
    }

    /// The mark after a word: `PH2`.
    pub(super) fn mark(&mut self, attribute: &Attribute, form: &str) -> Option<String> {
        let [mark] = attribute.words.as_slice() else {
            self.unreadable(attribute, form);
            return None;
        };
        if !attribute.measures.is_empty() || attribute.text.is_some() {
            self.unreadable(attribute, form);
        }
        Some(mark.text.clone())
    }

    /// A single length, current, … after the attribute's word; `at most` is read as its bound.
    pub(super) fn attribute_quantity(&mut self, attribute: &Attribute, wanted: &[Kind]) -> Option<Quantity> {
        let example = wanted.first().map_or("mm", |kind| kind.example_unit().spelling());
        let form = format!("13 {example}");
        let [measure] = attribute.measures.as_slice() else {
            self.unreadable(attribute, &form);
            return None;
        };
        if !has_form(attribute, 1, &[]) {
            self.unreadable(attribute, &form);
            return None;
        }
        match self.measure(measure, wanted)? {
            Measure::Exact(quantity) | Measure::AtMost(quantity) => Some(quantity),
            // Only the least area is a lower bound; a least thickness, taken for the most, would judge a bolt wrongly.
            Measure::AtLeast(quantity) if word(attribute) == "least-area" => Some(quantity),
            _ => {
                self.unreadable(attribute, &form);
                None
            }
        }
    }

    /// `580 MPa through 16 mm` as (16 mm, 580 MPa).
    pub(super) fn pair(
        &mut self,
        attribute: &Attribute,
        (key, joint): (Kind, &str),
        value: &[Kind],
        form: &str,
    ) -> Option<(Quantity, Quantity)> {
        let [first, second] = attribute.measures.as_slice() else {
            self.unreadable(attribute, form);
            return None;
        };
        if !has_form(attribute, 2, &[joint]) {
            self.unreadable(attribute, form);
            return None;
        }
        let first = self.single_quantity(first, value)?;
        Some((self.single_quantity(second, &[key])?, first))
    }

    /// The publications that a row names.
    pub(super) fn sources(&mut self, attribute: &Attribute) -> Vec<Reference> {
        if let Some(text) = &attribute.text {
            return vec![Reference { publication: text.value.clone(), confirmed: String::new() }];
        }
        let mut titles = Vec::new();
        if attribute.words.is_empty() {
            self.unreadable(attribute, "iso-898-1");
        }
        for name in &attribute.words {
            titles.extend(self.reference(name));
        }
        titles
    }

    /// A publication by its name.
    pub(super) fn reference(&mut self, name: &tree::Name) -> Option<Reference> {
        let known = &self.standards.references;
        let anywhere = || known.iter().find(|((text, _), _)| *text == name.text).map(|(_, reference)| reference);
        let found = known.get(&(name.text.as_str(), name.span.file)).or_else(anywhere).cloned();
        if found.is_none() {
            let near = suggest::nearest(&name.text, known.keys().map(|(text, _)| *text));
            let finding = Finding::new(
                Code::FW0201,
                format!("no `reference` declares `{}`", name.text),
                name.span,
                "a publication is meant here",
            );
            let finding = match near {
                Some(near) => finding.repair(format!("Write `{near}`.")),
                None => {
                    finding.repair(format!("Declare it: `reference {} \"Publication\" confirmed \"how\"`.", name.text))
                }
            };
            self.report(finding);
        }
        found
    }

    pub(super) fn unknown_attribute(&mut self, attribute: &Attribute, known: &str) {
        self.report(
            Finding::new(Code::FW0110, "this row can't say that", attribute.span, "not known in this row")
                .repair(format!("A row of this kind says: {known}.")),
        );
    }

    pub(super) fn unreadable(&mut self, attribute: &Attribute, form: &str) {
        self.report(
            Finding::new(Code::FW0101, "this can't be read", attribute.span, "not in the form of this row")
                .repair(format!("Write it as in `{} {form}`.", word(attribute))),
        );
    }
}

/// A bare number after a word, as written.
fn bare_text(attribute: &Attribute) -> Option<String> {
    match &attribute.measures.first()?.form {
        MeasureForm::Exact(amount) => Some(amount.number.text.clone()),
        _ => None,
    }
}
