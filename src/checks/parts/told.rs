//! What is said against the paths of parts.

use crate::checks::lines;
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{JointId, Part, PartId, Procedure};
use crate::source::Span;

/// FW0609
pub(super) fn not_in_place(procedure: &Procedure, joint: JointId, span: Span) -> Finding {
    let name = &procedure.joints[joint].name;
    Finding::new(
        Code::FW0609,
        format!("`{}` is taken apart while it is not in place", name.id),
        span,
        "nothing is there to take off",
    )
    .also(name.span, "the joint")
    .because("The technician is told to remove what nobody has fitted, or what is already off.")
    .repair(format!("Write `place {}` before this line, or `on vehicle` in the joint.", name.id))
    .mend([Mend::before(span, format!("place {}", name.id)), Mend::inside(name.span, "on vehicle")])
}

/// FW0606
pub(super) fn not_removed(procedure: &Procedure, joint: JointId, span: Span) -> Finding {
    let name = &procedure.joints[joint].name;
    Finding::new(
        Code::FW0606,
        format!("`{}` is refitted without having been removed", name.id),
        span,
        "its parts are not in hand",
    )
    .also(name.span, "the joint")
    .because(
        "`refit` uses the parts that came off, and new ones for those that were discarded; here too few are there.",
    )
    .repair(format!(
        "Write `remove {0} with …` before it, `take` new parts for those that were discarded, or `place {0}` with new \
                 parts only.",
        name.id
    ))
}

/// FW0609
pub(super) fn more_removed(procedure: &Procedure, (part, count): (PartId, u32), span: Span) -> Finding {
    let name = &procedure.parts[part].name;
    let finding = Finding::new(
        Code::FW0609,
        format!("more `{}` are removed than are there", name.id),
        span,
        format!("removes {count}"),
    );
    let some = procedure.vehicle.iter().filter(|group| group.when.is_some());
    let some = some.flat_map(|group| &group.entries).find(|entry| entry.what == part);
    match some {
        Some(entry) => finding.also(entry.span, "only some vehicles have it"),
        None => finding.also(name.span, "the part"),
    }
    .because("The technician looks for a screw that the vehicle does not have.")
    .repair(format!("Say how many the vehicle has: `vehicle {{ {count} {} }}`, or remove fewer.", name.id))
    .mend(some.is_none().then(|| {
        if let Some(entry) = procedure.on_vehicle().find(|entry| entry.what == part) {
            let change = Change::Word(entry.span, entry.count.to_string(), count.to_string());
            return Mend::look(format!("Say that the vehicle has {count}"), change);
        }
        let line = format!("vehicle {{ {count} {} }}", name.id);
        Mend::look(format!("Write `{line}`"), Change::Declare(name.span.file, line))
    }))
}

/// How it is told that parts are put aside for the owner.
pub(super) const KEPT: &str = "kept for the owner";

/// FW0606
pub(super) fn more_back(procedure: &Procedure, (part, count): (PartId, u32), span: Span, done: &str) -> Finding {
    let name = &procedure.parts[part].name;
    let in_kit = procedure.kit.iter().flat_map(|group| &group.entries).any(|entry| entry.what == part);
    let spares = match done {
        KEPT if in_kit => format!(" Spares of the kit are kept by `keep {count} {} from kit for owner`.", name.id),
        _ => String::new(),
    };
    Finding::new(
        Code::FW0606,
        format!("more `{}` are {done} than were removed", name.id),
        span,
        format!("{count} {done}"),
    )
    .also(name.span, "the part")
    .because("Only what came off can go back; new parts are taken with `take`.")
    .repair(format!("Write `remove {count} {}` on every path before this line.{spares}", name.id))
    .mend(Mend::before(span, format!("remove {count} {}", name.id)))
}

/// FW0607
pub(super) fn once_again(procedure: &Procedure, (part, count): (PartId, u32), span: Span) -> Finding {
    let name = &procedure.parts[part].name;
    Finding::new(
        Code::FW0607,
        format!("`{}` serves only once, and is fitted again", name.id),
        span,
        "fitted again here",
    )
    .also(name.span, "declared `single use`")
    .because("A clip or locking nut that was undone no longer holds as it did.")
    .repair(format!(
        "Write `discard {count} {0}` where it came off, and `take {count} {0}` here, out of the kit.",
        name.id
    ))
}

