//! FW07: the life of each joint on every path.

use super::lines;
use super::proof::{Proof, Subject};
use crate::diagnostics::{Code, Finding, Mend};
use crate::model::{IdMap, JointId, Line, LineKind, Record, Tightness};
use crate::source::Span;
use crate::space::{Effect, Event, EventId, Formula, Role};

/// What is true of a joint, in which runs.
struct Life {
    /// Its `when` holds.
    exists: Formula,
    in_place: Formula,
    tight: Formula,
    /// Tightened by this job, and not loosened or taken apart since.
    set: Formula,
    /// It was tight at some time, before the job or by it.
    was_tight: Formula,
    /// Not tight because it was loosened after a torque, rather than because it is new in its place.
    loosened: Formula,
    /// Some line has tightened it.
    touched: Formula,
    /// Something was already said of it.
    poisoned: Formula,
    /// It was said that its parts serve only once: a fault of theirs, which hides none of its own.
    spent: Formula,
    /// Where it was put in place, newest last.
    placed: Vec<(Span, Formula)>,
    /// Where it was loosened, newest last.
    loosenings: Vec<(Span, Formula)>,
    /// Where it was tightened, newest last.
    tightenings: Vec<(Span, Formula)>,
}

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    let mut lives = procedure.joints.map(|_, joint| {
        let at_first = if joint.on_vehicle { Formula::ALWAYS } else { Formula::NEVER };
        Life {
            exists: Formula::ALWAYS,
            in_place: at_first,
            tight: at_first,
            set: Formula::NEVER,
            was_tight: at_first,
            loosened: Formula::NEVER,
            touched: Formula::NEVER,
            poisoned: Formula::NEVER,
            spent: Formula::NEVER,
            placed: Vec::new(),
            loosenings: Vec::new(),
            tightenings: Vec::new(),
        }
    });
    let events = proof.events.clone();
    for event in events.iter() {
        match event.effect {
            Effect::Judged { role: Role::Joint(joint), holds, .. } => {
                let life = &mut lives[joint];
                life.exists = holds;
                if procedure.joints[joint].on_vehicle {
                    (life.in_place, life.tight, life.was_tight) = (holds, holds, holds);
                }
            }
            Effect::Place(joint) | Effect::RefitJoint(joint) => placed(proof, event, joint, &mut lives),
            Effect::Snug(joint) => needs_place(proof, event, joint, &mut lives, "run on"),
            Effect::Tighten(joint) => {
                needs_place(proof, event, joint, &mut lives, "tightened");
                tightened_again(proof, event, joint, &mut lives);
                let life = &mut lives[joint];
                life.tight = proof.space.either(life.tight, event.guard);
                life.set = proof.space.either(life.set, event.guard);
                life.was_tight = proof.space.either(life.was_tight, event.guard);
                life.touched = proof.space.either(life.touched, event.guard);
                life.loosened = proof.space.both(life.loosened, !event.guard);
                life.tightenings.push((event.place.span, event.guard));
            }
            Effect::Loosen(joint) => loosened(proof, event, joint, &mut lives),
            Effect::RemoveJoint(joint) => {
                let life = &mut lives[joint];
                life.in_place = proof.space.both(life.in_place, !event.guard);
                life.tight = proof.space.both(life.tight, !event.guard);
                life.set = proof.space.both(life.set, !event.guard);
                life.loosened = proof.space.both(life.loosened, !event.guard);
            }
            Effect::Record(&Record::Torque(joint)) => written_down(proof, event, joint, &mut lives[joint]),
            // A vehicle that is turned away before the first step is as it came.
            Effect::Stop(_) if event.place.section.is_some() => {
                for (joint, life) in lives.iter() {
                    stopped(proof, event, joint, life);
                }
            }
            Effect::Handover(_) => {
                for (joint, life) in lives.iter_mut() {
                    left(proof, event, joint, life);
                    told_again(proof, event, joint, life);
                }
            }
            _ => {}
        }
    }
}

