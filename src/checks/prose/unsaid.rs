//! FW0786, FW0787, FW1241, FW1243, FW1247 to FW1250, FW1253 and FW1254: work for which something is done in every workshop, and of which the words say nothing.
//!
//! Told at the first sentence that does the work, where no text of the procedure and no title has a word of what belongs to it.
//! Common practice, from memory; a word too many makes a rule silent.

use std::collections::BTreeSet;

use super::Words;
use super::classes::{FORBIDS, HOLES, HOSES, MAKES_HOLES, SHEETS, says};
use super::orders::{self, CLAMPS};
use super::said::Said;
use super::text::{Sort, Text, titles};
use super::things::{self, Thing};
use crate::diagnostics::{Code, Finding};
use crate::model::{Line, LineKind, Procedure, StepId};
use crate::source::Span;

/// A rule: which sentence does the work, the words of which one is enough, by their beginnings, and what is said.
struct Rule {
    code: Code,
    does: fn(&Said<'_, '_>) -> bool,
    enough: &'static [&'static str],
    /// Words that begin like one of them and are none.
    but: &'static [&'static str],
    /// Whether they count only where they stand before it.
    before: bool,
    /// Which sentence is enough by itself.
    settles: fn(&Said<'_, '_>) -> bool,
    /// Words of which any text has to say one.
    needs: &'static [&'static str],
    said: [&'static str; 4],
}

