//! FW09, the part of what conductors meet: the breaker or fuse that lies between two of them, and ends that have a pole.
//!
//! Which points are the two sides of a breaker or fuse, and which have a pole, only their words say. They are known in English;
//! a word that is missing makes a rule silent, never loud.

use std::collections::BTreeMap;

use num_traits::CheckedAdd;

use super::Judged;
use super::conductors::{called, held_length};
use crate::diagnostics::{Code, Finding};
use crate::model::{Circuit, Conductor, Point, PointId, Protector, WireEnd};
use crate::quantity::{Exact, Quantity};
use crate::working::circuit::own;

pub(super) fn check(judged: &Judged<'_>, findings: &mut Vec<Finding>) {
    if judged.circuit.conductors.is_empty() || !judged.procedure.is_english() {
        return;
    }
    findings.extend(farther(judged));
    findings.extend(other_pole(judged));
}

fn has_word(point: &Point, wanted: &[&str]) -> bool {
    let text = format!("{} {}", point.id, point.title).to_lowercase();
    text.split(|sign: char| !sign.is_alphanumeric()).any(|word| wanted.contains(&word))
}

/// The two sides of the breaker or fuse, the one nearer to the source first: two points that are called so, and conductors
/// lead from the source to one of them only, so long. With more than two, or one, nobody knows which is which.
fn sides(judged: &Judged<'_>) -> Option<(PointId, PointId, Exact)> {
    const CALLED: &[&str] = &["breaker", "breakers", "fuse", "fuses", "fuseholder", "fuseblock"];
    let circuit = judged.circuit;
    let source = circuit.source_point()?;
    let mut named = circuit.points.iter().filter(|(id, row)| *id != source && has_word(row, CALLED)).map(|(id, _)| id);
    let (one, other) = (named.next()?, named.next()?);
    if named.next().is_some() || !circuit.conductors.iter().any(|conductor| conductor.reaches(source)) {
        return None;
    }
    let carries = |conductor: &Conductor| judged.procedure.carried_by(conductor).map(str::to_owned);
    let way = lengths_from(circuit, source, &carries);
    match (way.get(&one), way.get(&other)) {
        (Some(length), None) => Some((one, other, *length)),
        (None, Some(length)) => Some((other, one, *length)),
        _ => None,
    }
}

/// The shortest way along conductors to each point that they reach from one; a conductor without a length counts as none.
///
/// Where one goes on from another, both carry the same and meet at the same pin, as far as that is stated: the way through what
/// is fed, back to the source, is another.
fn lengths_from(
    circuit: &Circuit,
    from: PointId,
    carries: &dyn Fn(&Conductor) -> Option<String>,
) -> BTreeMap<PointId, Exact> {
    let zero = || Exact::from_integer(0);
    let ends = circuit.conductors.iter().flat_map(|one| [(one, &one.from, &one.to), (one, &one.to, &one.from)]);
    let ends: Vec<(&Conductor, &WireEnd, &WireEnd)> = ends.collect();
    // To the far end of each conductor, in each direction.
    let mut way: Vec<Option<Exact>> = vec![None; ends.len()];
    // No way is longer than there are conductors.
    for _ in &circuit.conductors {
        let before = way.clone();
        for (at, (conductor, near, _)) in ends.iter().enumerate() {
            let goes_on = |(other, (came, _, far)): (usize, &(&Conductor, &WireEnd, &WireEnd))| {
                let same_pin = near.pin.is_none() || far.pin.is_none() || near.pin == far.pin;
                let (one, two) = (carries(came), carries(conductor));
                let same = one.is_none() || two.is_none() || one == two;
                before[other].filter(|_| near.point == far.point && same_pin && same)
            };
            let start = (near.point == from).then(zero);
            let nearest = ends.iter().enumerate().filter_map(goes_on).chain(start).min();
            let length = conductor.length.as_ref().and_then(Quantity::base).unwrap_or_else(zero);
            way[at] = nearest.and_then(|nearest| nearest.checked_add(&length));
        }
        if way == before {
            break;
        }
    }
    let mut found = BTreeMap::from([(from, zero())]);
    for ((.., far), length) in ends.iter().zip(way) {
        let Some(length) = length else { continue };
        let known = found.entry(far.point).or_insert(length);
        *known = length.min(*known);
    }
    found
}