fn placed(proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId, lives: &mut IdMap<JointId, Life>) {
    let life = &mut lives[joint];
    if matches!(event.effect, Effect::Place(_)) {
        let sure = proof.sure(event);
        let broken = proof.space.all([sure, life.in_place, life.exists, !life.poisoned]);
        life.poisoned = proof.space.either(life.poisoned, broken);
        let span = event.place.span;
        let first = life.placed.last().map(|(span, _)| *span);
        proof.oblige((Code::FW0704, span, Subject::Joint(joint)), event.id, broken, move |proof| {
            let name = &proof.procedure.joints[joint].name;
            let finding = Finding::new(
                Code::FW0704,
                format!("`{}` is placed while it is already in place", name.id),
                span,
                "placed again",
            );
            let finding = match first.filter(|first| *first != span) {
                Some(first) => finding.also(first, "already placed here"),
                None => finding.also(name.span, "the joint"),
            };
            finding
                .because("The parts would be taken twice, and there is no second hole for them.")
                .repair("Place it once, or `remove` it before it is placed again.")
                .mend(Mend::drop(span))
        });
    }
    let guard = event.guard;
    life.in_place = proof.space.either(life.in_place, guard);
    life.tight = proof.space.both(life.tight, !guard);
    life.set = proof.space.both(life.set, !guard);
    life.loosened = proof.space.both(life.loosened, !guard);
    life.placed.push((event.place.span, guard));
}

/// FW0701
fn needs_place(
    proof: &mut Proof<'_>,
    event: &Event<'_>,
    joint: JointId,
    lives: &mut IdMap<JointId, Life>,
    done: &'static str,
) {
    let life = &mut lives[joint];
    let sure = proof.sure(event);
    let shown = proof.space.all([sure, !life.in_place, life.exists]);
    let broken = proof.space.both(shown, !life.poisoned);
    life.poisoned = proof.space.either(life.poisoned, broken);
    let span = event.place.span;
    proof.oblige_shown((Code::FW0701, span, Subject::Joint(joint)), event.id, (broken, shown), move |proof| {
        let name = &proof.procedure.joints[joint].name;
        Finding::new(Code::FW0701, format!("`{}` is {done} before it is placed", name.id), span, "nothing is there yet")
            .also(name.span, "the joint")
            .because("The technician is told to turn a bolt that nobody has put in.")
            .repair(format!("Write `place {}` on every path before this line.", name.id))
            .mend(lines::done_before(
                proof.procedure,
                span,
                |kind| matches!(kind, LineKind::Place(other) if *other == joint),
                format!("place {}", name.id),
            ))
    });
}

/// FW0607: what serves only once is tightened, loosened, and tightened again.
fn tightened_again(proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId, lives: &mut IdMap<JointId, Life>) {
    let once = proof.procedure.joints[joint].each.iter().map(|entry| entry.what);
    let Some(part) = once.into_iter().find(|part| proof.procedure.parts[*part].single_use) else { return };
    let life = &mut lives[joint];
    let sure = proof.sure(event);
    let told = proof.space.either(life.poisoned, life.spent);
    let broken = proof.space.all([sure, life.in_place, life.loosened, life.exists, !told]);
    life.spent = proof.space.either(life.spent, broken);
    let span = event.place.span;
    let last = life.loosenings.last().map(|(span, _)| *span);
    proof.oblige((Code::FW0607, span, Subject::Part(part)), event.id, broken, move |proof| {
        let (name, joint) = (&proof.procedure.parts[part].name, &proof.procedure.joints[joint].name);
        let finding = Finding::new(
            Code::FW0607,
            format!("`{}` serves only once, and is tightened again", name.id),
            span,
            "tightened again here",
        )
        .also(name.span, "declared `single use`");
        let finding = match last {
            Some(last) => finding.also(last, "loosened here"),
            None => finding,
        };
        finding
            .because("What was stretched or deformed once no longer holds as it did.")
            .repair(format!(
                "Write `remove {0} with …`, `discard` for the old ones and `take` for new ones, and `refit {0}` before this line.",
                joint.id
            ))
    });
}

fn loosened(proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId, lives: &mut IdMap<JointId, Life>) {
    needs_place(proof, event, joint, lives, "loosened");
    let life = &mut lives[joint];
    let was_tight = proof.space.both(event.guard, life.tight);
    life.loosened = proof.space.either(life.loosened, was_tight);
    life.tight = proof.space.both(life.tight, !event.guard);
    life.set = proof.space.both(life.set, !event.guard);
    life.loosenings.push((event.place.span, event.guard));
}

