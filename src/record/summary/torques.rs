//! The torques of a joint: one row for all its fastenings.

use super::super::content::SettingText;
use super::super::program::Asks;
use super::Row;
use super::reader::{Reader, Torque};
use super::readings::{all_hold, listed};
use crate::labels::{fill, language, spoken};

impl Reader<'_> {
    /// One row for all fastenings of a joint, and one before it for each torque that was not good and was done again.
    pub(super) fn finish_torques(&mut self) {
        let (again, last): (Vec<Torque>, Vec<Torque>) =
            std::mem::take(&mut self.torques).into_iter().partition(|torque| torque.remedy.is_some());
        for one in &again {
            let remedy = one.remedy.as_deref().unwrap_or_default();
            let value = fill(
                spoken().record.torque_again,
                &[("torque", &clicked_words(std::slice::from_ref(one))), ("remedy", remedy)],
            );
            self.torque_row(std::slice::from_ref(one), value);
        }
        if !last.is_empty() {
            self.torque_row(&last, clicked_words(&last));
        }
    }

    /// What the wrench was set to, where it turned the fastenings through an adapter and clicked at all of them. What was written
    /// down is the torque at the fastening.
    fn on_wrench(&self, torques: &[Torque]) -> Option<String> {
        let first = torques.first().filter(|_| torques.iter().all(|torque| torque.clicked))?;
        let Some(Asks::Torque { settings, .. }) = self.asks(&first.line) else { return None };
        let is_used = |setting: &&SettingText| first.tool.as_ref().is_none_or(|tool| *tool == setting.wrench);
        let mut set: Vec<&str> = settings.iter().filter(is_used).filter_map(|setting| setting.set.as_deref()).collect();
        set.dedup();
        (!set.is_empty()).then(|| set.join(&format!(" {} ", spoken().word.or)))
    }

    fn torque_row(&mut self, torques: &[Torque], value: String) {
        let Some(first) = torques.first() else { return };
        let value = match self.on_wrench(torques) {
            Some(set) => fill(spoken().record.set_through, &[("torques", &value), ("set", &set)]),
            None => value,
        };
        let (joint, within) = match self.asks(&first.line) {
            Some(Asks::Torque { joint, within, .. }) => {
                (self.definition.joints.iter().find(|one| one.id == *joint), Some(within))
            }
            _ => (None, None),
        };
        let held = torques.iter().map(|torque| Some(within?.contains(torque.base?)));
        let torque = joint.and_then(|joint| joint.torque.as_ref());
        let row = Row {
            step: self.step.clone(),
            what: joint.map_or_else(|| first.line.clone(), |joint| joint.title.clone()),
            value,
            accepted: torque.map_or_else(String::new, |torque| torque.shown.clone()),
            passed: torque.and_then(|_| all_hold(held)),
            instrument: listed(torques.iter().map(|torque| torque.instrument.as_str()).filter(|mark| !mark.is_empty())),
        };
        self.page.measured.push(row);
    }
}

/// The values, and whether a wrench that was set to them clicked.
fn clicked_words(torques: &[Torque]) -> String {
    let values = in_one_unit(torques.iter().map(|torque| torque.said.as_str()));
    match torques.iter().filter(|torque| torque.clicked).count() {
        0 => values,
        all if all == torques.len() => fill(spoken().record.clicked_all, &[("torques", &values)]),
        some => fill(
            spoken().record.clicked_some,
            &[("torques", &values), ("n", &some.to_string()), ("all", &torques.len().to_string())],
        ),
    }
}

/// `22, 22, 23 N·m` for values that all have the same unit; `22,5; 23 N·m` where a comma stands in numbers.
fn in_one_unit<'v>(values: impl Iterator<Item = &'v str>) -> String {
    let values: Vec<(&str, &str)> = values.map(|value| value.split_once(' ').unwrap_or((value, ""))).collect();
    let apart = if language().decimal == ',' { "; " } else { ", " };
    let same = values.windows(2).all(|pair| matches!(pair, [(_, a), (_, b)] if a == b));
    match values.last() {
        Some((_, unit)) if same => {
            let numbers: Vec<&str> = values.iter().map(|(number, _)| *number).collect();
            format!("{} {unit}", numbers.join(apart)).trim_end().to_owned()
        }
        _ => values.iter().map(|(number, unit)| format!("{number} {unit}")).collect::<Vec<_>>().join(apart),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::labels::{language_of, speaking};

    #[test]
    fn values_share_their_unit_where_they_have_the_same() {
        assert_eq!(in_one_unit(["22 N·m", "23 N·m"].into_iter()), "22, 23 N·m");
        assert_eq!(in_one_unit(["22 N·m", "16 lbf·ft"].into_iter()), "22 N·m, 16 lbf·ft");
        let german = language_of("de").unwrap();
        assert_eq!(speaking(german, || in_one_unit(["22,5 N·m", "23 N·m"].into_iter())), "22,5; 23 N·m");
    }
}
