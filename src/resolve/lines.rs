//! The lines of steps.

use super::Resolver;
use super::amounts::Place;
use super::scope::{Target, Wanted};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    Counted, JointId, Letter, Line, LineKind, Message, PartId, Reading, Record, StepId, Takes, ToolUse, Wait,
};
use crate::parse::tree::{self, CountedName, Item, Name, StepLine};
use crate::quantity::{Exact, Kind};
use crate::source::Span;

/// The longest wait, in seconds: a week. What takes longer is another job.
const MOST_WAIT: i128 = 7 * 24 * 3600;

/// Words for how many people a step needs.
const PEOPLE: &[(&str, u32)] = &[
    ("one-person", 1),
    ("two-people", 2),
    ("three-people", 3),
    ("four-people", 4),
    ("five-people", 5),
    ("six-people", 6),
];

impl<'t> Resolver<'t> {
    /// Lowers the lines of a step in order; the time stands apart.
    pub(super) fn lines(&mut self, step: StepId, lines: &'t [Item<StepLine>]) -> (Vec<Line>, Option<Takes>) {
        let mut lowered: Vec<Line> = Vec::with_capacity(lines.len());
        // Where its actions stand.
        let mut counted: Vec<usize> = Vec::new();
        let mut takes = None;
        for item in lines {
            self.accepts(item);
            if let StepLine::Takes { time, people } = &item.node {
                takes = self.takes(time.as_ref(), people.as_ref(), item.span).or(takes);
                continue;
            }
            if let StepLine::Prose(prose) = &item.node {
                let actions = self.actions(step, prose);
                counted.extend(
                    actions
                        .iter()
                        .enumerate()
                        .filter(|(_, (.., is_action))| *is_action)
                        .map(|(at, _)| lowered.len() + at),
                );
                let line = |(prose, span, _)| Line { kind: LineKind::Prose(prose), by_hand: false, span };
                lowered.extend(actions.into_iter().map(line));
                continue;
            }
            if matches!(item.node, StepLine::Sure(_)) {
                counted.push(lowered.len());
            }
            let by_hand = is_by_hand(&item.node);
            lowered.extend(self.line(&item.node, item.span).map(|kind| Line { kind, by_hand, span: item.span }));
            if let (StepLine::Take(entries), Some(LineKind::Take(taken))) =
                (&item.node, lowered.last().map(|line| &line.kind))
            {
                let asked = self.taken(entries, taken).into_iter();
                lowered.extend(asked.map(|(record, span)| Line {
                    kind: LineKind::Record(record),
                    by_hand: false,
                    span,
                }));
            }
        }
        if counted.len() > 1 {
            for (place, at) in counted.into_iter().enumerate() {
                if let Some(Line { kind: LineKind::Prose(prose), .. }) = lowered.get_mut(at) {
                    prose.letter = Some(Letter::at(place));
                }
            }
        }
        (lowered, takes)
    }

