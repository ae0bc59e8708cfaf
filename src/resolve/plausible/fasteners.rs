//! Threads, grades, screws, washers and insert nuts.

use std::cmp::Ordering;

use super::super::Resolver;
use super::{Bounds, Held, float, is_off, ratio};
use crate::model::{Grade, InsertNut, Tapping, Thread, Washer};
use crate::parse::tree::Row;
use crate::quantity::{Exact, Quantity, number};

impl Resolver<'_> {
    pub(in crate::resolve) fn hold_thread(&mut self, row: &Row, thread: &Thread) -> Option<()> {
        let mut held = Held::new(row);
        let size = float(&thread.diameter);
        size_and_pitch(&mut held, &thread.diameter, thread.pitch_mm, 1.0 / 3.0, "a third of the diameter or more");
        if !held.found.is_empty() {
            // What is measured by the diameter would only repeat it.
            return self.hold(held);
        }
        if let Some((named_mm, pitch_mm)) = named_thread(&row.name.text) {
            let pitch_is_off = pitch_mm.is_some_and(|pitch| is_off(ratio(thread.pitch_mm), pitch));
            if is_off(size * 1000.0, named_mm) || pitch_is_off {
                let message = format!("`{}` is the name of another size of thread", row.name.text);
                let why = "The name of a metric thread is its diameter and pitch (ISO 261), that of an inch thread its \
                           diameter and threads per inch (ASME B1.1).";
                held.refuse(held.size(), message, "not the size in its name", why);
            }
        }
        // Published: 1.41 (M22 of DIN 931) to 2 (M2). A head that is no wider than its thread would fall through.
        let flats = Bounds {
            low: 1.05,
            below: "no wider than the thread",
            high: 3.0,
            above: "more than three times the thread",
            why: "A head or nut is wider across its flats than its thread; published ones are 1.4 to 2 times as wide.",
        };
        for (name, value) in [
            ("hex-bolt", &thread.hex_bolt),
            ("old-hex-bolt", &thread.old_hex_bolt),
            ("hex-nut", &thread.hex_nut),
            ("old-hex-nut", &thread.old_hex_nut),
        ] {
            held.part_of(name, value.as_ref(), size, &flats);
        }
        let key = Bounds {
            low: 0.2,
            below: "less than a fifth of the thread",
            high: 0.99,
            above: "as wide as the thread",
            why: "The key goes into the head of a screw (ISO 4762: 0.7 to 0.9 of the thread).",
        };
        held.part_of("hex-key", thread.hex_key.as_ref(), size, &key);
        // Thin nuts have half a diameter, long ones for joining rods three.
        let height = Bounds {
            low: 0.2,
            below: "less than a fifth of the thread",
            high: 4.0,
            above: "more than four times the thread",
            why: "Heads and nuts are about as high as their thread is thick (ISO 4014, ISO 4032: 0.6 to 0.95 of it).",
        };
        held.part_of("head-height", thread.head_height.as_ref(), size, &height);
        held.part_of("nut-height", thread.nut_height.as_ref(), size, &height);
        self.hold(held)
    }

    pub(in crate::resolve) fn hold_tapping(&mut self, row: &Row, tapping: &Tapping) -> Option<()> {
        let mut held = Held::new(row);
        // ISO 1478: up to 0.38 (ST2.9).
        size_and_pitch(&mut held, &tapping.diameter, tapping.pitch_mm, 0.6, "more than 0.6 of the diameter");
        if !held.found.is_empty() {
            return self.hold(held);
        }
        let named = row.name.text.strip_prefix("ST").and_then(plain_number);
        // The largest diameter may differ from the name a little: ST2.2 has 2.24 mm (ISO 1478).
        if named.is_some_and(|named| (float(&tapping.diameter) * 1000.0 / named - 1.0).abs() > 0.05) {
            let message = format!("`{}` is the name of another size of screw", row.name.text);
            held.refuse(held.size(), message, "not the size in its name", "The name is the diameter (ISO 1478).");
        }
        let flats = Bounds {
            low: 1.05,
            below: "no wider than the thread",
            high: 4.0,
            above: "more than four times the thread",
            why: "A head is wider across its flats than its thread (ISO 1479: 1.5 to 1.8 times).",
        };
        held.part_of("hex-head", tapping.hex_head.as_ref(), float(&tapping.diameter), &flats);
        self.hold(held)
    }

    /// Stresses above zero, in their order, over diameters that rise.
    pub(in crate::resolve) fn hold_grade(&mut self, row: &Row, grade: &Grade) -> Option<()> {
        let mut held = Held::new(row);
        let stress = Bounds {
            low: 1e7,
            below: "less than any metal bears",
            high: 3e9,
            above: "more than any steel bears",
            why: "The strongest bolts that are made have a tensile strength of some 2 000 MPa; class 12.9 has 1220 MPa \
                  (ISO 898-1).",
        };
        let through =
            Bounds { low: 0.0, below: "", high: 1.0, above: "more than a metre", why: "No bolt is so thick." };
        for (name, pairs) in [("proof", &grade.proof), ("yield", &grade.yields), ("tensile", &grade.tensile)] {
            for (nth, (diameter, value)) in pairs.iter().enumerate() {
                let at = held.place(name, nth);
                held.within(at, &format!("{name} stress"), &value.to_string(), float(value), &stress);
                held.within(at, "diameter", &diameter.to_string(), float(diameter), &through);
            }
            held.rising(name, pairs, "The first diameter that reaches the bolt's counts, so thin comes before thick.");
        }
        if !held.found.is_empty() {
            // A stress that can't be is above or below others as well.
            return self.hold(held);
        }
        for (name, pairs, of, above) in [
            ("proof", &grade.proof, "yield", &grade.yields),
            ("proof", &grade.proof, "tensile", &grade.tensile),
            ("yield", &grade.yields, "tensile", &grade.tensile),
        ] {
            for (nth, (diameter, value)) in pairs.iter().enumerate() {
                let limit = above.iter().find(|(through, _)| diameter.compare(through).is_some_and(Ordering::is_le));
                let Some((_, limit)) = limit.filter(|(_, limit)| value.compare(limit) == Some(Ordering::Greater))
                else {
                    continue;
                };
                let message = format!("the {name} stress {value} of `{}` is above its {of} stress", row.name.text);
                let why = "A bolt yields before it breaks, and is proved below where it yields (ISO 898-1).";
                held.refuse(held.place(name, nth), message, format!("{of} is {limit}"), why);
            }
        }
        self.hold(held)
    }

    pub(in crate::resolve) fn hold_washer(&mut self, row: &Row, washer: &Washer) -> Option<()> {
        let mut held = Held::new(row);
        let (inside, outside) = (washer.inside.as_ref().map(float), washer.outside.as_ref().map(float));
        let hole = Bounds {
            low: 1.0,
            below: "the bolt does not go through",
            high: 2.0,
            above: "more than twice the bolt",
            why: "A washer is named by the bolt that goes through it (ISO 7089: a hole 1.04 to 1.1 times as wide).",
        };
        let any = Bounds { low: 0.0, below: "", high: f64::INFINITY, above: "", why: "A washer has a hole and a rim." };
        match named_size_mm(washer_size(&row.name.text)) {
            Some(bolt_mm) => held.part_of("inside", washer.inside.as_ref(), bolt_mm / 1000.0, &hole),
            None => held.attribute("inside", washer.inside.as_ref(), &any),
        }
        let rim = Bounds {
            low: inside.unwrap_or_default() * 1.0001,
            below: "no wider than its hole",
            high: 1.0,
            above: "more than a metre",
            why: "A washer is wider than its hole.",
        };
        held.attribute("outside", washer.outside.as_ref(), &rim);
        let thick = Bounds {
            low: 0.0,
            below: "",
            high: outside.or(inside).unwrap_or(1.0),
            above: "thicker than it is wide",
            why: "A washer is a thin disc (ISO 7089: a tenth of its width).",
        };
        held.attribute("thick", washer.thick.as_ref(), &thick);
        self.hold(held)
    }

    pub(in crate::resolve) fn hold_insert_nut(&mut self, row: &Row, nut: &InsertNut) -> Option<()> {
        let mut held = Held::new(row);
        let size = named_size_mm(&row.name.text).map_or(f64::NAN, |mm| mm / 1000.0);
        let height = Bounds {
            low: 0.4,
            below: "less than 0.4 of the thread",
            high: 4.0,
            above: "more than four times the thread",
            why: "A nut with an insert is about as high as its thread is thick (ISO 7040: 1.1 to 1.5 of it).",
        };
        held.part_of("height", nut.height.as_ref(), size, &height);
        // Torques of the same thread shape go with the cube of the diameter. Published: 5.8e6 (M24) to 1.8e7 (1/4)
        // N.m for each cubic metre.
        let torque = Bounds {
            low: 2e5,
            below: "less than any insert takes",
            high: 1e8,
            above: "more than any insert takes",
            why: "Inserts of published nuts take 0.006 to 0.02 N.m for each cubic millimetre of diameter cubed (ISO 2320).",
        };
        held.part_of("prevails", nut.prevails.as_ref(), size * size * size, &torque);
        self.hold(held)
    }
}

