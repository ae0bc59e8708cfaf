//! What a comparison of two editions needs said in the words of the outputs.

use super::phrase::{kit, lay_out};
use super::words::Words;
use crate::labels::spoken;
use crate::model::StepId;
use crate::plan::Plan;

/// In which fittings one of these steps is done; `None` where in every one that is allowed, and where there is no step.
pub(crate) fn where_done(plan: &Plan, steps: &[StepId]) -> Option<String> {
    let occurrence = plan.occurrence();
    let inside = steps.iter().fold(0, |bits, step| bits | occurrence.possible(*step));
    let outside = occurrence.every() & !inside;
    let first = steps.first().filter(|_| inside != 0 && outside != 0)?;
    let span = plan.procedure().steps[*first].span;
    Some(Words::new(plan.procedure()).cond(&occurrence.condition(inside, outside, span)))
}

/// Something that is laid out differently.
pub(crate) struct LaidOutOtherwise {
    /// `Tools`, `Kit`.
    pub(crate) of: &'static str,
    /// The title of the thing.
    pub(crate) what: String,
    /// How much of it there was and when; `None` where it was not there.
    pub(crate) old: Option<String>,
    /// How much of it there is.
    pub(crate) new: Option<String>,
}

/// What two editions lay out differently: first what is there now, then what is there no more.
pub(crate) fn laid_out_otherwise(old: &Plan, new: &Plan) -> Vec<LaidOutOtherwise> {
    let mut found = Vec::new();
    for ((of, was), (_, is)) in laid_out(old).into_iter().zip(laid_out(new)) {
        let said = |list: &[(String, String)], title: &str| {
            list.iter().find(|(other, _)| other == title).map(|(_, words)| words.clone())
        };
        for (what, words) in &is {
            let old = said(&was, what);
            if old.as_ref() != Some(words) {
                found.push(LaidOutOtherwise { of, what: what.clone(), old, new: Some(words.clone()) });
            }
        }
        for (what, words) in was.iter().filter(|(what, _)| said(&is, what).is_none()) {
            found.push(LaidOutOtherwise { of, what: what.clone(), old: Some(words.clone()), new: None });
        }
    }
    found
}

/// What is laid out before the work: tools, protective equipment and kit, each thing by its title with how much of it and when.
fn laid_out(plan: &Plan) -> [(&'static str, Vec<(String, String)>); 3] {
    let joined = |words: Vec<Option<String>>| {
        words.into_iter().flatten().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ")
    };
    let tools = lay_out::tools(plan).into_iter().map(|row| {
        let count = (row.count > 1).then(|| row.count.to_string());
        (row.title, joined(vec![count, Some(row.detail), row.remark, row.when]))
    });
    let worn = lay_out::protection(plan).into_iter().map(|row| (row.title, joined(vec![row.remark, row.when])));
    let groups = kit::groups(Words::new(plan.procedure()));
    let kit = groups.into_iter().flat_map(|group| {
        let of = |row: &kit::PartRow| {
            let title = format!("{}: {}", group.title, row.title);
            (title, joined(vec![row.count.clone(), row.detail.clone(), group.when.clone()]))
        };
        group.rows.iter().map(of).collect::<Vec<_>>()
    });
    [
        (spoken().row.r#use, tools.collect()),
        (spoken().sheet.wear, worn.collect()),
        (spoken().sheet.parts, kit.collect()),
    ]
}