/// FW0421: the torque is written down where no line has set one. A line of the same step serves.
fn written_down<'p>(proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId, life: &mut Life) {
    let row = &proof.procedure.joints[joint];
    let has_torque = matches!(row.tightness, Tightness::Torque(..));
    let lines = event.place.step.map_or(&[] as &[Line], |step| &proof.procedure.steps[step].lines);
    let here = lines.iter().any(|line| matches!(line.kind, LineKind::Tighten(other, _) if other == joint));
    let counted = row.count.is_some();
    let set = match (has_torque && counted, here) {
        (false, _) => Formula::NEVER,
        (true, true) => Formula::ALWAYS,
        (true, false) => life.set,
    };
    let sure = proof.sure(event);
    // That a joint has no torque to write down follows from nothing that went wrong before.
    let told = if has_torque && counted { life.poisoned } else { Formula::NEVER };
    let broken = proof.space.all([sure, !set, life.exists, !told]);
    life.poisoned = proof.space.either(life.poisoned, broken);
    let span = event.place.span;
    proof.oblige((Code::FW0421, span, Subject::Joint(joint)), event.id, broken, move |proof| {
        let name = &proof.procedure.joints[joint].name;
        let (goal, said) = goal(proof, joint);
        let (message, repair) = if has_torque && !counted {
            (
                format!(
                    "the torque of each fastening of `{}` is written down, and nobody says how many there are",
                    name.id
                ),
                "State the `count` of the joint, or write `record \"…\"` with what is to be seen at each.".to_owned(),
            )
        } else if has_torque {
            (
                format!("the torque of `{}` is written down where nobody has set it", name.id),
                format!("Write `tighten {} with …` on every path before this line.", name.id),
            )
        } else {
            (
                format!("the torque of `{}` is written down, and it has none", name.id),
                "Give it one with `torque …` in the joint, or write `record \"…\"` with what is to be seen.".to_owned(),
            )
        };
        Finding::new(Code::FW0421, message, span, "nothing to write down")
            .also(said, format!("its goal is {goal}"))
            .because("The record asks for a value that nobody has; whoever fills it in makes one up.")
            .repair(repair)
    });
}

/// FW0805: the job stops while a joint that was tight is not. What this job was about to fit is another matter: whoever
/// stops knows that it is not done.
fn stopped<'p>(proof: &mut Proof<'p>, event: &Event<'p>, joint: JointId, life: &Life) {
    // Of most joints this is plain before anything else is looked at, and there are as many as stops.
    let undone = proof.space.both(life.was_tight, !life.tight);
    if undone == Formula::NEVER {
        return;
    }
    let sure = proof.sure(event);
    let loose = proof.space.all([sure, life.in_place, undone, life.exists, !life.poisoned]);
    let span = event.place.span;
    let last = life.loosenings.iter().chain(&life.placed).map(|(span, _)| *span).max();
    proof.oblige((Code::FW0805, span, Subject::Joint(joint)), event.id, loose, move |proof| {
        let name = &proof.procedure.joints[joint].name;
        let finding = Finding::new(
            Code::FW0805,
            format!("at this stop `{}`, which was tight, can be left loose", name.id),
            span,
            "the job stops here",
        );
        let finding = match last {
            Some(last) => finding.also(last, "not tight from here on"),
            None => finding.also(name.span, "the joint"),
        };
        finding
            .because("Whoever drives the vehicle away believes that what hangs on these bolts is fast.")
            .repair("Tighten it, or take it off, before the stop. Or say in the stop what must be done before the vehicle moves, and accept it: `accept FW0805 \"the stop says so\"`.")
    });
}

/// FW0762: the handover tells to tighten again what is not there on the way that was taken.
fn told_again(proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId, life: &Life) {
    let Some(again) = &proof.procedure.joints[joint].again else { return };
    let (sure, span) = (proof.sure(event), again.span);
    let missing = proof.space.all([sure, life.exists, !life.in_place, !life.poisoned]);
    proof.oblige((Code::FW0762, span, Subject::Joint(joint)), event.id, missing, move |proof| {
        let name = &proof.procedure.joints[joint].name;
        Finding::new(
            Code::FW0762,
            format!("`{}` is to be tightened again, and the vehicle can leave without it", name.id),
            span,
            "told at every handover",
        )
        .also(name.span, "the joint")
        .because("Whoever is told looks for bolts that are not there, or for what is missing.")
        .repair(format!(
            "Write `when …` behind the title of `{}`, with the condition under which it is placed.",
            name.id
        ))
    });
}

