//! A procedure for one fitting: a model in, a smaller model out.
//!
//! *To tailor* is to settle some options and givens and to work out what follows: branches that are decided are taken or
//! left out, conditions are shortened to what is still open, limits are decided, and what nothing refers to any more
//! leaves the tables. What is decided is asked of [`space`](crate::space) over all runs that are left, rules included, so
//! that an arm that only a `require` excludes goes as well. What could not be decided stays: nothing is left out on a
//! guess.
//!
//! Names stay what they are, and so do the numbers of sections and steps: two people with sheets for two fittings, and the
//! maker with the full procedure, mean the same step by the same number. [`Tailored`] says which numbers are left out, so
//! that nobody looks for a lost page.
//!
//! Later stages need not know that a procedure was tailored: it is a procedure like any other, and says in
//! [`Procedure::tailored`] whom it is for.

mod flow;
mod folder;
mod left_out;
mod limits;
mod mentions;
mod reach;
mod refusal;
mod renumber;
mod selection;
mod settled;
mod used;
mod visitor;

use std::collections::{BTreeMap, BTreeSet};

pub use folder::{folder_name, folder_part, short_folder};
pub use limits::unit_of;
pub use refusal::Refusal;
pub use selection::{Wish, amount, asked, knows, names, value, within};

use crate::model::{
    ChoiceId, ChoiceKind, Cond, CondKind, Expr, Fact, FactId, FigureId, KitGroup, LimitId, LineKind, NumberId,
    Procedure, Rule, Said, Section, StepId, Tailored,
};
use crate::prose;
use crate::quantity::Measure;
use crate::space::{Answer, Effect, EventId, Formula, Input, Space, StopCause};
use flow::Left;
use reach::{Can, Reach, Simple, Simplify};
use settled::Settled;
use used::Used;
use visitor::Ids;

/// The procedure for what the wishes ask for.
///
/// # Errors
/// Where a wish names what can't be chosen, where the rules don't allow the wishes together, and where no job with them
/// gets to its handover.
pub fn tailor(full: &Procedure, wishes: &[Wish]) -> Result<Procedure, Refusal> {
    let mut settled = selection::settle(full, wishes)?;
    let constrained = reach::constrained(full, &settled);
    let mut space = Space::new(&constrained);
    refuse_contradiction(full, &mut space, wishes)?;
    reach::follow(&mut space, &mut settled);
    refuse_what_is_not_there(full, &mut space, &settled)?;
    let reach = Reach::of(&mut space);
    refuse_dead_end(full, &space, &reach, &settled, wishes)?;
    let rules = rules(full, &settled);
    let mut simplify = Simplify { space: &mut space, settled: &settled };
    Ok(cut(full, &reach, &mut simplify, rules))
}

fn refuse_contradiction(full: &Procedure, space: &mut Space<'_>, wishes: &[Wish]) -> Result<(), Refusal> {
    let Some(because) = reach::contradiction(space) else { return Ok(()) };
    let settled_rules = space.procedure().rules.get(full.rules.len()..).unwrap_or(&[]);
    let named = |at: &usize| {
        let name = match &settled_rules.get(at.checked_sub(full.rules.len())?)?.holds.kind {
            CondKind::Is(choice, _) => &full.choices[*choice].name.id,
            CondKind::In(number, _) => &full.numbers[*number].name.id,
            _ => return None,
        };
        wishes.iter().find(|wish| wish.name == *name).map(Wish::shown)
    };
    let mut part: Vec<String> = because.iter().filter_map(named).collect();
    if part.is_empty() {
        part = shown(wishes);
    }
    let rules = because.iter().filter_map(|at| full.rules.get(*at)).map(|rule| (rule.span, rule.reason.clone()));
    Err(Refusal::Contradiction { wishes: part, rules: rules.collect() })
}

/// An amount of a given that no such vehicle is asked for would be printed on its manual.
fn refuse_what_is_not_there(full: &Procedure, space: &mut Space<'_>, settled: &Settled) -> Result<(), Refusal> {
    let Some(second) = space.events().get(1).map(|event| event.id) else { return Ok(()) };
    for number in settled.numbers.keys() {
        let row = &full.numbers[*number];
        let Some(when) = &row.when else { continue };
        let there = space.is_known(second, Input::Number(*number));
        if matches!(space.ask(there), Answer::Impossible) {
            return Err(Refusal::NotThere { name: row.name.id.clone(), when: when.span });
        }
    }
    Ok(())
}

fn shown(wishes: &[Wish]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for one in wishes.iter().map(Wish::shown) {
        if !all.contains(&one) {
            all.push(one);
        }
    }
    all
}

