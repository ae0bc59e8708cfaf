//! FW07: whether the parts of a joint go together, judged by the working of each joint.

use super::proof::Proof;
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::unknown::{UnknownValue, unknown};
use crate::model::{
    Counted, Fastener, FastenerKind, HoleEnd, Joint, PartId, Procedure, TappedMetal, Thread, Tightness,
};
use crate::quantity::{Exact, Quantity};
use crate::source::Span;
use crate::working::joint::{Assembly, Bolt, Engagement, JointWorking, Length, NutClass, Piece, length_words};
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul};
use std::cmp::Ordering;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut findings = Vec::new();
    for (id, joint) in procedure.joints.iter() {
        let worked = proof.plan.joint_judged(id);
        let each = std::iter::once(worked).chain(&worked.others);
        for (assembly, worked) in Assembly::each(procedure, joint).iter().zip(each) {
            joint_fits(procedure, joint, assembly, worked, &mut findings);
            findings.extend(unsaid(procedure, joint, assembly));
        }
        for entry in &joint.each {
            findings.extend(pilot(procedure, joint, entry));
        }
    }
    proof.findings.extend(findings);
}

fn joint_fits(
    procedure: &Procedure,
    joint: &Joint,
    assembly: &Assembly<'_>,
    worked: &JointWorking,
    findings: &mut Vec<Finding>,
) {
    let Some(bolt) = &assembly.bolt else { return };
    findings.extend(loose_washers(joint, assembly, bolt));
    let clashes = clashes(joint, assembly, bolt);
    let is_one = clashes.is_empty();
    findings.extend(clashes);
    // Nuts and washers of another size say nothing more of this bolt.
    if !is_one {
        return;
    }
    findings.extend(worked.nut_class.as_ref().and_then(|class| weak_nut(joint, assembly, bolt, class)));
    // Where a part of the joint could not be read, the bolt would seem too long.
    if let Some(length) = worked.length.as_ref().filter(|_| procedure.complete) {
        findings.extend(length_of(procedure, joint, bolt, length));
    }
    if let Some(length) = worked.length_without_grip.as_ref().filter(|_| procedure.complete) {
        findings.extend(too_short(procedure, joint, bolt, length, "washers and nut alone"));
    }
    findings.extend(worked.engagement.as_ref().and_then(|engaged| bottoms(procedure, joint, bolt, engaged)));
    // Of a bolt that is too short altogether, the thread that engages needs no words.
    let reaches = worked
        .length
        .as_ref()
        .or(worked.length_without_grip.as_ref())
        .is_none_or(|length| length.left_mm() >= -NOTHING_MM);
    findings.extend(
        worked.engagement.as_ref().filter(|_| reaches).and_then(|engaged| shallow(procedure, joint, bolt, engaged)),
    );
}

/// FW0713: nuts with another thread, washers whose hole is too small.
fn clashes(joint: &Joint, assembly: &Assembly<'_>, bolt: &Bolt<'_>) -> Vec<Finding> {
    let nuts = assembly.nuts.iter().filter_map(|nut| {
        let thread = nut.fastener.thread.as_ref().filter(|thread| !same_thread(thread, bolt.thread))?;
        let message = format!("the nut of `{}` does not go onto its {}", joint.name.id, bolt.word);
        Some((message, nut, thread.id.clone()))
    });
    let washers = assembly.washers.iter().filter_map(|washer| {
        let size = too_narrow(washer.fastener, &bolt.thread.diameter)?;
        let message = format!("the washer of `{}` does not go over its {}", joint.name.id, bolt.word);
        Some((message, washer, size))
    });
    nuts.chain(washers).map(|(message, piece, size)| clash(message, piece, &size, bolt)).collect()
}

