//! The points and the conductors of a circuit.

use super::{Form, Reader};
use crate::parse::tree::{CircuitLine, Conductor, Name, Plug, WireEnd};
use fitwright_grammar::Rule;

/// `point post "Battery post" with ring-8-m8 on M8`, `point lamp "Lamp" plug, 4 pins, female`
pub(super) fn point(reader: &mut Reader<'_>, form: Form<'_>) -> Option<CircuitLine> {
    let origin = form.origin;
    let within = |rule: Rule| {
        let found = form.pair.clone().into_inner().find(|part| part.as_rule() == rule)?;
        let name = found.into_inner().find(|part| matches!(part.as_rule(), Rule::part_name | Rule::stud))?;
        Some(origin.name(&name))
    };
    let (terminal, stud): (Option<Name>, Option<Name>) = (within(Rule::with_part), within(Rule::on_stud));
    let plug = form.pair.clone().into_inner().find(|part| part.as_rule() == Rule::plugged).map(|plugged| {
        let mut plug = Plug::default();
        for part in plugged.into_inner() {
            let span = origin.span(&part);
            let again = match part.as_rule() {
                Rule::pin_count => {
                    let number = part.into_inner().find(|inner| inner.as_rule() == Rule::number);
                    number.and_then(|number| plug.pins.replace(origin.number(&number))).is_some()
                }
                Rule::gender => plug.gender.replace(origin.name(&part)).is_some(),
                Rule::mates => {
                    let name = part.into_inner().find(|inner| inner.as_rule() == Rule::point_name);
                    name.and_then(|name| plug.mates.replace(origin.name(&name))).is_some()
                }
                _ => false,
            };
            if again {
                plug.twice = Some(span);
            }
        }
        plug
    });
    let mut parts = reader.parts(form);
    let name = parts.name()?;
    reader.new_name(&name);
    Some(CircuitLine::Point { name, title: parts.text(), terminal, stud, plug })
}

/// `conductor red positive "Feed" from post to lamp pin 2, 1.2 m, label "F1"`
pub(super) fn conductor(reader: &mut Reader<'_>, form: Form<'_>) -> Option<CircuitLine> {
    let origin = form.origin;
    let (mut ends, mut labels) = (Vec::new(), Vec::new());
    for part in form.pair.clone().into_inner() {
        match part.as_rule() {
            Rule::wire_end => {
                let (mut point, mut pin) = (None, None);
                for inner in part.into_inner() {
                    match inner.as_rule() {
                        Rule::point_name => point = Some(origin.name(&inner)),
                        Rule::number => pin = Some(origin.number(&inner)),
                        _ => {}
                    }
                }
                ends.push(WireEnd { point: point?, pin });
            }
            Rule::labelled => {
                let text = part.into_inner().find(|inner| inner.as_rule() == Rule::text);
                labels.extend(text.map(|text| origin.text(&text)));
            }
            _ => {}
        }
    }
    let mut parts = reader.parts(form);
    let unknown = parts.unknown.take();
    let colour = if unknown.is_some() { None } else { Some(parts.name()?) };
    let carries = parts.name();
    Some(CircuitLine::Conductor(Conductor {
        colour,
        unknown,
        carries,
        title: parts.text(),
        ends,
        measures: parts.measures(),
        labels,
    }))
}
