//! What is done one after the other until a joint is tight: `torque 30 N.m, then 90 deg`.

use super::Resolver;
use crate::diagnostics::{Code, Finding};
use crate::model::{Pattern, Stage, StageDoes, Tightness};
use crate::parse::tree;
use crate::quantity::{Kind, Measure, Quantity, Unit, Written};
use crate::source::Span;
use std::cmp::Ordering;

/// More stages than anyone tightens in.
const MOST_STAGES: usize = 12;
/// More turns than anyone tightens or backs off by an angle.
const MOST_TURNS: i128 = 3;

impl<'t> Resolver<'t> {
    /// The last torque of a joint, and its stages where there is more than that. The line may be one that makes no sense.
    pub(super) fn stages(&mut self, written: &'t [tree::Stage]) -> Option<(Tightness, Vec<Stage>)> {
        let span = written.iter().map(|stage| stage.span).reduce(Span::to)?;
        self.not_too_many(written, span)?;
        let mut stages = Vec::new();
        for (at, stage) in written.iter().enumerate() {
            let kinds: &[Kind] = if at == 0 { &[Kind::Torque] } else { &[Kind::Torque, Kind::Angle] };
            stages.push(self.stage(stage, kinds)?);
        }
        self.sensible(&stages)?;
        let last = stages.iter().rev().find_map(|stage| match &stage.does {
            StageDoes::Torque(measure) => Some(*measure),
            _ => None,
        });
        let tightness = Tightness::Torque(last?, span);
        let plain = stages.len() == 1 && stages.iter().all(|stage| stage.meanwhile.is_none());
        Some((tightness, if plain { Vec::new() } else { stages }))
    }

    /// What follows on what is seen: `tight "the seal touches", then 3/4 turn`; empty where nothing does. A torque can't follow:
    /// the joint would have one, and `torque` says it.
    pub(super) fn stages_after(&mut self, seen: Span, written: &'t [tree::Stage]) -> Option<Vec<Stage>> {
        let Some(last) = written.last() else { return Some(Vec::new()) };
        self.not_too_many(written, seen.to(last.span))?;
        let mut stages = vec![Stage { does: StageDoes::Seen, meanwhile: None, span: seen }];
        for stage in written {
            self.no_torque_after(seen, stage)?;
            stages.push(self.stage(stage, &[Kind::Angle])?);
        }
        self.sensible(&stages)?;
        Some(stages)
    }

    /// FW0302: a torque stands behind what is seen.
    fn no_torque_after(&mut self, seen: Span, stage: &tree::Stage) -> Option<()> {
        let tree::StageDoes::To(measure) = &stage.does else { return Some(()) };
        let unit = measure.form.main().unit.as_ref().and_then(|unit| Unit::lookup(&unit.text));
        if unit.is_none_or(|unit| unit.kind() != Kind::Torque) {
            return Some(());
        }
        let message = "a torque can't follow on what is seen";
        let finding = Finding::new(Code::FW0302, message, measure.span, "this is a torque; an angle is meant here");
        let finding = finding
            .also(seen, "the joint is tight when this is seen")
            .because("A joint that has a torque is tight by that, and nobody torques by eye.");
        self.report(finding.repair(
            "Where the maker states a torque, write it with `torque` in the place of `tight`, and what is seen before it into the step \
             that snugs the joint. Where he states none, write the angle, such as `then 1/4 turn`.",
        ));
        None
    }

    fn not_too_many(&mut self, written: &[tree::Stage], span: Span) -> Option<()> {
        if written.len() <= MOST_STAGES {
            return Some(());
        }
        let finding = Finding::new(Code::FW0108, "this joint has too many stages", span, "too many here");
        self.findings.push(finding.repair(format!("Write at most {MOST_STAGES}.")));
        None
    }

    /// One stage, of which an amount is of one of these kinds.
    fn stage(&mut self, stage: &'t tree::Stage, kinds: &[Kind]) -> Option<Stage> {
        let does = match &stage.does {
            tree::StageDoes::Loosen => StageDoes::Loosen,
            tree::StageDoes::BackOff(angle) => StageDoes::BackOff(self.angle(angle)?),
            tree::StageDoes::To(measure) => self.torque_or_angle(measure, kinds)?,
        };
        let meanwhile = match &stage.meanwhile {
            Some(text) => Some(self.some_words(text, "what goes on meanwhile, as `the hub is turned`")?),
            None => None,
        };
        Some(Stage { does, meanwhile, span: stage.span })
    }

    fn sensible(&mut self, stages: &[Stage]) -> Option<()> {
        let Some(finding) = senseless(stages) else { return Some(()) };
        self.findings.push(finding);
        None
    }

