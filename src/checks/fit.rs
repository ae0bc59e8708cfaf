//! FW07: whether the parts of a joint go together, judged by the working of each joint.

use super::proof::Proof;
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, Line, LineKind, Part, PartId, Procedure, TappedMetal, Thread};
use crate::source::Span;
use crate::working::joint::{Assembly, Bolt, Engagement, JointWorking, Length, NutClass, Piece, length_words};
use std::cmp::Ordering;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut findings = Vec::new();
    for (id, joint) in procedure.joints.iter() {
        joint_fits(procedure, joint, proof.plan.joint(id), &mut findings);
    }
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        insert_again(procedure, line, &mut findings);
    }
    proof.findings.extend(findings);
}

fn joint_fits(procedure: &Procedure, joint: &Joint, worked: &JointWorking, findings: &mut Vec<Finding>) {
    let assembly = Assembly::of(procedure, joint);
    let Some(bolt) = &assembly.bolt else { return };
    let clashes = clashes(joint, &assembly, bolt);
    let is_one = clashes.is_empty();
    findings.extend(clashes);
    // Nuts and washers of another size say nothing more of this bolt.
    if !is_one {
        return;
    }
    findings.extend(worked.nut_class.as_ref().and_then(|class| weak_nut(joint, &assembly, bolt, class)));
    // Where a part of the joint could not be read, the bolt would seem too long.
    if let Some(length) = worked.length.as_ref().filter(|_| procedure.complete) {
        findings.extend(length_of(procedure, joint, bolt, length));
    }
    findings.extend(worked.engagement.as_ref().and_then(|engaged| shallow(procedure, joint, bolt, engaged)));
}

/// FW0713: nuts with another thread, washers whose hole is too small.
fn clashes(joint: &Joint, assembly: &Assembly<'_>, bolt: &Bolt<'_>) -> Vec<Finding> {
    let nuts = assembly.nuts.iter().filter_map(|nut| {
        let thread = nut.fastener.thread.as_ref().filter(|thread| !same_thread(thread, bolt.thread))?;
        let message = format!("the nut of `{}` does not go onto its {}", joint.name.id, bolt.word);
        Some((message, nut, thread.id.clone()))
    });
    let washers = assembly.washers.iter().filter_map(|washer| {
        let row = washer.fastener.washer.as_ref()?;
        let inside = row.inside.filter(|inside| inside.compare(&bolt.thread.diameter) == Some(Ordering::Less))?;
        let message = format!("the washer of `{}` does not go over its {}", joint.name.id, bolt.word);
        Some((message, washer, format!("{}, with a hole of {inside}", row.id)))
    });
    nuts.chain(washers).map(|(message, piece, size)| clash(message, piece, &size, bolt)).collect()
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

/// FW0710 and FW0711.
fn length_of(procedure: &Procedure, joint: &Joint, bolt: &Bolt<'_>, length: &Length) -> Option<Finding> {
    let shown = |mm: f64| length_words(procedure, mm);
    let parts = if length.with_nuts { "grip, washers and nut" } else { "grip and washers" };
    let (name, has, needed) = (&joint.name.id, shown(length.bolt_mm), shown(length.needed_mm));
    let see = format!("`fitwright explain FILE {name}` shows the sum.");
    if length.left_mm() < -NOTHING_MM {
        let message = format!("the {} of `{name}` is too short", bolt.word);
        let longer = shown(length.needed_mm + length.least_out_mm);
        return Some(
            Finding::new(Code::FW0710, message, bolt.span, format!("{has} long; {parts} take up {needed}"))
                .also(joint.name.span, "the joint")
                .because("The thread that is missing is what should hold the joint.")
                .repair(format!("Name one that is longer than {longer}, or correct the `grip`. {see}")),
        );
    }
    let (message, why, repair) = stands_out(procedure, name, bolt, length)?;
    let label = format!("{has} long, and {} stands out", shown(length.left_mm()));
    Some(
        Finding::new(Code::FW0711, message, bolt.span, label)
            .also(joint.name.span, format!("{parts} take up {needed}"))
            .because(why)
            .repair(format!("{repair} {see}")),
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
        )),
    )
}

/// FW0716: a nylon insert that is run onto a thread for the second time.
fn insert_again(procedure: &Procedure, line: &Line, findings: &mut Vec<Finding>) {
    let again = |part: PartId| {
        let part = &procedure.parts[part];
        // A part declared `single use` is FW0607's.
        part.fastener.as_ref().is_some_and(|fastener| fastener.has_insert() && !part.single_use).then_some(part)
    };
    match &line.kind {
        LineKind::RefitJoint(joint) => {
            let nut = procedure.joints[*joint].each.iter().find_map(|entry| again(entry.what));
            findings.extend(nut.map(|nut| used_again(nut, line.span)));
        }
        LineKind::Refit(parts) => {
            let nuts = parts.iter().filter_map(|entry| Some((again(entry.what)?, entry.span)));
            findings.extend(nuts.map(|(nut, span)| used_again(nut, span)));
        }
        _ => {}
    }
}

fn used_again(nut: &Part, at: Span) -> Finding {
    Finding::new(
        Code::FW0716,
        format!("`{}` has a nylon insert and is used again", nut.name.id),
        at,
        "its insert has gripped a thread before",
    )
    .also(nut.name.span, "the nut")
    .because(
        "The insert grips less each time. Practice differs: FAA AC 43.13-1B lets it be used again while it cannot be turned \
         by hand, others ask for a new one wherever a life depends on it.",
    )
    .repair(format!(
        "Supply new nuts and `place` the joint; or accept this with the reason, and tell the technician to check that no \
         `{}` turns by hand.",
        nut.name.id
    ))
}