    fn line(&mut self, line: &'t StepLine, span: Span) -> Option<LineKind> {
        Some(match line {
            StepLine::Note(text) => LineKind::Note(self.said(text)),
            StepLine::Sure(text) => {
                self.some_words(text, "what must be so, as `the holes lie over each other`")?;
                LineKind::Prose(self.sure(text))
            }
            StepLine::Message(message) => LineKind::Message(self.message(message)?),
            StepLine::Read(names) => LineKind::Read(self.readings(names)?),
            StepLine::Use { tools, optional } => LineKind::Use {
                tools: self.tool_uses(tools)?,
                optional: optional.is_some(),
                benefit: optional.as_ref().and_then(|benefit| benefit.as_ref()).map(|text| text.value.clone()),
            },
            StepLine::Wear(names) => LineKind::Wear(self.protections(names)),
            StepLine::Take(entries) => LineKind::Take(self.much_of_parts(entries, Place::Taken)),
            StepLine::Place(names) => return self.place(names),
            StepLine::Snug { joint, tools } => {
                let (joint, tools) = self.joint_with_tools(joint, tools);
                LineKind::Snug(joint?, tools?)
            }
            StepLine::Tighten { joint, tools } => {
                let (joint, tools) = self.joint_with_tools(joint, tools);
                LineKind::Tighten(joint?, tools?)
            }
            StepLine::Loosen { joint, tools } => {
                let (joint, tools) = self.joint_with_tools(joint, tools);
                LineKind::Loosen(joint?, tools?)
            }
            StepLine::Remove { what, tools, .. } => self.remove(what, tools, span)?,
            StepLine::Refit(what) => self.refit(what, span)?,
            StepLine::Discard(what) => LineKind::Discard(self.counted_parts(what)),
            StepLine::Reuse(what) => LineKind::Reuse(self.counted_parts(what)),
            StepLine::KeepParts { what, from_kit } => {
                LineKind::KeepParts { parts: self.counted_parts(what), from_kit: *from_kit }
            }
            StepLine::Connect { circuit, points, tools, .. } => {
                let Some(Target::Circuit(circuit)) = self.find(circuit, Wanted::Circuit) else { return None };
                LineKind::Connect(circuit, self.points(circuit, points, true)?, self.tool_uses(tools)?)
            }
            StepLine::Disconnect { circuit, points, tools, .. } => {
                let Some(Target::Circuit(circuit)) = self.find(circuit, Wanted::Circuit) else { return None };
                LineKind::Disconnect(circuit, self.points(circuit, points, false)?, self.tool_uses(tools)?)
            }
            StepLine::Need { state, value } => LineKind::Need(self.need(state, value, span)?),
            StepLine::Make { state, value } => {
                let (state, value) = self.state_value(state, value)?;
                LineKind::Make { state, value }
            }
            StepLine::MakeParts { made, from, tools, .. } => {
                let made = self.much_of_parts(made, Place::Made);
                let from = self.much_of_parts(from, Place::UsedUp);
                LineKind::MakeParts { made, from, tools: self.tool_uses(tools)? }
            }
            StepLine::Set { result, value } => LineKind::Set(self.set_result(result, value, span)?),
            StepLine::Do(action) => match self.find(action, Wanted::Action)? {
                Target::Action(action) => LineKind::Do(action),
                _ => return None,
            },
            StepLine::Record(record) => LineKind::Record(self.record(record)?),
            StepLine::Wait { time: Some(time), until } => LineKind::Wait(self.wait(time, until.as_ref())?),
            StepLine::Wait { time: None, until } => {
                let until = until.as_ref()?;
                self.some_words(until, "what is waited for, as `until the primer is dry`")?;
                LineKind::Wait(Wait { time: None, until: self.said(until) })
            }
            StepLine::Figure { shown, when } => LineKind::Figure(self.shown(shown, when.as_ref(), span)?),
            StepLine::Prose(_) | StepLine::Takes { .. } => return None,
        })
    }

    fn takes(&mut self, time: Option<&tree::Measure>, people: Option<&Name>, span: Span) -> Option<Takes> {
        let time = match time {
            Some(time) => Some(self.measure(time, &[Kind::Time])?),
            None => None,
        };
        let people = match people {
            None => 1,
            Some(words) => self.people(words)?,
        };
        Some(Takes { time, people, span })
    }

    /// `two people`, `3 people`
    pub(super) fn people(&mut self, words: &Name) -> Option<u32> {
        let joined = words.text.split_whitespace().collect::<Vec<_>>().join("-");
        let named = PEOPLE.iter().find(|(known, _)| *known == joined).map(|(_, people)| *people);
        let counted = || {
            joined
                .split('-')
                .next()
                .and_then(|count| count.parse::<u32>().ok())
                .filter(|count| (1..=20).contains(count))
        };
        let people = named.or_else(counted);
        if people.is_none() {
            self.report(
                Finding::new(
                    Code::FW0309,
                    format!("`{}` is not a number of people", words.text),
                    words.span,
                    "not understood",
                )
                .repair("Write `two people`, `three people`, …"),
            );
        }
        people
    }

