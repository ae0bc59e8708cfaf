//! FW0727: a hole that the words drill, through which the bolt does not go, or of another size than the joint states for its screw.
//!
//! Only what is sure is told: the words say how many holes, a joint has as many fastenings, and no joint of that number suits
//! the hole. What is drilled first and opened, reamed or tapped after it is left alone, and so is a hole for a thing whose title has
//! that size, as a grommet has.

use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::ops::Range;

use num_traits::CheckedMul;

use super::Words;
use super::amounts;
use super::classes::{HOLES, WIDENS, says, says_of};
use super::sentences::opening_verb;
use super::text::{Sort, Text, TokenKind, instructions, plain};
use crate::diagnostics::{Code, Finding};
use crate::model::{FastenerKind, Joint, JointId, Procedure};
use crate::quantity::{Exact, Kind, Quantity};
use crate::source::Span;

/// Words of a hole that is not done yet, or is made for a thread, a rivet or an insert.
const NOT_DONE: &[&str] = &[
    "pilot",
    "centre",
    "center",
    "tap",
    "thread",
    "threads",
    "threaded",
    "tapped",
    "rivet",
    "rivets",
    "insert",
    "inserts",
    "step",
    "guide",
    "through-tap",
    "file",
    "plug",
    "plugs",
];
/// Words by which a later step makes a hole larger, or cuts its thread.
const OPENED: &[&str] = &["tap", "rivet", "out"];
const NUMBERS: &[&str] =
    &["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

/// What a joint wants of its hole.
#[derive(Clone, Copy)]
enum Wants {
    /// More than the bolt's diameter.
    Over(Quantity),
    /// This size, for a screw that cuts its own thread.
    Size(Quantity),
}

pub(super) fn check(words: &mut Words<'_>, texts: &[Text<'_>]) {
    if !words.english {
        return;
    }
    // What one step drills another may open.
    let opens = |text: &Text<'_>, sentence: &Range<usize>| {
        says(text, sentence.clone(), HOLES) && says_of(text, sentence, &[WIDENS, OPENED])
    };
    if texts.iter().any(|text| text.sentences().iter().any(|sentence| opens(text, sentence))) {
        return;
    }
    let holed = Holed::of(words.procedure);
    for own in instructions(texts).into_values() {
        if own.iter().any(|text| is_not_done(text)) {
            continue;
        }
        for (count, size, place) in own.into_iter().flat_map(|text| drilled(words.procedure, text)) {
            if let Some((joint, wants)) = holed.against(count, &size) {
                words.tell(finding(joint, wants, &size, place));
            }
        }
    }
}

/// Whether words speak of a hole that is not done yet, or is made for something else than a bolt.
pub(super) fn is_not_done(text: &Text<'_>) -> bool {
    says_of(text, &(0..text.tokens.len()), &[NOT_DONE, WIDENS])
}

/// `Drill two [9 mm] holes`: how many, of which size.
pub(super) fn drilled(procedure: &Procedure, text: &Text<'_>) -> Vec<(u32, Quantity, Span)> {
    let outside = amounts::of(text, true);
    let mut found = Vec::new();
    for sentence in text.sentences() {
        let drills = opening_verb(text, sentence.start, sentence.end).is_some_and(|verb| text.lower(verb) == "drill");
        for at in sentence.clone().filter(|_| drills) {
            let mentioned = text.mention(at).and_then(|mention| amounts::mentioned(procedure, &mention.target));
            let (size, end) = match outside.iter().find(|amount| amount.run.start == at) {
                Some(amount) if amounts::same(&amount.low, &amount.high) => (Some(amount.high), amount.run.end),
                Some(_) => continue,
                None => (mentioned.and_then(|measure| measure.nominal()), at + 1),
            };
            let is_hole = HOLES.contains(&text.lower(end));
            let count = at.checked_sub(1).and_then(|before| number(text, before));
            let size = size.filter(|size| size.kind() == Kind::Length && is_hole);
            if let (Some(size), Some(count), Some(place)) = (size, count, text.place(&(at..end))) {
                found.push((count, size, place));
            }
        }
    }
    found
}

