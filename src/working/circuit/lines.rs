//! The lines of a circuit's working, in the order in which a person would work them out.

use super::conductor::{Conductor, Given, LOWEST_INSULATION_C};
use super::fits::is_of;
use super::print::{Print, amperes, digits, own, share};
use super::{AgainstLoad, AgainstWire, CircuitWorking, Distance, Drop, sources};
use crate::labels::{fill, spoken};
use crate::model::{Circuit, Procedure, Protector, Reference, Return, UnknownValue, WireSize, unknown};
use crate::quantity::Kind;
use crate::trade::{base, wire};
use crate::working::{Line, Standing};

/// Writes the lines of one circuit.
struct Sheet<'p> {
    procedure: &'p Procedure,
    circuit: &'p Circuit,
    given: &'p Given,
    print: Print,
    lines: Vec<Line>,
}

pub(super) fn lines(
    procedure: &Procedure,
    circuit: &Circuit,
    given: &Given,
    conductor: Option<&Conductor>,
    made: &CircuitWorking,
) -> Vec<Line> {
    let print = Print { units: procedure.units };
    let mut sheet = Sheet { procedure, circuit, given, print, lines: Vec::new() };
    sheet.stated();
    if let (Some(conductor), Some(size)) = (conductor, circuit.wire_size.as_ref()) {
        sheet.size(size, conductor);
        sheet.ampacity(size, conductor);
        sheet.load(conductor);
        sheet.warm(conductor);
        sheet.drop(conductor);
    }
    if let Some(drop) = &made.drop {
        sheet.judged(drop);
    }
    sheet.protection(made);
    sheet.terminals(made);
    if let Some(wire) = &made.suggested_wire {
        let formula = "The thinnest listed wire that passes drop, load and protection";
        sheet.add("Wire that passes", formula, wire, Standing::Computed, Vec::new());
    }
    for unknown in &circuit.unknown {
        sheet.lines.push(Line::unknown(unknown));
    }
    let labels = &spoken().unjudged;
    let why = if circuit.on_vehicle { labels.made_before } else { spoken().sheet.not_stated };
    for missing in &made.missing {
        sheet.lines.push(Line::open(missing.what, why));
    }
    if circuit.on_vehicle && circuit.protection.is_none() {
        sheet.lines.push(Line::open(labels.protection, why));
    }
    sheet.bare_points();
    sheet.lines
}

