//! Every place of a statement, to move a copy of it.

use super::*;

/// Something that stands in the text, with all that stands in it.
pub trait Spans {
    /// Visits each place, so that it can be changed.
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span));
}

impl Spans for Span {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        visit(self);
    }
}

impl<T: Spans> Spans for Vec<T> {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        self.iter_mut().for_each(|one| one.spans(visit));
    }
}

impl<T: Spans> Spans for Option<T> {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        if let Some(one) = self {
            one.spans(visit);
        }
    }
}

impl<T: Spans> Spans for Box<T> {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        self.as_mut().spans(visit);
    }
}

/// The parts of a node that hold places, each once; the compiler says where one is forgotten.
macro_rules! spans {
    ($($node:ident { $($field:ident),* $(; $($rest:ident),*)? })*) => { $(
        impl Spans for $node {
            fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
                let $node { $($field,)* $($($rest: _,)*)? } = self;
                $($field.spans(visit);)*
            }
        }
    )* };
}

spans! {
    Name { span; text }
    Text { span; value }
    Prose { lines, span }
    Number { span; text }
    Amount { number, unit, span }
    Measure { form, span }
    Accept { code, subjects, at, reason, span }
    Choice { name, title, for_each, values }
    Value { name, label }
    NumberInput { name, title, for_each, when, range, reads, with }
    CountedName { count, to, amount, unknown, name, or, recorded }
    WireEnd { point, pin }
    Plug { pins, gender, mates, twice }
    Conductor { colour, unknown, carries, title, ends, measures, labels }
    Stage { does, meanwhile, span }
    Due { after, span; running }
    State { name, title, for_each, when, values, starts, ends }
    Comparison { left, right, span; op }
    Arm { pattern, pattern_span, body, span }
    Step { name, title, when, lines, spares_for, another_person }
    Check { name, title, when, lines, another_person, expects, seen, repair, otherwise, replace }
    Replace { what, title, tools, lines; by_hand }
    Repair { times, body, span }
    CheckElse { text, body, accepts, span; stop }
    ToolUse { count, any_of, across, span; hold }
    Message { signal, hazard, nature, consequence, avoid }
}

impl<T: Spans> Spans for Item<T> {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        let Item { node, accepts, span } = self;
        node.spans(visit);
        accepts.spans(visit);
        visit(span);
    }
}

impl<L: Spans> Spans for Declared<L> {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        let Declared { name, title, for_each, when, lines } = self;
        name.spans(visit);
        title.spans(visit);
        for_each.spans(visit);
        when.spans(visit);
        lines.spans(visit);
    }
}

impl Spans for LeftTo {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            LeftTo::Somebody(text) => text.spans(visit),
            LeftTo::Procedure { path, circuit } => {
                path.spans(visit);
                circuit.spans(visit);
            }
        }
    }
}

impl Spans for MeasureForm {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            MeasureForm::Tolerance(first, second) | MeasureForm::Range(first, second) => {
                first.spans(visit);
                second.spans(visit);
            }
            MeasureForm::Exact(amount)
            | MeasureForm::AtLeast(amount)
            | MeasureForm::AtMost(amount)
            | MeasureForm::Over(amount)
            | MeasureForm::Below(amount) => amount.spans(visit),
        }
    }
}

impl Spans for Cond {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            Cond::Any(parts) | Cond::All(parts) => parts.spans(visit),
            Cond::Not(cond, span) => {
                cond.spans(visit);
                visit(span);
            }
            Cond::Is { subject, negated: _, value } => {
                subject.spans(visit);
                value.spans(visit);
            }
            Cond::Measures { subject, negated: _, measure } => {
                subject.spans(visit);
                measure.spans(visit);
            }
            Cond::Compares(comparison) => comparison.spans(visit),
        }
    }
}

impl Spans for Expr {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            Expr::Name(name) => name.spans(visit),
            Expr::Amount(amount) => amount.spans(visit),
            Expr::Binary { op: _, left, right, span } => {
                left.spans(visit);
                right.spans(visit);
                visit(span);
            }
            Expr::Extreme { greatest: _, of, span } => {
                of.spans(visit);
                visit(span);
            }
        }
    }
}

impl Spans for StageDoes {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            StageDoes::To(measure) | StageDoes::BackOff(measure) => measure.spans(visit),
            StageDoes::Loosen => {}
        }
    }
}

impl Spans for JointLine {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            JointLine::Each(entries) => entries.spans(visit),
            JointLine::Count(number) => number.spans(visit),
            JointLine::Torque(stages) => stages.spans(visit),
            JointLine::Grip(measure) => measure.spans(visit),
            JointLine::Tight(text, stages) => {
                text.spans(visit);
                stages.spans(visit);
            }
            JointLine::Unknown { what: _, why: text } => text.spans(visit),
            JointLine::Thread(word) => word.spans(visit),
            JointLine::Into { metal, depth, end } => {
                metal.spans(visit);
                depth.spans(visit);
                end.spans(visit);
            }
            JointLine::Onto { thread, grade } => {
                thread.spans(visit);
                grade.spans(visit);
            }
            JointLine::Pattern { order, stages, open: _ } => {
                order.spans(visit);
                stages.spans(visit);
            }
            JointLine::Again(dues) => dues.spans(visit),
            JointLine::Loosened { order, stages, open: _, by } => {
                order.spans(visit);
                stages.spans(visit);
                by.spans(visit);
            }
            JointLine::OnVehicle | JointLine::BackedOff => {}
            JointLine::At { points, circuit } => {
                points.spans(visit);
                circuit.spans(visit);
            }
            JointLine::Joins(names) => names.spans(visit),
        }
    }
}

