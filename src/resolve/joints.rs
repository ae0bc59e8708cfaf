//! Joints.

use super::Resolver;
use super::names::nearest_value;
use super::scope::Target;
use crate::diagnostics::{Code, Finding};
use crate::model::{Joint, ThreadCondition, Tightness};
use crate::parse::tree::{self, JointLine, Name};
use crate::quantity::Kind;
use crate::source::Span;

/// The conditions of a thread, as written.
const CONDITIONS: &[(&str, ThreadCondition)] = &[
    ("dry", ThreadCondition::Dry),
    ("plated", ThreadCondition::Plated),
    ("oiled", ThreadCondition::Oiled),
    ("waxed", ThreadCondition::Waxed),
    ("anti-seize", ThreadCondition::AntiSeize),
    ("thread-locker", ThreadCondition::ThreadLocker),
];

impl<'t> Resolver<'t> {
    pub(super) fn joint(&mut self, joint: &'t tree::Declared<JointLine>, library: bool, span: Span) -> Option<Target> {
        let name = self.naming(&joint.name, joint.title.as_ref(), library);
        let (mut each, mut count, mut tightness, mut thread, mut grip) = (Vec::new(), Some(1), None, None, None);
        let (mut on_vehicle, mut tightness_written) = (false, false);
        for item in &joint.lines {
            self.accepts_unless(library, item);
            match &item.node {
                JointLine::Each(entries) => each.extend(self.counted_parts(entries)),
                JointLine::Count(number) => count = self.count(Some(number)),
                JointLine::Torque(measure) => {
                    tightness_written = true;
                    let torque =
                        self.measure(measure, &[Kind::Torque]).map(|torque| Tightness::Torque(torque, measure.span));
                    tightness = torque.or(tightness);
                }
                JointLine::Tight(text) => {
                    tightness_written = true;
                    tightness = Some(Tightness::Seen(text.value.clone(), text.span));
                }
                JointLine::Thread(word) => thread = self.thread_condition(word).or(thread),
                JointLine::Grip(measure) => grip = self.single_quantity(measure, &[Kind::Length]).or(grip),
                JointLine::OnVehicle => on_vehicle = true,
            }
        }
        let when = self.optional_cond(joint.when.as_ref())?;
        if !tightness_written {
            // Reported with the other things that a joint must say, when the text was read.
            return None;
        }
        let row = Joint { name, when, each, count: count?, tightness: tightness?, thread, grip, on_vehicle, span };
        Some(Target::Joint(self.procedure.joints.push(row)))
    }

    fn thread_condition(&mut self, word: &Name) -> Option<ThreadCondition> {
        if let Some((_, condition)) = CONDITIONS.iter().find(|(known, _)| *known == word.text) {
            return Some(*condition);
        }
        let finding = Finding::new(
            Code::FW0208,
            format!("`{}` is not a condition of a thread", word.text),
            word.span,
            "not known",
        )
        .because("The same torque clamps half as hard again on an oiled thread as on a dry one.");
        let finding = match nearest_value(&word.text, CONDITIONS.iter().map(|(known, _)| *known)) {
            Some(near) => finding.repair(format!("Write `thread {near}`.")),
            None => finding.repair("Write `dry`, `plated`, `oiled`, `waxed`, `anti-seize` or `thread-locker`."),
        };
        self.report(finding);
        None
    }
}
