//! FW0783 to FW0785, FW0788 to FW0790, FW1251 and FW1252: more work of which the words have the second half first.
//!
//! Paint that has no time to dry or is filed off, a leak looked for without pressure, a key after its hub, a pump that runs dry, a pin
//! that is secured before it is in, legs after the load, an end that is closed too early. Common practice, from memory.

use super::classes::{FASTENERS, PAINTS, SPREADS};
use super::orders;
use super::said::Said;
use super::sequel::{Act, Does, Role, Rule};
use super::things::Thing;
use crate::diagnostics::Code;
use crate::model::Procedure;

pub(super) const RULES: &[Rule] = &[
    Rule {
        code: Code::FW0783,
        role: wet,
        once: false,
        said: [
            "glue or sealant goes on paint that nothing lets dry",
            "on wet paint",
            "painted here, and nothing waits after it",
            "It sticks to a skin that is soft below: paint and bead come off together.",
            "Write a wait between the two, with the time that the maker of the paint states: `wait 4 h \"until the paint is dry\"`.",
        ],
    },
    Rule {
        code: Code::FW0784,
        role: filed,
        once: false,
        said: [
            "what is painted is filed or deburred afterwards",
            "bare again here",
            "painted here",
            "The file takes the paint off the edge, where rust begins first.",
            "Put the filing before the painting: `Deburr the edge.`, then `Paint the edge.`",
        ],
    },
    Rule {
        code: Code::FW0785,
        role: unpressed,
        once: true,
        said: [
            "leaks were looked for before anything put pressure on",
            "the pressure comes first here",
            "looked for here",
            "Nothing leaks without pressure: what is loose is found on the road.",
            "Put the look for leaks after this, while the pressure is on: `Start the pump.`, then `Look at each union: it stays dry.`",
        ],
    },
    Rule {
        code: Code::FW0788,
        role: keyed,
        once: true,
        said: [
            "the key of a shaft is put in when its hub is on already",
            "the hub covers the slot",
            "the hub goes on here",
            "The key does not go in under the hub: it is left out, or the hub comes off again.",
            "Put this sentence before the one that sets the hub on the shaft.",
        ],
    },
    Rule {
        code: Code::FW0789,
        role: dry,
        once: true,
        said: [
            "something is filled after it has run",
            "too late here",
            "it runs dry here",
            "A pump or engine that runs without its oil or fluid scores itself within seconds.",
            "Put this sentence before the first run. Where only what the run has taken is filled up, say so: `Top up the oil.`",
        ],
    },
    Rule {
        code: Code::FW0790,
        role: pinned,
        once: true,
        said: [
            "a pin is secured before it is in its hole",
            "put in here",
            "secured here",
            "A pin with its clip on does not go through the hole: the clip comes off again, or stays off.",
            "Put the sentence that pushes the pin in before the one that secures it.",
        ],
    },
    Rule {
        code: Code::FW1251,
        role: on_legs,
        once: true,
        said: [
            "the legs are set when the load is up already",
            "too late here",
            "lifted here",
            "A vehicle that lifts a load without its legs tips over.",
            "Put this sentence before the one that lifts the load.",
        ],
    },
    Rule {
        code: Code::FW1252,
        role: closed,
        once: true,
        said: [
            "the end of a rail is closed before what slides into it",
            "it does not go in any more",
            "closed here",
            "The cap comes off again and is bent, or the nut is left out.",
            "Put the cap on last: first `Slide the nuts into the rail.`, then `Press the cap on its end.`",
        ],
    },
];

/// FW0785: the first pressure is enough; an inspection looks before it runs, and where it is looked at again nothing is lost. Whether there is
/// anything to tell.
pub(super) fn looks_once(acts: &mut Vec<Act>, all: &[Said<'_, '_>]) -> bool {
    let first = acts.iter().position(|act| act.does == Does::Late).unwrap_or(acts.len());
    let is_looked_at_again = acts.iter().skip(first).any(|act| act.does == Does::Begins);
    acts.truncate(first + 1);
    !is_looked_at_again && all.iter().any(joins_a_line)
}

/// Lines that put pressure on: a state of what makes it.
pub(super) fn switched_on(procedure: &Procedure) -> Vec<Act> {
    const MAKES: &[&str] =
        &["feed", "engine", "pump", "compressor", "valve", "motor", "drive", "pressure", "tap", "cock"];
    let makes = |words: &[String]| words.iter().any(|word| MAKES.contains(&word.as_str()));
    let lines = orders::made(procedure).filter(|(_, _, words, is_off)| !is_off && makes(words));
    lines.map(|(step, line, ..)| Act { step, place: line.span, things: Vec::new(), does: Does::Late }).collect()
}

