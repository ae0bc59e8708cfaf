//! Wire sizes, and the ratings in which fuses and breakers are made: the rows of libraries that circuits ask for.
//!
//! A `source` of a row gives what stands before it, back to the source before; so each value keeps its own publication.

use super::Resolver;
use super::standards::word;
use crate::model::{ProtectorRatings, Reference, WireSize};
use crate::parse::tree::{Attribute, Row};
use crate::quantity::{Exact, Kind, Quantity, number};
use num_traits::{CheckedDiv, Zero};

impl<'t> Resolver<'t> {
    /// What is known of a wire of this gauge, if a library of the compilation has it.
    pub(super) fn wire_size(&mut self, gauge: &Quantity, metal: &str) -> Option<WireSize> {
        let rows: Vec<&'t Row> = self.standards.wires.values().copied().collect();
        let row = rows.into_iter().find(|row| {
            let named = row_gauge(&row.name.text);
            named.is_some_and(|(value, awg)| {
                value == gauge.value && awg == (gauge.unit.kind() == Kind::WireGauge) && metal_of(row) == metal
            })
        })?;
        self.wire_row(row)
    }

    /// All sizes and ratings of the libraries, once a circuit asks for them: the compiler proposes the next that fits.
    pub(super) fn sizes_for_circuits(&mut self) {
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

    pub(super) fn wire_row(&mut self, row: &'t Row) -> Option<WireSize> {
        let size = row_gauge(&row.name.text);
        let mut wire = WireSize {
            id: row.name.text.clone(),
            awg: size.is_some_and(|(_, awg)| awg),
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
                "diameter" => drop(self.attribute_quantity(attribute, &[Kind::Length])),
                "area" => wire.area = self.attribute_quantity(attribute, &[Kind::Area]),
                "least-area" => wire.least_area = self.attribute_quantity(attribute, &[Kind::Area]),
                "resistance" => wire.ohm_per_metre = self.resistance(attribute),
                "ampacity" => {
                    wire.ampacity.extend(self.pair(attribute, Kind::Temperature, &[Kind::Current], "80 A at 105 degC"));
                }
                "source" => {
                    let sources = self.sources(attribute);
                    give_sources(&mut wire, &std::mem::take(&mut since_source), &sources);
                    continue;
                }
                _ => self.unknown_attribute(attribute, "diameter, area, least-area, resistance, ampacity, source"),
            }
            since_source.push(word(attribute));
        }
        Some(wire)
    }

    /// `0.6282 ohm per 1000 ft`, in ohm per metre.
    fn resistance(&mut self, attribute: &Attribute) -> Option<Exact> {
        let [ohm, per] = attribute.measures.as_slice() else {
            self.unreadable(attribute, "0.6282 ohm per 1000 ft");
            return None;
        };
        let ohm = self.single_quantity(ohm, &[Kind::Resistance])?;
        let per = self.single_quantity(per, &[Kind::Length])?;
        let metres = per.base()?;
        if metres.is_zero() { None } else { ohm.base()?.checked_div(&metres) }
    }

    /// `fuse blade-fuse "Blade fuse" rated 10 A 15 A 20 A, source practice`
    pub(super) fn protector_row(&mut self, row: &'t Row, fuse: bool) -> Option<ProtectorRatings> {
        let mut ratings = Vec::new();
        let mut sources = Vec::new();
        for attribute in &row.attributes {
            match word(attribute) {
                "rated" => {
                    for measure in &attribute.measures {
                        ratings.push(self.single_quantity(measure, &[Kind::Current])?);
                    }
                }
                "source" => sources.extend(self.sources(attribute)),
                _ => self.unknown_attribute(attribute, "rated, source"),
            }
        }
        let title = row.title.as_ref().map_or_else(|| row.name.text.clone(), |title| title.value.clone());
        Some(ProtectorRatings { id: row.name.text.clone(), title, fuse, ratings, sources })
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