/// FW0608
pub(super) fn thrown_away(procedure: &Procedure, part: PartId, span: Span) -> Finding {
    let name = &procedure.parts[part].name;
    Finding::new(
        Code::FW0608,
        format!("`{}` is mentioned after all of it was thrown away", name.id),
        span,
        "in the bin by now",
    )
    .also(name.span, "the part")
    .because("The technician looks for a part that an earlier step threw away.")
    .repair(format!("Take a new one first (`take {}`), or leave the mention out.", name.id))
}

/// FW0608
pub(super) fn not_taken(procedure: &Procedure, part: PartId, span: Span) -> Finding {
    let name = &procedure.parts[part].name;
    Finding::new(Code::FW0608, format!("`{}` is mentioned before it is taken", name.id), span, "not in hand yet")
        .also(name.span, "the part")
        .because("The technician reads of a part that is still in its bag, or belongs to another option.")
        .repair(format!("Write `take {}` in this step or before it, on every path.", name.id))
        .mend(lines::taken_before(procedure, span, part, format!("take 1 {}", name.id)))
}

/// FW0605
pub(super) fn left_off(procedure: &Procedure, part: PartId, span: Span, end: Span) -> Finding {
    let name = &procedure.parts[part].name;
    Finding::new(
        Code::FW0605,
        format!("`{}` is removed and neither refitted, discarded nor kept for the owner", name.id),
        span,
        "removed here",
    )
    .also(end, "handed over here")
    .because("The vehicle leaves without it, and it stays on the bench.")
    .repair(format!("Write `refit {0}`, `discard {0}` or `keep {0} for owner` on every path to the handover.", name.id))
    .mend(
        [("refit", ""), ("discard", ""), ("keep", " for owner")]
            .map(|(word, whose)| Mend::in_step_before(end, format!("{word} {}{whose}", name.id))),
    )
}

/// FW0605: what came off was to serve in another joint.
pub(super) fn not_used_again(procedure: &Procedure, part: PartId, span: Span, end: Span) -> Finding {
    let name = &procedure.parts[part].name;
    Finding::new(
        Code::FW0605,
        format!("more `{}` are to serve again than joints get", name.id),
        span,
        "they lie ready from here on",
    )
    .also(end, "handed over here")
    .because("No joint is put together with all of them, and they stay on the bench.")
    .repair(format!("`place` the joint that they serve in, on every path to the handover; or `discard {0}` or `keep {0} for owner` what is left.", name.id))
}

/// FW0805: the job stops while parts of the vehicle are in hand.
pub(super) fn stops_without(procedure: &Procedure, part: PartId, span: Span, last: Span) -> Finding {
    let name = &procedure.parts[part].name;
    Finding::new(
                    Code::FW0805,
                    format!("at this stop `{}` can be left off the vehicle", name.id),
                    span,
                    "the job stops here",
                )
                .also(last, "taken off here")
                .mend(Mend::blanks("Put it back in a step before", Change::Before(span, put_back(&name.id, "refit", &name.id))))
                .because("The vehicle stands without it, and nobody who reads the stop knows that it came off.")
                .repair(format!(
                    "Put it back before the stop: `refit {0}`. Or say in the stop what is off, and accept it: `accept FW0805 \"the stop says so\"`.",
                    name.id
                ))
}

/// A step with one line, to be given its title.
fn put_back(name: &str, word: &str, what: &str) -> String {
    let plain = name.replace([' ', '.'], "-");
    format!("step put-back-{plain} \"…\" {{\n  {word} {what}\n}}")
}

/// FW0716: a nylon insert that is run onto a thread for the second time.
pub(super) fn insert_again(nut: &Part, at: Span) -> Finding {
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
        "Write `discard` for the old ones and `take` for new ones before this line; or accept this with the reason, and tell \
         the technician to check that no `{}` turns by hand.",
        nut.name.id
    ))
}
