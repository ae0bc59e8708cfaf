//! Sections' bodies, steps and checks.

use super::fields::MessageLine;
use super::{Form, Line, Lines, Reader, faults};
use crate::parse::blocks::Statement;
use crate::parse::forms::Block;
use crate::parse::limits;
use crate::parse::tree::{
    Accept, Arm, ArmPattern, Body, Check, CheckElse, Cond, FigureShown, Flow, HandoverLine, Item, Message, Prose,
    Record, Repair, Replace, Step, StepLine, Text,
};
use crate::source::Span;
use fitwright_grammar::Rule;

/// A statement of a body before each `else` has found its `when`.
pub(super) enum FlowLine {
    Flow(Flow),
    Else { when: Option<Cond>, body: Body },
}

/// A line of a check.
pub(super) enum CheckLine {
    Line(StepLine),
    Expect(Cond),
    Seen(Text),
    /// `by another person`
    AnotherPerson(Span),
    Replace(Replace),
    Repair(Repair),
    Else(CheckElse),
}

impl Line for FlowLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let body = |reader: &mut Reader<'_>, form: &Form<'_>, word: &str| {
            let lines = form.body.map(|braces| reader.flow(&braces.statements));
            if lines.as_ref().is_some_and(|lines| lines.items.is_empty() && lines.whole) {
                reader.report(faults::empty_block(word, form.span));
            }
            lines.map(|lines| lines.items).unwrap_or_default()
        };
        let flow = match form.pair.as_rule() {
            Rule::step => Flow::Step(reader.step(form)?),
            Rule::check => Flow::Check(reader.check(form)?),
            Rule::choose => {
                let arms = reader.body_lines::<Arm>(Block::Choose, &form);
                let mut parts = reader.parts(form);
                let subject = parts.name()?;
                Flow::Choose { subject, arms: arms.items.into_iter().map(|item| item.node).collect() }
            }
            Rule::for_each => {
                let body = body(reader, &form, "for each");
                Flow::ForEach { group: reader.parts(form).for_each?, body }
            }
            Rule::when_branch => {
                let then = body(reader, &form, "when");
                Flow::When { cond: reader.parts(form).cond()?, then, otherwise: None }
            }
            Rule::else_branch => {
                let body = body(reader, &form, "else");
                let chained = form.pair.clone().into_inner().any(|part| part.as_rule() == Rule::when);
                let when = reader.parts(form).when();
                if chained && when.is_none() {
                    return None;
                }
                return Some(FlowLine::Else { when, body });
            }
            Rule::set => {
                let mut parts = reader.parts(form);
                Flow::Set { result: parts.name()?, value: parts.name()? }
            }
            Rule::stop => Flow::Stop(reader.parts(form).text()?),
            _ => Flow::Handover(reader.body_lines::<HandoverLine>(Block::Handover, &form).items),
        };
        Some(FlowLine::Flow(flow))
    }
}

impl Line for Arm {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let body = form.body.map(|braces| reader.flow(&braces.statements).items).unwrap_or_default();
        let rule = form.pair.as_rule();
        let (span, pattern_span) = (form.span, form.origin.span(&form.pair));
        let mut parts = reader.parts(form);
        let pattern = match rule {
            Rule::arm_measure => ArmPattern::Measure(parts.measure()?),
            Rule::arm_values => ArmPattern::Values(parts.names()),
            _ => ArmPattern::Otherwise,
        };
        Some(Arm { pattern, pattern_span, body, span })
    }
}