/// A number in digits or as a word, or the one of `a`.
pub(super) fn number(text: &Text<'_>, at: usize) -> Option<u32> {
    let word = text.lower(at);
    if text.kind(at) == Some(TokenKind::Number) {
        return word.parse().ok();
    }
    if matches!(word, "a" | "an") {
        return Some(1);
    }
    NUMBERS.iter().position(|number| *number == word).and_then(|at| u32::try_from(at + 1).ok())
}

/// How many holes a sentence speaks of, and of which size, where it says so: `four [9 mm] holes`, `the four holes`.
pub(super) fn how_many(
    procedure: &Procedure,
    text: &Text<'_>,
    sentence: &Range<usize>,
) -> (Option<u32>, Option<Quantity>) {
    if let Some((count, size, _)) = drilled(procedure, text)
        .into_iter()
        .find(|(.., place)| text.place(sentence).is_some_and(|whole| whole.range().contains(&place.range().start)))
    {
        return (Some(count), Some(size));
    }
    let hole = sentence.clone().find(|at| HOLES.contains(&text.lower(*at)));
    let count = hole.and_then(|hole| hole.checked_sub(1)).and_then(|before| number(text, before));
    (count, None)
}

/// A hole that suits and is not far wider than a clearance hole of the coarse series (ISO 273, from memory): less than a quarter more than the bolt.
fn is_close(wants: &Wants, size: &Quantity) -> bool {
    let most = |bolt: &Quantity| {
        let value = bolt.value.checked_mul(&Exact::new(5, 4));
        value.is_some_and(|value| size.compare(&Quantity { value, ..*bolt }) == Some(Ordering::Less))
    };
    suits(wants, size)
        && match wants {
            Wants::Over(bolt) => most(bolt),
            Wants::Size(_) => true,
        }
}

/// What stands in the holes of a procedure.
pub(super) struct Holed<'p> {
    /// Sizes in titles of parts that are no fasteners, in the base unit: the hole may be for such a part.
    titled: BTreeSet<Exact>,
    /// What is known that joints want of their holes.
    wanted: Vec<Wanted<'p>>,
}

/// What joints of one number of fastenings want of their holes, all alike.
struct Wanted<'p> {
    /// `None` where nobody knows.
    count: Option<u32>,
    wants: Wants,
    /// The first of them.
    joint: &'p Joint,
    id: JointId,
    /// Whether there is no other.
    is_only: bool,
}

impl<'p> Holed<'p> {
    pub(super) fn of(procedure: &'p Procedure) -> Self {
        let parts = procedure.parts.rows().iter().filter(|part| part.fastener.is_none());
        let titles = parts.map(|part| plain(&part.name.title, Sort::Title, None, part.name.span));
        let sizes = titles.flat_map(|title| amounts::of(&title, true).into_iter().map(|amount| amount.high));
        let titled = sizes.filter(|size| size.kind() == Kind::Length).filter_map(|size| size.base()).collect();
        let mut wanted: Vec<Wanted<'_>> = Vec::new();
        for (id, joint) in procedure.joints.iter().filter(|(_, joint)| !joint.on_vehicle) {
            let Some(wants) = wants(procedure, joint) else { continue };
            match wanted.iter_mut().find(|known| known.count == joint.count && known.wants.is_as(&wants)) {
                Some(known) => known.is_only = false,
                None => wanted.push(Wanted { count: joint.count, wants, joint, id, is_only: true }),
            }
        }
        Holed { titled, wanted }
    }

    /// Whether the title of a part that is no fastener has that size.
    fn is_of_a_part(&self, size: &Quantity) -> bool {
        size.base().is_some_and(|size| self.titled.contains(&size))
    }

