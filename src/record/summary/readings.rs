//! Holds what was read to what is asked of it: the checks and arms of the step, and the limits.

use super::super::criteria::Criterion;
use super::super::known::Answer;
use super::Row;
use super::reader::Reader;

impl Reader<'_> {
    /// Holds what was read in the begun step to what is asked of it.
    pub(super) fn finish_step(&mut self) {
        self.finish_torques();
        let readings = std::mem::take(&mut self.readings);
        let definition = self.definition;
        let Some(step) = self.begun.take().and_then(|at| definition.program.steps.get(at)) else { return };
        let mut known = self.walk.known.clone();
        for (result, value) in &step.sets {
            known.answer(*result, Answer::Choice(value.clone()));
        }
        let none = Vec::new();
        let expects = definition.criteria.checks.get(&step.id).unwrap_or(&none);
        for (at, input) in &readings {
            let about: Vec<&Criterion> = expects.iter().filter(|one| one.inputs.contains(input)).collect();
            let Some(row) = self.page.measured.get_mut(*at) else { continue };
            if about.is_empty() {
                let arms = definition.criteria.arms.get(input).into_iter().flatten();
                let taken = arms.filter(|arm| arm.condition.holds(&known) == Some(true));
                row.accepted = listed(taken.map(|arm| arm.short.as_str()));
            } else {
                row.accepted = listed(about.iter().map(|one| one.short.as_str()));
                row.passed = all_hold(about.iter().map(|one| one.condition.holds(&known)));
            }
        }
        // What a check asks of something that was not read in it has a row of its own.
        let apart = |one: &&Criterion| !readings.iter().any(|(_, input)| one.inputs.contains(input));
        for one in expects.iter().filter(apart) {
            let (what, accepted) = (step.title.clone(), one.words.clone());
            let passed = one.condition.holds(&known);
            self.page.measured.push(Row { step: self.step.clone(), what, accepted, passed, ..Row::default() });
        }
    }

    /// A row for each limit as soon as it can be decided.
    pub(super) fn decide_limits(&mut self) {
        let known = &self.walk.known;
        for (at, (limit, words)) in
            self.definition.program.limits.iter().zip(&self.definition.criteria.limits).enumerate()
        {
            let applies = limit.when.as_ref().map_or(Some(true), |when| when.holds(known));
            let holds = limit.holds.holds(known);
            if applies == Some(false) {
                self.decided.insert(at);
            }
            if applies == Some(true) && holds.is_some() && self.decided.insert(at) {
                let (what, accepted) = (words.title.clone(), words.words.clone());
                self.page.limits.push(Row { what, accepted, passed: holds, ..Row::default() });
            }
        }
    }
}

/// Each text once, `; ` between them.
pub(super) fn listed<'t>(texts: impl Iterator<Item = &'t str>) -> String {
    let mut all: Vec<&str> = Vec::new();
    for text in texts {
        if !all.contains(&text) {
            all.push(text);
        }
    }
    all.join("; ")
}

/// Whether all hold: one that does not decides, one that can't be told leaves it open.
pub(super) fn all_hold(all: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut open = false;
    for one in all {
        match one {
            Some(true) => {}
            Some(false) => return Some(false),
            None => open = true,
        }
    }
    (!open).then_some(true)
}