impl Line for StepLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        if rule == Rule::message {
            return Some(StepLine::Message(reader.message(form)?));
        }
        if rule == Rule::record {
            return record(reader, form);
        }
        let mut parts = reader.parts(form);
        Some(match rule {
            Rule::note => StepLine::Note(parts.text()?),
            Rule::sure => StepLine::Sure(parts.text()?),
            Rule::read => StepLine::Read(parts.names()),
            Rule::use_tools => StepLine::Use { tools: parts.tools, optional: parts.optional },
            Rule::wear => StepLine::Wear(parts.names()),
            Rule::take => StepLine::Take(parts.counted),
            Rule::place => StepLine::Place(parts.names()),
            Rule::snug => StepLine::Snug { joint: parts.name()?, tools: parts.tools },
            Rule::tighten => StepLine::Tighten { joint: parts.name()?, tools: parts.tools },
            Rule::loosen => StepLine::Loosen { joint: parts.name()?, tools: parts.tools },
            Rule::remove => StepLine::Remove { what: parts.counted, tools: parts.tools, by_hand: parts.by_hand },
            Rule::refit => StepLine::Refit(parts.counted),
            Rule::discard => StepLine::Discard(parts.counted),
            Rule::reuse => StepLine::Reuse(parts.counted),
            Rule::keep_parts => StepLine::KeepParts { what: parts.counted, from_kit: parts.from_kit },
            Rule::connect => StepLine::Connect {
                circuit: parts.name()?,
                points: parts.names(),
                tools: parts.tools,
                by_hand: parts.by_hand,
            },
            Rule::disconnect => StepLine::Disconnect {
                circuit: parts.name()?,
                points: parts.names(),
                tools: parts.tools,
                by_hand: parts.by_hand,
            },
            Rule::need => StepLine::Need { state: parts.name()?, value: parts.name()? },
            Rule::make if !parts.counted.is_empty() => StepLine::MakeParts {
                made: parts.made,
                from: parts.counted,
                tools: parts.tools,
                by_hand: parts.by_hand,
            },
            Rule::make => StepLine::Make { state: parts.name()?, value: parts.name()? },
            Rule::set => StepLine::Set { result: parts.name()?, value: parts.name()? },
            Rule::do_action => StepLine::Do(parts.name()?),
            Rule::wait => StepLine::Wait { time: parts.measure(), until: parts.text() },
            Rule::takes => StepLine::Takes { time: parts.measure(), people: parts.name() },
            Rule::figure => {
                let shown = match parts.name() {
                    Some(name) => FigureShown::Named(name),
                    None => FigureShown::File(parts.text()?, parts.text()),
                };
                StepLine::Figure { shown, when: parts.when() }
            }
            _ => return None,
        })
    }

    fn prose(prose: Prose) -> Option<Self> {
        Some(StepLine::Prose(prose))
    }
}

/// `record JOINT torque`, `record READING`, `record "…"`, `record photo "…"`
fn record(reader: &mut Reader<'_>, form: Form<'_>) -> Option<StepLine> {
    let inner = form.pair.clone().into_inner().last()?;
    let torque = inner.clone().into_inner().any(|part| part.as_rule() == Rule::w_torque);
    let mut parts = reader.parts(form);
    Some(StepLine::Record(match inner.as_rule() {
        Rule::record_photo => Record::Photo(parts.text()?),
        Rule::record_text => Record::Text(parts.text()?),
        _ if torque => Record::Torque(parts.name()?),
        _ => Record::Reading(parts.name()?),
    }))
}