/// FW0940. The wire up to the breaker or fuse is what nothing protects: it is judged by the distance, and cut by its length.
fn farther(judged: &Judged<'_>) -> Option<Finding> {
    let circuit = judged.circuit;
    let stated = circuit.protection.as_ref()?;
    let sort = match stated.sort {
        Protector::Fuse => "fuse",
        Protector::Breaker => "breaker",
        Protector::Upstream => return None,
    };
    let at = stated.at.as_ref()?;
    let (near, _, way) = sides(judged)?;
    if way <= at.base()? {
        return None;
    }
    let last = circuit.conductors.iter().find(|one| one.reaches(near) && one.length.is_some());
    let last = last.or_else(|| circuit.conductors.iter().find(|one| one.length.is_some()))?;
    let (name, point) = (&circuit.name.id, &circuit.points[near].id);
    let at = own(at);
    let whole = last.length.as_ref().filter(|length| length.base() == Some(way));
    let message = match whole {
        Some(length) => format!(
            "{} leads {} to `{point}`, and the {sort} of `{name}` is stated {at} from its source",
            called(judged, last),
            own(length)
        ),
        None => {
            format!("the conductors to `{point}` are longer than the {at} at which the {sort} of `{name}` is stated")
        }
    };
    let finding = Finding::new(Code::FW0940, message, last.span, format!("its end is the {sort}"))
        .holding(held_length(judged, way));
    let finding = match circuit.places.protection {
        Some(place) => finding.also(place, "the distance along the wire"),
        None => finding,
    };
    Some(
        finding
            .because(format!("From the source up to the {sort} nothing protects the wire: a longer one than was judged can burn along all its length."))
            .repair(format!("Measure it: the {sort} is as far from the source as the conductors that lead to it are long.")),
    )
}

/// What can be told of the pole of a conductor or an end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pole {
    Plus,
    Minus,
}

impl Pole {
    /// Words for what a conductor carries (common practice; from memory).
    fn of_conductor(judged: &Judged<'_>, conductor: &Conductor) -> Option<Pole> {
        match judged.procedure.carried_by(conductor)?.to_lowercase().as_str() {
            "positive" | "plus" | "live" | "line" | "phase" | "hot" | "l" | "l1" | "l2" | "l3" => Some(Pole::Plus),
            "negative" | "minus" | "return" | "neutral" | "n" | "earth" | "ground" => Some(Pole::Minus),
            _ => None,
        }
    }

    /// A point called by one pole and not by the other.
    fn of_point(point: &Point) -> Option<Pole> {
        match (has_word(point, &["positive", "plus"]), has_word(point, &["negative", "minus"])) {
            (true, false) => Some(Pole::Plus),
            (false, true) => Some(Pole::Minus),
            _ => None,
        }
    }
}

/// FW0941. A plug has pins for both poles, so that its words say nothing of one of them.
fn other_pole(judged: &Judged<'_>) -> Option<Finding> {
    let circuit = judged.circuit;
    let told = |conductor: &Conductor, message: String, label: String| {
        Finding::new(Code::FW0941, message, conductor.span, label)
            .because("Bolted on as it is listed it joins both poles: the wire, and what is fed by it, burns.")
            .repair("Correct what it carries, or where it leads.")
    };
    let carries = |conductor: &Conductor| judged.procedure.carried_by(conductor).unwrap_or_default().to_owned();
    for conductor in &circuit.conductors {
        let Some(pole) = Pole::of_conductor(judged, conductor) else { continue };
        let ends = conductor.ends();
        let mut studs = ends.iter().filter(|end| end.pin.is_none()).map(|end| &circuit.points[end.point]);
        if let Some(point) = studs.find(|point| Pole::of_point(point).is_some_and(|other| other != pole)) {
            let message = format!(
                "{} of `{}` carries `{}` and ends at `{}`, \"{}\"",
                called(judged, conductor),
                circuit.name.id,
                carries(conductor),
                point.id,
                point.title
            );
            return Some(told(conductor, message, "the other pole".to_owned()).also(point.span, "called by its pole"));
        }
    }
    let (near, far, _) = sides(judged)?;
    let at = |point: PointId| {
        let there = circuit.conductors.iter().filter(move |conductor| conductor.reaches(point));
        there.filter_map(|conductor| Some((conductor, Pole::of_conductor(judged, conductor)?))).collect::<Vec<_>>()
    };
    let (before, behind) = (at(near), at(far));
    let ((first, pole), (second, _)) = (*before.first()?, *behind.first()?);
    let same = |side: &[(&Conductor, Pole)], wanted: bool| side.iter().all(|(_, other)| (*other == pole) == wanted);
    (same(&before, true) && same(&behind, false)).then(|| {
        let message = format!(
            "{} of `{}` carries `{}` to `{}`, and {} carries `{}` from `{}`",
            called(judged, first),
            circuit.name.id,
            carries(first),
            circuit.points[near].id,
            called(judged, second),
            carries(second),
            circuit.points[far].id
        );
        told(first, message, "before the breaker or fuse".to_owned()).also(second.span, "behind it")
    })
}
