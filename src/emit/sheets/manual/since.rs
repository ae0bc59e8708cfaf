//! What differs from an older edition: marks for the bars in the margin, and the list of what changed.
//!
//! Both editions are written as they are printed, and what is printed otherwise gets a mark: so whatever the cause, nothing
//! that a technician reads differently stands without one. Numbers of steps are left out of account, since one step more moves all
//! that come after it.

use serde::Serialize;
use serde_json::{Map, Value};

use crate::emit::compared::{LaidOutOtherwise, laid_out_otherwise};
use crate::emit::{EmitError, Since};
use crate::labels::{fill, spoken};
use crate::plan::Plan;

/// The member of a view that is printed with a bar.
const MARK: &str = "changed";
/// Members that tell where something stands, and not what it says.
const PLACES: &[&str] =
    &["number", "letter", "boxes", "also", "anchor", "steps", "drawing", "drawings", "known", "lead", MARK];
/// Lists of the first page and of the reference, of which each row is looked at by itself.
const LISTS: &[&str] = &["limits", "met", "rules", "options", "givens", "wear", "vehicle", "joints", "circuits"];
/// Lists of such lists.
const GROUPS: &[(&str, &str)] = &[("tools_needed", "rows"), ("kit_groups", "rows"), ("circuits", "wires")];
/// What the first page says of the whole job, which has one bar.
const FACTS: &[&str] = &["about", "fits", "skill", "licence", "time"];

/// The list of what changed.
#[derive(Serialize)]
struct SinceView {
    heading: String,
    lists: Vec<ListView>,
    steps: Vec<StepView>,
    gone: Vec<String>,
}

#[derive(Serialize)]
struct ListView {
    heading: &'static str,
    rows: Vec<String>,
}

#[derive(Serialize)]
struct StepView {
    anchor: String,
    number: String,
    title: String,
    what: String,
}

/// Marks what differs in the view of a manual, and adds the list of it as `since`.
///
/// # Errors
/// Where the list can't be written as data: a fault of this program.
pub(super) fn mark(new: &mut Value, old: &mut Value, plan: &Plan, since: &Since<'_>) -> Result<(), EmitError> {
    rename_steps(old, since);
    let old = &*old;
    for list in LISTS {
        let old = rows(old.get(list)).collect::<Vec<_>>();
        rows_mut(new.get_mut(*list)).for_each(|row| mark_new(row, &old));
    }
    for (groups, list) in GROUPS {
        let old: Vec<&Value> = rows(old.get(groups)).flat_map(|group| rows(group.get(list))).collect();
        rows_mut(new.get_mut(*groups))
            .flat_map(|group| rows_mut(group.get_mut(*list)))
            .for_each(|row| mark_new(row, &old));
    }
    if FACTS.iter().any(|name| !is_same(name, new, old)) {
        mark_it(new);
    }
    let before: Vec<&Value> = rows(old.get("flow")).collect();
    rows_mut(new.get_mut("flow")).for_each(|block| mark_block(block, &before));
    let view = view(new, old, plan, since);
    let view = serde_json::to_value(view).map_err(|error| EmitError::Data { fault: error.to_string() })?;
    if let Some(members) = new.as_object_mut() {
        members.insert("since".to_owned(), view);
    }
    Ok(())
}

/// Gives steps of the old view the names that they have now, so that they are found again.
fn rename_steps(old: &mut Value, since: &Since<'_>) {
    for block in rows_mut(old.get_mut("flow")) {
        let name = text(block, "anchor").trim_start_matches("step-").to_owned();
        let renamed = since.renamed.iter().find(|(was, _)| *was == name);
        if let (Some((_, now)), Some(members)) = (renamed, block.as_object_mut()) {
            members.insert("anchor".to_owned(), Value::String(format!("step-{now}")));
        }
    }
}

fn rows(list: Option<&Value>) -> impl Iterator<Item = &Value> {
    list.and_then(Value::as_array).into_iter().flatten()
}

fn rows_mut(list: Option<&mut Value>) -> impl Iterator<Item = &mut Value> {
    list.and_then(Value::as_array_mut).into_iter().flatten()
}

/// What a part of a view says, without where it stands.
fn said(value: &Value) -> Value {
    match value {
        Value::Object(members) => {
            let said = members.iter().filter(|(name, _)| !PLACES.contains(&name.as_str()));
            Value::Object(said.map(|(name, value)| (name.clone(), said_of(name, value))).collect::<Map<_, _>>())
        }
        Value::Array(values) => Value::Array(values.iter().map(said).collect()),
        other => other.clone(),
    }
}

/// What those hear who can't see a line to write on names its step.
fn said_of(name: &str, value: &Value) -> Value {
    if name == "what" && value.is_string() { Value::Null } else { said(value) }
}

