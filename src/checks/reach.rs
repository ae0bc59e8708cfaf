//! FW04: every section, step and branch is reached in some configuration; where one is not, what contradicts it.
//!
//! Only the outermost place is told: what stands inside, or behind, has the same cause.

use std::collections::BTreeMap;

use super::proof::{Proof, not_decided};
use super::words::contradiction;
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{Check, Choose, Node, StepId, When};
use crate::source::Span;
use crate::space::{Answer, Effect, EventId, Explanation, Formula, Role};

/// A place of the flow: in which runs, and an event at which to explain it.
#[derive(Clone, Copy)]
struct Reached {
    formula: Formula,
    event: EventId,
    /// What the place asks for beyond coming to the event. Kept apart, because joined with the rest it may fold to
    /// "never", and then nothing says what it contradicts.
    own: Formula,
    /// In which runs what stands inside is done. Where a reading that nobody took is looked at, none: that is told where
    /// it is looked at, and of the inside nothing more is said.
    inside: Formula,
}

/// Places by where they stand, over all rounds of the repairs around them.
#[derive(Default)]
struct Places {
    steps: BTreeMap<StepId, Reached>,
    /// Conditions by their place: looked at, and held.
    conditions: BTreeMap<Span, (Reached, Reached)>,
    /// Branches by their place: come to, and each arm taken.
    branches: BTreeMap<Span, (Reached, Vec<Reached>)>,
    /// Other statements by their place.
    statements: BTreeMap<Span, Reached>,
    handover: Option<Formula>,
}

/// Finds what no configuration reaches, and whether the handover can be.
pub(super) fn check(proof: &mut Proof<'_>) {
    let places = Places::collect(proof);
    warm_up(proof, &places);
    let handed_over = handover(proof, &places);
    let mut walk = Walk { places: &places, handed_over };
    let procedure = proof.procedure;
    let mut cut_off = false;
    for section in &procedure.sections {
        // What stands behind a section that no job leaves has the same cause; behind one that some jobs skip, not all.
        let comes = match &section.when {
            Some(when) => places.conditions.get(&when.span).map(|(looked, _)| *looked),
            None => section.body.first().and_then(|node| places.arrived(proof, node)),
        };
        if cut_off && comes.is_some_and(|comes| matches!(proof.space.ask(comes.formula), Answer::Impossible)) {
            return;
        }
        if let Some(when) = &section.when {
            let Some((looked, held)) = places.conditions.get(&when.span).copied() else { continue };
            if !walk.arrives(proof, looked, section.name.span, "this section", false) {
                return;
            }
            if !walk.holds(proof, held, when.span, &format!("section `{}`", section.name.id)) {
                continue;
            }
        }
        cut_off = !walk.body(proof, &section.body);
    }
}

/// Asks everything at once, so that the single questions below are answered from memory.
fn warm_up(proof: &mut Proof<'_>, places: &Places) {
    let mut all: Vec<Formula> = Vec::new();
    for (looked, held) in places.conditions.values() {
        all.extend([looked.formula, held.formula, held.inside, proof.space.both(looked.formula, !held.formula)]);
    }
    for (come, arms) in places.branches.values() {
        all.push(come.formula);
        all.extend(arms.iter().flat_map(|arm| [arm.formula, arm.inside]));
    }
    all.extend(places.steps.values().chain(places.statements.values()).map(|place| place.formula));
    drop(proof.space.ask_each(&all));
}

impl Places {
    fn collect(proof: &mut Proof<'_>) -> Places {
        let mut places = Places::default();
        let events = proof.events.clone();
        for event in events.iter() {
            let guard = event.guard;
            let here = Reached { formula: guard, event: event.id, own: Formula::ALWAYS, inside: guard };
            match &event.effect {
                Effect::Step(step) => {
                    let slot = places.steps.entry(*step).or_insert(Reached { formula: Formula::NEVER, ..here });
                    slot.formula = proof.space.either(slot.formula, guard);
                }
                Effect::Judged { condition, role, holds, uses } if !matches!(role, Role::Expect(_)) => {
                    // What looks at a reading that nobody took yet may hold: that it does so is its own finding.
                    let unknown = proof.space.any(uses.iter().map(|looked| looked.unknown));
                    let may_hold = proof.space.either(*holds, unknown);
                    let held = proof.space.both(guard, may_hold);
                    let inside = proof.space.both(guard, *holds);
                    let none = Reached { formula: Formula::NEVER, inside: Formula::NEVER, ..here };
                    let own = Reached { own: may_hold, ..none };
                    let slot = places.conditions.entry(condition.span).or_insert((none, own));
                    slot.0.formula = proof.space.either(slot.0.formula, guard);
                    slot.1.formula = proof.space.either(slot.1.formula, held);
                    slot.1.inside = proof.space.either(slot.1.inside, inside);
                }
                Effect::Chosen { choose, arms, uses } => {
                    let unknown = proof.space.any(uses.iter().map(|looked| looked.unknown));
                    let none = Reached { formula: Formula::NEVER, inside: Formula::NEVER, ..here };
                    let mut own = Vec::with_capacity(arms.len());
                    let mut free = Formula::ALWAYS;
                    for arm in arms {
                        let fits = proof.space.both(free, *arm);
                        let inside = proof.space.both(guard, fits);
                        own.push(Reached { own: proof.space.either(fits, unknown), inside, ..none });
                        free = proof.space.both(free, !*arm);
                    }
                    let slot = places.branches.entry(choose.span).or_insert((none, vec![none; arms.len()]));
                    slot.0.formula = proof.space.either(slot.0.formula, guard);
                    for (slot, arm) in slot.1.iter_mut().zip(own) {
                        let taken = proof.space.both(guard, arm.own);
                        // The first time that the job comes by explains it.
                        let first = if slot.formula == Formula::NEVER { arm } else { *slot };
                        *slot = Reached {
                            formula: proof.space.either(slot.formula, taken),
                            inside: proof.space.either(slot.inside, arm.inside),
                            ..first
                        };
                    }
                }
                Effect::Set(_) | Effect::Stop(_) | Effect::Handover(_) => {
                    if matches!(event.effect, Effect::Handover(_)) {
                        let before = places.handover.unwrap_or(Formula::NEVER);
                        places.handover = Some(proof.space.either(before, guard));
                    }
                    let none = Reached { formula: Formula::NEVER, ..here };
                    let slot = places.statements.entry(event.place.span).or_insert(none);
                    slot.formula = proof.space.either(slot.formula, guard);
                }
                _ => {}
            }
        }
        places
    }

