//! What a torque makes of a bolt: stress area, proof load, preload over the range of friction, share of proof.

use super::super::print::{self, Printer};
use super::super::{Line, reference};
use super::Missing;
use super::assembly::{Assembly, class_words};
use crate::labels::{fill, spoken};
use crate::model::{Grade, Joint, Procedure, Reference, Thread, ThreadCondition};
use crate::quantity::{Kind, Measure, Quantity, System};
use crate::trade::fasteners::{
    self, INCH_AREA_SOURCE, LEAST_SHARE, METRIC_AREA_SOURCE, NutFactor, PERMANENT_SHARE, Preload, REUSABLE_SHARE,
    SHARE_SOURCE, TORQUE_SOURCE,
};

/// The numbers behind the verdicts on a torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Stress area in square millimetres.
    pub area_mm2: f64,
    /// Proof stress in megapascals; for stainless steel the 0.2 % stress, since its standard has no proof stress.
    pub proof_mpa: f64,
    /// Whether it is a proof stress.
    pub is_proof: bool,
    /// Proof load in newtons.
    pub proof_load_n: f64,
    /// Preload in newtons. The least is zero where the insert of the nut may take the whole torque.
    pub preload: Preload,
    /// The usual preload, as it is printed.
    pub clamps: Option<Quantity>,
    /// The torque that brings the bolt to its suggested share of proof at the usual friction.
    pub suggested: Option<Quantity>,
    /// The torques below and above which a torque is doubted.
    pub doubted: Option<(Quantity, Quantity)>,
}

impl Figures {
    /// Share of the proof load at the lowest torque and the roughest thread.
    pub fn least(&self) -> f64 {
        self.preload.least_n / self.proof_load_n
    }

    /// At the lowest torque and the usual friction.
    pub fn usual_low(&self) -> f64 {
        self.preload.usual_low_n / self.proof_load_n
    }

    /// At the middle torque and the usual friction.
    pub fn usual(&self) -> f64 {
        self.preload.usual_n / self.proof_load_n
    }

    /// At the highest torque and the usual friction.
    pub fn usual_high(&self) -> f64 {
        self.preload.usual_high_n / self.proof_load_n
    }

    /// At the highest torque and the most slippery thread.
    pub fn most(&self) -> f64 {
        self.preload.most_n / self.proof_load_n
    }

    /// At the highest torque and the roughest thread, which is kindest to the bolt.
    pub fn kindest(&self) -> f64 {
        self.preload.kindest_at_high_torque_n / self.proof_load_n
    }
}

/// What working a torque out gives.
#[derive(Default)]
pub(super) struct Worked {
    pub figures: Option<Figures>,
    pub missing: Vec<Missing>,
}

/// Torques in newton metres: as stated, and what is left of them to clamp.
struct Torques {
    /// What clamps at the lowest torque, after a new insert has taken its share.
    low_nm: f64,
    high_nm: f64,
    /// What the insert of the nut may take.
    insert_nm: f64,
}

/// The lines from the parts to the share of proof.
pub(super) fn lines(
    printer: Printer,
    joint: &Joint,
    assembly: &Assembly<'_>,
    torque: &Measure,
    lines: &mut Vec<Line>,
) -> Worked {
    let labels = &spoken().unjudged;
    let mut worked = Worked::default();
    part_lines(printer, assembly, lines);
    lines.push(Line::stated("Torque", printer.measure(torque)));
    if assembly.tapping {
        lines.push(Line::open(labels.strength, labels.tapping));
        return worked;
    }
    let Some(thread) = assembly.thread() else {
        lines.push(Line::open(labels.thread, labels.no_fastener));
        worked.missing.push(Missing::Size);
        return worked;
    };
    let strength = strength(printer, assembly, thread, lines, &mut worked.missing);
    let factor = friction(joint.thread, lines);
    if joint.thread.is_none() {
        worked.missing.push(Missing::Condition);
    }
    let Some(torques) = torques(printer, assembly, torque, lines) else {
        lines.push(Line::open(labels.preload, labels.one_end));
        worked.missing.push(Missing::Bounds);
        return worked;
    };
    let Some(preload) = preload(printer, &torques, factor, thread, lines) else {
        lines.push(Line::open(labels.preload, labels.no_preload));
        worked.missing.push(Missing::Sense);
        return worked;
    };
    if let Some(Strength { area_mm2, proof_mpa, is_proof, proof_load_n }) = strength {
        let mut figures = Figures {
            area_mm2,
            proof_mpa,
            is_proof,
            proof_load_n,
            preload,
            clamps: printer.force(preload.usual_n),
            suggested: None,
            doubted: None,
        };
        share_lines(printer, &figures, lines);
        suggest(printer, &mut figures, factor, thread, torques.insert_nm, lines);
        worked.figures = Some(figures);
    } else if !worked.missing.iter().any(|missing| matches!(missing, Missing::Stud | Missing::Grade | Missing::Stress))
    {
        lines.push(Line::open(labels.proof_load, labels.no_proof_load));
        worked.missing.push(Missing::Sense);
    }
    worked
}

