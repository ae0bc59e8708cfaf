//! Holds the numbers of a library's row against what can be.
//!
//! A row with a slip in it (a pitch of 12.5 mm for 1.25 mm, a diameter of nothing) would give a joint or a circuit nothing to
//! compute with, or nonsense, and every judgement that rests on it would fall silent. So such a row is an error where it
//! stands, and nothing is lowered from it.
//!
//! What is *false by definition* is held narrowly: the size that a thread's or a wire's own name says, the order of the
//! stresses, an inner diameter below the outer. All else is held by *bounds that no published row comes near*; each is
//! named with what it was taken from. They are floating point, since nothing is printed from them.

mod fasteners;
mod wiring;

use std::cmp::Ordering;

use super::Resolver;
use super::attribute::word;
use crate::diagnostics::{Code, Finding};
use crate::parse::tree::Row;
use crate::quantity::{Exact, Quantity};
use crate::source::Span;

/// Attributes that a row may say more than once.
const MANY: &[&str] = &["proof", "yield", "tensile", "ampacity", "wire", "source"];

/// The least and the most that a value may be, in the base unit of its kind, with the words for what lies outside.
pub(super) struct Bounds {
    pub low: f64,
    pub below: &'static str,
    pub high: f64,
    pub above: &'static str,
    pub why: &'static str,
}

/// What was found in one row.
pub(super) struct Held<'r> {
    row: &'r Row,
    found: Vec<Finding>,
}

impl<'r> Held<'r> {
    /// Begins with a row, and says what it says twice.
    pub fn new(row: &'r Row) -> Held<'r> {
        let mut held = Held { row, found: Vec::new() };
        for (at, attribute) in row.attributes.iter().enumerate() {
            let name = word(attribute);
            let before = row.attributes.iter().take(at).find(|first| !name.is_empty() && word(first) == name);
            if let Some(first) = before.filter(|_| !MANY.contains(&name)) {
                let message = format!("the row `{}` says `{name}` twice", row.name.text);
                held.found.push(
                    Finding::new(Code::FW0113, message, attribute.span, "said again here")
                        .also(first.span, "first said here")
                        .repair("Keep one of the two."),
                );
            }
        }
        held
    }

    /// Where a row says something, the `nth` time.
    fn place(&self, what: &str, nth: usize) -> Span {
        let mut said = self.row.attributes.iter().filter(|attribute| word(attribute) == what);
        said.nth(nth).map_or(self.row.span, |attribute| attribute.span)
    }

    /// The size with which a thread's row begins.
    fn size(&self) -> Span {
        self.row.attributes.first().map_or(self.row.span, |attribute| attribute.span)
    }

    /// FW0311.
    pub fn refuse(&mut self, at: Span, message: String, label: impl Into<String>, why: &str) {
        self.found.push(
            Finding::new(Code::FW0311, message, at, label)
                .because(format!("{why} Whatever rests on this row could not be judged."))
                .repair("Compare the row with its publication: the number, its point, and its unit."),
        );
    }

    /// Refuses a value that is nothing, or outside its bounds; `base` is the value in the base unit.
    pub fn within(&mut self, at: Span, what: &str, shown: &str, base: f64, bounds: &Bounds) {
        let label = match base {
            _ if base <= 0.0 || !base.is_finite() => "not above zero",
            _ if base < bounds.low => bounds.below,
            _ if base > bounds.high => bounds.above,
            _ => return,
        };
        let message = format!("`{}` can't have a {what} of {shown}", self.row.name.text);
        self.refuse(at, message, label, bounds.why);
    }

    /// The same for what an attribute says, if the row says it.
    pub fn attribute(&mut self, name: &str, value: Option<&Quantity>, bounds: &Bounds) {
        if let Some(value) = value {
            self.within(self.place(name, 0), &format!("`{name}`"), &value.to_string(), float(value), bounds);
        }
    }

    /// Bounds as shares of a size.
    fn part_of(&mut self, name: &str, value: Option<&Quantity>, size: f64, bounds: &Bounds) {
        let Bounds { below, above, why, .. } = *bounds;
        self.attribute(name, value, &Bounds { low: bounds.low * size, below, high: bounds.high * size, above, why });
    }

    /// Pairs of which the first member must rise from one to the next, since the first that reaches a value counts.
    pub fn rising(&mut self, name: &str, pairs: &[(Quantity, Quantity)], why: &str) {
        for (at, pair) in pairs.windows(2).enumerate() {
            let [(before, _), (after, _)] = pair else { continue };
            if before.compare(after) != Some(Ordering::Less) {
                let message = format!("`{}` gives its {name} for {after} after that for {before}", self.row.name.text);
                self.refuse(self.place(name, at + 1), message, "out of order", why);
            }
        }
    }
}

/// A value in the base unit of its kind. A value too large to be held was refused when it was read.
fn float(quantity: &Quantity) -> f64 {
    quantity.base().map_or(f64::NAN, ratio)
}

fn ratio(exact: Exact) -> f64 {
    *exact.numer() as f64 / *exact.denom() as f64
}

fn is_off(stated: f64, named: f64) -> bool {
    (stated / named - 1.0).abs() > 0.01
}

impl Resolver<'_> {
    /// Reports what was found in a row; `None` where it can't be used.
    pub(super) fn hold(&mut self, held: Held<'_>) -> Option<()> {
        let sound = held.found.is_empty();
        held.found.into_iter().for_each(|finding| self.report(finding));
        sound.then_some(())
    }
}