    /// In which runs the job comes to a statement, whatever its own condition says.
    fn arrived(&self, proof: &Proof<'_>, node: &Node) -> Option<Reached> {
        let step = |id: &StepId| match &proof.procedure.steps[*id].when {
            Some(when) => self.conditions.get(&when.span).map(|(looked, _)| *looked),
            None => self.steps.get(id).copied(),
        };
        match node {
            Node::Step(id) => step(id),
            Node::Check(check) => step(&check.step),
            Node::Choose(choose) => self.branches.get(&choose.span).map(|(come, _)| *come),
            Node::When(when) => self.conditions.get(&when.cond.span).map(|(looked, _)| *looked),
            Node::Set(set) => self.statements.get(&set.span).copied(),
            Node::Stop(stop) => self.statements.get(&stop.span).copied(),
            Node::Handover(handover) => self.statements.get(&handover.span).copied(),
        }
    }
}

/// FW0409. Gives whether some run gets there.
fn handover(proof: &mut Proof<'_>, places: &Places) -> bool {
    let head = proof.procedure.head_span;
    let Some(formula) = places.handover else {
        proof.findings.push(
            Finding::new(Code::FW0409, "this procedure has no handover", head, "no `handover` in any section")
                .because("Nobody signs, and nobody knows that the job is done.")
                .repair("End the last section with `handover { sign installer, customer }`.")
                .mend(proof.procedure.sections.last().map(|last| {
                    let line = "handover { sign installer, customer }";
                    Mend::look("End with a handover", Change::Inside(last.name.span, line.to_owned()))
                })),
        );
        return false;
    };
    let finding = Finding::new(Code::FW0409, "no configuration gets to the handover", head, "every path stops before")
        .because("The job could never be finished.")
        .repair("Look at the stops and limits: at least one path must go past all of them.");
    match proof.space.ask(formula) {
        Answer::Possible(_) => true,
        Answer::Impossible => {
            // A limit that turns every vehicle away says it already.
            if !proof.turns_all_away() {
                proof.findings.push(finding);
            }
            false
        }
        Answer::Undecided => {
            proof.findings.push(not_decided(Code::FW0409, &finding));
            true
        }
    }
}

struct Walk<'a> {
    places: &'a Places,
    handed_over: bool,
}