const RULES: &[Rule] = &[
    Rule {
        code: Code::FW1241,
        does: opens_hot,
        enough: &["cool", "cold", "temperature", "lukewarm"],
        but: &["coolant", "cooler", "coolers", "cooling", "coolant's"],
        before: true,
        settles: |_| false,
        needs: &[],
        said: [
            "the cap of a cooling system is opened, and nothing lets it cool",
            "hot coolant may come out here",
            "The system is under pressure while it is hot: the coolant boils over at once and scalds face and hands.",
            "Say what is waited for before it: `Let the engine cool until the hose is cold to the touch.`, or an `expect \"the engine is cold\"`.",
        ],
    },
    Rule {
        code: Code::FW1243,
        does: takes_strut,
        enough: &[
            "prop",
            "support",
            "hold",
            "held",
            "helper",
            "assistant",
            "second",
            "person",
            "people",
            "block",
            "tie",
            "strap",
            "stand",
            "close",
            "wedge",
            "hang",
            "sling",
            "hoist",
            "brace",
            "somebody",
            "another",
        ],
        but: &["second-hand", "holder", "holders", "standard"],
        before: true,
        settles: |_| false,
        needs: &["tailgate", "bonnet", "hood", "hatch", "lid", "boot", "flap"],
        said: [
            "the strut of a lid is taken off, and nothing holds the lid",
            "it falls here",
            "A tailgate or bonnet that loses its strut falls on heads and hands.",
            "Have it propped first, and say with what: `Prop the tailgate up with a bar.`; or give the step a second person, `takes 10 min, two people`, and have one hold the lid.",
        ],
    },
    Rule {
        code: Code::FW1247,
        does: drills_blind,
        enough: &[
            "behind",
            "underneath",
            "stop",
            "depth",
            "collar",
            "moved",
            "remove",
            "lower",
            "unclip",
            "tied",
            "lift",
            "feel",
            "mirror",
            "camera",
            "airbag",
            "air-bag",
            "aside",
            "inside",
            "disconnect",
            "shield",
            "below",
            "lining",
            "hidden",
        ],
        but: &["removed"],
        before: true,
        settles: |_| false,
        needs: &[],
        said: [
            "the words drill, cut or screw where a tank, wires or an airbag can lie, and say nothing of what is behind",
            "nobody has looked behind it",
            "The tip goes through the sheet in one jerk: it opens the tank, shorts the wires or sets off the airbag.",
            "Have it looked at from the other side first, and the depth bounded: `Check with a mirror that nothing lies behind the mark.`, `Set the drill stop to [8 mm].`",
        ],
    },
    Rule {
        code: Code::FW1248,
        does: opens_roof,
        enough: &[
            "prim",
            "paint",
            "lacquer",
            "varnish",
            "touch-up",
            "zinc",
            "rust",
            "corros",
            "seal",
            "coat",
            "treat",
            "wax",
            "alumin",
            "fibre",
            "glass",
            "plastic",
            "composite",
            "grp",
            "ply",
            "wood",
            "stainless",
            "mastic",
            "adhesive",
        ],
        but: &["glasses"],
        before: false,
        settles: |_| false,
        needs: &[],
        said: [
            "a hole is made in the roof, and nothing paints its edge",
            "bare steel here",
            "The edge of the hole rusts from the first rain on, under whatever covers it, and water comes in.",
            "Have the edge deburred and painted, and say with what before the part goes on: `Paint the edge of the hole with [primer].`",
        ],
    },
    Rule {
        code: Code::FW0786,
        does: puts_clamp_on,
        enough: &["self-tightening", "spring-clamp"],
        but: &[],
        before: false,
        settles: closes_clamp,
        needs: &[],
        said: [
            "a clamp is put on a hose, and nothing tightens it",
            "it hangs loose on the hose",
            "The hose holds while it is tried, and blows off when it is warm.",
            "Write the sentence that tightens it after the hose is on: `Tighten the clamp.` A clamp that tightens itself is called a spring clamp.",
        ],
    },
    Rule {
        code: Code::FW0787,
        does: puts_split_pin,
        enough: &["bend", "bent", "spread", "splay", "leg"],
        but: &[],
        before: false,
        settles: |_| false,
        needs: &[],
        said: [
            "a split pin is put in, and nobody bends it",
            "it falls out again",
            "A split pin with straight legs shakes out, and what it secured follows.",
            "Add a sentence after it, and lay out pliers: `Bend both legs of the split pin.`",
        ],
    },
    Rule {
        code: Code::FW1253,
        does: masks,
        enough: &[],
        but: &[],
        before: false,
        settles: unmasks,
        needs: &[],
        said: [
            "masking tape or film is put on, and nobody takes it off",
            "it stays on",
            "Tape that stays on tears off paint when it is old, and holds water until then.",
            "Add a sentence that takes it off, while paint or sealant is still soft: `Peel the tape off.`",
        ],
    },
    Rule {
        code: Code::FW1253,
        does: pinches,
        enough: &[],
        but: &[],
        before: false,
        settles: frees,
        needs: &[],
        said: [
            "a hose is pinched off, and nobody takes the pincers off",
            "it stays closed",
            "A hose that stays pinched overheats what it cools, or starves what it feeds.",
            "Add a sentence that takes them off: `Take the pincers off the hose.`",
        ],
    },
    Rule {
        code: Code::FW1254,
        does: opens_pressed,
        enough: &[
            "drain",
            "vent",
            "reliev",
            "depressur",
            "empt",
            "bleed",
            "releas",
            "pressure",
            "discharg",
            "unpressur",
        ],
        but: &["pressure-washer"],
        before: false,
        settles: |_| false,
        needs: &[],
        said: [
            "a line that holds pressure is opened, and nothing lets the pressure off",
            "it can be under pressure here",
            "A line that is opened under pressure whips, and its jet goes through skin.",
            "Say how the pressure is let off before it: `Drain the air reservoir until no air comes.` Work on brakes and hydraulics belongs to trained people.",
        ],
    },
];

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>], all: &[Said<'_, '_>]) {
    if !words.procedure.complete {
        return;
    }
    let mut headings: Option<Vec<Text<'_>>> = None;
    for rule in RULES {
        let Some(one) = all.iter().find(|one| one.is_now && (rule.does)(one)) else { continue };
        let needs = |text: &Text<'_>| says(text, 0..text.tokens.len(), rule.needs);
        let is_bolted = rule.code == Code::FW0786 && has_bolted_clamp(words.procedure);
        let is_meant = !is_bolted && (rule.needs.is_empty() || texts.iter().any(needs));
        if is_meant
            && !all.iter().any(rule.settles)
            && !is_said(rule, one, texts, headings.get_or_insert_with(|| titles(words.procedure)))
        {
            words.tell(finding(rule, one.place));
        }
    }
    live_airbag(words, texts, all);
    for_two(words, texts);
}

