//! What a circuit leaves to others: who feeds it, who connects its points. Where that is a procedure of the project, it is
//! read, and held to do so.

use std::collections::BTreeMap;

use super::index::{CircuitBeside, LeftBeside};
use super::load::{self, ENDING};
use super::{Resolved, Resolver};
use crate::diagnostics::{Code, Finding};
use crate::model::{Circuit, LeftTo, LineKind, PointId, Procedure, Who};
use crate::parse::tree::{self, CircuitLine, Name};
use crate::quantity::{Exact, Quantity};
use crate::source::{Sources, Span};
use num_traits::CheckedAdd;

/// More procedures than this are not read for one.
const MOST_PROCEDURES: usize = 32;

/// What another procedure is said to do.
pub(super) struct Promise {
    /// The procedure, by its path.
    path: Name,
    /// The circuit there.
    circuit: Name,
    /// Whether the line says its name; it is that of the circuit here otherwise.
    said: bool,
    /// The circuit here.
    of: String,
    /// The point that it connects; none where it feeds the circuit.
    point: Option<Name>,
    span: Span,
}

/// A procedure that was read for this one.
type Other = (Resolved, Sources);

impl<'t> Resolver<'t> {
    /// What of a circuit is not connected before the job, and what is left for after it; once its points are known.
    /// A circuit of a library that names the procedure which is resolved now is there already, but for what is left to it.
    pub(super) fn left_to_others(
        &mut self,
        row: &mut Circuit,
        circuit: &Name,
        library: bool,
        lines: &[tree::Item<CircuitLine>],
    ) {
        let root = self.root.clone();
        let is_ours = |to: &tree::LeftTo| match to {
            tree::LeftTo::Procedure { path, .. } => library && load::key_of(&path.text) == root,
            tree::LeftTo::Somebody(_) => false,
        };
        let ours = lines.iter().any(|item| match &item.node {
            CircuitLine::FedLater(to) | CircuitLine::Leaves { to, .. } => is_ours(to),
            _ => false,
        });
        row.on_vehicle |= ours;
        for item in lines {
            match &item.node {
                CircuitLine::FedLater(to) if is_ours(to) => {}
                CircuitLine::Leaves { points, to } if is_ours(to) => {
                    for name in points {
                        if let Some(point) = self.point_of(row, name) {
                            row.points[point].open_before = true;
                        }
                    }
                }
                CircuitLine::OnVehicle(open) => {
                    for name in open {
                        if let Some(point) = self.point_of(row, name) {
                            row.points[point].open_before = true;
                        }
                    }
                }
                CircuitLine::FedLater(to) => row.fed_later = Some(self.left_to(row, circuit, to, None, item.span)),
                CircuitLine::Leaves { points, to } => {
                    for name in points {
                        let Some(point) = self.point_of(row, name) else { continue };
                        if let Some(first) = &row.points[point].left {
                            self.left_twice(name, first.span);
                            continue;
                        }
                        let left = self.left_to(row, circuit, to, Some(name), item.span);
                        row.points[point].left = Some(left);
                        row.points[point].open_before |= ours;
                    }
                }
                _ => {}
            }
        }
    }

    fn left_twice(&mut self, name: &Name, first: Span) {
        self.report(
            Finding::new(Code::FW0113, format!("`{}` is left twice", name.text), name.span, "left again here")
                .also(first, "left first here")
                .repair("Say once who connects it."),
        );
    }

    fn left_to(
        &mut self,
        row: &Circuit,
        circuit: &Name,
        to: &tree::LeftTo,
        point: Option<&Name>,
        span: Span,
    ) -> LeftTo {
        match to {
            tree::LeftTo::Somebody(text) => LeftTo { who: Who::Somebody(text.value.clone()), span },
            tree::LeftTo::Procedure { path, circuit: there } => {
                self.promises.push(Promise {
                    path: path.clone(),
                    circuit: there.clone().unwrap_or_else(|| Name { text: circuit.text.clone(), span: path.span }),
                    said: there.is_some(),
                    of: row.name.id.clone(),
                    point: point.cloned(),
                    span,
                });
                LeftTo { who: Who::Procedure(path.text.clone()), span }
            }
        }
    }

    /// Whether a point is left, so that `connect` without points does not mean it.
    pub(super) fn but_what_is_left(row: &Circuit, points: Vec<PointId>) -> Vec<PointId> {
        let ours: Vec<PointId> = points.iter().copied().filter(|point| row.points[*point].left.is_none()).collect();
        if ours.is_empty() { points } else { ours }
    }