fn mark_new(row: &mut Value, old: &[&Value]) {
    let words = said(row);
    if !old.iter().any(|other| said(other) == words) {
        mark_it(row);
    }
}

fn mark_it(row: &mut Value) {
    if let Some(members) = row.as_object_mut() {
        members.insert(MARK.to_owned(), Value::Bool(true));
    }
}

fn is_marked(row: &Value) -> bool {
    row.get(MARK).is_some()
}

fn is_same<'v>(name: &str, one: &'v Value, other: &'v Value) -> bool {
    one.get(name) == other.get(name)
}

/// A block of the flow: a step by its name, anything else by what it says.
fn mark_block(block: &mut Value, old: &[&Value]) {
    let same_kind = |other: &&&Value| is_same("kind", other, block);
    let by_name = |name: &str| old.iter().filter(same_kind).find(|other| is_same(name, other, block)).copied();
    match block.get("kind").and_then(Value::as_str) {
        Some("step") => match by_name("anchor") {
            Some(was) => mark_step(block, was),
            None => mark_it(block),
        },
        Some("branch") => match by_name("title") {
            Some(was) => {
                mark_shorter(block, was, "arms");
                let was: Vec<&Value> = rows(was.get("arms")).collect();
                rows_mut(block.get_mut("arms")).for_each(|arm| mark_new(arm, &was));
            }
            None => mark_it(block),
        },
        Some("handover") => {
            let before: Vec<&Value> = old.iter().filter(same_kind).copied().collect();
            let was = before.iter().flat_map(|other| rows(other.get("rows"))).collect::<Vec<_>>();
            rows_mut(block.get_mut("rows")).for_each(|row| mark_new(row, &was));
            if let [was] = before[..] {
                mark_shorter(block, was, "rows");
            }
            let same = |other: &&Value| ["leave", "signs"].iter().all(|name| is_same(name, other, block));
            if !before.iter().any(same) {
                mark_it(block);
            }
        }
        Some("end" | "end-section" | "end-repair") => {}
        _ => {
            let old: Vec<&Value> = old.iter().filter(same_kind).copied().collect();
            mark_new(block, &old);
        }
    }
}

/// Marks a block of whose list something is gone.
fn mark_shorter(block: &mut Value, was: &Value, list: &str) {
    if rows(block.get(list)).count() < rows(was.get(list)).count() {
        mark_it(block);
    }
}

/// The rows, panels and criteria of a step; where one is gone, or its heading says something else, the heading.
fn mark_step(block: &mut Value, was: &Value) {
    let parts = |block: &Value, name: &str| -> Vec<Value> {
        rows(block.get("groups")).flat_map(|group| rows(group.get(name)).map(said)).collect()
    };
    let mut gone = false;
    for name in ["panels", "rows"] {
        let (before, now) = (parts(was, name), parts(block, name));
        // What came in the place of another has its own mark.
        let missing = |some: &[Value], of: &[Value]| some.iter().filter(|one| !of.contains(one)).count();
        gone |= missing(&before, &now) > missing(&now, &before);
        let before: Vec<&Value> = before.iter().collect();
        let lists = rows_mut(block.get_mut("groups")).flat_map(|group| rows_mut(group.get_mut(name)));
        lists.for_each(|row| mark_new(row, &before));
        // What stands in another order is told by the heading.
        let kept: Vec<&Value> = before.iter().filter(|one| now.contains(one)).copied().collect();
        let now: Vec<&Value> = now.iter().filter(|one| before.contains(one)).collect();
        gone |= kept != now;
    }
    // A drawing that comes out otherwise is told by the heading too.
    let drawings = |block: &Value| -> Vec<Value> {
        rows(block.get("groups")).flat_map(|group| rows(group.get("drawings")).cloned()).collect()
    };
    gone |= drawings(was) != drawings(block);
    let heading = ["title", "when", "time", "is_check", "expects", "ticks", "places"];
    if gone || heading.iter().any(|name| !is_same(name, block, was)) {
        mark_it_as(block, "changed_heading");
    }
}

fn mark_it_as(row: &mut Value, name: &str) {
    if let Some(members) = row.as_object_mut() {
        members.insert(name.to_owned(), Value::Bool(true));
    }
}

/// Whether anything of a step is marked; whether it is new.
fn of_step(block: &Value) -> Option<bool> {
    if is_marked(block) {
        return Some(true);
    }
    let inner = || {
        let lists = |name: &'static str| rows(block.get("groups")).flat_map(move |group| rows(group.get(name)));
        lists("panels").chain(lists("rows")).any(is_marked)
    };
    (block.get("changed_heading").is_some() || inner()).then_some(false)
}

