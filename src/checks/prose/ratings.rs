//! FW1203, ratings and masses: a fuse or breaker in words that has another rating than the circuit's, and a mass in words that is
//! not the part's.

use super::amounts::{self, Amount};
use super::text::{Sort, Text, TokenKind, plain};
use super::{Words, contradicts};
use crate::diagnostics::{Code, Finding};
use crate::model::{Circuit, LineKind, Part, Procedure, Protector, StepId};
use crate::quantity::{Kind, Quantity};
use crate::source::Span;
use num_traits::CheckedMul;

/// The titles of parts and points.
pub(super) fn titles(words: &mut Words<'_>) {
    let procedure = words.procedure;
    for circuit in procedure.circuits.rows() {
        points(words, circuit);
    }
    let rated: Vec<(&Part, bool, Quantity)> = procedure
        .parts
        .rows()
        .iter()
        .filter_map(|part| {
            let text = plain(&part.name.title, Sort::Title, None, part.name.span);
            rating(&text, false).map(|(fuse, rating)| (part, fuse, rating))
        })
        .collect();
    // A part that a circuit names as its own is held against that circuit.
    let named = |part: &Part| {
        let of_circuit = |circuit: &Circuit| circuit.protection.as_ref().and_then(|one| one.part);
        let mut all = procedure.circuits.rows().iter().filter_map(of_circuit);
        all.any(|(id, _)| procedure.parts[id].name.span == part.name.span)
    };
    let own = |(part, ..): &&(&Part, bool, Quantity)| !part.name.from_library && !named(part);
    for (part, fuse, rating) in rated.iter().filter(own) {
        let alike: Vec<(&Circuit, &Quantity)> = protections(procedure, *fuse)
            .into_iter()
            .filter(|(circuit, _)| circuit.protection.as_ref().is_some_and(|one| one.part.is_none()))
            .collect();
        let is_one = alike.iter().any(|(_, own)| amounts::same(own, rating));
        // The circuit that lacks its part: one whose rating no part has.
        let lacking = alike
            .iter()
            .find(|(_, own)| !rated.iter().any(|(_, other, rating)| other == fuse && amounts::same(own, rating)));
        // One fuse too many of this rating, and none of that one: the title of one of them is wrong.
        let alike_parts = rated.iter().filter(|(_, other, own)| other == fuse && amounts::same(own, rating));
        let alike_circuits = alike.iter().filter(|(_, own)| amounts::same(own, rating));
        let last = rated.iter().rfind(|(_, other, own)| other == fuse && amounts::same(own, rating));
        let too_many = alike_parts.count() > alike_circuits.count()
            && last.is_some_and(|(last, ..)| last.name.span == part.name.span);
        if let Some((circuit, own)) = lacking.filter(|_| !is_one || too_many) {
            let at = circuit.places.protection.unwrap_or(circuit.span);
            let sort = if *fuse { "fuse" } else { "breaker" };
            let states = format!("the {sort} of `{}` is one of {own}", circuit.name.id);
            words.tell(contradicts(&part.name, &rating.to_string(), &states, at));
        }
    }
}

fn points(words: &mut Words<'_>, circuit: &Circuit) {
    let Some(protection) = &circuit.protection else { return };
    let at = circuit.places.protection.unwrap_or(circuit.span);
    if let Some((part, said)) = &protection.part {
        let name = &words.procedure.parts[*part].name;
        let text = plain(&name.title, Sort::Title, None, name.span);
        let told = rating(&text, false).filter(|(_, rating)| !amounts::same(rating, &protection.rating));
        if told.is_some() && !name.from_library {
            let message = format!(
                "`{}` is called \"{}\", and protects `{}` as one of {}",
                name.id, name.title, circuit.name.id, protection.rating
            );
            words.tell(other(message, *said, at));
        }
    }
    for point in circuit.points.rows() {
        let text = plain(&point.title, Sort::Title, None, point.span);
        let Some((fuse, rating)) = rating(&text, true) else { continue };
        if protection.sort == sort_of(fuse) && !amounts::same(&rating, &protection.rating) {
            let sort = if fuse { "fuse" } else { "breaker" };
            words.tell(other(
                format!(
                    "`{}` is called \"{}\", and the {sort} of `{}` is one of {}",
                    point.id, point.title, circuit.name.id, protection.rating
                ),
                point.span,
                at,
            ));
        }
    }
}

fn sort_of(fuse: bool) -> Protector {
    if fuse { Protector::Fuse } else { Protector::Breaker }
}