/// The parts as stated, and the thread that they share.
pub(super) fn part_lines(printer: Printer, assembly: &Assembly<'_>, lines: &mut Vec<Line>) {
    if let Some(bolt) = &assembly.bolt {
        let word = match bolt.word {
            "screw" => "Screw",
            "stud" => "Stud",
            _ => "Bolt",
        };
        lines.push(Line::stated(word, bolt.title.clone()));
    }
    let Some(thread) = assembly.thread() else { return };
    let pitch = match thread.diameter.unit.system() {
        Some(System::Inch) => format!("{:.0} threads per inch", 25.4 / pitch_mm(thread)),
        _ => format!("pitch {}", printer.short_or_dash(Some(pitch_quantity(thread)))),
    };
    let result = format!("{}, {pitch}", printer.whole(&thread.diameter));
    lines.push(Line::published(format!("Thread {}", thread.id), "", result, about(&thread.sources, "thread")));
}

/// Those of a row's publications that speak of something; all of them where none does.
pub(super) fn about(sources: &[Reference], word: &str) -> Vec<Reference> {
    let some: Vec<Reference> = sources.iter().filter(|source| source.publication.contains(word)).cloned().collect();
    if some.is_empty() { sources.to_vec() } else { some }
}

pub(super) fn pitch_mm(thread: &Thread) -> f64 {
    *thread.pitch_mm.numer() as f64 / *thread.pitch_mm.denom() as f64
}

fn pitch_quantity(thread: &Thread) -> Quantity {
    use crate::quantity::{Unit, Written};
    let unit = Unit::lookup("mm").unwrap_or(thread.diameter.unit);
    let decimals = if (thread.pitch_mm * 10).is_integer() { 1 } else { 2 };
    let decimals = if thread.pitch_mm.is_integer() { 0 } else { decimals };
    Quantity::new(thread.pitch_mm, unit, Written::Decimals(decimals))
}

/// What the bolt bears.
struct Strength {
    area_mm2: f64,
    proof_mpa: f64,
    is_proof: bool,
    proof_load_n: f64,
}

/// Stress area, stress and proof load.
fn strength(
    printer: Printer,
    assembly: &Assembly<'_>,
    thread: &Thread,
    lines: &mut Vec<Line>,
    missing: &mut Vec<Missing>,
) -> Option<Strength> {
    let labels = &spoken().unjudged;
    let (area_mm2, area) = stress_area(printer, thread, lines)?;
    let Some(bolt) = &assembly.bolt else {
        lines.push(Line::open(labels.proof_load, labels.no_stud));
        missing.push(Missing::Stud);
        return None;
    };
    let Some(grade) = bolt.grade else {
        let why = match bolt.word {
            "screw" => labels.class_of_screw,
            "stud" => labels.class_of_stud,
            _ => labels.class_of_bolt,
        };
        lines.push(Line::open(labels.proof_load, why));
        missing.push(Missing::Grade);
        return None;
    };
    let Some(stress) = stress(grade, &thread.diameter) else {
        let why = fill(labels.no_proof_stress, &[("class", &class_words(grade))]);
        lines.push(Line::open(labels.proof_load, why));
        missing.push(Missing::Stress);
        return None;
    };
    let (what, load) = if stress.is_proof {
        ("Proof stress", "Proof load")
    } else {
        ("0.2 % stress; the standard of stainless steel has no proof stress", "Load at the 0.2 % stress")
    };
    let formula = format!("{}, through {}", class_words(grade), printer.short(&stress.through));
    lines.push(Line::published(what, formula, printer.whole(&stress.value), grade.sources.clone()));
    let proof_mpa = mpa(&stress.value)?;
    let proof_load_n = fasteners::proof_load_n(area_mm2, proof_mpa)?;
    let formula = format!("{} × {}", printer.short_or_dash(area), printer.short(&stress.value));
    lines.push(Line::computed(load, formula, printer.or_dash(printer.force(proof_load_n))));
    Some(Strength { area_mm2, proof_mpa, is_proof: stress.is_proof, proof_load_n })
}

