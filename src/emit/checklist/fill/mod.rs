//! From the model to the checklist.

mod at_place;
mod content;
mod figures;
mod flow;
mod inputs;
mod joined;
mod lines;
mod terms;
mod things;

use std::collections::{BTreeMap, BTreeSet};

use super::things as to;
use super::{
    About, Asset, Checklist, Compiler, FORMAT_NAME, FORMAT_VERSION, Format, JobTime, MetLimit, Revision, TimeCase,
};
use crate::emit::phrase::{fitting, time};
use crate::emit::text::{base64, media_type, sha256};
use crate::emit::words::Words;
use crate::emit::{COMPILER_VERSION, EmitError};
use crate::labels::spoken;
use crate::model::{LineKind, Procedure, Ways};
use crate::plan::Plan;
use crate::quantity::{Exact, Quantity, System, Unit, Written, display};

/// Fills a checklist and notes on the way which units occur.
struct Filler<'a> {
    plan: &'a Plan,
    procedure: &'a Procedure,
    words: Words<'a>,
    /// The conditions on the way to each step.
    ways: Ways<'a>,
    units: BTreeSet<Unit>,
    /// How often each made-up name was given.
    names: BTreeMap<String, u32>,
    /// The names of the groups of the kit, in their order.
    groups: Vec<String>,
}

/// The checklist of a procedure.
pub(super) fn checklist(
    plan: &Plan,
    digest: &str,
    figures: &dyn Fn(&str) -> Option<Vec<u8>>,
) -> Result<Checklist, EmitError> {
    let procedure = plan.procedure();
    let words = Words::new(procedure);
    let mut fill = Filler {
        plan,
        procedure,
        words,
        ways: procedure.ways(),
        units: BTreeSet::new(),
        names: BTreeMap::new(),
        groups: Vec::new(),
    };
    fill.groups = fill.group_names();
    let flow = fill.sections();
    let mut checklist = Checklist {
        format: Format { name: FORMAT_NAME.to_owned(), version: FORMAT_VERSION.to_owned() },
        features_required: Vec::new(),
        compiler: Compiler { name: "fitwright".to_owned(), version: COMPILER_VERSION.to_owned() },
        source_digest: digest.to_owned(),
        procedure: fill.about(),
        effectivity: fill.effectivity(),
        left_out: procedure.tailored.iter().flat_map(|tailored| tailored.left_out.clone()).collect(),
        met: fill.met(),
        inputs: fill.inputs(),
        facts: fill.facts(),
        rules: fill.rules(),
        limits: fill.limits(),
        parts: fill.parts(),
        kit: fill.kit(),
        vehicle: fill.on_vehicle(),
        tools: fill.tools(),
        lay_out: fill.lay_out(),
        wear: fill.wear(),
        protection: fill.protection(),
        hazards: fill.hazards(),
        actions: fill.actions(),
        joints: fill.joints(),
        circuits: fill.circuits(),
        states: fill.states(),
        assets: assets(procedure, figures)?,
        flow,
        // Last, when every amount has been written.
        units: fill.units(),
    };
    content::digest_steps(&mut checklist);
    Ok(checklist)
}

impl Filler<'_> {
    /// A name that nothing else has: the base, or the base with a count from 2.
    fn unique(&mut self, base: String) -> String {
        let count = self.names.entry(base.clone()).or_default();
        *count += 1;
        if *count == 1 { base } else { format!("{base}.{count}") }
    }

    fn about(&mut self) -> About {
        let procedure = self.procedure;
        let about = &procedure.about;
        About {
            id: procedure.name.id.clone(),
            title: procedure.name.title.clone(),
            language: procedure.language.as_ref().map(|language| language.tag.clone()),
            revision: procedure.revision.as_ref().map(|r| Revision { mark: r.mark.clone(), date: r.date.clone() }),
            text: about.prose.iter().map(|prose| self.prose(prose)).collect(),
            fits: about.fits.clone(),
            skill: about.skill.clone(),
            licence: about.licence.clone(),
            local_codes: Some(spoken().about.local_codes.to_owned()),
            time: time::time(self.plan).map(job_time),
        }
    }

    fn met(&self) -> Vec<MetLimit> {
        let met = fitting::met(self.words).into_iter();
        met.map(|met| MetLimit {
            id: met.id,
            title: met.title,
            when_words: met.when,
            words: met.words,
            numbers: met.numbers,
        })
        .collect()
    }

    /// Notes the unit of the other system that the trade reads a quantity in, so that an answer can be given in it.
    fn also_in_the_other_system(&mut self, quantity: &Quantity) {
        let other = |system| display::counterpart(quantity, system);
        self.units.extend([System::Metric, System::Inch].into_iter().filter_map(other));
    }

    fn units(&self) -> Vec<to::UnitInfo> {
        let exact =
            |value: Exact, unit: Unit| super::terms::Number(Quantity::new(value, unit, Written::Decimals(0)).decimal());
        let info = |unit: &Unit| to::UnitInfo {
            code: unit.ucum().to_owned(),
            symbol: unit.symbol().to_owned(),
            quantity: terms::kind(unit.kind()),
            base: unit.kind().base_ucum().to_owned(),
            factor: exact(unit.factor(), *unit),
            offset: exact(unit.offset(), *unit),
        };
        self.units.iter().map(info).collect()
    }
}

fn job_time(time: time::Time) -> JobTime {
    let case = |case: time::TimeCase| TimeCase { when_words: case.when, time: case.time };
    JobTime {
        total: time.total,
        longest: time.duration,
        cases: time.cases.into_iter().map(case).collect(),
        remarks: time.remarks,
        people: time.people,
        people_remark: time.people_remark,
    }
}

/// Every picture once, in order of the steps.
fn assets(procedure: &Procedure, figures: &dyn Fn(&str) -> Option<Vec<u8>>) -> Result<Vec<Asset>, EmitError> {
    let mut assets: Vec<Asset> = Vec::new();
    for line in procedure.steps.rows().iter().flat_map(|step| &step.lines) {
        let LineKind::Figure(shown) = &line.kind else { continue };
        let figure = &procedure.figures[shown.figure];
        if assets.iter().any(|asset| asset.path == figure.path) {
            continue;
        }
        let fault = || EmitError::Figure { path: figure.path.clone() };
        let bytes = figures(&figure.path).ok_or_else(fault)?;
        let media_type = media_type(&bytes).ok_or_else(fault)?.to_owned();
        assets.push(Asset { path: figure.path.clone(), media_type, sha256: sha256(&bytes), data: base64(&bytes) });
    }
    Ok(assets)
}
