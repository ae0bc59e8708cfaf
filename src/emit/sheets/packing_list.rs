//! The packing list: what the store puts into each bag and box, and a label for each.
//!
//! A *pack* is a bag or a box. Groups of the kit with the same name are one pack, whatever their conditions: one bag lies on
//! the bench. The workshop's own stock is not packed; it stands on the pick-list.
//!
//! # The CSV file
//! UTF-8 with a byte order mark, RFC 4180, one header row. Columns: `pack`, `name` (the name in the source), `title`,
//! `count` (a whole number; empty where there is no plain count), `amount` (what stands in its place, in words: `1.2 m`,
//! `2 to 4`), `detail`, `number` (the maker's), `mass_each_kg` and `mass_kg` (decimal numbers, to the gram), `when` (the condition in words; empty where the part always goes in), and what every row
//! belongs to, as in the pick-list. Parts of which one goes in stand in one row, ` or ` between them; a mass only where it is the same. Text is made safe against formulas.

use num_traits::{CheckedAdd, CheckedMul};
use serde::Serialize;

use super::frame::Sheet;
use super::store_table::{Origin, or_empty};
use crate::emit::EmitError;
use crate::emit::phrase::fitting;
use crate::emit::phrase::kit::{self, PartRow};
use crate::emit::templates::{PACKING_LIST_STYLE, sheet};
use crate::emit::words::{Words, counted};
use crate::labels::{fill, spoken};
use crate::model::{Counted, KitGroup, KitKind, PartId, Procedure, each_or_either, exact_count};
use crate::quantity::{Exact, Quantity};

/// The columns, in order.
pub const COLUMNS: [&str; 10] =
    ["pack", "name", "title", "count", "amount", "detail", "number", "mass_each_kg", "mass_kg", "when"];

/// A pack of more rows than this may be parted by a page.
const KEPT_WHOLE: usize = 15;

/// The whole page.
#[derive(Serialize)]
struct PackingListView {
    #[serde(flatten)]
    sheet: Sheet,
    /// Whom it is for, in one line, for the labels.
    for_line: Option<String>,
    /// Whether something goes in for some fittings only; then nobody can say how many packs there are.
    conditional: bool,
    /// Whether some part has a maker's number, and whether some part's mass is known: a column of nothing is left out.
    numbered: bool,
    weighed: bool,
    packs: Vec<Pack>,
    /// What everything weighs.
    mass: Option<String>,
}

/// A bag or box.
#[derive(Serialize)]
struct Pack {
    title: String,
    /// The condition of all of it.
    when: Option<String>,
    rows: Vec<PackRow>,
    mass: Option<String>,
    /// Whether it fits on a page with others, and is never parted.
    short: bool,
}

/// A part that goes into it.
#[derive(Serialize)]
struct PackRow {
    #[serde(flatten)]
    part: PartRow,
    /// The mass of all of them, where it is known and they are several.
    all: Option<String>,
    /// Its own condition; empty where the pack's says it.
    when: Option<String>,
    #[serde(skip)]
    weight: Weight,
}

/// What a row adds to a sum of masses.
#[derive(Clone)]
struct Weight {
    /// In the unit of the part's own mass.
    mass: Option<Quantity>,
    when: Option<String>,
}

/// `packing-list.html`.
pub(super) fn html(procedure: &Procedure, digest: &str) -> Result<Vec<u8>, EmitError> {
    let words = Words::new(procedure);
    let packs = packs(words);
    let weights: Vec<Weight> = packs.iter().flat_map(|pack| &pack.rows).map(|row| row.weight.clone()).collect();
    let view = PackingListView {
        sheet: Sheet::of(procedure, digest, &[PACKING_LIST_STYLE]),
        for_line: fitting::line(procedure),
        conditional: weights.iter().any(|weight| weight.when.is_some()),
        numbered: packs.iter().flat_map(|pack| &pack.rows).any(|row| row.part.number.is_some()),
        weighed: packs.iter().flat_map(|pack| &pack.rows).any(|row| row.part.mass.is_some()),
        mass: if packs.len() > 1 { sum_words(words, &weights) } else { None },
        packs,
    };
    sheet("packing-list.html", &view)
}

/// `packing-list.csv`.
pub(super) fn csv(procedure: &Procedure, digest: &str) -> Vec<u8> {
    let mut csv = String::from("\u{feff}");
    let origin = Origin::of(procedure, digest);
    origin.head(&mut csv, &COLUMNS);
    for pack in packs(Words::new(procedure)) {
        for row in &pack.rows {
            let part = &row.part;
            let count = part.much.count().map_or_else(String::new, |count| count.to_string());
            let amount = part.much.other();
            let (each, all) = (part.kilograms_each(procedure), part.kilograms(procedure));
            let cells: [&str; COLUMNS.len()] = [
                &pack.title,
                &part.name,
                &part.title,
                &count,
                or_empty(&amount),
                or_empty(&part.detail),
                or_empty(&part.number),
                or_empty(&each),
                or_empty(&all),
                or_empty(&row.weight.when),
            ];
            origin.line(&mut csv, &cells);
        }
    }
    csv.into_bytes()
}

