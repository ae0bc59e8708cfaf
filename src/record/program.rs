//! The flow as a list of small instructions, so that the walk is a place in a list and not a place in a tree.

use std::collections::BTreeMap;

use super::conditions::{Condition, Interval, Names};
use super::content::{
    CheckText, ConditionText, Content, DoesText, HandoverLineText, InputText, LineText, NodeText, OtherwiseText,
    SettingText, StepText, TakenText,
};
use super::known::Known;
use super::numbers::Units;
use super::unreadable::ChecklistFault;

/// The flow and what it refers to.
#[derive(Debug)]
pub struct Program {
    pub instructions: Vec<Instruction>,
    /// How many counters of repairs there are.
    pub counters: usize,
    pub steps: Vec<Step>,
    pub handovers: Vec<Handover>,
    /// The arms of all branches.
    pub arms: Vec<Arm>,
    pub rules: Vec<Rule>,
    pub limits: Vec<Limit>,
    /// Under which condition each input is asked, by its place; none of those that always are.
    pub asked_when: Vec<Option<Condition>>,
    /// Which line of which step an id names.
    pub lines: BTreeMap<String, (usize, usize)>,
    /// What the technician is told, by the id of the stop or limit.
    pub stops: BTreeMap<String, String>,
}

#[derive(Debug)]
pub enum Instruction {
    /// Goes on where the condition holds, jumps where it does not.
    Unless {
        condition: Condition,
        target: usize,
        at: String,
    },
    /// Is stuck without an answer to the input.
    Ask {
        input: usize,
        at: String,
    },
    Jump(usize),
    /// A check begins: its repairs are counted anew.
    Reset(usize),
    /// Waits for a step.
    Step(usize),
    /// After the step of a check: `good`, or a repair as often as is allowed, or `bad`.
    Expect {
        at: String,
        expects: Vec<Condition>,
        counter: usize,
        repair: Option<(u32, usize)>,
        good: usize,
        bad: usize,
    },
    /// A check is passed over.
    WentOn {
        step: usize,
        text: String,
    },
    Set {
        result: usize,
        value: String,
    },
    Stop(String),
    Handover(usize),
    /// An arm of a branch begins.
    Arm(usize),
    /// No arm fits.
    NoArm(String),
    End,
}

#[derive(Debug)]
pub struct Step {
    pub id: String,
    pub number: String,
    pub title: String,
    pub content: String,
    pub people: u32,
    /// How long it takes, in seconds.
    pub takes: Interval,
    /// The steps of which whoever does it has done none.
    pub not_of: Vec<String>,
    pub lines: Vec<Line>,
    /// Results that its lines set.
    pub sets: Vec<(usize, String)>,
}

/// A line that asks for events.
#[derive(Debug)]
pub struct Line {
    pub id: String,
    pub asks: Asks,
}

#[derive(Debug)]
pub enum Asks {
    Message { nature: String },
    Read { inputs: Vec<usize> },
    Torque { joint: String, count: u32, within: Interval, quantity: Option<String>, settings: Vec<SettingText> },
    Text { what: String, number: Option<TakenText> },
    Photo { what: String },
}

#[derive(Debug)]
pub struct Handover {
    pub id: String,
    pub roles: Vec<String>,
    pub due: Vec<Due>,
}

/// What whoever has the vehicle tightens again after the job.
#[derive(Debug)]
pub struct Due {
    text: String,
    /// When each of its joints is there.
    there: Vec<Option<Condition>>,
}

impl Due {
    /// What it says, where one of its joints is there by these answers, or may be.
    pub fn told(&self, known: &Known) -> Option<&str> {
        let is_there = |when: &Option<Condition>| when.as_ref().is_none_or(|when| when.holds(known) != Some(false));
        self.there.iter().any(is_there).then_some(self.text.as_str())
    }
}

/// An arm of a branch.
#[derive(Debug)]
pub struct Arm {
    /// Id of the branch.
    pub choose: String,
    pub input: usize,
    /// What it covers, for people.
    pub words: String,
    /// The instruction that asks whether it is taken; none of the arm that takes what no other does.
    pub gate: Option<usize>,
}

#[derive(Debug)]
pub struct Rule {
    pub holds: Condition,
    pub when: Option<Condition>,
    pub reason: String,
}

