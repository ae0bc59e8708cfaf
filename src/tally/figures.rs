//! Sums as figures.

use num_traits::{CheckedAdd, CheckedDiv, CheckedSub};

use super::capability::{self, SMALLEST_SAMPLE};
use super::counts::{Counts, float, quartiles, statistics};
use super::lines::{
    Arm, Counted, Edge, FORMAT_NAME, FORMAT_VERSION, Head, Line, MadeUp, Person, Reading, Refused, Revision, Side,
    Step, Stop, Torque, Wrench,
};
use super::lists::Lists;
use super::look;
use super::made_up::Of;
use super::sums::{OfInput, OfJoint, OfStep, OfWrench, Sums, Tally, WrenchName, title_of};
use crate::quantity::Exact;
use crate::record::facts::{Asked, Criterion, End, Input, Scale};
use crate::record::{Definition, Unit, Verdict};

/// Where the smallest reading is not stated, a strip is this part of the scale.
const STRIPS: i128 = 20;
/// An interval of fewer smallest readings has strips of one.
const FEW: f64 = 7.0;
/// Fewer readings than this crowd nowhere.
const CROWD: u64 = 5;

impl Tally {
    /// All figures. `lists` are those that the records were judged by.
    pub fn lines(&self, lists: &Lists) -> Vec<Line> {
        let names = names(&lists.definitions);
        let mut figures = Vec::new();
        let each = || {
            let all = self.lists.iter().zip(&lists.asked).zip(&lists.definitions).zip(&names);
            all.map(|(((sums, asked), definition), name)| (sums, asked, definition, name.as_str()))
        };
        for (sums, asked, definition, name) in each() {
            figures.push(Line::Revision(revision(sums, asked, definition, name)));
        }
        for (sums, asked, _, name) in each() {
            let inputs = asked.inputs.iter().zip(&sums.readings).filter(|(input, _)| !input.is_result);
            figures.extend(inputs.map(|(input, of)| Line::Reading(reading(input, of, name))));
            figures.extend(arms(sums, asked, name));
        }
        for (sums, asked, _, name) in each() {
            figures.extend(in_order(sums, asked).into_iter().flat_map(|joint| torques(joint, asked, name)));
        }
        for (sums, asked, _, name) in each() {
            figures
                .extend(asked.steps.iter().zip(&sums.steps).map(|(step, of)| Line::Step(self::step(step, of, name))));
        }
        for (sums, asked, _, name) in each() {
            figures.extend(stops(sums, asked, name));
        }
        figures.extend(self.runs.iter().filter_map(|(list, record, run)| {
            let (asked, name) = lists.asked.get(*list).zip(names.get(*list))?;
            let (unit, symbol) = unit_of(asked, run.of)?;
            Some(Line::MadeUp(MadeUp {
                revision: name.clone(),
                record: record.clone(),
                line: run.lines.0,
                last_line: run.lines.1,
                step: asked.steps.get(run.step)?.number.clone(),
                title: title_of(asked, run.of).to_owned(),
                entries: count(run.entries),
                value: exactly(run.value, unit),
                symbol: symbol.to_owned(),
                seconds: run.took as f64 / 1000.0,
                by: self.people.is_some().then(|| run.by.clone()),
            }))
        }));
        figures.extend(self.people.iter().flatten().map(|(name, of)| {
            Line::Person(Person {
                name: name.clone(),
                records: of.records,
                steps: of.steps,
                entries: of.entries,
                changes: of.changes,
                made_up: of.runs,
            })
        }));
        figures.extend(self.left_out.iter().cloned().map(Line::LeftOut));
        let looked_at = look::look(&figures);
        let mut all = vec![Line::Tally(self.head(lists))];
        all.extend(looked_at.into_iter().map(Line::LookFirst));
        all.extend(figures);
        all
    }

    fn head(&self, lists: &Lists) -> Head {
        let procedure = lists.definitions.last().map(|definition| &definition.procedure);
        let refused = |why| self.refused.get(&why).copied().unwrap_or_default();
        Head {
            format: FORMAT_NAME.to_owned(),
            version: FORMAT_VERSION.to_owned(),
            procedure: procedure.map_or_else(String::new, |procedure| procedure.id.clone()),
            title: procedure.map_or_else(String::new, |procedure| procedure.title.clone()),
            records: self.records,
            counted: self.counted(),
            altered: refused(Refused::Altered),
            unreadable: refused(Refused::Unreadable),
            other_revision: refused(Refused::OtherRevision),
        }
    }
}

fn count(number: usize) -> u64 {
    u64::try_from(number).unwrap_or(u64::MAX)
}