/// Whether one of the words that are enough stands in the procedure; before the sentence, where it has to.
fn is_said(rule: &Rule, one: &Said<'_, '_>, texts: &[Text<'_>], titles: &[Text<'_>]) -> bool {
    let is_enough = |word: &str| rule.enough.iter().any(|begin| word.starts_with(begin)) && !rule.but.contains(&word);
    let says = |text: &Text<'_>, end: usize| (0..end).any(|at| is_enough(text.lower(at)));
    let whole = |text: &Text<'_>| says(text, text.tokens.len());
    let own = texts.iter().position(|text| std::ptr::eq(text, one.text)).filter(|_| rule.before);
    let (before, after) = texts.split_at(own.unwrap_or(texts.len()));
    // A message of the step is read before its work, wherever it stands.
    let in_step = |text: &&Text<'_>| text.step == Some(one.step) && text.sort != Sort::Instruction;
    before.iter().any(whole)
        || after.iter().filter(in_step).any(whole)
        || (own.is_some() && says(one.text, one.sentence.end))
        || titles.iter().any(whole)
}

/// FW1249: the power is taken off, a step warns of an airbag and parts its plug, and nothing in the procedure waits.
fn live_airbag(words: &mut Words<'_>, texts: &[Text<'_>], all: &[Said<'_, '_>]) {
    let procedure = words.procedure;
    let warns = |step: StepId| {
        let of_airbag = |line: &&Line| match &line.kind {
            LineKind::Message(message) => procedure.hazards[message.hazard].called == "airbag",
            _ => false,
        };
        procedure.steps[step].lines.iter().find(of_airbag).map(|line| line.span)
    };
    let of_plug = |title: &str| things::of_title(title).iter().any(|word| PLUGS.contains(&word.as_str()));
    let parts = |step: StepId| {
        let by_line = |line: &Line| match line.kind {
            LineKind::Make { state, .. } => of_plug(&procedure.states[state].name.title),
            LineKind::Disconnect(..) => true,
            _ => false,
        };
        procedure.steps[step].lines.iter().any(by_line)
    };
    let unplugs = |one: &&Said<'_, '_>| {
        one.does(&["unplug", "disconnect", "part", "pull"]) && one.object().is_some_and(|thing| thing.is_a(PLUGS))
    };
    let by_words: BTreeSet<StepId> = all.iter().filter(unplugs).map(|one| one.step).collect();
    let mut steps = procedure.steps.ids().filter_map(|step| Some((step, warns(step)?)));
    let Some((_, place)) = steps.find(|(step, _)| parts(*step) || by_words.contains(step)) else { return };
    let waits =
        procedure.steps.rows().iter().flat_map(|row| &row.lines).any(|line| matches!(line.kind, LineKind::Wait(_)));
    let says = |text: &Text<'_>| {
        (0..text.tokens.len()).any(|at| ["wait", "minute"].iter().any(|begin| text.lower(at).starts_with(begin)))
    };
    if !waits && !texts.iter().any(says) && orders::is_taken_off(procedure, all) {
        words.tell(
            Finding::new(Code::FW1249, "the plug of an airbag is parted, and nothing waits before it", place, "it may still have a charge")
                .because("The airbag unit keeps a charge for minutes after the battery is off, and can fire the airbag at who parts the plug.")
                .repair("Put a wait after the battery is off, with the time that the maker of the vehicle states: `wait 5 min \"until the airbag unit has no charge left\"`."),
        );
    }
}

const PLUGS: &[&str] = &["plug", "connector", "connection", "airbag"];

