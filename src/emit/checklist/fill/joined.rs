//! Joints and circuits.

use super::Filler;
use super::at_place::at_place;
use super::things::said;
use crate::emit::checklist::joined;
use crate::emit::phrase;
use crate::labels::spoken;
use crate::model::{
    Circuit, CircuitId, Coloured, Conductor, Due, Gender, Joint, LooseningOrder, PatternOrder, Point, PointId,
    Protector, Return, Stage, StageDoes, Tightness, WireEnd,
};
use crate::quantity::{Measure, Quantity};
use crate::working::joint::stage_torques;

impl Filler<'_> {
    pub(super) fn joints(&mut self) -> Vec<joined::Joint> {
        let joints = self.procedure.joints.iter();
        joints
            .map(|(id, joint)| {
                let (torque, tight) = match &joint.tightness {
                    Tightness::Torque(measure, _) => {
                        self.also_in_the_other_system(measure.stated());
                        let shown = phrase::joint::tightened_to(self.words, joint, measure);
                        (Some(super::super::terms::Stated { shown, ..self.stated(measure) }), None)
                    }
                    Tightness::Seen(seen, _) => (None, Some(phrase::joint::seen(self.words, joint, seen))),
                    Tightness::Unknown(why, _) => (None, Some(phrase::joint::tight_without_torque(why))),
                };
                joined::Joint {
                    id: joint.name.id.clone(),
                    title: joint.name.title.clone(),
                    at: at_place(self.procedure, &joint.name),
                    when: joint.when.as_ref().map(|when| self.condition(when)),
                    when_words: joint.when.as_ref().map(|when| self.words.cond(when)),
                    each: if joint.on_vehicle { self.counted(&joint.each) } else { self.supplied(&joint.each) },
                    count: joint.at_least(),
                    uncounted: joint.uncounted().map(str::to_owned),
                    torque,
                    tight,
                    thread: joint.thread.map(|thread| phrase::joint::thread_words(thread).to_owned()),
                    grip: joint.grip.as_ref().map(|grip| self.single(grip)),
                    into: joint.into.as_ref().map(|hole| joined::TappedHole {
                        metal: phrase::joint::metal_words(hole.metal).to_owned(),
                        depth: self.single(&hole.depth),
                    }),
                    onto: joint.onto.as_ref().map(|stud| joined::Stud {
                        thread: stud.thread.id.clone(),
                        grade: stud.grade.as_ref().map(|grade| grade.id.clone()),
                    }),
                    pattern: self.pattern(joint),
                    again: self.again(joint),
                    loosened: self.loosened(joint),
                    stages: self.stages(joint),
                    on_vehicle: joint.on_vehicle,
                    clamps_with: phrase::joint::clamping(self.words, joint, self.plan.joint(id)),
                }
            })
            .collect()
    }

    /// A torque, with the words that name the unit of its wrench.
    fn torque(&mut self, joint: &Joint, torque: &Measure) -> super::super::terms::Stated {
        super::super::terms::Stated { shown: self.words.torque(joint, torque).to_string(), ..self.stated(torque) }
    }

    fn stages(&mut self, joint: &Joint) -> Vec<joined::Stage> {
        use joined::StageKind as Kind;
        let stage = |stage: &Stage| {
            let (what, amount) = match &stage.does {
                StageDoes::Seen => (Kind::Seen, None),
                StageDoes::Torque(torque) => (Kind::Torque, Some(self.torque(joint, torque))),
                StageDoes::Angle(angle) => (Kind::Angle, Some(self.stated(angle))),
                StageDoes::Loosen => (Kind::Loosen, None),
                StageDoes::BackOff(angle) => (Kind::BackOff, Some(self.stated(angle))),
            };
            let until = match (&stage.does, &joint.tightness) {
                (StageDoes::Seen, Tightness::Seen(seen, _)) => Some(seen.clone()),
                _ => None,
            };
            joined::Stage { what, amount, until, meanwhile: stage.meanwhile.clone() }
        };
        joint.stages.iter().map(stage).collect()
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
            words: phrase::joint::order(self.words, joint)?,
        })
    }

    fn again(&mut self, joint: &Joint) -> Option<joined::Again> {
        let (again, words) = (joint.again.as_ref()?, phrase::again::due(self.words, joint)?);
        let due = |due: &Due| joined::Due { after: self.stated(&due.after), running: due.running };
        Some(joined::Again { after: again.after.iter().map(due).collect(), words })
    }

    fn loosened(&mut self, joint: &Joint) -> Option<joined::Loosened> {
        let (loosened, words) = (joint.loosened.as_ref()?, phrase::joint::loosened(self.words, joint)?);
        let order = match loosened.order {
            LooseningOrder::Cross => "cross",
            LooseningOrder::OutsideIn => "outside-in",
            LooseningOrder::InTurn => "in-turn",
        };
        Some(joined::Loosened {
            order: order.to_owned(),
            stages: (!loosened.open).then_some(loosened.stages),
            by: loosened.by.as_ref().map(|angle| self.stated(angle)),
            words,
        })
    }

    pub(super) fn circuits(&mut self) -> Vec<joined::Circuit> {
        let circuits = self.procedure.circuits.ids();
        circuits.map(|circuit| self.circuit(circuit)).collect()
    }

    fn circuit(&mut self, id: CircuitId) -> joined::Circuit {
        use joined::CircuitFactKind as Kind;
        let (circuit, made) = (&self.procedure.circuits[id], self.plan.circuit(id));
        let single = |quantity: &Option<Quantity>| quantity.map(Measure::Exact);
        let protection = circuit.protection.as_ref();
        let rating = match protection.map(|p| p.sort) {
            Some(Protector::Fuse) => Kind::Fuse,
            Some(Protector::Upstream) => Kind::Upstream,
            Some(Protector::Breaker) | None => Kind::Breaker,
        };
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
        let point = |(id, point): (PointId, &Point)| joined::Point {
            order: Some(numbers[id]),
            detail: said(phrase::circuit::point_detail(self.words, circuit, point)),
            id: point.id.clone(),
            title: point.title.clone(),
            terminal: point.terminal.map(|part| self.procedure.parts[part].name.id.clone()),
            stud: point.stud.clone(),
            ends: phrase::conductors::ends_at(circuit, id),
            pins: point.connector.pins,
            gender: point.connector.gender.map(|gender| gender_word(gender).to_owned()),
            mates: point.connector.mates.as_ref().map(|(mate, _)| circuit.points[*mate].id.clone()),
            connected_later: point.left.as_ref().map(phrase::circuit::later_words),
        };
        let points = circuit.points.iter().map(point).collect();
        let resistance = match &circuit.returns {
            Return::Chassis(Some(resistance)) => Some(self.single(resistance)),
            _ => None,
        };
        let back = phrase::circuit::chassis_words(self.words, circuit);
        joined::Circuit {
            id: circuit.name.id.clone(),
            title: circuit.name.title.clone(),
            at: at_place(self.procedure, &circuit.name),
            when: circuit.when.as_ref().map(|when| self.condition(when)),
            when_words: circuit.when.as_ref().map(|when| self.words.cond(when)),
            facts,
            metal: circuit.metal.clone(),
            points,
            isolated_by: circuit.isolated_by.iter().map(|need| self.need(need)).collect(),
            wire_words: phrase::circuit::wire_words(circuit),
            way_back: Some(joined::WayBack {
                chassis: back.is_some(),
                resistance,
                words: back.unwrap_or_else(|| spoken().circuit.by_wire.to_owned()),
            }),
            bundle: circuit.bundle,
            sheathed: circuit.sheathed,
            starter_cable: circuit.starter_cable,
            drop_words: phrase::circuit::drop_words(self.words, circuit, made),
            carries_words: phrase::circuit::carries_words(made),
            protection_part: protection
                .and_then(|p| p.part)
                .map(|(part, _)| self.procedure.parts[part].name.id.clone()),
            fed_later: circuit.fed_later.as_ref().map(phrase::circuit::later_words),
            conductors: self.conductors(circuit),
        }
    }

    fn conductors(&mut self, circuit: &Circuit) -> Vec<joined::Conductor> {
        let wire_end = |end: &WireEnd| joined::WireEnd { point: circuit.points[end.point].id.clone(), pin: end.pin };
        let conductor = |(number, conductor): (u32, &Conductor)| joined::Conductor {
            number,
            colour: phrase::conductors::colour_words(conductor),
            code: conductor.colour.map(Coloured::code).unwrap_or_default(),
            carries: self.procedure.carried_by(conductor).map(str::to_owned),
            title: conductor.title.clone(),
            from: wire_end(&conductor.from),
            to: wire_end(&conductor.to),
            size: circuit.size_of(conductor).map(|size| self.single(size)),
            length: circuit.length_of(conductor).map(|length| self.single(length)),
            label: conductor.label.clone(),
        };
        (1..).zip(&circuit.conductors).map(conductor).collect()
    }
}

/// The word of a connector's contacts, as the source has it.
fn gender_word(gender: Gender) -> &'static str {
    match gender {
        Gender::Male => "male",
        Gender::Female => "female",
    }
}