/// What each checklist is called: the mark of its revision, with the start of its digest where that is not its own.
fn names(definitions: &[Definition]) -> Vec<String> {
    let mark = |definition: &Definition| definition.procedure.revision.as_ref().map(|revision| revision.mark.clone());
    let name = |definition: &Definition| {
        let own = mark(definition);
        let alike = definitions.iter().filter(|other| mark(other) == own).count() > 1;
        let start: String = definition.digest.chars().take(8).collect();
        match own {
            Some(own) if alike => format!("{own} {start}"),
            Some(own) => own,
            None => start,
        }
    };
    definitions.iter().map(name).collect()
}

fn revision(sums: &Sums, _: &Asked, definition: &Definition, name: &str) -> Revision {
    let outcome = |word| sums.outcomes.get(word).copied().unwrap_or_default();
    let verdict = |verdict| sums.verdicts.get(&verdict).copied().unwrap_or_default();
    let fitting = definition.fitting();
    Revision {
        revision: name.to_owned(),
        digest: definition.digest.clone(),
        fitting: (!fitting.is_empty()).then_some(fitting),
        counted: sums.records,
        first: sums.days.as_ref().map(|days| days.0.clone()),
        last: sums.days.as_ref().map(|days| days.1.clone()),
        handed_over: outcome("handed-over"),
        stopped: outcome("stopped"),
        broken_off: outcome("broken-off"),
        open: outcome("open"),
        complete: verdict(Verdict::Complete),
        missing: verdict(Verdict::Missing),
        out_of_order: verdict(Verdict::OutOfOrder),
        out_of_tolerance: verdict(Verdict::OutOfTolerance),
    }
}

/// A number of base units in a unit.
fn number(base: Exact, unit: &Unit) -> f64 {
    unit.of_base(base).map_or_else(|| float(base), float)
}

/// The same exactly: a decimal where it is one, else a fraction.
fn exactly(base: Exact, unit: &Unit) -> String {
    let Some(value) = unit.of_base(base) else { return float(base).to_string() };
    let (mut denominator, mut decimals) = (*value.denom(), (0_usize, 0_usize));
    while denominator % 2 == 0 {
        (denominator, decimals.0) = (denominator / 2, decimals.0 + 1);
    }
    while denominator % 5 == 0 {
        (denominator, decimals.1) = (denominator / 5, decimals.1 + 1);
    }
    let places = decimals.0.max(decimals.1);
    let scale = u32::try_from(places).ok().and_then(|places| 10_i128.checked_pow(places));
    let scaled = scale.filter(|_| denominator == 1).and_then(|scale| value.numer().checked_mul(scale / value.denom()));
    match scaled {
        None => value.to_string(),
        Some(whole) if places == 0 => whole.to_string(),
        Some(scaled) => {
            let digits = format!("{:0>1$}", scaled.unsigned_abs(), places + 1);
            let (whole, rest) = digits.split_at(digits.len() - places);
            format!("{}{whole}.{rest}", if scaled < 0 { "-" } else { "" })
        }
    }
}

fn values(counts: &Counts, unit: &Unit) -> Vec<Counted> {
    let one =
        |(value, count)| Counted { value: exactly(value, unit), label: None, number: Some(number(value, unit)), count };
    counts.iter().map(one).collect()
}

fn reading(input: &Input, of: &OfInput, revision: &str) -> Reading {
    let mut found = Reading {
        revision: revision.to_owned(),
        id: input.id.clone(),
        title: input.title.clone(),
        unit: None,
        symbol: None,
        count: of.choices.values().sum(),
        low: None,
        high: None,
        reads: None,
        mean: None,
        deviation: None,
        lower_quartile: None,
        median: None,
        upper_quartile: None,
        binned: of.numbers.is_binned(),
        values: Vec::new(),
        edges: Vec::new(),
    };
    let Some(scale) = &input.scale else {
        let value = |(id, label): &(String, String)| Counted {
            value: id.clone(),
            label: Some(label.clone()),
            number: None,
            count: of.choices.get(id).copied().unwrap_or_default(),
        };
        found.values = input.values.iter().map(value).collect();
        return found;
    };
    let unit = &scale.unit;
    let span = |base: Exact| number(base, unit) - number(Exact::from_integer(0), unit);
    found.unit = Some(scale.code.clone());
    found.symbol = Some(unit.symbol.clone());
    found.count = of.numbers.count();
    found.low = Some(number(scale.low, unit));
    found.high = Some(number(scale.high, unit));
    found.reads = scale.reads.map(span);
    if let Some(figures) = statistics(&of.numbers, |base| number(base, unit)) {
        found.mean = Some(figures.mean);
        found.deviation = figures.deviation;
        [found.lower_quartile, found.median, found.upper_quartile] = figures.quartiles.map(Some);
    }
    found.values = values(&of.numbers, unit);
    for criterion in &input.criteria {
        let ends = [(Side::Lower, criterion.low), (Side::Upper, criterion.high)];
        found.edges.extend(ends.into_iter().filter_map(|(side, end)| edge(criterion, side, end?, scale, &of.numbers)));
    }
    found
}