    /// `wait 30 min "until the primer is dry"`
    fn wait(&mut self, time: &tree::Measure, until: Option<&tree::Text>) -> Option<Wait> {
        let span = time.span;
        let time = self.measure(time, &[Kind::Time])?;
        let until = until.map(|text| self.said(text)).unwrap_or_default();
        let least = time.low().and_then(|least| least.base());
        let most = time.high().and_then(|most| most.base());
        let nothing = Exact::from_integer(0);
        let fault = match (least, most) {
            (None, _) => "says no time that is waited at least",
            (Some(least), _) if least <= nothing => "is no time to wait",
            (Some(least), most) if most.unwrap_or(least) > Exact::from_integer(MOST_WAIT) => "is more than a week",
            _ => return Some(Wait { time: Some(time), until }),
        };
        let message = format!("`{}` {fault}", time.source_form());
        self.report(
            Finding::new(Code::FW0309, message, span, "waited here")
                .because("Whoever reads it must know when the work goes on.")
                .repair("Write the time that must pass at least, such as `wait 30 min` or `wait 30 min to 45 min`."),
        );
        None
    }

    fn message(&mut self, message: &tree::Message) -> Option<Message> {
        let signal = self.signal(&message.signal);
        let Some(Target::Hazard(hazard)) = self.find(&message.hazard, Wanted::Hazard) else { return None };
        let mut text = |text: &Option<tree::Text>| text.as_ref().map(|text| self.said(text)).unwrap_or_default();
        let (nature, consequence, avoid) = (text(&message.nature), text(&message.consequence), text(&message.avoid));
        Some(Message { signal: signal?, hazard, nature, consequence, avoid })
    }

    fn readings(&mut self, names: &[Name]) -> Option<Vec<Reading>> {
        let readings: Vec<Option<Reading>> = names.iter().map(|name| self.reading(name, Wanted::Reading)).collect();
        readings.into_iter().collect()
    }

    fn reading(&mut self, name: &Name, wanted: Wanted) -> Option<Reading> {
        match self.find(name, wanted)? {
            Target::Choice(choice) => Some(Reading::Choice(choice)),
            Target::Number(number) => Some(Reading::Number(number)),
            _ => None,
        }
    }

    /// Tools in a list; every name is looked at, so that one mistake does not hide the next.
    pub(super) fn tool_uses(&mut self, tools: &[tree::ToolUse]) -> Option<Vec<ToolUse>> {
        let mut lowered = Vec::new();
        let mut broken = false;
        for tool in tools {
            let mut any_of = Vec::new();
            for name in &tool.any_of {
                match self.find(name, Wanted::Tool) {
                    Some(Target::Tool(tool)) => any_of.push(tool),
                    _ => broken = true,
                }
            }
            let count = self.count(tool.count.as_ref());
            broken |= count.is_none();
            let across = tool.across.as_ref().is_some_and(|angle| self.is_across(angle));
            lowered.push(ToolUse { hold: tool.hold, count: count.unwrap_or(1), any_of, across, span: tool.span });
        }
        (!broken).then_some(lowered)
    }

    /// FW0309: an adapter stands along the handle, or across it.
    fn is_across(&mut self, angle: &tree::Measure) -> bool {
        let Some(read) = self.single_quantity(angle, &[Kind::Angle]) else { return false };
        let is_right = read.base() == Some(Exact::from_integer(90));
        if !is_right {
            self.report(
                Finding::new(Code::FW0309, "an adapter stands along the handle, or at 90 deg to it", angle.span, "at another angle")
                    .because("Only then is it plain what the wrench is set to.")
                    .repair("Write `at 90 deg`, or nothing where it lengthens the handle; for another angle declare a tool whose `extends` is its part along the handle."),
            );
        }
        is_right
    }

    fn joint_named(&mut self, name: &Name) -> Option<JointId> {
        match self.find(name, Wanted::Joint)? {
            Target::Joint(joint) => Some(joint),
            _ => None,
        }
    }

    /// Both are looked up, whatever becomes of the other.
    fn joint_with_tools(&mut self, joint: &Name, tools: &[tree::ToolUse]) -> (Option<JointId>, Option<Vec<ToolUse>>) {
        (self.joint_named(joint), self.tool_uses(tools))
    }