/// The circuits that a fuse, or a breaker, protects.
fn protections(procedure: &Procedure, fuse: bool) -> Vec<(&Circuit, &Quantity)> {
    let circuits = procedure.circuits.rows().iter();
    circuits
        .filter_map(|circuit| Some((circuit, circuit.protection.as_ref()?)))
        .filter(|(_, protection)| protection.sort == sort_of(fuse))
        .map(|(circuit, protection)| (circuit, &protection.rating))
        .collect()
}

/// The rating that a title of a fuse or breaker says: `Blade fuse, 10 A`, `50 A breaker`. Not of a holder or block, whose own rating
/// is another; but at a point of a circuit it is the circuit's that is meant.
fn rating(text: &Text<'_>, of_point: bool) -> Option<(bool, Quantity)> {
    let is = |word: &str| (0..text.tokens.len()).any(|at| text.lower(at) == word);
    let other = !of_point
        && ["holder", "block", "box", "panel", "board", "puller", "carrier", "base", "socket"]
            .iter()
            .any(|word| is(word));
    let fuse = match (is("fuse"), is("breaker")) {
        (true, false) if !other => true,
        (false, true) if !other => false,
        _ => return None,
    };
    let mut currents = amounts::of(text, true).into_iter().filter(|amount| amount.kind() == Kind::Current);
    let only = currents.next().filter(|_| currents.next().is_none())?;
    amounts::same(&only.low, &only.high).then_some((fuse, only.high))
}

/// What is said of a fuse or breaker, and what a step says of the wire that it connects and of the masses of what it lifts.
pub(super) fn check(words: &mut Words<'_>, text: &Text<'_>) {
    let amounts = amounts::of(text, words.english);
    for amount in amounts.iter().filter(|amount| amount.kind() == Kind::Current) {
        fuse_in_words(words, text, amount);
    }
    let Some(step) = text.step else { return };
    wire_in_words(words, text, step, &amounts);
    masses(words, text, step, &amounts);
}

/// `the 6 mm² cable` in a step that connects a circuit of another wire.
fn wire_in_words(words: &mut Words<'_>, text: &Text<'_>, step: StepId, amounts: &[Amount]) {
    let procedure = words.procedure;
    let wires: Vec<(&Circuit, Quantity)> = procedure.steps[step]
        .lines
        .iter()
        .filter_map(|line| match &line.kind {
            LineKind::Connect(circuit, ..) => Some(&procedure.circuits[*circuit]),
            _ => None,
        })
        .filter_map(|circuit| Some((circuit, circuit.wire?)))
        .collect();
    for amount in amounts.iter().filter(|amount| matches!(amount.kind(), Kind::Area | Kind::WireGauge)) {
        let is_wire = matches!(text.lower(amount.run.end), "cable" | "cables" | "wire" | "wires");
        let is_one = wires.iter().any(|(_, own)| own.kind() != amount.kind() || amounts::same(own, &amount.high));
        let Some((circuit, own)) = wires.first().filter(|_| is_wire && !is_one) else { continue };
        let Some(place) = text.place(&amount.run) else { continue };
        let at = circuit.places.wire.unwrap_or(circuit.span);
        let said = text.slice(&amount.run);
        words.tell(other(format!("the words say {said}, and the wire of `{}` is {own}", circuit.name.id), place, at));
    }
}

/// Words of sentences about a fuse that is the vehicle's own, which no circuit of the procedure has.
const NOT_OURS: &[&str] =
    &["vehicle", "van", "truck", "car", "trailer", "machine", "handbook", "existing", "original", "spare", "maker"];

/// `the 60 A fuse` where no circuit has such a fuse, and no part or tool is called by it.
fn fuse_in_words(words: &mut Words<'_>, text: &Text<'_>, amount: &Amount) {
    let procedure = words.procedure;
    let after = text.lower(amount.run.end);
    let fuse = match after {
        "fuse" | "fuses" => true,
        "breaker" | "breakers" => false,
        _ => return,
    };
    let rated = protections(procedure, fuse);
    let known = rated.iter().any(|(_, own)| amounts::same(own, &amount.high)) || is_called(procedure, amount);
    let sentence = text.sentence_of(amount.run.start);
    let theirs = sentence.into_iter().flatten().any(|at| NOT_OURS.contains(&text.lower(at).trim_end_matches("'s")));
    let Some((circuit, own)) = rated.first().filter(|_| !known && !theirs) else { return };
    let Some(place) = text.place(&amount.run) else { return };
    let at = circuit.places.protection.unwrap_or(circuit.span);
    let said = text.slice(&amount.run);
    let one = after.trim_end_matches('s');
    let states = match rated.as_slice() {
        [_] => format!("the {one} of `{}` is one of {own}", circuit.name.id),
        _ => format!("no circuit has such a {one}"),
    };
    words.tell(other(format!("the words say {said}, and {states}"), place, at));
}

