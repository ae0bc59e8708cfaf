//! Inputs, facts, tools, hazards, actions, states: one statement, one row.

use super::Resolver;
use super::names::{nearest_value, sentence_case};
use super::scope::{Declared, Handle, Target, Wanted};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    Action, ActionKind, Choice, ChoiceKind, Drive, DriveSize, Fact, Hazard, HazardId, Need, NumberInput, NumberKind,
    Protection, SignalWord, State, StateId, Tool, ToolId, Value,
};
use crate::parse::limits;
use crate::parse::tree::{self, ActionLine, HazardLine, Name, ToolLine};
use crate::quantity::{Kind, Measure, Quantity, number};
use crate::source::Span;
use num_traits::Signed;
use std::collections::HashMap;

/// The drives that a tool turns, as written.
pub(super) const DRIVES: &[(&str, Drive)] = &[
    ("hex", Drive::Hex),
    ("hex-socket", Drive::HexSocket),
    ("cross-recess", Drive::CrossRecess),
    ("slot", Drive::Slot),
    ("hexalobular", Drive::Hexalobular),
];

/// The lines of steps that can bring a hazard.
pub(super) const STEP_LINES: &[(&str, ActionKind)] = &[
    ("use", ActionKind::Use),
    ("take", ActionKind::Take),
    ("place", ActionKind::Place),
    ("snug", ActionKind::Snug),
    ("tighten", ActionKind::Tighten),
    ("loosen", ActionKind::Loosen),
    ("remove", ActionKind::Remove),
    ("refit", ActionKind::Refit),
    ("discard", ActionKind::Discard),
    ("connect", ActionKind::Connect),
    ("disconnect", ActionKind::Disconnect),
];

impl<'t> Resolver<'t> {
    /// Makes the row of a declared thing.
    pub(super) fn lower(
        &mut self,
        name: &'t Name,
        declared: Declared<'t>,
        library: bool,
        span: Span,
    ) -> Option<Target> {
        match declared {
            Declared::Choice(choice, kind) => self.choice(choice, kind, library, span),
            Declared::Number(number, kind) => self.number_input(number, kind, library),
            Declared::Fact(value) => {
                let lowered = self.measure(value, &Kind::ALL)?;
                let name = self.naming(name, None, library);
                Some(Target::Fact(self.procedure.facts.push(Fact { name, value: lowered, value_span: value.span })))
            }
            Declared::Limit(limit) => self.lower_limit(limit, span),
            Declared::Part(part) => self.part(part, library, span),
            Declared::Terminal(row) => self.terminal(row, library, span),
            Declared::Tool(tool) => self.tool(tool, library, span),
            Declared::Protection(title) => {
                let written = name;
                let name = self.naming(name, title, library);
                let called = written.text.clone();
                Some(Target::Protection(self.procedure.protections.push(Protection { name, called })))
            }
            Declared::Hazard(hazard) => self.hazard(hazard, library),
            Declared::Action(action) => self.action(action, library),
            Declared::Joint(joint) => self.joint(joint, library, span),
            Declared::Circuit(circuit) => self.circuit(circuit, library, span),
            Declared::State(state) => self.state(state, library, span),
            Declared::Figure(figure) => self.figure(figure, span),
            // Steps get their rows when the flow is lowered, in order of the text.
            Declared::Section | Declared::Step | Declared::Each | Declared::Shared(_) | Declared::Expected(_) => None,
        }
    }

    fn values(&mut self, values: &[tree::Value]) -> Vec<Value> {
        if let Some(beyond) = values.get(limits::VALUES) {
            let message = format!("a choice has at most {} values, and this one has {}", limits::VALUES, values.len());
            let finding = Finding::new(Code::FW0108, message, beyond.name.span, "one too many")
                .because("Nobody chooses from so many; most likely the file is damaged.")
                .repair("Ask for a number instead, or ask in two steps.");
            self.report(finding);
        }
        let mut lowered: Vec<Value> = Vec::new();
        let mut known: HashMap<&str, Span> = HashMap::new();
        for value in values.iter().take(limits::VALUES) {
            self.refuse_word(&value.name);
            if let Some(first) = known.insert(&value.name.text, value.name.span) {
                known.insert(&value.name.text, first);
                let finding = Finding::new(
                    Code::FW0202,
                    format!("the value `{}` is listed twice", value.name.text),
                    value.name.span,
                    "listed again",
                )
                .also(first, "first listed here")
                .repair("Remove one of the two.");
                self.report(finding);
                continue;
            }
            let label = value.label.as_ref().map(|label| label.value.clone());
            let label = label.unwrap_or_else(|| value.name.text.replace('-', " "));
            lowered.push(Value { id: value.name.text.clone(), label, span: value.name.span });
        }
        lowered
    }