fn text<'v>(value: &'v Value, name: &str) -> &'v str {
    value.get(name).and_then(Value::as_str).unwrap_or_default()
}

fn view(new: &Value, old: &Value, plan: &Plan, since: &Since<'_>) -> SinceView {
    let steps = || rows(new.get("flow")).filter(|block| text(block, "kind") == "step");
    let told = |block: &Value| -> Option<StepView> {
        let is_new = of_step(block)?;
        let name = text(block, "anchor").trim_start_matches("step-");
        let mut topics: Vec<&str> = Vec::new();
        for (_, topic) in since.topics.iter().filter(|(of, _)| of == name) {
            if !topics.contains(topic) {
                topics.push(topic);
            }
        }
        let what = if is_new { spoken().since.new_step.to_owned() } else { topics.join("; ") };
        Some(StepView {
            anchor: text(block, "anchor").to_owned(),
            number: text(block, "number").to_owned(),
            title: text(block, "title").to_owned(),
            what,
        })
    };
    let has = |block: &Value| steps().any(|other| is_same("anchor", other, block));
    let gone = rows(old.get("flow")).filter(|block| text(block, "kind") == "step" && !has(block));
    let gone = gone.map(|block| text(block, "title").to_owned()).collect();
    SinceView {
        heading: heading(since.plan),
        lists: lists(new, old, plan, since),
        steps: steps().filter_map(told).collect(),
        gone,
    }
}

/// `Changed since revision C of 2026-11-02`
fn heading(old: &Plan) -> String {
    match &old.procedure().revision {
        Some(revision) => fill(spoken().since.heading, &[("mark", &revision.mark), ("date", &revision.date)]),
        None => spoken().since.heading_without.to_owned(),
    }
}

/// Limits, torques, and what is laid out, with what they were.
fn lists(new: &Value, old: &Value, plan: &Plan, since: &Since<'_>) -> Vec<ListView> {
    let torque = |joint: &Value| -> Option<String> {
        let seen = joint.get("seen").and_then(Value::as_str);
        let torque = joint.get("torque").and_then(|torque| Some(text(torque.as_object().map(|_| torque)?, "text")));
        torque.or(seen).map(str::to_owned)
    };
    let words = |limit: &Value| Some(text(limit, "words").to_owned());
    let mut lists = vec![
        ListView { heading: spoken().about.limits, rows: told(new, old, "limits", &words) },
        ListView { heading: spoken().joint.torques, rows: told(new, old, "joints", &torque) },
    ];
    let otherwise = laid_out_otherwise(since.plan, plan);
    for group in otherwise.chunk_by(|one, next| one.of == next.of) {
        let Some(first) = group.first() else { continue };
        lists.push(ListView { heading: first.of, rows: group.iter().map(laid_out_words).collect() });
    }
    lists.retain(|list| !list.rows.is_empty());
    lists
}

/// Rows that are found again by their title, where what is told of them differs; then those that are new or gone.
fn told(new: &Value, old: &Value, list: &str, tell: &dyn Fn(&Value) -> Option<String>) -> Vec<String> {
    let find =
        |list: &'_ [&Value], title: &str| list.iter().find(|row| text(row, "title") == title).and_then(|row| tell(row));
    let (is, was): (Vec<&Value>, Vec<&Value>) = (rows(new.get(list)).collect(), rows(old.get(list)).collect());
    let titled = |list: &[&Value], title: &str| list.iter().any(|row| text(row, "title") == title);
    let now = is.iter().filter_map(|row| {
        let title = text(row, "title");
        let words = tell(row)?;
        let before = find(&was, title);
        (before.as_ref() != Some(&words)).then(|| said_in_words(title, before.as_deref(), Some(&words)))
    });
    let gone = was.iter().map(|row| text(row, "title")).filter(|title| !titled(&is, title));
    now.chain(gone.map(|title| said_in_words(title, Some(""), None))).collect()
}

fn laid_out_words(one: &LaidOutOtherwise) -> String {
    said_in_words(&one.what, one.old.as_deref(), one.new.as_deref())
}

/// `Arm to cross-beams: 50 N·m; was 45 N·m`
fn said_in_words(title: &str, old: Option<&str>, new: Option<&str>) -> String {
    let with = |words: &str| if words.is_empty() { title.to_owned() } else { format!("{title}: {words}") };
    match (old, new) {
        (Some(old), Some(new)) if !old.is_empty() => fill(spoken().since.was, &[("now", &with(new)), ("before", old)]),
        (_, Some(new)) => fill(spoken().since.is_new, &[("what", &with(new))]),
        (_, None) => fill(spoken().since.no_more, &[("what", title)]),
    }
}
