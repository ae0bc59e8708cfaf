//! How many fastenings a joint has, and what they take.

use super::ids::PartId;
use super::things::{Counted, HowMuch, Joint};
use super::unknown::{UnknownValue, unknown};

impl Joint {
    /// How many fastenings there are for certain: one, where nobody knows how many.
    pub fn at_least(&self) -> u32 {
        self.count.unwrap_or(1)
    }

    /// Why nobody knows how many there are; `None` where it is stated.
    pub fn uncounted(&self) -> Option<&str> {
        let why = unknown(&self.unknown, UnknownValue::Count).map(|unknown| unknown.why.as_str());
        why.filter(|_| self.count.is_none())
    }

    /// The parts of all its fastenings, and how many of each there are for certain; none of a consumable, which has no count.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, u32)> + '_ {
        self.each.iter().map(|entry| (entry.what, entry.count.saturating_mul(self.at_least())))
    }

    /// The same as entries of a list, where a number that nobody knows is said to be unknown.
    pub fn entries(&self) -> impl Iterator<Item = Counted<PartId>> + '_ {
        self.each.iter().map(|entry| match self.uncounted() {
            Some(why) if entry.count > 0 => {
                Counted { count: 0, much: HowMuch::Unknown(why.to_owned()), ..entry.clone() }
            }
            _ => Counted { count: entry.count.saturating_mul(self.at_least()), ..entry.clone() },
        })
    }
}
