//! What a schematic says: its texts, and the drawing in words.

use super::super::{Face, wrap};
use super::{INSIDE, Sheet, base_of};
use crate::emit::words::{Words, own_unit};
use crate::model::{CircuitProtection, Return};
use crate::working::circuit::{amperes, share, volts};

impl Sheet<'_> {
    /// `8 AWG copper`, `6.5 m one way`
    pub(super) fn wire_words(&self) -> Vec<String> {
        let wire = self.circuit.wire.as_ref().map(|wire| format!("{} {}", own_unit(wire), self.circuit.metal));
        let run = self.circuit.run.as_ref().map(|run| format!("{} one way", self.words.quantity(run)));
        wire.into_iter().chain(run).collect()
    }

    /// What stands inside the loop: the drop beside what is allowed, and what the wire carries.
    pub(super) fn inside(&self) -> Vec<(Face, String)> {
        let mut texts = Vec::new();
        if let Some(carries) = self.made.ampacity_a {
            texts.push((Face::Plain, format!("The wire carries {} here, by a table for boats", amperes(carries))));
        }
        if let Some(drop) = &self.made.drop {
            let where_lost = match self.circuit.returns {
                Return::Wire => "Drop there and back",
                Return::Chassis(Some(_)) => "Drop in wire and chassis",
                Return::Chassis(None) => "Drop in the wire alone",
            };
            texts.push((Face::Bold, format!("{where_lost}: {}, {}", volts(drop.volts), share(drop.share))));
            if drop.least_volts > drop.volts {
                let least = format!("{}, {}", volts(drop.least_volts), share(drop.least_share));
                texts.push((Face::Plain, format!("With the thinnest wire sold as this size: {least}")));
            }
            texts.push((Face::Plain, self.allowed(drop.allowed, drop.allowed_is_stated)));
        }
        let most = INSIDE.1 - INSIDE.0;
        texts
            .into_iter()
            .flat_map(|(face, text)| wrap(face, &text, most).into_iter().map(move |line| (face, line)))
            .collect()
    }

    fn allowed(&self, most: f64, is_stated: bool) -> String {
        match &self.circuit.drop {
            Some(drop) if is_stated => format!("Allowed: {}", self.words.measure(drop)),
            _ => format!("Nothing stated; practice allows a feeder {}", share(most)),
        }
    }

    /// The voltage that is left at the load; `None` where part of the drop is not known.
    pub(super) fn left_at_load(&self) -> Option<String> {
        let drop = self.made.drop.as_ref().filter(|_| self.circuit.returns != Return::Chassis(None))?;
        let source = base_of(self.circuit.source.as_ref()?)?;
        Some(volts(source - drop.volts))
    }

    /// The drawing in words.
    pub(super) fn says(&self) -> String {
        let source = self.circuit.source.as_ref().map(|source| format!(", {}", self.words.quantity(source)));
        let mut way = vec![format!("the source{}", source.unwrap_or_default())];
        way.extend(self.circuit.protection.as_ref().map(|guard| format!("a {}", protection_words(self.words, guard))));
        if let Some(wire) = Some(self.wire_words().join(", ")).filter(|wire| !wire.is_empty()) {
            way.push(format!("the wire, {wire}"));
        }
        let load = self.circuit.load.as_ref().map(|load| format!(", {}", self.words.quantity(load)));
        way.push(format!("the load{}", load.unwrap_or_default()));
        way.push(if self.circuit.returns == Return::Wire { "a wire back" } else { "the chassis back" }.to_owned());
        let drop = self.made.drop.as_ref().map(|drop| format!(" Drop: {}, {}.", volts(drop.volts), share(drop.share)));
        let left = self.left_at_load().map(|left| format!(" Left at the load: {left}."));
        let points = number_words(self.circuit.points.len());
        format!(
            "A loop: {}.{}{} Below it {points} from the source, numbered in the order of connection.",
            way.join("; "),
            drop.unwrap_or_default(),
            left.unwrap_or_default()
        )
    }
}

fn number_words(count: usize) -> String {
    if count == 1 { "its point".to_owned() } else { format!("its {count} points") }
}

/// `Breaker, 30 A`
pub(super) fn protection_words(words: Words<'_>, protection: &CircuitProtection) -> String {
    format!("{}, {}", if protection.fuse { "Fuse" } else { "Breaker" }, words.quantity(&protection.rating))
}
