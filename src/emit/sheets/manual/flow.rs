//! The flow as a list of blocks.
//!
//! A *block* is a step, a table, or the start or the end of what is indented. The templates print blocks one after the
//! other; that starts and ends match is made sure here.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::each::{self, Pass};
use super::occasions::Occasions;
use super::opening::leave_as;
use super::rows::{Row, RowWriter, Run, plain, strong};
use super::step::{Body, Panel, StepBlock, Warning, grouped, reach};
use crate::emit::EmitError;
use crate::emit::drawing::{self, Drawing};
use crate::emit::phrase::again::due_again;
use crate::emit::phrase::circuit::left_for_later;
use crate::emit::phrase::flow::{another_person, decided_after, steps_in, still_fails, takes_words, times};
use crate::emit::phrase::kit::kept_for_owner;
use crate::emit::words::{Words, listed};
use crate::labels::{fill, sentence_case, spoken};
use crate::model::{
    Arm, Check, CheckElse, Choose, ChooseSubject, Handover, HandoverLine, Id, JointId, LimitId, Line, LineKind, Node,
    Record, Section, Step, StepId, Stop, walk,
};

/// What the template prints next.
#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub(super) enum Block {
    Section {
        anchor: String,
        number: u32,
        title: String,
        when: Option<String>,
    },
    EndSection,
    Step(StepBlock),
    Branch {
        number: u32,
        title: String,
        column: String,
        scale: Option<Drawing>,
        arms: Vec<ArmRow>,
        places: Vec<String>,
    },
    Arm {
        lead: &'static str,
        words: String,
    },
    End,
    Decide {
        runs: Vec<Run>,
    },
    Repair {
        anchor: String,
        check: String,
        times: String,
        ticks: Vec<u32>,
        places: Vec<String>,
    },
    EndRepair {
        anchor: String,
        check: String,
    },
    Stop {
        lead: Option<String>,
        text: String,
        leave: Vec<String>,
    },
    Goon {
        lead: String,
        text: String,
    },
    Handover {
        /// Whether the section just above is called so already.
        called: bool,
        leave: Vec<String>,
        rows: Vec<Row>,
        signs: Vec<String>,
    },
}

impl Block {
    fn step_anchor(self) -> Option<String> {
        if let Block::Step(step) = self { Some(step.anchor) } else { None }
    }

    /// The block with a box for each place.
    fn at_places(&mut self, labels: &[String]) {
        match self {
            Block::Step(step) => step.at_places(labels),
            Block::Branch { places, .. } | Block::Repair { places, .. } => *places = labels.to_vec(),
            _ => {}
        }
    }
}

#[derive(Serialize)]
pub(super) struct ArmRow {
    /// The letter of its band on the scale, where there is one.
    letter: Option<char>,
    reading: String,
    stop: bool,
    does: Vec<Run>,
}

/// All blocks of the procedure.
pub(super) fn blocks(writer: &RowWriter<'_>) -> Result<Vec<Block>, EmitError> {
    let mut flow = FlowWriter {
        writer,
        blocks: Vec::new(),
        repairs: None,
        limits: limits_by_step(writer.words),
        placed: BTreeSet::new(),
        scales: BTreeSet::new(),
        at_place: false,
    };
    for section in &writer.words.procedure.sections {
        flow.section(section)?;
    }
    Ok(flow.blocks)
}

fn limits_by_step(words: Words<'_>) -> BTreeMap<StepId, Vec<LimitId>> {
    let mut limits: BTreeMap<StepId, Vec<LimitId>> = BTreeMap::new();
    for (id, limit) in words.procedure.limits.iter() {
        if let Some(step) = decided_after(words, limit) {
            limits.entry(step).or_default().push(id);
        }
    }
    limits
}

struct FlowWriter<'a> {
    writer: &'a RowWriter<'a>,
    blocks: Vec<Block>,
    /// How often the repair that is being written can be done.
    repairs: Option<u32>,
    /// The limits that can be decided after each step.
    limits: BTreeMap<StepId, Vec<LimitId>>,
    /// The joints that a step so far has put together.
    placed: BTreeSet<JointId>,
    /// The tables whose scale is drawn.
    scales: BTreeSet<u32>,
    /// Whether this is what is done at one place of several.
    at_place: bool,
}

