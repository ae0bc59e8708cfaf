//! Circuits and their points.

use super::Resolver;
use super::scope::{Target, Wanted};
use crate::diagnostics::{Code, Finding};
use crate::model::{
    Circuit, CircuitId, CircuitPlaces, CircuitProtection, Connector, PartId, Point, PointId, Protector, Return, Table,
    Unknown, UnknownValue,
};
use crate::parse::tree::{self, CircuitLine, Name};
use crate::quantity::Kind;
use crate::source::Span;

impl<'t> Resolver<'t> {
    pub(super) fn circuit(
        &mut self,
        circuit: &'t tree::Declared<CircuitLine>,
        library: bool,
        span: Span,
    ) -> Option<Target> {
        let name = self.naming(&circuit.name, circuit.title.as_ref(), library);
        let when = self.optional_cond(circuit.when.as_ref());
        let mut row = Circuit {
            name,
            when: None,
            source: None,
            load: None,
            run: None,
            wire: None,
            metal: "copper".to_owned(),
            wire_size: None,
            insulation: None,
            ambient: None,
            bundle: None,
            sheathed: false,
            returns: Return::Wire,
            starter_cable: false,
            on_vehicle: false,
            ready_made: false,
            signals_only: false,
            protection: None,
            drop: None,
            points: Table::default(),
            conductors: Vec::new(),
            isolated_by: Vec::new(),
            fed_later: None,
            unknown: Vec::new(),
            places: CircuitPlaces::default(),
            span,
        };
        for item in &circuit.lines {
            self.accepts_unless(library, item);
            note_place(&mut row.places, &item.node, item.span);
            self.circuit_line(&mut row, &item.node, item.span);
        }
        if let Some(signals) = circuit.lines.iter().find(|item| matches!(item.node, CircuitLine::Signals)) {
            self.only_signals(&row, signals.span);
        }
        if let Some(wire) = row.wire {
            let metal = row.metal.clone();
            row.wire_size = self.wire_size(&wire, &metal, span);
        }
        if row.points.is_empty() {
            for end in ["source", "load"] {
                row.points.push(implied_point(end, circuit.name.span));
            }
        }
        if row.points.len() == 1 && self.is_torn(span) {
            return None;
        }
        if row.points.len() == 1 {
            let at = row.points.rows().first().map_or(span, |point| point.span);
            self.missing(
                format!("the circuit `{}` lists only one point", circuit.name.text),
                at,
                "where does the current go?",
                "List all points in order, the source first: `point post \"Battery post\"`, `point load \"Motor\"`.",
            );
            return None;
        }
        self.wired(&mut row, &circuit.lines);
        self.left_to_others(&mut row, &circuit.name, library, &circuit.lines);
        row.when = when?;
        Some(Target::Circuit(self.procedure.circuits.push(row)))
    }