impl Spans for CircuitLine {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            CircuitLine::Source(measure)
            | CircuitLine::Load(measure)
            | CircuitLine::Run(measure)
            | CircuitLine::Insulation(measure)
            | CircuitLine::Ambient(measure)
            | CircuitLine::Upstream(measure)
            | CircuitLine::Drop(measure) => measure.spans(visit),
            CircuitLine::Wire { gauge, metal } => {
                gauge.spans(visit);
                metal.spans(visit);
            }
            CircuitLine::Bundle(number) => number.spans(visit),
            CircuitLine::Sheathed | CircuitLine::StarterCable | CircuitLine::ReadyMade | CircuitLine::Signals => {}
            CircuitLine::OnVehicle(points) => points.spans(visit),
            CircuitLine::FedLater(later) => later.spans(visit),
            CircuitLine::Leaves { points, to } => {
                points.spans(visit);
                to.spans(visit);
            }
            CircuitLine::ChassisReturn(measure) => measure.spans(visit),
            CircuitLine::Protection { kind, rating, at, unknown, part } => {
                kind.spans(visit);
                rating.spans(visit);
                at.spans(visit);
                unknown.spans(visit);
                part.spans(visit);
            }
            CircuitLine::Point { name, title, terminal, stud, plug } => {
                name.spans(visit);
                title.spans(visit);
                terminal.spans(visit);
                stud.spans(visit);
                plug.spans(visit);
            }
            CircuitLine::Conductor(conductor) => conductor.spans(visit),
            CircuitLine::IsolatedBy { state, value } => {
                state.spans(visit);
                value.spans(visit);
            }
            CircuitLine::Unknown { what: _, why } => why.spans(visit),
        }
    }
}

impl Spans for Flow {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            Flow::Step(step) => step.spans(visit),
            Flow::Check(check) => check.spans(visit),
            Flow::Choose { subject, arms } => {
                subject.spans(visit);
                arms.spans(visit);
            }
            Flow::When { cond, then, otherwise } => {
                cond.spans(visit);
                then.spans(visit);
                otherwise.spans(visit);
            }
            Flow::ForEach { group, body } => {
                group.spans(visit);
                body.spans(visit);
            }
            Flow::Set { result, value } => {
                result.spans(visit);
                value.spans(visit);
            }
            Flow::Stop(text) => text.spans(visit),
            Flow::Handover(lines) => lines.spans(visit),
        }
    }
}

impl Spans for ArmPattern {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            ArmPattern::Measure(measure) => measure.spans(visit),
            ArmPattern::Values(names) => names.spans(visit),
            ArmPattern::Otherwise => {}
        }
    }
}

impl Spans for HandoverLine {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            HandoverLine::Sign(names) => names.spans(visit),
            HandoverLine::Show(text)
            | HandoverLine::Keep(text)
            | HandoverLine::Dispose(text)
            | HandoverLine::Note(text) => text.spans(visit),
            HandoverLine::Prose(prose) => prose.spans(visit),
        }
    }
}

impl Spans for Record {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            Record::Torque(name) | Record::Reading(name) => name.spans(visit),
            Record::Text(text) | Record::Photo(text) => text.spans(visit),
        }
    }
}

impl Spans for StepLine {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        match self {
            StepLine::Prose(prose) => prose.spans(visit),
            StepLine::Note(text) | StepLine::Sure(text) => text.spans(visit),
            StepLine::Message(message) => message.spans(visit),
            StepLine::Read(names) | StepLine::Wear(names) | StepLine::Place(names) => names.spans(visit),
            StepLine::Use { tools, optional } => {
                tools.spans(visit);
                optional.spans(visit);
            }
            StepLine::Take(entries)
            | StepLine::Refit(entries)
            | StepLine::Discard(entries)
            | StepLine::Reuse(entries)
            | StepLine::KeepParts { what: entries, from_kit: _ } => entries.spans(visit),
            StepLine::Snug { joint, tools }
            | StepLine::Tighten { joint, tools }
            | StepLine::Loosen { joint, tools } => {
                joint.spans(visit);
                tools.spans(visit);
            }
            StepLine::Remove { what, tools, by_hand: _ } => {
                what.spans(visit);
                tools.spans(visit);
            }
            StepLine::Connect { circuit, points, tools, by_hand: _ }
            | StepLine::Disconnect { circuit, points, tools, by_hand: _ } => {
                circuit.spans(visit);
                points.spans(visit);
                tools.spans(visit);
            }
            StepLine::Need { state, value } | StepLine::Make { state, value } => {
                state.spans(visit);
                value.spans(visit);
            }
            StepLine::MakeParts { made, from, tools, by_hand: _ } => {
                made.spans(visit);
                from.spans(visit);
                tools.spans(visit);
            }
            StepLine::Set { result, value } => {
                result.spans(visit);
                value.spans(visit);
            }
            StepLine::Do(action) => action.spans(visit),
            StepLine::Record(record) => record.spans(visit),
            StepLine::Wait { time, until } => {
                time.spans(visit);
                until.spans(visit);
            }
            StepLine::Takes { time, people } => {
                time.spans(visit);
                people.spans(visit);
            }
            StepLine::Figure { shown, when } => {
                match shown {
                    FigureShown::File(path, alt) => {
                        path.spans(visit);
                        alt.spans(visit);
                    }
                    FigureShown::Named(name) => name.spans(visit),
                }
                when.spans(visit);
            }
        }
    }
}