/// Diameter and pitch of a thread, whose pitch is at most a share of the diameter.
fn size_and_pitch(held: &mut Held<'_>, diameter: &Quantity, pitch_mm: Exact, most: f64, above: &'static str) {
    let (at, size) = (held.size(), float(diameter));
    let thick = Bounds {
        low: 0.0002,
        below: "thinner than any thread",
        high: 1.0,
        above: "thicker than any thread",
        why: "Threads are made from 0.3 mm (ISO 1501, from memory) to some hundred millimetres.",
    };
    held.within(at, "diameter", &diameter.to_string(), size, &thick);
    if size <= 0.0 {
        return;
    }
    let pitch = Bounds {
        low: size / 200.0,
        below: "far finer than any thread",
        high: size * most,
        above,
        why: "The coarsest pitch of ISO 261 is a quarter of the diameter (M1), and that of ASME B1.1 a fifth.",
    };
    let mm = ratio(pitch_mm);
    held.within(at, "pitch", &format!("{} mm", short(mm)), mm / 1000.0, &pitch);
}

/// At most three decimals, and no noughts at their end.
fn short(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Diameter and pitch in millimetres by the name of a thread: `M8`, `M8x1`, `1/2-13`, `#10-24`. A screw of number `n` has
/// `0.060 in + n * 0.013 in` (ASME B1.1).
fn named_thread(name: &str) -> Option<(f64, Option<f64>)> {
    if let Some(metric) = name.strip_prefix('M') {
        let (diameter, pitch) = metric.split_once('x').map_or((metric, None), |(size, pitch)| (size, Some(pitch)));
        let pitch = match pitch {
            Some(pitch) => Some(plain_number(pitch)?),
            None => None,
        };
        return Some((plain_number(diameter)?, pitch));
    }
    let (size, threads) = name.rsplit_once('-')?;
    Some((inch_size_mm(size)?, Some(25.4 / plain_number(threads)?)))
}

/// `1/2`, `#10`, `no-10`
fn inch_size_mm(size: &str) -> Option<f64> {
    let number = size.strip_prefix('#').or_else(|| size.strip_prefix("no-"));
    let inches = match number {
        Some(number) => 0.06 + 0.013 * plain_number(number)?,
        None => plain_number(size)?,
    };
    Some(inches * 25.4)
}

/// The bolt's size by which washers and insert nuts are named: `M8`, `1/2`, `no-10`.
fn named_size_mm(name: &str) -> Option<f64> {
    match name.strip_prefix('M') {
        Some(metric) => plain_number(metric),
        None if name.contains('/') || name.starts_with("no-") => inch_size_mm(name),
        None => None,
    }
}

/// The size in a washer's name: `M8-large`, `1/2-sae`, `no-10-sae`.
fn washer_size(name: &str) -> &str {
    let from = if name.starts_with("no-") { 3 } else { 0 };
    name.get(from..).and_then(|rest| rest.find('-')).and_then(|at| name.get(..from + at)).unwrap_or(name)
}

fn plain_number(text: &str) -> Option<f64> {
    number::parse(text).ok().map(|(value, _)| ratio(value)).filter(|value| *value > 0.0)
}
