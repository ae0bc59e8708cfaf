//! Joints.

use super::Resolver;
use super::amounts::Place;
use super::names::nearest_value;
use super::scope::{Target, Wanted};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    AtPoint, Counted, FastenerKind, HoleEnd, Joint, Loosening, LooseningOrder, PartId, Pattern, PatternOrder, Stud,
    TappedHole, TappedMetal, ThreadCondition, Tightness, UnknownValue,
};
use crate::parse::tree::{self, JointLine, Name};
use crate::quantity::Kind;
use crate::source::Span;

/// The conditions of a thread, as written.
pub(super) const CONDITIONS: &[(&str, ThreadCondition)] = &[
    ("dry", ThreadCondition::Dry),
    ("plated", ThreadCondition::Plated),
    ("oiled", ThreadCondition::Oiled),
    ("waxed", ThreadCondition::Waxed),
    ("anti-seize", ThreadCondition::AntiSeize),
    ("thread-locker", ThreadCondition::ThreadLocker),
];

/// The metals of tapped holes, as written.
pub(super) const METALS: &[(&str, TappedMetal)] =
    &[("steel", TappedMetal::Steel), ("cast-iron", TappedMetal::CastIron), ("aluminium", TappedMetal::Aluminium)];

/// The orders of tightening, as written.
pub(super) const ORDERS: &[(&str, PatternOrder)] =
    &[("cross", PatternOrder::Cross), ("centre-out", PatternOrder::CentreOut), ("in-turn", PatternOrder::InTurn)];

/// The orders of loosening, as written.
pub(super) const LOOSENING: &[(&str, LooseningOrder)] =
    &[("cross", LooseningOrder::Cross), ("outside-in", LooseningOrder::OutsideIn), ("in-turn", LooseningOrder::InTurn)];

/// More stages than anyone tightens in.
const MOST_STAGES: u32 = 5;

impl<'t> Resolver<'t> {
    pub(super) fn joint(&mut self, joint: &'t tree::Declared<JointLine>, library: bool, span: Span) -> Option<Target> {
        let name = self.naming(&joint.name, joint.title.as_ref(), library);
        let (mut each, mut count, mut tightness, mut thread, mut grip) = (Vec::new(), Some(1), None, None, None);
        let (mut into, mut pilot, mut onto, mut pattern, mut stages) = (None, None, None, None, Vec::new());
        let (mut on_vehicle, mut backed_off, mut tightness_written, mut unknown) = (false, false, false, Vec::new());
        let mut counted = true;
        let (mut at, mut joins, mut loosened, mut again) = (Vec::new(), Vec::new(), None, None);
        for item in &joint.lines {
            self.accepts_unless(library, item);
            match &item.node {
                JointLine::Each(entries) => each.extend(self.much_of_parts(entries, Place::Joint)),
                JointLine::Count(number) => count = self.count(Some(number)),
                JointLine::Torque(written) => {
                    tightness_written = true;
                    if let Some((torque, made)) = self.stages(written) {
                        (tightness, stages) = (Some(torque), made);
                    }
                }
                JointLine::Tight(text, written) => {
                    tightness_written = true;
                    if let Some(made) = self.stages_after(text.span, written) {
                        (tightness, stages) = (Some(Tightness::Seen(text.value.clone(), text.span)), made);
                    }
                }
                JointLine::Thread(word) => thread = self.thread_condition(word).or(thread),
                JointLine::Grip(measure) => grip = self.single_quantity(measure, &[Kind::Length]).or(grip),
                JointLine::Into { metal, depth, .. } if metal.text == "hole" => {
                    let hole = self.single_quantity(depth, &[Kind::Length]);
                    pilot = hole.map(|hole| (hole, item.span)).or(pilot);
                }
                JointLine::Into { metal, depth, end } => {
                    into = self.tapped_hole(metal, depth, end.as_ref(), item.span).or(into);
                }
                JointLine::Onto { thread, grade } => onto = self.stud(thread, grade.as_ref(), item.span).or(onto),
                JointLine::Pattern { order, stages, open } => {
                    let made = self.tightening_order(order, stages.as_ref(), item.span);
                    pattern = made.map(|made| Pattern { open: *open, ..made }).or(pattern);
                }
                JointLine::Loosened { order, stages, open, by } => {
                    let made = self.loosening(order, stages.as_ref(), by.as_ref(), item.span);
                    loosened = made.map(|made| Loosening { open: *open, ..made }).or(loosened);
                }
                JointLine::Again(dues) => again = self.again(dues, item.span).or(again),
                JointLine::OnVehicle => on_vehicle = true,
                JointLine::BackedOff => backed_off = true,
                JointLine::Unknown { what, why } => {
                    let value = self.unknown_value(what, why, item.span);
                    if let Some(torque) = value.as_ref().filter(|value| value.what == UnknownValue::Torque) {
                        tightness_written = true;
                        tightness = Some(Tightness::Unknown(torque.why.clone(), item.span));
                    }
                    counted &= value.as_ref().is_none_or(|value| value.what != UnknownValue::Count);
                    unknown.extend(value);
                }
                JointLine::At { points, circuit } => at.extend(self.points_held(points, circuit, item.span)),
                JointLine::Joins(names) => joins.extend(self.joined(names)),
            }
        }
        self.one_bolt(&each, onto.as_ref());
        self.staged_once(&stages, pattern.as_ref(), backed_off.then_some(joint.name.span));
        let when = self.optional_cond(joint.when.as_ref())?;
        if !tightness_written {
            // Reported with the other things that a joint must say, when the text was read.
            return None;
        }
        let row = Joint {
            name,
            when,
            each,
            count: if counted { Some(count?) } else { None },
            tightness: tightness?,
            stages,
            thread,
            grip,
            into,
            pilot,
            onto,
            pattern,
            loosened,
            again,
            on_vehicle,
            backed_off,
            unknown,
            at,
            joins,
            span,
        };
        Some(Target::Joint(self.procedure.joints.push(row)))
    }

