//! FW07: torques, judged by the working of each joint.
//!
//! Nothing is computed here: the numbers are those of [`Plan::joint`](crate::plan::Plan::joint), which `explain` shows line by line.

use super::advice;
use super::proof::Proof;
use super::words::capital;
use crate::diagnostics::{Change, Code, Confidence, Finding, Mend};
use crate::model::{IdMap, Joint, JointId, LineKind, Procedure, ThreadCondition};
use crate::quantity::Measure;
use crate::source::Span;
use crate::trade::fasteners::{LEAST_SHARE, PERMANENT_SHARE};
use crate::working::joint::{Assembly, Figures, JointWorking, Missing, summary};
use std::cmp::Ordering;

/// From so many fastenings on, the order of tightening matters. Common practice.
const MANY: u32 = 4;

pub(super) fn check(proof: &mut Proof<'_>) {
    let procedure = proof.procedure;
    proof.findings.extend(unused_orders(procedure));
    proof.findings.extend(procedure.joints.rows().iter().filter_map(not_twice));
    let turned = tightened(procedure);
    for (id, joint) in procedure.joints.iter() {
        let Some((torque, said)) = joint.greatest_torque() else { continue };
        let worked = proof.plan.joint_judged(id);
        let each = std::iter::once(worked).chain(&worked.others);
        for (assembly, worked) in Assembly::each(procedure, joint).iter().zip(each) {
            let place = Place { joint, said, torque, bolt: assembly.bolt.as_ref().map(|bolt| bolt.span) };
            let about_strength = worked.figures.as_ref().and_then(|figures| strength(procedure, &place, figures));
            proof.findings.extend(about_strength);
            // What is missing argues from absence, and what nobody turns needs no words about turning it.
            if procedure.complete && turned[id] {
                proof.findings.extend(cannot_judge(&place, assembly, worked));
                proof.findings.extend(galling(&place, assembly));
                proof.findings.extend(in_any_order(&place, assembly));
            }
        }
    }
}

/// Which joints some step tightens.
fn tightened(procedure: &Procedure) -> IdMap<JointId, bool> {
    let mut turned = procedure.joints.each(false);
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        if let LineKind::Tighten(joint, _) = &line.kind {
            turned[*joint] = true;
        }
    }
    turned
}

/// Where a torque stands and what it belongs to.
struct Place<'p> {
    joint: &'p Joint,
    said: Span,
    torque: &'p Measure,
    bolt: Option<Span>,
}

impl Place<'_> {
    fn name(&self) -> &str {
        &self.joint.name.id
    }

    fn finding(&self, code: Code, message: String, label: impl Into<String>) -> Finding {
        Finding::new(code, message, self.said, label).holding(self.torque.source_form())
    }

    /// Adds where the bolt is named.
    fn with_bolt(&self, finding: Finding, words: impl Into<String>) -> Finding {
        match self.bolt {
            Some(span) => finding.also(span, words),
            None => finding.also(self.joint.name.span, words),
        }
    }
}

/// Where the whole calculation is shown.
fn shown(joint: &Joint) -> String {
    format!("`fitwright explain FILE {}` shows the calculation.", joint.name.id)
}

/// FW0705, FW0706, FW0707: the share of the proof load.
fn strength(procedure: &Procedure, place: &Place<'_>, figures: &Figures) -> Option<Finding> {
    let name = place.name();
    let (low, high) = (place.torque.low()?, place.torque.high()?);
    let share = (figures.usual_high() * 100.0).round();
    // No publication gives the friction of a thread with locker: what is only assumed makes no error.
    let is_assumed = place.joint.thread == Some(ThreadCondition::ThreadLocker);
    let beyond = |label: String| Verdict {
        code: Code::FW0705,
        message: format!("the torque of `{name}` is above what its bolt bears"),
        label,
        why: "Beyond the proof load a bolt stretches for good; it breaks at once, or later on the road.",
        repair: "or name a stronger bolt",
    };
    let verdict = if figures.kindest() > 1.0 {
        beyond(format!("{high} is too much even on the roughest thread"))
    } else if place.joint.thread.is_none() {
        // Friction is not stated, so the usual one means nothing; FW0708 says that.
        return None;
    } else if figures.usual_high() > 1.0 && !is_assumed {
        beyond(format!("{high} brings it to {share} % of proof at the usual friction"))
    } else if figures.usual_high() > PERMANENT_SHARE {
        Verdict {
            code: Code::FW0706,
            message: format!("the torque of `{name}` brings its bolt to {share} % of its proof load"),
            label: format!("{high} is above 90 % of proof at the usual friction"),
            why: "A thread that is smoother than usual takes it beyond.",
            repair: "or name a stronger bolt",
        }
    } else if figures.usual_low() < LEAST_SHARE && place.joint.is_left_at_greatest() {
        Verdict {
            code: Code::FW0707,
            message: format!("the torque of `{name}` hardly stretches its bolt"),
            label: format!("{low} is below 30 % of proof at the usual friction"),
            why: "A bolt that is hardly stretched works loose on the road.",
            repair: "or name a thinner or weaker bolt; where the parts bear no more, accept this with the reason",
        }
    } else {
        return None;
    };
    Some(verdict.finding(procedure, place, figures))
}

