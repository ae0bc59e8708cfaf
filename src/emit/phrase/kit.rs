//! The hardware, group by group, and what is on the vehicle.

use num_traits::CheckedMul;
use serde::Serialize;

use super::much::Much;
use crate::emit::words::{Words, listed, or_between, own_unit};
use crate::labels::{fill, spoken, term};
use crate::model::{
    Counted, Grade, HowMuch, Joint, KitGroup, KitKind, LineKind, Part, PartId, Procedure, StepId, Thread,
    each_or_either, exact_count,
};
use crate::quantity::{Exact, Quantity, Unit, Written};

/// A bag, a box, or the workshop's stock.
#[derive(Serialize)]
pub(in crate::emit) struct GroupRow {
    pub(in crate::emit) title: String,
    pub(in crate::emit) when: Option<String>,
    pub(in crate::emit) rows: Vec<PartRow>,
}

/// A part and how many of it.
#[derive(Serialize)]
pub(in crate::emit) struct PartRow {
    /// The part, the first one where several names are one article.
    #[serde(skip)]
    pub(in crate::emit) part: PartId,
    /// What may be there in its place.
    #[serde(skip)]
    others: Vec<PartId>,
    /// Name in the source; ` + ` between the names of one article, ` or ` between those of which one is there.
    pub(in crate::emit) name: String,
    pub(in crate::emit) title: String,
    /// In its column; `None` for what is used up without a count.
    pub(in crate::emit) count: Option<String>,
    /// The same before its title: `8 ×`, `1.2 m`.
    times: Option<String>,
    #[serde(skip)]
    pub(in crate::emit) much: Much,
    pub(in crate::emit) detail: Option<String>,
    pub(in crate::emit) number: Option<String>,
    pub(in crate::emit) mass: Option<String>,
}

/// The kit in its own order.
pub(in crate::emit) fn groups(words: Words<'_>) -> Vec<GroupRow> {
    let group = |group: &KitGroup| GroupRow {
        title: group_title(group),
        when: group.when.as_ref().map(|when| words.cond(when)),
        rows: summed(words, &group.entries),
    };
    words.procedure.kit.iter().map(group).collect()
}

/// What is on the vehicle before the job: loose parts, then those of joints that it comes with; behind them what is there in
/// some fittings only, with their condition.
pub(in crate::emit) fn on_vehicle(words: Words<'_>) -> Vec<PartRow> {
    let procedure = words.procedure;
    let fastenings = procedure.joints.rows().iter().filter(|joint| joint.on_vehicle);
    let of_joints = fastenings.flat_map(Joint::entries);
    let always = procedure.vehicle.iter().filter(|group| group.when.is_none()).flat_map(|group| &group.entries);
    let mut rows = summed(words, &always.cloned().chain(of_joints).collect::<Vec<_>>());
    for group in &procedure.vehicle {
        let Some(when) = &group.when else { continue };
        let only = fill(spoken().kit.only_when, &[("when", &words.cond(when))]);
        rows.extend(summed(words, &group.entries).into_iter().map(|row| {
            let detail = [Some(only.clone()), row.detail.clone()].into_iter().flatten().collect::<Vec<_>>().join("; ");
            PartRow { detail: Some(detail), ..row }
        }));
    }
    rows
}

/// A row for each article: two names of one are counted together.
fn summed(words: Words<'_>, entries: &[Counted<PartId>]) -> Vec<PartRow> {
    let mut rows: Vec<PartRow> = Vec::new();
    for some in each_or_either(entries) {
        let Some(row) = part_row(words, some) else { continue };
        match rows.iter_mut().find(|other| other.is_of(words.procedure, &row)) {
            Some(other) => other.add(&row),
            None => rows.push(row),
        }
    }
    rows
}

impl PartRow {
    /// Whether both are of one article.
    pub(in crate::emit) fn is_of(&self, procedure: &Procedure, other: &PartRow) -> bool {
        let same = self.part == other.part || procedure.parts[self.part].same_article(&procedure.parts[other.part]);
        same && self.others == other.others
    }