/// FW1250: the words of a step ask for another person, and its line says one.
fn for_two(words: &mut Words<'_>, texts: &[Text<'_>]) {
    const MANY: &[&str] = &["two", "three", "four", "second", "another", "both"];
    const PEOPLE: &[&str] =
        &["people", "persons", "person", "technicians", "technician", "fitters", "fitter", "installers", "installer"];
    let mut found = Vec::new();
    for text in texts.iter().filter(|text| matches!(text.sort, Sort::Instruction | Sort::Avoid)) {
        let Some(step) = text.step else { continue };
        let row = &words.procedure.steps[step];
        let Some(takes) = row.takes.as_ref().filter(|takes| takes.people == 1) else { continue };
        for sentence in text.sentences() {
            let two = sentence
                .clone()
                .skip(1)
                .find(|at| PEOPLE.contains(&text.lower(*at)) && MANY.contains(&text.lower(at - 1)));
            let by = |at: usize| matches!(text.lower(at), "with" | "by" | "have" | "let" | "needs" | "takes");
            let asks = two.filter(|at| (sentence.start..*at).any(by) && !says(text, sentence.clone(), FORBIDS));
            let place = asks.and_then(|at| text.place(&(at - 1..at + 1)));
            found.extend(
                place
                    .filter(|_| !says(text, sentence.clone(), &["if", "or", "until"]))
                    .map(|place| (step, place, takes.span)),
            );
        }
    }
    for (step, place, takes) in found {
        // Of what is heavy by itself FW1125 speaks.
        let row = &words.procedure.steps[step];
        let mut brought = row.lines.iter().flat_map(|line| words.procedure.brought_by(line));
        if brought.any(|hazard| words.procedure.hazards[hazard].people > 1) {
            continue;
        }
        words.tell(
            Finding::new(
                Code::FW1250,
                "the words ask for another person, and the step takes one",
                place,
                "more than one here",
            )
            .also(takes, "one person here")
            .because("The work is planned for one: nobody is there when the part has to be held, and it is done alone.")
            .repair("Write how many people it takes: `takes 10 min, two people`; or say how one person does it."),
        );
    }
}

fn finding(rule: &Rule, place: Span) -> Finding {
    let [message, label, why, repair] = rule.said;
    Finding::new(rule.code, message, place, label).because(why).repair(repair)
}

/// `Open the radiator cap.`
fn opens_hot(one: &Said<'_, '_>) -> bool {
    let cap =
        |thing: &Thing| thing.is_a(&["cap"]) && thing.has(&["radiator", "coolant", "expansion", "header", "pressure"]);
    one.does(&["open", "remove", "undo", "unscrew", "loosen", "take", "turn", "release", "twist", "slacken"])
        && one.object().is_some_and(cap)
        && !one.says(&["new", "bench", "on", "tight"])
}

/// `Unclip the gas strut from the tailgate.`
fn takes_strut(one: &Said<'_, '_>) -> bool {
    let lid = &["tailgate", "bonnet", "hood", "hatch", "lid", "boot", "flap"];
    let strut = |thing: &Thing| {
        let gas = thing.has(&["gas"]) || thing.has(lid) || one.says(lid) || one.says(&["ball", "clip"]);
        gas && (thing.is_a(&["strut"]) || (thing.is_a(&["spring"]) && thing.has(&["gas"])))
    };
    one.does(&[
        "remove",
        "unclip",
        "disconnect",
        "detach",
        "take",
        "unscrew",
        "undo",
        "pull",
        "unbolt",
        "lift",
        "release",
        "pry",
    ]) && one.object().is_some_and(strut)
}

/// `Drill a hole in the floor above the tank.`
fn drills_blind(one: &Said<'_, '_>) -> bool {
    let near = ["above", "over", "near", "beside", "by", "in", "into", "through", "at", "on", "next", "from", "behind"];
    let hidden = |thing: &Thing| {
        let tank = thing.is_a(&["tank"]) && (thing.words.len() == 1 || thing.has(&["fuel", "petrol", "diesel", "gas"]));
        let beside = tank || thing.is_a(&["loom", "harness"]);
        let pillar = thing.is_a(&["pillar", "a-pillar", "b-pillar", "c-pillar"]);
        let is_within = matches!(thing.by.as_str(), "in" | "into" | "through" | "at");
        let wall = thing.by == "through" && thing.is_a(&["floor", "bulkhead", "firewall"]);
        near.contains(&thing.by.as_str())
            && ((beside && !is_within) || (pillar && is_within) || (tank && thing.by == "at") || wall)
    };
    let drives = one.does(&["drive", "screw", "run"]) && one.says(&["screw", "screws"]);
    let opens = one.does(&["cut", "saw"]) && one.says(&["hole", "holes", "opening"]);
    (one.verb == "drill" || drives || opens) && one.things().iter().any(hidden) && !one.says(&["out", "away", "new"])
}