#[derive(Debug)]
pub struct Limit {
    pub id: String,
    pub when: Option<Condition>,
    pub holds: Condition,
}

/// Most fastenings of one joint whose torques are written down.
const MOST_FASTENINGS: u32 = 10_000;

impl Program {
    pub fn of(content: &Content, units: &Units) -> Result<Program, ChecklistFault> {
        let mut places = BTreeMap::new();
        for (at, input) in content.inputs.iter().enumerate() {
            if places.insert(input.id(), at).is_some() {
                return Err(ChecklistFault::InputTwice(input.id().to_owned()));
            }
            check_ends(input, units)?;
        }
        let find = |id: &str| places.get(id).copied();
        let names = Names { input: &find, units };
        let mut maker = Maker { content, names, program: empty(), titles: BTreeMap::new() };
        for input in &content.inputs {
            let when = input.when().map(|when| Condition::read(when, &maker.names)).transpose()?;
            maker.program.asked_when.push(when);
        }
        for limit in &content.limits {
            maker.limit(limit)?;
        }
        for rule in &content.rules {
            let when = rule.when.as_ref().map(|when| Condition::read(when, &maker.names)).transpose()?;
            let holds = Condition::read(&rule.holds, &maker.names)?;
            maker.program.rules.push(Rule { holds, when, reason: rule.reason.clone() });
        }
        for section in &content.flow {
            let gate = section.when.as_ref().map(|when| maker.gate(when, &section.id)).transpose()?;
            maker.body(&section.body)?;
            maker.close(gate);
        }
        maker.push(Instruction::End);
        Ok(maker.program)
    }
}

fn empty() -> Program {
    Program {
        instructions: Vec::new(),
        counters: 0,
        steps: Vec::new(),
        handovers: Vec::new(),
        arms: Vec::new(),
        rules: Vec::new(),
        limits: Vec::new(),
        asked_when: Vec::new(),
        lines: BTreeMap::new(),
        stops: BTreeMap::new(),
    }
}

fn check_ends(input: &InputText, units: &Units) -> Result<(), ChecklistFault> {
    let (InputText::Given(number) | InputText::Measure(number)) = input else { return Ok(()) };
    for amount in [Some(&number.low), Some(&number.high), number.reads.as_ref()].into_iter().flatten() {
        super::numbers::base(&amount.value, &amount.unit, units)
            .ok_or_else(|| ChecklistFault::Range { input: number.id.clone() })?;
    }
    Ok(())
}

struct Maker<'a> {
    content: &'a Content,
    names: Names<'a>,
    program: Program,
    /// Ids of steps, to refuse one that stands twice.
    titles: BTreeMap<&'a str, ()>,
}

impl<'a> Maker<'a> {
    fn here(&self) -> usize {
        self.program.instructions.len()
    }

    fn push(&mut self, instruction: Instruction) -> usize {
        self.program.instructions.push(instruction);
        self.here() - 1
    }

    /// An instruction that jumps over what follows where the condition does not hold; [`Self::close`] says how far.
    fn gate(&mut self, when: &super::content::ConditionText, at: &str) -> Result<usize, ChecklistFault> {
        let condition = Condition::read(when, &self.names)?;
        Ok(self.push(Instruction::Unless { condition, target: 0, at: at.to_owned() }))
    }

    fn close(&mut self, open: impl IntoIterator<Item = usize>) {
        let here = self.here();
        for at in open {
            if let Some(Instruction::Unless { target, .. } | Instruction::Jump(target)) =
                self.program.instructions.get_mut(at)
            {
                *target = here;
            }
        }
    }

    fn limit(&mut self, limit: &super::content::LimitText) -> Result<(), ChecklistFault> {
        let when = limit.when.as_ref().map(|when| Condition::read(when, &self.names)).transpose()?;
        let holds = Condition::read(&limit.holds, &self.names)?;
        self.stop(&limit.id, limit.stop.as_ref().unwrap_or(&limit.title))?;
        self.program.limits.push(Limit { id: limit.id.clone(), when, holds });
        Ok(())
    }

    fn stop(&mut self, id: &str, text: &str) -> Result<(), ChecklistFault> {
        match self.program.stops.insert(id.to_owned(), text.to_owned()) {
            Some(_) => Err(ChecklistFault::Twice { what: "stops or limits", id: id.to_owned() }),
            None => Ok(()),
        }
    }

