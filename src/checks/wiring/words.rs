//! The words of the family: what is wrong with a circuit, why it matters, what to write.

use super::Judged;
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{CircuitProtection, Part, Point, Protector, Terminal};
use crate::trade::wire;
use crate::working::circuit::{Drop, TerminalFit, amperes, inches, listed_near, own, share, volts};

/// FW0914.
pub(super) fn overloaded(judged: &Judged<'_>) -> Finding {
    let (circuit, made) = (judged.circuit, &judged.made);
    let load = made.load_a.map_or_else(String::new, amperes);
    let carries = made.ampacity_a.map_or_else(String::new, amperes);
    let message = format!("the load of `{}`, {load}, is more than its wire carries: {carries}", circuit.name.id);
    let finding =
        Finding::new(Code::FW0914, message, judged.at(circuit.places.load), format!("the wire carries {carries} here"));
    let finding = match circuit.places.wire {
        Some(wire) => finding.also(wire, "this wire"),
        None => finding,
    };
    finding
        .because("The insulation gets hotter than it bears. It softens, the wire touches the body, and it can burn.")
        .repair(thicker(judged, "share the load between two circuits"))
}

/// FW0905.
pub(super) fn drop_above(judged: &Judged<'_>, drop: &Drop) -> Finding {
    let circuit = judged.circuit;
    let (lost, allowed) = (share(drop.share), share(drop.allowed));
    let message = format!("the voltage drop of `{}` is {lost}, and at most {allowed} is allowed", circuit.name.id);
    let label = format!("{} is lost on the way to the load and back", volts(drop.volts));
    let finding = Finding::new(Code::FW0905, message, judged.at(circuit.places.drop), label);
    lost_voltage(judged, finding).repair(thicker(judged, "shorten the run"))
}

/// FW0919.
pub(super) fn drop_above_when_thin(judged: &Judged<'_>, drop: &Drop) -> Finding {
    let circuit = judged.circuit;
    let (lost, allowed) = (share(drop.least_share), share(drop.allowed));
    let message = format!(
        "the voltage drop of `{}` stays within {allowed} only where its wire is as thick as its size says",
        circuit.name.id
    );
    let label = format!("{lost} with the thinnest wire that is sold under this size");
    let finding = Finding::new(Code::FW0919, message, judged.at(circuit.places.drop), label).holding(lost);
    lost_voltage(judged, finding).repair(thicker(judged, "accept it where the wire's data sheet states its full area"))
}

/// FW0906.
pub(super) fn drop_unlimited(judged: &Judged<'_>, drop: &Drop) -> Finding {
    let circuit = judged.circuit;
    let lost = share(if drop.is_above() { drop.share } else { drop.least_share });
    let allowed = share(drop.allowed);
    let message = format!("`{}` states no largest voltage drop, and {lost} of its voltage is lost", circuit.name.id);
    let label = format!("practice allows a feeder {allowed}");
    let finding = Finding::new(Code::FW0906, message, circuit.name.span, label).holding(lost);
    let other = thicker(judged, "shorten the run");
    lost_voltage(judged, finding).repair(format!(
        "State what the load bears, by its maker: `drop at most 10 %`, or in volts `drop at most 0.5 V`. {other}"
    ))
}

/// FW0945.
pub(super) fn drop_allowed(judged: &Judged<'_>, drop: &Drop) -> Finding {
    let circuit = judged.circuit;
    let (allowed, most) = (share(drop.allowed), share(wire::LARGEST_DROP_SHARE));
    let message = format!("`{}` allows {allowed} of its voltage to be lost", circuit.name.id);
    Finding::new(Code::FW0945, message, judged.at(circuit.places.drop), format!("practice allows {most} at most"))
        .because("No wire is held to a limit that nothing reaches: the load may get too little voltage, and nothing here would say so.")
        .repair("State what the load bears, by its maker; where that is so much, accept this with the maker's words.")
}

fn lost_voltage(judged: &Judged<'_>, finding: Finding) -> Finding {
    let finding = match judged.circuit.places.wire {
        Some(wire) => finding.also(wire, "this wire"),
        None => finding,
    };
    finding
        .because("The load gets too little voltage: a lamp is dim, a motor stalls and gets hot, a charger stops early.")
}

/// FW0911.
pub(super) fn unprotected(judged: &Judged<'_>) -> Finding {
    let circuit = judged.circuit;
    let rating = judged.made.suggested_rating_a.map_or_else(|| "25 A".to_owned(), amperes);
    Finding::new(
        Code::FW0911,
        format!("nothing protects the wire of `{}`", circuit.name.id),
        circuit.name.span,
        "no breaker and no fuse",
    )
    .because("A wire that touches the body carries whatever the battery gives, and burns along its whole length.")
    .repair(format!(
        "Add the protection, with its distance from the source along the wire: `fuse {rating} at 150 mm`. A cable from the battery to the starter motor says `starter cable` instead."
    ))
}