/// A washer that does not go over a bolt, in words: by its hole; where no library has that, by the size that it is made for, of
/// which the hole is at most a fifth wider (as in [`loose_washers`]).
fn too_narrow(washer: &Fastener, bolt: &Quantity) -> Option<String> {
    if let Some(row) = &washer.washer {
        let inside = row.inside.filter(|inside| inside.compare(bolt) == Some(Ordering::Less))?;
        return Some(format!("{}, with a hole of {inside}", row.id));
    }
    let size = washer.diameter?;
    let hole = size.base()?.checked_mul(&Exact::new(6, 5))?;
    (hole < bolt.base()?).then(|| format!("for {size}"))
}

fn clash(message: String, piece: &Piece<'_>, size: &str, bolt: &Bolt<'_>) -> Finding {
    Finding::new(Code::FW0713, message, piece.span, format!("this is {size}"))
        .also(bolt.span, format!("the {} is {}", bolt.word, bolt.thread.id))
        .also(piece.part.span, "declared here")
        .because("The technician finds out under the vehicle, or forces it on and strips the thread.")
        .repair(format!("Write `{}` in the part, or name another part here.", bolt.thread.id))
}

fn same_thread(left: &Thread, right: &Thread) -> bool {
    left.diameter.compare(&right.diameter) == Some(Ordering::Equal) && left.pitch_mm == right.pitch_mm
}

/// FW0709
fn weak_nut(joint: &Joint, assembly: &Assembly<'_>, bolt: &Bolt<'_>, class: &NutClass) -> Option<Finding> {
    if class.carries_mpa >= class.bolt_mpa {
        return None;
    }
    let nut = assembly.nuts.iter().find(|nut| nut.fastener.grade.is_some())?;
    Some(
        Finding::new(
            Code::FW0709,
            format!("the nut of `{}` is weaker than its {}", joint.name.id, bolt.word),
            nut.span,
            format!("{} carries bolts up to {}", class.nut, class.carries),
        )
        .also(bolt.span, format!("the {} is {}", bolt.word, class.bolt))
        .because("The thread of the nut strips before the bolt is stretched, and it strips out of sight.")
        .repair(format!(
            "Name a nut that carries {}, or a weaker {}. `fitwright explain FILE {}` shows the calculation.",
            class.bolt, bolt.word, joint.name.id
        )),
    )
}

/// A hundredth of a millimetre is less than anything here is made to.
const NOTHING_MM: f64 = 0.01;

/// FW0710
fn too_short(procedure: &Procedure, joint: &Joint, bolt: &Bolt<'_>, length: &Length, parts: &str) -> Option<Finding> {
    if length.left_mm() >= -NOTHING_MM {
        return None;
    }
    let shown = |mm: f64| length_words(procedure, mm);
    let (name, has, needed) = (&joint.name.id, shown(length.bolt_mm), shown(length.needed_mm));
    let longer = shown(length.needed_mm + length.least_out_mm);
    let what = if joint.grip.is_some() { "or correct the `grip`" } else { "and write the `grip`" };
    let message = format!("the {} of `{name}` is too short", bolt.word);
    Some(
        Finding::new(Code::FW0710, message, bolt.span, format!("{has} long; {parts} take up {needed}"))
            .also(joint.name.span, "the joint")
            .because("The thread that is missing is what should hold the joint.")
            .repair(format!(
                "Name one that is longer than {longer}, {what}. `fitwright explain FILE {name}` shows the sum."
            )),
    )
}