/// Nobody prints a manual for a vehicle that is always turned away.
fn refuse_dead_end(
    full: &Procedure,
    space: &Space<'_>,
    reach: &Reach,
    settled: &Settled,
    wishes: &[Wish],
) -> Result<(), Refusal> {
    if reach.can(Can::HandOver) {
        return Ok(());
    }
    let breaks_always = |id: LimitId| reach.can(Can::TurnAway(id)) && !reach.can(Can::Hold(id));
    if let Some((_, limit)) = full.limits.iter().find(|(id, _)| breaks_always(*id)) {
        let sides = limits::sides(full, settled, &limit.holds);
        return Err(Refusal::Limit {
            wishes: shown(wishes),
            title: limit.name.title.clone(),
            holds: limit.holds.span,
            numbers: sides.map(|sides| limits::in_source_form(&sides, limit.holds.op)),
            stop: limit.otherwise.as_ref().map(as_written),
        });
    }
    let mut stops: Vec<String> = Vec::new();
    for event in space.events().iter() {
        let text = match &event.effect {
            Effect::Stop(StopCause::Statement(stop) | StopCause::Check(_, stop)) => {
                Some(&stop.text).filter(|_| reach.can(Can::Statement(stop.span)))
            }
            Effect::Stop(StopCause::Limit(id)) => {
                full.limits[*id].otherwise.as_ref().filter(|_| reach.can(Can::TurnAway(*id)))
            }
            _ => None,
        };
        if let Some(text) = text.map(as_written).filter(|text| !stops.contains(text)) {
            stops.push(text);
        }
    }
    stops.truncate(refusal::MOST_STOPS);
    Err(Refusal::NoWayOut { wishes: shown(wishes), stops })
}

/// A quoted text as a refusal repeats it to its writer: mentions by the names that the source has for them.
fn as_written(said: &Said) -> String {
    prose::spoken(&said.text, &mut |text| Some(text.to_owned()))
}

/// The rules that still exclude something. They are judged without each other: a rule that another one implies today may
/// be what carries it tomorrow.
fn rules(full: &Procedure, settled: &Settled) -> Vec<Rule> {
    let mut bare = full.clone();
    bare.rules.clear();
    let bare = reach::constrained(&bare, settled);
    let mut space = Space::new(&bare);
    let Some(second) = space.events().get(1).map(|event| event.id) else { return full.rules.clone() };
    let mut simplify = Simplify { space: &mut space, settled };
    full.rules.iter().filter_map(|rule| one_rule(rule, second, &mut simplify)).collect()
}

fn one_rule(rule: &Rule, at: EventId, simplify: &mut Simplify<'_, '_>) -> Option<Rule> {
    let everywhere = [(at, Formula::ALWAYS)];
    let when = match rule.when.as_ref().map(|when| simplify.cond(when, &everywhere)) {
        None | Some(Simple::Always) => None,
        Some(Simple::Never) => return None,
        Some(Simple::Open(cond)) => Some(cond),
    };
    let holds = match simplify.cond(&rule.holds, &everywhere) {
        Simple::Always => return None,
        Simple::Open(cond) => cond,
        Simple::Never => {
            // What must not be is that the condition comes true.
            let when = when?;
            let holds = Cond { span: when.span, kind: CondKind::Not(Box::new(when)) };
            return Some(Rule { holds, when: None, ..rule.clone() });
        }
    };
    Some(Rule { holds, when, ..rule.clone() })
}

/// Cuts the procedure down to what is left.
fn cut(full: &Procedure, reach: &Reach, simplify: &mut Simplify<'_, '_>, rules: Vec<Rule>) -> Procedure {
    let mut draft = full.clone();
    draft.rules = rules;
    let Left { mut sections, steps } = flow::prune(&mut draft, reach, simplify);
    supplies(&mut draft, reach, simplify);
    let (open_limits, met) = limits::sort(&mut draft, reach, simplify);
    let settled = simplify.settled;
    let given = results_given(&draft, &sections, &steps);
    let gone = |choice: ChoiceId, value: usize| {
        settled.excluded.contains(&(choice, value))
            || given.get(&choice).is_some_and(|given: &BTreeSet<usize>| !given.contains(&value))
    };
    flow::drop_values(&mut sections, &gone);
    let left_out = left_out::words(full, &sections, &steps);
    draft.sections = sections;
    draft.tailored = Some(Tailored { chosen: settled.chosen(full), met, left_out });
    write_amounts(&mut draft, settled);
    let figures = figures_shown(&draft, &steps);
    visitor::everything(&mut draft, &mut mentions::Words { full, settled, steps: &steps, figures: &figures });
    let all_limits: BTreeSet<LimitId> = full.limits.ids().collect();
    let of_full = Used::by(full, &all_limits);
    let mut used = Used::by(&draft, &open_limits).with_what_stands_alone(&draft, full, &of_full);
    // What is settled is asked for no more, unless something still looks at it.
    let looked_at = Used::by(&draft, &open_limits);
    used.choices.retain(|id| !settled.choices.contains_key(id) || looked_at.choices.contains(id));
    used.numbers.retain(|id| !settled.numbers.contains_key(id) || looked_at.numbers.contains(id));
    let values = values_left(&draft, &used, settled, &gone);
    renumber::renumbered(draft, &used, values)
}

