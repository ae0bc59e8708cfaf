//! Findings of what is said once for several places: in the writer's own names, and said once where they are alike.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::diagnostics::{Change, Code, Finding};
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
        // A line that is put in is written for all places, as the lines around it are.
        if let Some((at, _)) = own {
            for mend in &mut finding.mends {
                names.plain(&mut mend.title, at);
                mend.changes.iter_mut().filter_map(Change::text_mut).for_each(|text| names.plain(text, at));
            }
        }
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
    /// `foot` for `foot of front-left`, in a line of the source.
    fn plain(&self, text: &mut String, at: usize) {
        for (from, to) in self.here.get(&at).into_iter().flatten() {
            let (from, to) = (from.trim_matches('`'), to.trim_matches('`'));
            if from.contains([' ', '.']) && text.contains(from) {
                *text = text.replace(from, to);
            }
        }
    }

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
    for mend in &mut finding.mends {
        visit(&mut mend.title);
        mend.changes.iter_mut().filter_map(Change::text_mut).for_each(&mut *visit);
    }
    if let Some(case) = &mut finding.case {
        case.inputs.iter_mut().for_each(|input| visit(&mut input.name));
        case.steps.iter_mut().for_each(|step| visit(&mut Arc::make_mut(step).name));
        case.outcome.iter_mut().for_each(visit);
    }
}

/// Joins findings that are alike but for the place, and names the places. Places in the text are those of the text itself
/// from here on.
pub(super) fn said_once(findings: Vec<Finding>, places: &[EachPlace]) -> Vec<Finding> {
    let mut kept: Vec<Said> = Vec::new();
    let mut known: BTreeMap<(Code, Option<Span>, String), usize> = BTreeMap::new();
    for finding in findings {
        let here = finding.span().and_then(|span| span.file.place());
        let finding = finding.renumbered(|file| file.whole());
        let Some(place) = here.or_else(|| spoken_of(&finding.message, places)) else {
            kept.push(Said { finding, at: Vec::new(), here: false });
            continue;
        };
        let message = places.get(place).map_or(finding.message.clone(), |place| bare(&finding.message, place));
        let key = (finding.code, finding.span(), message);
        match known.get(&key).and_then(|at| kept.get_mut(*at)) {
            Some(said) => said.at.push(place),
            None => {
                known.insert(key, kept.len());
                kept.push(Said { finding, at: vec![place], here: here.is_some() });
            }
        }
    }
    kept.into_iter().map(|said| said.named(places)).collect()
}

/// The one place that a message of another place in the text speaks of.
fn spoken_of(message: &str, places: &[EachPlace]) -> Option<usize> {
    let mut named = (0..places.len()).filter(|at| places.get(*at).is_some_and(|place| bare(message, place) != message));
    named.next().filter(|_| named.next().is_none())
}

/// A text without a place: `foot` for `foot of front-left`.
fn bare(text: &str, place: &EachPlace) -> String {
    text.replace(&format!(" of {}`", place.id), "`")
}

/// A finding, and the places of which it is said.
struct Said {
    finding: Finding,
    at: Vec<usize>,
    /// Whether it stands in what is read for a place, rather than naming one.
    here: bool,
}

impl Said {
    /// `… (at front left, front right and rear left)`
    fn named(mut self, places: &[EachPlace]) -> Finding {
        self.at.sort_unstable();
        self.at.dedup();
        if self.at.len() < 2 && !self.here {
            return self.finding;
        }
        for place in self.at.iter().filter(|_| !self.here).filter_map(|at| places.get(*at)) {
            each_text(&mut self.finding, &mut |text| *text = bare(text, place));
        }
        let labels: Vec<&str> =
            self.at.iter().filter_map(|at| places.get(*at)).map(|place| place.label.as_str()).collect();
        if let Some((last, others)) = labels.split_last() {
            let all = if others.is_empty() { (*last).to_owned() } else { format!("{} and {last}", others.join(", ")) };
            self.finding.message = format!("{} (at {all})", self.finding.message);
        }
        self.finding
    }
}
