//! The lines of a step as rows on paper: a verb in the margin, then what to do, then where to write.

use serde::Serialize;

use super::branches::Branches;
use super::figures::FigureView;
use super::joints::parts;
use super::occasions::Occasions;
use crate::emit::EmitError;
use crate::emit::phrase::circuit::point_words;
use crate::emit::phrase::conductors;
use crate::emit::phrase::joint::{no_torque, opened, order, seen, stages, thread_words, times};
use crate::emit::phrase::kit::{parts_title, supplied_in};
use crate::emit::phrase::lay_out::done_without;
use crate::emit::phrase::much::Much;
use crate::emit::phrase::setting::told_settings;
use crate::emit::text::html;
use crate::emit::words::{Words, label, listed, own_unit, with_label};
use crate::labels::{Piece, fill, pieces, spoken, term};
use crate::model::{
    CircuitId, Counted, JointId, Letter, Line, LineKind, MentionTarget, NumberId, PartId, PointId, Prose, Reading,
    Record, StepId, Tightness, ToolUse, Wait, each_or_either,
};
use crate::plan::Plan;
use crate::prose;
use crate::working::joint::stage_torques;

/// One row.
#[derive(Serialize, Default)]
pub(super) struct Row {
    /// What is done, in the margin.
    verb: &'static str,
    /// Prose, already HTML.
    html: Option<String>,
    /// The letter of the action that it is.
    letter: Option<String>,
    /// The boxes of the action, in words for those who hear the page.
    boxes: Vec<String>,
    note: Option<String>,
    figure: Option<FigureView>,
    runs: Vec<Run>,
    tools: Option<String>,
    items: Vec<Item>,
    ordered: bool,
    fields: Vec<Field>,
    tick: bool,
    /// What is to be written stands behind the words, on one line with them.
    beside: bool,
    /// The places at which it is done, where it stands once for several: a box for each.
    places: Vec<String>,
}

/// A stretch of text in one style: `plain`, `strong` or `torque`.
#[derive(Clone, Serialize)]
pub(super) struct Run {
    text: String,
    style: &'static str,
}

#[derive(Serialize)]
struct Item {
    runs: Vec<Run>,
    tick: bool,
    /// Its number in a list that does not count from 1: a point in the order of connection.
    number: Option<u32>,
}

/// A line to write on, or boxes of which one is ticked.
#[derive(Serialize, Clone)]
struct Field {
    label: String,
    /// What is to be written, for those who hear the page.
    what: String,
    unit: Option<&'static str>,
    choices: Vec<String>,
    long: bool,
}

impl Run {
    /// Whether this is its whole text.
    pub(super) fn is(&self, text: &str) -> bool {
        self.text == text
    }
}

/// Makes rows.
#[derive(Clone, Copy)]
pub(super) struct RowWriter<'a> {
    pub(super) plan: &'a Plan,
    pub(super) words: Words<'a>,
    pub(super) branches: &'a Branches,
    pub(super) figures: &'a dyn Fn(&str) -> Option<Vec<u8>>,
}

/// About how many characters a line of paper holds.
const LINE: usize = 84;

/// Text in plain style.
pub(super) fn plain(text: impl Into<String>) -> Run {
    Run { text: text.into(), style: "plain" }
}

/// Text that stands out.
pub(super) fn strong(text: impl Into<String>) -> Run {
    Run { text: text.into(), style: "strong" }
}

/// A label with a run in its place of that name.
fn runs(label: &str, place: &str, run: Run) -> Vec<Run> {
    let mut run = Some(run);
    let piece = |piece: Piece<'_>| match piece {
        Piece::Text(text) => Some(plain(text)),
        Piece::Place(name) if name == place => run.take(),
        Piece::Place(_) => None,
    };
    pieces(label).into_iter().filter_map(piece).collect()
}

impl Row {
    pub(super) fn of(verb: &'static str, runs: Vec<Run>) -> Row {
        Row { verb, runs, ..Row::default() }
    }

    pub(super) fn ticked(mut self) -> Row {
        self.tick = true;
        self
    }

    /// With a line for a name each time that it is done.
    pub(super) fn named(mut self, what: &str, occasions: Occasions) -> Row {
        let field = |label: String| Field { label, what: what.to_owned(), unit: None, choices: Vec::new(), long: true };
        self.fields = occasions.labels().into_iter().map(field).collect();
        self.beside = true;
        self
    }

