//! Tightening in stages: what the wrench is set to before the last stage.

use super::super::Line;
use super::super::print::Printer;
use crate::labels::{fill, spoken};
use crate::model::{Joint, Pattern, PatternOrder, StageDoes, Tightness};
use crate::quantity::{Exact, Measure, Quantity, Written};
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};

/// The torques of the stages before the last, smallest first: equal steps up to the stated torque, in the writer's unit,
/// rounded down to a whole number, or to a tenth below ten. Common practice; an early stage need not be exact. Empty
/// where there is one stage, or no torque with a middle.
pub fn stage_torques(joint: &Joint) -> Vec<Quantity> {
    let (Tightness::Torque(torque, _), Some(pattern)) = (&joint.tightness, &joint.pattern) else { return Vec::new() };
    early(torque, pattern).unwrap_or_default()
}

/// The same where in how many stages is left open: those of two, since more only begin lower.
pub fn least_stage_torques(joint: &Joint) -> Vec<Quantity> {
    match (&joint.tightness, &joint.pattern) {
        (Tightness::Torque(torque, _), Some(pattern)) if pattern.open => {
            early(torque, &Pattern { stages: 2, ..*pattern }).unwrap_or_default()
        }
        _ => stage_torques(joint),
    }
}

fn early(torque: &Measure, pattern: &Pattern) -> Option<Vec<Quantity>> {
    let (low, high) = (torque.low()?, torque.high()?);
    let low_value = low.in_unit(high.unit)?;
    let middle = low_value.checked_add(&high.value.checked_sub(&low_value)?.checked_div(&Exact::from_integer(2))?)?;
    let rounds = Exact::from_integer(i128::from(pattern.stages.max(1)));
    (1..pattern.stages)
        .map(|round| {
            let exact = middle.checked_mul(&Exact::from_integer(i128::from(round)))?.checked_div(&rounds)?;
            let decimals = u8::from(exact < Exact::from_integer(10));
            let power = Exact::from_integer(if decimals == 0 { 1 } else { 10 });
            let rounded = exact.checked_mul(&power)?.floor().checked_div(&power)?;
            Some(Quantity::new(rounded, high.unit, Written::Decimals(decimals)))
        })
        .collect()
}

/// Stages that are written out, in words: `100 lbf·ft while the hub is turned, then loosen, then to 50 lbf·ft`. They stand
/// on outputs too; those that begin with what is seen, behind `until`. `None` where there is one torque.
pub fn stages_words(joint: &Joint, print: &mut dyn FnMut(&Measure) -> String) -> Option<String> {
    let labels = &spoken().joint;
    let mut told: Vec<String> = Vec::new();
    for stage in &joint.stages {
        let stage_words = match &stage.does {
            StageDoes::Seen => match &joint.tightness {
                Tightness::Seen(seen, _) => seen.clone(),
                Tightness::Torque(..) | Tightness::Unknown(..) => continue,
            },
            StageDoes::Torque(torque) if told.is_empty() => print(torque),
            StageDoes::Torque(torque) => fill(labels.to_torque, &[("torque", &print(torque))]),
            StageDoes::Angle(angle) => fill(labels.by_angle, &[("angle", &print(angle))]),
            StageDoes::Loosen => labels.loosen.to_owned(),
            StageDoes::BackOff(angle) => fill(labels.back_off, &[("angle", &print(angle))]),
        };
        let stage_words = match &stage.meanwhile {
            Some(what) => fill(labels.meanwhile, &[("stage", &stage_words), ("what", what)]),
            None => stage_words,
        };
        told.push(if told.is_empty() { stage_words } else { fill(labels.then, &[("stage", &stage_words)]) });
    }
    (!told.is_empty()).then(|| told.join(", "))
}

/// What is seen when a joint is tight, with what is done from there on: `the seal touches, then on by 3/4 turn`; behind `until`.
pub fn seen_words(joint: &Joint, seen: &str, print: &mut dyn FnMut(&Measure) -> String) -> String {
    stages_words(joint, print).unwrap_or_else(|| seen.to_owned())
}

/// What no torque tells of a joint that is left otherwise than at the greatest of its torques.
fn left_otherwise(joint: &Joint) -> Option<&'static str> {
    let last = joint.stages.last().filter(|_| !joint.is_left_at_greatest())?;
    Some(match last.does {
        StageDoes::Angle(_) => spoken().unjudged.by_angle,
        StageDoes::BackOff(_) | StageDoes::Loosen => spoken().unjudged.backed_off,
        StageDoes::Torque(_) | StageDoes::Seen => spoken().unjudged.last_lower,
    })
}

/// The order in words: `crosswise`. It stands on outputs too.
pub fn order_words(order: PatternOrder) -> &'static str {
    let labels = &spoken().joint;
    match order {
        PatternOrder::Cross => labels.crosswise,
        PatternOrder::CentreOut => labels.middle_outwards,
        PatternOrder::InTurn => labels.one_after_another,
    }
}

pub(super) fn lines(printer: Printer, joint: &Joint, torque: &Measure, lines: &mut Vec<Line>) {
    let stages = stages_words(joint, &mut |measure| printer.measure(measure));
    lines.extend(stages.map(|stages| Line::stated("Stages", stages)));
    lines.extend(left_otherwise(joint).map(|why| Line::open(spoken().unjudged.preload_at_end, why)));
    let Some(pattern) = &joint.pattern else { return };
    let rounds = if pattern.stages == 1 { "in one stage".to_owned() } else { format!("in {} stages", pattern.stages) };
    lines.push(Line::stated("Order of tightening", format!("{}, {rounds}", order_words(pattern.order))));
    let Some(early) = early(torque, pattern) else { return };
    for (at, stage) in early.iter().enumerate() {
        let formula = format!("{} of {} equal steps, rounded down", at + 1, pattern.stages);
        let line = Line::computed(format!("Torque of stage {}", at + 1), formula, printer.whole(stage));
        lines.push(line.by_practice());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;
    use crate::source::{FileId, Span};

    fn torque(value: i128, unit: &str) -> Quantity {
        Quantity::new(Exact::from_integer(value), Unit::lookup(unit).unwrap(), Written::Decimals(0))
    }

    fn shown(torque: &Measure, stages: u32) -> Vec<String> {
        let pattern =
            Pattern { order: PatternOrder::Cross, stages, open: false, span: Span::new(FileId::new(0), 0, 0) };
        early(torque, &pattern).unwrap_or_default().iter().map(Quantity::to_string).collect()
    }

    #[test]
    fn equal_steps_rounded_down() {
        let (value, plus_minus) = (torque(22, "N.m"), torque(2, "N.m"));
        assert_eq!(shown(&Measure::Tolerance { value, plus_minus }, 2), ["11 N.m"]);
        assert_eq!(shown(&Measure::Exact(torque(45, "lbf.ft")), 2), ["22 lbf.ft"]);
        let range = Measure::Range { low: torque(20, "N.m"), high: torque(24, "N.m") };
        assert_eq!(shown(&range, 3), ["7.3 N.m", "14 N.m"]);
    }

    #[test]
    fn one_stage_or_no_middle_has_no_early_torque() {
        assert!(shown(&Measure::Exact(torque(22, "N.m")), 1).is_empty());
        assert!(shown(&Measure::AtLeast(torque(22, "N.m")), 2).is_empty());
    }
}
