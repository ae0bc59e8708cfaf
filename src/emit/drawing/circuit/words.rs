//! What a schematic says: its texts, and the drawing in words.

use super::super::{Face, wrap};
use super::{INSIDE, Sheet, base_of};
use crate::emit::phrase::circuit::{
    carries_words, chassis_words, later_words, points_later_words, protector, wire_words,
};
use crate::emit::words::Words;
use crate::labels::{fill, spoken};
use crate::model::{CircuitProtection, Return};
use crate::working::circuit::{share, volts};

impl Sheet<'_> {
    /// `8 AWG copper`, `6.5 m one way`
    pub(super) fn wire_words(&self) -> Vec<String> {
        let run = self.circuit.run.as_ref().map(|run| self.words.quantity(run));
        let run = run.map(|run| fill(spoken().schematic.one_way, &[("run", &run)]));
        wire_words(self.circuit).into_iter().chain(run).collect()
    }

    /// What the load is called.
    pub(super) fn load_name(&self) -> &'static str {
        if self.circuit.starter_cable { spoken().schematic.load_cranked } else { spoken().circuit.load }
    }

    /// `Back by a wire like the one there, 6.5 m`
    pub(super) fn way_back_words(&self) -> String {
        chassis_words(self.words, self.circuit).unwrap_or_else(|| {
            let run = self.circuit.run.as_ref().map(|run| self.words.quantity(run));
            named(spoken().circuit.by_wire, run)
        })
    }

    /// What stands inside the loop: the drop beside what is allowed, and what the wire carries.
    pub(super) fn inside(&self) -> Vec<(Face, String)> {
        let mut texts = Vec::new();
        let carries = carries_words(self.made).map(|carries| format!("{}: {carries}", spoken().circuit.carries));
        texts.extend(carries.map(|carries| (Face::Plain, carries)));
        texts.extend(self.drop().map(|drop| (Face::Bold, drop)));
        if let Some(drop) = &self.made.drop {
            if drop.least_volts > drop.volts {
                let least = lost(drop.least_volts, drop.least_share);
                texts.push((Face::Plain, fill(spoken().schematic.thinnest, &[("drop", &least)])));
            }
            texts.push((Face::Plain, self.allowed(drop.allowed, drop.allowed_is_stated)));
        }
        let most = INSIDE.1 - INSIDE.0;
        texts
            .into_iter()
            .flat_map(|(face, text)| wrap(face, &text, most).into_iter().map(move |line| (face, line)))
            .collect()
    }

    /// `Voltage drop there and back: 0.527 V, 4.39 %`
    fn drop(&self) -> Option<String> {
        let drop = self.made.drop.as_ref()?;
        let text = match self.circuit.returns {
            Return::Wire => spoken().schematic.drop_and_back,
            Return::Chassis(Some(_)) => spoken().schematic.drop_and_chassis,
            Return::Chassis(None) => spoken().schematic.drop_of_wire,
        };
        Some(fill(text, &[("drop", &lost(drop.volts, drop.share))]))
    }

    fn allowed(&self, most: f64, is_stated: bool) -> String {
        match &self.circuit.drop {
            Some(drop) if is_stated => fill(spoken().schematic.allowed, &[("drop", &self.words.measure(drop))]),
            _ => fill(spoken().schematic.by_practice, &[("drop", &share(most))]),
        }
    }

    /// The voltage that is left at the load, in words; `None` where part of the drop is not known.
    pub(super) fn left_at_load(&self) -> Option<String> {
        let drop = self.made.drop.as_ref().filter(|_| self.circuit.returns != Return::Chassis(None))?;
        let source = base_of(self.circuit.source.as_ref()?)?;
        Some(fill(spoken().schematic.left, &[("volts", &volts(source - drop.volts))]))
    }

    /// The drawing in words, by the same names as in it.
    pub(super) fn says(&self) -> String {
        let circuit = self.circuit;
        let amount = |one: &Option<crate::quantity::Quantity>| one.as_ref().map(|one| self.words.quantity(one));
        let mut way = vec![named(spoken().circuit.source, amount(&circuit.source))];
        way.extend(circuit.protection.as_ref().map(|guard| protection_words(self.words, guard)));
        let wire = Some(self.wire_words().join(", ")).filter(|wire| !wire.is_empty());
        way.extend(wire.map(|wire| named(spoken().circuit.wire, Some(wire))));
        way.push(named(self.load_name(), amount(&circuit.load)));
        way.push(self.way_back_words());
        let mut says = vec![fill(spoken().schematic.says, &[("way", &way.join("; "))])];
        says.extend(self.drop().into_iter().chain(self.left_at_load()).map(|text| format!("{text}.")));
        let points = circuit.points.len().to_string();
        says.push(fill(spoken().schematic.says_points, &[("n", &points)]));
        let fed = circuit.fed_later.as_ref().map(|left| (spoken().circuit.fed_later, later_words(left)));
        let connected = points_later_words(circuit).map(|points| (spoken().circuit.connected_later, points));
        says.extend(fed.into_iter().chain(connected).map(|(lead, who)| format!("{lead}: {who}.")));
        says.join(" ")
    }
}

/// `Load, 18 A`, or the name alone.
fn named(name: &str, amount: Option<String>) -> String {
    std::iter::once(name.to_owned()).chain(amount).collect::<Vec<_>>().join(", ")
}

/// `0.527 V, 4.39 %`
fn lost(lost_volts: f64, lost_share: f64) -> String {
    format!("{}, {}", volts(lost_volts), share(lost_share))
}

/// `Breaker, 30 A`
pub(super) fn protection_words(words: Words<'_>, protection: &CircuitProtection) -> String {
    let name = protector(protection.sort);
    named(name, Some(words.quantity(&protection.rating)))
}
