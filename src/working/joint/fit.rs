//! Whether the parts of a fastening go together: class of the nut, length of the bolt, thread in a tapped hole.

use super::super::print::Printer;
use super::super::{Line, reference};
use super::assembly::{Assembly, Piece, class_words};
use super::torque::{about, pitch_mm};
use crate::labels::{fill, spoken};
use crate::model::unknown::{UnknownValue, unknown};
use crate::model::{FastenerKind, Grade, HoleEnd, Joint, Reference, TappedMetal};
use crate::quantity::{Kind, Quantity};
use crate::trade::engagement::{
    LEAST_THREADS_OUT, STANDING_OUT_SOURCE, Tapped, engagement_source, least_engagement, most_standing_out_mm,
};
use crate::trade::fasteners;

/// The class of a nut against that of its bolt, as the tensile strengths that stand behind them.
#[derive(Debug, Clone, PartialEq)]
pub struct NutClass {
    /// `class 8`
    pub nut: String,
    /// `class 8.8`
    pub bolt: String,
    /// `class 8.8`: the strongest bolt that the nut carries.
    pub carries: String,
    /// The same in megapascals.
    pub carries_mpa: f64,
    /// The bolt, in megapascals.
    pub bolt_mpa: f64,
}

/// The length of a bolt, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// Of the bolt.
    pub bolt_mm: f64,
    /// Grip and washers, and nuts where there are any.
    pub needed_mm: f64,
    /// Whether nuts are in it; else the bolt goes into a tapped hole.
    pub with_nuts: bool,
    /// Least that should stand out of the nut.
    pub least_out_mm: f64,
    /// Most that may stand out of the nut.
    pub most_out_mm: f64,
}

impl Length {
    /// What is left of the bolt: it stands out of the nut, or is offered to the tapped hole. Below zero where the bolt
    /// is too short.
    pub fn left_mm(&self) -> f64 {
        self.bolt_mm - self.needed_mm
    }
}

/// Thread in a tapped hole, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Engagement {
    /// How much engages; where the grip is not stated, how much can engage at most.
    pub engaged_mm: f64,
    /// How much of the bolt is offered to the hole, where the grip is stated.
    pub offered_mm: Option<f64>,
    /// The depth of full thread.
    pub depth_mm: f64,
    /// How much must.
    pub least_mm: f64,
    /// The metal.
    pub metal: TappedMetal,
}

/// The nut's class against the bolt's. Where there are several nuts, the weakest.
pub(super) fn nut_class(assembly: &Assembly<'_>, lines: &mut Vec<Line>) -> Option<NutClass> {
    let bolt = assembly.bolt.as_ref()?;
    if let (Some(nut), true) = (assembly.nuts.first(), assembly.nuts.iter().all(|nut| nut.fastener.grade.is_none())) {
        let labels = &spoken().unjudged;
        lines.push(Line::open(labels.nut, fill(labels.nut_class, &[("nut", &nut.part.name.title)])));
    }
    let grade = bolt.grade?;
    let bolt_mpa = tensile_mpa(grade, &bolt.thread.diameter)?;
    let graded = assembly.nuts.iter().filter_map(|nut| nut.fastener.grade.as_ref());
    let weakest = graded
        .filter_map(|nut| Some((nut, tensile_mpa(nut.carries.as_deref()?, &bolt.thread.diameter)?)))
        .min_by(|left, right| left.1.total_cmp(&right.1));
    let (nut, carries_mpa) = weakest?;
    let carried = nut.carries.as_deref().map(class_words).unwrap_or_default();
    let result =
        format!("{} carries bolts up to {carried}; the {} is {}", class_words(nut), bolt.word, class_words(grade));
    lines.push(Line::published("Nut", "", result, nut.sources.clone()));
    Some(NutClass { nut: class_words(nut), bolt: class_words(grade), carries: carried, carries_mpa, bolt_mpa })
}

/// Tensile strength at a diameter; above the last of the row, that of the last.
fn tensile_mpa(grade: &Grade, diameter: &Quantity) -> Option<f64> {
    let last = || grade.tensile.last().and_then(|(through, _)| fasteners::stress_at_mpa(&grade.tensile, through));
    fasteners::stress_at_mpa(&grade.tensile, diameter).or_else(last)
}

