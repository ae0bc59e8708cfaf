//! The lines of parts, the kit, tools, hazards, actions, joints and circuits.

use super::{Form, Line, Reader, conductors};
use crate::parse::forms::Block;
use crate::parse::tree::{
    ActionLine, Callout, CircuitLine, Declared, Figure, HazardLine, Item, JointLine, KitGroup, LeftTo, PartLine,
    ToolLine,
};
use fitwright_grammar::Rule;

impl Line for PartLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = reader.parts(form);
        if let Some(why) = parts.unknown.take() {
            return Some(PartLine::Unknown { what: unknown_value(rule), why });
        }
        Some(match rule {
            Rule::mass => PartLine::Mass(parts.measure()?),
            Rule::consumable => PartLine::Consumable,
            Rule::single_use => PartLine::SingleUse,
            Rule::brings => PartLine::Brings(parts.names()),
            Rule::maker_number => PartLine::PartNumber(parts.text()?),
            Rule::short_title => PartLine::Short(parts.text()?),
            _ => PartLine::Source(parts.names()),
        })
    }
}

impl Line for KitGroup {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let entries = reader.entries(&form);
        let mut parts = reader.parts(form);
        Some(KitGroup { kind: parts.name()?, name: parts.name(), when: parts.when(), entries })
    }
}

impl Line for ToolLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = reader.parts(form);
        Some(match rule {
            Rule::turns => ToolLine::Turns { drive: parts.name()?, size: parts.measure(), mark: parts.name() },
            Rule::drives => ToolLine::Drives(parts.measures()),
            Rule::driven => ToolLine::Driven(parts.measures()),
            Rule::torque => ToolLine::Torque(parts.measure()?),
            Rule::lever => match parts.unknown.take() {
                Some(why) => ToolLine::LeverUnknown(why),
                None => ToolLine::Lever(parts.measure()?),
            },
            Rule::extends => ToolLine::Extends(parts.measure()?),
            Rule::measures => ToolLine::Measures(parts.measure()?),
            Rule::reads => ToolLine::Reads(parts.measure()?),
            Rule::count => ToolLine::Count(parts.number()?),
            Rule::brings => ToolLine::Brings(parts.names()),
            Rule::short_title => ToolLine::Short(parts.text()?),
            _ => ToolLine::Source(parts.names()),
        })
    }
}

impl Line for HazardLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = reader.parts(form);
        Some(match rule {
            Rule::signal_least => HazardLine::Signal(parts.name()?),
            Rule::least_people => HazardLine::LeastPeople { people: parts.name()?, unless: parts.names() },
            Rule::from_lines => HazardLine::From(parts.names()),
            Rule::answered_by => HazardLine::AnsweredBy(parts.names()),
            Rule::licensed => HazardLine::Licensed(parts.text()?),
            _ => HazardLine::Source(parts.names()),
        })
    }
}

impl Line for ActionLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let mut parts = reader.parts(form);
        Some(match rule {
            Rule::need => ActionLine::Need { state: parts.name()?, value: parts.name()? },
            Rule::brings => ActionLine::Brings(parts.names()),
            _ => ActionLine::Source(parts.names()),
        })
    }
}