    fn choice(&mut self, choice: &tree::Choice, kind: ChoiceKind, library: bool, span: Span) -> Option<Target> {
        let values = self.values(&choice.values);
        if values.len() < 2 && self.is_torn(span) {
            return None;
        }
        if values.len() < 2 {
            self.report(
                Finding::new(
                    Code::FW0114,
                    format!(
                        "`{}` has {} to choose from",
                        choice.name.text,
                        if values.is_empty() { "nothing" } else { "only one value" }
                    ),
                    choice.name.span,
                    "at least two values are needed",
                )
                .repair("List the values in braces: `{ yes  no }`."),
            );
            return None;
        }
        // Its name was made where its text stands.
        let seen = choice.title.as_ref().is_some_and(|title| title.span == choice.name.span);
        let name = self.naming(&choice.name, choice.title.as_ref(), library);
        Some(Target::Choice(self.procedure.choices.push(Choice { name, kind, seen, values })))
    }

    fn number_input(&mut self, number: &tree::NumberInput, kind: NumberKind, library: bool) -> Option<Target> {
        let with = number.with.as_ref().and_then(|tool| match self.find(tool, Wanted::Tool) {
            Some(Target::Tool(tool)) => Some(tool),
            _ => None,
        });
        let instrument = with.map(|tool| &self.procedure.tools[tool]);
        let (of_instrument, step) = instrument.map_or((None, None), |tool| (tool.measures, tool.reads));
        let (low, high) = match (&number.range, of_instrument) {
            (Some(range), _) => self.range_of(range, &Kind::ALL)?,
            (None, Some(range)) => range,
            // A range that is missing without an instrument was reported when the text was read.
            (None, None) => {
                return self.instrument_says_nothing(number, with?, "which readings it can show", "range 0 V to 60 V");
            }
        };
        let range_span = number.range.as_ref().map_or(number.name.span, |range| range.span);
        let reads = match &number.reads {
            Some(reads) => Some(self.single_quantity(reads, &[low.unit.kind()])?),
            None => step.filter(|_| kind == NumberKind::Measure),
        };
        if let (NumberKind::Measure, None, Some(tool)) = (kind, reads, with) {
            return self.instrument_says_nothing(number, tool, "how finely it reads", "reads 1 mm");
        }
        if let Some(step) = reads.filter(|step| !step.value.is_positive()) {
            self.report(
                Finding::new(
                    Code::FW0309,
                    format!("a reading can't go in steps of {step}"),
                    number.name.span,
                    "its smallest step",
                )
                .repair("Write the smallest step of the instrument, such as `reads 1 mm`."),
            );
            return None;
        }
        if kind == NumberKind::Measure && reads.is_none() {
            return None;
        }
        if let Some(step) = reads {
            for end in [low, high] {
                if end.is_on_steps(&step) == Some(false) {
                    let shown = step.to_string();
                    self.report(
                        Finding::new(
                            Code::FW0307,
                            format!("`{end}` is finer than `{}` is read: in steps of {shown}", number.name.text),
                            range_span,
                            "between two readings",
                        )
                        .repair(format!("Write a multiple of {shown}, or a finer step.")),
                    );
                    return None;
                }
            }
        }
        let when = self.condition_of_given(number.when.as_ref())?;
        let name = self.naming(&number.name, number.title.as_ref(), library);
        let row = NumberInput { name, kind, when, low, high, range_span, reads, with };
        Some(Target::Number(self.procedure.numbers.push(row)))
    }

    /// FW0114: what a measure leaves to its instrument, the instrument does not say.
    fn instrument_says_nothing(
        &mut self,
        number: &tree::NumberInput,
        tool: ToolId,
        what: &str,
        write: &str,
    ) -> Option<Target> {
        let tool = &self.procedure.tools[tool].name.id;
        let finding = Finding::new(
            Code::FW0114,
            format!("`{}` does not say {what}, and nor does its instrument `{tool}`", number.name.text),
            number.name.span,
            "said by neither",
        )
        .because("Which branches there must be follows from what can be read.")
        .repair(format!("Write it here, as `{write}`, or in the tool."));
        self.report(finding);
        None
    }

