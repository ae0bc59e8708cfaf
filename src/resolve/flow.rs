//! Sections, steps, branches, checks and the handover.
//!
//! Steps are numbered before their lines are lowered, so that prose can mention a later step.

use super::Resolver;
use super::scope::{Target, Wanted};
use super::things::role;
use crate::diagnostics::{Change, Code, Finding, Mend};
use crate::model::{
    Arm, ArmPattern, Check, CheckElse, Choose, ChooseSubject, Handover, HandoverLine, Node, Repair, Section, SetResult,
    Step, Stop, When,
};
use crate::parse::tree::{self, Body, Decl, Flow, Name};
use crate::source::Span;

fn sections_of(items: &[tree::Item<Decl>]) -> impl Iterator<Item = (&tree::Section, Span)> {
    items.iter().filter_map(|item| match &item.node {
        Decl::Section(section) => Some((section, item.span)),
        _ => None,
    })
}

impl<'t> Resolver<'t> {
    /// Gives every step of the file its number and row, so that whatever is lowered after it can speak of steps.
    pub(super) fn number_sections(&mut self, items: &'t [tree::Item<Decl>]) {
        for (number, (section, _)) in sections_of(items).enumerate() {
            let mut next = 1;
            self.number_steps(&section.body, &(number + 1).to_string(), &mut next);
        }
    }

    /// Lowers all sections of the file.
    pub(super) fn sections(&mut self, items: &'t [tree::Item<Decl>]) {
        for (number, (section, span)) in sections_of(items).enumerate() {
            let name = self.naming(&section.name, section.title.as_ref(), false);
            let when = self.optional_cond(section.when.as_ref());
            let body = self.body(&section.body);
            let number = u32::try_from(number + 1).unwrap_or(u32::MAX);
            self.procedure.sections.push(Section { name, number, when: when.flatten(), body, span });
        }
    }

    /// Gives each step and check of a body its number and row, in order of the text.
    fn number_steps(&mut self, body: &'t Body, prefix: &str, next: &mut usize) {
        for item in body {
            match &item.node {
                Flow::Step(step) => {
                    self.new_step(&step.name, step.title.as_ref(), prefix, next, false, item.span);
                }
                Flow::Check(check) => {
                    let number = self.new_step(&check.name, check.title.as_ref(), prefix, next, true, item.span);
                    if let Some(repair) = &check.repair {
                        let mut inner = 1;
                        self.number_steps(&repair.body, &number, &mut inner);
                    }
                }
                Flow::Choose { arms, .. } => arms.iter().for_each(|arm| self.number_steps(&arm.body, prefix, next)),
                Flow::When { then, otherwise, .. } => {
                    self.number_steps(then, prefix, next);
                    if let Some(otherwise) = otherwise {
                        self.number_steps(otherwise, prefix, next);
                    }
                }
                Flow::ForEach { .. } | Flow::Set { .. } | Flow::Stop(_) | Flow::Handover(_) => {}
            }
        }
    }

    fn new_step(
        &mut self,
        name: &'t Name,
        title: Option<&tree::Text>,
        prefix: &str,
        next: &mut usize,
        is_check: bool,
        span: Span,
    ) -> String {
        // The copies of a step for several places have its number: the block stands once on paper.
        let number = match self.numbers.get(&name.span.of_all_places()) {
            Some(number) => number.clone(),
            None => {
                let number = format!("{prefix}.{next}");
                *next += 1;
                self.numbers.insert(name.span.of_all_places(), number.clone());
                number
            }
        };
        let naming = self.naming(name, title, false);
        let row = Step {
            name: naming,
            number: number.clone(),
            is_check,
            when: None,
            lines: Vec::new(),
            takes: None,
            spares_for: None,
            another_person: None,
            span,
        };
        let id = self.procedure.steps.push(row);
        self.steps_by_name.insert(name.span, id);
        let handle = self.scope.see(&name.text, name.span.file);
        let own = handle.filter(|own| self.scope.entry(*own).is_some_and(|entry| entry.name.span == name.span));
        if let Some(own) = own {
            self.scope.set_target(own, Target::Step(id));
        }
        number
    }