    /// The points whose lugs a joint holds.
    fn points_held(&mut self, points: &'t [Name], circuit: &'t Name, span: Span) -> Vec<AtPoint> {
        let Some(Target::Circuit(circuit)) = self.find(circuit, Wanted::Circuit) else { return Vec::new() };
        let points = self.points(circuit, points, true).unwrap_or_default();
        points.into_iter().map(|point| AtPoint { circuit, point, span }).collect()
    }

    /// The parts that a joint clamps together.
    fn joined(&mut self, names: &'t [Name]) -> Vec<(PartId, Span)> {
        let part = |name: &'t Name| match self.find(name, Wanted::Part) {
            Some(Target::Part(part)) => Some((part, name.span)),
            _ => None,
        };
        names.iter().filter_map(part).collect()
    }

    /// A nut goes onto a bolt of the joint, or onto a stud that is there already.
    fn one_bolt(&mut self, each: &[Counted<PartId>], onto: Option<&Stud>) {
        let Some(stud) = onto else { return };
        let is_bolt = |part: PartId| {
            let fastener = self.procedure.parts[part].fastener.as_ref();
            fastener.is_some_and(|fastener| !matches!(fastener.kind, FastenerKind::Nut | FastenerKind::Washer))
        };
        if let Some(bolt) = each.iter().find(|entry| is_bolt(entry.what)) {
            let finding = Finding::new(
                Code::FW0113,
                "this joint has a bolt of its own and a stud that is there already",
                stud.span,
                "a second thread for the same nut",
            );
            self.report(
                finding.also(bolt.span, "the bolt").repair("Take the bolt out of `each`, or take this line out."),
            );
        }
    }

    fn thread_condition(&mut self, word: &Name) -> Option<ThreadCondition> {
        let why = "The same torque clamps half as hard again on an oiled thread as on a dry one.";
        self.one_of(word, CONDITIONS, "a condition of a thread", "thread", why)
    }

    fn tapped_hole(
        &mut self,
        metal: &Name,
        depth: &tree::Measure,
        end: Option<&Name>,
        span: Span,
    ) -> Option<TappedHole> {
        let why = "Soft metal needs more thread to hold the same bolt.";
        let metal = self.one_of(metal, METALS, "a metal that tapped holes are known for", "into", why)?;
        let end = end.map(|end| if end.text == "blind" { HoleEnd::Blind } else { HoleEnd::Through });
        Some(TappedHole { metal, depth: self.single_quantity(depth, &[Kind::Length])?, end, span })
    }

    fn stud(&mut self, thread: &Name, grade: Option<&Name>, span: Span) -> Option<Stud> {
        let thread = self.thread(thread)?;
        let grade = match grade {
            Some(name) => Some(self.grade(&name.text, name)?),
            None => None,
        };
        Some(Stud { thread, grade, span })
    }

    fn tightening_order(&mut self, order: &Name, stages: Option<&tree::Number>, span: Span) -> Option<Pattern> {
        let why = "The order decides whether the parts come down evenly.";
        let order = self.one_of(order, ORDERS, "an order of tightening", "pattern", why)?;
        let rounds = self.rounds(stages, "pattern cross in 2 stages")?;
        Some(Pattern { order, stages: rounds, open: false, span })
    }

    fn loosening(
        &mut self,
        order: &Name,
        stages: Option<&tree::Number>,
        by: Option<&'t tree::Measure>,
        span: Span,
    ) -> Option<Loosening> {
        let why = "The order decides whether the parts come up evenly: what is tightened from the middle outwards is loosened from the outside inwards.";
        let order = self.one_of(order, LOOSENING, "an order of loosening", "loosened", why)?;
        let stages = self.rounds(stages, "loosened cross in 2 stages")?;
        let by = match by {
            Some(angle) => Some(self.angle(angle)?),
            None => None,
        };
        Some(Loosening { order, stages, open: false, by, span })
    }

    /// Over how many stages all fastenings are gone.
    fn rounds(&mut self, stages: Option<&tree::Number>, example: &str) -> Option<u32> {
        let rounds = self.count(stages)?;
        if let Some(stages) = stages.filter(|_| rounds > MOST_STAGES) {
            self.report(
                Finding::new(
                    Code::FW0309,
                    format!("{rounds} stages are more than anyone goes over fastenings in"),
                    stages.span,
                    format!("at most {MOST_STAGES}"),
                )
                .repair(format!("Write the number of stages over all fastenings: `{example}`.")),
            );
            return None;
        }
        Some(rounds)
    }

    /// One of a few words; says which there are where it is none of them.
    fn one_of<T: Copy>(&mut self, word: &Name, known: &[(&str, T)], what: &str, line: &str, why: &str) -> Option<T> {
        if let Some((_, value)) = known.iter().find(|(text, _)| *text == word.text) {
            return Some(*value);
        }
        let finding =
            Finding::new(Code::FW0208, format!("`{}` is not {what}", word.text), word.span, "not known").because(why);
        let finding = match nearest_value(&word.text, known.iter().map(|(text, _)| *text)) {
            Some(near) => finding.repair(format!("Write `{line} {near}`.")),
            None => {
                let all: Vec<String> = known.iter().map(|(text, _)| format!("`{text}`")).collect();
                let (last, others) = all.split_last()?;
                finding.repair(format!("Write {} or {last}.", others.join(", ")))
            }
        };
        self.report(finding);
        None
    }
}
