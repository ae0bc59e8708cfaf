//! What the lines of a step do, in their order.

use fitwright::diagnostics::Code;
use fitwright::model::{ActionId, LineKind, MentionTarget, Need, Prose, Reading, Record, Said, StateId, StepId};
use fitwright::source::Span;

use super::interpreter::{Going, Job};
use super::trace::{StateChange, Subject, Verdict};

impl<'p> Job<'p, '_> {
    /// Does the lines of a step or check, then decides the limits that its readings complete.
    ///
    /// **Decision.** Lines are done in their order: a `make` above a `need` of the same step counts for it. A mention in
    /// prose is served by a `take` anywhere in the same step, since the sample takes below its prose.
    pub(super) fn do_lines(&mut self, step: StepId) -> Going {
        let row = &self.procedure.steps[step];
        self.trace.steps.push(step);
        self.trace.repairs_before.push(self.trace.repairs);
        self.meet_parts_of(&row.lines);
        self.in_step = true;
        self.lay_out_taken(&row.lines);
        for (at, line) in row.lines.iter().enumerate() {
            self.meet_hazards(step, at);
            self.tied(&line.kind, line.span);
            self.line(step, &line.kind, line.span)?;
            self.after_line(line);
        }
        self.try_what_was_said();
        self.in_step = false;
        self.decide_limits(Some(step))
    }

    fn line(&mut self, step: StepId, kind: &'p LineKind, at: Span) -> Going {
        match kind {
            LineKind::Read(readings) => readings.iter().try_for_each(|reading| {
                self.answered_by_eye(step, *reading, at);
                self.ask(*reading)
            })?,
            LineKind::Take(counted) => counted.iter().for_each(|entry| self.take_much(entry, at)),
            LineKind::MakeParts { made, from, .. } => self.make_parts(made, from, at),
            LineKind::Place(joint) => self.place(*joint, at),
            LineKind::Snug(joint, _) => self.snug(*joint, at),
            LineKind::Tighten(joint, _) => self.tighten(*joint, at),
            LineKind::Loosen(joint, _) => self.loosen(*joint, at),
            LineKind::RemoveJoint(joint, _) => self.remove_joint(*joint, at),
            LineKind::RefitJoint(joint) => self.refit_joint(*joint, at),
            LineKind::Remove(counted, _) => counted.iter().for_each(|entry| self.remove(entry.what, entry.count, at)),
            LineKind::Refit(counted) => counted.iter().for_each(|entry| self.refit(entry.what, entry.count, at)),
            LineKind::Discard(counted) => counted.iter().for_each(|entry| self.discard(entry.what, entry.count, at)),
            LineKind::Reuse(counted) => counted.iter().for_each(|entry| self.reuse(entry.what, entry.count, at)),
            LineKind::KeepParts { parts: counted, from_kit } => {
                counted.iter().for_each(|entry| self.keep(entry.what, entry.count, *from_kit, at))
            }
            LineKind::Connect(circuit, points, _) => self.connect(*circuit, points, at),
            LineKind::Disconnect(circuit, points, _) => self.disconnect(*circuit, points, at),
            LineKind::Need(need) => self.need(need, at),
            LineKind::Make { state, value } => self.make(*state, *value, at),
            LineKind::Set(set) => self.set(set),
            LineKind::Do(action) => self.act(*action, at),
            LineKind::Record(Record::Reading(reading)) => self.tell(*reading, at),
            LineKind::Record(Record::Torque(joint)) => self.write_torque(*joint, at),
            LineKind::Prose(prose) => {
                self.read_prose(prose);
                self.work_said(prose, at);
            }
            LineKind::Note(said) => self.read_said(said),
            LineKind::Wait(wait) => self.read_said(&wait.until),
            LineKind::Message(message) => {
                message.texts().into_iter().for_each(|text| self.read_said(text));
                self.trace.in_force.insert(message.hazard);
            }
            LineKind::Record(_) | LineKind::Use { .. } | LineKind::Wear(_) | LineKind::Figure(_) => {}
        }
        Ok(())
    }

    /// Where the state surely is not there, asking for it or changing it is a fault.
    fn state_is_there(&mut self, state: StateId, at: Span) -> bool {
        let row = &self.procedure.states[state];
        let Some(when) = row.when.as_ref().filter(|when| self.known.truth(when) == Some(false)) else { return true };
        self.fault(Code::FW0420, at, Subject::State(state), vec![when.span, row.name.span, row.span]);
        false
    }

    fn need(&mut self, need: &Need, at: Span) {
        if !self.state_is_there(need.state, at) {
            return;
        }
        if self.states[state_row(need.state)] != need.value {
            let also = vec![need.span, self.procedure.states[need.state].name.span];
            self.fault(Code::FW0801, at, Subject::State(need.state), also);
        }
    }

    fn act(&mut self, action: ActionId, at: Span) {
        let needs = &self.procedure.actions[action].needs;
        needs.iter().for_each(|need| self.need(need, at));
    }

    fn make(&mut self, state: StateId, value: usize, at: Span) {
        self.state_is_there(state, at);
        let isolated: Vec<bool> = self.procedure.circuits.rows().iter().map(|row| self.isolated(row)).collect();
        let (held, certain) = (self.states[state_row(state)] == value, !self.trace.doubtful);
        self.trace.makes.push(Verdict { at, held, certain, guards: false });
        self.states[state_row(state)] = value;
        let after_steps = self.trace.steps.len();
        self.trace.states.push(StateChange { after_steps, state, value });
        self.isolation_may_have_ended(at, &isolated);
    }

    /// Prose carries parts and values to a reader.
    pub(super) fn read_prose(&mut self, prose: &Prose) {
        for mention in &prose.mentions {
            match mention.target {
                MentionTarget::Part(part) => self.mention_part(part, mention.span),
                MentionTarget::Choice(choice) => self.tell(Reading::Choice(choice), mention.span),
                MentionTarget::Number(number) => self.tell(Reading::Number(number), mention.span),
                MentionTarget::Joint(joint) => {
                    self.is_there(joint, mention.span);
                }
                MentionTarget::Circuit(circuit) => self.circuit_is_there(circuit, mention.span),
                _ => {}
            }
        }
    }

    /// A text carries values to a reader; parts that it names need not be at hand.
    pub(super) fn read_said(&mut self, said: &Said) {
        for mention in &said.mentions {
            match mention.target {
                MentionTarget::Choice(choice) => self.tell(Reading::Choice(choice), mention.span),
                MentionTarget::Number(number) => self.tell(Reading::Number(number), mention.span),
                _ => {}
            }
        }
    }

    /// A value is told to a reader, or written down: something must have brought it about.
    ///
    /// **Decision.** A line of the same step serves, wherever it stands in the step: prose stands above what it speaks of.
    fn tell(&mut self, reading: Reading, at: Span) {
        self.trace.told.insert(reading);
        let step = self.trace.steps.last().map(|step| &self.procedure.steps[*step]).filter(|_| self.in_step);
        let here = step.is_some_and(|step| {
            step.lines.iter().any(|line| match &line.kind {
                LineKind::Read(readings) => readings.contains(&reading),
                LineKind::Set(set) => Reading::Choice(set.result) == reading,
                _ => false,
            })
        });
        if here {
            return;
        }
        let unknown = match reading {
            Reading::Choice(choice) => self.known.choice(choice).is_none(),
            Reading::Number(number) => self.known.number(number).is_none(),
        };
        if unknown {
            let (code, subject) = match reading {
                Reading::Choice(choice)
                    if self.procedure.choices[choice].kind == fitwright::model::ChoiceKind::Result =>
                {
                    (Code::FW0411, Subject::Result(choice))
                }
                _ => (Code::FW0406, Subject::Reading(reading)),
            };
            self.fault(code, at, subject, Vec::new());
        }
    }
}

fn state_row(state: StateId) -> usize {
    fitwright::model::Id::index(state)
}