/// What to write instead: a torque of which no rule here has a word to say.
fn advised(place: &Place<'_>, figures: &Figures, or_else: &str) -> String {
    let none_serves = figures.doubted.is_some_and(|(least, most)| least.compare(&most) == Some(Ordering::Greater));
    if none_serves {
        return "No torque serves this bolt with a new insert and with a worn one: name a stronger bolt, or a nut without an \
                insert."
            .to_owned();
    }
    match advice::torque(place.torque, figures) {
        Some(torque) if !place.joint.stages.is_empty() => format!("Write `{torque}` for this stage, {or_else}."),
        Some(torque) => format!("Write `torque {torque}`, {or_else}."),
        None => format!("Write a torque with a narrower tolerance, {or_else}."),
    }
}

/// What is said of a share.
struct Verdict {
    code: Code,
    message: String,
    label: String,
    why: &'static str,
    /// What else may be done.
    repair: &'static str,
}

impl Verdict {
    fn finding(self, procedure: &Procedure, place: &Place<'_>, figures: &Figures) -> Finding {
        let advice = advised(place, figures, self.repair);
        let finding = place.finding(self.code, self.message, self.label);
        place
            .with_bolt(finding, "this is what it turns")
            .because(format!("{} {}", summary(procedure, place.joint, figures), self.why))
            .repair(format!("{advice} {}", shown(place.joint)))
    }
}

/// FW0708: what must be stated before a torque can be judged.
fn cannot_judge(place: &Place<'_>, assembly: &Assembly<'_>, worked: &JointWorking) -> Option<Finding> {
    let (lacks, write): (Vec<String>, Vec<String>) =
        worked.missing.iter().map(|missing| lack(*missing, assembly)).unzip();
    let is = match lacks.len() {
        0 => return None,
        1 => "is",
        _ => "are",
    };
    let message = format!("the torque of `{}` cannot be judged: {} {is} not stated", place.name(), joined(&lacks));
    let why = "The same torque holds one bolt, breaks another, and clamps twice as hard on a waxed thread as on a dry one. \
               What is not stated is not checked.";
    let lines: Vec<&str> = unknown_lines(&worked.missing);
    let known: Vec<String> = lines.iter().map(|line| format!("`{line} unknown \"why\"`")).collect();
    let unknown = match lines.is_empty() {
        false => format!("say so in the joint: {}", joined(&known)),
        true => "accept this with the reason, such as whose torque it is".to_owned(),
    };
    let repair = format!("{}. Where nobody knows it, {unknown}.", capital(&write.join("; ")));
    // Only where nothing else lacks does saying so settle it.
    let all = worked.missing.iter().all(|missing| unknown_line(*missing).is_some());
    let mend = lines.split_first().filter(|_| all).map(|(first, more)| {
        let at = place.joint.name.span;
        let line = |word: &str| format!("{word} unknown \"…\"");
        let mend = Mend { confidence: Confidence::Blanks, ..Mend::inside(at, line(first)) };
        more.iter().fold(mend, |mend, word| mend.and(Change::Inside(at, line(word))))
    });
    let finding = place.finding(Code::FW0708, message, "too much, enough, or too little?").because(why).repair(repair);
    Some(finding.mend(mend))
}

