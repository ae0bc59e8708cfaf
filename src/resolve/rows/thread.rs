//! Threads and grades: the rows that give the sizes and strengths of bolts, screws and nuts.

use super::super::Resolver;
use super::super::attribute::{has_form, word};
use super::bare_text;
use crate::diagnostics::{Code, Finding, suggest};
use crate::model::{Grade, Thread};
use crate::parse::tree::{self, Attribute, MeasureForm, Row};
use crate::quantity::{Exact, Kind, Quantity};
use num_traits::{CheckedDiv, Zero};

impl<'t> Resolver<'t> {
    /// A thread by its name.
    pub(in crate::resolve) fn thread(&mut self, name: &tree::Name) -> Option<Thread> {
        match self.standards.threads.get(name.text.as_str()).copied() {
            Some(row) => {
                self.note_use(name.span, row.name.span);
                self.thread_row(row)
            }
            None => {
                let near = suggest::nearest(&name.text, self.standards.threads.keys().copied());
                let finding = self.no_row(name, "thread", "std/fasteners", near);
                if !(self.unread.contains(&name.text) || self.lacks_a_library && self.standards.threads.is_empty()) {
                    self.report(finding);
                }
                None
            }
        }
    }

    /// A grade by its name; `at` is where it is named.
    pub(in crate::resolve) fn grade(&mut self, text: &str, at: &tree::Name) -> Option<Grade> {
        match self.standards.grades.get(text).copied() {
            Some(row) => {
                self.note_use(at.span, row.name.span);
                self.grade_row(row)
            }
            None => {
                let near = suggest::nearest(text, self.standards.grades.keys().copied());
                let name = tree::Name { text: text.to_owned(), span: at.span };
                let finding = self.no_row(&name, "grade", "std/fasteners", near);
                if !(self.unread.contains(text) || self.lacks_a_library && self.standards.grades.is_empty()) {
                    self.report(finding);
                }
                None
            }
        }
    }

    fn no_row(&self, name: &tree::Name, what: &str, library: &str, near: Option<&str>) -> Finding {
        if what == "grade" && name.text.ends_with("unknown") {
            return Finding::new(
                Code::FW0201,
                "`unknown` is no class that a fastener has",
                name.span,
                "of which class?",
            )
            .repair(
                "Where nobody knows it, say so in the block of the part: `part NAME nut M8 { class unknown \"why\" }`.",
            );
        }
        let finding = Finding::new(
            Code::FW0201,
            format!("no library here has the {what} `{}`", name.text),
            name.span,
            format!("unknown {what}"),
        );
        let used = match what {
            "thread" => !self.standards.threads.is_empty(),
            _ => !self.standards.grades.is_empty(),
        };
        if let Some((size, length)) =
            with_its_length(&name.text).filter(|(size, _)| self.standards.threads.contains_key(*size))
        {
            return finding.repair(format!("The length stands apart, with its unit: write `{size} x {length} mm`."));
        }
        match near {
            _ if !used => finding.repair(format!("Add `use {library}` at the top of the file.")),
            Some(near) => {
                finding.repair(format!("Write `{near}`, or add a row for `{}` to a library of yours.", name.text))
            }
            None => {
                let table = if what == "thread" { &self.standards.threads } else { &self.standards.grades };
                let some: Vec<String> = table.keys().take(12).map(|known| format!("`{known}`")).collect();
                finding.repair(format!(
                    "Known here are {} and others. Add a row for `{}` to a library of yours.",
                    some.join(", "),
                    name.text
                ))
            }
        }
    }

    pub(super) fn thread_row(&mut self, row: &'t Row) -> Option<Thread> {
        let size = row.attributes.first().filter(|attribute| attribute.word.is_none());
        let Some(size) = size else {
            self.report(
                Finding::new(
                    Code::FW0114,
                    format!("the thread `{}` has no size", row.name.text),
                    row.span,
                    "diameter and pitch",
                )
                .repair("Begin with both: `thread M8 8 mm x 1.25 mm, …` or `thread 1/2-13 1/2 in x 13 per in, …`."),
            );
            return None;
        };
        let (diameter, pitch_mm) = self.thread_size(size, "8 mm x 1.25 mm")?;
        let mut thread = Thread {
            id: row.name.text.clone(),
            diameter,
            pitch_mm,
            hex_bolt: None,
            old_hex_bolt: None,
            hex_nut: None,
            old_hex_nut: None,
            hex_key: None,
            head_height: None,
            nut_height: None,
            cross_recess: None,
            hexalobular: None,
            sources: Vec::new(),
        };
        for attribute in row.attributes.iter().skip(1) {
            let place = match word(attribute) {
                "hex-bolt" => &mut thread.hex_bolt,
                "old-hex-bolt" => &mut thread.old_hex_bolt,
                "hex-nut" => &mut thread.hex_nut,
                "old-hex-nut" => &mut thread.old_hex_nut,
                "hex-key" => &mut thread.hex_key,
                "head-height" => &mut thread.head_height,
                "nut-height" => &mut thread.nut_height,
                "cross-recess" => {
                    thread.cross_recess = self.mark(attribute, "PH2");
                    continue;
                }
                "hexalobular" => {
                    thread.hexalobular = self.mark(attribute, "T20");
                    continue;
                }
                "source" => {
                    let sources = self.sources(attribute);
                    thread.sources.extend(sources);
                    continue;
                }
                _ => {
                    self.unknown_attribute(
                        attribute,
                        "hex-bolt, hex-nut, old-hex-bolt, old-hex-nut, hex-key, head-height, nut-height, \
                         cross-recess, hexalobular, source",
                    );
                    continue;
                }
            };
            *place = self.attribute_quantity(attribute, &[Kind::Length]);
        }
        self.hold_thread(row, &thread)?;
        Some(thread)
    }