    fn body(&mut self, body: &'a [NodeText]) -> Result<(), ChecklistFault> {
        body.iter().try_for_each(|node| self.node(node))
    }

    fn node(&mut self, node: &'a NodeText) -> Result<(), ChecklistFault> {
        match node {
            NodeText::Step(step) => {
                let gate = step.when.as_ref().map(|when| self.gate(when, &step.id)).transpose()?;
                let step = self.step(step)?;
                self.push(Instruction::Step(step));
                self.close(gate);
            }
            NodeText::Check(check) => self.check(check)?,
            NodeText::Choose { id, input, arms } => self.choose(id, input, arms)?,
            NodeText::When { id, condition, then, otherwise } => {
                let gate = self.gate(condition, id)?;
                self.body(then)?;
                let over = self.push(Instruction::Jump(0));
                self.close([gate]);
                self.body(otherwise)?;
                self.close([over]);
            }
            NodeText::Set { result, value } => {
                let result = self.names.find(result)?;
                self.push(Instruction::Set { result, value: value.clone() });
            }
            NodeText::Stop(stop) => {
                self.stop(&stop.id, &stop.text)?;
                self.push(Instruction::Stop(stop.id.clone()));
            }
            NodeText::Handover { id, lines } => {
                let mut roles: Vec<String> = Vec::new();
                for role in lines.iter().flat_map(HandoverLineText::roles) {
                    if !roles.contains(role) {
                        roles.push(role.clone());
                    }
                }
                let due = lines.iter().filter_map(|line| self.due(line).transpose()).collect::<Result<_, _>>()?;
                self.program.handovers.push(Handover { id: id.clone(), roles, due });
                self.push(Instruction::Handover(self.program.handovers.len() - 1));
            }
        }
        Ok(())
    }

    fn due(&self, line: &HandoverLineText) -> Result<Option<Due>, ChecklistFault> {
        let HandoverLineText::Text { prose, again } = line else { return Ok(None) };
        let joints = again.iter().filter_map(|id| self.content.joints.iter().find(|joint| joint.id == *id));
        let when = |when: &ConditionText| Condition::read(when, &self.names);
        let there: Vec<_> = joints.map(|joint| joint.when.as_ref().map(when).transpose()).collect::<Result<_, _>>()?;
        Ok((!there.is_empty()).then(|| Due { text: prose.text.clone(), there }))
    }

    fn check(&mut self, check: &'a CheckText) -> Result<(), ChecklistFault> {
        let counter = self.program.counters;
        self.program.counters += 1;
        self.push(Instruction::Reset(counter));
        let gate = check.step.when.as_ref().map(|when| self.gate(when, &check.step.id)).transpose()?;
        let step = self.step(&check.step)?;
        let again = self.push(Instruction::Step(step));
        let expects = check.expects.iter().map(|one| Condition::read(one, &self.names)).collect::<Result<_, _>>()?;
        let expect = self.push(Instruction::End);
        let mut repair = None;
        if let Some(text) = &check.repair {
            repair = Some((text.times, self.here()));
            self.body(&text.body)?;
            self.push(Instruction::Jump(again));
        }
        let bad = self.here();
        match &check.otherwise {
            OtherwiseText::Stop(stop) => {
                self.stop(&stop.id, &stop.text)?;
                self.push(Instruction::Stop(stop.id.clone()));
            }
            OtherwiseText::GoOn { text } => {
                self.push(Instruction::WentOn { step, text: text.clone() });
            }
        }
        let good = self.here();
        if let Some(place) = self.program.instructions.get_mut(expect) {
            *place = Instruction::Expect { at: check.step.id.clone(), expects, counter, repair, good, bad };
        }
        self.close(gate);
        Ok(())
    }

    fn choose(&mut self, id: &str, input: &str, arms: &'a [super::content::ArmText]) -> Result<(), ChecklistFault> {
        let input = self.names.find(input)?;
        self.push(Instruction::Ask { input, at: id.to_owned() });
        let mut overs = Vec::new();
        for arm in arms {
            let Some(when) = &arm.when else { continue };
            let gate = self.gate(when, id)?;
            self.arm(id, input, arm, Some(gate))?;
            overs.push(self.push(Instruction::Jump(0)));
            self.close([gate]);
        }
        // The arm without a condition takes what no other takes, wherever it stands.
        match arms.iter().find(|arm| arm.when.is_none()) {
            Some(rest) => self.arm(id, input, rest, None)?,
            None => {
                self.push(Instruction::NoArm(id.to_owned()));
            }
        }
        self.close(overs);
        Ok(())
    }

