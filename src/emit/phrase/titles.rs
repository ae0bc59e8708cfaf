//! What tools and parts are called on paper: by their titles, with what differs where two share one.

use super::kit::fastener_words;
use crate::emit::words::{Words, own_range, own_unit};
use crate::labels::{fill, spoken};
use crate::model::{Part, PartId, Tool, ToolId};

impl Words<'_> {
    /// A tool: `Torque wrench`, or `Torque wrench (5 to 25 N·m)` where another one has that title.
    pub(in crate::emit) fn tool(&self, id: ToolId) -> String {
        let tools = &self.procedure.tools;
        let own = &tools[id];
        let alike = tools.iter().filter(|(other, row)| *other != id && row.name.title == own.name.title);
        with_what_differs(&own.name.title, &features(own), alike.map(|(_, row)| features(row)).collect())
    }

    /// A part: `Plate`, or `Plate (P-1)` where another one has that title. Parts that are one article have one title.
    pub(in crate::emit) fn part(&self, id: PartId) -> String {
        let parts = &self.procedure.parts;
        let own = &parts[id];
        let alike = parts.iter().filter(|(other, row)| *other != id && row.name.title == own.name.title);
        let alike: Vec<&Part> = alike.map(|(_, row)| row).filter(|row| !row.same_article(own)).collect();
        let others = alike.iter().map(|row| self.features(row)).collect();
        with_what_differs(&own.name.title, &self.features(own), others)
    }

    fn features(&self, part: &Part) -> Vec<Option<String>> {
        let wires = part.terminal.iter().flat_map(|terminal| &terminal.wires).map(|wire| self.measure(wire));
        let studs = part
            .terminal
            .iter()
            .flat_map(|terminal| &terminal.studs)
            .map(|stud| fill(spoken().kit.stud, &[("size", stud)]));
        vec![
            part.fastener.as_ref().map(fastener_words),
            joined(wires.chain(studs)),
            part.number.clone(),
            part.mass.as_ref().map(|mass| self.quantity(mass)),
            part.single_use.then(|| spoken().kit.use_once.to_owned()),
        ]
    }
}

/// What a list says of a tool besides its title.
fn features(tool: &Tool) -> Vec<Option<String>> {
    // An instrument has one scale; its other system would be a scale that nobody finds on it.
    vec![
        joined(tool.turns.iter().map(super::lay_out::drive_words)),
        tool.torque.map(|(low, high)| own_range(&low, &high)),
        tool.measures.map(|(low, high)| own_range(&low, &high)),
        tool.reads.map(|reads| fill(spoken().tool.reads, &[("value", &own_unit(&reads))])),
    ]
}

fn joined(words: impl Iterator<Item = String>) -> Option<String> {
    let words: Vec<String> = words.collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// The title, and in parentheses the first features by which it differs from the others of that title.
fn with_what_differs(title: &str, own: &[Option<String>], mut others: Vec<Vec<Option<String>>>) -> String {
    let mut said: Vec<&str> = Vec::new();
    for (at, feature) in own.iter().enumerate() {
        let before = others.len();
        others.retain(|other| other.get(at) == Some(feature));
        said.extend(feature.as_deref().filter(|_| others.len() < before));
    }
    if said.is_empty() { title.to_owned() } else { format!("{title} ({})", said.join(", ")) }
}