    fn body(&mut self, body: &'t Body) -> Vec<Node> {
        let mut nodes = Vec::with_capacity(body.len());
        for item in body {
            self.accepts(item);
            nodes.extend(self.node(&item.node, item.span));
        }
        nodes
    }

    fn node(&mut self, flow: &'t Flow, span: Span) -> Option<Node> {
        match flow {
            Flow::Step(step) => {
                let id = *self.steps_by_name.get(&step.name.span)?;
                self.fill_step(id, step.when.as_ref(), &step.lines);
                self.procedure.steps[id].spares_for = step.spares_for;
                self.procedure.steps[id].another_person = step.another_person;
                Some(Node::Step(id))
            }
            Flow::Check(check) => self.check(check),
            Flow::Choose { subject, arms } => self.choose(subject, arms, span),
            Flow::When { cond, then, otherwise } => {
                let lowered = self.cond(cond);
                let then = self.body(then);
                let otherwise = otherwise.as_ref().map(|body| self.body(body)).unwrap_or_default();
                Some(Node::When(When { cond: lowered?, then, otherwise, span }))
            }
            // Written out for its places before.
            Flow::ForEach { .. } => None,
            Flow::Set { result, value } => self.set_result(result, value, span).map(Node::Set),
            Flow::Stop(text) => Some(Node::Stop(Stop { text: self.said(text), span })),
            Flow::Handover(lines) => Some(Node::Handover(self.handover(lines, span))),
        }
    }

    fn fill_step(
        &mut self,
        id: crate::model::StepId,
        when: Option<&'t tree::Cond>,
        lines: &'t [tree::Item<tree::StepLine>],
    ) {
        let when = self.optional_cond(when).flatten();
        let (lines, takes) = self.lines(id, lines);
        let row = &mut self.procedure.steps[id];
        row.when = when;
        row.lines = lines;
        row.takes = takes;
    }

    fn check(&mut self, check: &'t tree::Check) -> Option<Node> {
        let id = *self.steps_by_name.get(&check.name.span)?;
        self.fill_step(id, check.when.as_ref(), &check.lines);
        self.procedure.steps[id].another_person = check.another_person;
        let mut expects = Vec::new();
        for item in &check.expects {
            self.accepts(item);
            expects.extend(self.cond(&item.node));
        }
        let repair = check.repair.as_ref().and_then(|repair| self.repair(repair));
        if let Some(otherwise) = &check.otherwise {
            self.accepts_for(&otherwise.accepts, otherwise.span, false);
        }
        let Some(otherwise) = &check.otherwise else {
            let message = format!("the check `{}` does not say what happens when it fails", check.name.text);
            self.report(
                Finding::new(Code::FW0114, message, check.name.span, "no `else`")
                    .repair("Add `else stop \"…\"`, or `else go on \"…\"` where the job may continue.")
                    .mend(["else stop \"…\"", "else go on \"…\""].map(|line| {
                        Mend::blanks(format!("Add `{line}`"), Change::Inside(check.name.span, line.to_owned()))
                    })),
            );
            return None;
        };
        let otherwise = if otherwise.stop {
            CheckElse::Stop(Stop { text: self.said(&otherwise.text), span: otherwise.span })
        } else {
            CheckElse::GoOn(self.said(&otherwise.text), otherwise.span)
        };
        Some(Node::Check(Check { step: id, expects, repair, otherwise }))
    }

    fn repair(&mut self, repair: &'t tree::Repair) -> Option<Repair> {
        let times = self.count(Some(&repair.times));
        let body = self.body(&repair.body);
        let times = times?;
        if times > Repair::MOST {
            let message = format!("a repair can be tried at most {} times", Repair::MOST);
            self.report(
                Finding::new(Code::FW0309, message, repair.times.span, "too many tries")
                    .because("What did not come right after that many tries is not put right by trying.")
                    .repair("Write a smaller number, and say in the `else` what to do then."),
            );
            return None;
        }
        Some(Repair { times, body, span: repair.span })
    }

