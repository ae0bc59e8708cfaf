//! The calculation of a bolted joint: what the stated torque makes of the bolt, and whether the parts go together.
//!
//! Terms: the *proof load* is what the bolt bears without lasting stretch; the *preload* is the force with which the
//! tightened bolt clamps; its *share* is the part of the proof load that it comes to. Friction is known as a range only,
//! so preload and share are ranges too.

mod again;
mod assembly;
mod fit;
mod setting;
mod stages;
mod torque;

pub use again::due_words;
pub use assembly::{Assembly, Bolt, Piece};
pub use fit::{Engagement, Length, NutClass};
pub use setting::{Setting, settings, settings_by_joint};
pub use stages::{least_stage_torques, order_words, seen_words, stage_torques, stages_words};
pub use torque::{Figures, summary};

use super::print::Printer;
use super::{Line, Working};
use crate::model::{Joint, Procedure, Tightness, UnknownValue};
use crate::quantity::{Quantity, display};

/// What is worked out of a joint: the lines for people, and the numbers from which verdicts are taken.
#[derive(Debug, Clone, PartialEq)]
pub struct JointWorking {
    /// Every line.
    pub working: Working,
    /// What the torque comes to; `None` where the joint has no torque, or its size or strength is missing.
    pub figures: Option<Figures>,
    /// What a torque cannot be judged without and what nobody states. Empty for joints without a torque, and for tapping
    /// screws, whose torque no library can judge.
    pub missing: Vec<Missing>,
    /// Class of the weakest nut against the bolt's.
    pub nut_class: Option<NutClass>,
    /// Length of the bolt against what it must reach through.
    pub length: Option<Length>,
    /// The same where nobody states the grip: against washers and nuts alone.
    pub length_without_grip: Option<Length>,
    /// Thread that engages in a tapped hole.
    pub engagement: Option<Engagement>,
    /// The same for each further bolt that the joint lists; their lines stand in [`Self::working`] too.
    pub others: Vec<JointWorking>,
}

/// What is needed to judge a torque.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// Which thread it is: nothing in the joint has the standard form of a fastener.
    Size,
    /// The stud that a nut goes onto.
    Stud,
    /// The class or grade of the bolt.
    Grade,
    /// The stress that the grade's row says nothing of at this diameter.
    Stress,
    /// The lowest or the highest torque.
    Bounds,
    /// The thread's condition.
    Condition,
    /// The class or grade of the nut.
    NutGrade,
    /// Numbers that give a preload and a proof load: a torque of nothing, or a row of a library that makes no sense.
    Sense,
}

impl Missing {
    /// Whether it is this value that lacks.
    fn is(self, value: UnknownValue) -> bool {
        match self {
            Missing::Condition => value == UnknownValue::Thread,
            Missing::Grade | Missing::NutGrade => value == UnknownValue::Class,
            Missing::Size => value == UnknownValue::Size,
            Missing::Stud | Missing::Stress | Missing::Bounds | Missing::Sense => false,
        }
    }
}

/// A computed length as the workings round it: to a tenth of a millimetre or a thousandth of an inch, in the procedure's
/// first unit system. `None` for what is no finite length.
pub(crate) fn computed_length(procedure: &Procedure, millimetres: f64) -> Option<Quantity> {
    Printer::of(procedure.units).length(millimetres)
}

/// A computed length as messages write it, in the procedure's first unit system.
pub(crate) fn length_words(procedure: &Procedure, millimetres: f64) -> String {
    let length = computed_length(procedure, millimetres);
    length.map_or_else(|| format!("{millimetres:.1} mm"), |length| length.to_string())
}

/// Works a joint out, for each bolt that it lists; `settings` are its own of [`settings_by_joint`].
pub fn working(procedure: &Procedure, joint: &Joint, settings: &[Setting]) -> JointWorking {
    each_bolt(procedure, joint, Printer::of(procedure.units), setting::lines(procedure, joint, settings))
}

/// The same for who only judges: all numbers, and what is not judged with its reason; the other lines say nothing.
pub fn judged(procedure: &Procedure, joint: &Joint) -> JointWorking {
    each_bolt(procedure, joint, Printer::for_judging(procedure.units), Vec::new())
}

fn each_bolt(procedure: &Procedure, joint: &Joint, printer: Printer, settings: Vec<Line>) -> JointWorking {
    let of_bolt = |assembly: Assembly<'_>| of_bolt(procedure, joint, printer, &assembly);
    let mut each = Assembly::each(procedure, joint).into_iter().map(of_bolt);
    let mut first = each.next().unwrap_or_else(|| of_bolt(Assembly::of(procedure, joint)));
    first.working.lines.extend(settings);
    first.others = each.collect();
    let further: Vec<Line> = first.others.iter().flat_map(|other| other.working.lines.clone()).collect();
    first.working.lines.extend(further);
    first
}

/// What is seen when it is tight, with the stages from there on, in the units of the procedure.
pub fn tight_when(procedure: &Procedure, joint: &Joint, seen: &str) -> String {
    seen_words(joint, seen, &mut |measure| display::measure(measure, procedure.units).to_string())
}

/// After what it is tightened again, in the units of the procedure.
pub fn due_when(procedure: &Procedure, joint: &Joint) -> Option<String> {
    due_words(joint, &mut |measure| display::measure(measure, procedure.units).to_string())
}

fn of_bolt(procedure: &Procedure, joint: &Joint, printer: Printer, assembly: &Assembly<'_>) -> JointWorking {
    let mut lines = Vec::new();
    let mut missing = Vec::new();
    let mut worked = torque::Worked::default();
    match &joint.tightness {
        Tightness::Torque(last, _) => {
            // What the bolt must bear is the greatest.
            let measure = joint.greatest_torque().map_or(last, |(torque, _)| torque);
            worked = torque::lines(printer, joint, assembly, measure, &mut lines);
            missing.append(&mut worked.missing);
            stages::lines(printer, joint, last, &mut lines);
        }
        Tightness::Unknown(..) => torque::part_lines(printer, assembly, &mut lines),
        Tightness::Seen(seen, _) => {
            torque::part_lines(printer, assembly, &mut lines);
            lines.push(Line::stated("Tight when", tight_when(procedure, joint, seen)));
        }
    }
    let has_torque = matches!(joint.tightness, Tightness::Torque(..));
    let nut_class = fit::nut_class(assembly, &mut lines);
    if has_torque && assembly.bolt.is_some() && assembly.nuts.iter().any(|nut| nut.fastener.grade.is_none()) {
        missing.push(Missing::NutGrade);
    }
    // What nobody knows is not asked for: the calculation says that it is unknown, and so does the account.
    missing.retain(|missing| !joint.unknown_values(procedure).any(|unknown| missing.is(unknown.what)));
    for unknown in joint.unknown_values(procedure) {
        lines.push(Line::unknown(unknown));
    }
    let length = fit::length(printer, joint, assembly, &mut lines);
    let without_grip = fit::without_grip(joint, assembly);
    let known = length.as_ref().or(without_grip.as_ref());
    let engagement = fit::engagement(printer, joint, assembly, known, &mut lines);
    JointWorking {
        working: Working { title: format!("{} ({})", joint.name.title, joint.name.id), lines },
        figures: worked.figures,
        missing,
        nut_class,
        length,
        length_without_grip: without_grip,
        engagement,
        others: Vec::new(),
    }
}
