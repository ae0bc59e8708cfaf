//! FW09, the part of the conductors: where each leads, its colour, its size and its length.

use std::collections::BTreeMap;

use num_traits::{CheckedAdd, ToPrimitive};

use super::Judged;
use crate::diagnostics::{Change, Code, Finding, MOST_OFFERED, Mend, suggest};
use crate::model::{Colour, ColourRule, Coloured, Conductor, PointId, Return};
use crate::quantity::{Exact, Quantity};
use crate::working::circuit::{AgainstWire, ConductorsWorking, amperes, own, share};
use crate::working::joint::length_words;

pub(super) fn check(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let (circuit, worked) = (judged.circuit, &judged.made.conductors);
    for conductor in &circuit.conductors {
        findings.extend(nowhere(judged, conductor));
        findings.extend(against_colours(judged, conductor));
        findings.extend(not_protective(judged, conductor));
    }
    sizes(judged, worked, findings);
    findings.extend(lost(judged, worked));
    findings.extend(lengths(judged));
    unreached(judged, findings);
}

/// `conductor 2 (red)`: a conductor as messages call it.
pub(super) fn called(judged: &Judged<'_>, conductor: &Conductor) -> String {
    let number = judged.circuit.conductors.iter().position(|one| std::ptr::eq(one, conductor)).map_or(0, |at| at + 1);
    match conductor.colour_word() {
        Some(colour) => format!("conductor {number} ({colour})"),
        None => format!("conductor {number}"),
    }
}

/// FW0927. A bridge between two pins of one connector leads somewhere.
fn nowhere(judged: &Judged<'_>, conductor: &Conductor) -> Option<Finding> {
    let (from, to) = (&conductor.from, &conductor.to);
    let is_bridge = from.pin.is_some() && to.pin.is_some() && from.pin != to.pin;
    (from.point == to.point && !is_bridge).then(|| {
        let point = &judged.circuit.points[from.point];
        let message = format!(
            "{} of `{}` leads from `{}` to itself",
            called(judged, conductor),
            judged.circuit.name.id,
            point.id
        );
        Finding::new(Code::FW0927, message, to.span, "where it begins")
            .because(
                "The wire list would send a wire from a point to the same point, and some other point goes without.",
            )
            .repair("Name the point at its other end.")
    })
}

/// FW0930.
fn against_colours(judged: &Judged<'_>, conductor: &Conductor) -> Option<Finding> {
    let rules = &judged.procedure.colours;
    let stated = rules.first()?.span;
    let coloured = conductor.colour?;
    let word = coloured.word();
    let told = |message: String, label: &str, repair: String| {
        Finding::new(Code::FW0930, message, conductor.span, label.to_owned())
            .also(stated, "the colours of this file begin here")
            .because("Whoever finds the wire later goes by its colour.")
            .repair(repair)
    };
    let name = called(judged, conductor);
    let circuit = &judged.circuit.name.id;
    let Some(carries) = &conductor.carries else {
        let is_listed = rules.iter().any(|rule| rule.colour == coloured);
        return (!is_listed).then(|| {
            told(
                format!("{name} of `{circuit}` has a colour that `colours` does not name"),
                "neither a colour of the list, nor what it carries",
                format!("Add the colour to `colours`, with what it carries: `{word} signal`; or correct the colour."),
            )
        });
    };
    let of_it: Vec<&ColourRule> = rules.iter().filter(|rule| rule.carries == *carries).collect();
    if of_it.iter().any(|rule| rule.colour == coloured) {
        return None;
    }
    if of_it.is_empty() {
        let near = suggest::nearest(carries, rules.iter().map(|rule| rule.carries.as_str()));
        let repair = near.map_or_else(
            || format!("Add it to `colours`: `{word} {carries}`."),
            |near| format!("Write `{near}`, or add it to `colours`: `{word} {carries}`."),
        );
        return Some(told(
            format!("`colours` gives no colour to what {name} of `{circuit}` carries, `{carries}`"),
            "not in the list",
            repair,
        ));
    }
    let colours: Vec<String> = of_it.iter().map(|rule| format!("`{}`", rule.colour.word())).collect();
    Some(told(
        format!("{name} of `{circuit}` carries `{carries}`, which is {} in this file", colours.join(" or ")),
        "another colour",
        format!("Write {}, or what this conductor does carry.", colours.join(" or ")),
    ))
    .map(|finding| {
        finding.mend(of_it.iter().take(MOST_OFFERED).map(|rule| {
            let colour = rule.colour.word();
            Mend::look(format!("Write `{colour}`"), Change::Word(conductor.span, word.to_string(), colour.to_string()))
        }))
    })
}

/// Words for the side of a direct current that goes back to the battery.
const RETURNS: &[&str] = &["negative", "minus", "return", "earth", "ground"];

/// FW0952, where no other pole was told of the circuit: then one of both words is wrong, and it is said.
pub(super) fn red(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    if !findings.iter().any(|finding| finding.code == Code::FW0941) {
        findings.extend(judged.circuit.conductors.iter().filter_map(|conductor| red_return(judged, conductor)));
    }
}