/// The line of a joint that says that nobody knows it.
fn unknown_line(missing: Missing) -> Option<&'static str> {
    match missing {
        Missing::Condition => Some("thread"),
        Missing::Grade | Missing::NutGrade => Some("class"),
        Missing::Size | Missing::Stud | Missing::Stress | Missing::Bounds | Missing::Sense => None,
    }
}

/// The same of all that lacks, each once.
fn unknown_lines(missing: &[Missing]) -> Vec<&'static str> {
    let mut lines: Vec<&str> = missing.iter().filter_map(|missing| unknown_line(*missing)).collect();
    lines.sort_unstable();
    lines.dedup();
    lines
}

/// What lacks, and what to write.
fn lack(missing: Missing, assembly: &Assembly<'_>) -> (String, String) {
    let word = assembly.bolt.as_ref().map_or("bolt", |bolt| bolt.word);
    let there_already = assembly.bolt.as_ref().is_some_and(|bolt| !bolt.is_part);
    let thread = assembly.thread().map_or("M8", |thread| thread.id.as_str());
    let class = class_of(assembly);
    let (lacks, write) = match missing {
        Missing::Size => (
            "which thread it is".to_owned(),
            "give the bolt its standard form, `part NAME bolt M8 x 30 mm, class 8.8, hex head`".to_owned(),
        ),
        Missing::Stud => (
            "what the nut goes onto".to_owned(),
            format!("write `onto stud {thread}, {class}` in the joint, or list the bolt in `each`"),
        ),
        Missing::Grade if there_already => {
            (format!("the class of the {word}"), format!("write `onto stud {thread}, {class}`"))
        }
        Missing::Grade => (format!("the class of the {word}"), format!("add `{class}` to its part")),
        Missing::Stress => (
            format!("the proof stress of this class at {thread}"),
            "add it to the `grade` row of a library of yours".to_owned(),
        ),
        Missing::Bounds => {
            ("one end of the torque".to_owned(), "write it with its tolerance, `22 N.m +- 2 N.m`".to_owned())
        }
        Missing::Condition => (
            "the condition of the thread".to_owned(),
            "write `thread dry`, `plated`, `oiled`, `waxed`, `anti-seize` or `thread-locker` in the joint".to_owned(),
        ),
        Missing::Sense => (
            "a torque and a thread that give a preload".to_owned(),
            "check the torque, and the rows of its thread and class".to_owned(),
        ),
        Missing::NutGrade => ("the class of the nut".to_owned(), format!("add `{}` to its part", nut_class(assembly))),
    };
    (lacks, write)
}