    pub(super) fn prose(html: String) -> Row {
        Row { html: Some(html), ..Row::default() }
    }

    /// One of several actions of a step, which is done as often as `times` says; where that is often, the boxes of the step
    /// count, and its actions have none.
    pub(super) fn lettered(mut self, letter: Letter, step: &str, times: &[u32]) -> Row {
        let number = format!("{step}\u{a0}{letter}");
        let of_repair = |n: &u32| fill(spoken().blank.step_done_repair, &[("number", &number), ("n", &n.to_string())]);
        self.boxes = match times {
            [_] => vec![fill(spoken().blank.step_done, &[("number", &number)])],
            _ if times.len() <= MOST_BOXES => times.iter().map(of_repair).collect(),
            _ => Vec::new(),
        };
        self.letter = Some(letter.to_string());
        self
    }

    pub(super) fn note(text: &str) -> Row {
        Row { note: Some(text.to_owned()), ..Row::default() }
    }

    /// The row with a box and a field for each place.
    pub(super) fn at_places(mut self, labels: &[String]) -> Row {
        let of_box = |words: &String| labels.iter().map(|place| format!("{words}, {place}")).collect::<Vec<_>>();
        let boxes: Vec<String> = self.boxes.iter().flat_map(of_box).collect();
        self.boxes = if boxes.len() <= MOST_BOXES { boxes } else { Vec::new() };
        let of_place = |place: &String| {
            let field = |field: &Field| {
                let label = if field.label.is_empty() { place.clone() } else { format!("{place} {}", field.label) };
                Field { label, what: format!("{}, {place}", field.what), ..field.clone() }
            };
            self.fields.iter().map(field).collect::<Vec<_>>()
        };
        self.fields = labels.iter().flat_map(of_place).collect();
        self.beside = false;
        self.places = labels.to_vec();
        self
    }

    /// The row with words for where it is done.
    pub(super) fn told_at(mut self, places: &str) -> Row {
        let each = fill(spoken().flow.told_at_each, &[("places", places)]);
        self.runs.push(plain(format!(" ({each})")));
        self
    }

    fn list(verb: &'static str, runs: Vec<Run>, items: Vec<Item>) -> Row {
        Row { verb, runs, items, ..Row::default() }
    }

    /// Whether it is one of several actions.
    pub(super) fn is_lettered(&self) -> bool {
        self.letter.is_some()
    }

    /// About how many lines of paper rows take, to know which steps fit on a page. Short actions share a line.
    pub(super) fn heights<'r>(rows: impl Iterator<Item = &'r Row>) -> usize {
        // What a box, its letter and the gap to the next take of a line.
        const MARKS: usize = 8;
        let (mut lines, mut actions) = (0, 0);
        for row in rows {
            if let (true, Some(html)) = (row.is_lettered(), &row.html) {
                actions += html.len() + MARKS;
                continue;
            }
            lines += actions.div_ceil(LINE) + row.height();
            actions = 0;
        }
        lines + actions.div_ceil(LINE)
    }

    fn height(&self) -> usize {
        const FIELDS_A_LINE: usize = 5;
        let text = self.html.as_ref().or(self.note.as_ref()).map_or(0, String::len)
            + self.runs.iter().map(|run| run.text.len()).sum::<usize>()
            + self.tools.as_ref().map_or(0, String::len);
        let figure = self.figure.as_ref().map_or(0, FigureView::lines);
        let boxes = if self.tick || !self.items.is_empty() { self.places.len() / FIELDS_A_LINE } else { 0 };
        1 + boxes + text / LINE + self.items.len() + self.fields.len().div_ceil(FIELDS_A_LINE) + figure
    }
}