    /// Counts another row of the same article in this one.
    pub(in crate::emit) fn add(&mut self, other: &PartRow) {
        if self.others.is_empty() && !self.name.split(" + ").any(|name| name == other.name) {
            self.name = format!("{} + {}", self.name, other.name);
        }
        self.much = self.much.and(other.much);
        (self.count, self.times) = (self.much.alone(), self.much.before_title());
    }

    /// The mass of one, where it is the same whichever is there.
    pub(in crate::emit) fn mass_each(&self, procedure: &Procedure) -> Option<Quantity> {
        let mass = procedure.parts[self.part].mass?;
        self.others.iter().all(|other| procedure.parts[*other].mass == Some(mass)).then_some(mass)
    }

    /// The mass of one in kilograms, to the gram, as a plain decimal number.
    pub(in crate::emit) fn kilograms_each(&self, procedure: &Procedure) -> Option<String> {
        kilograms(&self.mass_each(procedure)?, 1)
    }

    /// The mass of all of them.
    pub(in crate::emit) fn kilograms(&self, procedure: &Procedure) -> Option<String> {
        kilograms(&self.mass_each(procedure)?, self.much.count()?)
    }
}

/// Grams are enough for a store.
const THOUSAND: i128 = 1000;

fn kilograms(each: &Quantity, count: u32) -> Option<String> {
    let unit = Unit::lookup("kg")?;
    let all = each.in_unit(unit)?.checked_mul(&exact_count(count))?;
    let grams = all.checked_mul(&Exact::from_integer(THOUSAND))?.round();
    let value = Exact::new(*grams.numer(), THOUSAND);
    Some(Quantity { value, unit, written: Written::Decimals(0) }.decimal())
}

/// `Bag A`, `Box powered`, `Workshop stock`
pub(in crate::emit) fn group_title(group: &KitGroup) -> String {
    let kit = &spoken().kit;
    let (kind, named) = match group.kind {
        KitKind::Bag => (kit.bag, kit.bag_named),
        KitKind::Box => (kit.carton, kit.carton_named),
        KitKind::Shop => (kit.stock, kit.stock_named),
    };
    group.name.as_ref().map_or_else(|| kind.to_owned(), |name| fill(named, &[("name", name)]))
}

/// A group as a sentence names it: `bag A`, `the box`.
pub(in crate::emit) fn group_called(group: &KitGroup) -> String {
    let kit = &spoken().kit;
    let (kind, named) = match group.kind {
        KitKind::Bag => (kit.the_bag, kit.bag_of),
        KitKind::Box => (kit.the_carton, kit.carton_of),
        KitKind::Shop => (kit.the_stock, kit.stock_of),
    };
    group.name.as_ref().map_or_else(|| kind.to_owned(), |name| fill(named, &[("name", name)]))
}

/// The groups that supply a part, or one of several, as a step names them: `bag A`, `box`.
pub(in crate::emit) fn supplied_in(procedure: &Procedure, some: &[Counted<PartId>]) -> Option<String> {
    let mut groups: Vec<String> = Vec::new();
    for group in procedure.kit.iter().filter(|group| supplies(group, some)) {
        let lower = group_called(group);
        if !groups.contains(&lower) {
            groups.push(lower);
        }
    }
    (!groups.is_empty()).then(|| groups.join(&or_between()))
}

/// Whether a group of the kit supplies one of them.
pub(in crate::emit) fn supplies(group: &KitGroup, some: &[Counted<PartId>]) -> bool {
    group.entries.iter().any(|entry| some.iter().any(|one| one.what == entry.what))
}

/// `Cable clip, black or Cable clip, white`: the part, or those of which one is there.
pub(in crate::emit) fn parts_title(words: Words<'_>, some: &[Counted<PartId>]) -> String {
    listed(some.iter().map(|one| words.part(one.what)), spoken().word.or)
}

