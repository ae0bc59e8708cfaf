//! FW0791 and FW0970: rules of two sentences, which a table of words alone can say.
//!
//! A pattern is a verb with what it acts on and what a word leads over to. Common practice, from memory; a word that is missing makes a
//! rule silent.

use super::said::Said;
use super::sequel::{Does, Role, Rule};
use super::things::Thing;
use crate::diagnostics::Code;

/// A sentence by its words.
struct Pattern {
    verbs: &'static [&'static str],
    /// What the verb acts on ends in one of these; anything where there is none.
    acts_on: &'static [&'static str],
    /// One of the words that lead over to a thing that ends in one of the others; not asked where there is none.
    by: &'static [&'static str],
    to: &'static [&'static str],
    /// Words with which something else is meant.
    not: &'static [&'static str],
}

impl Pattern {
    fn is(&self, one: &Said<'_, '_>) -> bool {
        one.does(self.verbs)
            && (self.acts_on.is_empty() || one.object().is_some_and(|thing| thing.is_a(self.acts_on)))
            && (self.to.is_empty() || one.leads(self.by, self.to))
            && !one.says(self.not)
    }
}

/// What a sentence does for patterns of what begins, what ends it and what is late; each to whatever the job is about.
fn role(one: &Said<'_, '_>, begins: &[Pattern], ends: &[Pattern], late: &[Pattern]) -> Role {
    let any = |patterns: &[Pattern]| patterns.iter().any(|pattern| pattern.is(one));
    let does = match () {
        () if any(late) => Does::Late,
        () if any(begins) => Does::Begins,
        () if any(ends) => Does::Ends,
        () => return None,
    };
    Some((does, Vec::<Thing>::new()))
}

pub(super) const RULES: &[Rule] = &[
    Rule {
        code: Code::FW0791,
        role: |one| role(one, SETS_IN, LIFTS_OUT, SEALS_OPENING),
        once: true,
        said: [
            "sealant goes around an opening when what closes it is set already",
            "nothing gets under the rim any more",
            "set in here",
            "The bead lies beside the rim instead of under it: water creeps in behind, where nobody sees it.",
            "Put this sentence before the one that sets the thing in. Where the outer edge is sealed as well, say so: `Seal the outer edge of the rim.`",
        ],
    },
    Rule {
        code: Code::FW0970,
        role: |one| role(one, GOES_THROUGH, DRAWS_BACK, LINES_HOLE),
        once: true,
        said: [
            "a grommet is put in when its cable runs through the hole already",
            "it does not go over the cable any more",
            "pushed through here",
            "The cable comes out again, or the grommet is cut open or left out, and the edge wears through the cable.",
            "Put the grommet in first, then the cable through it. One that is split goes around the cable: `Lay the split grommet around the cable.`",
        ],
    },
];

const CABLES: &[&str] = &["cable", "harness", "wire", "lead", "loom", "hose"];
const GOES_THROUGH: &[Pattern] = &[Pattern {
    verbs: &["push", "pull", "lead", "feed", "draw", "run", "thread", "pass"],
    acts_on: CABLES,
    by: &["through"],
    to: &["hole", "bulkhead", "floor", "roof", "panel"],
    not: &["grommet", "grommets", "tube", "sleeve", "gland", "later"],
}];
const DRAWS_BACK: &[Pattern] =
    &[Pattern { verbs: &["pull", "draw"], acts_on: CABLES, by: &[], to: &[], not: &["through"] }];
const LINES_HOLE: &[Pattern] = &[
    Pattern {
        verbs: &["push", "press", "fit", "set", "put", "insert"],
        acts_on: &["grommet"],
        by: &["in", "into"],
        to: &["hole", "bulkhead", "floor", "roof", "panel"],
        not: &["split", "open", "slit", "other", "second", "along"],
    },
    // One that is on the cable already goes into the hole with it.
    Pattern {
        verbs: &["slide", "thread", "pull", "push", "put"],
        acts_on: &["grommet"],
        by: &["on", "onto", "over"],
        to: CABLES,
        not: &[],
    },
];

const OPENINGS: &[&str] = &["opening", "cut-out", "cutout", "aperture"];
/// What is set into an opening, or onto it.
const SETS_IN: &[Pattern] = &[Pattern {
    verbs: &["set", "lower", "fit", "press", "push", "place", "put", "insert", "lay"],
    acts_on: &[
        "window",
        "pane",
        "hatch",
        "vent",
        "fan",
        "frame",
        "skylight",
        "unit",
        "light",
        "lamp",
        "hood",
        "cover",
        "lid",
        "flange",
        "ventilator",
        "camera",
        "grille",
        "louvre",
        "socket",
        "inlet",
    ],
    by: &["in", "into", "over", "on", "onto"],
    to: OPENINGS,
    not: &["dry", "trial", "template", "try", "loosely", "check"],
}];
const LIFTS_OUT: &[Pattern] = &[Pattern {
    verbs: &["remove", "lift", "take", "pull", "withdraw"],
    acts_on: &[],
    by: &[],
    to: &[],
    not: &["tape", "backing", "film"],
}];
const SEALS_OPENING: &[Pattern] = &[Pattern {
    verbs: &["run", "lay", "apply", "put", "stick", "squeeze", "draw", "press"],
    acts_on: &["sealant", "bead", "mastic", "adhesive", "butyl", "tape", "sealer", "cord"],
    by: &["around", "round", "along", "on", "onto", "to"],
    to: OPENINGS,
    not: &["masking", "outer", "outside", "gap", "joint", "second", "over", "finish", "inside", "inner"],
}];