/// The stress area in square millimetres and as it is printed, by the formula of the thread's own system.
fn stress_area(printer: Printer, thread: &Thread, lines: &mut Vec<Line>) -> Option<(f64, Option<Quantity>)> {
    let area_mm2 = fasteners::stress_area_mm2(&thread.diameter, thread.pitch_mm)?;
    let system = thread.diameter.unit.system();
    let (formula, source) = match system {
        Some(System::Inch) => {
            let per_inch = 25.4 / pitch_mm(thread);
            (format!("0.7854 × ({} − 0.9743 in / {per_inch:.0})²", printer.own(&thread.diameter)), INCH_AREA_SOURCE)
        }
        _ => {
            let pitch = printer.own(&pitch_quantity(thread));
            (format!("π/4 × ({} − 0.9382 × {pitch})²", printer.own(&thread.diameter)), METRIC_AREA_SOURCE)
        }
    };
    let area = print::area(area_mm2, system);
    lines.push(Line::published("Stress area", formula, printer.or_dash(area), vec![reference(&source)]));
    Some((area_mm2, area))
}

/// The stress of a grade that holds for a diameter.
struct Stress {
    value: Quantity,
    through: Quantity,
    is_proof: bool,
}

fn stress(grade: &Grade, diameter: &Quantity) -> Option<Stress> {
    let row = |pairs: &[(Quantity, Quantity)], is_proof| {
        let found = pairs.iter().find(|(through, _)| diameter.compare(through).is_some_and(std::cmp::Ordering::is_le));
        found.map(|(through, value)| Stress { value: *value, through: *through, is_proof })
    };
    if grade.proof.is_empty() { row(&grade.yields, false) } else { row(&grade.proof, true) }
}

fn mpa(stress: &Quantity) -> Option<f64> {
    let base = stress.base().filter(|_| stress.kind() == Kind::Pressure)?;
    Some(*base.numer() as f64 / *base.denom() as f64 / 1e6)
}

/// The condition of the thread and its range of friction.
fn friction(condition: Option<ThreadCondition>, lines: &mut Vec<Line>) -> NutFactor {
    let (words, factor) = nut_factor(condition);
    let line = Line::stated("Thread condition", words);
    lines.push(if condition.is_some() { line } else { line.by_practice() });
    let result = format!(
        "{} to {}, usually {}",
        print::factor(factor.least),
        print::factor(factor.most),
        print::factor(factor.usual)
    );
    let sources = factor.sources.iter().map(reference).collect();
    let line = Line::published("Friction, as the nut factor K", "", result, sources);
    lines.push(if factor.sources.is_empty() { line.by_practice() } else { line });
    factor
}

/// The condition of a thread in words, and its friction.
fn nut_factor(condition: Option<ThreadCondition>) -> (&'static str, NutFactor) {
    match condition {
        Some(ThreadCondition::Dry) => ("dry, as received", NutFactor::DRY),
        Some(ThreadCondition::Plated) => ("zinc plated", NutFactor::PLATED),
        Some(ThreadCondition::Oiled) => ("oiled", NutFactor::OILED),
        Some(ThreadCondition::Waxed) => ("waxed", NutFactor::WAXED),
        Some(ThreadCondition::AntiSeize) => ("with anti-seize paste", NutFactor::ANTI_SEIZE),
        Some(ThreadCondition::ThreadLocker) => ("with thread locker", NutFactor::THREAD_LOCKER),
        None => ("not stated; the widest range is assumed", NutFactor::UNSTATED),
    }
}

/// The torques that clamp. `None` where a bound is missing.
fn torques(printer: Printer, assembly: &Assembly<'_>, torque: &Measure, lines: &mut Vec<Line>) -> Option<Torques> {
    let (low_nm, high_nm) = (newton_metres(&torque.low()?)?, newton_metres(&torque.high()?)?);
    let Some((_, row)) = assembly.insert() else { return Some(Torques { low_nm, high_nm, insert_nm: 0.0 }) };
    let Some((prevails, row)) = row.and_then(|row| Some((row.prevails?, row))) else {
        lines.push(Line::open(spoken().unjudged.insert, spoken().unjudged.no_insert));
        return Some(Torques { low_nm, high_nm, insert_nm: 0.0 });
    };
    let insert_nm = newton_metres(&prevails)?;
    let result = format!("up to {} while the nut is new", printer.whole(&prevails));
    lines.push(Line::published("Torque that the insert takes", "", result, about(&row.sources, "torque")));
    let left = (low_nm - insert_nm).max(0.0);
    let formula = format!("{} − {}", printer.torque_in_formula(low_nm), printer.torque_in_formula(insert_nm));
    lines.push(Line::computed("Least torque that clamps", formula, printer.or_dash(printer.torque(left))));
    Some(Torques { low_nm: left, high_nm, insert_nm })
}

pub(super) fn newton_metres(torque: &Quantity) -> Option<f64> {
    let base = torque.base().filter(|_| torque.kind() == Kind::Torque)?;
    Some(*base.numer() as f64 / *base.denom() as f64)
}