impl Walk<'_> {
    /// Goes through a body. Gives whether a run can come to its end.
    fn body(&mut self, proof: &mut Proof<'_>, body: &[Node]) -> bool {
        let mut before: Option<&Node> = None;
        for node in body {
            let Some(arrived) = self.places.arrived(proof, node) else { continue };
            let after_stop = matches!(before, Some(Node::Stop(_) | Node::Handover(_)));
            let (span, what) = place_of(proof, node);
            if !self.arrives(proof, arrived, span, what, after_stop) {
                return false;
            }
            self.node(proof, node);
            before = Some(node);
        }
        true
    }

    /// Whether some run comes to a place; says so where none does.
    fn arrives(&mut self, proof: &mut Proof<'_>, place: Reached, span: Span, what: &str, after_stop: bool) -> bool {
        let code = if after_stop { Code::FW0405 } else { Code::FW0404 };
        let finding = Finding::new(code, format!("no job comes to {what}"), span, "every path has ended before")
            .because("Work that is written and never done is often work that was meant to be done.")
            .repair("Move it before the stop, or remove it.")
            .mend(Mend::drop(span));
        match proof.space.ask(place.formula) {
            Answer::Possible(_) => true,
            Answer::Undecided => {
                proof.findings.push(not_decided(code, &finding));
                false
            }
            Answer::Impossible => {
                // Where nothing gets to the handover, that is the message.
                if self.handed_over || after_stop {
                    let explained = proof.space.explain(place.event, Formula::ALWAYS);
                    let finding = contradiction(proof.procedure, finding, &explained);
                    proof.findings.push(finding);
                }
                false
            }
        }
    }

    /// Whether a condition holds in some run that comes to it; says so where it holds in none.
    fn holds(&mut self, proof: &mut Proof<'_>, held: Reached, span: Span, what: &str) -> bool {
        let finding = Finding::new(Code::FW0404, format!("no configuration reaches {what}"), span, "never holds here")
            .because("Work for a configuration that can't be ordered, or a condition that was meant otherwise.")
            .repair("Compare the places shown: one of them is not as it was meant.");
        self.decided(proof, held.formula, &finding, |proof| proof.space.explain(held.event, held.own))
            && Self::is_entered(proof, held)
    }

    /// Whether what stands inside a place is done in some run, or it is not sure that it is not.
    fn is_entered(proof: &mut Proof<'_>, place: Reached) -> bool {
        !matches!(proof.space.ask(place.inside), Answer::Impossible)
    }

    fn decided(
        &mut self,
        proof: &mut Proof<'_>,
        formula: Formula,
        finding: &Finding,
        explain: impl FnOnce(&mut Proof<'_>) -> Explanation,
    ) -> bool {
        match proof.space.ask(formula) {
            Answer::Possible(_) => true,
            Answer::Undecided => {
                proof.findings.push(not_decided(finding.code, finding));
                false
            }
            Answer::Impossible => {
                let explained = explain(proof);
                let mut told = contradiction(proof.procedure, finding.clone(), &explained);
                if told.labels.len() == finding.labels.len() {
                    told = told.repair("Mend it: nothing that can be ordered or read makes it hold, even by itself.");
                }
                proof.findings.push(told);
                false
            }
        }
    }

    fn node(&mut self, proof: &mut Proof<'_>, node: &Node) {
        match node {
            Node::Step(id) => {
                self.step(proof, *id);
            }
            Node::Check(check) => self.check(proof, check),
            Node::Choose(choose) => self.choose(proof, choose),
            Node::When(when) => self.when(proof, when),
            Node::Set(_) | Node::Stop(_) | Node::Handover(_) => {}
        }
    }

    fn step(&mut self, proof: &mut Proof<'_>, id: StepId) -> bool {
        let row = &proof.procedure.steps[id];
        let Some(when) = &row.when else { return true };
        let Some((_, held)) = self.places.conditions.get(&when.span).copied() else { return true };
        self.holds(proof, held, when.span, &format!("step {} `{}`", row.number, row.name.id))
    }

    fn check(&mut self, proof: &mut Proof<'_>, check: &Check) {
        if !self.step(proof, check.step) {
            return;
        }
        let Some(repair) = &check.repair else { return };
        let first = repair.body.first().and_then(|node| self.places.arrived(proof, node));
        // A check that can't fail is no fault; its repair is a precaution.
        if first.is_some_and(|first| matches!(proof.space.ask(first.formula), Answer::Possible(_))) {
            self.body(proof, &repair.body);
        }
    }

    fn choose(&mut self, proof: &mut Proof<'_>, choose: &Choose) {
        let Some((_, arms)) = self.places.branches.get(&choose.span) else { return };
        for (arm, taken) in choose.arms.iter().zip(arms) {
            let outside = proof.is_outside(arm.pattern_span);
            let finding =
                Finding::new(Code::FW0404, "no configuration takes this branch", arm.pattern_span, "never taken")
                    .because("A reading, or an option, is not what the writer thinks here.")
                    .repair("Compare the places shown: one of them is not as it was meant.")
                    .mend(Mend::drop(arm.pattern_span));
            let taken = *taken;
            if outside
                || !self.decided(proof, taken.formula, &finding, |proof| proof.space.explain(taken.event, taken.own))
                || !Self::is_entered(proof, taken)
            {
                continue;
            }
            self.body(proof, &arm.body);
        }
    }

    fn when(&mut self, proof: &mut Proof<'_>, when: &When) {
        let Some((looked, held)) = self.places.conditions.get(&when.cond.span).copied() else { return };
        if self.holds(proof, held, when.cond.span, "this branch") {
            self.body(proof, &when.then);
        }
        // An `else` that nothing reaches is a condition that always holds, which has its own finding.
        let not_held = proof.space.both(looked.formula, !held.formula);
        if matches!(proof.space.ask(not_held), Answer::Possible(_)) {
            self.body(proof, &when.otherwise);
        }
    }
}

fn place_of(proof: &Proof<'_>, node: &Node) -> (Span, &'static str) {
    let step = |id: StepId| proof.procedure.steps[id].name.span;
    match node {
        Node::Step(id) => (step(*id), "this step"),
        Node::Check(check) => (step(check.step), "this check"),
        Node::Choose(choose) => (choose.subject_span, "this branch"),
        Node::When(when) => (when.cond.span, "this branch"),
        Node::Set(set) => (set.span, "this line"),
        Node::Stop(stop) => (stop.span, "this stop"),
        Node::Handover(handover) => (handover.span, "this handover"),
    }
}
