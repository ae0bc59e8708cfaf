//! FW1229 to FW1237: other things of which a workshop knows that they hurt, by the words of one sentence.
//!
//! Common practice, from memory. A sentence that forbids it is not meant; which words mean a thing is ours, and one that is missing
//! makes a rule silent.

use super::Words;
use super::classes::{HOSES, WIRES};
use super::said::Said;
use super::sparks::FLAMES;
use super::things::Thing;
use crate::diagnostics::{Code, Finding};

type Rule = (Code, fn(&Said<'_, '_>) -> bool, [&'static str; 4]);

const RULES: &[Rule] = &[
    (
        Code::FW1229,
        tied,
        [
            "the words tie a wire to a brake or fuel line, or to what turns",
            "carries it here",
            "A wire chafes through a line, and a line that leaks beside a wire burns; what turns winds the wire up.",
            "Have it tied to the body or to a bracket of its own, and say how far it stays from the line.",
        ],
    ),
    (
        Code::FW1230,
        felt,
        [
            "a leak is looked for with a hand or a flame",
            "this hurts where there is one",
            "A fine jet under pressure goes through skin and poisons the hand; gas and fuel that leak take fire at a flame.",
            "Have it looked for with soapy water where it is gas, with a piece of cardboard where it is a fluid under pressure.",
        ],
    ),
    (
        Code::FW1231,
        blown,
        [
            "dust of brakes, or what lies on clothes or skin, is blown off",
            "it goes into lungs and eyes",
            "Brake dust harms lungs. Compressed air drives chips into eyes, and air through the skin.",
            "Have brakes washed with brake cleaner or vacuumed, and clothes brushed.",
        ],
    ),
    (
        Code::FW1232,
        vessel,
        [
            "the words drill, cut or heat what is under pressure",
            "it stays under pressure when it is off",
            "A gas strut, damper or reservoir that is opened or heated throws its parts like a shot.",
            "Have it taken off whole, and given to who is set up to discharge it. Of a reservoir say that it was drained first.",
        ],
    ),
    (
        Code::FW1233,
        petrol,
        [
            "the words clean with petrol",
            "its vapour takes fire at any spark",
            "Petrol gives off vapour that burns at a spark metres away, and goes through the skin.",
            "Name a cleaner that is made for it.",
        ],
    ),
    (
        Code::FW1234,
        by_its_wires,
        [
            "something is pulled or carried by its wires",
            "they tear out of their contacts",
            "A wire that was pulled hangs by a few strands in its contact: it fails later, on the road.",
            "Have it held by its housing, and say which latch is pressed first.",
        ],
    ),
    (
        Code::FW1235,
        top_step,
        [
            "somebody is sent to the top of a ladder",
            "nothing to hold on to up there",
            "On the top step a ladder tips with the first reach to the side.",
            "Say from which step the work is done, with one to hold on to, or have a longer ladder or a scaffold brought.",
        ],
    ),
    (
        Code::FW1237,
        crazed,
        [
            "the words put a solvent on clear plastic",
            "it goes dull, and cracks later",
            "Acetone, thinner and brake cleaner make polycarbonate and acrylic craze at once or crack days later.",
            "Have it washed with soapy water, or name the cleaner that its maker allows.",
        ],
    ),
];

pub(super) fn check(words: &mut Words<'_>, all: &[Said<'_, '_>]) {
    // A jack that the sentence before has set where it must not lift, in this step.
    let mut set: Option<&Said<'_, '_>> = None;
    for told in all {
        let before = set.take().filter(|before| before.step == told.step);
        if !told.is_now {
            continue;
        }
        if let Some((code, _, said)) = RULES.iter().find(|(_, rule, _)| rule(told)) {
            words.tell(finding(*code, told.place, said));
        }
        let sets = || told.leads(&["under", "below", "beneath", "at", "by"], NO_JACKING);
        if !raises(told) {
            let jack = told.does(&["set", "put", "place", "position", "push", "slide"])
                && told.object().is_some_and(|thing| thing.is_a(&["jack"]))
                && sets();
            set = (jack && !told.says(&["block", "board", "wood", "timber"])).then_some(told);
        } else if let Some(before) = before {
            words.tell(finding(Code::FW1236, before.place, JACKED).also(told.place, "raised on it here"));
        } else if sets() {
            words.tell(finding(Code::FW1236, told.place, JACKED));
        }
    }
}

/// What bears no vehicle.
const NO_JACKING: &[&str] = &["sump", "pan", "tank", "radiator", "bumper", "muffler", "silencer"];
const JACKED: &[&str; 4] = &[
    "a vehicle is raised under what does not bear it",
    "it bends or breaks",
    "A sump, tank or floor gives way: the vehicle comes down, and oil or fuel runs out.",
    "Name the jacking point that the maker of the vehicle states.",
];

fn raises(told: &Said<'_, '_>) -> bool {
    told.does(&["raise", "lift", "jack"]) && told.says(&["vehicle", "van", "truck", "car", "trailer"])
}

fn tied(told: &Said<'_, '_>) -> bool {
    let wire =
        told.object().is_some_and(|thing| thing.is_a(WIRES) && !thing.has(&["brake", "fuel", "earth", "ground"]));
    let line = |thing: &Thing| {
        let carries =
            thing.has(&["brake", "fuel", "petrol", "diesel", "gas", "lpg"]) && thing.is_a(&["line", "hose", "pipe"]);
        let turns = thing.has(&["steering", "drive", "propeller", "prop"]) && thing.is_a(&["shaft", "column"]);
        carries || turns || thing.is_a(&["driveshaft", "propshaft"])
    };
    let on = |thing: &Thing| matches!(thing.by.as_str(), "to" | "on" | "onto" | "around" | "round") && line(thing);
    told.does(&[
        "tie",
        "clip",
        "fasten",
        "strap",
        "tape",
        "fix",
        "secure",
        "cable-tie",
        "zip-tie",
        "attach",
        "wrap",
        "wind",
    ]) && wire
        && told.things().iter().any(on)
        && !told.says(&["away", "clear", "apart"])
}

fn felt(told: &Said<'_, '_>) -> bool {
    let leak = told.says(&["leak", "leaks", "leaking", "leakage"]);
    let flame = told.things().iter().any(|thing| thing.is_a(FLAMES));
    let hand = told.verb == "feel" || told.leads(&["with", "by", "over", "along"], &["hand", "finger"]);
    let jet = told.says(&["hydraulic", "injector", "injectors", "injection", "diesel", "high-pressure"]);
    leak && (flame || (hand && jet)) && !told.says(&["cardboard", "paper"])
}

fn blown(told: &Said<'_, '_>) -> bool {
    let body = &["clothes", "clothe", "clothing", "overall", "hand", "skin", "face", "hair", "sleeve"];
    let brake = &["brake", "drum", "caliper", "lining", "disc"];
    let from = &["off", "out", "from", "away", "blow", "of", "in"];
    told.verb == "blow"
        && (told.leads(&["off", "from", "blow", "of"], body)
            || (told.says(&["dust"])
                && told.things().iter().any(|thing| from.contains(&thing.by.as_str()) && thing.is_a(brake))))
}

fn vessel(told: &Said<'_, '_>) -> bool {
    let vessel = |thing: &Thing| {
        (thing.is_a(&["strut", "spring", "cylinder", "bottle"]) && thing.has(&["gas"]))
            || thing.is_a(&["accumulator"])
            || (thing.is_a(&["reservoir", "tank"]) && thing.has(&["air", "pressure", "brake"]))
    };
    let on = |thing: &Thing| {
        let into = matches!(thing.by.as_str(), "in" | "into" | "through" | "open");
        vessel(thing)
            && (thing.by == told.verb
                || into
                || (told.verb == "weld" && matches!(thing.by.as_str(), "to" | "onto" | "on")))
    };
    told.does(&["drill", "cut", "saw", "heat", "weld", "grind", "puncture", "pierce", "burn", "crush", "braze"])
        && told.things().iter().any(on)
        && !told.says(&["drained", "empty", "vented", "discharged", "cover", "away"])
}

fn petrol(told: &Said<'_, '_>) -> bool {
    told.does(&["clean", "wash", "wipe", "degrease", "rinse", "rub"])
        && told.leads(&["with", "in", "using"], &["petrol", "gasoline"])
}

fn by_its_wires(told: &Said<'_, '_>) -> bool {
    let object =
        &["connector", "plug", "lamp", "sensor", "relay", "switch", "camera", "unit", "horn", "module", "speaker"];
    let held = |thing: &Thing| thing.by == "by" && thing.words.len() == 1 && (thing.is_a(WIRES) || thing.is_a(HOSES));
    told.does(&["pull", "unplug", "disconnect", "remove", "lift", "carry", "take", "hold", "draw"])
        && told.object().is_some_and(|thing| thing.is_a(object))
        && told.things().iter().any(held)
}

fn top_step(told: &Said<'_, '_>) -> bool {
    let top = |thing: &Thing| {
        matches!(thing.by.as_str(), "on" | "onto" | "to")
            && thing.has(&["top", "topmost", "last"])
            && thing.is_a(&["step", "rung", "cap", "ladder"])
    };
    told.does(&["stand", "step", "climb", "work", "go"])
        && told.says(&["ladder", "stepladder", "steps"])
        && told.things().iter().any(top)
}

fn crazed(told: &Said<'_, '_>) -> bool {
    let clear = |thing: &Thing| thing.by == told.verb && thing.has(&["polycarbonate", "acrylic", "lens"]);
    let solvent = |thing: &Thing| {
        matches!(thing.by.as_str(), "with" | "using")
            && (thing.is_a(&["acetone", "thinner", "solvent", "petrol", "gasoline", "xylene"])
                || (thing.has(&["brake"]) && thing.is_a(&["cleaner"])))
    };
    told.does(&["clean", "wipe", "wash", "degrease", "polish", "rub"])
        && told.things().iter().any(clear)
        && told.things().iter().any(solvent)
}

fn finding(code: Code, place: crate::source::Span, said: &[&'static str; 4]) -> Finding {
    let [message, label, why, repair] = *said;
    Finding::new(code, message, place, label).because(why).repair(repair)
}