/// FW0718: a bolt without a nut and a hole, and a nut without a bolt and a stud. What is on the vehicle stays in what it
/// came out of; what a torque lacks is FW0708's.
fn unsaid(procedure: &Procedure, joint: &Joint, assembly: &Assembly<'_>) -> Option<Finding> {
    if !procedure.complete || joint.on_vehicle {
        return None;
    }
    let bolt = assembly.bolt.as_ref().filter(|bolt| bolt.is_part && bolt.word != "stud");
    let is_known = joint.into.is_some() || unknown(&joint.unknown, UnknownValue::Into).is_some();
    if let Some(bolt) = bolt.filter(|_| assembly.nuts.is_empty() && !is_known) {
        return Some(
            Finding::new(
                Code::FW0718,
                format!("nothing says what the {} of `{}` goes into", bolt.word, joint.name.id),
                bolt.span,
                "no nut, and no tapped hole",
            )
            .also(joint.name.span, "the joint")
            .because("Whether it is long enough, and whether its thread holds, can't be told.")
            .repair("Write `into steel 12 mm through` (or `blind`) in the joint, or list its nut in `each`. Where nobody knows it, say so: `into unknown \"why\"`."),
        );
    }
    let nut = assembly.nuts.first().filter(|_| assembly.bolt.is_none() && !assembly.tapping)?;
    let by_torque = matches!(joint.tightness, Tightness::Torque(..));
    // A part that is no fastener may be what the nut goes onto: a hook stud, a clamp.
    let all_known = joint.each.iter().all(|entry| procedure.parts[entry.what].fastener.is_some());
    // Nuts that are put into their slots, and turn on nothing yet.
    let is_captive = |entry: &Counted<PartId>| {
        let fastener = procedure.parts[entry.what].fastener.as_ref();
        fastener.is_some_and(|fastener| fastener.words.iter().any(|word| word == "captive"))
    };
    let laid_in = joint.each.iter().all(is_captive);
    let is_said = joint.onto.is_some() || unknown(&joint.unknown, UnknownValue::Onto).is_some();
    (!by_torque && all_known && !laid_in && !is_said).then(|| {
        Finding::new(
            Code::FW0718,
            format!("nothing says what the nut of `{}` goes onto", joint.name.id),
            nut.span,
            "no bolt, and no stud",
        )
        .also(joint.name.span, "the joint")
        .because("Whether the nut fits can't be told.")
        .repair("Write `onto stud M8, class 8.8` in the joint, or list its bolt in `each`. Where nobody knows it, say so: `onto unknown \"why\"`.")
    })
}

/// FW0721 and FW0722: the hole of a self-tapping screw. One that is on the vehicle has its hole; one that drills makes it.
fn pilot(procedure: &Procedure, joint: &Joint, entry: &Counted<PartId>) -> Option<Finding> {
    let part = &procedure.parts[entry.what];
    let screw = part.fastener.as_ref().filter(|screw| screw.kind == FastenerKind::Screw && screw.thread.is_none())?;
    let drills = screw.words.iter().any(|word| word == "self-drilling");
    let diameter = screw.diameter.filter(|_| !drills && !joint.on_vehicle && procedure.complete)?;
    let Some((hole, at)) = &joint.pilot else {
        let is_asked = unknown(&joint.unknown, UnknownValue::Into).is_none();
        return is_asked.then(|| {
            Finding::new(
                Code::FW0721,
                format!("nothing says in what hole the screw of `{}` turns", joint.name.id),
                entry.span,
                format!("{diameter}, and no hole for it"),
            )
            .also(joint.name.span, "the joint")
            .because("Without its hole a tapping screw walks over the sheet; in a wrong one it holds nothing, or breaks.")
            .repair(
                "Write the hole that is there or that a step drills, `into hole 3.5 mm`, or `self-drilling` in the part. The \
                 maker of the screw states the hole for each thickness. Where nobody knows it, say so: `into unknown \"why\"`.",
            )
        });
    };
    if hole.compare(&diameter) == Some(Ordering::Less) {
        let twice = |exact: Exact| exact.checked_add(&exact);
        let is_narrow = hole.base().and_then(twice).zip(diameter.base()).is_some_and(|(twice, whole)| twice < whole);
        return is_narrow.then(|| narrow(joint, *at, entry.span, &format!("the thread is {diameter} wide")));
    }
    Some(
        Finding::new(
            Code::FW0722,
            format!("the screw of `{}` finds no hold in its hole", joint.name.id),
            *at,
            format!("the thread is {diameter} wide"),
        )
        .also(entry.span, "the screw")
        .because("It falls through, or turns without end.")
        .repair("Write a hole that is smaller than the thread; the maker of the screw states it for each thickness."),
    )
}