impl Line for CheckLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        match form.pair.as_rule() {
            Rule::expect => {
                let mut parts = reader.parts(form);
                Some(match parts.text() {
                    Some(text) => CheckLine::Seen(text),
                    None => CheckLine::Expect(parts.cond()?),
                })
            }
            Rule::another_person => Some(CheckLine::AnotherPerson(form.span)),
            Rule::else_replace => {
                let lines = form.body.map(|braces| reader.lines::<StepLine>(Block::Step, &braces.statements).items);
                let mut parts = reader.parts(form);
                let title = parts.text();
                let (what, tools, by_hand) = (parts.counted, parts.tools, parts.by_hand);
                Some(CheckLine::Replace(Replace { what, title, tools, by_hand, lines: lines.unwrap_or_default() }))
            }
            Rule::repair => {
                let body = form.body.map(|braces| reader.flow(&braces.statements).items).unwrap_or_default();
                let span = form.span;
                let times = reader.parts(form).number()?;
                Some(CheckLine::Repair(Repair { times, body, span }))
            }
            rule @ (Rule::else_stop | Rule::else_go_on) => {
                let (span, stop) = (form.span, rule == Rule::else_stop);
                let lines = form.body.map(|braces| reader.flow(&braces.statements));
                if lines.as_ref().is_some_and(|lines| lines.items.is_empty() && lines.whole) {
                    reader.report(faults::empty_block("else", span));
                }
                let body = lines.map(|lines| lines.items).unwrap_or_default();
                let text = reader.parts(form).text()?;
                Some(CheckLine::Else(CheckElse { stop, text, body, accepts: Vec::new(), span }))
            }
            _ => Some(CheckLine::Line(StepLine::read(reader, form)?)),
        }
    }

    fn prose(prose: Prose) -> Option<Self> {
        Some(CheckLine::Line(StepLine::Prose(prose)))
    }
}

impl Line for HandoverLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = reader.parts(form);
        Some(match rule {
            Rule::sign => HandoverLine::Sign(parts.names()),
            Rule::show => HandoverLine::Show(parts.text()?),
            Rule::keep => HandoverLine::Keep(parts.text()?),
            Rule::dispose => HandoverLine::Dispose(parts.text()?),
            _ => HandoverLine::Note(parts.text()?),
        })
    }

    fn prose(prose: Prose) -> Option<Self> {
        Some(HandoverLine::Prose(prose))
    }
}

/// One `when` with the `else` statements after it.
struct Chain {
    first: Item<Flow>,
    elses: Vec<(Option<Cond>, Body, Span)>,
}