/// The faces that a sentence paints; a primer under glue is another matter.
fn painted(one: &Said<'_, '_>, list: &[&str]) -> Vec<Thing> {
    let named = |things: Vec<Thing>| things.into_iter().filter(|thing| !thing.words.is_empty()).collect();
    match () {
        () if one.says(&["off", "remove", "around"]) => Vec::new(),
        () if list.contains(&one.verb) => named(one.by(&[one.verb])),
        () if one.does(SPREADS) && one.object().is_some_and(|thing| thing.has(list)) => {
            named(one.by(&["on", "onto", "to", "over"]))
        }
        () => Vec::new(),
    }
}

/// `Paint the plate.`, `Run sealant along the plate.`
fn wet(one: &Said<'_, '_>) -> Role {
    let painted = painted(one, &["paint", "lacquer", "varnish", "repaint", "topcoat", "enamel"]);
    if !painted.is_empty() && !one.says(&["primer", "adhesive", "sealant"]) {
        return Some((Does::Begins, painted));
    }
    if one.does(&["wait", "let", "leave", "allow"]) || one.says(&["dry", "dries", "dried", "cured", "hours"]) {
        return Some((Does::Ends, Vec::new()));
    }
    let glued = one.glued();
    (!glued.is_empty()).then_some((Does::Late, glued))
}

/// `Prime the edge.`, `Deburr the edge.`
fn filed(one: &Said<'_, '_>) -> Role {
    if one.does(&["deburr", "file", "ream", "grind", "saw"]) {
        let worked: Vec<Thing> = one.by(&[one.verb]).into_iter().filter(|thing| !thing.words.is_empty()).collect();
        return (!worked.is_empty()).then_some((Does::Late, worked));
    }
    let painted = painted(one, &[PAINTS, &["primer"]].concat());
    (!painted.is_empty()).then_some((Does::Begins, painted))
}

/// `Look for leaks.`, `Start the pump.`
fn unpressed(one: &Said<'_, '_>) -> Role {
    let soap = one.says(&["soapy"]) && one.does(&["spray", "brush", "put", "wet"]);
    let looks = one.says(&["leak", "leaks", "leaking", "bubbles"])
        && one.does(&["check", "look", "watch", "search", "test", "inspect", "examine"]);
    if soap || looks {
        return Some((Does::Begins, Vec::new()));
    }
    let opens = match one.verb {
        "open" => one.says(&["valve", "cock", "tap", "bottle", "supply"]),
        "turn" | "switch" => one.says(&["on"]),
        _ => false,
    };
    let presses = one.does(&[
        "start",
        "run",
        "fill",
        "pressurise",
        "pressurize",
        "pump",
        "inflate",
        "charge",
        "pour",
        "bleed",
        "press",
    ]);
    (opens || presses).then(|| (Does::Late, Vec::new()))
}

/// `Push the hose onto the stub.`
fn joins_a_line(one: &Said<'_, '_>) -> bool {
    let line = |thing: &Thing| {
        thing.is_a(&[
            "hose", "line", "pipe", "union", "fitting", "tee", "coupling", "adapter", "joint", "end", "tank", "clamp",
        ])
    };
    one.does(&["connect", "push", "screw", "join", "tighten", "fit", "couple", "reconnect"])
        && one.object().is_some_and(line)
}

/// `Slide the coupling onto the shaft.`, `Lay the key into the shaft.`
fn keyed(one: &Said<'_, '_>) -> Role {
    let hub = |thing: &Thing| thing.is_a(&["coupling", "hub", "pulley", "gear", "sprocket", "flange", "boss", "fan"]);
    let led = |list: &[&str], to: &[&str]| one.leads(list, to);
    if one.does(&["slide", "push", "press", "fit", "tap", "put", "set"])
        && one.object().is_some_and(hub)
        && led(&["on", "onto", "over"], &["shaft"])
    {
        return Some((Does::Begins, Vec::new()));
    }
    let key = |thing: &Thing| thing.is_a(&["key"]);
    let puts = one.does(&["lay", "put", "fit", "set", "push", "tap", "press", "place", "insert"]);
    let into = led(&["in", "into"], &["shaft", "keyway", "groove", "slot"]);
    (puts && into && one.object().is_some_and(key)).then(|| (Does::Late, Vec::new()))
}

const RUNS: &[&str] = &["pump", "engine", "compressor", "gearbox", "motor", "generator"];