    /// `8 mm x 1.25 mm`, `1/2 in x 13 per in`
    pub(in crate::resolve) fn thread_size(&mut self, size: &Attribute, form: &str) -> Option<(Quantity, Exact)> {
        let per_inch = has_form(size, 2, &["x", "per", "in"]);
        let [diameter, pitch] = size.measures.as_slice() else { return self.no_size(size, form) };
        if !per_inch && !has_form(size, 2, &["x"]) {
            return self.no_size(size, form);
        }
        let diameter = self.single_quantity(diameter, &[Kind::Length])?;
        let millimetre = Exact::new(1, 1000);
        if let MeasureForm::Exact(amount) = &pitch.form
            && per_inch
        {
            let (threads, _) = self.number(&amount.number, None)?;
            // No threads at all have no pitch; a pitch of nought is refused with the other numbers that can't be.
            let pitch = if threads.is_zero() { threads } else { Exact::new(254, 10).checked_div(&threads)? };
            return if amount.unit.is_none() { Some((diameter, pitch)) } else { self.no_size(size, form) };
        }
        let pitch = self.single_quantity(pitch, &[Kind::Length])?;
        Some((diameter, pitch.base()?.checked_div(&millimetre)?))
    }

    /// Says that a row's size is not in its form.
    fn no_size<T>(&mut self, size: &Attribute, form: &str) -> Option<T> {
        self.report(
            Finding::new(Code::FW0101, "this is not the size of a thread", size.span, "diameter, `x`, pitch")
                .because("A size that is read wrongly makes every torque on it wrong.")
                .repair(format!(
                    "Write the diameter, `x`, and the pitch: `{form}`, or in inches `1/2 in x 13 per in`."
                )),
        );
        None
    }

    pub(super) fn grade_row(&mut self, row: &'t Row) -> Option<Grade> {
        let mut grade = Grade {
            id: row.name.text.clone(),
            proof: Vec::new(),
            yields: Vec::new(),
            tensile: Vec::new(),
            carries: None,
            sources: Vec::new(),
        };
        for attribute in &row.attributes {
            let place = match word(attribute) {
                "proof" => &mut grade.proof,
                "yield" => &mut grade.yields,
                "tensile" => &mut grade.tensile,
                "carries" => {
                    grade.carries = self.carried(attribute, row).map(Box::new);
                    continue;
                }
                "source" => {
                    grade.sources = self.sources(attribute);
                    continue;
                }
                _ => {
                    self.unknown_attribute(attribute, "proof, yield, tensile, carries, source");
                    continue;
                }
            };
            place.extend(self.pair(attribute, (Kind::Length, "through"), &[Kind::Pressure], "580 MPa through 16 mm"));
        }
        self.hold_grade(row, &grade)?;
        Some(grade)
    }

    /// The bolt's grade that a nut's row names. A grade that is no nut's carries nothing, so this goes one row deep.
    fn carried(&mut self, attribute: &Attribute, nut: &Row) -> Option<Grade> {
        let text = attribute.words.first().map(|name| name.text.clone()).or_else(|| bare_text(attribute))?;
        let row = self.standards.grades.get(text.as_str()).copied();
        let is_bolts = |row: &&Row| row.attributes.iter().all(|attribute| word(attribute) != "carries");
        if let Some(row) = row.filter(is_bolts) {
            return self.grade_row(row);
        }
        self.report(
            Finding::new(
                Code::FW0201,
                format!("`{text}`, which `{}` carries, is not the grade of a bolt in any library here", nut.name.text),
                attribute.span,
                "a bolt's grade is meant here",
            )
            .repair("Name a grade that has its own row with its stresses: `carries 8.8`."),
        );
        None
    }
}

/// `M8x70`: a size and a length in one word. What is 5 mm at most may be a pitch.
fn with_its_length(name: &str) -> Option<(&str, u32)> {
    let (size, length) = name.split_once(['x', 'X'])?;
    Some((size, length.parse().ok().filter(|length| *length > 5)?))
}