/// The bags and boxes, in the order in which the kit first names them.
fn packs(words: Words<'_>) -> Vec<Pack> {
    let mut by_name: Vec<(&KitGroup, Vec<PackRow>)> = Vec::new();
    for group in words.procedure.kit.iter().filter(|group| group.kind != KitKind::Shop) {
        let when = group.when.as_ref().map(|when| words.cond(when));
        let rows = each_or_either(&group.entries).filter_map(|some| pack_row(words, some, when.clone()));
        match by_name.iter_mut().find(|(first, _)| (first.kind, &first.name) == (group.kind, &group.name)) {
            Some((_, all)) => rows.for_each(|row| put_in(words.procedure, all, row)),
            None => {
                let mut all = Vec::new();
                rows.for_each(|row| put_in(words.procedure, &mut all, row));
                by_name.push((group, all));
            }
        }
    }
    by_name.into_iter().map(|(group, rows)| pack(words, group, rows)).collect()
}

/// One row for each article under each condition.
fn put_in(procedure: &Procedure, rows: &mut Vec<PackRow>, row: PackRow) {
    let same = |other: &&mut PackRow| other.weight.when == row.weight.when && other.part.is_of(procedure, &row.part);
    match rows.iter_mut().find(same) {
        Some(other) => other.part.add(&row.part),
        None => rows.push(row),
    }
}

fn pack(words: Words<'_>, group: &KitGroup, mut rows: Vec<PackRow>) -> Pack {
    rows.iter_mut().for_each(|row| row.weigh(words));
    let weights: Vec<Weight> = rows.iter().map(|row| row.weight.clone()).collect();
    let first = rows.first().and_then(|row| row.weight.when.clone());
    let shared = first.filter(|first| rows.iter().all(|row| row.weight.when.as_ref() == Some(first)));
    if shared.is_none() {
        rows.iter_mut().for_each(|row| row.when = row.weight.when.clone());
    }
    // The caption says the condition of the whole pack; its mass needs no word about it.
    let inside: Vec<Weight> =
        weights.into_iter().map(|one| Weight { when: one.when.filter(|_| shared.is_none()), ..one }).collect();
    let short = rows.len() <= KEPT_WHOLE;
    Pack { title: kit::group_title(group), mass: sum_words(words, &inside), when: shared, rows, short }
}

fn pack_row(words: Words<'_>, some: &[Counted<PartId>], when: Option<String>) -> Option<PackRow> {
    let part = kit::part_row(words, some)?;
    Some(PackRow { part, all: None, when: None, weight: Weight { mass: None, when } })
}

impl PackRow {
    /// Works out what all of them weigh, once they are counted together.
    fn weigh(&mut self, words: Words<'_>) {
        let Some(count) = self.part.much.count() else { return };
        let each = self.part.mass_each(words.procedure);
        self.weight.mass =
            each.and_then(|each| Some(Quantity { value: each.value.checked_mul(&exact_count(count))?, ..each }));
        self.all = self.weight.mass.filter(|_| count > 1).map(|mass| words.quantity(&mass));
    }
}

/// `13.2 kg`, `13.2 kg, and 14.8 kg more with Powered arm`, with how many kinds of part state no mass. `None` where none
/// does.
fn sum_words(words: Words<'_>, weights: &[Weight]) -> Option<String> {
    let mut sums: Vec<(Option<&String>, Quantity)> = Vec::new();
    for weight in weights {
        let Some(mass) = weight.mass else { continue };
        match sums.iter_mut().find(|(when, _)| *when == weight.when.as_ref()) {
            Some((_, sum)) => *sum = added(sum, &mass)?,
            None => sums.push((weight.when.as_ref(), mass)),
        }
    }
    sums.sort_by_key(|(when, _)| when.is_some());
    let always = sums.first().is_some_and(|(when, _)| when.is_none());
    let part = |(at, (when, sum)): (usize, &(Option<&String>, Quantity))| {
        let mass = words.quantity(sum);
        match when {
            None => mass,
            Some(when) if at > 0 && always => fill(spoken().packing.mass_more, &[("mass", &mass), ("condition", when)]),
            Some(when) => fill(spoken().packing.mass_when, &[("mass", &mass), ("condition", when)]),
        }
    };
    let said: Vec<String> = sums.iter().enumerate().map(part).collect();
    let unknown = weights.iter().filter(|weight| weight.mass.is_none()).count();
    let unknown = u32::try_from(unknown).unwrap_or(u32::MAX);
    match (said.is_empty(), unknown) {
        (true, _) => None,
        (false, 0) => Some(said.join(", ")),
        (false, _) => {
            let others = counted(unknown, spoken().packing.one_unweighed, spoken().packing.unweighed);
            Some(format!("{}; {others}", said.join(", ")))
        }
    }
}

/// Grams are enough for a store.
const FINEST: i128 = 1000;

/// The sum, in the unit of the first, rounded to the nearest thousandth where units are mixed.
fn added(sum: &Quantity, mass: &Quantity) -> Option<Quantity> {
    let total = sum.value.checked_add(&mass.in_unit(sum.unit)?)?;
    let thousandths = total.checked_mul(&Exact::from_integer(FINEST))?.round();
    let value = if sum.unit == mass.unit { total } else { Exact::new(*thousandths.numer(), FINEST) };
    Some(Quantity { value, ..*sum })
}
