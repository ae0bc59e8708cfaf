//! FW09, the part of the connectors: pins that are there, what each carries on both sides, what can be told apart.

use super::Judged;
use super::conductors::called;
use crate::diagnostics::{Code, Finding};
use crate::model::{Conductor, PointId};
use crate::source::Span;

/// A conductor at one side of a connector.
#[derive(Clone, Copy)]
struct At<'p> {
    conductor: &'p Conductor,
    pin: Option<u32>,
    carries: Option<&'p str>,
    span: Span,
}

pub(super) fn check(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let circuit = judged.circuit;
    for conductor in &circuit.conductors {
        findings.extend(no_such_pin(judged, conductor));
    }
    let mut told: Vec<(Span, Span)> = Vec::new();
    for (id, point) in circuit.points.iter() {
        let (before, after) = (side(judged, id, true), side(judged, id, false));
        for side in [&before, &after] {
            shared_pins(judged, id, side, findings);
            findings.extend(alike(judged, id, side, &mut told));
        }
        findings.extend(swapped(judged, (id, &before), (id, &after)));
        if let Some((mate, said)) = &point.connector.mates {
            match cannot_mate(judged, id, *mate, *said) {
                Some(finding) => findings.push(finding),
                None => {
                    let here: Vec<At<'_>> = before.iter().chain(&after).copied().collect();
                    let there: Vec<At<'_>> = [true, false].into_iter().flat_map(|at| side(judged, *mate, at)).collect();
                    findings.extend(swapped(judged, (id, &here), (*mate, &there)));
                }
            }
        }
    }
}

/// The conductors at one side of a point: those that come from points nearer to the source, or the others.
fn side<'p>(judged: &Judged<'p>, point: PointId, source_side: bool) -> Vec<At<'p>> {
    let circuit = judged.circuit;
    let mut found = Vec::new();
    for conductor in &circuit.conductors {
        for (here, other) in [(&conductor.from, &conductor.to), (&conductor.to, &conductor.from)] {
            // A bridge from pin to pin is on neither side.
            if here.point == point && other.point != point && (other.point < point) == source_side {
                let carries = judged.procedure.carried_by(conductor);
                found.push(At { conductor, pin: here.pin, carries, span: here.span });
            }
        }
    }
    found
}

/// FW0928.
fn no_such_pin(judged: &Judged<'_>, conductor: &Conductor) -> Option<Finding> {
    let (end, pin) = conductor.ends().into_iter().find_map(|end| {
        let point = &judged.circuit.points[end.point];
        let pin = end.pin?;
        let is_there = point.plug && point.connector.pins.is_none_or(|pins| pin <= pins);
        (!is_there).then_some((end, pin))
    })?;
    let point = &judged.circuit.points[end.point];
    let (message, label, repair) = match point.connector.pins {
        Some(pins) => (
            format!("{} ends at pin {pin} of `{}`, which has {pins}", called(judged, conductor), point.id),
            "no such pin",
            "Write a pin that the connector has, or correct its number of pins.".to_owned(),
        ),
        None => (
            format!("{} ends at pin {pin} of `{}`, which is no connector", called(judged, conductor), point.id),
            "a point without pins",
            format!("Declare the connector, `point {} plug, {pin} pins`, or leave the pin out.", point.id),
        ),
    };
    Some(
        Finding::new(Code::FW0928, message, end.span, label)
            .also(point.span, "the point")
            .because("The wire list would send the wire to a place that nobody finds.")
            .repair(repair),
    )
}

/// FW0929.
fn shared_pins(judged: &Judged<'_>, point: PointId, side: &[At<'_>], findings: &mut Vec<Finding>) {
    for (at, one) in side.iter().enumerate() {
        let Some(pin) = one.pin else { continue };
        let Some(first) = side[..at].iter().find(|earlier| earlier.pin == Some(pin)) else { continue };
        let point = &judged.circuit.points[point];
        let message = format!("two conductors of `{}` end at pin {pin} of `{}`", judged.circuit.name.id, point.id);
        findings.push(
            Finding::new(Code::FW0929, message, one.span, called(judged, one.conductor))
                .also(first.span, called(judged, first.conductor))
                .because("A contact is made for one wire; a second one is not held, and the seal does not close.")
                .repair("Give each a pin of its own. Where the contact is made for two wires, accept it and say so."),
        );
    }
}

