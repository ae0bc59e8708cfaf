//! FW1229 to FW1237 and FW1244 to FW1246, FW1255 and FW1257: other things of which a workshop knows that they hurt, by the words of one sentence.
//!
//! Common practice, from memory. A sentence that forbids it is not meant; which words mean a thing is ours, and one that is missing
//! makes a rule silent.

use super::Words;
use super::classes::{GREASES, HOSES, LOCKING, SPREADS, WIRES};
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
    (
        Code::FW1244,
        jetted,
        [
            "a pressure washer is pointed at what water must stay out of",
            "water is driven in here",
            "The jet goes past seals that keep out rain: a connector corrodes inside, a bearing loses its grease.",
            "Have it cleaned with a brush, or with a cloth and cleaner; or say what covers it and how far the jet stays away.",
        ],
    ),
    (
        Code::FW1245,
        scratched,
        [
            "the words take steel to aluminium",
            "steel stays in it",
            "A steel brush leaves crumbs of steel in the aluminium: they rust there, and eat it under paint or a lug.",
            "Name a brush of stainless steel that was used for aluminium only, or an abrasive pad: `Clean the aluminium with [stainless-brush].`",
        ],
    ),
    (
        Code::FW1246,
        squashed,
        [
            "a line that carries pressure is cut with what squashes it",
            "squashed here",
            "Side cutters leave an oval end with a burr: the fitting seals on one side, and leaks or lets go under pressure.",
            "Lay out a tube or hose cutter, and have the end cut square: `use tube-cutter`.",
        ],
    ),
    (Code::FW0778, cracked, PLASTIC),
    (
        Code::FW1255,
        slick,
        [
            "the words grease the thread of a wheel",
            "tightened too far with it",
            "The torque of wheel nuts is meant for dry threads: greased, the same torque stretches studs, and the nuts come loose.",
            "Have the threads brushed clean and left dry. Grease goes on the rim of the hub only, thinly: `Grease the rim of the hub.` Where the maker of the vehicle asks for more, accept this with his words.",
        ],
    ),
    (
        Code::FW1257,
        twisted,
        [
            "a hose or its wires are twisted to reach their place",
            "it wants to turn back here",
            "A hose that is twisted pulls its union loose under pressure and lives a tenth as long; wires break in their contacts.",
            "Have it led without a twist: turn the union or bracket instead, or name a longer one. A line along the hose shows whether it lies straight.",
        ],
    ),
];