/// FW0952: that red is the side of the battery's positive post is the practice of every trade that wires vehicles and boats (common
/// practice; 33 CFR and the boat standards leave other colours free, from memory). A list of `colours` that says otherwise is
/// taken as meant.
fn red_return(judged: &Judged<'_>, conductor: &Conductor) -> Option<Finding> {
    let red = Coloured { base: Colour::Red, stripe: None };
    let carries = judged.procedure.carried_by(conductor)?;
    // A list that has a colour for it decides: FW0930.
    let listed = |rule: &ColourRule| rule.carries == carries;
    if conductor.colour != Some(red)
        || !RETURNS.contains(&carries.to_lowercase().as_str())
        || judged.procedure.colours.iter().any(listed)
    {
        return None;
    }
    let message = format!("{} of `{}` carries `{carries}`", called(judged, conductor), judged.circuit.name.id);
    Some(
        Finding::new(Code::FW0952, message, conductor.span, "red, on the way back to the battery")
            .because("Whoever finds a red wire later takes it for the positive side, and joins it to the battery or to a fuse.")
            .repair("Write the colour that the wire has, or what it carries. Where your shop agrees on red for it, say so once: `colours red negative`."),
    )
}

/// Words for what a conductor carries that is surely no protective earth (common practice; from memory). Other words are the
/// writer's own, and in another language nothing is known of them.
const FEEDS: &[&str] = &[
    "live", "line", "phase", "hot", "neutral", "positive", "negative", "plus", "minus", "feed", "supply", "return",
    "switched", "signal", "l", "l1", "l2", "l3", "n",
];

/// FW0939. Green and yellow together are kept for the protective conductor: IEC 60445, from memory.
fn not_protective(judged: &Judged<'_>, conductor: &Conductor) -> Option<Finding> {
    let carries = judged.procedure.carried_by(conductor)?;
    let is_kept = conductor.colour == Some(Coloured { base: Colour::GreenYellow, stripe: None });
    (is_kept && judged.procedure.is_english() && FEEDS.contains(&carries.to_lowercase().as_str())).then(|| {
        let (name, circuit) = (called(judged, conductor), &judged.circuit.name.id);
        let message = format!("{name} of `{circuit}` has the colours of protective earth and carries `{carries}`");
        Finding::new(Code::FW0939, message, conductor.span, "kept for protective earth")
            .because("Whoever works on it later takes it for earth, touches it, or bolts it to the frame.")
            .repair("Choose another colour, in the circuit and in `colours`. Where it is the protective conductor, say `earth`.")
    })
}

/// FW0909 and FW0910, of a conductor with a size of its own.
fn sizes(judged: &Judged<'_>, worked: &ConductorsWorking, findings: &mut Vec<Finding>) {
    let circuit = judged.circuit;
    let Some(protection) = &circuit.protection else { return };
    for (conductor, made) in circuit.conductors.iter().zip(&worked.own) {
        let Some(made) = made else { continue };
        let code = match made.protection.and_then(|verdict| verdict.wire) {
            Some(AgainstWire::Beyond) => Code::FW0909,
            Some(AgainstWire::Above) => Code::FW0910,
            _ => continue,
        };
        let carries = made.ampacity_a.map_or_else(String::new, amperes);
        let rating = own(&protection.rating);
        let size = conductor.size.as_ref().map_or_else(String::new, own);
        let message = format!(
            "what protects `{}`, {rating}, is more than {} of {size} carries",
            circuit.name.id,
            called(judged, conductor)
        );
        let finding = Finding::new(
            code,
            message,
            conductor.size_span.unwrap_or(conductor.span),
            format!("carries {carries} here"),
        );
        let held = protection.rating.to_string();
        let finding = if code == Code::FW0910 { finding.holding(held) } else { finding };
        let finding = match circuit.places.protection {
            Some(place) => finding.also(place, "protected by this"),
            None => finding,
        };
        let because = if code == Code::FW0909 {
            "Under an overload this conductor gets hot enough to burn before anything opens."
        } else {
            "The law for boats allows up to 150 % below 50 V; the stricter reading, which vehicles deserve, allows 100 %."
        };
        findings.push(
            finding
                .because(because)
                .repair("Make the conductor thicker, or give it a circuit with a protection of its own."),
        );
    }
}

/// FW0936.
fn lost(judged: &Judged<'_>, worked: &ConductorsWorking) -> Option<Finding> {
    let (drop, lost) = (judged.made.drop?, worked.lost?);
    worked.is_above(&drop).then(|| {
        let circuit = judged.circuit;
        let message = format!(
            "with the sizes of its conductors the voltage drop of `{}` is {}, and {} {}",
            circuit.name.id,
            share(lost),
            if drop.allowed_is_stated { "at most" } else { "practice allows" },
            share(drop.allowed)
        );
        let sized = circuit.conductors.iter().filter_map(|conductor| conductor.size_span);
        let finding = Finding::new(Code::FW0936, message, judged.at(circuit.places.drop), "worked out with `wire` it is within the limit").holding(share(lost));
        sized.fold(finding, |finding, at| finding.also(at, "a size of its own"))
            .because("The load gets less voltage than is stated: a lamp is dim, a motor stalls and gets hot, a charger stops early.")
            .repair("Make the conductors as thick as `wire` says, or state their lengths: one without counts for the whole run.")
    })
}