/// `4 × Cable clip (bag A); Cap`
pub(in crate::emit) fn how_much(words: Words<'_>, all: &[Counted<PartId>], from_kit: bool) -> String {
    let one = |some: &[Counted<PartId>]| {
        let from = if from_kit { supplied_in(words.procedure, some) } else { None };
        let much = some.first().and_then(|counted| Much::of(counted).before_title());
        let title = [much, Some(parts_title(words, some))].into_iter().flatten().collect::<Vec<_>>().join(" ");
        from.map_or_else(|| title.clone(), |from| format!("{title} ({from})"))
    };
    each_or_either(all).map(one).collect::<Vec<_>>().join("; ")
}

/// What steps put aside for the owner, in their order, as the handover names it: the step, and `4 × Cap, kept in step 2.1`. What
/// one step does at several places is counted together.
pub(in crate::emit) fn kept_for_owner(words: Words<'_>) -> Vec<(StepId, String)> {
    let mut kept: Vec<(StepId, Vec<Counted<PartId>>)> = Vec::new();
    for (id, step) in words.procedure.steps.iter() {
        for line in &step.lines {
            let LineKind::KeepParts { parts, .. } = &line.kind else { continue };
            let same = |(other, _): &&mut (StepId, _)| words.procedure.steps[*other].number == step.number;
            match kept.iter_mut().find(same) {
                Some((_, all)) => parts.iter().for_each(|part| add(all, part)),
                None => kept.push((id, parts.clone())),
            }
        }
    }
    let told = |(step, parts): (StepId, Vec<Counted<PartId>>)| {
        let number = &words.procedure.steps[step].number;
        let parts = how_much(words, &parts, false);
        (step, fill(spoken().handover.kept_in, &[("parts", &parts), ("step", number)]))
    };
    kept.into_iter().map(told).collect()
}

fn add(all: &mut Vec<Counted<PartId>>, part: &Counted<PartId>) {
    match all.iter_mut().find(|one| one.what == part.what) {
        Some(one) => one.count = one.count.saturating_add(part.count),
        None => all.push(part.clone()),
    }
}

/// A part of the kit and how many of it, or those of which one is there: what is known of them stands in their order, each
/// where it differs. `None` of none.
pub(in crate::emit) fn part_row(words: Words<'_>, some: &[Counted<PartId>]) -> Option<PartRow> {
    let entry = some.first()?;
    let parts: Vec<&Part> = some.iter().map(|one| &words.procedure.parts[one.what]).collect();
    let much = Much::of(entry);
    let why = if let HowMuch::Unknown(why) = &entry.much { Some(why.clone()) } else { None };
    let of_each = |one: &dyn Fn(&Part) -> Option<String>| -> Option<String> {
        let mut said: Vec<String> = parts.iter().map(|part| one(part).unwrap_or_default()).collect();
        said.dedup();
        let said = if let [only] = said.as_slice() { only.clone() } else { either_words(&said) };
        (!said.is_empty()).then_some(said)
    };
    let detail = of_each(&|part| Some(part_detail(words, part))).into_iter().chain(why).collect::<Vec<_>>().join("; ");
    Some(PartRow {
        part: entry.what,
        others: some.iter().skip(1).map(|one| one.what).collect(),
        name: parts.iter().map(|part| part.name.id.as_str()).collect::<Vec<_>>().join(&or_between()),
        title: parts_title(words, some),
        count: much.alone(),
        times: much.before_title(),
        much,
        detail: (!detail.is_empty()).then_some(detail),
        number: of_each(&|part| part.number.clone()),
        mass: of_each(&|part| part.mass.as_ref().filter(|_| part.comes_by.is_none()).map(|mass| words.quantity(mass))),
    })
}

