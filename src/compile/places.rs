//! Findings of what is said once for several places: in the writer's own names, and said once where they are alike.

use std::collections::BTreeMap;

use crate::diagnostics::{Code, Finding};
use crate::model::{EachPlace, Procedure};
use crate::source::Span;

/// The names of copies as a writer has them: inside a copy `foot`, elsewhere `foot of front-left`.
pub(super) fn as_written(findings: Vec<Finding>, procedure: &Procedure) -> Vec<Finding> {
    let mut names = Names { here: BTreeMap::new(), elsewhere: Vec::new() };
    for (name, at) in procedure.copies() {
        let Some(place) = procedure.each_places.get(at.place) else { continue };
        let here = names.here.entry(at.place).or_default();
        here.push((format!("`{}`", name.id), format!("`{}`", at.of)));
        here.push((name.title.clone(), at.title.clone()));
        names.elsewhere.push((name.id.clone(), format!("{} of {}", at.of, place.id)));
    }
    // The longer first: one may begin as another does.
    names
        .here
        .values_mut()
        .chain([&mut names.elsewhere])
        .for_each(|pairs| pairs.sort_by_key(|(from, _)| std::cmp::Reverse(from.len())));
    let reworded = |mut finding: Finding| {
        let place = finding.span().and_then(|span| span.file.place());
        let own = place.and_then(|at| Some((at, procedure.each_places.get(at)?)));
        each_text(&mut finding, &mut |text| names.reword(text, own));
        finding
    };
    findings.into_iter().map(reworded).collect()
}

struct Names {
    /// For findings at a place: ids and titles of what is there, and what stands in the source.
    here: BTreeMap<usize, Vec<(String, String)>>,
    /// Ids, and what a writer writes.
    elsewhere: Vec<(String, String)>,
}

impl Names {
    fn reword(&self, text: &mut String, own: Option<(usize, &EachPlace)>) {
        if let Some((at, place)) = own {
            for (from, to) in self.here.get(&at).into_iter().flatten() {
                if text.contains(from.as_str()) {
                    *text = text.replace(from.as_str(), to);
                }
            }
            *text = text.replace(&format!(" of {}`", place.id), "`");
        }
        if text.contains('.') {
            for (from, to) in &self.elsewhere {
                if text.contains(from.as_str()) {
                    *text = text.replace(from.as_str(), to);
                }
            }
        }
    }
}

/// All words of a finding that may name a thing.
fn each_text(finding: &mut Finding, visit: &mut dyn FnMut(&mut String)) {
    visit(&mut finding.message);
    finding.labels.iter_mut().for_each(|label| visit(&mut label.text));
    finding.reason.iter_mut().for_each(&mut *visit);
    finding.repair.iter_mut().for_each(&mut *visit);
    if let Some(case) = &mut finding.case {
        case.inputs.iter_mut().for_each(|input| visit(&mut input.name));
        case.steps.iter_mut().for_each(|step| visit(&mut step.name));
        case.outcome.iter_mut().for_each(visit);
    }
}

/// Joins findings that are alike but for the place, and names the places. Places in the text are those of the text itself
/// from here on.
pub(super) fn said_once(findings: Vec<Finding>, places: &[EachPlace]) -> Vec<Finding> {
    let mut kept: Vec<(Finding, Vec<usize>)> = Vec::new();
    let mut known: BTreeMap<(Code, Option<Span>, String), usize> = BTreeMap::new();
    for mut finding in findings {
        let place = finding.span().and_then(|span| span.file.place());
        finding = finding.renumbered(|file| file.whole());
        let Some(place) = place else {
            kept.push((finding, Vec::new()));
            continue;
        };
        let key = (finding.code, finding.span(), finding.message.clone());
        match known.get(&key).and_then(|at| kept.get_mut(*at)) {
            Some((_, at)) => at.push(place),
            None => {
                known.insert(key, kept.len());
                kept.push((finding, vec![place]));
            }
        }
    }
    kept.into_iter().map(|(finding, at)| named(finding, at, places)).collect()
}

/// `…, at front left, front right and rear left`
fn named(mut finding: Finding, mut at: Vec<usize>, places: &[EachPlace]) -> Finding {
    at.sort_unstable();
    at.dedup();
    let labels: Vec<&str> = at.iter().filter_map(|at| places.get(*at)).map(|place| place.label.as_str()).collect();
    if let Some((last, others)) = labels.split_last() {
        let all = if others.is_empty() { (*last).to_owned() } else { format!("{} and {last}", others.join(", ")) };
        finding.message = format!("{} (at {all})", finding.message);
    }
    finding
}