/// FW0934. What carries one thing may be as long as the run; where it is not said what a conductor carries, its wires may go there and back.
fn lengths(judged: &Judged<'_>) -> Option<Finding> {
    let circuit = judged.circuit;
    let run = circuit.run.as_ref()?;
    let one_way = run.base()?;
    let there_and_back = one_way.checked_add(&one_way)?;
    let mut groups: BTreeMap<Option<&str>, Vec<&Conductor>> = BTreeMap::new();
    for conductor in &circuit.conductors {
        groups.entry(judged.procedure.carried_by(conductor)).or_default().push(conductor);
    }
    for (carries, group) in groups {
        let single = |conductor: &&Conductor| {
            conductor.length.as_ref().and_then(Quantity::base).is_some_and(|length| length > one_way)
        };
        let most = if carries.is_none() && circuit.returns == Return::Wire { there_and_back } else { one_way };
        let chain = || longest_chain(&group).filter(|longest| *longest > most);
        let (long, of, is_long) = match group.iter().find(|conductor| single(conductor)) {
            Some(long) => (*long, called(judged, long), long.length.as_ref()?.base()?),
            None => match chain() {
                Some(longest) => (*group.last()?, "its conductors, one after the other,".to_owned(), longest),
                None => continue,
            },
        };
        let message = format!("{of} of `{}` are longer than its run of {}", circuit.name.id, own(run));
        let message = if of.starts_with("conductor") { message.replace(" are longer", " is longer") } else { message };
        let finding =
            Finding::new(Code::FW0934, message, long.span, "a length of its own").holding(held_length(judged, is_long));
        let finding = match circuit.places.run {
            Some(place) => finding.also(place, "the wire, one way"),
            None => finding,
        };
        return Some(
            finding
                .because("The drop is worked out with the run: the load gets less than was judged.")
                .repair("Measure both: `run` is the wire from the source to the load, all its pieces together."),
        );
    }
    None
}

/// A length that is accepted, as a person writes it: a whole one without tenths.
pub(super) fn held_length(judged: &Judged<'_>, metres: Exact) -> String {
    length_words(judged.procedure, metres.to_f64().unwrap_or_default() * 1000.0).replacen(".0 ", " ", 1)
}

/// The longest way over conductors that make no ring; `None` where they do, or where no length is stated.
fn longest_chain(conductors: &[&Conductor]) -> Option<Exact> {
    let mut near: BTreeMap<PointId, Vec<(PointId, Exact)>> = BTreeMap::new();
    for conductor in conductors {
        let length = conductor.length.as_ref().and_then(Quantity::base).unwrap_or_else(|| Exact::from_integer(0));
        for (one, other) in [(&conductor.from, &conductor.to), (&conductor.to, &conductor.from)] {
            near.entry(one.point).or_default().push((other.point, length));
        }
    }
    let mut longest = Exact::from_integer(0);
    for start in near.keys() {
        // From each point over all others; in a tree each is reached once.
        let mut seen = BTreeMap::from([(*start, Exact::from_integer(0))]);
        let mut open = vec![(*start, None)];
        while let Some((here, before)) = open.pop() {
            let far = *seen.get(&here)?;
            let mut back = before;
            for (next, length) in near.get(&here)? {
                if Some(*next) == back {
                    // Only once: two conductors between the same two points are a ring.
                    back = None;
                    continue;
                }
                let there = far.checked_add(length)?;
                if seen.insert(*next, there).is_some() {
                    return None;
                }
                longest = longest.max(there);
                open.push((*next, Some(here)));
            }
        }
    }
    Some(longest)
}

/// FW0933. What goes into another connector is reached by that one.
fn unreached(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    let circuit = judged.circuit;
    if circuit.conductors.is_empty() || circuit.on_vehicle {
        return;
    }
    let mated = |point: PointId| {
        circuit
            .points
            .iter()
            .any(|(id, row)| row.connector.mates.as_ref().is_some_and(|(mate, _)| *mate == point || id == point))
    };
    for (id, point) in circuit.points.iter() {
        if circuit.conductors.iter().any(|conductor| conductor.reaches(id)) || mated(id) {
            continue;
        }
        let message = format!("no conductor of `{}` reaches `{}`", circuit.name.id, point.id);
        let finding = Finding::new(Code::FW0933, message, point.span, "a point of the circuit");
        let finding = match circuit.conductors.first() {
            Some(first) => finding.also(first.span, "its conductors begin here"),
            None => finding,
        };
        let finding = finding.mend(Mend::drop(point.span));
        findings.push(finding.because("By the wire list nobody would bring a wire to it.").repair(format!(
            "List the conductor that ends there, `conductor COLOUR from POINT to {}`, or take the point out.",
            point.id
        )));
    }
}