    fn choose(&mut self, subject: &'t Name, arms: &'t [tree::Arm], span: Span) -> Option<Node> {
        let target = self.find(subject, Wanted::Input);
        let mut lowered = Vec::new();
        for arm in arms {
            let pattern = target.and_then(|target| self.pattern(subject, target, arm));
            let body = self.body(&arm.body);
            if let Some(pattern) = pattern {
                lowered.push(Arm { pattern, pattern_span: arm.pattern_span, body, span: arm.span });
            }
        }
        if arms.is_empty() {
            self.missing(
                format!("`choose {}` has no branches", subject.text),
                subject.span,
                "nothing to choose from",
                "Add a branch for every value: `20 mm to 45 mm { … }`.",
            );
            return None;
        }
        let subject_is = match target? {
            Target::Choice(choice) => ChooseSubject::Choice(choice),
            Target::Number(number) => ChooseSubject::Number(number),
            _ => return None,
        };
        Some(Node::Choose(Choose { subject: subject_is, subject_span: subject.span, arms: lowered, span }))
    }

    fn pattern(&mut self, subject: &Name, target: Target, arm: &'t tree::Arm) -> Option<ArmPattern> {
        match (&arm.pattern, target) {
            (tree::ArmPattern::Otherwise, _) => Some(ArmPattern::Otherwise),
            (tree::ArmPattern::Measure(measure), Target::Number(number)) => {
                let (interval, written) = self.interval_of(number, measure)?;
                Some(ArmPattern::In(interval, written))
            }
            (tree::ArmPattern::Values(names), Target::Choice(choice)) => {
                let values: Vec<Option<usize>> = names.iter().map(|name| self.value(choice, name)).collect();
                Some(ArmPattern::Values(values.into_iter().collect::<Option<Vec<usize>>>()?))
            }
            (tree::ArmPattern::Measure(_), _) => {
                self.report(
                    Finding::new(
                        Code::FW0208,
                        format!("`{}` has named values, not quantities", subject.text),
                        arm.pattern_span,
                        "a value's name is meant here",
                    )
                    .repair("Begin each branch with one of the values: `powered { … }`."),
                );
                None
            }
            (tree::ArmPattern::Values(_), _) => {
                self.report(
                    Finding::new(
                        Code::FW0208,
                        format!("`{}` is a number; it has no named values", subject.text),
                        arm.pattern_span,
                        "a quantity is meant here",
                    )
                    .repair("Begin each branch with a range: `20 mm to 45 mm { … }`."),
                );
                None
            }
        }
    }

    /// `set RESULT VALUE`
    pub(super) fn set_result(&mut self, result: &Name, value: &Name, span: Span) -> Option<SetResult> {
        let Some(Target::Choice(result)) = self.find(result, Wanted::Result) else { return None };
        let value = self.value(result, value)?;
        Some(SetResult { result, value, span })
    }

    fn handover(&mut self, lines: &'t [tree::Item<tree::HandoverLine>], span: Span) -> Handover {
        let mut lowered = Vec::new();
        for item in lines {
            self.accepts(item);
            lowered.extend(match &item.node {
                tree::HandoverLine::Sign(names) => Some(HandoverLine::Sign(names.iter().map(role).collect())),
                tree::HandoverLine::Show(text) => Some(HandoverLine::Show(self.said(text))),
                tree::HandoverLine::Keep(text) => Some(HandoverLine::Keep(self.said(text))),
                tree::HandoverLine::Dispose(text) => Some(HandoverLine::Dispose(self.said(text))),
                tree::HandoverLine::Note(text) => Some(HandoverLine::Note(self.said(text))),
                tree::HandoverLine::Prose(prose) => Some(HandoverLine::Prose(self.prose(prose))),
            });
        }
        let names = lines.iter().filter_map(|item| match &item.node {
            tree::HandoverLine::Sign(names) => Some(names),
            _ => None,
        });
        let signed = names.flatten().map(|name| name.span).collect();
        Handover { lines: lowered, signed, span }
    }
}