fn class_of(assembly: &Assembly<'_>) -> &'static str {
    if is_inch(assembly) { "grade 5" } else { "class 8.8" }
}

fn nut_class(assembly: &Assembly<'_>) -> &'static str {
    if is_inch(assembly) { "grade 5" } else { "class 8" }
}

fn is_inch(assembly: &Assembly<'_>) -> bool {
    let system = assembly.thread().and_then(|thread| thread.diameter.unit.system());
    system == Some(crate::quantity::System::Inch)
}

fn joined(parts: &[String]) -> String {
    match parts.split_last() {
        Some((last, others)) if !others.is_empty() => format!("{} and {last}", others.join(", ")),
        Some((only, _)) => only.clone(),
        None => String::new(),
    }
}

/// FW0714: stainless on stainless, or on what nobody states, without a lubricant.
fn galling(place: &Place<'_>, assembly: &Assembly<'_>) -> Option<Finding> {
    let bolt = assembly.bolt.as_ref().filter(|bolt| bolt.grade.is_some_and(|grade| grade.is_stainless()))?;
    let other_metal = |grade: Option<&crate::model::Grade>| grade.is_some_and(|grade| !grade.is_stainless());
    let on_other = assembly.nuts.iter().any(|nut| other_metal(nut.fastener.grade.as_ref()));
    let bare = matches!(place.joint.thread, None | Some(ThreadCondition::Dry | ThreadCondition::Plated));
    if !bare || on_other || place.joint.into.is_some() {
        return None;
    }
    Some(
        Finding::new(
            Code::FW0714,
            format!("the stainless {} of `{}` may gall", bolt.word, place.name()),
            bolt.span,
            "stainless steel, and nothing between the threads",
        )
        .also(place.said, "the torque")
        .because(
            "Bare stainless threads weld to each other while they turn: the torque is reached, nothing is clamped, and the \
             bolt comes off only by breaking. Common practice is to grease them.",
        )
        .repair(
            "Write `thread anti-seize` or `thread waxed`, and check the torque for it. Where the other thread is of \
             another metal, say so with `into` or the nut's class, or accept this with the reason.",
        ),
    )
}

/// FW0715: an order for joints of several fastenings.
fn in_any_order(place: &Place<'_>, assembly: &Assembly<'_>) -> Option<Finding> {
    let joint = place.joint;
    let many = joint.count.filter(|count| *count >= MANY && joint.pattern.is_none() && !assembly.tapping)?;
    Some(
        Finding::new(
            Code::FW0715,
            format!("`{}` has {many} fastenings and no order in which to tighten them", place.name()),
            joint.name.span,
            "tightened in any order, each at once",
        )
        .also(place.said, "the torque")
        .because(
            "The first that is brought to its torque pulls the part askew, and loosens again when the others follow. \
             Common practice is crosswise, in two stages.",
        )
        .repair("Write `pattern cross in 2 stages`, `pattern centre-out in 2 stages`, or `pattern in-turn` where each holds a part of its own.")
        .mend(
            ["pattern cross in 2 stages", "pattern centre-out in 2 stages", "pattern in-turn"]
                .map(|line| Mend::inside(joint.name.span, line)),
        ),
    )
}

/// FW0760: an order of loosening, and no line that loosens several fastenings.
fn unused_orders(procedure: &Procedure) -> Vec<Finding> {
    let lines = || procedure.steps.rows().iter().flat_map(|step| &step.lines);
    let opens = |id: JointId| {
        let of_it = |line: &LineKind| matches!(line, LineKind::Loosen(joint, _) | LineKind::RemoveJoint(joint, _) if *joint == id);
        lines().any(|line| of_it(&line.kind))
    };
    let told = |(id, joint): (JointId, &Joint)| {
        let order = joint.loosened.as_ref().filter(|_| procedure.complete && !joint.name.from_library)?;
        let name = &joint.name.id;
        let (message, because) = match (joint.count, opens(id)) {
            (Some(1), _) => {
                (format!("`{name}` is one fastening, which has no order"), "Whoever reads it looks for the others.")
            }
            (_, true) => return None,
            (_, false) => {
                (format!("no line loosens or removes `{name}`"), "Nobody is told this order: it stands in no step.")
            }
        };
        let finding = Finding::new(Code::FW0760, message, order.span, "an order of loosening").because(because);
        let or_say = if joint.count == Some(1) {
            "state the `count` of the joint"
        } else {
            "write `loosen` in the step where it is done"
        };
        Some(
            finding
                .also(joint.name.span, "the joint")
                .mend(Mend::drop(order.span))
                .repair(format!("Take the line out, or {or_say}.")),
        )
    };
    procedure.joints.iter().filter_map(told).collect()
}

/// FW0761: a joint to be tightened again that does not bear it.
fn not_twice(joint: &Joint) -> Option<Finding> {
    let again = joint.again.as_ref()?;
    let by_stages = !joint.stages.is_empty() && !joint.is_left_at_greatest();
    let (because, repair) = if joint.ends_backed_off() {
        (
            "It is left with play on purpose, and tightening takes the play away.",
            "Take the line out; say in a `note` what is looked at instead.",
        )
    } else if by_stages {
        (
            "Its last stage is not its greatest torque: whoever does it again turns it on by the angle once more, or finds it \
             tighter than the torque.",
            "Take the line out, or state one torque to which it is tightened.",
        )
    } else if joint.thread == Some(ThreadCondition::ThreadLocker) {
        (
            "Thread locker has set by then. Turning the bolt breaks the film, and nothing holds it any more. Common practice is \
             to look at a mark of paint, and to clean and lock the thread anew where it has moved.",
            "Take the line out, and say in a `note` what is looked at; or state another condition of the thread.",
        )
    } else {
        return None;
    };
    Some(
        Finding::new(
            Code::FW0761,
            format!("`{}` is not good for being tightened again", joint.name.id),
            again.span,
            "tightened again",
        )
        .also(joint.name.span, "the joint")
        .because(because)
        .repair(repair)
        .mend(Mend::drop(again.span)),
    )
}