/// Preload at both ends of torque and friction, and between.
fn preload(
    printer: Printer,
    torques: &Torques,
    factor: NutFactor,
    thread: &Thread,
    lines: &mut Vec<Line>,
) -> Option<Preload> {
    let diameter_mm = fasteners::diameter_mm(&thread.diameter)?;
    let preload = fasteners::preload_range(torques.low_nm, torques.high_nm, factor, diameter_mm)?;
    let middle = f64::midpoint(torques.low_nm, torques.high_nm);
    let ends = [
        ("Least preload: lowest torque, roughest thread", torques.low_nm, factor.most, preload.least_n),
        ("Usual preload: middle torque, usual friction", middle, factor.usual, preload.usual_n),
        ("Most preload: highest torque, most slippery thread", torques.high_nm, factor.least, preload.most_n),
    ];
    for (what, torque_nm, k, newtons) in ends {
        let torque = printer.torque_in_formula(torque_nm);
        let formula = format!("{torque} / ({} × {})", print::factor(k), printer.short(&thread.diameter));
        let result = printer.or_dash(printer.force(newtons));
        lines.push(Line::published(what, formula, result, vec![reference(&TORQUE_SOURCE)]));
    }
    Some(preload)
}

fn share_lines(printer: Printer, figures: &Figures, lines: &mut Vec<Line>) {
    let force = |newtons| printer.short_or_dash(printer.force(newtons));
    let preload = &figures.preload;
    let formula = format!(
        "{}, {} and {} / {}",
        force(preload.least_n),
        force(preload.usual_n),
        force(preload.most_n),
        force(figures.proof_load_n)
    );
    let result = format!(
        "{} to {}, usually {}",
        print::percent(figures.least()),
        print::percent(figures.most()),
        print::percent(figures.usual())
    );
    let what = if figures.is_proof { "Share of the proof load" } else { "Share of the load at the 0.2 % stress" };
    lines.push(Line::computed(what, formula, result));
}

/// The torques that size, grade and condition ask for. What the insert of a nut takes lies between nothing, when it is
/// worn, and its largest value: the least torque allows for all of it, the most for none, the suggested one for half.
fn suggest(
    printer: Printer,
    figures: &mut Figures,
    factor: NutFactor,
    thread: &Thread,
    insert_nm: f64,
    lines: &mut Vec<Line>,
) {
    let Some(diameter_mm) = fasteners::diameter_mm(&thread.diameter) else { return };
    let clamps = |share: f64| fasteners::torque_nm(share * figures.proof_load_n, factor.usual, diameter_mm);
    let (Some(least), Some(middle), Some(most)) =
        (clamps(LEAST_SHARE), clamps(REUSABLE_SHARE), clamps(PERMANENT_SHARE))
    else {
        return;
    };
    let proof = printer.short_or_dash(printer.force(figures.proof_load_n));
    let mut line = |what: &str, share: f64, added_nm: f64, torque_nm: f64| {
        let mut added = String::new();
        if added_nm > 0.0 {
            added = format!(" + {}", printer.torque_in_formula(added_nm));
        }
        if share == REUSABLE_SHARE && middle + added_nm > most {
            added.push_str(", held to 90 %");
        }
        let (share, k) = (print::factor(share), print::factor(factor.usual));
        let formula = format!("{share} × {proof} × {k} × {}{added}", printer.short(&thread.diameter));
        let torque = printer.torque(torque_nm);
        let sources = vec![reference(&SHARE_SOURCE)];
        lines.push(Line::published(what, formula, printer.or_dash(torque), sources).by_practice());
        torque
    };
    let half = insert_nm / 2.0;
    let suggested = (middle + half).min(most);
    let suggested = line("Torque for 75 % of proof, as for joints taken apart again", REUSABLE_SHARE, half, suggested);
    let least = line("Least torque, for 30 % of proof", LEAST_SHARE, insert_nm, least + insert_nm);
    let most = line("Most torque, for 90 % of proof", PERMANENT_SHARE, 0.0, most);
    (figures.suggested, figures.doubted) = (suggested, least.zip(most));
}

/// What a torque makes of its bolt, in a sentence, in the units of the procedure.
pub fn summary(procedure: &Procedure, joint: &Joint, figures: &Figures) -> String {
    let (printer, factor) = (Printer::of(procedure.units), nut_factor(joint.thread).1);
    let load = if figures.is_proof { "proof load" } else { "load at the 0.2 % stress" };
    let force = |newtons| printer.short_or_dash(printer.force(newtons));
    format!(
        "It clamps with about {}, {} of the {load} of {}; friction (K {} to {}) and tolerance make that {} to {}.",
        force(figures.preload.usual_n),
        print::percent(figures.usual()),
        force(figures.proof_load_n),
        print::factor(factor.least),
        print::factor(factor.most),
        print::percent(figures.least()),
        print::percent(figures.most())
    )
}