/// `Drill a hole through the roof.`
fn opens_roof(one: &Said<'_, '_>) -> bool {
    let roof = |thing: &Thing| matches!(thing.by.as_str(), "in" | "into" | "through" | "of") && thing.is_a(&["roof"]);
    let hole = one.things().iter().any(|thing| thing.is_a(&["hole", "opening"]));
    let is_hole = hole || one.says(HOLES) || one.object().is_some_and(|thing| thing.has(SHEETS));
    one.does(MAKES_HOLES) && is_hole && one.things().iter().any(roof)
}

/// `Slide the clamp onto the hose.`
fn puts_clamp_on(one: &Said<'_, '_>) -> bool {
    let clamp = |thing: &Thing| thing.is_a(CLAMPS) && !thing.has(&["spring", "ear"]);
    let on = |thing: &Thing| matches!(thing.by.as_str(), "on" | "onto" | "over") && thing.has(HOSES);
    one.does(&["slide", "slip", "push", "put", "thread", "fit"])
        && one.object().is_some_and(clamp)
        && one.things().iter().any(on)
}

/// Whether a joint holds a clamp: a line tightens it.
fn has_bolted_clamp(procedure: &Procedure) -> bool {
    let is_one = |title: &str| things::of_title(title).iter().any(|word| CLAMPS.contains(&word.as_str()));
    procedure.joints.rows().iter().any(|joint| {
        let mut parts = joint.joins.iter().map(|(part, _)| *part).chain(joint.parts().map(|(part, _)| part));
        is_one(&joint.name.title) || parts.any(|part| is_one(&procedure.parts[part].name.title))
    })
}

/// `Tighten the clamp.`, in whatever words.
fn closes_clamp(one: &Said<'_, '_>) -> bool {
    let closes = &[
        "tighten", "close", "squeeze", "crimp", "snap", "screw", "release", "fasten", "turn", "pinch", "lock", "press",
        "torque", "fix", "secure", "clamp", "nip",
    ];
    one.does(closes) && one.says(&["clamp", "clamps", "clip", "clips", "band", "bands", "them", "hose"])
}

/// `Push the split pin through the bolt.`
fn puts_split_pin(one: &Said<'_, '_>) -> bool {
    let pin = |thing: &Thing| {
        (thing.is_a(&["pin"]) && thing.has(&["split", "cotter"])) || thing.is_a(&["cotter", "split-pin", "cotter-pin"])
    };
    one.does(&["push", "put", "insert", "slide", "fit", "set"]) && one.object().is_some_and(pin)
}

/// `Stick masking tape along the edge.`
fn masks(one: &Said<'_, '_>) -> bool {
    let mask = |thing: &Thing| thing.has(&["masking"]) && thing.is_a(&["tape", "film", "paper"]);
    one.does(&["stick", "put", "lay", "apply", "run", "press"]) && one.object().is_some_and(mask)
}

fn unmasks(one: &Said<'_, '_>) -> bool {
    one.does(&["peel", "remove", "take", "pull", "strip", "lift"])
        && one.says(&["tape", "film", "paper", "masking", "mask"])
}

const PINCERS: &[&str] = &["pincer", "pincers", "pinch-off", "pinch", "crimp-off"];

/// `Set the hose pincers on both sides of the mark.`
fn pinches(one: &Said<'_, '_>) -> bool {
    let tool =
        |thing: &Thing| thing.has(PINCERS) && (matches!(thing.by.as_str(), "with" | "using") || thing.by == one.verb);
    one.does(&["set", "put", "fit", "clamp", "pinch", "close"]) && one.things().iter().any(tool)
}

fn frees(one: &Said<'_, '_>) -> bool {
    one.does(&["take", "remove", "release", "open", "lift", "undo", "pull"]) && one.says(PINCERS)
}

/// `Disconnect the air line.`
fn opens_pressed(one: &Said<'_, '_>) -> bool {
    let line = |thing: &Thing| {
        thing.has(&["air", "hydraulic"])
            && thing.is_a(&["line", "hose", "pipe", "union"])
            && !thing.has(&["intake", "new", "filter", "duct"])
    };
    one.does(&["disconnect", "undo", "loosen", "open", "unscrew", "detach"]) && one.object().is_some_and(line)
}