impl FlowWriter<'_> {
    fn section(&mut self, section: &Section) -> Result<(), EmitError> {
        self.blocks.push(Block::Section {
            anchor: format!("section-{}", section.name.id),
            number: section.number,
            title: section.name.title.clone(),
            when: section.when.as_ref().map(|when| self.writer.words.cond(when)),
        });
        self.body(&section.body)?;
        self.blocks.push(Block::EndSection);
        Ok(())
    }

    fn body(&mut self, body: &[Node]) -> Result<(), EmitError> {
        let mut rest = body;
        while let Some(first) = rest.first() {
            let passes = if self.at_place { Vec::new() } else { each::passes(self.writer.words.procedure, rest) };
            if passes.len() > 1 && self.once(&passes)? {
                rest = rest.get(passes.iter().map(|pass| pass.body.len()).sum()..).unwrap_or_default();
                continue;
            }
            self.node(first)?;
            rest = rest.get(1..).unwrap_or_default();
        }
        Ok(())
    }

    fn node(&mut self, node: &Node) -> Result<(), EmitError> {
        let words = self.writer.words;
        match node {
            Node::Step(id) => {
                let occasions = self.repairs.map_or(Occasions::Once, Occasions::InRepairs);
                let block = self.step(*id, occasions, &[])?;
                self.blocks.push(Block::Step(block));
            }
            Node::Check(check) => self.check(check)?,
            Node::Choose(choose) => self.choose(choose)?,
            Node::When(when) => {
                self.indented(spoken().flow.when, words.cond(&when.cond), &when.then)?;
                if !when.otherwise.is_empty() {
                    self.indented(spoken().flow.otherwise, words.opposite(&when.cond), &when.otherwise)?;
                }
            }
            Node::Set(set) => {
                let runs = self.writer.decided(set);
                self.blocks.push(Block::Decide { runs });
            }
            Node::Stop(stop) => self.stop(None, stop),
            Node::Handover(handover) => self.handover(handover),
        }
        Ok(())
    }

    /// Prints the passes of a block once, with a box and a field for each place. Says whether it did: not where they
    /// differ in more than the place.
    fn once(&mut self, passes: &[Pass<'_, Node>]) -> Result<bool, EmitError> {
        let procedure = self.writer.words.procedure;
        let all: BTreeSet<JointId> = procedure.joints.ids().collect();
        let (mut printed, mut anchors) = (Vec::new(), Vec::new());
        for pass in passes {
            let blocks = self.pass(pass, all.clone())?.0;
            printed.push(each::compared(&blocks, procedure, pass.place));
            anchors.push(blocks.into_iter().filter_map(Block::step_anchor).collect::<Vec<_>>());
        }
        let Some(first) = passes.first().filter(|_| each::alike(&printed)) else { return Ok(false) };
        let before = std::mem::take(&mut self.placed);
        let (mut blocks, placed) = self.pass(first, before)?;
        self.placed = placed;
        let done: Vec<StepId> = passes.iter().flat_map(|pass| walk(pass.body).steps()).collect();
        for line in done.iter().flat_map(|step| &procedure.steps[*step].lines) {
            self.placed.extend(line.kind.joint().filter(|_| matches!(line.kind, LineKind::Place(_))));
        }
        let places: Vec<usize> = passes.iter().map(|pass| pass.place).collect();
        let labels = each::labels(procedure, &places);
        blocks.iter_mut().for_each(|block| block.at_places(&labels));
        let steps = blocks.iter_mut().filter_map(|block| if let Block::Step(step) = block { Some(step) } else { None });
        for (at, step) in steps.enumerate() {
            step.also = anchors.iter().skip(1).filter_map(|of_pass| of_pass.get(at).cloned()).collect();
        }
        // A limit over readings of several places is decided once all are read.
        let decided = done.iter().flat_map(|step| self.limits(*step)).collect::<Vec<_>>();
        if let Some(Block::Step(last)) = blocks.iter_mut().rev().find(|block| matches!(block, Block::Step(_))) {
            last.add_rows(decided);
        }
        let mut words = each::places_words(procedure, &places);
        if walk(first.body).without_repairs().steps().nth(1).is_some() {
            words = format!("{words} {}", spoken().flow.one_then_next);
        }
        self.blocks.push(Block::Arm { lead: spoken().flow.for_each, words });
        self.blocks.append(&mut blocks);
        self.blocks.push(Block::End);
        Ok(true)
    }

    /// What is done at one place, in the words of somebody who stands there; and the joints put together by then.
    fn pass(
        &self,
        pass: &Pass<'_, Node>,
        placed: BTreeSet<JointId>,
    ) -> Result<(Vec<Block>, BTreeSet<JointId>), EmitError> {
        let plain = each::without_place(self.writer.words.procedure, pass.place);
        let writer = RowWriter { words: Words::new(&plain), ..*self.writer };
        let mut flow = FlowWriter {
            writer: &writer,
            blocks: Vec::new(),
            repairs: self.repairs,
            limits: BTreeMap::new(),
            placed,
            scales: BTreeSet::new(),
            at_place: true,
        };
        flow.body(pass.body)?;
        Ok((flow.blocks, flow.placed))
    }

    /// The rows of a step's lines, each with the number of its line. Lines that stand for a line a place are told once.
    fn lines(&self, step: &Step, occasions: Occasions) -> Result<Vec<Vec<Row>>, EmitError> {
        let procedure = self.writer.words.procedure;
        let times = ticks(occasions);
        let mut made: Vec<Vec<Row>> = Vec::new();
        while let Some(line) = step.lines.get(made.len()) {
            let rest = step.lines.get(made.len()..).unwrap_or_default();
            let passes = if self.at_place { Vec::new() } else { each::line_passes(rest) };
            if step.span.file.place().is_none() && passes.len() > 1 {
                let mut rows = Vec::new();
                for pass in &passes {
                    let plain = each::without_place(procedure, pass.place);
                    let writer = RowWriter { words: Words::new(&plain), ..*self.writer };
                    let of_lines = pass.body.iter().map(|line| writer.rows(line, occasions));
                    rows.push(of_lines.collect::<Result<Vec<_>, _>>()?);
                }
                let printed: Vec<Option<String>> =
                    passes.iter().zip(&rows).map(|(pass, rows)| each::compared(rows, procedure, pass.place)).collect();
                if each::alike(&printed) {
                    let places: Vec<usize> = passes.iter().map(|pass| pass.place).collect();
                    let labels = each::labels(procedure, &places);
                    let first = rows.into_iter().next().unwrap_or_default();
                    let told = |row: Row| row.at_places(&labels).told_at(&each::places_words(procedure, &places));
                    made.extend(first.into_iter().map(|rows| rows.into_iter().map(told).collect()));
                    let left = passes.iter().skip(1).map(|pass| pass.body.len()).sum();
                    made.extend(std::iter::repeat_with(Vec::new).take(left));
                    continue;
                }
            }
            let read_here = read_here(&step.lines, &line.kind);
            let rows = if read_here { Vec::new() } else { self.writer.rows(line, occasions)? };
            made.push(match line.letter() {
                Some(letter) => rows.into_iter().map(|row| row.lettered(letter, &step.number, &times)).collect(),
                None => rows,
            });
        }
        Ok(made)
    }

    fn indented(&mut self, lead: &'static str, words: String, body: &[Node]) -> Result<(), EmitError> {
        self.blocks.push(Block::Arm { lead, words });
        self.body(body)?;
        self.blocks.push(Block::End);
        Ok(())
    }

    fn stop(&mut self, lead: Option<String>, stop: &Stop) {
        let words = self.writer.words;
        let leave = leave_as(self.writer, stop.span);
        self.blocks.push(Block::Stop { lead, text: words.said(&stop.text), leave });
    }

    fn step(&mut self, id: StepId, occasions: Occasions, expects: &[String]) -> Result<StepBlock, EmitError> {
        let words = self.writer.words;
        let step = &words.procedure.steps[id];
        let lines = self.lines(step, occasions)?;
        let mut warnings = Vec::new();
        for (at, line) in step.lines.iter().enumerate() {
            if let LineKind::Message(message) = &line.kind {
                let (from, to) = reach(words.procedure, step, at, message);
                warnings.push(Warning { panel: Panel::of(message, |text| words.said(text)), from, to });
            }
        }
        let before = self.licensed(id).into_iter().chain(self.another_person(id, occasions)).collect();
        let body = Body {
            before,
            lines,
            after: self.limits(id),
            warnings,
            drawings: self.drawings(step),
            more: expects.len(),
        };
        let (groups, whole) = grouped(body);
        Ok(StepBlock {
            anchor: format!("step-{}", step.name.id),
            number: step.number.clone(),
            title: step.name.title.clone(),
            is_check: step.is_check,
            when: step.when.as_ref().map(|when| words.cond(when)),
            time: step.takes.as_ref().map(takes_words),
            groups,
            expects: expects.to_vec(),
            ticks: ticks(occasions),
            places: Vec::new(),
            also: Vec::new(),
            whole,
        })
    }

    /// The fastenings that are put together here and in no step before, in section.
    fn drawings(&mut self, step: &Step) -> Vec<(usize, Drawing)> {
        let words = self.writer.words;
        let mut drawings = Vec::new();
        for (at, line) in step.lines.iter().enumerate() {
            let LineKind::Place(id) = line.kind else { continue };
            if !self.placed.insert(id) {
                continue;
            }
            let joint = &words.procedure.joints[id];
            if let Some(mut drawing) = drawing::joint_beside(words, id.index() + 1, joint, self.writer.plan.joint(id)) {
                drawing.caption = format!("{}. {}", joint.name.title, drawing.caption);
                drawings.push((at, drawing));
            }
        }
        drawings
    }

    /// Where a step is work that codes keep for those whom they permit, it says so.
    fn licensed(&self, step: StepId) -> Option<Row> {
        let work = self.writer.words.procedure.licensed_work(step);
        let words = listed(work.iter().map(|work| (*work).to_owned()), spoken().word.and);
        let heading = spoken().about.licence;
        let rule = fill(spoken().flow.see_licences, &[("rule", spoken().about.who_decides), ("heading", heading)]);
        (!work.is_empty())
            .then(|| Row::of(spoken().about.qualified, vec![strong(format!("{words}.")), plain(format!(" {rule}"))]))
    }

    /// Who does a check that whoever did the work does not do, with a line for the name.
    fn another_person(&self, check: StepId, occasions: Occasions) -> Option<Row> {
        let words = another_person(self.writer.words.procedure, self.writer.plan.looks_at(check))?;
        Some(
            Row::of(spoken().check.by_whom, vec![plain(format!("{words}."))])
                .named(spoken().check.checked_by, occasions),
        )
    }

    /// The limits that can be decided after a step.
    fn limits(&self, step: StepId) -> Vec<Row> {
        let words = self.writer.words;
        let decided = self.limits.get(&step).map_or(&[][..], Vec::as_slice).iter();
        decided
            .map(|limit| {
                let limit = &words.procedure.limits[*limit];
                let mut runs = vec![strong(limit.name.title.clone()), plain(": ")];
                if let Some(when) = &limit.when {
                    runs.push(plain(fill(spoken().condition.when, &[("condition", &words.cond(when))])));
                }
                runs.push(plain(words.comparison(&limit.holds, true)));
                if let Some(text) = &limit.otherwise {
                    let stop = format!("{}. {}", spoken().check.stop.to_uppercase(), words.said(text));
                    runs.extend([plain(format!(". {}: ", spoken().about.if_not)), strong(stop)]);
                }
                let leave = leave_as(self.writer, limit.span);
                if !leave.is_empty() {
                    runs.push(plain(format!(" {}: {}.", spoken().handover.leave_with, leave.join("; "))));
                }
                Row::of(spoken().about.limit_line, runs).ticked()
            })
            .collect()
    }

    fn check(&mut self, check: &Check) -> Result<(), EmitError> {
        let words = self.writer.words;
        let step = &words.procedure.steps[check.step];
        let (name, anchor) = (fill(spoken().flow.check, &[("number", &step.number)]), format!("step-{}", step.name.id));
        let expects: Vec<String> = check.expects.iter().map(|cond| words.cond(cond)).collect();
        let occasions = match (&check.repair, self.repairs) {
            (Some(repair), _) => Occasions::AndAfterRepairs(repair.times),
            (None, Some(times)) => Occasions::InRepairs(times),
            (None, None) => Occasions::Once,
        };
        let block = self.step(check.step, occasions, &expects)?;
        self.blocks.push(Block::Step(block));
        if let Some(repair) = &check.repair {
            self.blocks.push(Block::Repair {
                anchor: anchor.clone(),
                check: name.clone(),
                times: times(repair.times),
                ticks: (1..=repair.times).collect(),
                places: Vec::new(),
            });
            let outside = self.repairs.replace(repair.times);
            self.body(&repair.body)?;
            self.repairs = outside;
            self.blocks.push(Block::EndRepair { anchor, check: name.clone() });
        }
        let lead = still_fails(&name, check.repair.as_ref());
        match &check.otherwise {
            CheckElse::Stop(stop) => self.stop(Some(lead), stop),
            CheckElse::GoOn(text, _) => self.blocks.push(Block::Goon { lead, text: words.said(text) }),
        }
        Ok(())
    }

    fn choose(&mut self, choose: &Choose) -> Result<(), EmitError> {
        let words = self.writer.words;
        let subject = words.subject(choose.subject);
        let number = self.writer.branches.number(choose.span).unwrap_or_default();
        let scale = drawing::scale(words, choose, number).filter(|_| self.scales.insert(number));
        let letter = |at| scale.as_ref().and_then(|_| drawing::letter(at));
        let arms = choose.arms.iter().enumerate().map(|(at, arm)| self.arm_row(choose, arm, letter(at))).collect();
        self.blocks.push(Block::Branch {
            scale,
            number,
            title: subject.to_owned(),
            column: match choose.subject {
                ChooseSubject::Number(_) => spoken().flow.reading.to_owned(),
                ChooseSubject::Choice(_) => spoken().word.answer.to_owned(),
            },
            arms,
            places: Vec::new(),
        });
        for arm in &choose.arms {
            let own_block = arm.body.iter().any(|node| match node {
                Node::Set(_) => false,
                Node::Stop(stop) => self.writer.plan.leaving().at(stop.span).next().is_some(),
                _ => true,
            });
            if own_block {
                self.indented(spoken().flow.when, words.arm_with_subject(choose, arm), &arm.body)?;
            }
        }
        Ok(())
    }

    /// What a table says of an arm: its decisions, its steps, its stop.
    fn arm_row(&self, choose: &Choose, arm: &Arm, letter: Option<char>) -> ArmRow {
        let words = self.writer.words;
        let mut does: Vec<Run> = Vec::new();
        let mut stop = false;
        for node in &arm.body {
            match node {
                Node::Set(set) => {
                    does.extend(self.writer.decided(set));
                    does.push(plain(". "));
                }
                Node::Stop(node) => {
                    stop = true;
                    does.push(strong(words.said(&node.text)));
                }
                _ => {}
            }
        }
        if let Some(steps) = steps_in(words.procedure, &arm.body, spoken().flow.do_step, spoken().flow.do_steps) {
            // A stop at the end of the arm's steps stands in their block; the table leads there.
            stop = false;
            does.retain(|run| {
                !arm.body.iter().any(|node| matches!(node, Node::Stop(s) if run.is(&words.said(&s.text))))
            });
            does.push(plain(steps));
        } else if does.is_empty() {
            does.push(plain(format!("{}.", spoken().check.go_on)));
        }
        ArmRow { letter, reading: sentence_case(&words.arm(choose, arm)), stop, does }
    }

    fn handover(&mut self, handover: &Handover) {
        let said = |text| self.writer.words.said(text);
        let mut rows = Vec::new();
        let mut signs = Vec::new();
        for line in &handover.lines {
            match line {
                HandoverLine::Sign(who) => signs.extend(who.iter().map(|who| sentence_case(who))),
                HandoverLine::Show(text) => {
                    rows.push(Row::of(spoken().handover.show, vec![plain(said(text))]).ticked())
                }
                HandoverLine::Keep(text) => {
                    rows.push(Row::of(spoken().handover.keep, vec![plain(said(text))]).ticked())
                }
                HandoverLine::Dispose(text) => {
                    rows.push(Row::of(spoken().handover.dispose, vec![plain(said(text))]).ticked())
                }
                HandoverLine::Note(text) => rows.push(Row::note(&said(text))),
                HandoverLine::Prose(prose) => rows.push(Row::prose(self.writer.prose(prose))),
            }
        }
        let kept = kept_for_owner(self.writer.words).into_iter();
        rows.extend(kept.map(|(_, told)| Row::of(spoken().handover.give, vec![plain(told)]).ticked()));
        let later = left_for_later(self.writer.words).into_iter();
        rows.extend(later.map(|(_, told)| Row::of(spoken().handover.later, vec![plain(told)])));
        let again = due_again(self.writer.words).into_iter();
        rows.extend(again.map(|(_, told)| Row::of(spoken().handover.again, vec![plain(told)])));
        let title = spoken().handover.title.to_lowercase();
        let called = self.blocks.last().is_some_and(
            |block| matches!(block, Block::Section { title: section, .. } if section.to_lowercase() == title),
        );
        self.blocks.push(Block::Handover { called, leave: leave_as(self.writer, handover.span), rows, signs });
    }
}

/// Whether a line asks to write down what the step reads anyway: the line to write on is there already.
fn read_here(lines: &[Line], kind: &LineKind) -> bool {
    let LineKind::Record(Record::Reading(reading)) = kind else { return false };
    lines.iter().any(|line| matches!(&line.kind, LineKind::Read(readings) if readings.contains(reading)))
}

fn ticks(occasions: Occasions) -> Vec<u32> {
    match occasions {
        Occasions::InRepairs(times) => (1..=times).collect(),
        Occasions::Once | Occasions::AndAfterRepairs(_) => vec![1],
    }
}
