//! Inputs, limits, parts, tools, joints, circuits, states.

use super::Filler;
use crate::emit::checklist::{inputs, joined, things as to};
use crate::emit::words::own_unit;
use crate::emit::{kit, lay_out, manual};
use crate::labels::ENGLISH;
use crate::model::{
    ActionKind, ChoiceKind, Counted, Drive, Fastener, FastenerKind, HazardId, Joint, KitGroup, KitKind, Need,
    NumberKind, PartId, PatternOrder, Return, SignalWord, StepId, Tightness, Value,
};
use crate::quantity::{Measure, Quantity};
use crate::source::Span;
use crate::working::circuit::working;
use crate::working::joint::stage_torques;

impl Filler<'_> {
    pub(super) fn inputs(&mut self) -> Vec<inputs::Input> {
        let procedure = self.procedure;
        let choices = procedure.choices.rows().iter().map(|choice| {
            let input = inputs::ChoiceInput {
                id: choice.name.id.clone(),
                title: choice.name.title.clone(),
                values: values(&choice.values),
            };
            match choice.kind {
                ChoiceKind::Option => inputs::Input::Option(input),
                ChoiceKind::Observe => inputs::Input::Observe(input),
                ChoiceKind::Result => inputs::Input::Result(input),
            }
        });
        let mut inputs: Vec<inputs::Input> = choices.collect();
        for number in procedure.numbers.rows() {
            self.also_in_the_other_system(&number.low);
            self.also_in_the_other_system(&number.high);
            let input = inputs::NumberInput {
                id: number.name.id.clone(),
                title: number.name.title.clone(),
                quantity: super::terms::kind(number.low.kind()),
                low: self.amount(&number.low),
                high: self.amount(&number.high),
                reads: number.reads.as_ref().map(|reads| self.amount(reads)),
                tool: number.with.map(|tool| procedure.tools[tool].name.id.clone()),
                shown: self.words.range(&number.low, &number.high),
                reads_shown: number.reads.as_ref().map(|reads| match number.kind {
                    NumberKind::Given => self.words.quantity(reads),
                    // An instrument has one scale.
                    NumberKind::Measure => own_unit(reads),
                }),
            };
            inputs.push(match number.kind {
                NumberKind::Given => inputs::Input::Given(input),
                NumberKind::Measure => inputs::Input::Measure(input),
            });
        }
        inputs
    }

    pub(super) fn facts(&mut self) -> Vec<inputs::Fact> {
        let facts = self.procedure.facts.rows().iter();
        facts
            .map(|fact| inputs::Fact {
                id: fact.name.id.clone(),
                title: fact.name.title.clone(),
                value: self.stated(&fact.value),
            })
            .collect()
    }

    pub(super) fn rules(&mut self) -> Vec<inputs::Rule> {
        let rules = self.procedure.rules.iter();
        rules
            .map(|rule| inputs::Rule {
                id: self.unique(format!("rule.{}", self.inputs_of(rule.when.iter().chain([&rule.holds])))),
                holds: self.condition(&rule.holds),
                when: rule.when.as_ref().map(|when| self.condition(when)),
                reason: rule.reason.clone(),
                words: Some(manual::rule_words(self.words, rule)),
            })
            .collect()
    }

    pub(super) fn limits(&mut self) -> Vec<inputs::Limit> {
        let procedure = self.procedure;
        let limits = procedure.limits.rows().iter();
        limits
            .map(|limit| inputs::Limit {
                id: limit.name.id.clone(),
                title: limit.name.title.clone(),
                when: limit.when.as_ref().map(|when| self.condition(when)),
                when_words: limit.when.as_ref().map(|when| self.words.cond(when)),
                holds: self.comparison(&limit.holds),
                words: self.words.comparison(&limit.holds, true),
                after_step: manual::decided_after(self.words, limit).map(|step| procedure.steps[step].name.id.clone()),
                stop: limit.otherwise.as_ref().map(|text| self.words.said(text)),
                leave_as: self.leave_as(limit.span),
            })
            .collect()
    }

    pub(super) fn parts(&mut self) -> Vec<to::Part> {
        let parts = self.procedure.parts.iter();
        parts
            .map(|(id, part)| to::Part {
                id: part.name.id.clone(),
                title: self.words.part(id),
                fastener: part.fastener.as_ref().map(|fastener| self.fastener(fastener)),
                terminal: part.terminal.as_ref().map(|terminal| to::Terminal {
                    wires: terminal.wires.iter().map(|wire| self.stated(wire)).collect(),
                    studs: terminal.studs.clone(),
                }),
                mass: part.mass.as_ref().map(|mass| self.single(mass)),
                number: part.number.clone(),
                consumable: part.consumable,
                single_use: part.single_use,
                brings: self.hazard_names(&part.brings),
                detail: said(kit::part_detail(self.words, part)),
            })
            .collect()
    }

    fn fastener(&mut self, fastener: &Fastener) -> to::Fastener {
        to::Fastener {
            kind: match fastener.kind {
                FastenerKind::Bolt => to::FastenerKind::Bolt,
                FastenerKind::Screw => to::FastenerKind::Screw,
                FastenerKind::Stud => to::FastenerKind::Stud,
                FastenerKind::Nut => to::FastenerKind::Nut,
                FastenerKind::Washer => to::FastenerKind::Washer,
            },
            thread: fastener.thread.as_ref().map(|thread| thread.id.clone()),
            tapping: fastener.tapping.as_ref().map(|tapping| tapping.id.clone()),
            diameter: fastener.diameter.as_ref().map(|diameter| self.amount(diameter)),
            length: fastener.length.as_ref().map(|length| self.amount(length)),
            grade: fastener.grade.as_ref().map(|grade| grade.id.clone()),
            head: fastener.head.as_ref().map(|head| self.drive(head.drive, &head.sizes, head.mark.as_ref())),
            words: fastener.words.clone(),
        }
    }

    fn drive(&mut self, drive: Drive, sizes: &[Quantity], mark: Option<&String>) -> to::Drive {
        to::Drive {
            kind: match drive {
                Drive::Hex => to::DriveKind::Hex,
                Drive::HexSocket => to::DriveKind::HexSocket,
                Drive::CrossRecess => to::DriveKind::CrossRecess,
                Drive::Slot => to::DriveKind::Slot,
                Drive::Hexalobular => to::DriveKind::Hexalobular,
            },
            sizes: sizes.iter().map(|size| self.amount(size)).collect(),
            mark: mark.cloned(),
        }
    }

    /// Counts, without one for what is used up uncounted.
    pub(super) fn counted(&self, all: &[Counted<PartId>]) -> Vec<to::Counted> {
        let entry = |counted: &Counted<PartId>| {
            let part = &self.procedure.parts[counted.what];
            let count = (!part.consumable && counted.count > 0).then_some(counted.count);
            to::Counted { part: part.name.id.clone(), count, from: None, kit: Vec::new() }
        };
        all.iter().map(entry).collect()
    }

    /// Counts of what is taken from the kit, with the bag or box that it comes from.
    pub(super) fn supplied(&self, all: &[Counted<PartId>]) -> Vec<to::Counted> {
        let mut entries = self.counted(all);
        for (entry, counted) in entries.iter_mut().zip(all) {
            entry.from = kit::supplied_in(self.procedure, counted.what);
            let supplies = |group: &KitGroup| group.entries.iter().any(|entry| entry.what == counted.what);
            let groups = self.procedure.kit.iter().zip(&self.groups).filter(|(group, _)| supplies(group));
            entry.kit = groups.map(|(_, name)| name.clone()).collect();
        }
        entries
    }

    /// Names of the groups of the kit, in their order.
    pub(super) fn group_names(&mut self) -> Vec<String> {
        let name = |group: &KitGroup| {
            let sort = match group.kind {
                KitKind::Bag => "bag",
                KitKind::Box => "box",
                KitKind::Shop => "shop",
            };
            group.name.as_ref().map_or_else(|| sort.to_owned(), |name| format!("{sort}-{name}"))
        };
        self.procedure.kit.iter().map(|group| self.unique(name(group))).collect()
    }

    pub(super) fn kit(&mut self) -> Vec<to::KitGroup> {
        let groups: Vec<(&KitGroup, String)> = self.procedure.kit.iter().zip(self.groups.clone()).collect();
        groups
            .into_iter()
            .map(|(group, id)| to::KitGroup {
                id: Some(id),
                called: Some(kit::group_called(group)),
                kind: match group.kind {
                    KitKind::Bag => to::KitKind::Bag,
                    KitKind::Box => to::KitKind::Box,
                    KitKind::Shop => to::KitKind::Shop,
                },
                name: group.name.clone(),
                title: kit::group_title(group),
                when: group.when.as_ref().map(|when| self.condition(when)),
                when_words: group.when.as_ref().map(|when| self.words.cond(when)),
                entries: self.counted(&group.entries),
            })
            .collect()
    }

    pub(super) fn tools(&mut self) -> Vec<to::Tool> {
        let tools = self.procedure.tools.iter();
        tools
            .map(|(id, tool)| to::Tool {
                id: tool.name.id.clone(),
                title: self.words.tool(id),
                turns: tool
                    .turns
                    .iter()
                    .map(|turns| self.drive(turns.drive, turns.size.as_slice(), turns.mark.as_ref()))
                    .collect(),
                torque: tool.torque.map(|(low, high)| self.stated(&Measure::Range { low, high })),
                measures: tool.measures.map(|(low, high)| self.stated(&Measure::Range { low, high })),
                reads: tool.reads.as_ref().map(|reads| self.single(reads)),
                count: tool.count,
                brings: self.hazard_names(&tool.brings),
                detail: said(lay_out::tool_detail(self.words, tool)),
            })
            .collect()
    }

    pub(super) fn lay_out(&mut self) -> Vec<to::LaidOut> {
        let rows = lay_out::tools(self.words).into_iter();
        rows.map(|row| to::LaidOut {
            any_of: row.names,
            count: row.count,
            optional: row.optional,
            when_words: row.when.clone(),
            needed_if: row.when.as_ref().and_then(|_| self.any_of_steps(&row.steps)),
            when: row.when,
            title: Some(row.title),
            detail: said(row.detail),
            benefit: row.benefit,
            steps: self.step_names(&row.steps),
        })
        .collect()
    }

    pub(super) fn wear(&mut self) -> Vec<to::WornIn> {
        let rows = lay_out::protection(self.words).into_iter();
        rows.map(|row| to::WornIn {
            protection: row.name,
            throughout: row.steps.is_empty(),
            steps: self.step_names(&row.steps),
            needed_if: row.when.as_ref().and_then(|_| self.any_of_steps(&row.steps)),
            when_words: row.when,
        })
        .collect()
    }

    fn step_names(&self, steps: &[StepId]) -> Vec<String> {
        let mut steps = steps.to_vec();
        steps.sort_unstable();
        steps.iter().map(|step| self.procedure.steps[*step].name.id.clone()).collect()
    }

    pub(super) fn protection(&self) -> Vec<to::Protection> {
        let procedure = self.procedure;
        let row = |(id, protection): (_, &crate::model::Protection)| to::Protection {
            id: protection.name.id.clone(),
            title: protection.name.title.clone(),
            throughout: procedure.about.wear.contains(&id),
        };
        procedure.protections.iter().map(row).collect()
    }

    pub(super) fn hazards(&self) -> Vec<to::Hazard> {
        let hazard = |hazard: &crate::model::Hazard| to::Hazard {
            id: hazard.name.id.clone(),
            title: hazard.name.title.clone(),
            signal: signal(hazard.signal),
            from: hazard.from.iter().map(|kind| action_kind(*kind).to_owned()).collect(),
            answered_by: hazard.answered_by.iter().map(|id| self.procedure.protections[*id].name.id.clone()).collect(),
            licensed: hazard.licensed.clone(),
        };
        self.procedure.hazards.rows().iter().map(hazard).collect()
    }

    pub(super) fn actions(&self) -> Vec<to::Action> {
        let action = |action: &crate::model::Action| to::Action {
            id: action.name.id.clone(),
            title: action.name.title.clone(),
            needs: action.needs.iter().map(|need| self.need(need)).collect(),
            brings: self.hazard_names(&action.brings),
        };
        self.procedure.actions.rows().iter().map(action).collect()
    }

    fn hazard_names(&self, brings: &[(HazardId, Span)]) -> Vec<String> {
        brings.iter().map(|(hazard, _)| self.procedure.hazards[*hazard].name.id.clone()).collect()
    }

    pub(super) fn need(&self, need: &Need) -> to::StateIs {
        self.state_is(need.state, need.value)
    }

    pub(super) fn state_is(&self, state: crate::model::StateId, value: usize) -> to::StateIs {
        let words = Some(self.words.state(state, value));
        let state = &self.procedure.states[state];
        to::StateIs { state: state.name.id.clone(), value: value_name(&state.values, value), words }
    }

    pub(super) fn joints(&mut self) -> Vec<joined::Joint> {
        let joints = self.procedure.joints.rows().iter();
        joints
            .map(|joint| {
                let (torque, tight) = match &joint.tightness {
                    Tightness::Torque(measure, _) => {
                        self.also_in_the_other_system(measure.stated());
                        (Some(self.torque(joint, measure)), None)
                    }
                    Tightness::Seen(criterion, _) => (None, Some(criterion.clone())),
                };
                joined::Joint {
                    id: joint.name.id.clone(),
                    title: joint.name.title.clone(),
                    when: joint.when.as_ref().map(|when| self.condition(when)),
                    when_words: joint.when.as_ref().map(|when| self.words.cond(when)),
                    each: if joint.on_vehicle { self.counted(&joint.each) } else { self.supplied(&joint.each) },
                    count: joint.count,
                    torque,
                    tight,
                    thread: joint.thread.map(|thread| manual::thread_words(thread).to_owned()),
                    grip: joint.grip.as_ref().map(|grip| self.single(grip)),
                    into: joint.into.as_ref().map(|hole| joined::TappedHole {
                        metal: manual::metal_words(hole.metal).to_owned(),
                        depth: self.single(&hole.depth),
                    }),
                    onto: joint.onto.as_ref().map(|stud| joined::Stud {
                        thread: stud.thread.id.clone(),
                        grade: stud.grade.as_ref().map(|grade| grade.id.clone()),
                    }),
                    pattern: self.pattern(joint),
                    on_vehicle: joint.on_vehicle,
                    clamps_with: manual::clamping(self.words, joint),
                }
            })
            .collect()
    }

    /// A torque, with the words that name the unit of its wrench.
    fn torque(&mut self, joint: &Joint, torque: &Measure) -> super::super::terms::Stated {
        super::super::terms::Stated { shown: self.words.torque(joint, torque).to_string(), ..self.stated(torque) }
    }

    fn pattern(&mut self, joint: &Joint) -> Option<joined::Pattern> {
        let pattern = joint.pattern.as_ref()?;
        Some(joined::Pattern {
            order: match pattern.order {
                PatternOrder::Cross => joined::PatternOrder::Cross,
                PatternOrder::CentreOut => joined::PatternOrder::CentreOut,
                PatternOrder::InTurn => joined::PatternOrder::InTurn,
            },
            stages: pattern.stages,
            early: stage_torques(joint).iter().map(|torque| self.torque(joint, &Measure::Exact(*torque))).collect(),
            words: manual::order(self.words, joint)?,
        })
    }

    pub(super) fn circuits(&mut self) -> Vec<joined::Circuit> {
        let circuits = self.procedure.circuits.rows().iter();
        circuits.map(|circuit| self.circuit(circuit)).collect()
    }

    fn circuit(&mut self, circuit: &crate::model::Circuit) -> joined::Circuit {
        use joined::CircuitFactKind as Kind;
        let single = |quantity: &Option<Quantity>| quantity.map(Measure::Exact);
        let protection = circuit.protection.as_ref();
        let rating = if protection.is_some_and(|p| p.fuse) { Kind::Fuse } else { Kind::Breaker };
        let stated = [
            (Kind::Source, single(&circuit.source)),
            (Kind::Load, single(&circuit.load)),
            (Kind::Run, single(&circuit.run)),
            (Kind::Wire, single(&circuit.wire)),
            (Kind::Insulation, single(&circuit.insulation)),
            (Kind::Ambient, single(&circuit.ambient)),
            (rating, protection.map(|p| Measure::Exact(p.rating))),
            (Kind::ProtectionAt, protection.and_then(|p| p.at).map(Measure::Exact)),
            (Kind::Drop, circuit.drop),
        ];
        let facts = stated.into_iter().filter_map(|(what, measure)| Some((what, measure?)));
        let facts = facts.map(|(what, measure)| joined::CircuitFact { what, amount: self.stated(&measure) }).collect();
        let numbers = self.procedure.numbers_of_points(circuit);
        let point = |(point, number): (&crate::model::Point, u32)| joined::Point {
            order: Some(number),
            detail: said(manual::point_detail(self.words, point)),
            id: point.id.clone(),
            title: point.title.clone(),
            terminal: point.terminal.map(|part| self.procedure.parts[part].name.id.clone()),
            stud: point.stud.clone(),
        };
        let points = circuit.points.iter().zip(numbers).map(point).collect();
        let made = working(self.procedure, circuit);
        let resistance = match &circuit.returns {
            Return::Chassis(Some(resistance)) => Some(self.single(resistance)),
            _ => None,
        };
        let back = manual::chassis_words(self.words, circuit);
        joined::Circuit {
            id: circuit.name.id.clone(),
            title: circuit.name.title.clone(),
            when: circuit.when.as_ref().map(|when| self.condition(when)),
            when_words: circuit.when.as_ref().map(|when| self.words.cond(when)),
            facts,
            metal: circuit.metal.clone(),
            points,
            isolated_by: circuit.isolated_by.iter().map(|need| self.need(need)).collect(),
            wire_words: manual::wire_words(circuit),
            way_back: Some(joined::WayBack {
                chassis: back.is_some(),
                resistance,
                words: back.unwrap_or_else(|| ENGLISH.circuit.by_wire.to_owned()),
            }),
            bundle: circuit.bundle,
            sheathed: circuit.sheathed,
            starter_cable: circuit.starter_cable,
            drop_words: manual::drop_words(self.words, circuit, &made),
            carries_words: manual::carries_words(&made),
        }
    }

    pub(super) fn states(&self) -> Vec<to::State> {
        let state = |state: &crate::model::State| to::State {
            id: state.name.id.clone(),
            title: state.name.title.clone(),
            values: values(&state.values),
            starts: value_name(&state.values, state.starts),
            ends: state.ends.map(|(value, _)| value_name(&state.values, value)),
        };
        self.procedure.states.rows().iter().map(state).collect()
    }
}