    /// FW0942, FW0943: what other procedures are said to do, they do. `read` resolves one.
    pub(super) fn hold_promises(&mut self, read: &dyn Fn(&str) -> Other) {
        let mut others: BTreeMap<String, Option<Other>> = BTreeMap::new();
        let mut loads: BTreeMap<(String, String), Exact> = BTreeMap::new();
        let mut promises = std::mem::take(&mut self.promises);
        // What is there in every fitting is added up before what is there in some only.
        let rows = self.procedure.circuits.rows();
        self.left_beside.extend(promises.iter().map(|promise| LeftBeside {
            procedure: load::key_of(&promise.path.text).to_owned(),
            circuit: promise.circuit.text.clone(),
            said: promise.said.then_some(promise.circuit.span),
            of: promise.of.clone(),
            point: promise.point.as_ref().map(|point| point.text.clone()),
        }));
        promises.sort_by_key(|promise| rows.iter().any(|row| row.name.id == promise.of && row.when.is_some()));
        for promise in promises {
            let key = load::key_of(&promise.path.text).to_owned();
            if !others.contains_key(&key) {
                let other = self.other(&key, promise.path.span, others.len(), read);
                others.insert(key.clone(), other);
            }
            let Some(Some((other, _))) = others.get(&key) else { continue };
            let Some(there) = &other.procedure else {
                self.not_done(&promise, "it is a library, or its text has no procedure".to_owned(), None);
                continue;
            };
            self.entitle(&promise, &there.name.title);
            if !there.complete {
                self.not_done(&promise, "it has errors of its own".to_owned(), None);
                continue;
            }
            match self.kept(&promise, there) {
                Err(why) => self.not_done(&promise, why, Some(&there.name.title)),
                Ok(feeding) if promise.point.is_none() => {
                    let sum = loads.entry((key, feeding.name.id.clone())).or_insert_with(|| Exact::from_integer(0));
                    self.feeds_enough(&promise, feeding, sum);
                }
                Ok(_) => {}
            }
        }
        for (key, (other, _)) in others.iter().filter_map(|(key, other)| Some((key, other.as_ref()?))) {
            let rows = other.procedure.iter().flat_map(|there| there.circuits.rows());
            self.circuits_beside.extend(rows.map(|row| CircuitBeside {
                procedure: key.clone(),
                name: row.name.id.clone(),
                title: row.name.title.clone(),
            }));
        }
        for (_, sources) in others.into_values().flatten() {
            let texts = sources.iter().map(|(_, file)| file.name.clone()).filter(|name| !name.starts_with("std/"));
            self.read_beside.extend(texts);
        }
    }

    /// Reads a procedure; `None` where it can't be, which is told.
    fn other(&mut self, key: &str, at: Span, known: usize, read: &dyn Fn(&str) -> Other) -> Option<Other> {
        if let Some(finding) = load::unsafe_path(key, at) {
            self.report(finding);
            return None;
        }
        if self.root == key {
            self.report(
                Finding::new(Code::FW0942, format!("`{key}` is this procedure itself"), at, "not a later one")
                    .because("What this job leaves, it does not do.")
                    .repair("Name the procedure that does it later, or say in quotes who does."),
            );
            return None;
        }
        if known >= MOST_PROCEDURES {
            let message = format!("more than {MOST_PROCEDURES} later procedures are named");
            self.report(
                Finding::new(Code::FW0108, message, at, "this one is no longer read")
                    .repair("Say of some in quotes who does it."),
            );
            return None;
        }
        let path = format!("{key}{ENDING}");
        let other = read(&path);
        if other.1.iter().next().is_none() {
            let message = format!("the later procedure `{key}` can't be read");
            self.read_beside.insert(path.clone());
            self.report(
                Finding::new(Code::FW0942, message, at, format!("no file `{path}` in the project"))
                    .because("Then nobody does what this job leaves.")
                    .repair(
                        "Write its path from the project's folder, without the ending, or say in quotes who does it.",
                    ),
            );
            return None;
        }
        Some(other)
    }