impl Line for JointLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        let in_stages = form.pair.clone().into_inner().any(|part| part.as_rule() == Rule::in_stages);
        let mut parts = reader.parts(form);
        if let Some(why) = parts.unknown.take() {
            return Some(JointLine::Unknown { what: unknown_value(rule), why });
        }
        Some(match rule {
            Rule::each => JointLine::Each(parts.counted),
            Rule::joint_count => JointLine::Count(parts.number()?),
            Rule::joint_torque => JointLine::Torque(parts.stages),
            Rule::tight => JointLine::Tight(parts.text()?, parts.stages),
            Rule::thread_condition => JointLine::Thread(parts.name()?),
            Rule::grip => JointLine::Grip(parts.measure()?),
            Rule::into => JointLine::Into { metal: parts.name()?, depth: parts.measure()?, end: parts.name() },
            Rule::onto => {
                let thread = parts.name()?;
                // The word before it, `class` or `grade`, only tells which system names it.
                JointLine::Onto { thread, grade: parts.names().pop() }
            }
            Rule::pattern => {
                let (order, stages) = (parts.name()?, parts.number());
                JointLine::Pattern { order, open: in_stages && stages.is_none(), stages }
            }
            Rule::loosened => {
                let (order, stages, by) = (parts.name()?, parts.number(), parts.measure());
                JointLine::Loosened { order, open: in_stages && stages.is_none(), stages, by }
            }
            Rule::again => JointLine::Again(parts.dues),
            Rule::backed_off => JointLine::BackedOff,
            Rule::at_circuit => {
                let mut points = parts.names();
                JointLine::At { circuit: points.pop()?, points }
            }
            Rule::joins => JointLine::Joins(parts.names()),
            _ => JointLine::OnVehicle,
        })
    }
}

impl Line for CircuitLine {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let rule = form.pair.as_rule();
        if rule == Rule::point {
            return conductors::point(reader, form);
        }
        if rule == Rule::conductor {
            return conductors::conductor(reader, form);
        }
        let mut parts = reader.parts(form);
        if rule != Rule::protected
            && let Some(why) = parts.unknown.take()
        {
            return Some(CircuitLine::Unknown { what: unknown_value(rule), why });
        }
        Some(match rule {
            Rule::source => CircuitLine::Source(parts.measure()?),
            Rule::load => CircuitLine::Load(parts.measure()?),
            Rule::run => CircuitLine::Run(parts.measure()?),
            Rule::wire => CircuitLine::Wire { gauge: parts.measure()?, metal: parts.name() },
            Rule::insulation => CircuitLine::Insulation(parts.measure()?),
            Rule::ambient => CircuitLine::Ambient(parts.measure()?),
            Rule::bundle => CircuitLine::Bundle(parts.number()?),
            Rule::sheathed => CircuitLine::Sheathed,
            Rule::chassis_return => CircuitLine::ChassisReturn(parts.measure()),
            Rule::starter_cable => CircuitLine::StarterCable,
            Rule::protected => CircuitLine::Protection {
                kind: parts.name()?,
                rating: parts.measure()?,
                at: parts.measure(),
                unknown: parts.unknown.take(),
                part: parts.name(),
            },
            Rule::upstream => CircuitLine::Upstream(parts.measure()?),
            Rule::signals => CircuitLine::Signals,
            Rule::ready_made => CircuitLine::ReadyMade,
            Rule::wired_before => CircuitLine::OnVehicle(parts.names()),
            Rule::fed_later => CircuitLine::FedLater(match parts.text() {
                Some(text) => LeftTo::Somebody(text),
                None => {
                    let circuit = Some(parts.name()?);
                    LeftTo::Procedure { path: parts.name()?, circuit }
                }
            }),
            Rule::left_open => {
                let mut points = parts.names();
                let to = match parts.text() {
                    Some(text) => LeftTo::Somebody(text),
                    None => LeftTo::Procedure { path: points.pop()?, circuit: None },
                };
                CircuitLine::Leaves { points, to }
            }
            Rule::drop => CircuitLine::Drop(parts.measure()?),
            _ => CircuitLine::IsolatedBy { state: parts.name()?, value: parts.name()? },
        })
    }
}

impl Line for Callout {
    fn read(reader: &mut Reader<'_>, form: Form<'_>) -> Option<Self> {
        let span = form.span;
        let mut parts = reader.parts(form);
        let (across, down) = (parts.measure()?, parts.measure()?);
        Some(Callout { number: parts.number()?, name: parts.name()?, across, down, span })
    }
}

/// Whether a line says how tight a joint is, or that nobody knows.
fn is_tightness(line: &JointLine) -> bool {
    matches!(line, JointLine::Torque(_) | JointLine::Tight(..) | JointLine::Unknown { what: "torque", .. })
}

