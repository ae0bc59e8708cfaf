//! Sections, steps, branches, checks, ends.

use super::Filler;
use super::at_place::at_place;
use super::lines::said;
use super::things::value_name;
use crate::emit::checklist::flow as to;
use crate::emit::checklist::people;
use crate::emit::checklist::terms::StateIs;
use crate::emit::phrase;
use crate::emit::phrase::again::due_again;
use crate::emit::phrase::circuit::left_for_later;
use crate::emit::phrase::kit::kept_for_owner;
use crate::emit::words::listed;
use crate::labels::spoken;
use crate::model::{
    ArmPattern, Check, CheckElse, Choose, ChooseSubject, End, Handover, HandoverLine, MentionTarget, Node, Prose,
    Section, StepId, Stop, When,
};
use crate::prose;
use crate::source::Span;

impl Filler<'_> {
    pub(super) fn sections(&mut self) -> Vec<to::Section> {
        let sections = self.procedure.sections.iter();
        sections.map(|section| self.section(section)).collect()
    }

    fn section(&mut self, section: &Section) -> to::Section {
        to::Section {
            id: section.name.id.clone(),
            number: section.number,
            title: section.name.title.clone(),
            when: section.when.as_ref().map(|when| self.condition(when)),
            when_words: section.when.as_ref().map(|when| self.words.cond(when)),
            body: self.body(&section.body, &section.name.id),
        }
    }

    fn body(&mut self, body: &[Node], place: &str) -> Vec<to::Node> {
        body.iter().map(|node| self.node(node, place)).collect()
    }

    fn node(&mut self, node: &Node, place: &str) -> to::Node {
        match node {
            Node::Step(id) => to::Node::Step(self.step(*id)),
            Node::Check(check) => to::Node::Check(self.check(check)),
            Node::Choose(choose) => to::Node::Choose(self.choose(choose, place)),
            Node::When(when) => to::Node::When(self.when(when, place)),
            Node::Set(set) => {
                let result = &self.procedure.choices[set.result];
                let id = self.unique(format!("{place}.set.{}", result.name.id));
                let value = value_name(&result.values, set.value);
                to::Node::Set(to::Set { id, result: result.name.id.clone(), value })
            }
            Node::Stop(stop) => to::Node::Stop(self.stop(stop, place)),
            Node::Handover(handover) => to::Node::Handover(self.handover(handover, place)),
        }
    }

    fn step(&mut self, id: StepId) -> to::Step {
        let step = &self.procedure.steps[id];
        to::Step {
            id: step.name.id.clone(),
            number: step.number.clone(),
            title: step.name.title.clone(),
            at: at_place(self.procedure, &step.name),
            when: step.when.as_ref().map(|when| self.condition(when)),
            when_words: step.when.as_ref().map(|when| self.words.cond(when)),
            takes: step.takes.as_ref().and_then(|takes| {
                let time = self.stated(takes.time.as_ref()?);
                let words = Some(phrase::flow::takes_words(takes));
                Some(people::Takes { time, people: takes.people.max(1), words })
            }),
            team: step
                .takes
                .as_ref()
                .filter(|takes| takes.time.is_none())
                .map(|takes| people::Team { people: takes.people.max(1), words: phrase::flow::takes_words(takes) }),
            qualified: qualified(self.procedure.licensed_work(id)),
            another_person: self.another_person(id),
            content_digest: String::new(),
            lines: step.lines.iter().map(|line| self.line(&step.name.id, line)).collect(),
        }
    }

    fn another_person(&self, id: StepId) -> Option<people::AnotherPerson> {
        let not_of = self.plan.looks_at(id);
        let words = phrase::flow::another_person(self.procedure, not_of)?;
        let not_of = not_of.iter().map(|step| self.procedure.steps[*step].name.id.clone()).collect();
        Some(people::AnotherPerson { not_of, words })
    }

    fn check(&mut self, check: &Check) -> to::Check {
        let place = &self.procedure.steps[check.step].name.id;
        let step = self.step(check.step);
        let repair = check.repair.as_ref();
        let repair = repair.map(|repair| to::Repair { times: repair.times, body: self.body(&repair.body, place) });
        to::Check {
            step,
            expects: check.expects.iter().map(|cond| self.condition(cond)).collect(),
            expects_words: check.expects.iter().map(|cond| self.words.cond(cond)).collect(),
            repair,
            otherwise: match &check.otherwise {
                CheckElse::Stop(stop) => to::Otherwise::Stop(self.stop(stop, place)),
                CheckElse::GoOn(text, _) => to::Otherwise::GoOn { text: self.words.said(text) },
            },
        }
    }

    fn choose(&mut self, choose: &Choose, place: &str) -> to::Choose {
        let input = match choose.subject {
            ChooseSubject::Choice(choice) => self.procedure.choices[choice].name.id.clone(),
            ChooseSubject::Number(number) => self.procedure.numbers[number].name.id.clone(),
        };
        let id = self.unique(format!("{place}.choose.{input}"));
        to::Choose {
            arms: choose
                .arms
                .iter()
                .map(|arm| to::Arm {
                    when: self.arm(choose, &arm.pattern),
                    words: self.words.arm_with_subject(choose, arm),
                    covers: Some(self.words.arm(choose, arm)),
                    body: self.body(&arm.body, &format!("{id}.{}", self.arm_name(choose, &arm.pattern))),
                })
                .collect(),
            id,
            input,
        }
    }

    /// An arm in the names of what stands in it: by what it takes.
    fn arm_name(&self, choose: &Choose, pattern: &ArmPattern) -> String {
        match (pattern, choose.subject) {
            (ArmPattern::Values(values), ChooseSubject::Choice(choice)) => {
                let all = &self.procedure.choices[choice].values;
                values.iter().map(|value| value_name(all, *value)).collect::<Vec<_>>().join("+")
            }
            (ArmPattern::In(interval, _), _) => {
                let end = |end: &End| format!("{}-{}", end.written.decimal(), end.written.unit.spelling());
                let ends = [&interval.low, &interval.high].map(|at| at.as_ref().map_or("open".to_owned(), end));
                ends.join("-to-")
            }
            _ => "otherwise".to_owned(),
        }
    }

    fn when(&mut self, when: &When, place: &str) -> to::When {
        let id = self.unique(format!("{place}.when.{}", self.inputs_of(std::iter::once(&when.cond))));
        to::When {
            condition: self.condition(&when.cond),
            words: self.words.cond(&when.cond),
            else_words: (!when.otherwise.is_empty()).then(|| self.words.opposite(&when.cond)),
            then: self.body(&when.then, &format!("{id}.then")),
            otherwise: self.body(&when.otherwise, &format!("{id}.else")),
            id,
        }
    }

    fn stop(&mut self, stop: &Stop, place: &str) -> to::Stop {
        to::Stop {
            id: self.unique(format!("{place}.stop")),
            text: self.words.said(&stop.text),
            leave_as: self.leave_as(stop.span),
        }
    }

    pub(super) fn leave_as(&self, place: Span) -> Vec<StateIs> {
        let states = self.plan.leaving().at(place);
        states.filter_map(|id| Some(self.state_is(id, self.procedure.states[id].ends?.0))).collect()
    }

    fn handover(&mut self, handover: &Handover, place: &str) -> to::Handover {
        let place = self.unique(format!("{place}.handover"));
        let mut lines = Vec::new();
        let told = |id, prose| to::HandoverLine::Text { id, prose, again: Vec::new() };
        for line in &handover.lines {
            let id = |fill: &mut Self, word: &str| Some(fill.unique(format!("{place}.{word}")));
            lines.push(match line {
                HandoverLine::Sign(who) => to::HandoverLine::Sign { id: id(self, "sign"), who: who.clone() },
                HandoverLine::Show(text) => {
                    to::HandoverLine::Show { id: id(self, "show"), text: self.words.said(text) }
                }
                HandoverLine::Keep(text) => {
                    to::HandoverLine::Keep { id: id(self, "keep"), text: self.words.said(text) }
                }
                HandoverLine::Dispose(text) => {
                    to::HandoverLine::Dispose { id: id(self, "dispose"), text: self.words.said(text) }
                }
                HandoverLine::Note(text) => {
                    to::HandoverLine::Note { id: id(self, "note"), text: self.words.said(text) }
                }
                HandoverLine::Prose(prose) => told(id(self, "text"), self.prose(prose)),
            });
        }
        for (step, words) in kept_for_owner(self.words) {
            let id = Some(self.unique(format!("{place}.give.{}", self.procedure.steps[step].name.id)));
            let prose = said(format!("{}: {words}.", spoken().handover.give));
            lines.push(told(id, prose));
        }
        for (what, words) in left_for_later(self.words) {
            let id = Some(self.unique(format!("{place}.later.{what}")));
            lines.push(told(id, said(format!("{}: {words}.", spoken().handover.later))));
        }
        for (joints, words) in due_again(self.words) {
            let again: Vec<String> = joints.iter().map(|joint| self.joint(*joint)).collect();
            let id = Some(self.unique(format!("{place}.again.{}", again.join("."))));
            let prose = said(format!("{}: {words}.", spoken().handover.again));
            lines.push(to::HandoverLine::Text { id, prose, again });
        }
        to::Handover { id: place, leave_as: self.leave_as(handover.span), lines }
    }

    pub(super) fn prose(&mut self, prose: &Prose) -> to::Prose {
        let words = self.words;
        let text = prose::to_text(&prose.markdown, &mut |text| {
            let mention = prose.mentions.iter().find(|mention| mention.text == text)?;
            Some(words.mention_in_full(&mention.target))
        });
        let mentions = prose.mentions.iter().map(|mention| self.mention(&mention.text, &mention.target)).collect();
        let lead = if prose.sure { format!("{} ", spoken().tell.see_that) } else { String::new() };
        to::Prose { text: format!("{lead}{text}"), markdown: format!("{lead}{}", prose.markdown), mentions }
    }

    fn mention(&mut self, text: &str, target: &MentionTarget) -> to::Mention {
        let procedure = self.procedure;
        let (means, id) = match target {
            MentionTarget::Part(id) => (to::Means::Part, Some(&procedure.parts[*id].name.id)),
            MentionTarget::Tool(id) => (to::Means::Tool, Some(&procedure.tools[*id].name.id)),
            MentionTarget::Protection(id) => (to::Means::Protection, Some(&procedure.protections[*id].name.id)),
            MentionTarget::Choice(id) => (to::Means::Input, Some(&procedure.choices[*id].name.id)),
            MentionTarget::Number(id) => (to::Means::Input, Some(&procedure.numbers[*id].name.id)),
            MentionTarget::Fact(id) => (to::Means::Fact, Some(&procedure.facts[*id].name.id)),
            MentionTarget::Joint(id) => (to::Means::Joint, Some(&procedure.joints[*id].name.id)),
            MentionTarget::Circuit(id) => (to::Means::Circuit, Some(&procedure.circuits[*id].name.id)),
            MentionTarget::State(id) => (to::Means::State, Some(&procedure.states[*id].name.id)),
            MentionTarget::Step(id) | MentionTarget::Action(id, _) => {
                (to::Means::Step, Some(&procedure.steps[*id].name.id))
            }
            // As its step, so that an app which knows nothing of figures has a thing that it knows.
            MentionTarget::Figure(id, _) => {
                (to::Means::Step, procedure.shown_by(*id).map(|step| &procedure.steps[step].name.id))
            }
            MentionTarget::Quantity(_) => (to::Means::Amount, None),
        };
        let id = id.cloned();
        let amount = match target {
            MentionTarget::Quantity(measure) => Some(self.stated(measure)),
            _ => None,
        };
        let letter = match target {
            MentionTarget::Action(_, letter) => Some(letter.to_string()),
            _ => None,
        };
        let figure = match target {
            MentionTarget::Figure(id, _) => procedure.figures[*id].name.as_ref().map(|name| name.id.clone()),
            _ => None,
        };
        let words = self.words.mention_in_full(target);
        to::Mention { text: text.to_owned(), words, means, id, figure, letter, amount }
    }
}

/// Who may do a step, where a code or a licence decides that.
fn qualified(work: Vec<&str>) -> Option<people::Qualified> {
    let work: Vec<String> = work.into_iter().map(str::to_owned).collect();
    let words = format!("{}. {}.", listed(work.iter().cloned(), spoken().word.and), spoken().about.who_decides);
    (!work.is_empty()).then_some(people::Qualified { work, words })
}
