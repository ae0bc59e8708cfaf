//! Wire sizes, and the ratings in which fuses and breakers are made: the rows of libraries that circuits ask for.
//!
//! A `source` of a row gives what stands before it, back to the source before; so each value keeps its own publication.

use super::super::Resolver;
use super::super::attribute::{has_form, word};
use crate::diagnostics::{Code, Finding, suggest};
use crate::model::{ProtectorRatings, Reference, WireSize};
use crate::parse::tree::{Attribute, Name, Row};
use crate::quantity::{Exact, Kind, Quantity, number};
use crate::source::Span;
use num_traits::{CheckedDiv, Zero};
use std::collections::BTreeSet;

/// What a wire's row may say after its metal.
const KNOWN: &[&str] = &["diameter", "area", "least-area", "resistance", "ampacity", "source"];

impl<'t> Resolver<'t> {
    /// What is known of a wire of this gauge, if a library of the compilation has it.
    pub(in crate::resolve) fn wire_size(&mut self, gauge: &Quantity, metal: &str, at: Span) -> Option<WireSize> {
        let rows: Vec<&'t Row> = self.standards.wires.values().copied().collect();
        let row = rows.into_iter().find(|row| {
            let named = row_gauge(&row.name.text);
            named.is_some_and(|(value, awg)| {
                value == gauge.value && awg == (gauge.unit.kind() == Kind::WireGauge) && metal_of(row) == metal
            })
        })?;
        self.note_use(at, row.name.span);
        self.wire_row(row)
    }

    /// Whether wires are made of it: copper, aluminium, or what a row of a library names. Says so where they are not.
    pub(in crate::resolve) fn is_metal(&mut self, metal: &Name) -> bool {
        let rows: Vec<&'t Row> = self.standards.wires.values().copied().collect();
        let known: BTreeSet<&str> = rows.into_iter().map(metal_of).chain(["copper", "aluminium"]).collect();
        if known.contains(metal.text.as_str()) {
            return true;
        }
        let near = suggest::nearest(&metal.text, known.iter().copied()).unwrap_or("copper");
        self.report(
            Finding::new(
                Code::FW0208,
                format!("no wire is known of `{}`", metal.text),
                metal.span,
                "not a metal of wires",
            )
            .because("The size of a wire says what it carries only with its metal.")
            .repair(format!(
                "Write `{near}`. Without a metal it is taken for copper; of another metal, give the size in a library."
            )),
        );
        false
    }

    /// All sizes and ratings of the libraries, once a circuit asks for them: the compiler proposes the next that fits.
    pub(in crate::resolve) fn sizes_for_circuits(&mut self) {
        if self.procedure.circuits.is_empty() {
            return;
        }
        let wires: Vec<&'t Row> = self.standards.wires.values().copied().collect();
        let mut sizes: Vec<WireSize> = wires.into_iter().filter_map(|row| self.wire_row(row)).collect();
        sizes.sort_by_key(|size| size.area.as_ref().and_then(Quantity::base));
        let fuses: Vec<&'t Row> = self.standards.fuses.values().copied().collect();
        let breakers: Vec<&'t Row> = self.standards.breakers.values().copied().collect();
        let mut ratings: Vec<ProtectorRatings> = Vec::new();
        ratings.extend(fuses.into_iter().filter_map(|row| self.protector_row(row, true)));
        ratings.extend(breakers.into_iter().filter_map(|row| self.protector_row(row, false)));
        self.procedure.wires = sizes;
        self.procedure.ratings = ratings;
    }

