//! Washers and insert nuts: the rows of libraries that give their sizes.

use super::super::Resolver;
use super::super::attribute::word;
use crate::model::{Fastener, FastenerKind, InsertNut, Washer};
use crate::parse::tree::Row;
use crate::quantity::{Kind, Unit};
use crate::source::Span;

impl<'t> Resolver<'t> {
    /// Adds what libraries say of a washer or an insert nut of this size. A size that no library has stays unknown: the
    /// maker may have made it.
    pub(in crate::resolve) fn add_hardware(&mut self, fastener: &mut Fastener, at: Span) {
        let Some(size) = size_of(fastener) else { return };
        match fastener.kind {
            FastenerKind::Washer => {
                let named = std::iter::once(size).chain(fastener.words.iter().cloned()).collect::<Vec<_>>().join("-");
                let row = self.standards.washers.get(named.as_str()).copied();
                row.into_iter().for_each(|row| self.note_use(at, row.name.span));
                fastener.washer = row.and_then(|row| self.washer_row(row));
            }
            FastenerKind::Nut if fastener.has_insert() => {
                let row = self.standards.insert_nuts.get(size.as_str()).copied();
                row.into_iter().for_each(|row| self.note_use(at, row.name.span));
                fastener.insert = row.and_then(|row| self.insert_nut_row(row));
            }
            _ => {}
        }
    }

    pub(in crate::resolve) fn washer_row(&mut self, row: &'t Row) -> Option<Washer> {
        let id = row.name.text.clone();
        let mut washer = Washer { id, inside: None, outside: None, thick: None, sources: Vec::new() };
        for attribute in &row.attributes {
            match word(attribute) {
                "inside" => washer.inside = self.attribute_quantity(attribute, &[Kind::Length]),
                "thick" => washer.thick = self.attribute_quantity(attribute, &[Kind::Length]),
                "outside" => washer.outside = self.attribute_quantity(attribute, &[Kind::Length]),
                "source" => washer.sources = self.sources(attribute),
                _ => self.unknown_attribute(attribute, "inside, outside, thick, source"),
            }
        }
        self.hold_washer(row, &washer)?;
        Some(washer)
    }

    pub(in crate::resolve) fn insert_nut_row(&mut self, row: &'t Row) -> Option<InsertNut> {
        let id = row.name.text.clone();
        let mut nut = InsertNut { id, height: None, prevails: None, sources: Vec::new() };
        for attribute in &row.attributes {
            match word(attribute) {
                "height" => nut.height = self.attribute_quantity(attribute, &[Kind::Length]),
                "prevails" => nut.prevails = self.attribute_quantity(attribute, &[Kind::Torque]),
                "source" => nut.sources = self.sources(attribute),
                _ => self.unknown_attribute(attribute, "height, prevails, source"),
            }
        }
        self.hold_insert_nut(row, &nut)?;
        Some(nut)
    }
}

/// The size by which rows of washers and insert nuts are named, which is that of the thread whatever its pitch: `M8` for
/// `M8x1`, `1/2` for `1/2-13`, `no-10` for `#10-24`; the diameter where no thread is named.
fn size_of(fastener: &Fastener) -> Option<String> {
    if let Some(thread) = &fastener.thread {
        let id = thread.id.as_str();
        let size = if id.starts_with('M') { id.split('x').next() } else { id.rsplit_once('-').map(|(size, _)| size) };
        return size.map(|size| size.replace('#', "no-"));
    }
    // Rows that are named by a number alone are of the inch sizes.
    let inch = Unit::lookup("in")?;
    fastener.diameter.filter(|diameter| diameter.unit == inch).map(|diameter| diameter.number())
}