    fn circuit_line(&mut self, row: &mut Circuit, line: &CircuitLine, span: Span) {
        match line {
            CircuitLine::Source(measure) => row.source = self.single_quantity(measure, &[Kind::Voltage]).or(row.source),
            CircuitLine::Load(measure) => row.load = self.single_quantity(measure, &[Kind::Current]).or(row.load),
            CircuitLine::Run(measure) => row.run = self.single_quantity(measure, &[Kind::Length]).or(row.run),
            CircuitLine::Wire { gauge, metal } => {
                row.wire = self.single_quantity(gauge, &[Kind::WireGauge, Kind::Area]).or(row.wire);
                if let Some(metal) = metal.as_ref().filter(|metal| self.is_metal(metal)) {
                    row.metal.clone_from(&metal.text);
                }
            }
            CircuitLine::Insulation(measure) => {
                row.insulation = self.single_quantity(measure, &[Kind::Temperature]).or(row.insulation);
            }
            CircuitLine::Ambient(measure) => {
                row.ambient = self.single_quantity(measure, &[Kind::Temperature]).or(row.ambient)
            }
            CircuitLine::Bundle(number) => row.bundle = self.count(Some(number)).or(row.bundle),
            CircuitLine::Sheathed => row.sheathed = true,
            CircuitLine::ChassisReturn(resistance) => {
                let stated = resistance.as_ref().and_then(|stated| self.single_quantity(stated, &[Kind::Resistance]));
                row.returns = Return::Chassis(stated);
            }
            CircuitLine::StarterCable => row.starter_cable = true,
            CircuitLine::Protection { kind, rating, at, unknown, part } => {
                let why = unknown.as_ref();
                row.unknown.extend(why.and_then(|why| self.unknown_value(UnknownValue::AT_DISTANCE, why, span)));
                let part = part.as_ref().and_then(|name| match self.find(name, Wanted::Part) {
                    Some(Target::Part(part)) => self.only_fuse(part, name),
                    _ => None,
                });
                let rating = self.single_quantity(rating, &[Kind::Current]);
                let at = at.as_ref().and_then(|at| self.single_quantity(at, &[Kind::Length]));
                let sort = if kind.text == "fuse" { Protector::Fuse } else { Protector::Breaker };
                row.protection =
                    rating.map(|rating| CircuitProtection { sort, rating, at, part }).or(row.protection.take());
            }
            CircuitLine::Upstream(rating) => {
                let rating = self.single_quantity(rating, &[Kind::Current]);
                let stated =
                    rating.map(|rating| CircuitProtection { sort: Protector::Upstream, rating, at: None, part: None });
                row.protection = stated.or(row.protection.take());
            }
            CircuitLine::Signals => {
                row.signals_only = true;
                row.unknown.extend(signals_only(span));
            }
            CircuitLine::ReadyMade => row.ready_made = true,
            CircuitLine::OnVehicle(_) => row.on_vehicle = true,
            CircuitLine::Drop(measure) => row.drop = self.measure(measure, &[Kind::Share, Kind::Voltage]).or(row.drop),
            CircuitLine::Point { name, title, terminal, stud, plug } => {
                let point = self.point(row, name, title.as_ref(), terminal.as_ref(), stud.as_ref());
                let connector = plug.as_ref().map(|plug| self.connector(plug));
                if let Some(point) = point {
                    row.points.push(Point { plug: plug.is_some(), connector: connector.unwrap_or_default(), ..point });
                }
            }
            // When all points are known.
            CircuitLine::Conductor(_) | CircuitLine::FedLater(_) | CircuitLine::Leaves { .. } => {}
            CircuitLine::Unknown { what, why } => {
                let unknown = self.unknown_value(what, why, span);
                if unknown.as_ref().is_some_and(|unknown| unknown.what == UnknownValue::Chassis) {
                    row.returns = Return::Chassis(None);
                }
                row.unknown.extend(unknown);
            }
            CircuitLine::IsolatedBy { state, value } => row.isolated_by.extend(self.need(state, value, span)),
        }
    }

    /// FW0113 where a circuit that carries signals only has a source, a load or a fuse: nothing would be asked of these.
    fn only_signals(&mut self, row: &Circuit, span: Span) {
        let source = row.places.source.filter(|_| row.source.is_some());
        let load = row.places.load.filter(|_| row.load.is_some());
        let protection = row.places.protection.filter(|_| row.protection.is_some());
        if let Some(stated) = source.or(load).or(protection) {
            let message = format!("`{}` carries signals only, and is fed all the same", row.name.id);
            self.report(
                Finding::new(Code::FW0113, message, stated, "of a circuit that feeds something")
                    .also(span, "signals only")
                    .repair("Take one of the two out: a lead that feeds a load needs its fuse or breaker."),
            );
        }
    }

    /// FW0113 where a part is the fuse of another circuit already: nobody could tell which of the two it is put in for.
    fn only_fuse(&mut self, part: PartId, name: &Name) -> Option<(PartId, Span)> {
        let others = self.procedure.circuits.rows().iter();
        let mut taken = others.filter_map(|other| other.protection.as_ref()?.part).filter(|(known, _)| *known == part);
        let Some((_, first)) = taken.next() else { return Some((part, name.span)) };
        self.report(
            Finding::new(
                Code::FW0113,
                format!("`{}` is the fuse or breaker of two circuits", name.text),
                name.span,
                "said again here",
            )
            .also(first, "said first here")
            .because("Nobody could tell into which of them it is put.")
            .repair("Declare a part for each, with a name of its own."),
        );
        None
    }