/// The figures that the steps which are left show.
fn figures_shown(draft: &Procedure, steps: &BTreeSet<StepId>) -> BTreeSet<FigureId> {
    let lines = steps.iter().flat_map(|step| &draft.steps[*step].lines);
    let shown = lines.filter_map(|line| match &line.kind {
        LineKind::Figure(shown) => Some(shown.figure),
        _ => None,
    });
    shown.collect()
}

/// What is there under a condition: kit groups that can't be there go, the conditions of all others are simplified.
fn supplies(draft: &mut Procedure, reach: &Reach, simplify: &mut Simplify<'_, '_>) {
    let mut left = |when: &mut Option<Cond>| {
        let Some(cond) = when.take() else { return true };
        match simplify.cond(&cond, reach.places(&cond)) {
            Simple::Always => true,
            Simple::Never => {
                // A line may name a joint that is not there; it must not come into being by losing its condition.
                *when = Some(reach::constant(false, cond.span));
                false
            }
            Simple::Open(cond) => {
                *when = Some(cond);
                true
            }
        }
    };
    draft.kit.retain_mut(|group| left(&mut group.when));
    draft.vehicle.retain_mut(|group| left(&mut group.when));
    draft.kit = together(std::mem::take(&mut draft.kit));
    // Joints and circuits that can't be there go with what nothing refers to.
    for id in draft.joints.ids() {
        left(&mut draft.joints[id].when);
    }
    for id in draft.circuits.ids() {
        left(&mut draft.circuits[id].when);
    }
    for id in draft.states.ids() {
        left(&mut draft.states[id].when);
    }
    for id in draft.numbers.ids() {
        left(&mut draft.numbers[id].when);
    }
}

/// What lies in one bag stands in one group: groups of the same name that have no condition any more are put together.
fn together(groups: Vec<KitGroup>) -> Vec<KitGroup> {
    let mut all: Vec<KitGroup> = Vec::new();
    for group in groups {
        let same = |other: &&mut KitGroup| {
            other.when.is_none() && group.when.is_none() && (other.kind, &other.name) == (group.kind, &group.name)
        };
        match all.iter_mut().find(same) {
            None => all.push(group),
            Some(first) => {
                for entry in group.entries {
                    match first.entries.iter_mut().find(|own| own.what == entry.what) {
                        Some(own) => own.count = own.count.saturating_add(entry.count),
                        None => first.entries.push(entry),
                    }
                }
            }
        }
    }
    all
}

/// The values that steps and statements that are left give each result; results that get none are not listed.
fn results_given(
    draft: &Procedure,
    sections: &[Section],
    steps: &BTreeSet<StepId>,
) -> BTreeMap<ChoiceId, BTreeSet<usize>> {
    let mut flow = Procedure { sections: sections.to_vec(), steps: draft.steps.clone(), ..Procedure::empty() };
    let mut used = Used::default();
    visitor::whole(&mut flow, &mut used);
    for step in steps {
        visitor::step(&mut flow.steps[*step], &mut used);
    }
    used.given
}

/// The values of each choice that are left, where some are gone.
fn values_left(
    draft: &Procedure,
    used: &Used,
    settled: &Settled,
    gone: &dyn Fn(ChoiceId, usize) -> bool,
) -> BTreeMap<ChoiceId, Vec<usize>> {
    let named = |id: ChoiceId, value: usize| used.values.get(&id).is_some_and(|values| values.contains(&value));
    let left = |id: ChoiceId, value: usize| match settled.choices.get(&id) {
        Some(own) => *own == value || named(id, value),
        None => !gone(id, value) || named(id, value),
    };
    let choices = draft.choices.iter().filter(|(_, choice)| choice.kind != ChoiceKind::Observe);
    choices.map(|(id, choice)| (id, (0..choice.values.len()).filter(|value| left(id, *value)).collect())).collect()
}

/// Givens that are settled stand in sums as facts.
fn write_amounts(draft: &mut Procedure, settled: &Settled) {
    let mut facts = Amounts { settled, facts: BTreeMap::new() };
    for (number, amount) in &settled.numbers {
        let row = &draft.numbers[*number];
        let fact = Fact { name: row.name.clone(), value: Measure::Exact(*amount), value_span: row.range_span };
        facts.facts.insert(*number, draft.facts.push(fact));
    }
    visitor::everything(draft, &mut facts);
}

struct Amounts<'a> {
    settled: &'a Settled,
    facts: BTreeMap<NumberId, FactId>,
}

impl Ids for Amounts<'_> {
    fn expr(&mut self, expr: &mut Expr) {
        if let Expr::Number(number, span) = expr
            && let (Some(fact), Some(base)) = (self.facts.get(number), self.settled.base(*number))
        {
            *expr = Expr::Fact(*fact, base, *span);
        }
    }
}