    fn tool(&mut self, tool: &tree::Declared<ToolLine>, library: bool, span: Span) -> Option<Target> {
        let name = self.naming(&tool.name, tool.title.as_ref(), library);
        let mut row = Tool {
            name,
            short: None,
            turns: Vec::new(),
            drives: Vec::new(),
            driven_by: Vec::new(),
            torque: None,
            lever: None,
            extends: None,
            unknown: Vec::new(),
            measures: None,
            reads: None,
            count: None,
            brings: Vec::new(),
            span,
        };
        for item in &tool.lines {
            self.accepts_unless(library, item);
            match &item.node {
                ToolLine::Turns { drive, size, mark } => {
                    row.turns.extend(self.drive_size(drive, size.as_ref(), mark.as_ref()))
                }
                ToolLine::Drives(squares) => row.drives.extend(self.squares(squares)),
                ToolLine::Driven(squares) => row.driven_by.extend(self.squares(squares)),
                ToolLine::Torque(range) => row.torque = self.range_of(range, &[Kind::Torque]).or(row.torque),
                ToolLine::Lever(length) => row.lever = self.single_quantity(length, &[Kind::Length]).or(row.lever),
                ToolLine::LeverUnknown(why) => row.unknown.extend(self.unknown_value("lever", why, item.span)),
                ToolLine::Extends(length) => {
                    row.extends = self.single_quantity(length, &[Kind::Length]).or(row.extends)
                }
                ToolLine::Measures(range) => row.measures = self.range_of(range, &Kind::ALL).or(row.measures),
                ToolLine::Reads(step) => row.reads = self.single_quantity(step, &Kind::ALL).or(row.reads),
                ToolLine::Count(count) => row.count = self.count(Some(count)).or(row.count),
                ToolLine::Brings(names) => row.brings.extend(self.hazards_named(names)),
                ToolLine::Short(short) => row.short = self.some_words(short, "what sentences call it"),
                ToolLine::Source(names) => names.iter().for_each(|name| drop(self.reference(name))),
            }
        }
        Some(Target::Tool(self.procedure.tools.push(row)))
    }

    /// The sizes of squares.
    fn squares(&mut self, written: &[tree::Measure]) -> Vec<Quantity> {
        written.iter().filter_map(|size| self.single_quantity(size, &[Kind::Length])).collect()
    }

    fn drive_size(&mut self, drive: &Name, size: Option<&tree::Measure>, mark: Option<&Name>) -> Option<DriveSize> {
        let Some((_, known)) = DRIVES.iter().find(|(word, _)| *word == drive.text) else {
            let finding =
                Finding::new(Code::FW0208, format!("`{}` is not a drive", drive.text), drive.span, "not known");
            let finding = match nearest_value(&drive.text, DRIVES.iter().map(|(word, _)| *word)) {
                Some(near) => finding.repair(format!("Write `{near}`.")),
                None => finding.repair("Write `hex`, `hex-socket`, `cross-recess`, `slot` or `hexalobular`."),
            };
            self.report(finding);
            return None;
        };
        let (size, to) = match size {
            // `turns hex 6 mm to 24 mm`: a tool that is set to the size.
            Some(sizes) if matches!(sizes.form, tree::MeasureForm::Range(..)) => {
                let (low, high) = self.range_of(sizes, &[Kind::Length])?;
                (Some(low), Some(high))
            }
            Some(size) => (Some(self.single_quantity(size, &[Kind::Length])?), None),
            None => (None, None),
        };
        let mark = mark.map(|mark| mark.text.clone());
        Some(DriveSize { drive: *known, size, to, mark })
    }

    /// Hazards that a thing brings.
    pub(super) fn hazards_named(&mut self, names: &[Name]) -> Vec<(HazardId, Span)> {
        let mut found = Vec::new();
        for name in names {
            if let Some(Target::Hazard(hazard)) = self.find(name, Wanted::Hazard) {
                found.push((hazard, name.span));
            }
        }
        found
    }

    fn hazard(&mut self, hazard: &tree::Declared<HazardLine>, library: bool) -> Option<Target> {
        let name = self.naming(&hazard.name, hazard.title.as_ref(), library);
        let mut row = Hazard {
            name,
            called: hazard.name.text.clone(),
            signal: SignalWord::Warning,
            people: 1,
            people_unless: Vec::new(),
            from: Vec::new(),
            answered_by: Vec::new(),
            licensed: None,
        };
        for item in &hazard.lines {
            self.accepts_unless(library, item);
            match &item.node {
                HazardLine::Signal(word) => row.signal = self.signal(word).unwrap_or(row.signal),
                HazardLine::LeastPeople { people, unless } => {
                    row.people = self.people(people).unwrap_or(row.people);
                    row.people_unless.extend(unless.iter().filter_map(|name| self.hazard_called(name)));
                }
                HazardLine::From(words) => {
                    for word in words {
                        row.from.extend(self.action_kind(word));
                    }
                }
                HazardLine::AnsweredBy(names) => {
                    for name in names {
                        if let Some(Target::Protection(protection)) = self.find(name, Wanted::Protection) {
                            row.answered_by.push(protection);
                        }
                    }
                }
                HazardLine::Licensed(work) => row.licensed = Some(work.value.trim().to_owned()),
                HazardLine::Source(names) => names.iter().for_each(|name| drop(self.reference(name))),
            }
        }
        Some(Target::Hazard(self.procedure.hazards.push(row)))
    }

