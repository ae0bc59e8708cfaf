//! What a torque wrench is set to where it turns a joint through an adapter, such as a crowfoot wrench.
//!
//! The torque of a joint is always the one at its fastenings; what the wrench shows is less where an adapter makes its lever
//! longer ([`share_on_wrench`]). Rounding goes by the steps of the wrench's scale where it states them (`reads`), else to
//! three figures.

use super::super::Line;
use super::super::print::Printer;
use crate::model::{IdMap, Joint, JointId, LineKind, Procedure, Tightness, Tool, ToolId, ToolUse};
use crate::quantity::{Exact, Measure, Quantity, Unit, Written};
use crate::trade::lever::share_on_wrench;
use num_integer::Integer;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, Zero};
use std::cmp::Ordering;

/// Most ways to choose among the wrenches and adapters of a line that are looked at.
const MOST: usize = 64;

/// A torque wrench with the adapters through which it turns a joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// The wrench.
    pub wrench: ToolId,
    /// The adapters, one or more.
    pub through: Vec<ToolId>,
    /// By how much they make its lever longer; `None` where all of them stand across the handle.
    pub extension: Option<Quantity>,
    /// What the wrench shows, as a share of the torque at the fastening; `None` where nobody states how long the wrench is.
    pub share: Option<Exact>,
}

/// The settings of a line that tightens a joint: one for each wrench and each choice of adapters that make its lever longer. Empty
/// where no such adapter is named.
pub fn settings(procedure: &Procedure, tools: &[ToolUse]) -> Vec<Setting> {
    let turning = tools.iter().filter(|place| !place.hold);
    let extends = |tool: &ToolId| procedure.tools[*tool].extends.is_some();
    let adapters: Vec<&ToolUse> = turning.clone().filter(|place| place.any_of.iter().any(extends)).collect();
    if adapters.is_empty() {
        return Vec::new();
    }
    let mut chosen: Vec<Vec<(ToolId, bool)>> = vec![Vec::new()];
    for place in adapters {
        let longer = |before: &Vec<(ToolId, bool)>| {
            let each = place.any_of.iter().map(|tool| [before.as_slice(), &[(*tool, place.across)]].concat());
            each.collect::<Vec<_>>()
        };
        chosen = chosen.iter().flat_map(longer).take(MOST).collect();
    }
    let wrenches = turning.flat_map(|place| &place.any_of).filter(|tool| procedure.tools[**tool].torque.is_some());
    let mut found: Vec<Setting> = Vec::new();
    for wrench in wrenches {
        for adapters in &chosen {
            let through: Vec<(ToolId, bool)> = adapters.iter().filter(|(tool, _)| extends(tool)).copied().collect();
            found.extend(setting(procedure, *wrench, &through).filter(|one| !found.contains(one)));
        }
    }
    found
}

/// What the wrenches of the steps are set to where they turn a joint through an adapter, by joint and each once.
pub fn settings_by_joint(procedure: &Procedure) -> IdMap<JointId, Vec<Setting>> {
    let mut all: IdMap<JointId, Vec<Setting>> = procedure.joints.each(Vec::new());
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Tighten(joint, tools) = &line.kind else { continue };
        let known = &mut all[*joint];
        for setting in settings(procedure, tools) {
            if !known.contains(&setting) {
                known.push(setting);
            }
        }
    }
    all
}

/// The lines of what is set. Of a wrench whose length nobody states the account tells.
pub(super) fn lines(procedure: &Procedure, joint: &Joint, settings: &[Setting]) -> Vec<Line> {
    let Tightness::Torque(last, _) = &joint.tightness else { return Vec::new() };
    let printer = Printer::of(procedure.units);
    settings.iter().filter_map(|setting| line(procedure, printer, setting, last)).collect()
}

fn line(procedure: &Procedure, printer: Printer, setting: &Setting, torque: &Measure) -> Option<Line> {
    let print = |measure: &Measure| printer.measure(measure);
    let tool = &procedure.tools[setting.wrench];
    let adapters: Vec<&str> = setting.through.iter().map(|tool| procedure.tools[*tool].name.title.as_str()).collect();
    let what = format!("Setting of {} through {}", tool.name.title, adapters.join(" and "));
    let Some(extension) = setting.extension else {
        return Some(Line::computed(what, "across the handle: no longer lever", print(torque)));
    };
    let (lever, extension) = (printer.whole(&tool.lever?), printer.whole(&extension));
    let formula = format!("{} × {lever} / ({lever} + {extension})", print(torque));
    Some(Line::computed(what, formula, print(&setting.on_wrench(torque, tool)?)))
}

fn setting(procedure: &Procedure, wrench: ToolId, through: &[(ToolId, bool)]) -> Option<Setting> {
    if through.is_empty() {
        return None;
    }
    let lengths = through.iter().filter(|(_, across)| !across).map(|(tool, _)| procedure.tools[*tool].extends);
    let extension = lengths.flatten().try_fold(None::<Quantity>, |sum, next| match sum {
        Some(sum) => Some(Some(Quantity { value: sum.value.checked_add(&next.in_unit(sum.unit)?)?, ..sum })),
        None => Some(Some(next)),
    })?;
    let lever = procedure.tools[wrench].lever;
    let share = match (extension, lever) {
        (None, _) => Some(Exact::from_integer(1)),
        (Some(extension), Some(lever)) => share_on_wrench(lever.base()?, extension.base()?),
        (Some(_), None) => None,
    };
    Some(Setting { wrench, through: through.iter().map(|(tool, _)| *tool).collect(), extension, share })
}