/// FW0793. The core of a tapping screw is about three quarters as wide as its thread (ISO 1478, from memory); half of it is less than any
/// maker drills for metal, plastic or wood, by common practice.
fn narrow(joint: &Joint, hole: Span, screw: Span, label: &str) -> Finding {
    let message = format!("the hole of `{}` is less than half as wide as its screw", joint.name.id);
    Finding::new(Code::FW0793, message, hole, label.to_owned())
        .also(screw, "the screw")
        .because("The screw is driven against its own core: it shears, its recess strips, or the sheet tears.")
        .repair("Write the hole that the maker of the screw states for this thickness.")
}

/// FW0719 and FW0718: a bolt that reaches beyond the full thread of its hole.
fn bottoms(procedure: &Procedure, joint: &Joint, bolt: &Bolt<'_>, engaged: &Engagement) -> Option<Finding> {
    let hole = joint.into.as_ref().filter(|hole| hole.end != Some(HoleEnd::Through))?;
    let offered = engaged.offered_mm.filter(|offered| *offered > engaged.depth_mm + NOTHING_MM)?;
    let shown = |mm: f64| length_words(procedure, mm);
    let label =
        format!("{} of the {} reaches in; its thread is {} deep", shown(offered), bolt.word, shown(engaged.depth_mm));
    let name = &joint.name.id;
    let finding = if hole.end == Some(HoleEnd::Blind) {
        let message = format!("the {} of `{name}` stops at the end of its hole", bolt.word);
        Finding::new(Code::FW0719, message, hole.span, label)
            .because("The bolt jams in the last thread: the torque is reached, and nothing is clamped.")
            .repair(format!(
                "Name one that is shorter by {}, or more. `fitwright explain FILE {name}` shows the sum.",
                shown(offered - engaged.depth_mm)
            ))
    } else {
        let message = format!("nothing says whether the {} of `{name}` stops at the end of its hole", bolt.word);
        Finding::new(Code::FW0718, message, hole.span, label)
            .because(
                "In a hole that is closed it jams in the last thread: the torque is reached, and nothing is clamped.",
            )
            .repair("Write `through` at the end of this line where the hole is open, `blind` where it is closed.")
            .mend(
                ["through", "blind"]
                    .map(|word| Mend::look(format!("Write `{word}`"), Change::Append(hole.span, format!(" {word}")))),
            )
    };
    Some(finding.also(bolt.span, format!("the {}", bolt.word)))
}

/// FW0720: washers whose hole is too wide: made for a larger thread of the same system, or by more than a fifth wider than
/// the bolt (ISO 273, coarse clearance holes, are up to a fourth wider for the smallest sizes and a fifth for most; from memory).
fn loose_washers(joint: &Joint, assembly: &Assembly<'_>, bolt: &Bolt<'_>) -> Vec<Finding> {
    let loose = assembly.washers.iter().filter_map(|washer| {
        let hole = washer.fastener.washer.as_ref().and_then(|row| row.inside);
        let made_for = washer.fastener.thread.as_ref().map(|thread| thread.diameter);
        let larger = made_for.filter(|size| size.compare(&bolt.thread.diameter) == Some(Ordering::Greater))?;
        let same_system = larger.unit.system() == bolt.thread.diameter.unit.system();
        let wide =
            hole.and_then(|hole| Some(hole.base()?.checked_div(&bolt.thread.diameter.base()?)? > Exact::new(6, 5)));
        if !same_system && wide != Some(true) {
            return None;
        }
        let size = hole.map_or_else(|| larger.to_string(), |hole| format!("{hole} wide"));
        Some(
            Finding::new(
                Code::FW0720,
                format!("the washer of `{}` is too large for its {}", joint.name.id, bolt.word),
                washer.span,
                format!("its hole is {size}; the {} is {}", bolt.word, bolt.thread.id),
            )
            .also(bolt.span, format!("the {}", bolt.word))
            .also(washer.part.span, "declared here")
            .because("It lies off centre, and the head or nut presses on its rim and sinks in.")
            .repair(format!("Name a washer {}, or accept this with the reason.", bolt.thread.id)),
        )
    });
    loose.collect()
}