    fn place(&mut self, names: &[Name]) -> Option<LineKind> {
        // One line, one joint: a list is split by the writer so that each has its own tick box.
        let [name] = names else {
            let span = names.first()?.span.to(names.last()?.span);
            self.report(
                Finding::new(Code::FW0113, "one `place` line places one joint", span, "more than one joint")
                    .repair("Write a `place` line for each joint."),
            );
            return None;
        };
        self.joint_named(name).map(LineKind::Place)
    }

    /// The joint that a list names alone, if it does.
    fn lone_joint(&mut self, what: &[CountedName], span: Span) -> Option<Option<JointId>> {
        for entry in what.iter().filter(|entry| entry.is_bare()) {
            if let Some(both) = self.scope.part_or_joint(&entry.name.text, entry.name.span.file) {
                let repair = format!("Write `1 {}` for the part.", entry.name.text);
                self.part_or_joint(&entry.name.text, both, entry.name.span, &repair);
                return None;
            }
        }
        let is_joint = |name: &Name| {
            let is_either = self.scope.part_or_joint(&name.text, name.span.file).is_some();
            !is_either && self.scope.get(name).is_some_and(|entry| entry.declared.is_joint())
        };
        let joints = what.iter().filter(|entry| is_joint(&entry.name)).count();
        match (joints, what) {
            (0, _) => Some(None),
            (_, [only]) if only.is_bare() => Some(Some(self.joint_named(&only.name)?)),
            _ => {
                self.report(
                    Finding::new(
                        Code::FW0113,
                        "a joint stands alone in its line, without a count",
                        span,
                        "joints and parts together",
                    )
                    .repair("Write a line for the joint, and another for the parts."),
                );
                None
            }
        }
    }

    fn remove(&mut self, what: &[CountedName], tools: &[tree::ToolUse], span: Span) -> Option<LineKind> {
        let joint = self.lone_joint(what, span);
        let tools = self.tool_uses(tools);
        Some(match joint? {
            Some(joint) => LineKind::RemoveJoint(joint, tools?),
            None => LineKind::Remove(self.counted(what)?, tools?),
        })
    }

    fn refit(&mut self, what: &[CountedName], span: Span) -> Option<LineKind> {
        Some(match self.lone_joint(what, span)? {
            Some(joint) => LineKind::RefitJoint(joint),
            None => LineKind::Refit(self.counted(what)?),
        })
    }

    fn counted(&mut self, what: &[CountedName]) -> Option<Vec<Counted<PartId>>> {
        let lowered: Vec<Option<Counted<PartId>>> =
            what.iter().map(|entry| self.much_of_part(entry, &entry.name, Place::Pieces)).collect();
        lowered.into_iter().collect()
    }

    /// What is written down says at which place.
    fn asked_at_place(&self, text: &tree::Text) -> String {
        let place = text.span.file.place().and_then(|place| self.expansion.places.get(place));
        place.map_or_else(|| text.value.clone(), |place| place.titled(&text.value))
    }

    fn record(&mut self, record: &tree::Record) -> Option<Record> {
        Some(match record {
            tree::Record::Torque(joint) => Record::Torque(self.joint_named(joint)?),
            tree::Record::Reading(name) => Record::Reading(self.reading(name, Wanted::Recordable)?),
            tree::Record::Text(text) => Record::Text(self.asked_at_place(text)),
            tree::Record::Photo(text) => Record::Photo(self.asked_at_place(text)),
        })
    }
}

/// Whether a line says `by hand`. Lines that need tools otherwise have none then.
fn is_by_hand(line: &StepLine) -> bool {
    match line {
        StepLine::Snug { tools, .. } | StepLine::Tighten { tools, .. } | StepLine::Loosen { tools, .. } => {
            tools.is_empty()
        }
        StepLine::Remove { by_hand, .. }
        | StepLine::MakeParts { by_hand, .. }
        | StepLine::Connect { by_hand, .. }
        | StepLine::Disconnect { by_hand, .. } => *by_hand,
        _ => false,
    }
}
