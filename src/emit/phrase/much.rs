//! How much of a part there is: a count, a range of counts, an amount in the writer's own unit, or a number that nobody knows.

use num_traits::CheckedAdd;

use crate::emit::words::{Words, listed, own_unit};
use crate::labels::{fill, spoken};
use crate::model::{Counted, HowMuch, PartId};
use crate::quantity::Quantity;

/// How much of one article lies there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::emit) enum Much {
    /// Used up without a count.
    AsNeeded,
    Count(u32),
    Between(u32, u32),
    Amount(Quantity),
    Unknown,
}

impl Much {
    pub(in crate::emit) fn of<T>(counted: &Counted<T>) -> Much {
        match &counted.much {
            HowMuch::Count if counted.count == 0 => Much::AsNeeded,
            HowMuch::Count => Much::Count(counted.count),
            HowMuch::Between(least, most) => Much::Between(*least, *most),
            HowMuch::Amount(amount) => Much::Amount(*amount),
            HowMuch::Unknown(_) => Much::Unknown,
        }
    }

    /// Both together, amounts in the unit of the first.
    pub(in crate::emit) fn and(self, other: Much) -> Much {
        match (self, other) {
            (Much::AsNeeded, more) | (more, Much::AsNeeded) => more,
            (Much::Unknown, _) | (_, Much::Unknown) => Much::Unknown,
            (Much::Count(own), Much::Count(more)) => Much::Count(own.saturating_add(more)),
            (Much::Amount(own), Much::Amount(more)) => {
                let sum = more.in_unit(own.unit).and_then(|more| own.value.checked_add(&more));
                Much::Amount(sum.map_or(own, |value| Quantity { value, ..own }))
            }
            (Much::Amount(amount), _) | (_, Much::Amount(amount)) => Much::Amount(amount),
            (own, more) => {
                let ((low, high), (least, most)) = (own.ends(), more.ends());
                Much::Between(low.saturating_add(least), high.saturating_add(most))
            }
        }
    }

    fn ends(self) -> (u32, u32) {
        match self {
            Much::Count(count) => (count, count),
            Much::Between(least, most) => (least, most),
            Much::AsNeeded | Much::Amount(_) | Much::Unknown => (0, 0),
        }
    }

    /// The plain count.
    pub(in crate::emit) fn count(self) -> Option<u32> {
        if let Much::Count(count) = self { Some(count) } else { None }
    }

    /// What stands in the place of a plain count: `2 to 4`, `1.2 m`.
    pub(in crate::emit) fn other(self) -> Option<String> {
        match self {
            Much::AsNeeded | Much::Count(_) => None,
            Much::Between(least, most) => {
                Some(fill(spoken().kit.between, &[("least", &least.to_string()), ("most", &most.to_string())]))
            }
            Much::Amount(amount) => Some(own_unit(&amount)),
            Much::Unknown => Some(spoken().kit.number_unknown.to_owned()),
        }
    }

    /// In a column: `8`, `2 to 4`, `1.2 m`.
    pub(in crate::emit) fn alone(self) -> Option<String> {
        self.count().map(|count| count.to_string()).or_else(|| self.other())
    }

    /// What is asked for where the number that a range became is written down.
    pub(in crate::emit) fn asked(words: Words<'_>, parts: &[PartId]) -> String {
        let titles = listed(parts.iter().map(|part| words.part(*part)), spoken().word.or);
        fill(spoken().kit.how_many, &[("part", &titles)])
    }

    /// Before a title, with a blank that does not break: `8 ×`, `2 to 4 ×`, `1.2 m`, `as many as there are:`.
    pub(in crate::emit) fn before_title(self) -> Option<String> {
        let alone = self.alone()?;
        Some(match self {
            Much::Count(_) | Much::Between(..) => format!("{alone}\u{a0}×"),
            Much::Unknown => format!("{}:", spoken().tell.as_many),
            _ => alone,
        })
    }

    /// The same in a drawing, where there is less room: `number unknown`.
    pub(in crate::emit) fn in_drawing(self) -> Option<String> {
        if matches!(self, Much::Unknown) { self.alone() } else { self.before_title() }
    }
}