/// FW0907 and FW0908.
pub(super) fn rating_and_load(judged: &Judged<'_>, stated: &CircuitProtection, code: Code) -> Finding {
    let circuit = judged.circuit;
    let (sort, rating) = (sort(stated), own(&stated.rating));
    let load = judged.made.load_a.unwrap_or_default();
    let id = &circuit.name.id;
    let (message, label, because) = if code == Code::FW0907 {
        (
            format!("the {sort} of `{id}`, {rating}, is below its load of {}", amperes(load)),
            "opens under the load".to_owned(),
            format!("The {sort} opens while nothing is wrong. Sooner or later someone puts in one that is too large."),
        )
    } else {
        (
            format!("the {sort} of `{id}`, {rating}, is below 125 % of its load of {}", amperes(load)),
            format!("125 % of the load is {}", judged.made.least_rating_a.map_or_else(String::new, amperes)),
            format!(
                "A {sort} that carries its full rating for hours gets warm and opens early. The 125 % are common practice."
            ),
        )
    };
    let finding = Finding::new(code, message, judged.at(circuit.places.protection), label);
    let finding = if code == Code::FW0908 { finding.holding(stated.rating.to_string()) } else { finding };
    let finding = match circuit.places.load {
        Some(place) => finding.also(place, "its load"),
        None => finding,
    };
    finding.because(because).repair(rating_that_fits(judged, stated))
}

/// FW0909 and FW0910.
pub(super) fn rating_and_wire(judged: &Judged<'_>, stated: &CircuitProtection, code: Code) -> Finding {
    let circuit = judged.circuit;
    let (sort, rating) = (sort(stated), own(&stated.rating));
    let carries = judged.made.ampacity_a.map_or_else(String::new, amperes);
    let of = judged.made.protection.zip(judged.made.ampacity_a);
    let of = of.map_or_else(String::new, |(verdict, ampacity)| share(verdict.rating_a / ampacity));
    let message = format!("the {sort} of `{}`, {rating}, is rated at {of} of what its wire carries", circuit.name.id);
    let finding =
        Finding::new(code, message, judged.at(circuit.places.protection), format!("the wire carries {carries} here"));
    let finding = if code == Code::FW0910 { finding.holding(stated.rating.to_string()) } else { finding };
    let finding = match circuit.places.wire {
        Some(wire) => finding.also(wire, "this wire"),
        None => finding,
    };
    let because = if code == Code::FW0909 {
        format!(
            "Under an overload the wire gets hot enough to burn before the {sort} opens. More than 150 %, or 100 % from 50 V on, no rule allows."
        )
    } else {
        "The law for boats allows up to 150 % below 50 V; the stricter reading, which vehicles deserve, allows 100 %."
            .to_owned()
    };
    finding.because(because).repair(rating_that_fits(judged, stated))
}

/// FW0912 and FW0913.
pub(super) fn too_far(judged: &Judged<'_>, stated: &CircuitProtection, code: Code) -> Finding {
    let circuit = judged.circuit;
    let (sort, units) = (sort(stated), judged.procedure.units);
    let at = stated.at.as_ref().map_or_else(String::new, own);
    let message = format!("the {sort} of `{}` is {at} from its source along the wire", circuit.name.id);
    let (label, repair) = match (code, circuit.sheathed) {
        (Code::FW0912, _) => (
            format!("no rule allows more than {}", inches(units, 72)),
            format!(
                "Move the {sort} to the source: within {} of it, or within {} where the wire up to it runs in a sheath.",
                inches(units, 7),
                inches(units, 40)
            ),
        ),
        (_, false) => (
            format!("at most {} without a sheath", inches(units, 7)),
            format!(
                "Move the {sort} within {}. Or put the wire up to it in a sheath and add the line `sheathed`: then {} are allowed.",
                inches(units, 7),
                inches(units, 40)
            ),
        ),
        (_, true) => (
            format!("at most {} in a sheath", inches(units, 40)),
            format!(
                "Move the {sort} within {}. Where the wire starts at the battery's own post, {} are accepted practice: then write `accept FW0913 at {} \"starts at the battery post\"` before this line.",
                inches(units, 40),
                inches(units, 72),
                stated.at.as_ref().map_or_else(String::new, ToString::to_string)
            ),
        ),
    };
    let finding = Finding::new(code, message, judged.at(circuit.places.protection), label);
    let held = stated.at.as_ref().filter(|_| code == Code::FW0913);
    let finding = held.into_iter().fold(finding, |finding, at| finding.holding(at.to_string()));
    finding
        .because(format!(
            "From the source up to the {sort} nothing protects the wire. The distances are United States law for boats."
        ))
        .repair(repair)
}