/// The word of the value that a line says to be unknown.
fn unknown_value(rule: Rule) -> &'static str {
    match rule {
        Rule::mass => "mass",
        Rule::strength_unknown => "class",
        Rule::size_unknown => "size",
        Rule::drive_unknown => "drive",
        Rule::joint_count => "count",
        Rule::joint_torque => "torque",
        Rule::upstream => "protected",
        Rule::thread_condition => "thread",
        Rule::grip => "grip",
        Rule::into => "into",
        Rule::onto => "onto",
        Rule::source => "source",
        Rule::load => "load",
        Rule::run => "run",
        Rule::wire => "wire",
        Rule::insulation => "insulation",
        Rule::ambient => "ambient",
        _ => "chassis return",
    }
}

impl Reader<'_> {
    pub fn part_lines(&mut self, form: &Form<'_>) -> Vec<Item<PartLine>> {
        let mut lines = self.body_lines::<PartLine>(Block::Part, form);
        self.once(&mut lines.items, |line| match line {
            PartLine::Mass(_) => Some("mass"),
            PartLine::Consumable => Some("consumable"),
            PartLine::SingleUse => Some("single use"),
            PartLine::PartNumber(_) => Some("number"),
            PartLine::Short(_) => Some("short"),
            PartLine::Source(_) => Some("source"),
            PartLine::Unknown { what, .. } => Some(what),
            PartLine::Brings(_) => None,
        });
        lines.items
    }

    /// Name, title and condition of a declaration, its lines given.
    fn declared<L>(&mut self, form: Form<'_>, lines: Vec<Item<L>>) -> Option<Declared<L>> {
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let title = parts.text();
        Some(Declared { name, title, when: parts.when(), for_each: parts.for_each, lines: lines.into() })
    }

    pub fn tool(&mut self, form: Form<'_>) -> Option<Declared<ToolLine>> {
        let mut lines = self.body_lines::<ToolLine>(Block::Tool, &form);
        self.once(&mut lines.items, |line| match line {
            ToolLine::Torque(_) => Some("torque"),
            ToolLine::Lever(_) | ToolLine::LeverUnknown(_) => Some("lever"),
            ToolLine::Extends(_) => Some("extends"),
            ToolLine::Measures(_) => Some("measures"),
            ToolLine::Reads(_) => Some("reads"),
            ToolLine::Count(_) => Some("count"),
            ToolLine::Drives(_) => Some("drives"),
            ToolLine::Driven(_) => Some("driven"),
            ToolLine::Short(_) => Some("short"),
            ToolLine::Turns { .. } | ToolLine::Brings(_) | ToolLine::Source(_) => None,
        });
        self.declared(form, lines.items)
    }

    pub fn hazard(&mut self, form: Form<'_>) -> Option<Declared<HazardLine>> {
        let mut lines = self.body_lines::<HazardLine>(Block::Hazard, &form);
        self.once(&mut lines.items, |line| match line {
            HazardLine::Signal(_) => Some("signal"),
            HazardLine::Licensed(_) => Some("licensed"),
            HazardLine::LeastPeople { .. } => Some("at least … people"),
            HazardLine::From(_) | HazardLine::AnsweredBy(_) | HazardLine::Source(_) => None,
        });
        let signal = lines.items.iter().any(|item| matches!(item.node, HazardLine::Signal(_)));
        let declared = self.declared(form, lines.items)?;
        if lines.whole && !signal {
            let reason = "The word says how grave the hazard is, and no message with a lesser word answers it.";
            self.missing(
                "hazard",
                &declared.name,
                ["its signal word", "no `signal`"],
                reason,
                "Write `signal warning`, or another of `danger`, `warning`, `caution`, `notice`.",
            );
        }
        Some(declared)
    }

    pub fn figure(&mut self, form: Form<'_>) -> Option<Figure> {
        let lines = self.body_lines::<Callout>(Block::Figure, &form);
        let mut parts = self.parts(form);
        let name = parts.name()?;
        self.new_name(&name);
        let callouts = lines.items.into_iter().map(|item| item.node).collect();
        Some(Figure { name, path: parts.text()?, alt: parts.text(), when: parts.when(), callouts })
    }

    pub fn action(&mut self, form: Form<'_>) -> Option<Declared<ActionLine>> {
        let lines = self.body_lines::<ActionLine>(Block::Action, &form);
        self.declared(form, lines.items)
    }

    pub fn joint(&mut self, form: Form<'_>) -> Option<Declared<JointLine>> {
        let mut lines = self.body_lines::<JointLine>(Block::Joint, &form);
        self.once(&mut lines.items, |line| {
            Some(match line {
                // Its fastenings may hold lugs of several circuits.
                JointLine::At { .. } => return None,
                JointLine::Joins(_) => "joins",
                JointLine::Each(_) => "each",
                JointLine::Count(_) => "count",
                JointLine::Torque(_) => "torque",
                JointLine::Tight(..) => "tight",
                JointLine::Thread(_) => "thread",
                JointLine::Grip(_) => "grip",
                JointLine::Into { .. } => "into",
                JointLine::Onto { .. } => "onto",
                JointLine::Pattern { .. } => "pattern",
                JointLine::Loosened { .. } => "loosened",
                JointLine::Again(_) => "again",
                JointLine::OnVehicle => "on vehicle",
                JointLine::BackedOff => "backed off",
                JointLine::Unknown { what, .. } => what,
            })
        });
        let each = lines.items.iter().any(|item| matches!(item.node, JointLine::Each(_)));
        let tight = lines.items.iter().any(|item| is_tightness(&item.node));
        let declared = self.declared(form, lines.items)?;
        if lines.whole && !each {
            let reason = "Without its parts nobody can lay out the hardware or check that it suffices.";
            self.missing(
                "joint",
                &declared.name,
                ["which parts it has", "no `each`"],
                reason,
                "Write the parts of one fastening: `each bracket-bolt, 2 bracket-washer, bracket-nut`.",
            );
        }
        if lines.whole && !tight {
            let reason = "\"Tight\" means something else to everybody.";
            self.missing(
                "joint",
                &declared.name,
                ["how tight it is", "neither `torque` nor `tight`"],
                reason,
                "Write `torque 22 N.m +- 2 N.m`, or what a person can see: `tight \"head flat on the bracket\"`.",
            );
        }
        Some(declared)
    }

    pub fn circuit(&mut self, form: Form<'_>) -> Option<Declared<CircuitLine>> {
        let mut lines = self.body_lines::<CircuitLine>(Block::Circuit, &form);
        self.once(&mut lines.items, |line| match line {
            CircuitLine::Source(_) => Some("source"),
            CircuitLine::Load(_) => Some("load"),
            CircuitLine::Run(_) => Some("run"),
            CircuitLine::Wire { .. } => Some("wire"),
            CircuitLine::Insulation(_) => Some("insulation"),
            CircuitLine::Ambient(_) => Some("ambient"),
            CircuitLine::Bundle(_) => Some("bundle"),
            CircuitLine::Sheathed => Some("sheathed"),
            CircuitLine::ChassisReturn(_) => Some("chassis return"),
            CircuitLine::StarterCable => Some("starter cable"),
            CircuitLine::Protection { .. }
            | CircuitLine::Upstream(_)
            | CircuitLine::Unknown { what: "protected", .. } => Some("breaker or fuse"),
            CircuitLine::Signals => Some("signals only"),
            CircuitLine::ReadyMade => Some("ready made"),
            CircuitLine::OnVehicle(_) => Some("on vehicle"),
            CircuitLine::FedLater(_) => Some("fed later"),
            CircuitLine::Drop(_) => Some("drop"),
            CircuitLine::Unknown { what, .. } => Some(what),
            CircuitLine::Point { .. }
            | CircuitLine::Conductor(_)
            | CircuitLine::IsolatedBy { .. }
            | CircuitLine::Leaves { .. } => None,
        });
        self.declared(form, lines.items)
    }
}