    /// The circuit by which the other procedure does what is said, or why it does not.
    fn kept<'p>(&self, promise: &Promise, there: &'p Procedure) -> Result<&'p Circuit, String> {
        let name = &promise.circuit.text;
        let Some((id, circuit)) = there.circuits.iter().find(|(_, row)| row.name.id == *name) else {
            return Err(format!("it has no circuit `{name}`"));
        };
        let point = match &promise.point {
            Some(point) => match circuit.points.iter().find(|(_, row)| row.id == point.text) {
                Some((id, row)) if row.left.is_some() => {
                    return Err(format!("it leaves `{}` too", circuit.points[id].id));
                }
                Some((id, _)) if circuit.connected_before(id) => {
                    return Err(format!("there `{}` is connected before the job", point.text));
                }
                Some((id, _)) => Some(id),
                None => return Err(format!("there `{name}` has no point `{}`", point.text)),
            },
            None => None,
        };
        let connects = |kind: &LineKind| match kind {
            LineKind::Connect(of, points, _) => *of == id && point.is_none_or(|point| points.contains(&point)),
            _ => false,
        };
        if point.is_none() && circuit.fed_later.is_some() {
            return Err(format!("there nothing feeds `{name}` either"));
        }
        if !there.steps.rows().iter().flat_map(|step| &step.lines).any(|line| connects(&line.kind)) {
            let what = promise.point.as_ref().map_or(name, |point| &point.text);
            return Err(format!("no step of it connects `{what}`"));
        }
        let here = self.procedure.circuits.rows().iter().find(|row| row.name.id == promise.of);
        if circuit.when.is_some() && here.is_some_and(|row| row.when.is_none()) {
            return Err(format!("there `{name}` is only in some fittings, and here in all"));
        }
        Ok(circuit)
    }

    /// FW0943: what feeds a circuit has its voltage, and bears the loads of all that it feeds.
    fn feeds_enough(&mut self, promise: &Promise, feeding: &Circuit, sum: &mut Exact) {
        let Some(here) = self.procedure.circuits.rows().iter().find(|row| row.name.id == promise.of) else { return };
        let differ = |a: &Option<Quantity>, b: &Option<Quantity>| {
            let (a, b) = (a.as_ref()?, b.as_ref()?);
            (a.base()? != b.base()?).then(|| (a.to_string(), b.to_string()))
        };
        let mut told = Vec::new();
        if let Some((ours, theirs)) = differ(&here.source, &feeding.source) {
            told.push((
                format!("`{}` is stated for {ours}, and `{}` feeds it with {theirs}", here.name.id, feeding.name.id),
                here.places.source,
                "State the voltage of the circuit that feeds it.",
            ));
        }
        let load = here.load.as_ref().and_then(Quantity::base);
        // Circuits of which each is there in some fittings only may never be fed at the same time.
        let together = load.and_then(|load| sum.checked_add(&load));
        if let Some(together) = together.filter(|_| here.when.is_none()) {
            *sum = together;
        }
        let borne = feeding.load.as_ref().and_then(Quantity::base);
        if let (Some(together), Some(borne), Some(stated)) = (together, borne, &feeding.load)
            && together > borne
        {
            told.push((
                format!(
                    "`{}` feeds more than its load of {stated}: `{}` and what it feeds besides take more together",
                    feeding.name.id, here.name.id
                ),
                here.places.load,
                "State the whole load in the circuit that feeds it, so that its wire and fuse are judged by it.",
            ));
        }
        for (message, place, repair) in told {
            let finding = Finding::new(Code::FW0943, message, promise.span, "fed later by this");
            let finding = place.into_iter().fold(finding, |finding, place| finding.also(place, "stated here"));
            self.report(
                finding
                    .because(
                        "Each procedure is judged by its own numbers, so they must be the same where the two meet.",
                    )
                    .repair(repair),
            );
        }
    }

    /// Writes the title of a procedure where its path was.
    fn entitle(&mut self, promise: &Promise, title: &str) {
        let Some(row) = self.procedure.circuits.rows_mut().iter_mut().find(|row| row.name.id == promise.of) else {
            return;
        };
        let points = row.points.rows_mut().iter_mut().filter_map(|point| point.left.as_mut());
        for left in points.chain(row.fed_later.as_mut()).filter(|left| left.span == promise.span) {
            left.who = Who::Procedure(title.to_owned());
        }
    }

    fn not_done(&mut self, promise: &Promise, why: String, title: Option<&str>) {
        let what = match &promise.point {
            Some(point) => format!("connect `{}` of `{}`", point.text, promise.of),
            None => format!("feed `{}`", promise.of),
        };
        let (at, label) = match title {
            Some(title) => (promise.path.span, format!("{title}: {why}")),
            None => (promise.path.span, why),
        };
        self.report(
            Finding::new(Code::FW0942, format!("`{}` does not {what}", promise.path.text), at, label)
                .because("What one job leaves to the next and nobody does is found on the road.")
                .repair(match promise.point {
                    Some(_) => "Let that procedure declare a circuit and point of these names, `on vehicle but` that point, and connect it; or say in quotes who does it.",
                    None => "Let that procedure declare the circuit that feeds this one, and connect it; or say in quotes who does it.",
                }),
        );
    }
}