/// FW0923.
pub(super) fn beyond_run(judged: &Judged<'_>, stated: &CircuitProtection) -> Finding {
    let circuit = judged.circuit;
    let sort = sort(stated);
    let at = stated.at.as_ref().map_or_else(String::new, own);
    let run = circuit.run.as_ref().map_or_else(String::new, own);
    let message = format!("the {sort} of `{}` is {at} along a wire of {run}", circuit.name.id);
    let finding = Finding::new(Code::FW0923, message, judged.at(circuit.places.protection), "past the end of the wire");
    let finding = match circuit.places.run {
        Some(place) => finding.also(place, "the wire, one way"),
        None => finding,
    };
    finding
        .because("One of the two lengths is wrong: the drop, or the stretch that nothing protects, is not what the vehicle gets.")
        .repair(format!("Measure both: `run` is the wire from the source to the load, the {sort}'s distance a part of it."))
}

/// FW0924, of points that name no stud, and no terminal that needs none, or a stud and nothing that goes on it.
pub(super) fn bare_points(judged: &Judged<'_>, bare: &[&Point]) -> Finding {
    let circuit = judged.circuit;
    let names: Vec<String> = bare.iter().map(|point| format!("`{}`", point.id)).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let message = format!(
        "nothing is judged of what is crimped or bolted at {} of `{}`",
        in_a_row(&names, "and"),
        circuit.name.id
    );
    let finding = Finding::new(Code::FW0924, message, circuit.name.span, "not all of its points say what is there");
    let plug = |point: &&Point| Change::Append(point.span, " plug".to_owned());
    let plugs = bare.iter().all(|point| point.terminal.is_none() && point.stud.is_none()).then(|| Mend {
        changes: bare.iter().map(plug).collect(),
        ..Mend::look("Nothing is crimped or bolted there: write `plug`", Change::Drop(circuit.name.span))
    });
    let lacks = |point: &&Point| match (point.terminal, &point.stud) {
        (None, None) => (point.span, "neither terminal nor stud"),
        (None, Some(_)) => (point.span, "a stud, and no terminal that goes on it"),
        (Some(_), _) => (point.span, "a ring, and no stud that it goes on"),
    };
    let finding = bare.iter().map(lacks).fold(finding, |finding, (span, label)| finding.also(span, label));
    finding
        .because("Whether terminal, wire and stud fit each other is not known here.")
        .mend(plugs)
        .repair("Name what is there, with your own sizes: `with ring-8-m8 on M8`; `std/wiring` names ring terminals by wire or colour and by stud (`ring-blue-m6`). After a point where nothing is crimped or bolted, write `plug`.")
}

/// FW0917.
pub(super) fn no_standard_rating(judged: &Judged<'_>, stated: &CircuitProtection) -> Finding {
    let circuit = judged.circuit;
    let (sort, rating) = (sort(stated), own(&stated.rating));
    let near: Vec<String> = listed_near(judged.procedure, stated).into_iter().map(amperes).collect();
    Finding::new(
        Code::FW0917,
        format!("no list here has a {sort} of {rating}"),
        judged.at(circuit.places.protection),
        "no standard rating",
    )
    .because("The store has none, and the next best that is at hand may not protect the wire.")
    .repair(match near.as_slice() {
        [] => "Write a rating that is made.".to_owned(),
        near => format!(
            "The nearest listed are {}. Or add a row with this rating to a library of yours.",
            near.join(" and ")
        ),
    })
}

/// FW0915.
pub(super) fn terminal_and_wire(judged: &Judged<'_>, fit: &TerminalFit) -> Option<Finding> {
    let (part, terminal, point) = at_point(judged, fit)?;
    let wire = fit.size.as_ref().map_or_else(String::new, |(size, _)| own(size));
    let takes: Vec<String> = terminal.wires.iter().map(|wires| wires.source_form().replace("mm2", "mm²")).collect();
    let message = format!("the terminal `{}` at `{}` is not for {wire} wire", part.name.id, point.id);
    let finding = Finding::new(Code::FW0915, message, point.span, format!("takes {}", takes.join(", ")));
    let finding = match fit.size.and_then(|(_, at)| at) {
        Some(wire) => finding.also(wire, "the wire"),
        None => finding,
    };
    Some(
        finding
            .because("A crimp of the wrong size holds by luck. It pulls off, or gets hot at the joint.")
            .repair(format!("Name a terminal for {wire} wire. `std/wiring` lists them by wire and stud.")),
    )
}