/// How many readings lie before an edge. Compared exactly: a strip is two smallest readings, one where the interval has room for few,
/// or a twentieth of the scale.
fn edge(criterion: &Criterion, side: Side, end: (Exact, bool), scale: &Scale, counts: &Counts) -> Option<Edge> {
    let (at, included) = end;
    // What lies at an end of the scale, or beyond, is no edge: nothing could be read on its other side.
    if at <= scale.low || at >= scale.high {
        return None;
    }
    let (low, high) = (bounded(criterion.low, scale.low), bounded(criterion.high, scale.high));
    let few = |reads: &Exact| float(high.0) - float(low.0) < float(*reads) * FEW;
    let strip = match scale.reads {
        None => scale.high.checked_sub(&scale.low)?.checked_div(&Exact::from_integer(STRIPS))?,
        Some(reads) if few(&reads) => reads,
        Some(reads) => reads.checked_add(&reads)?,
    };
    let inwards = |from: Exact, by: Exact| match side {
        Side::Lower => from.checked_add(&by),
        Side::Upper => from.checked_sub(&by),
    };
    let outwards = |from: Exact, by: Exact| match side {
        Side::Lower => from.checked_sub(&by),
        Side::Upper => from.checked_add(&by),
    };
    let zero = Exact::from_integer(0);
    // Where an end belongs to the interval, it is itself the first reading of the strip; else the next one inside is.
    let first = inwards(at, if included { zero } else { scale.reads.unwrap_or(zero) })?;
    let second = inwards(first, strip)?;
    let (third, before) = (inwards(second, strip)?, outwards(first, strip)?);
    // From a bound that belongs to the strip to one that does not.
    let between = |value: Exact, from: Exact, to: Exact| match side {
        Side::Lower => from <= value && value < to,
        Side::Upper => to < value && value <= from,
    };
    let inside =
        |value: Exact| (value > low.0 || low.1 && value == low.0) && (value < high.0 || high.1 && value == high.0);
    let (mut all, mut near, mut next, mut outside) = (0, 0, 0, 0);
    for (value, count) in counts.iter() {
        if inside(value) {
            all += count;
            near += if between(value, first, second) { count } else { 0 };
            next += if between(value, second, third) { count } else { 0 };
        } else {
            outside += if between(value, before, first) { count } else { 0 };
        }
    }
    let even = even_share(low, high, strip, scale.reads);
    let share = near as f64 / (all as f64).max(1.0);
    let many = even.is_some_and(|even| share >= 0.2 && share >= 2.0 * even);
    // More than before the strip, and next to none behind the edge: a heap against it.
    let heap = near * 2 >= next * 3 && near >= outside * 3;
    let unit = &scale.unit;
    Some(Edge {
        of: criterion.of.clone(),
        words: criterion.words.clone(),
        side,
        at: number(at, unit),
        included,
        strip: number(strip, unit) - number(zero, unit),
        near,
        next,
        outside,
        inside: all,
        even,
        crowded: near >= CROWD && (many || heap),
    })
}

fn bounded(end: End, scale: Exact) -> (Exact, bool) {
    end.unwrap_or((scale, true))
}

/// The part of an interval that a strip would hold if all readings came alike often; `None` where it is half or more, because then
/// twice as much is all.
fn even_share(low: (Exact, bool), high: (Exact, bool), strip: Exact, reads: Option<Exact>) -> Option<f64> {
    let width = float(high.0) - float(low.0);
    let share = match reads {
        None => float(strip) / width,
        Some(reads) => {
            let ends = f64::from(u8::from(low.1)) + f64::from(u8::from(high.1));
            let readings = (width / float(reads)).round() - 1.0 + ends;
            float(strip) / float(reads) / readings
        }
    };
    (share > 0.0 && share < 0.5).then_some(share)
}

fn arms(sums: &Sums, asked: &Asked, revision: &str) -> Vec<Line> {
    let arms = asked.arms.iter().zip(&sums.arms);
    let one = |(arm, taken): (&crate::record::facts::Arm, &u64)| {
        let input = asked.inputs.get(arm.input);
        let others = asked.arms.iter().zip(&sums.arms).filter(|(other, _)| other.choose == arm.choose);
        Line::Arm(Arm {
            revision: revision.to_owned(),
            branch: arm.choose.clone(),
            input: input.map_or_else(String::new, |input| input.id.clone()),
            title: input.map_or_else(String::new, |input| input.title.clone()),
            words: (!arm.words.is_empty()).then(|| arm.words.clone()),
            count: *taken,
            of: others.map(|(_, taken)| taken).sum(),
        })
    };
    arms.map(one).collect()
}