    /// FW0113: the stages are written out, and other lines speak of stages or of backing off too.
    pub(super) fn staged_once(&mut self, stages: &[Stage], pattern: Option<&Pattern>, backed_off: Option<Span>) {
        let Some(first) = stages.first() else { return };
        let by_halves = pattern.filter(|pattern| pattern.stages > 1).map(|pattern| (pattern.span, "`in … stages`"));
        let off = backed_off
            .map(|span| (span, "`backed off`"))
            .filter(|_| stages.iter().any(|stage| matches!(stage.does, StageDoes::BackOff(_))));
        for (span, what) in by_halves.into_iter().chain(off) {
            let finding =
                Finding::new(Code::FW0113, "the stages of this joint are said twice", span, format!("{what} here"));
            self.findings.push(
                finding
                    .also(first.span, "written out here")
                    .repair(format!("Leave {what} out: the stages after `torque` say all.")),
            );
        }
    }

    fn torque_or_angle(&mut self, measure: &'t tree::Measure, kinds: &[Kind]) -> Option<StageDoes> {
        let made = self.measure(measure, kinds)?;
        if made.kind() == Kind::Torque {
            Some(StageDoes::Torque(made))
        } else {
            self.bounded(made, measure.span).map(StageDoes::Angle)
        }
    }

    pub(super) fn angle(&mut self, measure: &'t tree::Measure) -> Option<Measure> {
        let made = self.measure(measure, &[Kind::Angle])?;
        self.bounded(made, measure.span)
    }

    /// An angle by which a wrench is turned.
    fn bounded(&mut self, angle: Measure, span: Span) -> Option<Measure> {
        let turns = |turns| Some(Quantity::new(turns, Unit::lookup("turn")?, Written::Decimals(0)));
        let (none, most) = (turns(0.into())?, turns(MOST_TURNS.into())?);
        let (low, high) = (angle.low(), angle.high());
        let over = low.is_some_and(|low| low.compare(&none) == Some(Ordering::Greater));
        if over && high.is_some_and(|high| high.compare(&most) != Some(Ordering::Greater)) {
            return Some(angle);
        }
        let finding = Finding::new(Code::FW0309, "nobody turns a fastening by that", span, "this angle");
        self.findings.push(
            finding.repair(format!("Write an angle above zero and at most {MOST_TURNS} turns, with both its ends.")),
        );
        None
    }
}

/// Stages of which one does nothing, or that leave the fastening loose.
fn senseless(stages: &[Stage]) -> Option<Finding> {
    let fault = |message: &str, at: &Stage, label: &str, because: &str, repair: &str| {
        Finding::new(Code::FW0723, message, at.span, label).because(because).repair(repair)
    };
    // The last torque, and whether the fastening is tight: after a torque, or as it is seen.
    let (mut held, mut tight): (Option<&Measure>, bool) = (None, false);
    for (at, stage) in stages.iter().enumerate() {
        let last = at + 1 == stages.len();
        match &stage.does {
            StageDoes::Torque(torque) => {
                let clicks = held.and_then(Measure::high).zip(torque.high());
                if clicks.is_some_and(|(held, next)| next.compare(&held) != Some(Ordering::Greater)) {
                    return Some(fault(
                        "this stage turns nothing, since the one before is tighter",
                        stage,
                        "not above the torque before",
                        "The wrench clicks at once: nobody can tell whether the fastening is right.",
                        "Write the torques from the least to the greatest, or `loosen` between them.",
                    ));
                }
                (held, tight) = (Some(torque), true);
            }
            StageDoes::Seen => tight = true,
            StageDoes::Angle(_) if !tight => {
                return Some(fault(
                    "an angle begins where nothing is tight",
                    stage,
                    "from where is it turned?",
                    "After it was loosened a fastening has play; by an angle alone nobody knows how tight it becomes.",
                    "Write from where it is turned before the angle: a torque, or `tight` with what is seen.",
                ));
            }
            StageDoes::Angle(_) => {}
            StageDoes::Loosen if last => {
                return Some(fault(
                    "the last stage leaves the joint loose",
                    stage,
                    "loosened here",
                    "The vehicle leaves with it loose.",
                    "Write the torque that follows, or `back off` and by how far, where it is to have play.",
                ));
            }
            StageDoes::BackOff(_) if !last => {
                return Some(fault(
                    "backing off is not the last stage",
                    stage,
                    "backed off here",
                    "What is backed off by an angle has the play that it shall have; the next stage takes it away.",
                    "Write `loosen` where it is only loosened, and `back off` at the end.",
                ));
            }
            StageDoes::BackOff(_) if !tight => {
                return Some(fault(
                    "backing off begins where nothing is tight",
                    stage,
                    "from where is it turned back?",
                    "After it was loosened a fastening has play already; by how much, nobody knows.",
                    "Write the torque from which it is backed off before it.",
                ));
            }
            StageDoes::Loosen | StageDoes::BackOff(_) => (held, tight) = (None, false),
        }
    }
    None
}