impl Setting {
    /// What the wrench is set to for a torque at the fastening, in the unit of its range: a torque with a tolerance gives one
    /// value, the nearest to its middle; one from a value to another gives both, rounded inwards.
    pub fn on_wrench(&self, torque: &Measure, tool: &Tool) -> Option<Measure> {
        let share = self.share?;
        let scale = Scale::of(tool)?;
        let set = |at: &Quantity, to: Round| scale.round(at.in_unit(scale.unit)?.checked_mul(&share)?, to);
        Some(match torque {
            Measure::Exact(value) | Measure::Tolerance { value, .. } => {
                Measure::Exact(self.within_range(set(value, Round::Nearest)?, torque, tool))
            }
            Measure::Range { low, high } => {
                let (from, to) = (set(low, Round::Up)?, set(high, Round::Down)?);
                match from.compare(&to)? {
                    Ordering::Less => Measure::Range { low: from, high: to },
                    _ => Measure::Exact(set(&middle(low, high)?, Round::Nearest)?),
                }
            }
            Measure::AtLeast(low) => Measure::AtLeast(set(low, Round::Up)?),
            Measure::Over(low) => Measure::Over(set(low, Round::Up)?),
            Measure::AtMost(high) => Measure::AtMost(set(high, Round::Down)?),
            Measure::Below(high) => Measure::Below(set(high, Round::Down)?),
        })
    }

    /// A setting that the wrench reaches, where the torque's tolerance leaves one: that next to the middle.
    fn within_range(&self, set: Quantity, torque: &Measure, tool: &Tool) -> Quantity {
        let Some((from, to)) = tool.torque else { return set };
        let end = match (set.compare(&from), set.compare(&to)) {
            (Some(Ordering::Less), _) => from,
            (_, Some(Ordering::Greater)) => to,
            _ => return set,
        };
        let back = self.at_fastening(&end).and_then(|back| back.base());
        if back.is_some_and(|back| torque.contains(back)) { end } else { set }
    }

    /// The torque at the fastening where the wrench shows a value, in the value's unit.
    pub fn at_fastening(&self, shown: &Quantity) -> Option<Quantity> {
        Some(Quantity { value: shown.value.checked_div(&self.share?)?, ..*shown })
    }

    /// Whether the steps of the wrench's scale leave its setting within the torque.
    pub fn keeps(&self, torque: &Measure, tool: &Tool) -> Option<bool> {
        let (low, high) = (torque.low()?, torque.high()?);
        if low.compare(&high) == Some(Ordering::Equal) {
            return None;
        }
        let set = self.on_wrench(torque, tool)?;
        let back = |shown: Quantity| self.at_fastening(&shown);
        let (from, to) = (back(set.low()?)?, back(set.high()?)?);
        Some(from.compare(&low) != Some(Ordering::Less) && to.compare(&high) != Some(Ordering::Greater))
    }
}

fn middle(low: &Quantity, high: &Quantity) -> Option<Quantity> {
    let sum = low.value.checked_add(&high.in_unit(low.unit)?)?;
    Some(Quantity { value: sum.checked_div(&Exact::from_integer(2))?, ..*low })
}

#[derive(Clone, Copy)]
enum Round {
    Nearest,
    Up,
    Down,
}

/// The scale of a torque wrench.
struct Scale {
    unit: Unit,
    /// The step that it states, with how that is written.
    step: Option<(Exact, Written)>,
}

impl Scale {
    fn of(tool: &Tool) -> Option<Scale> {
        let unit = tool.torque?.0.unit;
        let step = tool.reads.and_then(|reads| Some((reads.in_unit(unit)?, reads.written)));
        Some(Scale { unit, step: step.filter(|(step, _)| !step.is_zero()) })
    }

    fn round(&self, value: Exact, to: Round) -> Option<Quantity> {
        let (step, written) = self.step.unwrap_or_else(|| three_figures(value));
        let steps = value.checked_div(&step)?;
        let whole = match to {
            Round::Nearest => {
                let more = steps.checked_add(&Exact::new(1, 2))?;
                more.numer().div_floor(more.denom())
            }
            Round::Up => steps.numer().div_ceil(steps.denom()),
            Round::Down => steps.numer().div_floor(steps.denom()),
        };
        Some(Quantity::new(Exact::from_integer(whole).checked_mul(&step)?, self.unit, written))
    }
}

/// The step of three figures: one from a hundred up, a tenth from ten up, a hundredth below.
fn three_figures(value: Exact) -> (Exact, Written) {
    let (parts, decimals) = if value >= Exact::from_integer(100) {
        (1, 0)
    } else if value >= Exact::from_integer(10) {
        (10, 1)
    } else {
        (100, 2)
    };
    (Exact::new(1, parts), Written::Decimals(decimals))
}