impl Sheet<'_> {
    fn add(
        &mut self,
        what: impl Into<String>,
        formula: impl Into<String>,
        result: impl Into<String>,
        standing: Standing,
        sources: Vec<Reference>,
    ) {
        let (what, formula, result) = (what.into(), formula.into(), result.into());
        self.lines.push(Line { what, formula, result, standing, sources });
    }

    fn says(&mut self, what: &str, result: impl Into<String>) {
        self.add(what, "", result, Standing::Stated, Vec::new());
    }

    fn stated(&mut self) {
        let circuit = self.circuit;
        if let Some(source) = &circuit.source {
            self.says("Source", self.print.stated(source));
        }
        if let Some(load) = &circuit.load {
            let what = if circuit.starter_cable { "Load while the engine is cranked" } else { "Continuous load" };
            self.says(what, self.print.stated(load));
        }
        if let Some(wire) = &circuit.wire {
            self.says("Wire", format!("{} {}", own(wire), circuit.metal));
        }
        if let Some(run) = &circuit.run {
            self.says("Run, one way", self.print.stated(run));
        }
    }

    fn size(&mut self, size: &WireSize, conductor: &Conductor) {
        if let Some(area) = conductor.area_mm2 {
            let result = self.print.area(area);
            self.add("Conductor area, nominal", "", result, Standing::Published, size.area_sources.clone());
        }
        if let Some(least) = conductor.least_area_mm2 {
            let result = format!("{}, {} of the nominal", self.print.area(least), share(1.0 / conductor.thinner));
            let what = "Least area that vehicle wire of this size may have";
            self.add(what, "", result, Standing::Published, size.least_area_sources.clone());
        }
        let result = self.print.per_length(conductor.cold_ohm_per_m);
        let what = "Resistance at 20 °C";
        if conductor.resistance_is_published {
            self.add(what, "", result, Standing::Published, size.resistance_sources.clone());
        } else {
            let area = conductor.area_mm2.map_or_else(String::new, |area| format!("{} mm²", digits(area, 3)));
            self.add(what, format!("1.7241e-8 Ω·m ÷ {area}"), result, Standing::Published, sources::copper());
        }
    }

    fn ampacity(&mut self, size: &WireSize, conductor: &Conductor) {
        self.surroundings();
        let Some(column) = conductor.column.filter(|_| !self.given.warmth_is_unknown) else { return };
        let formula = format!(
            "One wire alone in air of {}, insulation for {}; United States law for boats",
            self.print.short_temperature(wire::TABLE_AMBIENT_C),
            self.print.short_temperature(column.insulation_c)
        );
        let sources = size.ampacity_sources.clone();
        // Of metric sizes the table has none; theirs are the next thinner gauge's.
        let standing = if size.awg { Standing::Published } else { Standing::Practice };
        self.add("Current in the table", formula, amperes(column.amperes), standing, sources);
        let (Some(air), Some(ampacity)) = (conductor.air_factor, conductor.ampacity_a) else { return };
        let formula = if wire::engine_space_factor(column.insulation_c, self.given.ambient_c).is_some() {
            format!(
                "The table's own, for insulation of {} °C in an engine space of 50 °C",
                digits(column.insulation_c, 3)
            )
        } else if air < 1.0 {
            let at = |celsius: f64| digits(celsius, 3);
            let (bears, here) = (at(column.insulation_c), at(self.given.ambient_c));
            format!("√(({bears} °C − {here} °C) ÷ ({bears} °C − 30 °C)), rounded down to hundredths")
        } else {
            "No warmer than the table's air".to_owned()
        };
        self.add("Factor for warm air", formula, digits(air, 2), Standing::Published, sources::air());
        let (formula, standing) = match self.circuit.bundle {
            Some(count) => (format!("{count} wires that carry current lie together"), Standing::Published),
            None => ("No bundle stated: this circuit's wires alone".to_owned(), Standing::Practice),
        };
        let factor = digits(conductor.bundle_factor, 2);
        self.add("Factor for the bundle", formula, factor, standing, sources::bundle());
        let formula =
            format!("{} × {} × {}", amperes(column.amperes), digits(air, 2), digits(conductor.bundle_factor, 2));
        self.add("Ampacity: what the wire carries here", formula, amperes(ampacity), Standing::Computed, Vec::new());
    }

    fn surroundings(&mut self) {
        let unknown = |what| unknown(&self.circuit.unknown, what).is_some();
        let (insulation, ambient) = (unknown(UnknownValue::Insulation), unknown(UnknownValue::Ambient));
        match &self.circuit.insulation {
            None if insulation => {}
            Some(insulation) => self.says("Insulation bears", self.print.stated(insulation)),
            None => {
                let taken = self.print.temperature(LOWEST_INSULATION_C);
                let formula = "Not stated: the lowest that the table has";
                self.add("Insulation bears", formula, taken, Standing::Practice, Vec::new());
            }
        }
        match &self.circuit.ambient {
            None if ambient => {}
            Some(ambient) => self.says("Warmest place on the run", self.print.stated(ambient)),
            None => {
                let taken = self.print.temperature(wire::TABLE_AMBIENT_C);
                let formula = "Not stated: the air that the table is for";
                self.add("Warmest place on the run", formula, taken, Standing::Practice, Vec::new());
            }
        }
    }

    fn load(&mut self, conductor: &Conductor) {
        let (Some(load), Some(ampacity)) = (self.given.load_a, conductor.ampacity_a) else { return };
        if self.circuit.starter_cable {
            let why = "a starter cable carries its load for seconds";
            self.add("Load against ampacity", "", why, Standing::Open, sources::starter_cables());
            return;
        }
        let verdict = if load > ampacity { "too much" } else { "passes" };
        let result = format!("{}: {verdict}", share(load / ampacity));
        let formula = format!("{} ÷ {}", amperes(load), amperes(ampacity));
        self.add("Load against ampacity", formula, result, Standing::Computed, Vec::new());
    }

    fn warm(&mut self, conductor: &Conductor) {
        let result = self.print.temperature(conductor.conductor_c);
        let what = "Conductor under load";
        let worked_out = self.given.load_a.zip(conductor.ampacity_a).zip(conductor.column);
        match worked_out.filter(|_| conductor.temperature_is_computed) {
            _ if self.given.warmth_is_unknown => {
                let formula = "Nobody knows how warm it gets: taken cold, so that the drop is the least that it can be";
                self.add(what, formula, result, Standing::Practice, Vec::new());
            }
            _ if self.circuit.starter_cable => {
                let formula = "As warm as the warmest place: cranking is too short to heat it";
                self.add(what, formula, result, Standing::Practice, Vec::new());
            }
            Some(((load, ampacity), column)) => {
                let air = digits(self.given.ambient_c, 3);
                let formula = format!(
                    "{air} °C + ({} °C − {air} °C) × ({} ÷ {})²",
                    digits(column.insulation_c, 3),
                    amperes(load),
                    amperes(ampacity)
                );
                self.add(what, formula, result, Standing::Practice, sources::heat());
            }
            None => {
                let formula = "Can't be worked out here: taken as hot as the insulation bears";
                self.add(what, formula, result, Standing::Practice, Vec::new());
            }
        }
        let formula = format!(
            "{} × (1 + 0.00393 × ({} − 20))",
            self.print.short_per_length(conductor.cold_ohm_per_m),
            digits(conductor.conductor_c, 3)
        );
        let result = self.print.per_length(conductor.hot_ohm_per_m);
        self.add("Resistance at that temperature", formula, result, Standing::Published, sources::copper());
    }

    fn drop(&mut self, conductor: &Conductor) {
        let (Some(length), Some(run)) = (self.given.length_m, &self.circuit.run) else { return };
        let result = self.print.length(length);
        match self.circuit.returns {
            Return::Wire => {
                let formula = format!("2 × {}", self.print.short(run));
                self.add("Length there and back", formula, result, Standing::Computed, Vec::new());
            }
            Return::Chassis(_) => {
                let formula = "There only: the current flows back through the chassis";
                self.add("Length of wire", formula, result, Standing::Computed, Vec::new());
            }
        }
        let (Some(load), Some(volts)) = (self.given.load_a, conductor.wire_drop_v) else { return };
        let formula = format!(
            "{} × {} × {}",
            amperes(load),
            self.print.short_per_length(conductor.hot_ohm_per_m),
            self.print.short_length(length)
        );
        let what = "Drop in the wire";
        self.add(what, formula, format!("{} V", digits(volts, 3)), Standing::Computed, Vec::new());
        match (&self.circuit.returns, self.given.chassis_ohm) {
            (Return::Chassis(Some(stated)), Some(_)) => {
                self.says("Resistance of the chassis", self.print.stated(stated));
                let formula = format!("{} × {}", amperes(load), self.print.short(stated));
                let result = format!("{} V", digits(conductor.chassis_drop_v, 3));
                self.add("Drop in the chassis", formula, result, Standing::Computed, Vec::new());
            }
            (Return::Chassis(_), _) => {
                let formula = "Its resistance is not stated";
                self.add("Drop in the chassis", formula, "not counted", Standing::Practice, Vec::new());
            }
            (Return::Wire, _) => {}
        }
    }

    fn judged(&mut self, drop: &Drop) {
        let Some(volts) = self.given.volts else { return };
        let formula = |lost: f64| format!("{} V ÷ {} V", digits(lost, 3), digits(volts, 3));
        let result = format!("{} V, {}", digits(drop.volts, 3), share(drop.share));
        self.add("Drop at the load", formula(drop.volts), result, Standing::Computed, Vec::new());
        if drop.least_volts > drop.volts {
            let result = format!("{} V, {}", digits(drop.least_volts, 3), share(drop.least_share));
            let what = "The same with wire of the least area";
            self.add(what, formula(drop.least_volts), result, Standing::Computed, Vec::new());
        }
        match &self.circuit.drop {
            Some(limit) => self.says("Drop allowed", self.print.measure(limit)),
            None => {
                let result = format!("at most {}", share(drop.allowed));
                let formula = "Not stated: what practice allows a feeder";
                self.add("Drop allowed", formula, result, Standing::Practice, sources::usual_drop());
            }
        }
        let verdict = match () {
            () if drop.is_above() => "too much",
            () if drop.is_above_when_thin() => "passes, but not with wire of the least area",
            () if self.given.warmth_is_unknown => "passes cold; how much more a warm wire loses is not known",
            () => "passes",
        };
        let formula = format!("{} against {}", share(drop.share), share(drop.allowed));
        let is_open = self.given.warmth_is_unknown && !drop.is_above() && !drop.is_above_when_thin();
        let standing = if is_open { Standing::Open } else { Standing::Computed };
        self.add("Drop", formula, verdict, standing, Vec::new());
        if let Some(ohm) = drop.left_for_chassis_ohm {
            let result = format!("{} mΩ", digits(ohm * 1000.0, 2));
            let formula = "What is left of the drop allowed, divided by the load";
            self.add("Most that the chassis may resist", formula, result, Standing::Computed, Vec::new());
        }
    }

    fn protection(&mut self, made: &CircuitWorking) {
        let (Some(stated), Some(verdict)) = (&self.circuit.protection, &made.protection) else {
            if self.circuit.starter_cable {
                let formula = "A starter cable needs none: no fuse carries what a starter draws";
                let sources = sources::starter_cables();
                self.add("Breaker or fuse", formula, "none", Standing::Published, sources);
            }
            return;
        };
        let name = match stated.sort {
            Protector::Fuse => "Fuse",
            Protector::Breaker => "Breaker",
            Protector::Upstream => "Protection upstream",
        };
        self.says(name, self.print.stated(&stated.rating));
        if let (Some(load), Some(against)) = (self.given.load_a, verdict.load) {
            let words = match against {
                AgainstLoad::Below => "too small: it opens under the load",
                AgainstLoad::Close => "below the practice",
                AgainstLoad::Enough => "passes",
            };
            let formula = format!("125 % × {} = {}", amperes(load), amperes(wire::LEAST_RATING_SHARE * load));
            let what = format!("{name} against the load");
            self.add(what, formula, words, Standing::Practice, sources::continuous_load());
        }
        if let (Some(ampacity), Some(against)) = (made.ampacity_a, verdict.wire) {
            self.against_wire(name, verdict.rating_a, ampacity, against);
        }
        self.distance(name, verdict.distance);
        self.standard_rating(name, stated.sort, verdict.standard, made);
    }

    fn against_wire(&mut self, name: &str, rating: f64, ampacity: f64, against: AgainstWire) {
        let higher = self.given.volts.is_some_and(|volts| volts >= wire::HIGHER_VOLTAGE);
        let formula = if higher {
            format!("100 % × {}, or the next standard size", amperes(ampacity))
        } else {
            format!("150 % × {}", amperes(ampacity))
        };
        let most = if higher { ampacity } else { wire::MOST_PROTECTION_SHARE * ampacity };
        let what = format!("Most that a {} for this wire may be rated", name.to_lowercase());
        self.add(what, formula, amperes(most), Standing::Published, sources::rating_and_wire());
        let words = match against {
            AgainstWire::Within => "passes",
            AgainstWire::Above => "passes the law for boats, not the stricter reading of 100 %",
            AgainstWire::Beyond => "too large: the wire burns before it opens",
        };
        let formula = format!("{} ÷ {} = {}", amperes(rating), amperes(ampacity), share(rating / ampacity));
        let what = format!("{name} against the wire");
        self.add(what, formula, words, Standing::Practice, sources::stricter_rating());
    }

    fn distance(&mut self, name: &str, distance: Option<Distance>) {
        let Some(at) = self.circuit.protection.as_ref().and_then(|protection| protection.at) else { return };
        self.says("Distance from the source along the wire", self.print.stated(&at));
        let Some(distance) = distance else { return };
        let (most, how) = if self.circuit.sheathed { (40, "in a sheath") } else { (7, "without a sheath") };
        let (words, sources) = match distance {
            Distance::Near => ("passes", sources::distance()),
            Distance::Far => ("farther than the rule", sources::distance()),
            Distance::BeyondAll => ("farther than any rule allows", sources::distance_from_battery()),
        };
        let most = if distance == Distance::BeyondAll { 72 } else { most };
        let formula = format!("At most {} {how}", self.print.inches(most));
        self.add(format!("{name} against the distance"), formula, words, Standing::Published, sources);
    }

    fn standard_rating(&mut self, name: &str, sort: Protector, standard: Option<bool>, made: &CircuitWorking) {
        let (Some(standard), Some(verdict)) = (standard, &made.protection) else { return };
        let mut sources: Vec<Reference> = Vec::new();
        let mut kinds: Vec<&str> = Vec::new();
        for row in self.procedure.ratings.iter().filter(|row| is_of(row, sort)) {
            let here = |rating: &crate::quantity::Quantity| {
                base(rating, Kind::Current).is_some_and(|rating| (rating - verdict.rating_a).abs() < 1e-6)
            };
            if !standard || row.ratings.iter().any(here) {
                kinds.push(&row.title);
                for source in &row.sources {
                    if !sources.contains(source) {
                        sources.push(source.clone());
                    }
                }
            }
        }
        let result = if standard { "made in this size" } else { "made in no such size" };
        let formula = kinds.join("; ");
        self.add(format!("{name} in the lists"), formula, result, Standing::Published, sources);
        let (Some(least), Some(load)) = (made.suggested_rating_a, made.load_a) else { return };
        let formula = format!("The least listed from {} on", amperes(wire::LEAST_RATING_SHARE * load));
        let mut sources: Vec<Reference> = Vec::new();
        for row in self.procedure.ratings.iter().filter(|row| is_of(row, sort)) {
            if row.ratings.iter().any(|one| base(one, Kind::Current) == Some(least)) {
                let new: Vec<_> = row.sources.iter().filter(|source| !sources.contains(source)).cloned().collect();
                sources.extend(new);
            }
        }
        let what = format!("Least standard {}", name.to_lowercase());
        self.add(what, formula, amperes(least), Standing::Published, sources);
    }

    /// Points where what is crimped or bolted is not judged. At a plug nothing is.
    fn bare_points(&mut self) {
        let labels = &spoken().unjudged;
        for point in self.circuit.points.rows().iter().filter(|point| !point.plug) {
            let terminal = point.terminal.and_then(|part| self.procedure.parts[part].terminal.as_ref());
            let why = match (terminal, &point.stud) {
                _ if point.implied => labels.no_points,
                (None, None) => labels.no_terminal,
                (Some(terminal), None) if !terminal.studs.is_empty() => labels.no_terminal_stud,
                _ => continue,
            };
            self.lines.push(Line::open(&fill(labels.terminal_at, &[("point", &point.title)]), why));
        }
    }

    fn terminals(&mut self, made: &CircuitWorking) {
        for fit in &made.terminals {
            let point = &self.circuit.points[fit.point];
            let part = &self.procedure.parts[fit.part];
            let Some(terminal) = &part.terminal else { continue };
            let barrel = terminal.wires.iter().map(|wires| wires.source_form().replace("mm2", "mm²"));
            let mut formula = format!("{}: for {}", part.name.title, barrel.collect::<Vec<_>>().join(", "));
            if !terminal.studs.is_empty() {
                formula.push_str(&format!("; hole for {}", terminal.studs.join(", ")));
            }
            let wire = fit.size.as_ref().map_or_else(String::new, |(size, _)| own(size));
            let stud = point.stud.as_deref().unwrap_or("no stud stated");
            let words = match (fit.wire, fit.stud) {
                (Some(false), _) => format!("not for {wire}"),
                (_, Some(false)) => format!("not for {stud}"),
                (None, _) => "the wire is not stated".to_owned(),
                (Some(true), None) => format!("fits {wire}"),
                (Some(true), Some(true)) => format!("fits {wire} on {stud}"),
            };
            let sources = terminal.sources.clone();
            self.add(format!("Terminal at {}", point.title), formula, words, Standing::Practice, sources);
        }
    }
}