/// Joints in the order in which the steps torque them.
fn in_order<'s>(sums: &'s Sums, asked: &'s Asked) -> Vec<(&'s str, &'s OfJoint)> {
    let mut found: Vec<(&str, &OfJoint)> = Vec::new();
    for line in &asked.torques {
        if found.iter().all(|(joint, _)| *joint != line.joint)
            && let Some(of) = sums.joints.get(&line.joint)
        {
            found.push((&line.joint, of));
        }
    }
    found
}

fn torques((id, joint): (&str, &OfJoint), asked: &Asked, revision: &str) -> Vec<Line> {
    let lines: Vec<_> = joint.lines.iter().filter_map(|at| asked.torques.get(*at)).collect();
    let Some((first, (code, unit))) = lines.first().and_then(|first| Some((*first, first.unit.as_ref()?))) else {
        return Vec::new();
    };
    let mut steps: Vec<String> = Vec::new();
    for line in &lines {
        let number = asked.steps.get(line.step).map(|step| step.number.clone());
        steps.extend(number.filter(|number| !steps.contains(number)));
    }
    let (low, high) = (first.low.map(|(end, _)| number(end, unit)), first.high.map(|(end, _)| number(end, unit)));
    let line = |of: &OfWrench, wrench: Option<Wrench>| {
        let figures = statistics(&of.read, |base| number(base, unit));
        let spread = figures.and_then(|figures| Some((figures.mean, figures.deviation?)));
        let count = of.read.count();
        Line::Torque(Torque {
            revision: revision.to_owned(),
            joint: id.to_owned(),
            title: first.title.clone(),
            steps: steps.clone(),
            wrench,
            unit: code.clone(),
            symbol: unit.symbol.clone(),
            shown: first.shown.clone(),
            low,
            high,
            count,
            clicked: of.set.count(),
            outside: of.outside,
            remedied: of.remedied,
            mean: figures.map(|figures| figures.mean),
            deviation: figures.and_then(|figures| figures.deviation),
            cp: spread.and_then(|(_, deviation)| capability::cp(low, high, deviation)),
            cpk: spread.and_then(|(mean, deviation)| capability::cpk(low, high, mean, deviation)),
            few: count < SMALLEST_SAMPLE,
            binned: of.read.is_binned(),
            values: values(&of.read, unit),
        })
    };
    let mut all = OfWrench::of(first);
    joint.wrenches.values().for_each(|one| all.add_all(one));
    let mut found = vec![line(&all, None)];
    for (name, of) in &joint.wrenches {
        let wrench = |(tool, instrument): &WrenchName| Wrench {
            tool: tool.clone(),
            instrument: instrument.clone(),
            others: false,
        };
        let others = Wrench { tool: None, instrument: None, others: true };
        found.push(line(of, Some(name.as_ref().map_or(others, wrench))));
    }
    found
}

fn step(step: &crate::record::facts::Step, of: &OfStep, revision: &str) -> Step {
    let seconds: Vec<(f64, u64)> = of.seconds.iter().map(|(seconds, count)| (*seconds as f64, *count)).collect();
    let timed = of.seconds.values().sum();
    let quartiles = quartiles(&seconds);
    Step {
        revision: revision.to_owned(),
        step: step.id.clone(),
        number: step.number.clone(),
        title: step.title.clone(),
        done: of.done,
        repairs: of.repairs,
        went_on: of.went_on,
        stops: of.stops,
        corrections: of.corrections,
        withdrawals: of.withdrawals,
        made_up: of.runs,
        timed,
        untimed: of.untimed,
        takes_low: step.takes_low.map(float),
        takes_high: step.takes_high.map(float),
        lower_quartile: quartiles.map(|of| of[0]),
        median: quartiles.map(|of| of[1]),
        upper_quartile: quartiles.map(|of| of[2]),
        over: of.over,
        over_seconds: of.over_by as f64 / 1000.0,
        quick: of.quick,
    }
}

fn stops(sums: &Sums, asked: &Asked, revision: &str) -> Vec<Line> {
    let one = |((id, step), count): (&(String, Option<usize>), &u64)| {
        Line::Stop(Stop {
            revision: revision.to_owned(),
            id: id.clone(),
            step: step.and_then(|step| asked.steps.get(step)).map(|step| step.number.clone()),
            text: asked.stops.get(id).cloned().unwrap_or_default(),
            count: *count,
        })
    };
    sums.stops.iter().map(one).collect()
}

fn unit_of(asked: &Asked, of: Of) -> Option<(&Unit, &str)> {
    let unit = match of {
        Of::Input(at) => &asked.inputs.get(at)?.scale.as_ref()?.unit,
        Of::Torques(at) => &asked.torques.get(at)?.unit.as_ref()?.1,
    };
    Some((unit, unit.symbol.as_str()))
}