/// Whether a part is called by that current.
fn is_called(procedure: &Procedure, amount: &Amount) -> bool {
    procedure.parts.rows().iter().any(|part| {
        let title = plain(&part.name.title, Sort::Title, None, part.name.span);
        amounts::of(&title, true).iter().any(|own| amounts::same(&own.high, &amount.high))
    })
}

/// `The vise weighs 50 lb` where the part's mass is another.
fn masses(words: &mut Words<'_>, text: &Text<'_>, step: StepId, amounts: &[Amount]) {
    let procedure = words.procedure;
    for at in 0..text.tokens.len() {
        if !matches!(text.lower(at), "weighs" | "weigh") || !words.english {
            continue;
        }
        let said =
            amounts.iter().find(|amount| amount.run.start == at + 1).map(|amount| (amount.run.clone(), amount.high));
        let mentioned = text.mention(at + 1).and_then(|mention| amounts::mentioned(procedure, &mention.target));
        let exact = mentioned.as_ref().and_then(crate::quantity::Measure::nominal).map(|mass| (at + 1..at + 2, mass));
        let Some((run, mass)) = said.or(exact).filter(|(_, mass)| mass.kind() == Kind::Mass) else { continue };
        let Some(part) = at.checked_sub(1).and_then(|subject| subject_of(procedure, text, step, subject)) else {
            continue;
        };
        let Some((own, place)) = part.mass.as_ref().zip(text.place(&run)) else { continue };
        // `The rails weigh 16 lb`: several of them.
        let several = (1..=12).any(|count| {
            own.value
                .checked_mul(&crate::quantity::Exact::from_integer(count))
                .is_some_and(|value| amounts::about_the_same(&Quantity { value, ..*own }, &mass))
        });
        let alone = text.lower(at) == "weighs";
        if amounts::about_the_same(own, &mass) || (!alone && several) {
            continue;
        }
        words.tell(other(
            format!(
                "the words say that it weighs {}, and the mass of `{}` is {own}",
                text.slice(&run).trim_matches(['[', ']']),
                part.name.id
            )
            .replace(crate::prose::MENTION, &mass.to_string()),
            place,
            part.span,
        ));
    }
}

/// The part with a mass of which a sentence says what it weighs: the one that is mentioned, or whose title has the word that stands
/// there, where only one has it.
fn subject_of<'p>(procedure: &'p Procedure, text: &Text<'_>, step: StepId, subject: usize) -> Option<&'p Part> {
    if let Some(crate::model::MentionTarget::Part(part)) = text.mention(subject).map(|mention| &mention.target) {
        return Some(&procedure.parts[*part]);
    }
    if text.kind(subject) != Some(TokenKind::Word) {
        return None;
    }
    let word = text.lower(subject);
    let one = word.strip_suffix('s').unwrap_or(word);
    let called = |part: &&Part| {
        let title = plain(&part.name.title, Sort::Title, None, part.name.span);
        (0..title.tokens.len()).any(|at| title.kind(at) == Some(TokenKind::Word) && title.lower(at) == one)
    };
    let handled = procedure.steps[step].lines.iter().flat_map(|line| match &line.kind {
        LineKind::Take(parts) | LineKind::Remove(parts, _) | LineKind::Refit(parts) => parts.as_slice(),
        _ => &[],
    });
    let here: Vec<&Part> = handled.map(|entry| &procedure.parts[entry.what]).filter(called).collect();
    if let [only] = here.as_slice() {
        return Some(*only);
    }
    let everywhere: Vec<&Part> = procedure.parts.rows().iter().filter(called).take(2).collect();
    match everywhere.as_slice() {
        [only] => Some(*only),
        _ => None,
    }
}

fn other(message: String, at: Span, stated: Span) -> Finding {
    Finding::new(Code::FW1203, message, at, "the words say otherwise")
        .also(stated, "what is stated")
        .because(
            "One who reads the words and one who reads the lists have two truths in hand, and one of them is wrong.",
        )
        .repair("Let the words say what is stated, or correct the statement if the words are right.")
}