impl RowWriter<'_> {
    /// The rows of a line; safety messages have panels instead.
    pub(super) fn rows(&self, line: &Line, occasions: Occasions) -> Result<Vec<Row>, EmitError> {
        let procedure = self.words.procedure;
        let does = &spoken().row;
        let mut row = match &line.kind {
            LineKind::Message(_) => return Ok(Vec::new()),
            LineKind::Prose(prose) => Row::prose(self.prose(prose)),
            LineKind::Note(text) => Row::note(&self.words.said(text)),
            LineKind::Figure(shown) => {
                Row { figure: Some(FigureView::of(self.words, shown, self.figures)?), ..Row::default() }
            }
            LineKind::Read(readings) => {
                return Ok(readings.iter().map(|reading| self.reading(does.read, *reading, occasions)).collect());
            }
            LineKind::Use { tools, optional, benefit } => self.uses(tools, *optional, benefit.as_deref()),
            LineKind::Wear(worn) => {
                let titles = worn.iter().map(|id| procedure.protections[*id].name.title.clone());
                Row::of(does.wear, vec![strong(listed(titles, spoken().word.and))])
            }
            LineKind::Take(taken) => self.counted(does.take, taken, true),
            LineKind::Remove(parts, tools) => {
                Row { tools: self.words.tools(tools), ..self.counted(does.remove, parts, false) }
            }
            LineKind::Refit(parts) => self.counted(does.refit, parts, false),
            LineKind::Discard(parts) => self.counted(does.discard, parts, false),
            LineKind::Reuse(parts) => self.counted(does.reuse, parts, false),
            LineKind::KeepParts { parts: all, from_kit: kit } => {
                self.counted(does.keep_parts, all, procedure.are_spares(all, *kit))
            }
            LineKind::Place(joint) => self.place(*joint),
            LineKind::Snug(joint, tools) => {
                self.joint(does.snug, *joint, &format!(", {}.", spoken().tell.finger_tight), tools)
            }
            LineKind::Tighten(joint, tools) => self.tighten(*joint, tools),
            LineKind::Loosen(joint, tools) => {
                self.joint(does.loosen, *joint, &opened(self.words, *joint, spoken().tell.stay_in), tools)
            }
            LineKind::RemoveJoint(joint, tools) => {
                self.joint(does.remove, *joint, &opened(self.words, *joint, spoken().tell.keep_parts), tools)
            }
            LineKind::RefitJoint(joint) => {
                self.joint(does.refit, *joint, &format!(", {}.", spoken().tell.came_off), &[])
            }
            LineKind::Connect(circuit, points, tools) => self.points(does.connect, *circuit, points, tools),
            LineKind::Disconnect(circuit, points, tools) => self.points(does.disconnect, *circuit, points, tools),
            LineKind::Need(need) => self.state(does.need, need.state, need.value),
            LineKind::Make { state, value } => self.state(does.make, *state, *value),
            LineKind::MakeParts { made, from, tools } => self.make_parts(made, from, tools),
            LineKind::Set(set) => Row::of(does.set, self.decided(set)),
            LineKind::Do(action) => {
                let action = &procedure.actions[*action];
                let needs = action.needs.iter().map(|need| Item {
                    runs: vec![plain(format!("{}: ", does.need)), strong(self.words.state(need.state, need.value))],
                    tick: true,
                    number: None,
                });
                Row::list(does.r#do, vec![strong(action.name.title.clone())], needs.collect())
            }
            LineKind::Record(record) => self.record(record, occasions),
            LineKind::Wait(wait) => self.wait(wait),
        };
        row.tools = line.by_hand.then(|| spoken().tell.by_hand.to_owned()).or(row.tools);
        Ok(vec![row])
    }

    /// Prose as HTML, mentions in words.
    pub(super) fn prose(&self, prose: &Prose) -> String {
        let lead = if prose.sure { html(&format!("{} ", spoken().tell.see_that)) } else { String::new() };
        let told = prose_html(prose, &mut |target| {
            let text = html(&self.mention(target));
            match target {
                MentionTarget::Figure(figure, _) => match self.words.procedure.shown_by(*figure) {
                    // What stands once for several places leads to none of them.
                    Some(step) if self.words.procedure.steps[step].name.at.is_none() => self.link_to(step, &text),
                    _ => format!("<b>{text}</b>"),
                },
                MentionTarget::Step(step) | MentionTarget::Action(step, _) => self.link_to(*step, &text),
                _ => format!("<b>{text}</b>"),
            }
        });
        lead_in(&lead, told)
    }

    fn link_to(&self, step: StepId, text: &str) -> String {
        format!("<a href=\"#step-{}\">{text}</a>", html(&self.words.procedure.steps[step].name.id))
    }

    /// A result says in which table it is decided.
    fn mention(&self, target: &MentionTarget) -> String {
        let words = self.words.mention_in_full(target);
        match target {
            MentionTarget::Choice(id) => match self.branches.tables_of(*id) {
                Some(tables) => format!("{words} ({tables})"),
                None => words,
            },
            _ => words,
        }
    }

    /// The decision about a result.
    pub(super) fn decided(&self, set: &crate::model::SetResult) -> Vec<Run> {
        let choice = &self.words.procedure.choices[set.result];
        vec![plain(with_label(&choice.name.title, "")), strong(label(choice, set.value))]
    }

    fn reading(&self, verb: &'static str, reading: Reading, occasions: Occasions) -> Row {
        let procedure = self.words.procedure;
        match reading {
            Reading::Choice(id) => {
                let choice = &procedure.choices[id];
                let labels: Vec<String> = choice.values.iter().map(|value| value.label.clone()).collect();
                let field = |label: String| Field {
                    label,
                    what: choice.name.title.clone(),
                    unit: None,
                    choices: labels.clone(),
                    long: false,
                };
                let fields = occasions.labels().into_iter().map(field).collect();
                Row { fields, ..Row::of(verb, vec![strong(choice.name.title.clone())]) }
            }
            Reading::Number(id) => self.number(verb, id, occasions),
        }
    }

    fn number(&self, verb: &'static str, id: NumberId, occasions: Occasions) -> Row {
        let number = &self.words.procedure.numbers[id];
        let mut how = Vec::new();
        how.extend(number.with.map(|tool| fill(spoken().tell.read_with, &[("tools", &self.words.tool(tool))])));
        how.extend(number.reads.as_ref().map(|reads| fill(spoken().tell.read_to, &[("reads", &own_unit(reads))])));
        let how = if how.is_empty() { String::new() } else { format!(" ({})", how.join("; ")) };
        let field = |label: String| Field {
            label,
            what: number.name.title.clone(),
            unit: Some(number.low.unit.symbol()),
            choices: Vec::new(),
            long: false,
        };
        Row {
            fields: occasions.labels().into_iter().map(field).collect(),
            ..Row::of(verb, vec![strong(number.name.title.clone()), plain(how)])
        }
    }

    fn uses(&self, tools: &[ToolUse], optional: bool, benefit: Option<&str>) -> Row {
        let names: Vec<String> = tools
            .iter()
            .map(|tool| {
                if tool.hold {
                    fill(spoken().tool.to_hold, &[("tool", &self.words.tool_use(tool))])
                } else {
                    self.words.tool_use(tool)
                }
            })
            .collect();
        let remark = if optional { format!(" ({})", done_without(benefit)) } else { String::new() };
        Row::of(spoken().row.r#use, vec![plain(names.join("; ") + &remark)])
    }

    fn counted(&self, verb: &'static str, all: &[Counted<PartId>], from_kit: bool) -> Row {
        Row::of(verb, self.parts(all, from_kit))
    }

    fn make_parts(&self, made: &[Counted<PartId>], from: &[Counted<PartId>], tools: &[ToolUse]) -> Row {
        let between = vec![plain(format!(" {} ", spoken().tell.made_from))];
        let runs = [self.parts(made, false), between, self.parts(from, true)].concat();
        Row { tools: self.words.tools(tools), ..Row::of(spoken().row.make_parts, runs) }
    }

    fn parts(&self, all: &[Counted<PartId>], from_kit: bool) -> Vec<Run> {
        let mut runs = Vec::new();
        for (at, some) in each_or_either(all).enumerate() {
            let from = if from_kit { supplied_in(self.words.procedure, some) } else { None };
            if at > 0 {
                runs.push(plain("; "));
            }
            runs.extend(
                some.first().and_then(|one| Much::of(one).before_title()).map(|much| strong(format!("{much}\u{a0}"))),
            );
            runs.push(plain(parts_title(self.words, some) + &in_brackets(from)));
        }
        runs
    }

    /// `All 8 fastenings of ` and the joint's title.
    fn fastenings(&self, joint: JointId) -> Vec<Run> {
        let joint = &self.words.procedure.joints[joint];
        let title = strong(joint.name.title.clone());
        match joint.count {
            Some(1) => vec![title],
            Some(2) => runs(spoken().joint.both, "joint", title),
            None => runs(spoken().joint.all_uncounted, "joint", title),
            Some(count) => runs(&fill(spoken().joint.all, &[("count", &count.to_string())]), "joint", title),
        }
    }

    fn joint(&self, verb: &'static str, joint: JointId, after: &str, tools: &[ToolUse]) -> Row {
        let mut runs = self.fastenings(joint);
        runs.push(plain(after));
        Row { tools: self.words.tools(tools), ..Row::of(verb, runs) }
    }

    /// `8 ×: bolt M8 × 30 mm, class 8.8, hex head; 2 × washer M8; nut M8 (bag A), for Bracket to rail.` Where a part comes from
    /// stands behind it, and once where several in a row come from there.
    fn place(&self, id: JointId) -> Row {
        let joint = &self.words.procedure.joints[id];
        let from = |counted: &Counted<PartId>| supplied_in(self.words.procedure, std::slice::from_ref(counted));
        let mut text = String::new();
        for (at, counted) in joint.each.iter().enumerate() {
            let title = self.words.procedure.in_sentence(&self.words.part(counted.what));
            let count = if counted.count > 1 { format!("{}\u{a0}×\u{a0}", counted.count) } else { String::new() };
            let next = joint.each.get(at + 1);
            let own = from(counted).filter(|own| next.and_then(from).as_ref() != Some(own));
            let then = if next.is_some() { "; " } else { ", " };
            text.push_str(&format!("{count}{title}{}{then}", in_brackets(own)));
        }
        let count = strong(times(joint) + ": ");
        let mut place = vec![count, plain(text)];
        place.extend(runs(spoken().joint.for_joint, "joint", strong(joint.name.title.clone())));
        Row::of(spoken().row.place, place)
    }

    /// Writes the sentence that the source leaves to us, so that a torque is stated once.
    fn tighten(&self, joint: JointId, tools: &[ToolUse]) -> Row {
        let mut row = self.fastenings(joint);
        let joint = &self.words.procedure.joints[joint];
        let order = order(self.words, joint);
        let staged = order.is_some() && !stage_torques(joint).is_empty();
        let (between, then) = if staged { (", ", spoken().joint.then_to) } else { (" ", spoken().joint.to_torque) };
        row.extend(order.map(|order| plain(format!(" {order}"))));
        match &joint.tightness {
            Tightness::Torque(measure, _) => {
                let thread = joint.thread.map(|thread| fill(spoken().tell.thread, &[("thread", thread_words(thread))]));
                let thread = thread.map_or_else(String::new, |thread| format!(", {thread}"));
                let (told, brackets) = match stages(self.words, joint) {
                    // Long, and not to be kept on one line.
                    Some(stages) => (strong(stages), String::new()),
                    None => {
                        let torque = parts(self.words, joint, measure);
                        let brackets = torque.brackets.map_or_else(String::new, |brackets| format!(" {brackets}"));
                        (Run { text: torque.text, style: "torque" }, brackets)
                    }
                };
                row.extend(std::iter::once(plain(between)).chain(runs(then, "torque", told)));
                row.push(plain(format!("{brackets}{thread}.")));
            }
            Tightness::Unknown(why, _) => row.push(plain(format!(". {}.", no_torque(why)))),
            Tightness::Seen(how, _) => {
                let seen = strong(seen(self.words, joint, how));
                row.extend([plain(format!(" {} ", spoken().tell.until)), seen, plain(".")]);
            }
        }
        row.extend(told_settings(self.words, joint, tools).map(plain));
        Row { tools: self.words.tools(tools), ..Row::of(spoken().row.tighten, row) }
    }

    fn points(&self, verb: &'static str, circuit: CircuitId, points: &[PointId], tools: &[ToolUse]) -> Row {
        let circuit = &self.words.procedure.circuits[circuit];
        let numbers = self.words.procedure.numbers_of_points(circuit);
        let item = |point: &PointId| {
            let words = point_words(self.words, circuit, &circuit.points[*point]);
            let ends = conductors::ends_at(circuit, *point);
            let at = |ends: String| fill(spoken().wires.at_point, &[("point", &words), ("ends", &ends)]);
            let runs = vec![plain(ends.map_or_else(|| words.clone(), at))];
            Item { runs, tick: true, number: Some(numbers[*point]) }
        };
        let items: Vec<Item> = points.iter().map(item).collect();
        let order = if items.len() > 1 { format!(", {}", spoken().tell.in_order) } else { ":".to_owned() };
        let told = |wire| fill(spoken().tell.wire, &[("shown", &own_unit(wire)), ("metal", term(&circuit.metal))]);
        let wire = circuit.wire.as_ref().filter(|_| items.len() > 1).map(told);
        Row {
            ordered: true,
            tools: [wire, self.words.tools(tools)].into_iter().flatten().reduce(|a, b| format!("{a} {b}")),
            ..Row::list(verb, vec![strong(circuit.name.title.clone()), plain(order)], items)
        }
    }

    fn wait(&self, wait: &Wait) -> Row {
        let until = self.words.until(wait);
        let Some(time) = &wait.time else {
            return Row::of(spoken().row.wait, vec![strong(until.unwrap_or_default()), plain(".")]).ticked();
        };
        let until = until.map_or_else(String::new, |until| format!(", {until}"));
        Row::of(spoken().row.wait, vec![strong(self.words.measure(time)), plain(until + ".")])
    }

    fn state(&self, verb: &'static str, state: crate::model::StateId, value: usize) -> Row {
        Row::of(verb, vec![strong(self.words.state(state, value))]).ticked()
    }

    fn record(&self, record: &Record, occasions: Occasions) -> Row {
        match record {
            Record::Reading(reading) => self.reading(spoken().row.write_down, *reading, occasions),
            Record::Torque(id) => {
                let joint = &self.words.procedure.joints[*id];
                let (unit, many) = match &joint.tightness {
                    Tightness::Torque(measure, _) => (Some(measure.stated().unit.symbol()), joint.at_least()),
                    Tightness::Seen(..) | Tightness::Unknown(..) => (None, joint.at_least()),
                };
                let field = |n: u32| Field {
                    label: if many == 1 { String::new() } else { n.to_string() },
                    what: fill(spoken().joint.torque_to_write, &[("n", &n.to_string()), ("joint", &joint.name.title)]),
                    unit,
                    choices: Vec::new(),
                    long: false,
                };
                let text = if many == 1 { spoken().joint.torque_of } else { spoken().joint.torque_of_each };
                let mut asked = runs(text, "joint", strong(joint.name.title.clone()));
                if matches!(occasions, Occasions::InRepairs(n) if n > 1) {
                    asked.push(plain(format!(", {}", spoken().joint.after_last_repair)));
                }
                Row {
                    fields: (1..=many.min(MOST_FIELDS)).map(field).collect(),
                    ..Row::of(spoken().row.write_down, asked)
                }
            }
            Record::Text(what) => {
                let field =
                    Field { label: String::new(), what: what.clone(), unit: None, choices: Vec::new(), long: true };
                Row { fields: vec![field], ..Row::of(spoken().row.write_down, vec![strong(what.clone())]) }
            }
            Record::Taken { parts, least, most } => {
                let what = Much::asked(self.words, parts);
                let range = Much::Between(*least, *most).other().unwrap_or_default();
                let field =
                    Field { label: String::new(), what: what.clone(), unit: None, choices: Vec::new(), long: false };
                let asked = vec![strong(what), plain(format!(" ({range})"))];
                Row { fields: vec![field], ..Row::of(spoken().row.write_down, asked) }
            }
            Record::Photo(what) => Row::of(spoken().row.photo, vec![strong(what.clone())]).ticked(),
        }
    }
}

/// More boxes than this before an action say nothing; the step's count then.
const MOST_BOXES: usize = 3;

/// A joint of more fastenings than this has room for as many torques; the rest go on a sheet of their own.
const MOST_FIELDS: u32 = 200;

/// ` (bag A)`
fn in_brackets(from: Option<String>) -> String {
    from.map_or_else(String::new, |from| format!("\u{a0}({})", from.replace(' ', "\u{a0}")))
}

/// Prose as HTML; `mention` gives the HTML of a mention.
fn prose_html(prose: &Prose, mention: &mut dyn FnMut(&MentionTarget) -> String) -> String {
    prose::to_html(&prose.markdown, &mut |text| {
        prose.mentions.iter().find(|known| known.text == text).map(|known| mention(&known.target))
    })
}

/// Words before what a paragraph says.
fn lead_in(lead: &str, html: String) -> String {
    match html.strip_prefix("<p>") {
        Some(rest) if !lead.is_empty() => format!("<p><b>{lead}</b>{rest}"),
        _ => html,
    }
}