/// FW0710 and FW0711.
fn length_of(procedure: &Procedure, joint: &Joint, bolt: &Bolt<'_>, length: &Length) -> Option<Finding> {
    let shown = |mm: f64| length_words(procedure, mm);
    let parts = if length.with_nuts { "grip, washers and nut" } else { "grip and washers" };
    let (name, has, needed) = (&joint.name.id, shown(length.bolt_mm), shown(length.needed_mm));
    let see = format!("`fitwright explain FILE {name}` shows the sum.");
    if let Some(short) = too_short(procedure, joint, bolt, length, parts) {
        return Some(short);
    }
    let (message, why, repair) = stands_out(procedure, name, bolt, length)?;
    let label = format!("{has} long, and {} stands out", shown(length.left_mm()));
    Some(
        Finding::new(Code::FW0711, message, bolt.span, label)
            .also(joint.name.span, format!("{parts} take up {needed}"))
            .because(why)
            .repair(format!("{repair} {see}"))
            .holding(shown(length.left_mm())),
    )
}

/// What is wrong with the thread that stands out of a nut, why, and what to write; `None` where it is as it should be.
fn stands_out(
    procedure: &Procedure,
    joint: &str,
    bolt: &Bolt<'_>,
    length: &Length,
) -> Option<(String, &'static str, String)> {
    let least = length_words(procedure, length.needed_mm + length.least_out_mm);
    if !length.with_nuts {
        None
    } else if length.left_mm() + NOTHING_MM < length.least_out_mm {
        Some((
            format!("less than one thread of the {} of `{joint}` stands out of the nut", bolt.word),
            "The first thread of a bolt is not full; common practice lets one to three stand out.",
            format!("Name one that is longer than {least}."),
        ))
    } else if length.left_mm() > length.most_out_mm + NOTHING_MM {
        let most = length_words(procedure, length.needed_mm + length.most_out_mm);
        Some((
            format!("the {} of `{joint}` is much too long", bolt.word),
            "It catches hoses, sleeves and heads; and on a bolt with a shank the nut may meet the end of the thread before \
             it clamps. Common practice lets one to three threads stand out.",
            format!("Name one of {least} to {most}, or correct the `grip`."),
        ))
    } else {
        None
    }
}

/// FW0712
fn shallow(procedure: &Procedure, joint: &Joint, bolt: &Bolt<'_>, engaged: &Engagement) -> Option<Finding> {
    let hole = joint.into.as_ref().filter(|_| engaged.engaged_mm + NOTHING_MM < engaged.least_mm)?;
    let metal = match engaged.metal {
        TappedMetal::Steel => "steel",
        TappedMetal::CastIron => "cast iron",
        TappedMetal::Aluminium => "aluminium",
    };
    let shown = |mm: f64| length_words(procedure, mm);
    Some(
        Finding::new(
            Code::FW0712,
            format!("too little thread of `{}` engages in the {metal}", joint.name.id),
            hole.span,
            format!("{} engages; {metal} asks for {}", shown(engaged.engaged_mm), shown(engaged.least_mm)),
        )
        .also(bolt.span, format!("the {}", bolt.word))
        .because("The tapped thread tears out before the bolt is stretched. These lengths are makers' and the trade's rules.")
        .repair(format!(
            "Name a longer {}, or deepen the thread; where the maker of the part allows less, accept this with the reason. \
             `fitwright explain FILE {}` shows the calculation.",
            bolt.word, joint.name.id
        ))
        .holding(shown(engaged.engaged_mm)),
    )
}