/// FW0916.
pub(super) fn terminal_and_stud(judged: &Judged<'_>, fit: &TerminalFit) -> Option<Finding> {
    let (part, terminal, point) = at_point(judged, fit)?;
    let stud = point.stud.as_deref().unwrap_or_default();
    let message = format!("the terminal `{}` does not fit the stud {stud} at `{}`", part.name.id, point.id);
    let label = match terminal.studs.as_slice() {
        [] => "has no ring for a stud".to_owned(),
        studs => format!("its hole is for {}", studs.join(", ")),
    };
    Some(
        Finding::new(Code::FW0916, message, point.span, label)
            .because("A hole too small does not go on. One too large touches at its rim only, and gets hot.")
            .repair(format!("Name a terminal with a hole for {stud}, or correct the stud.")),
    )
}

/// FW0918.
pub(super) fn not_stated(judged: &Judged<'_>) -> Finding {
    let circuit = judged.circuit;
    let missing = &judged.made.missing;
    let what: Vec<&str> = missing.iter().map(|missing| missing.what).collect();
    let write: Vec<String> = missing.iter().map(|missing| format!("`{}`", missing.write)).collect();
    let message = format!("`{}` can't be judged whole: it does not say {}", circuit.name.id, in_a_row(&what, "and"));
    let chassis = judged.made.drop.and_then(|drop| drop.left_for_chassis_ohm);
    let measured = chassis.map_or_else(String::new, |ohm| {
        format!(
            " Measure the chassis from the load's earth stud to the battery's negative post; up to {} mOhm keeps the drop within its limit.",
            crate::working::circuit::two_figures(ohm * 1000.0)
        )
    });
    let write: Vec<&str> = write.iter().map(String::as_str).collect();
    let open = missing.iter().filter(|missing| missing.may_be_unknown && !missing.write.contains(" unknown "));
    let open: Vec<String> = open
        .filter_map(|missing| {
            // `fuse 15 A at 150 mm`: of which the distance alone may be unknown.
            let word = missing
                .write
                .split_once(" at ")
                .map_or_else(|| missing.write.split(' ').next(), |(rating, _)| Some(rating))?;
            let at = if word.contains(' ') { " at" } else { "" };
            Some(format!("`{word}{at} unknown \"why\"`"))
        })
        .collect();
    let open: Vec<&str> = open.iter().map(String::as_str).collect();
    let unknown = match open.is_empty() {
        true => String::new(),
        false => format!(" What nobody knows may be said to be unknown: {}.", in_a_row(&open, "and")),
    };
    Finding::new(Code::FW0918, message, circuit.name.span, "not all is stated")
        .because("What is not stated is not checked, or is taken at a value that may not be yours.")
        .repair(format!("State it, with your own values: {}.{unknown}{measured}", in_a_row(&write, "and")))
}

fn at_point<'j>(
    judged: &'j Judged<'_>,
    fit: &TerminalFit,
) -> Option<(&'j Part, &'j Terminal, &'j crate::model::Point)> {
    let part = &judged.procedure.parts[fit.part];
    Some((part, part.terminal.as_ref()?, &judged.circuit.points[fit.point]))
}

fn sort(stated: &CircuitProtection) -> &'static str {
    match stated.sort {
        Protector::Fuse => "fuse",
        Protector::Breaker => "breaker",
        Protector::Upstream => "protection upstream",
    }
}

/// `a, b and c`
fn in_a_row(words: &[&str], last: &str) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [before @ .., end] => format!("{} {last} {end}", before.join(", ")),
    }
}

/// Which wire passes, and what else would help.
fn thicker(judged: &Judged<'_>, otherwise: &str) -> String {
    match &judged.made.suggested_wire {
        Some(wire) if judged.made.ampacity_a.is_none() => format!(
            "By its voltage drop {wire} wire is the thinnest listed that passes; what it carries is not judged here. Or {otherwise}."
        ),
        Some(wire) => format!("Use {wire} wire, the thinnest listed that passes, or {otherwise}."),
        None => format!("No listed wire passes; {otherwise}."),
    }
}

/// Which rating bears the load and protects the wire.
fn rating_that_fits(judged: &Judged<'_>, stated: &CircuitProtection) -> String {
    let sort = sort(stated);
    match (judged.made.suggested_rating_a, &judged.made.suggested_wire) {
        (Some(rating), _) => format!(
            "Use a {sort} of {}: the least standard rating that bears 125 % of the load, and no more than this wire carries.",
            amperes(rating)
        ),
        (None, Some(wire)) => {
            format!("No standard rating bears the load and protects this wire: use {wire} wire for this {sort}.")
        }
        (None, None) => {
            format!("Choose a {sort} from 125 % of the load up to what the wire carries, or thicker wire.")
        }
    }
}