    /// The first joint of that many fastenings that the hole does not suit, where it suits none.
    fn against(&self, count: u32, size: &Quantity) -> Option<(&'p Joint, Wants)> {
        let wanted = || self.wanted.iter().filter(|one| one.count.is_none_or(|there| there == count));
        if self.is_of_a_part(size) || wanted().any(|one| suits(&one.wants, size)) {
            return None;
        }
        wanted().find(|one| is_meant(&one.wants, size)).map(|one| (one.joint, one.wants))
    }

    /// The one joint whose bolt or screw goes through a hole of that size as closely as it should.
    pub(super) fn only_joint(&self, size: &Quantity) -> Option<JointId> {
        let mut all = self.wanted.iter().filter(|one| is_close(&one.wants, size));
        let only = all.next().filter(|one| one.is_only && all.next().is_none())?;
        (!self.is_of_a_part(size)).then_some(only.id)
    }
}

impl Wants {
    fn is_as(&self, other: &Wants) -> bool {
        match (self, other) {
            (Wants::Over(one), Wants::Over(other)) | (Wants::Size(one), Wants::Size(other)) => {
                amounts::same(one, other)
            }
            _ => false,
        }
    }
}

/// What a bolt with its nut, or a screw that turns into a plain hole, wants.
fn wants(procedure: &Procedure, joint: &Joint) -> Option<Wants> {
    if let Some((size, _)) = joint.pilot {
        return Some(Wants::Size(size));
    }
    let fasteners = || joint.each.iter().filter_map(|entry| procedure.parts[entry.what].fastener.as_ref());
    let has_nut = fasteners().any(|one| one.kind == FastenerKind::Nut);
    let mut bolts = fasteners().filter(|one| matches!(one.kind, FastenerKind::Bolt | FastenerKind::Screw));
    let thread = bolts.next().filter(|_| bolts.next().is_none())?.thread.as_ref()?;
    (has_nut && joint.into.is_none() && joint.onto.is_none()).then_some(Wants::Over(thread.diameter))
}

fn suits(wants: &Wants, size: &Quantity) -> bool {
    match wants {
        Wants::Over(bolt) => bolt.compare(size) == Some(Ordering::Less),
        Wants::Size(hole) => amounts::about_the_same(hole, size),
    }
}

/// Whether a hole that does not suit is meant for it all the same: it is not far from the size.
fn is_meant(wants: &Wants, size: &Quantity) -> bool {
    let at_least = |share: (i128, i128), of: &Quantity| {
        let value = of.value.checked_mul(&Exact::new(share.0, share.1));
        value.is_some_and(|value| {
            (Quantity { value, ..*of }).compare(size).is_some_and(|order| order != Ordering::Greater)
        })
    };
    match wants {
        Wants::Over(bolt) => at_least((3, 5), bolt),
        Wants::Size(hole) => at_least((2, 3), hole) && !at_least((4, 3), hole),
    }
}

fn finding(joint: &Joint, wants: Wants, size: &Quantity, place: Span) -> Finding {
    let name = &joint.name;
    let (message, why, repair) = match wants {
        Wants::Over(bolt) => (
            format!("the words drill a hole of {size}, and a bolt of `{}` is {bolt} thick", name.id),
            "The bolt does not go through: it is driven in, or the hole is drilled again by eye.",
            "Drill larger than the bolt: a clearance hole of the medium series is about a tenth larger (ISO 273, from memory). Where it is opened, reamed or tapped later, say so in the step.",
        ),
        Wants::Size(hole) => (
            format!("the words drill a hole of {size}, and `{}` states one of {hole}", name.id),
            "In a hole that is too wide the screw finds no hold, in one too narrow it shears off.",
            "Let both say the size that the maker of the screw gives for this sheet.",
        ),
    };
    Finding::new(Code::FW0727, message, place, "drilled like this")
        .also(name.span, "the joint with as many fastenings")
        .because(why)
        .repair(repair)
}