/// FW0931, between two sides of a connector, or two connectors that mate.
fn swapped(
    judged: &Judged<'_>,
    (here, one): (PointId, &[At<'_>]),
    (there, other): (PointId, &[At<'_>]),
) -> Option<Finding> {
    let points = &judged.circuit.points;
    let place = |point: PointId, pin: u32| format!("pin {pin} of `{}`", points[point].id);
    let only_pin = |side: &[At<'_>], carries: &str| {
        let mut pins = side.iter().filter(|at| at.carries == Some(carries)).map(|at| at.pin);
        let first = pins.next()??;
        pins.all(|pin| pin == Some(first)).then_some(first)
    };
    for from in one {
        for to in other {
            let (Some(pin), Some(next)) = (from.pin, to.pin) else { continue };
            let (Some(before), Some(after)) = (from.carries, to.carries) else { continue };
            let message = if pin == next && before != after {
                format!("{} carries `{before}` on one side and `{after}` on the other", place(here, pin))
            } else if pin != next
                && before == after
                && only_pin(one, before) == Some(pin)
                && only_pin(other, before) == Some(next)
            {
                format!(
                    "`{before}` of `{}` comes to {} and goes on from {}",
                    judged.circuit.name.id,
                    place(here, pin),
                    place(there, next)
                )
            } else {
                continue;
            };
            return Some(
                Finding::new(Code::FW0931, message, to.span, called(judged, to.conductor))
                    .also(from.span, called(judged, from.conductor))
                    .because("Polarity is swapped there: what is fed runs backwards, or is destroyed when it is switched on.")
                    .repair("Give both sides the same pin for the same thing, or correct what one of them carries."),
            );
        }
    }
    None
}

/// FW0932: of one colour and label, and yet not the same where they end. Each two are told once, though both their ends are alike.
fn alike(judged: &Judged<'_>, point: PointId, side: &[At<'_>], told: &mut Vec<(Span, Span)>) -> Option<Finding> {
    for (at, one) in side.iter().enumerate() {
        // Of what colour nobody says, it is not known that they are alike.
        let Some(colour) = one.conductor.colour_word() else { continue };
        let same = |other: &&At<'_>| {
            other.conductor.colour == one.conductor.colour && other.conductor.label == one.conductor.label
        };
        let differs = |other: &&At<'_>| other.pin != one.pin || other.carries != one.carries;
        let Some(first) = side[..at].iter().find(|other| same(other) && differs(other)) else { continue };
        let pair = (first.conductor.span, one.conductor.span);
        if told.contains(&pair) {
            continue;
        }
        told.push(pair);
        let point = &judged.circuit.points[point];
        let message = format!(
            "two {} conductors of `{}` end at `{}` and can't be told apart",
            colour, judged.circuit.name.id, point.id
        );
        return Some(
            Finding::new(Code::FW0932, message, one.span, called(judged, one.conductor))
                .also(first.span, called(judged, first.conductor))
                .because("They go to different pins, or carry different things, and look the same in the hand.")
                .repair("Mark them: `label \"F1\"` and `label \"F2\"`. Or give them different colours."),
        );
    }
    None
}

/// FW0935.
fn cannot_mate(judged: &Judged<'_>, here: PointId, mate: PointId, said: Span) -> Option<Finding> {
    let points = &judged.circuit.points;
    let (one, other) = (&points[here], &points[mate]);
    let back = other.connector.mates.as_ref().map(|(back, _)| *back);
    let why = match (&one.connector, &other.connector) {
        _ if here == mate => "a connector does not go into itself".to_owned(),
        _ if !other.plug => format!("`{}` is no plug", other.id),
        (a, b) if a.gender.is_some() && a.gender == b.gender => "both have contacts of the same kind".to_owned(),
        (a, b) => match (a.pins, b.pins) {
            (Some(a), Some(b)) if a != b => format!("one has {a} pins and the other {b}"),
            _ if back.is_some_and(|back| back != here) => {
                format!("`{}` mates with another point", other.id)
            }
            _ => return None,
        },
    };
    let message = format!("`{}` of `{}` does not mate with `{}`: {why}", one.id, judged.circuit.name.id, other.id);
    Some(
        Finding::new(Code::FW0935, message, said, "said to mate")
            .also(other.span, "with this")
            .because("The technician stands there with two connectors that don't go together.")
            .repair("Look at both connectors and correct what is stated, or order the one that fits."),
    )
}