    fn point(
        &mut self,
        row: &Circuit,
        name: &Name,
        title: Option<&tree::Text>,
        terminal: Option<&Name>,
        stud: Option<&Name>,
    ) -> Option<Point> {
        if let Some(first) = row.points.rows().iter().find(|point| point.id == name.text) {
            let finding = Finding::new(
                Code::FW0202,
                format!("the point `{}` is listed twice", name.text),
                name.span,
                "listed again",
            )
            .also(first.span, "first listed here")
            .repair("Rename one of the two.");
            self.report(finding);
            return None;
        }
        let terminal = terminal.and_then(|terminal| match self.find(terminal, Wanted::Terminal) {
            Some(Target::Part(part)) => Some(part),
            _ => None,
        });
        let mut stud_flats = Vec::new();
        if let Some(stud) = stud {
            let thread = self.thread(stud);
            let flats = |row: crate::model::Thread| [row.hex_nut, row.old_hex_nut, row.hex_bolt, row.old_hex_bolt];
            stud_flats.extend(thread.map(flats).into_iter().flatten().flatten());
        }
        let naming = self.naming(name, title, false);
        Some(Point {
            id: naming.id,
            title: naming.title,
            terminal,
            stud: stud.map(|stud| stud.text.clone()),
            stud_flats,
            plug: false,
            connector: Connector::default(),
            implied: false,
            open_before: false,
            left: None,
            span: name.span,
        })
    }

    /// Points by name; none named means all, in the given order.
    pub(super) fn points(&mut self, circuit: CircuitId, names: &[Name], source_last: bool) -> Option<Vec<PointId>> {
        let row = &self.procedure.circuits[circuit];
        if names.is_empty() {
            let all = row.points.ids();
            let all: Vec<PointId> = if source_last { all.rev().collect() } else { all.collect() };
            return Some(Self::but_what_is_left(row, all));
        }
        let points = row.points.iter();
        let known: Vec<(String, PointId, Span)> =
            points.map(|(id, point)| (point.id.clone(), id, point.span)).collect();
        let (owner, declared) = (row.name.id.clone(), row.name.span);
        let mut found = Vec::new();
        for name in names {
            match known.iter().find(|(id, ..)| *id == name.text) {
                Some((_, point, means)) => {
                    self.note_use(name.span, *means);
                    found.push(*point);
                }
                None => {
                    let all: Vec<String> = known.iter().map(|(point, ..)| format!("`{point}`")).collect();
                    self.report(
                        Finding::new(
                            Code::FW0208,
                            format!("the circuit `{owner}` has no point `{}`", name.text),
                            name.span,
                            "not one of its points",
                        )
                        .also(declared, format!("its points are {}", all.join(", ")))
                        .repair("Write one of its points, or list this one in the circuit."),
                    );
                    return None;
                }
            }
        }
        Some(found)
    }
}

/// Of a circuit that carries signals only nothing electrical is asked.
fn signals_only(span: Span) -> impl Iterator<Item = Unknown> {
    use UnknownValue::{Ambient, Insulation, Load, Protection, Run, Source, Wire};
    let of = move |what| Unknown { what, why: "it carries signals only".to_owned(), span };
    [Source, Load, Run, Wire, Insulation, Ambient, Protection].into_iter().map(of)
}

/// Keeps where a line stands.
fn note_place(places: &mut CircuitPlaces, line: &CircuitLine, span: Span) {
    let place = match line {
        CircuitLine::Source(_) => &mut places.source,
        CircuitLine::Load(_) => &mut places.load,
        CircuitLine::Run(_) => &mut places.run,
        CircuitLine::Wire { .. } => &mut places.wire,
        CircuitLine::Insulation(_) => &mut places.insulation,
        CircuitLine::Ambient(_) => &mut places.ambient,
        CircuitLine::ChassisReturn(_) => &mut places.chassis,
        CircuitLine::Protection { .. } | CircuitLine::Upstream(_) => &mut places.protection,
        CircuitLine::Drop(_) => &mut places.drop,
        _ => return,
    };
    *place = Some(span);
}

fn implied_point(id: &str, span: Span) -> Point {
    Point {
        id: id.to_owned(),
        title: super::names::sentence_case(id),
        terminal: None,
        stud: None,
        stud_flats: Vec::new(),
        plug: false,
        connector: Connector::default(),
        implied: true,
        open_before: false,
        left: None,
        span,
    }
}