/// The bolt's length against what it must reach through.
pub(super) fn length(
    printer: Printer,
    joint: &Joint,
    assembly: &Assembly<'_>,
    lines: &mut Vec<Line>,
) -> Option<Length> {
    let bolt = assembly.bolt.as_ref().filter(|bolt| bolt.is_part && bolt.word != "stud")?;
    let labels = &spoken().unjudged;
    let mut unknown = |why: &str| {
        lines.push(Line::open(labels.bolt_length, why));
        None
    };
    let Some(bolt_length) = bolt.length else { return unknown(labels.part_length) };
    let Some(grip) = joint.grip else { return unknown(labels.no_grip) };
    let Some((washers_mm, washers)) = washers(printer, assembly) else {
        return unknown(labels.washer);
    };
    let Some((nuts_mm, nuts)) = nuts(printer, assembly) else {
        return unknown(labels.nut_height);
    };
    lines.push(Line::stated("Grip, what the bolt clamps", printer.whole(&grip)));
    lines.extend(washers);
    lines.extend(nuts);
    let needed_mm = millimetres(&grip)? + washers_mm + nuts_mm;
    let bolt_mm = millimetres(&bolt_length)?;
    let length = Length {
        bolt_mm,
        needed_mm,
        with_nuts: !assembly.nuts.is_empty(),
        least_out_mm: LEAST_THREADS_OUT * pitch_mm(bolt.thread),
        most_out_mm: most_standing_out_mm(millimetres(&bolt.thread.diameter)?),
    };
    let short = |mm: f64| printer.short_or_dash(printer.length(mm));
    let sum = format!("{} + {} + {}", printer.short(&grip), short(washers_mm), short(nuts_mm));
    let formula = if length.with_nuts { sum } else { format!("{} + {}", printer.short(&grip), short(washers_mm)) };
    lines.push(Line::computed("Length taken up", formula, printer.or_dash(printer.length(needed_mm))));
    let what = if length.with_nuts { "Thread standing out of the nut" } else { "Thread offered to the tapped hole" };
    let formula = format!("{} − {}", printer.short(&bolt_length), short(needed_mm));
    lines.push(Line::computed(what, formula, left_words(printer, length.left_mm())));
    if length.with_nuts {
        let whole = |mm: f64| printer.or_dash(printer.length(mm));
        let result = format!("{} to {}", whole(length.least_out_mm), whole(length.most_out_mm));
        let formula = "one thread; one diameter, and never less than 10 mm";
        let sources = vec![reference(&STANDING_OUT_SOURCE)];
        lines.push(Line::published("Thread that should stand out", formula, result, sources).by_practice());
    }
    Some(length)
}

/// The bolt against washers and nuts alone, where the joint does not state its grip: what the bolt clamps takes up more.
pub(super) fn without_grip(joint: &Joint, assembly: &Assembly<'_>) -> Option<Length> {
    let bolt = assembly.bolt.as_ref().filter(|bolt| bolt.is_part && bolt.word != "stud" && joint.grip.is_none())?;
    let all = |pieces: &[Piece<'_>]| -> Option<f64> {
        pieces.iter().map(|piece| Some(f64::from(piece.count) * piece.takes_up_mm()?)).sum()
    };
    Some(Length {
        bolt_mm: millimetres(&bolt.length?)?,
        needed_mm: all(&assembly.washers)? + all(&assembly.nuts)?,
        with_nuts: !assembly.nuts.is_empty(),
        least_out_mm: LEAST_THREADS_OUT * pitch_mm(bolt.thread),
        most_out_mm: most_standing_out_mm(millimetres(&bolt.thread.diameter)?),
    })
}

fn left_words(printer: Printer, left_mm: f64) -> String {
    let amount = printer.or_dash(printer.length(left_mm.abs()));
    if left_mm < 0.0 { format!("none; {amount} is missing") } else { amount }
}

/// The thickness of all washers in millimetres, with its line.
fn washers(printer: Printer, assembly: &Assembly<'_>) -> Option<(f64, Vec<Line>)> {
    let sources = |piece: &Piece<'_>| piece.fastener.washer.as_ref().map(|washer| washer.sources.clone());
    stacked(printer, &assembly.washers, "Washers, at their thickest", &sources)
}

/// The height of all nuts in millimetres, with its line.
fn nuts(printer: Printer, assembly: &Assembly<'_>) -> Option<(f64, Vec<Line>)> {
    let sources = |piece: &Piece<'_>| match piece.fastener.has_insert() {
        true => piece.fastener.insert.as_ref().map(|nut| about(&nut.sources, "height")),
        false => piece.fastener.thread.as_ref().map(|thread| about(&thread.sources, "nuts")),
    };
    stacked(printer, &assembly.nuts, "Nut, at its highest", &sources)
}

