//! What is seen in a check, and what is done where it fails, written out in the statements that say the same at length.
//!
//! `expect "no cracks"` becomes an observation that is read at the end of the check; `else replace 1 liner` makes the check a
//! step, with a branch behind it that takes the old part off and a new one; the block of `else go on "…" { … }` becomes
//! such a branch.

use std::collections::BTreeMap;

use crate::diagnostics::{Code, Finding};
use crate::parse::tree::{self, Body, Check, Choice, Cond, Decl, Flow, Item, Name, Replace, Step, StepLine, Value};
use crate::source::Span;

/// Writes out the checks of a file.
pub(super) fn write_out(file: &mut tree::File) -> Vec<Finding> {
    let mut made = Written::default();
    for item in &mut file.items {
        if let Decl::Section(section) = &mut item.node {
            section.body = made.body(std::mem::take(&mut section.body), None);
        }
    }
    file.items.append(&mut made.observations);
    made.findings
}

#[derive(Default)]
struct Written {
    observations: Vec<Item<Decl>>,
    /// How much is seen in the checks of a name: a name that stands twice is told of the checks alone.
    seen: BTreeMap<String, usize>,
    findings: Vec<Finding>,
}

impl Written {
    /// `group` is that of the `for each` block that it stands in.
    fn body(&mut self, body: Body, group: Option<&Name>) -> Body {
        let mut made = Vec::new();
        for mut item in body {
            match &mut item.node {
                Flow::Check(_) => {
                    made.extend(self.check(item, group));
                    continue;
                }
                Flow::Choose { arms, .. } => {
                    for arm in arms {
                        arm.body = self.body(std::mem::take(&mut arm.body), group);
                    }
                }
                Flow::When { then, otherwise, .. } => {
                    *then = self.body(std::mem::take(then), group);
                    *otherwise = otherwise.take().map(|body| self.body(body, group));
                }
                Flow::ForEach { group, body } => {
                    let group = group.clone();
                    *body = self.body(std::mem::take(body), Some(&group));
                }
                Flow::Step(_) | Flow::Set { .. } | Flow::Stop(_) | Flow::Handover(_) => {}
            }
            made.push(item);
        }
        made
    }

    fn check(&mut self, item: Item<Flow>, group: Option<&Name>) -> Body {
        let (accepts, span) = (item.accepts, item.span);
        let Flow::Check(mut check) = item.node else { return Vec::new() };
        self.seen(&mut check, group);
        if let Some(repair) = &mut check.repair {
            repair.body = self.body(std::mem::take(&mut repair.body), group);
        }
        if let Some(replace) = check.replace.take() {
            if let Some(repair) = &check.repair {
                self.findings.push(twice(replace.span, repair.span));
            }
            let failed = failed(&check, replace.span);
            let then = vec![self.replacing(&check, replace)];
            let Check { name, title, when, lines, another_person, .. } = check;
            let looking = Flow::Step(Step { name, title, when: when.clone(), lines, spares_for: None, another_person });
            return vec![Item { node: looking, accepts, span }, branch(failed, when, then, span)];
        }
        let body = check.otherwise.as_mut().map(|otherwise| std::mem::take(&mut otherwise.body)).unwrap_or_default();
        let body = self.body(body, group);
        let (failed, when) = (failed(&check, span), check.when.clone());
        let mut made = vec![Item { node: Flow::Check(check), accepts, span }];
        if !body.is_empty() {
            made.push(branch(failed, when, body, span));
        }
        made
    }