/// `Start the pump.`, `Fill the pump with oil.`
fn dry(one: &Said<'_, '_>) -> Role {
    let machine = |thing: &Thing| thing.is_a(RUNS);
    if one.does(&["start", "run"]) && one.object().is_some_and(machine) {
        return Some((Does::Begins, one.object().cloned().into_iter().collect()));
    }
    if one.does(&["drain", "empty", "remove", "flush"]) {
        return Some((Does::Ends, Vec::new()));
    }
    // `up` alone is more of it; `up to the mark` is all of it.
    let more = one.says(&["more", "again", "rest", "level"]) || (one.says(&["up"]) && !one.says(&["to"]));
    let fills = one.does(&["fill", "pour"]) && !more;
    // Coolant is the engine's, wherever it is poured.
    if fills && one.says(&["coolant"]) {
        return Some((Does::Late, vec![Thing { words: vec!["engine".to_owned()], by: String::new(), at: 0 }]));
    }
    let filled: Vec<Thing> = one.by(&["fill", "into", "in"]).into_iter().filter(machine).collect();
    (fills && one.says(&["oil", "fluid", "lubricant"]) && !filled.is_empty()).then_some((Does::Late, filled))
}

/// `Secure the pin with a clip.`, `Push the pin through the hole.`
fn pinned(one: &Said<'_, '_>) -> Role {
    let pin =
        one.object().filter(|thing| thing.is_a(&["pin"]) && !thing.has(&["split", "linch", "cotter", "spring"]))?;
    let clip = |thing: &Thing| {
        thing.by == "with"
            && (thing.is_a(&["clip", "r-clip", "circlip", "cotter"])
                || (thing.is_a(&["pin"]) && thing.has(&["split", "linch", "cotter", "spring"])))
    };
    if one.does(&["secure", "lock"]) && one.things().iter().any(clip) {
        return Some((Does::Begins, vec![pin.clone()]));
    }
    let into = one.things().iter().any(|thing| matches!(thing.by.as_str(), "through" | "into" | "in"));
    (one.does(&["push", "insert", "slide", "put", "drive", "tap"]) && into).then(|| (Does::Late, vec![pin.clone()]))
}

/// `Lift the load.`, `Swing the legs out.`
fn on_legs(one: &Said<'_, '_>) -> Role {
    let load = |thing: &Thing| thing.is_a(&["load", "weight", "boom"]);
    if one.does(&["lift", "raise", "hoist", "swing"]) && one.object().is_some_and(load) {
        return Some((Does::Begins, Vec::new()));
    }
    let leg = |thing: &Thing| {
        thing.is_a(&["leg", "outrigger", "stabiliser", "stabilizer"])
            && !thing.has(&["table", "bench", "trestle", "sling", "tripod"])
    };
    let sets =
        one.does(&["swing", "extend", "set", "press", "lower", "put", "push", "pull", "fold"]) && !one.says(&["back"]);
    (sets && one.object().is_some_and(leg)).then(|| (Does::Late, Vec::new()))
}

const RAILS: &[&str] = &["rail", "tube", "profile", "channel", "track", "extrusion", "slot"];

/// `Press the cap on the end of the rail.`, `Slide the nuts into the rail.`
fn closed(one: &Said<'_, '_>) -> Role {
    let rail = |by: &[&str]| {
        let of = one.by(by).into_iter().filter(|thing| thing.has(RAILS));
        let whole = of
            .map(|thing| Thing { words: thing.words.iter().filter(|word| *word != "end").cloned().collect(), ..thing });
        whole.collect::<Vec<Thing>>()
    };
    let cap = |thing: &Thing| thing.is_a(&["cap", "plug", "stopper"]) && !thing.has(&["drain", "spark"]);
    if one.does(&["press", "push", "fit", "put", "tap", "set"]) && one.object().is_some_and(cap) {
        let rails = rail(&["on", "onto", "into", "in", "over"]);
        return (!rails.is_empty()).then_some((Does::Begins, rails));
    }
    if one.does(&["remove", "pull", "take"]) && one.object().is_some_and(cap) {
        return Some((Does::Ends, Vec::new()));
    }
    let slider = |thing: &Thing| {
        thing.words.last().is_some_and(|word| FASTENERS.contains(&word.as_str()))
            || thing.is_a(&["slider", "carriage", "runner"])
    };
    let rails = rail(&["into", "in"]);
    (one.does(&["slide", "push", "thread", "insert", "feed"]) && one.object().is_some_and(slider) && !rails.is_empty())
        .then_some((Does::Late, rails))
}