/// FW0778, in one sentence or two.
pub(super) const PLASTIC: [&str; 4] = [
    "thread lock goes on a fastening in plastic",
    "it cracks the plastic",
    "Common thread lock makes polycarbonate, acrylic and ABS crack around the screw, often days later.",
    "Leave it out, or name a kind that its maker allows for this plastic. What has to stay tight there gets a nut with an insert, or a screw that forms its own thread.",
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
    let jet = told.says(&["hydraulic", "pressure", "injector", "injectors", "injection", "diesel", "high-pressure"]);
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

/// `Wash the connectors with the pressure washer.`
fn jetted(told: &Said<'_, '_>) -> bool {
    let by_name = matches!(told.verb, "pressure-wash" | "jet-wash");
    let two_words = matches!(told.verb, "pressure" | "jet" | "power") && told.says(&["wash"]);
    let jet = |thing: &Thing| {
        thing.has(&["pressure", "high-pressure", "steam", "power"])
            && thing.is_a(&["washer", "cleaner", "jet", "lance", "water"])
    };
    let kept_out = |thing: &Thing| {
        let is_one = thing.is_a(&["connector", "plug", "bearing", "seal", "alternator", "ecu", "relay", "sensor"])
            || (thing.has(&["control"]) && thing.is_a(&["unit", "module"]))
            || (thing.has(&["fuse", "junction"]) && thing.is_a(&["box"]));
        let at = ["at", "on", "onto", "into", "over", "against", "around", "and"].contains(&thing.by.as_str());
        is_one && (at || thing.by == told.verb)
    };
    let washes =
        told.does(&["wash", "clean", "rinse", "spray", "blast", "hose", "point", "aim", "hold", "direct", "use"]);
    let away = &["away", "cover", "covered", "clear", "distance", "least", "tape", "taped", "bag", "dry", "without"];
    (by_name || two_words || (washes && told.things().iter().any(jet)))
        && told.things().iter().any(kept_out)
        && !told.says(away)
}

/// `Brush the aluminium bright with a steel brush.`
fn scratched(told: &Said<'_, '_>) -> bool {
    let steel = |thing: &Thing| {
        thing.has(&["steel", "wire"])
            && thing.is_a(&["brush", "wool", "wheel", "cup"])
            && !thing.has(&["stainless", "brass", "bronze", "nylon", "aluminium", "aluminum"])
    };
    let with = |thing: &Thing| matches!(thing.by.as_str(), "with" | "using") && steel(thing);
    let aluminium =
        |thing: &Thing| thing.has(&["aluminium", "aluminum"]) && !matches!(thing.by.as_str(), "with" | "using");
    told.does(&[
        "brush",
        "clean",
        "scrub",
        "scour",
        "rub",
        "polish",
        "sand",
        "remove",
        "scrape",
        "wire-brush",
        "work",
        "take",
    ]) && (told.verb == "wire-brush" || told.things().iter().any(with))
        && told.things().iter().any(aluminium)
}

/// `Cut the air line with side cutters.`, or in a step that lays out nothing else that cuts.
fn squashed(told: &Said<'_, '_>) -> bool {
    if !told.does(&["cut", "snip", "trim", "shorten"]) {
        return false;
    }
    let line = |thing: &Thing| {
        let carries = thing.has(&[
            "brake",
            "air",
            "fuel",
            "hydraulic",
            "nylon",
            "petrol",
            "diesel",
            "gas",
            "pressure",
            "oil",
            "coolant",
            "water",
        ]);
        // `the pipe` alone is one as well.
        (carries || thing.words.len() == 1)
            && (thing.is_a(&["line", "pipe"]) || (carries && thing.is_a(&["tube", "tubing"])))
            && !thing.has(&["old", "scrap", "spare"])
    };
    let squashes = |thing: &Thing| {
        (thing.has(&["side", "diagonal", "wire", "cable", "bolt"]) && thing.is_a(&["cutter"]))
            || thing.has(&["plier", "nipper", "snip", "scissor"])
    };
    let named = told.things().iter().find(|thing| matches!(thing.by.as_str(), "with" | "using"));
    let by_tool = match named {
        Some(tool) => squashes(tool),
        None => {
            told.lays_out(&["side cutter", "diagonal cutter", "cable cutter"])
                && !told.lays_out(&["tube", "hose cutter", "pipe", "knife", "saw", "line cutter"])
        }
    };
    told.object().is_some_and(line) && by_tool && !told.says(&["old", "scrap", "free", "open", "out"])
}

/// `Turn the hose half round so that it reaches the union.`
fn twisted(told: &Said<'_, '_>) -> bool {
    // `Turn the hose half round`
    let half = |thing: &Thing| thing.is_a(&["half", "quarter"]) && (thing.has(HOSES) || thing.has(WIRES));
    let bends = |thing: &Thing| thing.is_a(HOSES) || thing.is_a(WIRES) || half(thing);
    let reaches = told.says(&["reach", "reaches", "reached", "meets", "meet"]);
    told.does(&["turn", "twist", "rotate", "wind", "stretch"])
        && told.object().is_some_and(bends)
        && reaches
        && !told.says(&["free", "off", "loose", "back", "out", "without"])
}

/// `Put thread lock on the screws of the plastic cover.`
fn cracked(told: &Said<'_, '_>) -> bool {
    locks(told) && told.things().iter().skip(1).any(is_plastic)
}

/// `Grease the threads of the wheel bolts.`
fn slick(told: &Said<'_, '_>) -> bool {
    let thread = |thing: &Thing| {
        thing.has(&["wheel"])
            && thing.is_a(&["thread", "nut", "bolt", "stud"])
            && !thing.has(&["steering", "spare", "carrier"])
    };
    let slippery = |thing: &Thing| thing.has(&["grease", "oil", "lubricant", "anti-seize", "antiseize"]);
    let puts = told.does(SPREADS) && told.object().is_some_and(slippery);
    let by_verb = told.does(GREASES) && told.object().is_some_and(thread);
    by_verb || (puts && told.things().iter().skip(1).any(thread))
}

/// Whether it puts thread lock on something.
pub(super) fn locks(told: &Said<'_, '_>) -> bool {
    let lock = |thing: &Thing| {
        thing.has(LOCKING)
            || (thing.has(&["thread"]) && thing.has(&["lock", "locker"]))
            || (thing.has(&["locking"]) && thing.is_a(&["compound", "fluid", "liquid"]))
    };
    told.does(SPREADS) && told.object().is_some_and(lock)
}

/// Whether a thing is of plastic that cracks, and no bottle or washer of it.
pub(super) fn is_plastic(thing: &Thing) -> bool {
    thing.has(&["plastic", "polycarbonate", "acrylic", "abs"])
        && !thing.is_a(&["bottle", "tip", "nozzle", "cap", "washer", "insert", "bag", "tray", "spatula"])
}

fn finding(code: Code, place: crate::source::Span, said: &[&'static str; 4]) -> Finding {
    let [message, label, why, repair] = *said;
    Finding::new(code, message, place, label).because(why).repair(repair)
}