    /// An observation for each thing that is seen.
    fn seen(&mut self, check: &mut Check, group: Option<&Name>) {
        let mut read = Vec::new();
        for seen in std::mem::take(&mut check.seen) {
            let span = seen.span;
            if seen.node.value.trim().trim_end_matches('.').is_empty() {
                self.findings.push(
                    Finding::new(Code::FW0114, "this text is empty", seen.node.span, "nothing is expected here")
                        .repair("Write what a person sees when it is right, such as `expect \"no cracks\"`."),
                );
            }
            let at = self.seen.entry(check.name.text.clone()).or_insert(0);
            *at += 1;
            let named = |text: String| Name { text, span: seen.node.span };
            let number = if *at == 1 { String::new() } else { format!("-{at}") };
            let name = named(format!("{}-seen{number}", check.name.text));
            let value = |word: &str| Value { name: named(word.to_owned()), label: None };
            let mut title = seen.node.clone();
            title.value = title.value.trim_end_matches('.').to_owned();
            self.observations.push(Item {
                node: Decl::Observe(Choice {
                    name: name.clone(),
                    title: Some(title),
                    for_each: group.cloned(),
                    values: vec![value("yes"), value("no")],
                }),
                accepts: Vec::new(),
                span,
            });
            let is = Cond::Is { subject: name.clone(), negated: false, value: named("yes".to_owned()) };
            check.expects.push(Item { node: is, accepts: seen.accepts, span });
            read.push((name, span));
        }
        if let Some((_, first)) = read.first() {
            let span = *first;
            let names = read.into_iter().map(|(name, _)| name).collect();
            check.lines.push(Item { node: StepLine::Read(names), accepts: Vec::new(), span });
        }
    }

    /// The step that takes the old parts off, throws them away, and takes new ones: first of all, or where its block says
    /// `remove`.
    fn replacing(&mut self, check: &Check, replace: Item<Replace>) -> Item<Flow> {
        let (accepts, span) = (replace.accepts, replace.span);
        let Replace { what, title, tools, by_hand, lines } = replace.node;
        let line = |node: StepLine| Item { node, accepts: Vec::new(), span };
        let names = |line: &StepLine| match line {
            StepLine::Remove { what: removed, .. } => {
                removed.iter().any(|one| what.iter().any(|old| old.name.text == one.name.text))
            }
            _ => false,
        };
        let mut made = lines;
        let off = made.iter().position(|item| names(&item.node));
        let behind = off.map_or(0, |at| at + 1);
        let mut change = vec![line(StepLine::Discard(what.clone())), line(StepLine::Take(what.clone()))];
        if off.is_none() {
            change.insert(0, line(StepLine::Remove { what, tools, by_hand }));
        } else if let Some(tool) = tools.first() {
            self.findings.push(tools_twice(tool.span));
        }
        made.splice(behind..behind, change);
        let name = Name { text: format!("replace-{}", check.name.text), span: check.name.span.before() };
        let step =
            Step { name, title, when: None, lines: made, spares_for: Some(check.name.span), another_person: None };
        Item { node: Flow::Step(step), accepts, span }
    }
}

/// That not all holds that a check expects.
fn failed(check: &Check, span: Span) -> Cond {
    let mut all: Vec<Cond> = check.expects.iter().map(|expect| expect.node.clone()).collect();
    let holds = if all.len() == 1 { all.remove(0) } else { Cond::All(all) };
    Cond::Not(Box::new(holds), span)
}

/// What is done where a check fails, if it was done at all.
fn branch(failed: Cond, when: Option<Cond>, then: Body, span: Span) -> Item<Flow> {
    let cond = match when {
        Some(when) => Cond::All(vec![when, failed]),
        None => failed,
    };
    Item { node: Flow::When { cond, then, otherwise: None }, accepts: Vec::new(), span }
}

/// FW0113
fn twice(replace: Span, repair: Span) -> Finding {
    Finding::new(Code::FW0113, "this check says twice what is done where it fails", replace, "replaced here")
        .also(repair, "and repaired here")
        .repair("Keep one of the two: `repair` looks again afterwards, `else replace` does not.")
}

/// FW0113
fn tools_twice(at: Span) -> Finding {
    Finding::new(Code::FW0113, "this check says twice how the old part comes off", at, "tools here")
        .repair("Leave the tools to the `remove` line of the block.")
}