/// What is said of each of several, in their order; where nothing is said of one there is a dash.
fn either_words(said: &[String]) -> String {
    let said = said.iter().map(|one| if one.is_empty() { "–" } else { one.as_str() });
    said.collect::<Vec<_>>().join(&or_between())
}

/// What is known of a part and has no place of its own.
pub(in crate::emit) fn part_detail(words: Words<'_>, part: &Part) -> String {
    let mut parts: Vec<String> = Vec::new();
    if let Some(fastener) = &part.fastener {
        // A title that is the standard form says it already.
        let form = fastener_words(fastener);
        if !form.split(", ").all(|piece| part.name.title.contains(piece)) {
            parts.push(form);
        }
    }
    if let Some(terminal) = &part.terminal {
        let wires: Vec<String> = terminal.wires.iter().map(|wire| words.measure(wire)).collect();
        if !wires.is_empty() {
            parts.push(fill(spoken().kit.wire, &[("sizes", &wires.join(&or_between()))]));
        }
        if !terminal.studs.is_empty() {
            parts.push(fill(spoken().kit.stud, &[("size", &terminal.studs.join(&or_between()))]));
        }
    }
    parts.extend(part.short.as_ref().map(|short| fill(spoken().kit.called, &[("short", short)])));
    if part.single_use {
        parts.push(spoken().kit.use_once.to_owned());
    }
    if part.consumable {
        parts.push(spoken().sheet.as_needed.to_owned());
    }
    parts.join("; ")
}

/// `class 8.8`, `grade 5`: the word of the standards, by which inch fasteners have grades and metric ones property classes.
pub(in crate::emit) fn grade_words(thread: Option<&Thread>, grade: &Grade) -> String {
    let metric = thread.is_some_and(|thread| thread.id.starts_with('M'));
    let id = grade.id.strip_prefix("nut-class-").or(grade.id.strip_prefix("nut-grade-")).unwrap_or(&grade.id);
    fill(if metric { spoken().fastener.class } else { spoken().fastener.grade }, &[("id", id)])
}

/// `Bolt M8 × 30 mm, class 8.8, hex head`
pub(in crate::emit) fn fastener_words(fastener: &crate::model::Fastener) -> String {
    use crate::model::FastenerKind::{Bolt, Nut, Screw, Stud, Washer};
    let kind = match fastener.kind {
        Bolt => spoken().fastener.bolt,
        Screw => spoken().fastener.screw,
        Stud => spoken().fastener.stud,
        Nut => spoken().fastener.nut,
        Washer => spoken().fastener.washer,
    };
    let size = fastener.thread.as_ref().map(|thread| thread.id.clone());
    let number = |id: &str| id.strip_prefix("no-").map(|n| fill(spoken().word.nth, &[("n", n)]));
    let size = size
        .or_else(|| fastener.tapping.as_ref().map(|tapping| number(&tapping.id).unwrap_or_else(|| tapping.id.clone())));
    let size = size.or_else(|| fastener.diameter.as_ref().map(own_unit));
    let mut text = [Some(kind.to_owned()), size].into_iter().flatten().collect::<Vec<_>>().join(" ");
    if let Some(length) = &fastener.length {
        text.push_str(" × ");
        text.push_str(&own_unit(length));
    }
    if let Some(grade) = &fastener.grade {
        text.push_str(", ");
        text.push_str(&grade_words(fastener.thread.as_ref(), grade));
    }
    for word in &fastener.words {
        text.push_str(", ");
        text.push_str(&form_words(word));
    }
    text
}

/// A word of a fastener, with the mark of its drive as it is: `hexalobular T20`.
fn form_words(word: &str) -> String {
    let mark = word.split(' ').find(|piece| piece.contains(|c: char| c.is_ascii_digit()));
    match mark.and_then(|mark| word.split_once(&format!(" {mark}"))) {
        Some((form, _)) => format!("{}{}", term(form), word.get(form.len()..).unwrap_or_default()),
        None => term(word).to_owned(),
    }
}