impl Piece<'_> {
    /// How much of the bolt one of it takes up, in millimetres: the thickness of a washer at its thickest, the height of a
    /// nut at its highest. `None` where no library has the size.
    pub fn takes_up_mm(&self) -> Option<f64> {
        millimetres(&self.takes_up()?)
    }

    fn takes_up(&self) -> Option<Quantity> {
        match self.fastener.kind {
            FastenerKind::Washer => self.fastener.washer.as_ref()?.thick,
            FastenerKind::Nut if self.fastener.has_insert() => self.fastener.insert.as_ref()?.height,
            FastenerKind::Nut => self.fastener.thread.as_ref()?.nut_height,
            FastenerKind::Bolt | FastenerKind::Screw | FastenerKind::Stud => None,
        }
    }
}

fn stacked<'p>(
    printer: Printer,
    pieces: &[Piece<'p>],
    what: &str,
    sources: &dyn Fn(&Piece<'p>) -> Option<Vec<Reference>>,
) -> Option<(f64, Vec<Line>)> {
    let (mut total_mm, mut lines) = (0.0, Vec::new());
    for piece in pieces {
        let one = piece.takes_up()?;
        let all_mm = f64::from(piece.count) * millimetres(&one)?;
        total_mm += all_mm;
        let formula =
            if piece.count == 1 { String::new() } else { format!("{} × {}", piece.count, printer.short(&one)) };
        let result = if piece.count == 1 { printer.whole(&one) } else { printer.or_dash(printer.length(all_mm)) };
        lines.push(Line::published(what, formula, result, sources(piece).unwrap_or_default()));
    }
    Some((total_mm, lines))
}

/// The thread that engages in a tapped hole.
pub(super) fn engagement(
    printer: Printer,
    joint: &Joint,
    assembly: &Assembly<'_>,
    length: Option<&Length>,
    lines: &mut Vec<Line>,
) -> Option<Engagement> {
    let bolt = assembly.bolt.as_ref()?;
    let Some(hole) = &joint.into else {
        // What nobody knows has its line already.
        let asked = unknown(&joint.unknown, UnknownValue::Into).is_none();
        if assembly.nuts.is_empty() && bolt.is_part && asked {
            lines.push(Line::open(spoken().unjudged.engaged, spoken().unjudged.no_hole));
        }
        return None;
    };
    let (words, metal) = match hole.metal {
        TappedMetal::Steel => ("steel", Tapped::Steel),
        TappedMetal::CastIron => ("cast iron", Tapped::CastIron),
        TappedMetal::Aluminium => ("aluminium", Tapped::Aluminium),
    };
    let end = match hole.end {
        Some(HoleEnd::Through) => ", open on the other side",
        Some(HoleEnd::Blind) => ", closed at its end",
        None => "",
    };
    lines.push(Line::stated("Tapped hole", format!("{words}, {} of full thread{end}", printer.whole(&hole.depth))));
    let depth_mm = millimetres(&hole.depth)?;
    let offered_mm = length.filter(|length| !length.with_nuts).map(Length::left_mm);
    let engaged_mm = offered_mm.map_or(depth_mm, |offered| offered.clamp(0.0, depth_mm));
    let engaged = printer.or_dash(printer.length(engaged_mm));
    let offered_known = offered_mm.filter(|_| joint.grip.is_some());
    let (formula, result) = match (offered_known, offered_mm) {
        (Some(_), _) => ("the smaller of what is offered and the depth", engaged),
        (None, Some(_)) => (
            "the smaller of the bolt without its washers and the depth; the grip is not stated",
            format!("at most {engaged}"),
        ),
        (None, None) => ("the depth; the grip, or the length of the bolt, is not stated", format!("at most {engaged}")),
    };
    lines.push(Line::computed("Thread engaged", formula, result));
    let diameters = least_engagement(metal);
    let least_mm = diameters * millimetres(&bolt.thread.diameter)?;
    let formula = format!("{diameters} × {}", printer.short(&bolt.thread.diameter));
    let least = printer.or_dash(printer.length(least_mm));
    let sources = vec![reference(&engagement_source(metal))];
    lines.push(Line::published(format!("Thread that {words} asks for"), formula, least, sources).by_practice());
    Some(Engagement { engaged_mm, offered_mm: offered_known, depth_mm, least_mm, metal: hole.metal })
}

fn millimetres(length: &Quantity) -> Option<f64> {
    let base = length.base().filter(|_| length.kind() == Kind::Length)?;
    Some(*base.numer() as f64 / *base.denom() as f64 * 1000.0)
}