    pub(in crate::resolve) fn wire_row(&mut self, row: &'t Row) -> Option<WireSize> {
        let Some(gauge) = row_gauge(&row.name.text) else {
            self.report(
                Finding::new(
                    Code::FW0101,
                    format!("`{}` is not a size of wire", row.name.text),
                    row.name.span,
                    "no gauge, no area",
                )
                .because("A circuit finds its wire by the size in the row's name.")
                .repair("Name the row by its size: `8-AWG`, `4/0-AWG`, `6-mm2`."),
            );
            return None;
        };
        if !row.attributes.first().is_some_and(|first| has_form(first, 0, &[]) && !KNOWN.contains(&word(first))) {
            self.missing(
                format!("the wire `{}` does not say its metal", row.name.text),
                row.attributes.first().map_or(row.span, |first| first.span),
                "the metal is meant here",
                "Begin with it: `wire 8-AWG copper, area 8.366 mm2, …`.",
            );
            return None;
        }
        let mut diameter = None;
        let mut wire = WireSize {
            id: row.name.text.clone(),
            awg: gauge.1,
            metal: metal_of(row).to_owned(),
            area: None,
            least_area: None,
            ohm_per_metre: None,
            ampacity: Vec::new(),
            area_sources: Vec::new(),
            least_area_sources: Vec::new(),
            resistance_sources: Vec::new(),
            ampacity_sources: Vec::new(),
        };
        let mut since_source: Vec<&str> = Vec::new();
        for attribute in row.attributes.iter().skip(1) {
            match word(attribute) {
                "diameter" => diameter = self.attribute_quantity(attribute, &[Kind::Length]),
                "area" => wire.area = self.attribute_quantity(attribute, &[Kind::Area]),
                "least-area" => wire.least_area = self.attribute_quantity(attribute, &[Kind::Area]),
                "resistance" => wire.ohm_per_metre = self.resistance(attribute),
                "ampacity" => {
                    let key = (Kind::Temperature, "at");
                    wire.ampacity.extend(self.pair(attribute, key, &[Kind::Current], "80 A at 105 degC"));
                }
                "source" => {
                    let sources = self.sources(attribute);
                    give_sources(&mut wire, &std::mem::take(&mut since_source), &sources);
                    continue;
                }
                _ => self.unknown_attribute(attribute, &KNOWN.join(", ")),
            }
            since_source.push(word(attribute));
        }
        self.hold_wire(row, &wire, gauge, diameter.as_ref())?;
        Some(wire)
    }

    /// `0.6282 ohm per 1000 ft`, in ohm per metre.
    fn resistance(&mut self, attribute: &Attribute) -> Option<Exact> {
        let form = "0.6282 Ohm per 1000 ft";
        let [ohm, per] = attribute.measures.as_slice() else {
            self.unreadable(attribute, form);
            return None;
        };
        if !has_form(attribute, 2, &["per"]) {
            self.unreadable(attribute, form);
            return None;
        }
        let place = per.span;
        let ohm = self.single_quantity(ohm, &[Kind::Resistance])?;
        let per = self.single_quantity(per, &[Kind::Length])?;
        let metres = per.base()?;
        if metres.is_zero() {
            self.report(
                Finding::new(Code::FW0311, "a resistance per no length at all", place, "not above zero")
                    .because("A wire has resistance by its length.")
                    .repair(format!("Write the length that the resistance is for: `resistance {form}`.")),
            );
            return None;
        }
        ohm.base()?.checked_div(&metres)
    }

    /// `fuse blade-fuse "Blade fuse" rated 10 A 15 A 20 A, source practice`
    pub(in crate::resolve) fn protector_row(&mut self, row: &'t Row, fuse: bool) -> Option<ProtectorRatings> {
        let mut ratings = Vec::new();
        let mut sources = Vec::new();
        for attribute in &row.attributes {
            match word(attribute) {
                "rated" => {
                    if !has_form(attribute, attribute.measures.len(), &[]) {
                        self.unreadable(attribute, "10 A 15 A 20 A");
                    }
                    for measure in &attribute.measures {
                        ratings.push(self.single_quantity(measure, &[Kind::Current])?);
                    }
                }
                "source" => sources.extend(self.sources(attribute)),
                _ => self.unknown_attribute(attribute, "rated, source"),
            }
        }
        let title = row.title.as_ref().map_or_else(|| row.name.text.clone(), |title| title.value.clone());
        if ratings.is_empty() {
            self.missing(
                format!("`{}` does not say what it is rated at", row.name.text),
                row.span,
                "its currents are missing",
                "List them: `rated 10 A 15 A 20 A`.",
            );
            return None;
        }
        let protector = ProtectorRatings { id: row.name.text.clone(), title, fuse, ratings, sources };
        self.hold_ratings(row, &protector)?;
        Some(protector)
    }
}

/// Gives the values named by these words their publications.
fn give_sources(wire: &mut WireSize, words: &[&str], sources: &[Reference]) {
    for word in words {
        let place = match *word {
            "area" => &mut wire.area_sources,
            "least-area" => &mut wire.least_area_sources,
            "resistance" => &mut wire.resistance_sources,
            "ampacity" => &mut wire.ampacity_sources,
            _ => continue,
        };
        for source in sources {
            if !place.contains(source) {
                place.push(source.clone());
            }
        }
    }
}

fn metal_of(row: &Row) -> &str {
    row.attributes.first().map(word).unwrap_or_default()
}

/// The gauge in a wire's name, and whether it is an AWG number: `4/0-AWG`, `0.5-mm2`.
fn row_gauge(name: &str) -> Option<(Exact, bool)> {
    let (size, unit) = name.rsplit_once('-')?;
    match unit {
        "AWG" => number::parse_gauge(size).ok().map(|(size, _)| (size, true)),
        "mm2" => number::parse(size).ok().map(|(size, _)| (size, false)),
        _ => None,
    }
}
