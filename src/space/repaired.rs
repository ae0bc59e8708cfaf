//! The fewest repairs with which something comes about.

use std::sync::Arc;

use super::count::Extreme;
use super::formula::Formula;
use super::ids::EventId;
use super::{Answer, Effect, Model, Space, Truths, Weighted};

/// Beyond so many repairs a sum and its repairs are not weighed together: that takes as long as all else.
const MOST_COUNTED: usize = 8;

/// The repairs of the text, as far as they were asked for: each case asks for those before it.
#[derive(Debug, Default)]
pub(super) struct Repairs {
    /// How many events were looked at.
    looked_at: usize,
    all: Vec<Repair>,
}

/// A repair, by the verdict before it.
#[derive(Debug, Clone, Copy)]
struct Repair {
    /// The verdict.
    at: EventId,
    /// The runs in which the check is judged.
    guard: Formula,
    /// Those in which it passes.
    passes: Formula,
    /// Those in which the repair is made.
    when: Formula,
    /// Those in which neither it nor one before it is.
    none: Formula,
}

impl Repair {
    /// Whether a run makes it, told by what the procedure says alone: much less than all that was asked since.
    fn is_made(&self, happens: &Truths) -> bool {
        happens.holds(self.guard) && !happens.holds(self.passes)
    }
}

impl Space<'_> {
    /// A run in which the fault shows at the event after as few repairs as any, how many these are, and a formula under
    /// which no more are made. Where that could not be decided, the best run that was found.
    pub(super) fn fewest_repairs(
        &mut self,
        fault: Formula,
        at: EventId,
        model: Arc<Model>,
    ) -> (Arc<Model>, usize, Formula) {
        let repairs = self.repairs(at);
        let model = self.repaired_least(fault, &repairs, model);
        let truths = self.happens(&model);
        if !repairs.iter().any(|repair| repair.is_made(&truths)) {
            return (model, 0, repairs.last().map_or(Formula::ALWAYS, |last| last.none));
        }
        let all = repairs.len();
        let absent: Vec<Formula> =
            repairs.into_iter().filter(|repair| !repair.is_made(&truths)).map(|repair| repair.when).collect();
        let made = all - absent.len();
        let few = self.all(absent.into_iter().map(|repair| !repair));
        (model, made, few)
    }

    fn repaired_least(&mut self, fault: Formula, repairs: &[Repair], model: Arc<Model>) -> Arc<Model> {
        let truths = self.happens(&model);
        if !repairs.iter().any(|repair| repair.is_made(&truths)) {
            return model;
        }
        let without = self.both(fault, repairs.last().map_or(Formula::ALWAYS, |last| last.none));
        if let Answer::Possible(found) = self.ask(without) {
            return found;
        }
        let counts: Vec<Weighted> = repairs.iter().map(|repair| Weighted { when: repair.when, count: 1 }).collect();
        match self.least(&counts, fault) {
            Extreme::Exact { model, .. } | Extreme::Undecided { found: Some(model), .. } => model,
            Extreme::Impossible | Extreme::Undecided { found: None, .. } => model,
        }
    }

    /// Of the runs in which the sum comes to the most within a formula, one with as few repairs as any. `model` is one
    /// in which it does; it is given back where the procedure has many repairs.
    pub fn most_with_few_repairs(&mut self, counts: &[Weighted], within: Formula, model: Arc<Model>) -> Arc<Model> {
        let Some(last) = self.events.last().map(|event| event.id) else { return model };
        let repairs = self.repairs(last);
        let truths = self.happens(&model);
        if repairs.len() > MOST_COUNTED || !repairs.iter().any(|repair| repair.is_made(&truths)) {
            return model;
        }
        // One more of the sum outweighs all repairs.
        let times = i64::try_from(repairs.len()).unwrap_or(i64::MAX).saturating_add(1);
        let both: Vec<Weighted> = counts
            .iter()
            .map(|c| Weighted { when: c.when, count: c.count.saturating_mul(times) })
            .chain(repairs.into_iter().map(|repair| Weighted { when: repair.when, count: -1 }))
            .collect();
        match self.most(&both, within) {
            Extreme::Exact { model: found, .. } if self.sum_in(counts, &found) == self.sum_in(counts, &model) => found,
            _ => model,
        }
    }

    /// The repairs that the text before an event can come to.
    fn repairs(&mut self, at: EventId) -> Vec<Repair> {
        let events = self.events();
        for event in events.iter().skip(self.repairs.looked_at).take_while(|event| event.id < at) {
            self.repairs.looked_at += 1;
            let Effect::Verdict { check, passes } = event.effect else { continue };
            if check.repair.as_ref().is_some_and(|one| event.place.round < one.times) {
                let when = self.both(event.guard, !passes);
                let none_before = self.repairs.all.last().map_or(Formula::ALWAYS, |last| last.none);
                let none = self.both(none_before, !when);
                self.repairs.all.push(Repair { at: event.id, guard: event.guard, passes, when, none });
            }
        }
        let before = self.repairs.all.partition_point(|repair| repair.at < at);
        self.repairs.all.get(..before).unwrap_or_default().to_vec()
    }
}