    /// The name of a hazard that is only spoken of: it doesn't enter the model by that.
    fn hazard_called(&mut self, name: &Name) -> Option<String> {
        let handle = self.scope.see(&name.text, name.span.file);
        let entry = handle.and_then(|handle| self.scope.entry(handle));
        if let Some(entry) = entry.filter(|entry| matches!(entry.declared, Declared::Hazard(_))) {
            let means = entry.name.span;
            self.note_use(name.span, means);
            handle.into_iter().for_each(|handle| self.scope.mark_used(handle));
            return Some(name.text.clone());
        }
        // Says what is wrong with it.
        self.find(name, Wanted::Hazard).map(|_| name.text.clone())
    }

    /// A signal word.
    pub(super) fn signal(&mut self, word: &Name) -> Option<SignalWord> {
        let signal = match word.text.as_str() {
            "danger" => SignalWord::Danger,
            "warning" => SignalWord::Warning,
            "caution" => SignalWord::Caution,
            "notice" => SignalWord::Notice,
            other => {
                self.report(
                    Finding::new(Code::FW0208, format!("`{other}` is not a signal word"), word.span, "not known")
                        .repair("Write `danger`, `warning`, `caution` or `notice`."),
                );
                return None;
            }
        };
        Some(signal)
    }

    fn action_kind(&mut self, word: &Name) -> Option<ActionKind> {
        let found = STEP_LINES.iter().find(|(known, _)| *known == word.text).map(|(_, kind)| *kind);
        if found.is_none() {
            let all: Vec<String> = STEP_LINES.iter().map(|(known, _)| format!("`{known}`")).collect();
            self.report(
                Finding::new(
                    Code::FW0208,
                    format!("`{}` is not a line that can bring a hazard", word.text),
                    word.span,
                    "not known",
                )
                .repair(format!("Write one of {}.", all.join(", "))),
            );
        }
        found
    }

    /// Hazards that kinds of line bring hold whether or not anything names them.
    pub(super) fn standing_hazards(&mut self) {
        let standing: Vec<Handle<'t>> = self
            .scope
            .iter()
            .filter(|(_, entry)| match entry.declared {
                Declared::Hazard(hazard) => {
                    hazard.lines.may_say("from")
                        && hazard.lines.iter().any(|item| matches!(item.node, HazardLine::From(_)))
                }
                _ => false,
            })
            .map(|(handle, _)| handle)
            .collect();
        for handle in standing {
            self.intern(handle);
        }
    }

    fn action(&mut self, action: &tree::Declared<ActionLine>, library: bool) -> Option<Target> {
        let name = self.naming(&action.name, action.title.as_ref(), library);
        let mut row = Action { name, needs: Vec::new(), brings: Vec::new() };
        for item in &action.lines {
            self.accepts_unless(library, item);
            match &item.node {
                ActionLine::Need { state, value } => row.needs.extend(self.need(state, value, item.span)),
                ActionLine::Brings(names) => row.brings.extend(self.hazards_named(names)),
                ActionLine::Source(names) => names.iter().for_each(|name| drop(self.reference(name))),
            }
        }
        Some(Target::Action(self.procedure.actions.push(row)))
    }

    /// A state and one of its values.
    pub(super) fn state_value(&mut self, state: &Name, value: &Name) -> Option<(StateId, usize)> {
        let Some(Target::State(id)) = self.find(state, Wanted::State) else { return None };
        let row = &self.procedure.states[id];
        let found = row.values.iter().position(|known| known.id == value.text);
        if found.is_none() && !self.unread.contains(&value.text) {
            let finding = super::conditions::no_such_value(&row.name.id, row.name.span, &row.values, value);
            self.report(finding);
        }
        let means = found.and_then(|at| Some(self.procedure.states[id].values.get(at)?.span));
        means.into_iter().for_each(|means| self.note_use(value.span, means));
        found.map(|value| (id, value))
    }

    pub(super) fn need(&mut self, state: &Name, value: &Name, span: Span) -> Option<Need> {
        let (state, value) = self.state_value(state, value)?;
        Some(Need { state, value, span })
    }