    fn arm(
        &mut self,
        choose: &str,
        input: usize,
        arm: &'a super::content::ArmText,
        gate: Option<usize>,
    ) -> Result<(), ChecklistFault> {
        let words = arm.covers.as_ref().unwrap_or(&arm.words).clone();
        self.push(Instruction::Arm(self.program.arms.len()));
        self.program.arms.push(Arm { choose: choose.to_owned(), input, words, gate });
        self.body(&arm.body)
    }

    fn step(&mut self, text: &'a StepText) -> Result<usize, ChecklistFault> {
        if self.titles.insert(&text.id, ()).is_some() {
            return Err(ChecklistFault::Twice { what: "steps", id: text.id.clone() });
        }
        let at = self.program.steps.len();
        let mut step = Step {
            id: text.id.clone(),
            number: text.number.clone(),
            title: text.title.clone(),
            content: text.content_digest.clone(),
            people: match (&text.takes, &text.team) {
                (Some(takes), _) => takes.people,
                (None, Some(team)) => team.people,
                (None, None) => 1,
            },
            takes: self.takes(text),
            not_of: text.another_person.as_ref().map_or_else(Vec::new, |other| other.not_of.clone()),
            lines: Vec::new(),
            sets: Vec::new(),
        };
        for line in &text.lines {
            if let DoesText::Set { result, value } = &line.does {
                step.sets.push((self.names.find(result)?, value.clone()));
            }
            let Some(asks) = self.asks(line, &text.lines)? else { continue };
            if self.program.lines.insert(line.id.clone(), (at, step.lines.len())).is_some() {
                return Err(ChecklistFault::Twice { what: "lines", id: line.id.clone() });
            }
            step.lines.push(Line { id: line.id.clone(), asks });
        }
        self.program.steps.push(step);
        Ok(at)
    }

    /// How long a step takes. Nothing is judged by it, so an amount that can't be read is none.
    fn takes(&self, text: &StepText) -> Interval {
        let time = text.takes.as_ref().and_then(|takes| takes.time.as_ref());
        let read = |time: &super::content::StatedText| {
            Interval::read(time.low.as_ref(), time.high.as_ref(), self.names.units).ok()
        };
        time.and_then(read).unwrap_or_default()
    }

    fn asks(&self, line: &LineText, beside: &[LineText]) -> Result<Option<Asks>, ChecklistFault> {
        Ok(Some(match &line.does {
            DoesText::Message { nature, .. } => Asks::Message { nature: nature.clone() },
            DoesText::Read { inputs } => {
                Asks::Read { inputs: inputs.iter().map(|input| self.names.find(input)).collect::<Result<_, _>>()? }
            }
            DoesText::RecordTorque { joint, count } => self.torque(joint, *count, beside)?,
            DoesText::RecordText { what, number } => Asks::Text { what: what.clone(), number: *number },
            DoesText::RecordPhoto { what } => Asks::Photo { what: what.clone() },
            _ => return Ok(None),
        }))
    }

    fn torque(&self, joint: &str, count: u32, beside: &[LineText]) -> Result<Asks, ChecklistFault> {
        let found = self.content.joints.iter().find(|one| one.id == joint);
        let found = found.ok_or_else(|| ChecklistFault::UnknownJoint(joint.to_owned()))?;
        if count > MOST_FASTENINGS {
            return Err(ChecklistFault::Fastenings { joint: joint.to_owned(), most: MOST_FASTENINGS });
        }
        let torque = found.torque.as_ref();
        let (low, high) = (torque.and_then(|t| t.low.as_ref()), torque.and_then(|t| t.high.as_ref()));
        let quantity =
            low.or(high).and_then(|bound| self.names.units.get(&bound.unit)).map(|unit| unit.quantity.clone());
        Ok(Asks::Torque {
            joint: joint.to_owned(),
            count,
            within: Interval::read(low, high, self.names.units)?,
            quantity,
            settings: beside.iter().flat_map(|line| line.does.settings_of(joint)).cloned().collect(),
        })
    }
}
