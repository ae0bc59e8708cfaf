//! FW0951: a circuit of twice or half the voltage of the battery that the words name.
//!
//! *Vans with a 12 V battery*, and a circuit of 24 V: load, drop and fuse are all judged by a voltage that the vehicle has not.
//! A voltage that any words name is meant; what a converter puts out stands in its title.

use num_traits::CheckedMul;

use super::Words;
use super::amounts;
use super::text::{self, Sort, Text, plain};
use crate::diagnostics::{Code, Finding};
use crate::model::Circuit;
use crate::quantity::{Exact, Kind, Quantity};

/// How many words may stand between the voltage and the battery: `a 12 V starter battery`.
const BETWEEN: usize = 2;

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    let procedure = words.procedure;
    let sources = |circuit: &Circuit| circuit.source.is_some() && !circuit.on_vehicle;
    if !words.english || !procedure.circuits.rows().iter().any(sources) {
        return;
    }
    let fits = procedure.about.fits.iter().map(|fits| plain(fits, Sort::Title, None, procedure.name.span));
    let titles: Vec<Text<'_>> = text::titles(procedure).into_iter().chain(fits).collect();
    let (mut named, mut batteries): (Vec<Quantity>, Vec<Quantity>) = (Vec::new(), Vec::new());
    for text in texts.iter().chain(&titles) {
        for amount in amounts::of(text, true).into_iter().filter(|amount| amount.kind() == Kind::Voltage) {
            named.extend([amount.low, amount.high]);
            let behind = amount.run.end..amount.run.end + BETWEEN + 1;
            let of_battery = behind.into_iter().any(|at| matches!(text.lower(at), "battery" | "batteries"));
            batteries.extend((of_battery && amounts::same(&amount.low, &amount.high)).then_some(amount.high));
        }
        for mention in text.mentions {
            let said = amounts::mentioned(procedure, &mention.target);
            named.extend(said.iter().flat_map(|measure| [measure.low(), measure.high()]).flatten());
        }
    }
    for circuit in procedure.circuits.rows().iter().filter(|circuit| sources(circuit)) {
        let Some(source) = circuit.source else { continue };
        let is_named = named.iter().any(|other| amounts::about_the_same(other, &source));
        let battery = batteries.iter().find(|battery| is_twice(battery, &source) || is_twice(&source, battery));
        if let Some(battery) = battery.filter(|_| !is_named) {
            words.tell(finding(circuit, &source, battery));
        }
    }
}

fn is_twice(one: &Quantity, other: &Quantity) -> bool {
    let twice = one.value.checked_mul(&Exact::from_integer(2));
    twice.is_some_and(|value| amounts::same(&Quantity { value, ..*one }, other))
}

fn finding(circuit: &Circuit, source: &Quantity, battery: &Quantity) -> Finding {
    let at = circuit.places.source.unwrap_or(circuit.name.span);
    let name = &circuit.name.id;
    Finding::new(
        Code::FW0951,
        format!("the source of `{name}` is {source}, and the words name a battery of {battery}"),
        at,
        "no words name this voltage",
    )
    .because("Drop, load and fuse are judged by this voltage; with the other one they come out otherwise, and so does the lamp.")
    .repair(format!(
        "Write the voltage of the battery that feeds it. Where a converter feeds it, let the title of `{name}` or of its part say so."
    ))
}