    fn state(&mut self, state: &tree::State, library: bool, span: Span) -> Option<Target> {
        let values = self.values(&state.values);
        if values.len() < 2 && self.is_torn(span) {
            return None;
        }
        if values.len() < 2 {
            self.report(
                Finding::new(
                    Code::FW0114,
                    format!("the state `{}` needs at least two values", state.name.text),
                    state.name.span,
                    "nothing can change",
                )
                .repair("List them one a line: `on \"on the post\"`, `off \"off the post\"`."),
            );
            return None;
        }
        let name = self.naming(&state.name, state.title.as_ref(), library);
        let starts = self.value_of(&name.id, name.span, &values, state.starts.as_ref()?)?;
        let ends = match &state.ends {
            Some(ends) => Some((self.value_of(&name.id, name.span, &values, ends)?, ends.span)),
            None => None,
        };
        let when = self.optional_cond(state.when.as_ref())?;
        Some(Target::State(self.procedure.states.push(State { name, when, values, starts, ends, span })))
    }

    fn value_of(&mut self, subject: &str, declared: Span, values: &[Value], name: &Name) -> Option<usize> {
        let found = values.iter().position(|value| value.id == name.text);
        if found.is_none() && !self.unread.contains(&name.text) {
            self.report(super::conditions::no_such_value(subject, declared, values, name));
        }
        let means = found.and_then(|at| values.get(at));
        means.into_iter().for_each(|value| self.note_use(name.span, value.span));
        found
    }

    /// `accept` lines of libraries cover nothing in the procedure.
    pub(super) fn accepts_unless<N>(&mut self, library: bool, item: &tree::Item<N>) {
        if !library {
            self.accepts(item);
        }
    }

    /// A terminal of a library.
    fn terminal(&mut self, row: &'t tree::Row, library: bool, span: Span) -> Option<Target> {
        let mut terminal = crate::model::Terminal { wires: Vec::new(), studs: Vec::new(), sources: Vec::new() };
        for attribute in &row.attributes {
            match super::attribute::word(attribute) {
                "wire" => {
                    if attribute.measures.is_empty() || !attribute.words.is_empty() {
                        self.unreadable(attribute, "16 AWG to 14 AWG");
                    }
                    for measure in &attribute.measures {
                        terminal.wires.extend(self.wire_sizes(measure));
                    }
                }
                "stud" => {
                    if attribute.words.is_empty() || !attribute.measures.is_empty() {
                        self.unreadable(attribute, "M6 1/4-20");
                    }
                    terminal.studs.extend(attribute.words.iter().map(|name| name.text.clone()));
                }
                "source" => terminal.sources = self.sources(attribute),
                _ => self.unknown_attribute(attribute, "wire, stud, source"),
            }
        }
        if !row.attributes.iter().any(|attribute| super::attribute::word(attribute) == "wire") {
            self.missing(
                format!("the terminal `{}` does not say which wire it takes", row.name.text),
                row.span,
                "its wire sizes are missing",
                "Add them: `wire 16 AWG to 14 AWG`.",
            );
            return None;
        }
        self.hold_terminal(row, &terminal)?;
        let name = self.naming(&row.name, row.title.as_ref(), library);
        let part = crate::model::Part {
            name,
            fastener: None,
            terminal: Some(terminal),
            mass: None,
            number: None,
            short: None,
            unknown: Vec::new(),
            consumable: false,
            comes_by: None,
            single_use: false,
            brings: Vec::new(),
            span,
        };
        Some(Target::Part(self.procedure.parts.push(part)))
    }

    /// Wire sizes: an AWG range runs from thin to thick, so its numbers fall.
    fn wire_sizes(&mut self, written: &tree::Measure) -> Option<Measure> {
        let kinds = [Kind::WireGauge, Kind::Area];
        let tree::MeasureForm::Range(first, second) = &written.form else { return self.measure(written, &kinds) };
        let is_awg = second.unit.as_ref().is_some_and(|unit| unit.text == "AWG");
        let size = |amount: &tree::Amount| number::parse_gauge(&amount.number.text).ok().map(|(size, _)| size);
        let falls = is_awg && size(first) > size(second);
        if !falls {
            return self.measure(written, &kinds);
        }
        let high = self.quantity(second, &kinds, None)?;
        let low = self.quantity(first, &kinds, Some(high.unit))?;
        Some(Measure::Range { low, high })
    }
}

/// The words for a role or person: `second-person` as `Second person`.
pub(super) fn role(name: &Name) -> String {
    sentence_case(&name.text)
}