impl Reader<'_> {
    /// The statements of a body, each `else` joined with its `when`.
    pub fn flow(&mut self, statements: &[Statement]) -> Lines<Flow> {
        let lines = self.lines::<FlowLine>(Block::Flow, statements);
        let mut body: Body = Vec::new();
        let mut chain: Option<Chain> = None;
        for item in lines.items {
            match item.node {
                FlowLine::Flow(node) => {
                    body.extend(chain.take().map(Chain::join));
                    let first = Item { node, accepts: item.accepts, span: item.span };
                    if matches!(first.node, Flow::When { .. }) {
                        chain = Some(Chain { first, elses: Vec::new() });
                    } else {
                        body.push(first);
                    }
                }
                FlowLine::Else { when, body } => {
                    self.no_accepts(&item.accepts, "else");
                    let open = chain.as_mut().filter(|chain| chain.is_open());
                    match open {
                        Some(chain) if chain.elses.len() < limits::DEPTH => chain.elses.push((when, body, item.span)),
                        Some(_) => self.report(faults::too_many_elses(item.span)),
                        // A `when` that could not be read has been reported, and its `else` is no fault.
                        None if lines.whole => self.report(faults::else_alone(item.span)),
                        None => {}
                    }
                }
            }
        }
        body.extend(chain.take().map(Chain::join));
        Lines { items: body, whole: lines.whole }
    }

    /// Refuses acceptances before a line for which nothing can be accepted.
    fn no_accepts(&mut self, accepts: &[Accept], before: &str) {
        for accept in accepts {
            self.report(faults::accept_out_of_place(accept, before));
        }
    }

    fn step(&mut self, form: Form<'_>) -> Option<Step> {
        let mut lines = self.body_lines::<StepLine>(Block::Step, &form);
        self.once(&mut lines.items, |line| matches!(line, StepLine::Takes { .. }).then_some("takes"));
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        if lines.items.is_empty() && lines.whole {
            let reason = "A step in which nothing is done only costs the reader time.";
            self.missing(
                "step",
                &name,
                ["what is done in it", "nothing in it"],
                reason,
                "Write at least one line: prose with `>`, or one such as `use spanner-10`.",
            );
        }
        Some(Step { name, title, when: parts.when(), lines: lines.items, spares_for: None, another_person: None })
    }

    fn check(&mut self, form: Form<'_>) -> Option<Check> {
        let mut lines = self.body_lines::<CheckLine>(Block::Check, &form);
        self.once(&mut lines.items, |line| match line {
            CheckLine::Repair(_) => Some("repair"),
            CheckLine::Else(_) | CheckLine::Replace(_) => Some("else"),
            CheckLine::Line(StepLine::Takes { .. }) => Some("takes"),
            CheckLine::AnotherPerson(_) => Some("by"),
            CheckLine::Line(_) | CheckLine::Expect(_) | CheckLine::Seen(_) => None,
        });
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        let mut made = Check {
            name,
            title,
            when: parts.when(),
            lines: Vec::new(),
            another_person: None,
            expects: Vec::new(),
            seen: Vec::new(),
            repair: None,
            otherwise: None,
            replace: None,
        };
        for item in lines.items {
            let (accepts, span) = (item.accepts, item.span);
            match item.node {
                CheckLine::Line(node) => made.lines.push(Item { node, accepts, span }),
                CheckLine::Expect(node) => made.expects.push(Item { node, accepts, span }),
                CheckLine::Seen(node) => made.seen.push(Item { node, accepts, span }),
                CheckLine::Replace(node) => made.replace = Some(Item { node, accepts, span }),
                CheckLine::AnotherPerson(span) => {
                    self.no_accepts(&accepts, "by another person");
                    made.another_person = Some(span);
                }
                CheckLine::Repair(repair) => {
                    self.no_accepts(&accepts, "repair");
                    made.repair = Some(repair);
                }
                CheckLine::Else(otherwise) => {
                    made.otherwise = Some(CheckElse { accepts, ..otherwise });
                }
            }
        }
        if lines.whole && made.expects.is_empty() && made.seen.is_empty() {
            let reason = "A check that nothing can fail proves nothing.";
            self.missing(
                "check",
                &made.name,
                ["what is expected", "no `expect`"],
                reason,
                "Write what must hold: `expect doors-open is yes`, or `expect \"no cracks\"` for what is seen.",
            );
        }
        Some(made)
    }

    fn message(&mut self, form: Form<'_>) -> Option<Message> {
        let mut lines = self.body_lines::<MessageLine>(Block::Message, &form);
        self.once(&mut lines.items, |line| {
            Some(match line {
                MessageLine::Nature(_) => "hazard",
                MessageLine::Consequence(_) => "consequence",
                MessageLine::Avoid(_) => "avoid",
            })
        });
        let mut parts = self.parts(form);
        let (signal, hazard) = (parts.name()?, parts.name()?);
        let mut made = Message { signal, hazard, nature: None, consequence: None, avoid: None };
        for line in lines.items {
            match line.node {
                MessageLine::Nature(text) => made.nature = Some(text),
                MessageLine::Consequence(text) => made.consequence = Some(text),
                MessageLine::Avoid(text) => made.avoid = Some(text),
            }
        }
        Some(made)
    }
}

impl Chain {
    /// Whether an `else` may follow.
    fn is_open(&self) -> bool {
        self.elses.last().is_none_or(|(when, ..)| when.is_some())
    }

    /// Nests the `else` parts, the last one innermost.
    fn join(self) -> Item<Flow> {
        let mut otherwise: Option<Body> = None;
        let mut end: Option<Span> = None;
        for (when, body, span) in self.elses.into_iter().rev() {
            let whole = end.map_or(span, |end| span.to(end));
            end = Some(whole);
            otherwise = Some(match when {
                None => body,
                Some(cond) => {
                    let node = Flow::When { cond, then: body, otherwise: otherwise.take() };
                    vec![Item { node, accepts: Vec::new(), span: whole }]
                }
            });
        }
        let mut first = self.first;
        if let (Flow::When { otherwise: slot, .. }, Some(end)) = (&mut first.node, end) {
            *slot = otherwise;
            first.span = first.span.to(end);
        }
        first
    }
}