/// A text that says something.
fn said(text: String) -> Option<String> {
    (!text.is_empty()).then_some(text)
}

fn values(values: &[Value]) -> Vec<inputs::Value> {
    values.iter().map(|value| inputs::Value { id: value.id.clone(), label: value.label.clone() }).collect()
}

pub(super) fn value_name(values: &[Value], value: usize) -> String {
    values.get(value).map_or_else(String::new, |value| value.id.clone())
}

pub(super) fn signal(word: SignalWord) -> to::Signal {
    match word {
        SignalWord::Notice => to::Signal::Notice,
        SignalWord::Caution => to::Signal::Caution,
        SignalWord::Warning => to::Signal::Warning,
        SignalWord::Danger => to::Signal::Danger,
    }
}

fn action_kind(kind: ActionKind) -> &'static str {
    match kind {
        ActionKind::Use => "use",
        ActionKind::Take => "take",
        ActionKind::Place => "place",
        ActionKind::Snug => "snug",
        ActionKind::Tighten => "tighten",
        ActionKind::Loosen => "loosen",
        ActionKind::Remove => "remove",
        ActionKind::Refit => "refit",
        ActionKind::Discard => "discard",
        ActionKind::Connect => "connect",
        ActionKind::Disconnect => "disconnect",
    }
}