/// FW0702, FW0703 and FW0717: what is in place at the handover must be tight, or backed off where it says so. The finding
/// stands at the line that made it so.
fn left(proof: &mut Proof<'_>, event: &Event<'_>, joint: JointId, life: &mut Life) {
    let sure = proof.sure(event);
    let loose = proof.space.all([sure, life.in_place, !life.tight, life.exists, !life.poisoned]);
    life.poisoned = proof.space.either(life.poisoned, loose);
    let never = proof.space.both(loose, !life.loosened);
    let again = proof.space.both(loose, life.loosened);
    if proof.procedure.joints[joint].backed_off {
        let tight = proof.space.all([sure, life.in_place, life.tight, life.touched, life.exists, !life.poisoned]);
        life.poisoned = proof.space.either(life.poisoned, tight);
        by_last(proof, event.id, tight, &life.tightenings, |proof, at, broken, span| {
            proof.oblige((Code::FW0717, span, Subject::Joint(joint)), at, broken, move |proof| {
                left_tight(proof, joint, span)
            });
        });
    }
    by_last(proof, event.id, never, &life.placed, |proof, at, broken, span| {
        proof.oblige((Code::FW0702, span, Subject::Joint(joint)), at, broken, move |proof| {
            never_torqued(proof, joint, span)
        });
    });
    // To be loose at the end is what it is there for.
    let again = if proof.procedure.joints[joint].backed_off { Formula::NEVER } else { again };
    by_last(proof, event.id, again, &life.loosenings, |proof, at, broken, span| {
        proof.oblige((Code::FW0703, span, Subject::Joint(joint)), at, broken, move |proof| {
            loosened_last(proof, joint, span)
        });
    });
}

/// Deals runs out to the newest line that happened in each.
fn by_last<'p>(
    proof: &mut Proof<'p>,
    at: EventId,
    runs: Formula,
    lines: &[(Span, Formula)],
    mut file: impl FnMut(&mut Proof<'p>, EventId, Formula, Span),
) {
    let mut rest = runs;
    // A line of a repair comes once a round: together, so that the case may be one with few rounds.
    let mut last: Vec<(Span, Formula)> = Vec::new();
    for (span, guard) in lines.iter().rev() {
        if rest == Formula::NEVER {
            break;
        }
        let here = proof.space.both(rest, *guard);
        match last.iter_mut().find(|(line, _)| line == span) {
            Some((_, broken)) => *broken = proof.space.either(*broken, here),
            None => last.push((*span, here)),
        }
        rest = proof.space.both(rest, !*guard);
    }
    for (span, broken) in last {
        file(proof, at, broken, span);
    }
}

fn goal(proof: &Proof<'_>, joint: JointId) -> (String, Span) {
    match &proof.procedure.joints[joint].tightness {
        Tightness::Torque(torque, span) => (torque.source_form(), *span),
        Tightness::Seen(seen, span) => (seen.clone(), *span),
        Tightness::Unknown(_, span) => ("not stated".to_owned(), *span),
    }
}

fn never_torqued(proof: &Proof<'_>, joint: JointId, span: Span) -> Finding {
    let name = &proof.procedure.joints[joint].name;
    let (goal, said) = goal(proof, joint);
    Finding::new(Code::FW0702, format!("`{}` is put in place and never tightened", name.id), span, "put in place here")
        .also(said, format!("its goal is {goal}"))
        .because("The vehicle leaves with bolts that are only run on finger-tight.")
        .repair(format!("Write `tighten {} with …` on every path from here to the handover.", name.id))
}

fn loosened_last(proof: &Proof<'_>, joint: JointId, span: Span) -> Finding {
    let name = &proof.procedure.joints[joint].name;
    let (goal, said) = goal(proof, joint);
    Finding::new(Code::FW0703, format!("`{}` is loosened and not tightened again", name.id), span, "loosened here")
        .also(said, format!("its goal is {goal}"))
        .because("Everyone believes it tight, because it was torqued before.")
        .repair(format!(
            "Write `tighten {} with …` after it, on every path to the handover. Where it is meant to stay so, as the nut of a \
             bearing is, write `backed off` in the joint.",
            name.id
        ))
        .mend(lines::again_after(proof.procedure, span, |kind| {
            matches!(kind, LineKind::Tighten(other, _) if *other == joint)
        }))
}

fn left_tight(proof: &Proof<'_>, joint: JointId, span: Span) -> Finding {
    let name = &proof.procedure.joints[joint].name;
    let (goal, said) = goal(proof, joint);
    Finding::new(
        Code::FW0717,
        format!("`{}` is left at its torque and not backed off", name.id),
        span,
        "tightened here",
    )
    .also(said, format!("it seats at {goal}"))
    .also(name.span, "`backed off`")
    .because("The torque seats the bearing; left at it, the bearing runs hot, seizes, and can cost the wheel.")
    .repair(format!(
        "Write `loosen {} with …` after it, on every path to the handover, and say in prose how far.",
        name.id
    ))
}
